"""Cautions that several calculators share, and usual limits that a note and a picture share."""

IN_EARS_MS, WEDGES_MS = 5, 10  # common practice
FIRST_DECIDES_MS = 5  # to 35: F. A. Everest, "The Master Handbook of Acoustics", figure 3-19, after Haas
LIGHTING_PART, USUAL_PART = 0.03, 0.05  # of the supply, lost along a cable: common practice

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
