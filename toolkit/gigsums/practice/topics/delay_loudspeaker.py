"""The delay of a fill, from the distances to one listener."""

from gigsums.catalogue import Slip

from .. import air
from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "setting a delay loudspeaker",
        "One place at the back of the crowd at {ground}: the mains are {main_distance_m} away, the delay speaker "
        "{own_distance_m}. The air is at {temperature_c}. The mains are to be heard first by {offset_ms}.",
        "What is to be set on the delay speaker?",
        {
            "main_distance_m": Range(25, 90, 5, 0.5, other=("ft", 80, 300, 1)),
            "own_distance_m": Range(4, 16, 1, 0.5),
            "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=air.NEVER),
            "offset_ms": Range(5, 15, 5, 1),
        },
        "Both sounds travel to the same seat: only the difference of the ways is to be made up, and a little more.",
        slips=(
            Slip(
                "one millisecond a metre",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    main_distance_m - own_distance_m + offset_ms
                ),
                "A metre takes nearly 3 ms; it is a foot that takes about one.",
            ),
            Slip(
                "this one's distance taken instead of the difference",
                lambda own_ms, offset_ms: own_ms + offset_ms,
                "How much earlier than the mains would this loudspeaker be heard without a delay?",
            ),
            *air.slips(offset=True),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "time and distance",
    version=3,
    least_slips=8,
)
