"""How far down a loudspeaker looks."""

import math

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "down-tilt",
        "A loudspeaker stands {height_m} high at {place} and is to look at ears {ear_height_m} high, {distance_m} away along the floor.",
        "How far down must it look?",
        {
            "height_m": Range(3, 5, 0.2, 0.1),
            "ear_height_m": Options((1.1, 1.2, 1.6, 1.7)),
            "distance_m": Range(6, 20, 2, 0.5, other=("ft", 20, 65, 1)),
        },
        "The drop over the distance is the tangent of the angle; the drop ends at the ears.",
        slips=(
            Slip(
                "radians given for degrees",
                lambda tilt_deg: math.radians(tilt_deg),
                "What does your calculator give an angle in?",
            ),
            Slip(
                "a rise in per cent given",
                lambda height_m, ear_height_m, distance_m: 100 * (height_m - ear_height_m) / distance_m,
                "That is a slope in per cent. An angle was asked for.",
            ),
        ),
    ),
    "rooms",
    version=2,
)
