"""The speed of sound in air of a temperature."""

import math

from gigsums.catalogue import Slip
from gigsums.formulas.timing import speed_of_sound

from .. import air
from ..sums import Approximation, Range, Sum, sum_topic

_LINE = (
    "Six tenths of a metre a second for each degree is a straight line laid along the curve: near enough indoors, "
    "and further off the hotter or colder it is."
)


def _without_root(temperature_c: float) -> float:
    """Nothing where it comes to a speed that people have in their heads."""
    speed = 331.3 * (1 + temperature_c / 273.15)
    return math.nan if any(abs(speed - round_one) < 1 for round_one in (343.2, air.ROUND_M_S)) else speed


TOPIC = sum_topic(
    Sum(
        "speed of sound",
        "{act} play in the open at {ground}. The air is dry, and a thermometer in the shade shows {temperature_c}.",
        "How fast is sound there?",
        {"temperature_c": Range(0, 40, 5, 1, other=("°F", 32, 100, 1), never=(18.8, 22.4))},
        "It is 331.3 m/s at 0 °C and goes with the root of the absolute temperature.",
        approximations=(
            Approximation(
                "0.6 m/s a degree",
                lambda temperature_c: 331.3 + 0.606 * temperature_c,
                _LINE,
            ),
            Approximation(
                "0.6 m/s a degree, from 331 m/s",
                lambda temperature_c: 331 + 0.6 * temperature_c,
                _LINE,
            ),
        ),
        slips=(
            Slip(
                "root left out",
                _without_root,
                "The speed does not go with the absolute temperature itself.",
            ),
            Slip("the speed at 20 °C", lambda: speed_of_sound(air.USUAL_C), "Is it 20 °C there?"),
            Slip("340 m/s whatever the temperature", lambda: air.ROUND_M_S, "Is sound as fast on every day?"),
        ),
        nudge="Warmer air, faster sound. Which temperature goes under the root, and counted from where?",
    ),
    "time and distance",
    version=3,
)
