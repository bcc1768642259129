"""How wide a loudspeaker covers."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "coverage width",
        "A loudspeaker at {place} covers {angle_deg}.",
        "How wide is that {distance_m} in front of it?",
        {
            "angle_deg": Range(40, 100, 10, 5),
            "distance_m": Range(5, 30, 1, 0.5, other=("ft", 15, 100, 1)),
        },
        "Half the width lies to each side: the distance times the tangent of half the angle.",
        slips=(
            Slip(
                "degrees taken for radians",
                lambda angle_deg, distance_m: 2 * distance_m * math.tan(angle_deg / 2),
                "What does your calculator take an angle in?",
            ),
        ),
    ),
    "rooms",
    version=2,
)
