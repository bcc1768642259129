"""Cautions that several calculators share."""

HEARING = (
    "Loud sound harms hearing for good. Limits are set by local law and the venue's licence; a measured level "
    "counts, not a sum."
)
MAINS = (
    "For planning only: a competent person decides, by local rules. Never lift a protective earth; use tested "
    "30 mA RCDs, and unwind reels."
)
OVERHEAD = "No leave to hang anything: loads overhead belong to a licensed rigger and to local rules."
PLAN = "A plan, not a measurement: check it in the room."
