"""The delay of a loudspeaker that stands some way in front of the main pair."""

from gigsums.catalogue import Slip
from gigsums.formulas.timing import delay_ms, speed_of_sound
from gigsums.quantities import DELAY, SPEED

from .. import air
from ..sums import FAHRENHEIT, Approximation, Range, Sum, SumStep, sum_topic

TOPIC = sum_topic(
    Sum(
        "delay for a distance",
        "At {ground} a second pair of speakers stands further back than the main pair: sound from the mains "
        "has {distance_m} more to go to reach the people in front of it. The air is at {temperature_c}. The stage is "
        "to be heard first by {offset_ms}.",
        "What delay is to be set on the second pair?",
        {
            "distance_m": Range(10, 60, 5, 0.5, other=("ft", 30, 200, 1)),
            "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=air.NEVER),
            "offset_ms": Range(5, 15, 5, 1),
        },
        "Find how long sound takes over the distance at this temperature, then add what keeps the stage first.",
        steps=(
            SumStep(
                "Speed of sound at {temperature_c}",
                lambda temperature_c: speed_of_sound(temperature_c),
                SPEED,
            ),
            SumStep("Time for {distance_m}", lambda travel_ms: travel_ms, DELAY),
        ),
        approximations=(
            Approximation(
                "three milliseconds a metre",
                lambda distance_m, offset_ms: 3 * distance_m + offset_ms,
                "Three milliseconds a metre will do until you can measure: it is some 3 per cent long in a warm "
                "room, and the air's temperature is left out.",
            ),
            Approximation(
                "air taken at 20 °C",
                lambda distance_m, offset_ms: delay_ms(distance_m, air.USUAL_C) + offset_ms,
                "That is right for air at 20 °C. Here it is warmer or colder, and over this distance that shows.",
            ),
            Approximation(
                "340 m/s whatever the temperature",
                lambda distance_m, offset_ms: 1000 * distance_m / air.ROUND_M_S + offset_ms,
                "340 m/s is the speed on a cool day, 15 °C. Here it is warmer or colder, and over this distance that "
                "shows.",
            ),
        ),
        slips=(
            Slip(
                "one millisecond a foot",
                lambda distance_m, offset_ms: distance_m / 0.3048 + offset_ms,
                "Sound is a little faster than a foot in a millisecond, and over a hall that adds up.",
            ),
            Slip(
                FAHRENHEIT,
                lambda travel_ms, offset_ms, temperature_c: (
                    travel_ms / air.slower(temperature_c, air.as_celsius(temperature_c)) + offset_ms
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
