"""The fader of a third-octave equaliser that is nearest to a frequency."""

import math

from gigsums.catalogue import Slip
from gigsums.formulas.weighting import nearest_third_octave_hz

from ..sums import Approximation, Range, Sum, sum_topic

_NEIGHBOURS = (
    "Divide: how many times as high is each of the faders on either side, and which is the smaller step?"
)


def _across_the_edge(frequency_hz: float, band_hz: float) -> float:
    """The neighbouring band where the frequency lies within 2 % of the edge to it; otherwise nothing."""
    for moved in (frequency_hz * 1.02, frequency_hz / 1.02):
        other = float(nearest_third_octave_hz(moved))
        if other != band_hz:
            return other
    return math.nan


def _next_to(band_hz: float, faders: int) -> float:
    """The band so many faders above, or below."""
    return float(nearest_third_octave_hz(band_hz * 10 ** (faders / 10)))


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
            Slip("one fader too high", lambda band_hz: _next_to(band_hz, 1), _NEIGHBOURS),
            Slip("one fader too low", lambda band_hz: _next_to(band_hz, -1), _NEIGHBOURS),
        ),
    ),
    "equalisers",
    version=2,
    least_slips=1,
)
