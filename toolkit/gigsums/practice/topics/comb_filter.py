"""The first gap of a comb."""

from gigsums.catalogue import Slip

from .. import air
from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "first gap of a comb",
        "One voice reaches two open microphones at {place}; to the second it has {path_difference_m} more to go. Both "
        "are mixed at the same level. The air is at {temperature_c}.",
        "At which frequency is the first gap?",
        {
            "path_difference_m": Range(0.1, 2, 0.1, 0.05),
            "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=air.NEVER),
        },
        "They cancel first where the longer way is half a wavelength longer.",
        slips=(
            Slip(
                "metres taken as feet",
                lambda first_hz: first_hz / 0.3048,
                "Speed and distance have to be in the same unit of length.",
            ),
            *air.slips(),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "time and distance",
    version=3,
    least_slips=5,
)
