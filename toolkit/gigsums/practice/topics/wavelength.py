"""How long a wave is."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "wavelength",
        "{who} wants to know how long a wave of {frequency_hz} is in the air at {place}, which is at {temperature_c}.",
        "How long is it?",
        {
            "frequency_hz": Range(40, 1000, 20, 1),
            "temperature_c": Range(10, 30, 5, 1, other=("°F", 50, 90, 1)),
        },
        "In one second sound covers its speed in metres, and that holds as many waves as the frequency says.",
        slips=(
            Slip(
                "a quarter of it",
                lambda wavelength_m: wavelength_m / 4,
                "The whole wave was asked for.",
            ),
        ),
    ),
    "time and distance",
)
