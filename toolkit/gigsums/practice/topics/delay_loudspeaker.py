"""The delay of a fill, from the distances to one listener."""

from gigsums.catalogue import Slip

from ..sums import Approximation, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "setting a delay loudspeaker",
        "One seat in the back rows at {place}: the mains are {main_distance_m} away, the delay speaker "
        "{own_distance_m}. The air is at {temperature_c}. The mains are to be heard first by {offset_ms}.",
        "What is to be set on the delay speaker?",
        {
            "main_distance_m": Range(25, 90, 5, 0.5, other=("ft", 80, 300, 1)),
            "own_distance_m": Range(4, 16, 1, 0.5),
            "temperature_c": Range(8, 30, 2, 1, other=("°F", 46, 90, 1)),
            "offset_ms": Range(5, 15, 5, 1),
        },
        "Both sounds travel to the same seat: only the difference of the ways is to be made up, and a little more.",
        approximations=(
            Approximation(
                "three milliseconds a metre",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    3 * (main_distance_m - own_distance_m) + offset_ms
                ),
                "Three milliseconds a metre will do until you can measure; the air's temperature is left out.",
            ),
        ),
        slips=(
            Slip(
                "one millisecond a metre",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    main_distance_m - own_distance_m + offset_ms
                ),
                "A metre takes nearly 3 ms; it is a foot that takes about one.",
            ),
        ),
    ),
    "time and distance",
)
