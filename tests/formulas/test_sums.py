"""Levels added, taken away and averaged: printed tables and worked days, libraries, and waves added."""

import doctest
import math

import numpy as np
import pytest
from acoustic_toolbox.decibel import dbmean, dbsub, dbsum
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, out_of_range
from gigsums.formulas import decibels
from gigsums.formulas.decibels import (
    amplitude_to_db,
    average_level,
    power_to_db,
    subtract_level,
    sum_levels,
    sum_levels_in_phase,
    sum_two_tones,
)
from published import half_step, reference

SUMS = [[90, 84, 71.5], [40, 40, 40, 39.9], [-20, 3, 12, 12.5, 88]]
DB = Span(-3000, 3000)


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("decibels.csv", *quantities, **options), ids=str)


@pytest.mark.outside("decibels.sum_levels")
@rows("incoherent sum", "incoherent sum read from chart")
def test_unrelated_sources_add_up_to_the_printed_level(row):
    assert sum_levels(row.numbers) == half_step(row)


@pytest.mark.outside("decibels.sum_levels")
@pytest.mark.parametrize("levels", SUMS, ids=str)
def test_unrelated_sources_add_up_as_in_a_library(levels):
    assert sum_levels(levels) == pytest.approx(dbsum(levels))


@pytest.mark.outside("decibels.sum_levels_in_phase")
@rows("coherent (in-phase) sum")
def test_feeds_in_phase_add_up_to_the_printed_level(row):
    assert sum_levels_in_phase(row.numbers) == half_step(row)


@pytest.mark.outside("decibels.sum_levels_in_phase")
@rows("peak of two equal in-phase signals", "two equal in-phase sine waves above either one")
def test_two_equal_feeds_in_phase_add_the_printed_6_db(row):
    assert sum_levels_in_phase([0, 0]) == half_step(row)


@pytest.mark.outside("decibels.sum_two_tones")
@rows("sum of two equal tones of one frequency with a phase difference")
def test_two_tones_give_the_printed_table(row):
    first, phase_a, second, phase_b = row.numbers
    assert sum_two_tones(first, second, phase_b - phase_a) == half_step(row)


@pytest.mark.outside("decibels.sum_two_tones")
@rows("sum of two equal signals re one of them")
def test_two_tones_give_the_phasors_of_numpy(row):
    assert sum_two_tones(0, 0, row.numbers[0]) == half_step(row)


@rows("two-source sum: peak; dip; ripple")
def test_unequal_tones_reach_the_peak_and_the_dip(row):
    difference = row.numbers[0]
    peak, dip = (float(part) for part in row.expected.split(";")[:2])
    assert sum_two_tones(0, -difference, 0) == half_step(row, peak)
    assert sum_two_tones(-difference, 0, 180) == half_step(row, dip)


@given(st.floats(-60, 60), st.floats(-60, 60), st.floats(-720, 720))
def test_two_tones_are_the_rms_of_the_waves_added(first, second, phase):
    angle = 2 * np.pi * np.arange(64) / 64
    waves = 10 ** (first / 20) * np.sin(angle) + 10 ** (second / 20) * np.sin(angle + np.deg2rad(phase))
    rms = math.sqrt(2 * np.mean(waves**2))
    pressure = 10 ** (sum_two_tones(first, second, phase) / 20)
    assert pressure == pytest.approx(rms, rel=1e-6, abs=1e-9 * 10 ** (max(first, second) / 20))


def test_equal_tones_in_opposition_cancel_wholly():
    for turns in (-540, -180, 180, 540, 180 + 360 * 1000):
        assert sum_two_tones(90, 90, turns) == -math.inf
    assert sum_two_tones(90, 90, 180.01) == pytest.approx(90 + 20 * math.log10(math.radians(0.01)), abs=1e-6)


@pytest.mark.outside("decibels.subtract_level")
@rows("level difference (subtraction of one source)", "background-noise subtraction")
def test_the_rest_is_the_printed_level(row):
    total, part = row.named.values()
    assert subtract_level(total, part) == half_step(row)


@pytest.mark.outside("decibels.subtract_level")
@pytest.mark.parametrize(("total", "part"), [(100, 70), (-3, -3.5)])
def test_the_rest_is_that_of_a_library(total, part):
    assert subtract_level(total, part) == pytest.approx(dbsub(total, part))


@pytest.mark.outside("decibels.average_level")
@rows("energy average (Leq of equal-length intervals)", "energy average of task samples")
def test_the_average_is_the_printed_level(row):
    assert average_level(row.numbers) == half_step(row)


@pytest.mark.outside("decibels.average_level")
@rows("daily noise exposure level of the three-task day")
def test_the_average_over_unequal_times_is_that_of_the_worked_day(row):
    assert average_level(row.numbers[0::2], durations=row.numbers[1::2]) == half_step(row)


@pytest.mark.outside("decibels.average_level")
@pytest.mark.parametrize("levels", SUMS, ids=str)
def test_the_average_is_that_of_a_library(levels):
    assert average_level(levels) == pytest.approx(dbmean(levels))


levels_of_sound = st.lists(st.floats(-100, 200), min_size=1, max_size=8)


@given(levels_of_sound, levels_of_sound)
def test_grouping_and_order_do_not_matter(some, others):
    whole = pytest.approx(sum_levels([*some, *others]))
    assert sum_levels([sum_levels(others), *reversed(some)]) == whole
    whole = pytest.approx(sum_levels_in_phase([*some, *others]))
    assert sum_levels_in_phase([sum_levels_in_phase(others), *reversed(some)]) == whole


@given(levels_of_sound)
def test_in_phase_is_the_most_and_the_loudest_the_least(levels):
    assert max(levels) <= sum_levels(levels) + 1e-9
    assert sum_levels(levels) <= sum_levels_in_phase(levels) + 1e-9


@given(levels_of_sound, st.floats(1, 60))
def test_what_was_added_can_be_taken_away(levels, above):
    part = sum_levels(levels)
    assert subtract_level(sum_levels([part, part + above]), part) == pytest.approx(part + above)


@given(levels_of_sound)
def test_an_average_times_a_count_is_the_sum(levels):
    assert average_level(levels) + power_to_db(len(levels)) == pytest.approx(sum_levels(levels))
    twice = average_level(levels, durations=[2] * len(levels))
    assert twice == pytest.approx(average_level(levels))


def test_silence_adds_nothing_and_a_silent_sum_is_silence():
    assert sum_levels([-math.inf, 70]) == 70
    assert sum_levels_in_phase([-math.inf, 70]) == 70
    assert sum_levels([-math.inf, -math.inf]) == -math.inf
    assert subtract_level(70, -math.inf) == 70
    assert average_level([-math.inf, 70]) == pytest.approx(70 - power_to_db(2))
    assert average_level([-math.inf, 50], durations=[1, 0]) == -math.inf


def test_levels_at_the_ends_of_the_range_do_not_overflow():
    assert sum_levels([3000, 3000]) == pytest.approx(3000 + power_to_db(2))
    assert sum_levels_in_phase([-3000, -3000]) == pytest.approx(-3000 + amplitude_to_db(2))
    assert subtract_level(3000, 2999) == pytest.approx(3000 + subtract_level(0, -1))


def test_sums_run_along_the_axis_named():
    grid = np.array([[90.0, 90.0, -np.inf], [80.0, 70.0, -np.inf]])
    assert sum_levels(grid, axis=0) == pytest.approx([sum_levels(column) for column in grid.T])
    assert sum_levels_in_phase(grid, axis=-1) == pytest.approx([sum_levels_in_phase(row) for row in grid])
    assert average_level(grid, axis=1) == pytest.approx([average_level(row) for row in grid])
    weighted = average_level(grid, durations=[[1], [3]], axis=0)
    assert weighted == pytest.approx([average_level(column, durations=[1, 3]) for column in grid.T])
    assert sum_levels(grid) == pytest.approx(sum_levels(grid.ravel()))
    assert type(sum_levels(grid)) is float


@pytest.mark.parametrize("axis", [2, -3, 0.5, "0", True, (0, 1)])
@pytest.mark.parametrize("function", [sum_levels, sum_levels_in_phase, average_level])
def test_an_axis_that_is_not_there_is_refused(function, axis):
    with pytest.raises(ValueError, match=r"^axis is .*; the levels have 2 axes"):
        function([[90, 80], [70, 60]], axis=axis)


@pytest.mark.parametrize("part", [85, 85.1, [80, 86], [80, 85]])
def test_a_part_as_loud_as_the_total_is_refused(part):
    with pytest.raises(ValueError, match=r"^part_db is 8[56].* dB; it may be anything below total_db, 85 dB"):
        subtract_level(85, part)


def test_an_average_over_no_time_is_refused():
    with pytest.raises(ValueError, match=r"^durations is 0 throughout"):
        average_level([90, 80], durations=[0, 0])
    with pytest.raises(ValueError, match="shapes do not go together"):
        average_level([90, 80], durations=[1, 2, 3])


TONES = {"first_db": DB, "second_db": DB, "phase_deg": Span(-1e9, 1e9)}


@given(data=st.data())
def test_two_tones_keep_the_contract(data):
    out_of_range(sum_two_tones, TONES, data)
    first, second, phase = (data.draw(span.inside()) for span in TONES.values())
    answer = sum_two_tones(first, [second, second], phase)
    assert answer.shape == (2,)
    assert (answer <= max(first, second) + 6.03).all()


@given(data=st.data())
def test_sums_keep_the_contract(data):
    spans = {"levels_db": Span(-3000, 3000, silence=True)}
    for function in (sum_levels, sum_levels_in_phase, average_level):
        out_of_range(function, spans, data)
        levels = data.draw(spans["levels_db"].array((2, 3)))
        assert math.isfinite(function(levels))
        assert np.isfinite(function(levels, axis=0)).all()
        assert function(levels, axis=1).shape == (2,)


@given(data=st.data())
def test_an_average_over_times_keeps_the_contract(data):
    spans = {"levels_db": Span(-3000, 3000, silence=True), "durations": Span(0, 1e9, optional=True)}
    out_of_range(average_level, spans, data)
    levels, times = (data.draw(span.array((4,))) for span in spans.values())
    if times.sum() > 0:
        assert average_level(levels, times) <= max(levels) + 1e-6


@given(data=st.data())
def test_subtraction_keeps_the_contract(data):
    total = data.draw(st.floats(-2999, 3000))
    part = data.draw(st.floats(-3000, total, exclude_max=True))
    assert math.isfinite(subtract_level(total, part))
    spans = {"total_db": DB, "part_db": Span(-3000, -2999, silence=True)}
    wrong = data.draw(st.sampled_from(["total_db", "part_db"]))
    value = data.draw(spans[wrong].outside().filter(lambda v: wrong == "total_db" or not _below_zero(v)))
    with pytest.raises(ValueError, match=rf"^{wrong} is "):
        subtract_level(**{"total_db": 0, "part_db": -3000, wrong: value})


def _below_zero(value) -> bool:
    return isinstance(value, float) and -3000 <= value < 0


def test_edges():
    holds_to_its_edges(sum_two_tones, TONES)
    levels = Span(-3000, 3000, silence=True)
    for function in (sum_levels, sum_levels_in_phase):
        holds_to_its_edges(function, {"levels_db": levels})
    holds_to_its_edges(average_level, {"levels_db": levels})
    # A time of 0 is allowed beside another that is not.
    holds_to_its_edges(lambda durations: average_level([90, 80], [durations, 1]), {"durations": Span(0, 1e9)})
    holds_to_its_edges(subtract_level, {"total_db": DB}, part_db=-math.inf)
    holds_to_its_edges(
        subtract_level, {"part_db": Span(-3000, math.inf, silence=True)}, part_db=0, total_db=3000
    )


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(decibels)
    assert results.attempted > 0
    assert results.failed == 0
