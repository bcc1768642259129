"""How long a wave is."""

from gigsums.catalogue import Slip

from .. import air
from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "wavelength",
        "{who} wants to know how long a wave of {frequency_hz} is in the air at {place}, which is at {temperature_c}.",
        "How long is it?",
        {
            "frequency_hz": Range(40, 1000, 20, 1),
            "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=air.NEVER),
        },
        "In one second sound covers its speed in metres, and that holds as many waves as the frequency says.",
        slips=(
            Slip(
                "a quarter of it",
                lambda wavelength_m: wavelength_m / 4,
                "The whole wave was asked for.",
            ),
            *air.slips(),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "time and distance",
    version=3,
    least_slips=5,
)
