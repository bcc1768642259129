"""Dynamics against published curves, a running compressor and the smoother's own step response."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import lfilter

from contract import Span, holds_to_its_range
from gigsums.formulas.dynamics import (
    compressed_level_db,
    expanded_level_db,
    gain_reduction_db,
    limited_level_db,
    smoothing_coefficient,
)
from published import reference

pytestmark = pytest.mark.filterwarnings("error")
FILE = "dynamics.csv"
SILENCE = -math.inf


def rows(*quantities):
    return pytest.mark.parametrize("row", reference(FILE, *quantities), ids=str)


def curve(row):
    named = row.named
    return named["input"], named["threshold"], named["ratio"], named.get("knee", 0.0)


# compressor


@pytest.mark.outside("dynamics.compressed_level_db")
@pytest.mark.outside("dynamics.gain_reduction_db")
@rows("steady output of a compressor, square wave")
def test_a_running_compressor_settles_on_the_curve(row):
    level, threshold, ratio, knee = curve(row)
    assert compressed_level_db(level, threshold, ratio, knee) == pytest.approx(row.answer, abs=row.within)
    assert gain_reduction_db(level, threshold, ratio) == pytest.approx(level - row.answer, abs=row.within)


@pytest.mark.outside("dynamics.compressed_level_db")
@rows("steady output of a hard-knee compressor (peak of a 1 kHz sine)")
def test_a_running_compressor_holds_a_sine_near_the_curve(row):
    level, threshold, ratio = row.named["input peak"], row.named["threshold"], row.named["ratio"]
    assert compressed_level_db(level, threshold, ratio) == pytest.approx(row.answer, abs=row.within)


@rows("static compression curve")
def test_the_curve_by_the_paper(row):
    reduction = float(row.source.split("gain reduction ")[1].split(" dB")[0])
    assert compressed_level_db(*curve(row)) == pytest.approx(row.answer, abs=row.within)
    assert gain_reduction_db(*curve(row)) == pytest.approx(reduction, abs=row.within)


@rows("gain reduction at the threshold of a soft knee")
def test_reduction_at_the_threshold_of_a_soft_knee(row):
    threshold, ratio, knee = (row.named[name] for name in ("T", "R", "W"))
    assert gain_reduction_db(threshold, threshold, ratio, knee) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("dynamics.compressed_level_db")
@pytest.mark.outside("dynamics.gain_reduction_db")
@rows("definition of ratio")
@pytest.mark.parametrize("ratio", [1.5, 4, 20])
def test_ratio_is_the_input_step_that_moves_the_output_by_1_db(row, ratio):
    assert row.expected == "input step in dB that moves the output by 1 dB"
    quiet, loud = compressed_level_db([-10, -10 + ratio], -30, ratio)
    assert loud - quiet == pytest.approx(1)
    less, more = gain_reduction_db([-10, -10 + ratio], -30, ratio)
    assert more - less == pytest.approx(ratio - 1)


@rows("overshoot above threshold at the output")
def test_what_is_left_above_the_threshold(row):
    ratio, over = row.named["ratio"], row.numbers[-1]
    assert compressed_level_db(-20 + over, -20, ratio) + 20 == pytest.approx(row.answer, abs=row.within)


@rows("knee position")
def test_the_knee_is_centred_on_the_threshold(row):
    """Two standards differ; the choice made here is the paper's, not that of the row."""
    assert row.expected == "identity up to threshold; knee spans threshold to threshold+knee"
    assert compressed_level_db(-20, -20, 4, knee_db=10) < -20.9
    assert compressed_level_db(-25, -20, 4, knee_db=10) == -25
    assert compressed_level_db(-15, -20, 4, knee_db=10) == compressed_level_db(-15, -20, 4)


@pytest.mark.parametrize(("ratio", "knee"), [(2, 6), (4, 10), (20, 3)])
def test_inside_the_knee_the_slope_falls_evenly_from_1_to_1_over_ratio(ratio, knee):
    """Build the knee another way: integrate a slope that is a straight line across it."""
    levels = np.linspace(-knee / 2, knee / 2, 2001)
    slope = np.interp(levels, levels[[0, -1]], [1, 1 / ratio])
    steps = (slope[1:] + slope[:-1]) / 2 * np.diff(levels)
    built = np.concatenate([[0], np.cumsum(steps)]) - knee / 2
    np.testing.assert_allclose(compressed_level_db(levels, 0, ratio, knee), built, atol=1e-9)


def test_the_worked_shout():
    assert compressed_level_db(-8, -20, 4) == -17
    assert gain_reduction_db(-8, -20, 4) == 9
    assert compressed_level_db(-26, -20, 4) == -26


def test_a_hard_knee_turns_at_the_threshold_itself():
    assert gain_reduction_db(-20, -20, 4) == 0
    assert gain_reduction_db([-20.001, -19.999], -20, 2).tolist() == pytest.approx([0, 0.0005])


# expander


@pytest.mark.outside("dynamics.expanded_level_db")
@rows("steady output of a downward expander")
def test_a_running_expander_settles_on_the_curve(row):
    level, threshold, ratio, _ = curve(row)
    assert expanded_level_db(level, threshold, ratio) == pytest.approx(row.answer, abs=row.within)


@rows("expander/gate gain reduction below threshold")
def test_what_an_expander_takes_off(row):
    ratio, under = row.named["R"], row.numbers[2]
    assert -40 - under - expanded_level_db(-40 - under, -40, ratio) == pytest.approx(
        row.answer, abs=row.within
    )


def test_an_expander_undoes_a_compressor():
    """Below its threshold the expander stretches what the compressor squeezed above its own, mirrored."""
    levels = np.linspace(-30, 30, 61)
    mirrored = -compressed_level_db(-levels, 0, 4)
    np.testing.assert_allclose(expanded_level_db(mirrored, 0, 4), levels)


# limiter


@pytest.mark.outside("dynamics.limited_level_db")
@rows("steady output of a compressor at a ratio of a million", "limiter limit of the static curve")
def test_a_compressor_without_end_is_a_limiter(row):
    level = row.named.get("input", row.named.get("x"))
    threshold = row.named.get("threshold", row.named.get("T"))
    assert limited_level_db(level, threshold) == pytest.approx(row.answer, abs=row.within)


# smoother


def step_response(coefficient, samples):
    return lfilter([1 - coefficient], [1, -coefficient], np.ones(samples))


@pytest.mark.outside("dynamics.smoothing_coefficient")
@rows("step response after one time constant")
def test_a_step_has_gone_63_percent_after_the_time(row):
    tau, rate = row.named["tau"], row.named["fs"]
    went = step_response(smoothing_coefficient(tau, rate), round(tau / 1000 * rate))[-1]
    assert went == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("dynamics.smoothing_coefficient")
@rows("step response after k time constants")
def test_a_step_after_several_times(row):
    times = int(row.named["k"])
    went = step_response(smoothing_coefficient(10, 44_100), 441 * times)[-1]
    assert went == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("dynamics.smoothing_coefficient")
@rows("decay of the time weighting of a sound level meter")
def test_a_level_meter_falls_as_fast_as_the_standard_wants(row):
    coefficient = smoothing_coefficient(row.named["tau"] * 1000)
    mean_square = lfilter([1 - coefficient], [1, -coefficient], np.zeros(48_001), zi=[1.0])[0]
    fall = 10 * math.log10(mean_square[0] / mean_square[-1])
    assert fall == pytest.approx(row.answer, abs=row.within)


@rows("one-pole smoothing coefficient")
def test_the_coefficient_by_the_paper(row):
    coefficient = smoothing_coefficient(row.named["tau"] * 1000, row.named["fs"])
    assert coefficient == pytest.approx(row.answer, abs=row.within)


@rows("time to reach 90 % of a step")
def test_90_percent_after_2_3_times(row):
    response = step_response(smoothing_coefficient(100), 48_000)
    assert (np.argmax(response >= 0.9) + 1) / 4800 == pytest.approx(row.answer, abs=1 / 4800)


@rows("attack time as 10-90 % rise time")
def test_rise_time(row):
    response = step_response(smoothing_coefficient(row.named["tau"], 1e6), 100_000)
    rise = (np.argmax(response >= 0.9) - np.argmax(response >= 0.1)) / 1000
    assert rise == pytest.approx(row.answer, abs=0.001)


def test_the_usual_sampling_rate_is_48_khz():
    assert smoothing_coefficient(5) == smoothing_coefficient(5, 48_000)
    assert smoothing_coefficient(5) != smoothing_coefficient(5, 48_001)


# properties of all
levels = st.floats(-1000, 1000) | st.just(SILENCE)
thresholds = st.floats(-1000, 1000)
ratios = st.floats(1, 1e6)
knees = st.floats(0, 1000)


@given(levels, thresholds, ratios, knees)
def test_a_compressor_never_lifts_and_stays_between_line_and_limiter(level, threshold, ratio, knee):
    out, off = (
        compressed_level_db(level, threshold, ratio, knee),
        gain_reduction_db(level, threshold, ratio, knee),
    )
    assert type(out) is float
    assert type(off) is float
    assert math.isfinite(off)
    assert off >= 0
    assert out <= level
    assert out >= limited_level_db(level, threshold) - knee / 8 - 1e-9
    if level > SILENCE:
        assert math.isfinite(out)
        assert out + off == pytest.approx(level)
    assert compressed_level_db(level, threshold, 1, knee) == level


@given(st.lists(levels, min_size=1), thresholds, ratios, knees)
def test_louder_in_is_never_quieter_out(levels, threshold, ratio, knee):
    levels = np.sort(levels)
    for out in (
        compressed_level_db(levels, threshold, ratio, knee),
        expanded_level_db(levels, threshold, ratio),
        limited_level_db(levels, threshold),
    ):
        assert out.shape == levels.shape
        assert (out[1:] >= out[:-1] - 1e-9).all()


@given(levels, thresholds, ratios)
def test_expander_and_limiter_leave_one_side_alone(level, threshold, ratio):
    expanded, limited = expanded_level_db(level, threshold, ratio), limited_level_db(level, threshold)
    assert type(expanded) is float
    assert type(limited) is float
    assert expanded <= level
    assert limited == min(level, threshold)
    if level >= threshold:
        assert expanded == pytest.approx(level, abs=1e-9)
    if level > SILENCE:
        assert math.isfinite(expanded)
        assert expanded_level_db(level, threshold, 1) == pytest.approx(level)


@given(st.floats(0.001, 100_000), st.floats(1, 1e6))
def test_a_coefficient_is_a_share(time, rate):
    coefficient = smoothing_coefficient(time, rate)
    assert type(coefficient) is float
    assert 0 <= coefficient < 1


def test_a_knee_of_almost_nothing_is_a_hard_knee():
    assert gain_reduction_db(-8, -20, 4, knee_db=1e-320) == 9


def test_silence_stays_silence():
    assert compressed_level_db(SILENCE, -20, 4, 10) == SILENCE
    assert gain_reduction_db(SILENCE, -20, 4, 10) == 0
    assert expanded_level_db([SILENCE, 0], -20, [1, 4]).tolist() == [SILENCE, 0]
    assert limited_level_db(SILENCE, -20) == SILENCE


# ranges

LEVEL, THRESHOLD, RATIO, KNEE = (
    Span(-1000, 1000, silence=True),
    Span(-1000, 1000),
    Span(1, 1e6),
    Span(0, 1000),
)
CONTRACTS = {
    compressed_level_db: {"level_db": LEVEL, "threshold_db": THRESHOLD, "ratio": RATIO, "knee_db": KNEE},
    gain_reduction_db: {"level_db": LEVEL, "threshold_db": THRESHOLD, "ratio": RATIO, "knee_db": KNEE},
    expanded_level_db: {"level_db": LEVEL, "threshold_db": THRESHOLD, "ratio": RATIO},
    limited_level_db: {"level_db": LEVEL, "threshold_db": THRESHOLD},
    smoothing_coefficient: {"time_ms": Span(0.001, 100_000), "sample_rate_hz": Span(1, 1e6)},
}


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)
