"""The low notes that a small room favours; a hall has so many modes that none stands out."""

import math

from gigsums.catalogue import Slip

from .. import air
from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "room mode",
        "In the dressing room at {place} two hard walls stand {length_m} apart. The air is at {temperature_c}.",
        "At what frequency does mode {order} lie, the one with that many half waves between them?",
        {
            "length_m": Range(2.5, 7, 0.5, 0.1, other=("ft", 8, 23, 1)),
            "order": Options((1, 2, 3)),
            "temperature_c": Range(5, 35, 5, 1, never=air.NEVER),
        },
        "A wave fits where the way there and back is a whole number of wavelengths.",
        slips=(
            Slip(
                "a quarter wave fitted",
                lambda mode_hz, order: math.nan if order == 2 else mode_hz / 2,
                "Both ends are walls: half waves fit.",
            ),
            Slip(
                "the first mode given for a higher one",
                lambda mode_hz, order: mode_hz / order if order > 1 else math.nan,
                "How many half waves are to fit between the walls?",
            ),
            *air.slips(),
        ),
        share=air.NEAR_ENOUGH,
    ),
    "rooms",
    version=3,
    least_slips=4,
)
