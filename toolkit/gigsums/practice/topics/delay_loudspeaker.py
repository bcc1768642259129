"""The delay of a fill, from the distances to one listener."""

from gigsums.catalogue import Slip
from gigsums.formulas.timing import delay_ms

from .. import air
from ..sums import FAHRENHEIT, Approximation, Range, Sum, sum_topic

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
        approximations=(
            Approximation(
                "three milliseconds a metre",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    3 * (main_distance_m - own_distance_m) + offset_ms
                ),
                "Three milliseconds a metre will do until you can measure; the air's temperature is left out.",
            ),
            Approximation(
                "air taken at 20 °C",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    delay_ms(main_distance_m - own_distance_m, air.USUAL_C) + offset_ms
                ),
                "That is right for air at 20 °C. Here it is warmer or colder, and over this distance that shows.",
            ),
            Approximation(
                "340 m/s whatever the temperature",
                lambda main_distance_m, own_distance_m, offset_ms: (
                    1000 * (main_distance_m - own_distance_m) / air.ROUND_M_S + offset_ms
                ),
                "340 m/s is the speed on a cool day, 15 °C. Here it is warmer or colder, and over this distance that "
                "shows.",
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
            Slip(
                "this one's distance taken instead of the difference",
                lambda own_ms, offset_ms: own_ms + offset_ms,
                "How much earlier than the mains would this loudspeaker be heard without a delay?",
            ),
            Slip(
                FAHRENHEIT,
                lambda main_ms, own_ms, offset_ms, temperature_c: (
                    (main_ms - own_ms) / air.slower(temperature_c, air.as_celsius(temperature_c)) + offset_ms
                ),
                air.TO_CELSIUS,
            ),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "time and distance",
    version=2,
    least_slips=4,
)
