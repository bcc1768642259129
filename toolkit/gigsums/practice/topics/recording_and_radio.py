"""Recordings and radio microphones."""

import math
from itertools import pairwise

from gigsums.catalogue import Slip

from ..sums import Calculation, Options, Range, sum_topic


def _spacing(frequencies_mhz: list[float], gap_mhz: float) -> float:
    """The distance between the two nearest carriers; nothing where a product does lie as far away as that."""
    spacing = min(b - a for a, b in pairwise(sorted(frequencies_mhz)))
    return math.nan if math.isclose(spacing, gap_mhz) else spacing


TOPICS = (
    # How near carriers come to what they make of each other
    sum_topic(
        Calculation(
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
                    _spacing,
                    "That is how far the carriers are apart. Where do their products fall?",
                ),
            ),
        ),
        "recording and radio",
        version=3,
    ),
    # The room that a recording takes
    sum_topic(
        Calculation(
            "size of a recording",
            "{act} are recorded at {place}: {channels} tracks for {duration_s}, at {sample_rate_hz} and {bits} a sample.",
            "How much room does it take?",
            {
                "channels": Range(8, 64, 8, 1),
                "duration_s": Range(0.5, 4, 0.5, 0.25),
                "sample_rate_hz": Options((44_100, 48_000, 96_000)),
                "bits": Options((16, 24)),
            },
            "Tracks times samples times bytes a sample.",
            slips=(
                Slip(
                    "counted in GiB",
                    lambda size_bytes: size_bytes * 1e9 / 2**30,
                    "That is the number of GiB, 2³⁰ bytes each, which some computers call GB. Cards are sold in GB of 10⁹ bytes: "
                    "say which you mean.",
                ),
            ),
            nudge="How many samples are there, and how many bytes make one?",
        ),
        "recording and radio",
        version=3,
    ),
)
