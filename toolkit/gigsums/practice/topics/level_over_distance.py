"""The level of a small source further away."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "level over distance",
        "In the open at {ground} a small speaker gives {level_db} at {reference_m}. Nothing reflects.",
        "What is left of it at {distance_m}?",
        {
            "level_db": Range(85, 115, 5, 1),
            "reference_m": Range(1, 4, 1, 0.5),
            "distance_m": Range(8, 80, 4, 1, other=("ft", 30, 250, 5)),
        },
        "The pressure falls as the distance grows: take twenty times the logarithm of the ratio of the distances off.",
        slips=(
            Slip(
                "counted from one metre",
                lambda level_db, distance_m: level_db - 20 * math.log10(distance_m),
                "The level was not measured at one metre.",
            ),
            Slip(
                "gained instead of lost",
                lambda level_db, there_db: 2 * level_db - there_db,
                "Further away it is softer.",
            ),
        ),
        nudge="Twice as far is 6 dB less. How often is the distance doubled?",
    ),
    "level",
    version=3,
)
