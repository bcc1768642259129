"""The level that a loudspeaker gives at a distance."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "level from a box",
        "A loudspeaker at {ground} gives {sensitivity_db} with 1 W at 1 m. It is driven with {power_w}.",
        "How loud is it at {distance_m} in the open?",
        {
            "sensitivity_db": Range(88, 106, 2, 1),
            "power_w": Range(100, 1000, 100, 10),
            "distance_m": Range(4, 50, 2, 1, other=("ft", 15, 160, 5)),
        },
        "Add ten times the logarithm of the watts, take off twenty times the logarithm of the metres.",
        slips=(
            Slip(
                "power left out",
                lambda sensitivity_db, distance_m: sensitivity_db - 20 * math.log10(distance_m),
                "The sensitivity is for one watt.",
            ),
            Slip(
                "distance taken ten times",
                lambda level_db, distance_m: level_db + 10 * math.log10(distance_m),
                "Power goes with ten times the logarithm, distance with twenty.",
            ),
        ),
        nudge="Two steps: from one watt to these watts, and from one metre to this distance.",
    ),
    "level",
    version=2,
)
