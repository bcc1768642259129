"""The fader of a third-octave equaliser that is nearest to a frequency."""

import math

from gigsums.catalogue import Slip
from gigsums.formulas.weighting import nearest_third_octave_hz

from ..sums import Approximation, Range, Sum, sum_topic


def _across_the_edge(frequency_hz: float, band_hz: float) -> float:
    """The neighbouring band where the frequency lies within 2 % of the edge to it; otherwise nothing."""
    for moved in (frequency_hz * 1.02, frequency_hz / 1.02):
        other = float(nearest_third_octave_hz(moved))
        if other != band_hz:
            return other
    return math.nan


def _nearest_octave(frequency_hz: float) -> float:
    return float(nearest_third_octave_hz(1000 * 10 ** (0.3 * round(math.log10(frequency_hz / 1000) / 0.3))))


TOPIC = sum_topic(
    Sum(
        "nearest third-octave",
        "At {place} it rings at {frequency_hz}.",
        "Which fader of a third-octave equaliser is nearest?",
        {"frequency_hz": Range(60, 6000, 20, 1)},
        "The bands are ten to a decade, equally wide in octaves: compare ratios, not differences.",
        approximations=(
            Approximation(
                "the band next door",
                _across_the_edge,
                "The frequency lies so near the edge between two bands that either fader will do.",
            ),
        ),
        slips=(
            Slip("nearest octave", _nearest_octave, "That equaliser has three faders to an octave, not one."),
        ),
    ),
    "equalisers",
    least_slips=1,
)
