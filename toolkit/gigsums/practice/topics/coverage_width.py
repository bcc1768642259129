"""How wide a loudspeaker covers."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "coverage width",
        "A loudspeaker at {place} covers {angle_deg}.",
        "How wide is that at {distance_m}?",
        {
            "angle_deg": Range(40, 100, 10, 5),
            "distance_m": Range(5, 30, 1, 0.5, other=("ft", 15, 100, 1)),
        },
        "Half the width lies to each side: the distance times the tangent of half the angle.",
        slips=(
            Slip(
                "length of the arc",
                lambda angle_deg, distance_m: math.radians(angle_deg) * distance_m,
                "That is along a circle; the audience sits in straight rows.",
            ),
        ),
    ),
    "rooms",
)
