"""Tone and dynamics."""

from __future__ import annotations

import math

from gigsums.formulas import dynamics, equalisers, weighting
from gigsums.quantities import DECIBELS, FREQUENCY, OCTAVES, RATIO, Q

from .declaration import Calculator, Input, Note, Result, Slip

_LEVEL = DECIBELS.within(-100, 40)


def _by_subtraction(frequency_hz: float, band_hz: float) -> float:
    """The band nearest in hertz; nothing where it is the nearest in ratio too."""
    nearest = min(weighting.third_octave_centres_hz(), key=lambda centre: abs(centre - frequency_hz))
    return math.nan if nearest == band_hz else float(nearest)


CALCULATORS = (
    Calculator(
        key="compressor",
        question="What comes out of this compressor?",
        moment="sound check",
        inputs=(
            Input("level_db", "Level in", _LEVEL, -8),
            Input("threshold_db", "Threshold", _LEVEL, -20),
            Input("ratio", "Ratio", RATIO, 4),
            Input("knee_db", "Width of the knee", DECIBELS.within(0, 40), 0, behind=True),
        ),
        results=(
            Result("out_db", "Level out", _LEVEL, dynamics.compressed_level_db),
            Result("reduction_db", "Taken off", DECIBELS, dynamics.gain_reduction_db),
        ),
        line="{level_db} in, threshold {threshold_db}, {ratio}, knee {knee_db}: {out_db} out, {reduction_db} off",
        slips=(
            Slip(
                "what is left above the threshold",
                lambda level_db, threshold_db, ratio: (level_db - threshold_db) / ratio,
                "That is how far it comes out above the threshold: add the threshold.",
            ),
            Slip(
                "level divided by the ratio",
                lambda level_db, ratio: level_db / ratio,
                "Only what is above the threshold is divided.",
            ),
        ),
        notes=(
            Note(
                "Below the threshold: nothing happens.",
                lambda reduction_db: reduction_db == 0,
            ),
        ),
        caution="A limiter protects loudspeakers, not hearing; on monitors leave compression to who knows it.",
        picture="compression curve",
        words="compressor limiter compression threshold ratio knee gain reduction dynamics",
    ),
    Calculator(
        key="Q from octaves",
        question="What Q is this bandwidth?",
        moment="sound check",
        inputs=(Input("octaves", "Bandwidth", OCTAVES, 1 / 3),),
        results=(Result("q", "Q", Q, equalisers.q_from_octaves),),
        line="{octaves} = Q {q}",
        slips=(
            Slip(
                "one over the octaves",
                lambda octaves: 1 / octaves,
                "Octaves are ratios: a third of an octave is a Q of 4.32, an octave 1.41.",
            ),
        ),
        caution="Between the points of half the gain of a bell; desks differ in what they call bandwidth.",
        picture="bell",
        words="bandwidth equaliser parametric width",
    ),
    Calculator(
        key="centre of a band",
        question="Where is the middle of this band?",
        moment="sound check",
        inputs=(Input("lower_hz", "From", FREQUENCY, 250), Input("upper_hz", "To", FREQUENCY, 500)),
        results=(Result("centre_hz", "Centre", FREQUENCY, equalisers.centre_frequency_hz),),
        line="{lower_hz} to {upper_hz}: {centre_hz}",
        slips=(
            Slip(
                "halfway in hertz",
                lambda lower_hz, upper_hz: (lower_hz + upper_hz) / 2,
                "Ears hear ratios: the centre is as many octaves from one edge as from the other.",
            ),
        ),
        caution="For setting one filter over a band; the ear decides how deep.",
        words="geometric mean equaliser middle frequency",
    ),
    Calculator(
        key="nearest third-octave",
        question="Which fader of a graphic equaliser is nearest?",
        moment="sound check",
        inputs=(Input("frequency_hz", "Frequency", FREQUENCY, 2822),),
        results=(Result("band_hz", "Third-octave", FREQUENCY, weighting.nearest_third_octave_hz),),
        line="{frequency_hz}: third-octave {band_hz}",
        slips=(
            Slip(
                "nearest by subtraction",
                _by_subtraction,
                "Bands are even in ratio, not in hertz: compare by how many times, not by how many.",
            ),
        ),
        caution="Ring out with nobody in in-ears, stage clear, slowly; a cut deeper than it needs to be takes level.",
        words="graphic howl squeal band feedback ring fader frequency",
    ),
)
