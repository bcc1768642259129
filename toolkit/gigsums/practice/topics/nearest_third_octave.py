"""The fader of a third-octave equaliser that is nearest to a frequency."""

import math

from gigsums.catalogue import Slip
from gigsums.formulas.weighting import nearest_third_octave_hz

from ..sums import Range, Sum, sum_topic

_NEIGHBOURS = (
    "Divide: how many times as high is each of the faders on either side, and which is the smaller step?"
)


def _next_to(frequency_hz: float, band_hz: float, faders: int) -> float:
    """The band so many faders above, or below; nothing within 2 % of an edge, where either fader would do."""
    moved = (frequency_hz * 1.02, frequency_hz / 1.02)
    if any(nearest_third_octave_hz(each) != band_hz for each in moved):
        return math.nan
    return float(nearest_third_octave_hz(band_hz * 10 ** (faders / 10)))


TOPIC = sum_topic(
    Sum(
        "nearest third-octave",
        "At {place} it rings at {frequency_hz}.",
        "Which fader of a third-octave equaliser is nearest?",
        {"frequency_hz": Range(60, 6000, 20, 1)},
        "The bands are ten to a decade, equally wide in octaves: compare ratios, not differences.",
        slips=(
            Slip(
                "one fader too high",
                lambda frequency_hz, band_hz: _next_to(frequency_hz, band_hz, 1),
                _NEIGHBOURS,
            ),
            Slip(
                "one fader too low",
                lambda frequency_hz, band_hz: _next_to(frequency_hz, band_hz, -1),
                _NEIGHBOURS,
            ),
        ),
    ),
    "equalisers",
    version=3,
)
