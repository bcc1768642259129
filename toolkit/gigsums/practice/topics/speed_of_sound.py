"""The speed of sound in air of a temperature."""

from gigsums.catalogue import Slip

from ..sums import Approximation, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "speed of sound",
        "{act} play in the open at {place}. The air is dry, and a thermometer in the shade shows {temperature_c}.",
        "How fast is sound there?",
        {"temperature_c": Range(-15, 45, 5, 1, other=("°F", 10, 110, 1))},
        "It is 331.3 m/s at 0 °C and goes with the root of the absolute temperature.",
        approximations=(
            Approximation(
                "0.6 m/s a degree",
                lambda temperature_c: 331.3 + 0.606 * temperature_c,
                "Six tenths of a metre a second for each degree is a straight line laid along the curve: near enough "
                "indoors, and further off the hotter or colder it is.",
            ),
        ),
        slips=(
            Slip(
                "root left out",
                lambda temperature_c: 331.3 * (1 + temperature_c / 273.15),
                "The speed does not go with the absolute temperature itself.",
            ),
        ),
        nudge="Warmer air, faster sound. Which temperature goes under the root, and counted from where?",
    ),
    "time and distance",
)
