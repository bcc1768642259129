"""Equalisers and dynamics."""

import math

from gigsums.catalogue import Slip
from gigsums.formulas.weighting import nearest_third_octave_hz

from ..sums import Calculation, Range, sum_topic

_NEIGHBOURS = (
    "Divide: how many times as high is each of the faders on either side, and which is the smaller step?"
)


def _next_to(frequency_hz: float, band_hz: float, faders: int) -> float:
    """The band so many faders above, or below; nothing within 2 % of an edge, where either fader would do."""
    moved = (frequency_hz * 1.02, frequency_hz / 1.02)
    if any(nearest_third_octave_hz(each) != band_hz for each in moved):
        return math.nan
    return float(nearest_third_octave_hz(band_hz * 10 ** (faders / 10)))


TOPICS = (
    # The middle of a band as the ear hears it
    sum_topic(
        Calculation(
            "centre of a band",
            "At {place} one wide cut is to cover everything from {lower_hz} to {upper_hz}.",
            "Where is the centre of that band, with as many octaves below as above?",
            {"lower_hz": Range(80, 400, 20, 5), "upper_hz": Range(500, 2000, 50, 10)},
            "Multiply the two edges and take the root.",
            slips=(
                Slip(
                    "the width given",
                    lambda lower_hz, upper_hz: upper_hz - lower_hz,
                    "That is how wide it is in hertz.",
                ),
            ),
            nudge="Halfway in octaves is not halfway in hertz.",
        ),
        "equalisers",
        version=3,
    ),
    # The fader of a third-octave equaliser that is nearest to a frequency
    sum_topic(
        Calculation(
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
    ),
    # The Q of a bandwidth
    sum_topic(
        Calculation(
            "Q from octaves",
            "{who} wants a cut that is {octaves} wide, but the equaliser at {place} is marked in Q.",
            "What Q is that?",
            {"octaves": Range(0.2, 3, 0.2, 0.05, never=(0.95, 1.05))},
            "Q is the centre frequency over the width in hertz; the edges lie half the octaves below and above.",
            slips=(Slip("turned over", lambda q: 1 / q, "A narrow band has a high Q."),),
            nudge="Where do the edges lie if the centre is at 1? How far apart are they?",
        ),
        "equalisers",
        version=3,
    ),
    # What comes out of a compressor
    sum_topic(
        Calculation(
            "compressor",
            "A compressor with a hard knee: the threshold is at {threshold_db}, the ratio {ratio}. In comes a steady "
            "{level_db}. Nothing is added afterwards.",
            "At what level does it come out?",
            {
                "level_db": Range(-14, 0, 2, 1),
                "threshold_db": Range(-32, -16, 2, 1),
                "ratio": Range(2, 8, 1, 0.5),
            },
            "Only what lies above the threshold is divided by the ratio.",
            slips=(
                Slip(
                    "what is taken off",
                    lambda reduction_db: reduction_db,
                    "That is how much is taken off. What is left?",
                ),
                Slip(
                    "all of what is above taken off",
                    lambda threshold_db: threshold_db,
                    "That would be a limiter.",
                ),
            ),
        ),
        "dynamics",
    ),
)
