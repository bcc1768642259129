"""The delay of a loudspeaker that stands some way in front of the main pair."""

from gigsums.catalogue import Slip
from gigsums.formulas.timing import speed_of_sound
from gigsums.quantities import DELAY, SPEED

from .. import air
from ..sums import Range, Sum, SumStep, sum_topic

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
        slips=(
            Slip(
                "one millisecond a foot",
                lambda distance_m, offset_ms: distance_m / 0.3048 + offset_ms,
                "Sound is a little faster than a foot in a millisecond, and over a hall that adds up.",
            ),
            *air.slips(offset=True),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "time and distance",
    version=3,
    least_slips=8,
)
