"""How near carriers come to what they make of each other."""

import math
from itertools import pairwise, permutations

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic


def _of_two(frequencies_mhz: list[float]) -> float:
    products = [2 * a - b for a, b in permutations(frequencies_mhz, 2)]
    return min(abs(product - carrier) for product in products for carrier in frequencies_mhz)


TOPIC = sum_topic(
    Sum(
        "radio intermodulation",
        "Radio microphones at {place} send on {frequencies_mhz}.",
        "How near does the nearest third-order product come to one of these carriers?",
        {
            "carrier_1_mhz": Range(606, 610, 0.2, 0.1),
            "carrier_2_mhz": Range(611, 614, 0.2, 0.1),
            "carrier_3_mhz": Range(615, 622, 0.2, 0.1, since=2),
        },
        "Write down twice each carrier less each other, and with three carriers any two together less the third; then "
        "look how near each lies to a carrier.",
        slips=(
            Slip(
                "measured to the further carrier",
                lambda frequencies_mhz, gap_mhz: 2 * gap_mhz if len(frequencies_mhz) == 2 else math.nan,
                "To which of the carriers is the product nearer?",
            ),
            Slip(
                "distance between two carriers",
                lambda frequencies_mhz: min(b - a for a, b in pairwise(sorted(frequencies_mhz))),
                "That is how far the carriers are apart. Where do their products fall?",
            ),
            Slip(
                "products of two carriers alone",
                _of_two,
                "With three carriers there are products of all three as well.",
            ),
        ),
    ),
    "recording and radio",
    version=2,
)
