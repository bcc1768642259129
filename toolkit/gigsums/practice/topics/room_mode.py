"""The low notes that a length favours."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "room mode",
        "Two hard walls at {place} stand {length_m} apart. The air is at {temperature_c}.",
        "At what frequency does mode {order} lie, the one with that many half waves between them?",
        {
            "length_m": Range(4, 24, 1, 0.1, other=("ft", 12, 80, 1)),
            "order": Options((1, 2, 3)),
            "temperature_c": Range(10, 30, 5, 1),
        },
        "A wave fits where the way there and back is a whole number of wavelengths.",
        slips=(
            Slip(
                "a quarter wave fitted",
                lambda mode_hz: mode_hz / 2,
                "Both ends are walls: half waves fit.",
            ),
        ),
    ),
    "rooms",
)
