"""The middle of a band as the ear hears it."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "centre of a band",
        "At {place} one wide cut is to cover everything from {lower_hz} to {upper_hz}.",
        "Where is the centre of that band, with as many octaves below as above?",
        {"lower_hz": Range(80, 400, 20, 5), "upper_hz": Range(500, 2000, 50, 10)},
        "Multiply the two edges and take the root.",
        slips=(
            Slip(
                "the width given",
                lambda lower_hz, upper_hz: upper_hz - lower_hz,
                "That is how wide it is in hertz.",
            ),
        ),
        nudge="Halfway in octaves is not halfway in hertz.",
    ),
    "equalisers",
    version=3,
)
