"""Delays, echoes, combing and phase: printed values, and arrivals and waves built another way."""

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, in_range, out_of_range
from gigsums.formulas import timing
from gigsums.formulas.timing import (
    comb_nulls_hz,
    delay_drift_ms,
    delay_ms,
    fill_delay_ms,
    phase_deg,
    speed_of_sound,
    tempo_delay_ms,
    wavelength_m,
)
from published import reference

FOOT_M = 0.3048
ISO_SPEED = (
    1e-4  # these rows take 343.2 m/s at 20 °C and 331.29 at 0; the convention here is 343.21 and 331.3
)
temperatures = st.floats(-20, 50)
distances = st.floats(0, 300)


def rows(*quantities):
    return pytest.mark.parametrize("row", reference("timing.csv", *quantities), ids=str)


def path_of(delay):
    """Path difference in metres of a delay in air at freezing, from the printed speed of 331.3 m/s."""
    return 0.3313 * delay


# delay


@pytest.mark.outside("timing.delay_ms")
@rows("path difference for a delay")
def test_the_printed_path_takes_the_printed_time(row):
    milliseconds, feet_a_second = row.numbers
    temperature = 273.15 * ((feet_a_second * FOOT_M / 331.3) ** 2 - 1)
    half_a_step = row.within / row.answer * milliseconds
    assert delay_ms(row.answer * FOOT_M, temperature) == pytest.approx(milliseconds, abs=half_a_step)


@rows("acoustic delay")
def test_delay_is_that_of_the_neighbouring_convention(row):
    assert delay_ms(row.named["distance"], row.named["T"]) == pytest.approx(row.answer, rel=ISO_SPEED)


@given(distances, distances, temperatures)
def test_delays_of_two_stretches_add(first, second, temperature):
    both = delay_ms(first, temperature) + delay_ms(second, temperature)
    assert delay_ms(first + second, temperature) == pytest.approx(both, abs=1e-9)


@given(temperatures)
def test_in_one_delay_sound_covers_the_distance(temperature):
    step_s, travelled = 1e-3, 0.0
    for _ in range(100):
        travelled += speed_of_sound(temperature) * step_s
    assert delay_ms(travelled, temperature) == pytest.approx(100)


# fills


@rows("delay of a fill loudspeaker so the main sound arrives first")
def test_fill_delay_is_that_of_the_neighbouring_convention(row):
    own, main, temperature, offset = row.numbers
    assert fill_delay_ms(main, own, temperature, offset) == pytest.approx(row.answer, rel=ISO_SPEED)


@given(st.floats(20, 300), st.floats(0, 20), temperatures, st.floats(0, 100))
def test_the_fill_is_heard_the_offset_after_the_main(main, own, temperature, offset):
    leaves = fill_delay_ms(main, own, temperature, offset)
    heard = leaves + delay_ms(own, temperature)
    assert heard - delay_ms(main, temperature) == pytest.approx(offset, abs=1e-9)


def test_the_offset_is_10_ms_at_20_degrees_where_none_is_given():
    assert fill_delay_ms(10, 10) == 10
    assert fill_delay_ms(20, 10) == fill_delay_ms(20, 10, 20, 10)


def test_a_fill_that_would_have_to_play_early_is_refused():
    most = 10 + 0.01 * speed_of_sound(20)
    assert fill_delay_ms(10, most - 1e-6) == pytest.approx(0, abs=1e-4)
    with pytest.raises(ValueError, match=r"^own_distance_m is 14 m; it may be up to 13.43 m here, .* main"):
        fill_delay_ms(10, [5, 14, 12])
    with pytest.raises(ValueError, match=r"^own_distance_m is 45 m; it may be up to 44.32 m here"):
        fill_delay_ms(10, 45, offset_ms=100)
    assert fill_delay_ms(10, 10, offset_ms=0) == 0


# drift


@rows("change of delay with temperature")
def test_drift_is_that_of_the_neighbouring_convention(row):
    distance, before, after = row.numbers
    assert -delay_drift_ms(distance, before, after) == pytest.approx(row.answer, rel=ISO_SPEED)


@given(distances, temperatures, temperatures)
def test_drift_is_the_later_delay_less_the_first(distance, before, after):
    later = delay_ms(distance, before) + delay_drift_ms(distance, before, after)
    assert later == pytest.approx(delay_ms(distance, after), abs=1e-9)


def test_cooling_air_lengthens_the_delay():
    assert delay_drift_ms(35, 18, 8) > 0 > delay_drift_ms(35, 8, 18)


# echoes in time


@given(st.floats(20, 300))
def test_the_echoes_of_a_minute_are_the_beats(tempo):
    assert tempo * tempo_delay_ms(tempo) == pytest.approx(60_000)
    assert tempo_delay_ms(tempo, beats=4) == pytest.approx(4 * tempo_delay_ms(tempo))


# combing


@pytest.mark.outside("timing.comb_nulls_hz")
@rows("first null of a comb filter")
def test_the_first_null_is_the_printed_one(row):
    (null,) = comb_nulls_hz(path_of(row.named["delay"]), 0)
    assert null == pytest.approx(row.answer)


@pytest.mark.outside("timing.comb_nulls_hz")
@rows("spacing of nulls and of peaks", "comb peak spacing")
def test_the_nulls_lie_as_far_apart_as_printed(row):
    nulls = comb_nulls_hz(path_of(row.named["delay"]), 0, count=5)
    assert np.diff(nulls) == pytest.approx(np.full(4, row.answer))


@given(st.floats(0.01, 20), temperatures)
def test_a_tone_and_its_copy_cancel_at_the_nulls(path, temperature):
    time = np.arange(64) / 64
    for null in comb_nulls_hz(path, temperature, count=3):
        cycles_late = null * path / speed_of_sound(temperature)
        tone = np.sin(2 * np.pi * time) + np.sin(2 * np.pi * (time - cycles_late))
        assert np.abs(tone).max() < 1e-9
    halfway = (comb_nulls_hz(path, temperature, 2) / 2).sum() * path / speed_of_sound(temperature)
    assert halfway == pytest.approx(round(halfway))


def test_nulls_have_an_axis_of_their_own():
    assert comb_nulls_hz(0.5).shape == (1,)
    nulls = comb_nulls_hz([[0.5], [1.0]], [0, 10, 20], count=4)
    assert nulls.shape == (2, 3, 4)
    assert nulls[1, 2].tolist() == comb_nulls_hz(1.0, 20, 4).tolist()


@pytest.mark.parametrize("count", [0, -1, 1.5, 10_001, "3", None, math.nan, True])
def test_a_count_that_is_none_is_refused(count):
    with pytest.raises(ValueError, match=r"^count is "):
        comb_nulls_hz(0.5, count=count)


def test_several_counts_are_refused():
    with pytest.raises(ValueError, match=r"^count is \[1, 2\]; one whole number is wanted"):
        comb_nulls_hz(0.5, count=[1, 2])


# phase and wavelength


@rows("phase difference of a path difference")
def test_phase_is_that_of_the_neighbouring_convention(row):
    given_ = row.named
    phase = phase_deg(delay_ms(given_["path"]), given_["f"])
    assert phase == pytest.approx(row.answer, rel=ISO_SPEED)


@given(st.floats(0, 1), st.integers(1, 30))
def test_phase_is_the_angle_between_the_waves(part_of_a_second, cycles):
    instants = np.arange(64) / 64
    tone, late = (
        np.cos(2 * np.pi * cycles * instants),
        np.cos(2 * np.pi * cycles * (instants - part_of_a_second)),
    )
    angle = np.angle(np.fft.rfft(tone)[cycles] / np.fft.rfft(late)[cycles], deg=True)
    difference = phase_deg(1000 * part_of_a_second, cycles) - angle
    assert math.remainder(difference, 360) == pytest.approx(0, abs=1e-6)


def test_whole_turns_are_kept_and_an_early_sound_turns_back():
    assert phase_deg(10, 250) == 900
    assert phase_deg(-2, 100) == -72


@rows("wavelength in air")
def test_wavelength_is_that_of_the_neighbouring_convention(row):
    assert wavelength_m(row.named["f"]) == pytest.approx(row.answer, rel=ISO_SPEED)


@given(st.floats(20, 20_000), temperatures)
def test_a_wavelength_is_a_whole_turn_and_a_whole_period(frequency, temperature):
    length = wavelength_m(frequency, temperature)
    assert phase_deg(delay_ms(length, temperature), frequency) == pytest.approx(360)
    assert comb_nulls_hz(length / 2, temperature)[0] == pytest.approx(frequency)


def test_worked_examples_of_the_trade():
    assert round(speed_of_sound(20), 1) == 343.2
    assert round(delay_ms(25, 20), 1) == 72.8
    assert round(fill_delay_ms(40, 8, 20), 1) == 103.2
    assert round(delay_drift_ms(35, 18, 8), 1) == 1.8
    assert tempo_delay_ms(96) == 625
    assert round(tempo_delay_ms(96, 0.75)) == 469
    assert round(tempo_delay_ms(96, 1 / 3)) == 208
    assert comb_nulls_hz(0.5).round() == [343]
    assert phase_deg(2, 100) == 72
    assert round(wavelength_m(63), 2) == 5.45
    assert round(wavelength_m(63) / 4, 2) == 1.36
    assert round(delay_ms(wavelength_m(63) / 4), 2) == 3.97


# the contract of every formula

AIR = Span(-20, 50)
FAR = Span(0, 100_000)
CONTRACTS = {
    delay_ms: {"distance_m": FAR, "temperature_c": AIR},
    delay_drift_ms: {"distance_m": FAR, "temperature_c": AIR, "later_temperature_c": AIR},
    tempo_delay_ms: {"tempo_bpm": Span(1, 1000), "beats": Span(0, 1000, above=True)},
    phase_deg: {"time_ms": Span(-1e6, 1e6), "frequency_hz": Span(0, 1e6)},
    wavelength_m: {"frequency_hz": Span(0.1, 1e6), "temperature_c": AIR},
}


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
@given(data=st.data())
def test_contract(function, spans, data):
    in_range(function, spans, data)
    out_of_range(function, spans, data)


@given(data=st.data())
def test_contract_of_fills(data):
    near = {"own_distance_m": Span(0, 100), "temperature_c": AIR, "offset_ms": Span(0, 100)}
    in_range(lambda **arguments: fill_delay_ms(100, **arguments), near, data)
    near["main_distance_m"] = Span(100, 100_000)
    near["own_distance_m"] = Span(0, 0)
    wrong = data.draw(st.sampled_from(["main_distance_m", "own_distance_m", "temperature_c", "offset_ms"]))
    spans = {"main_distance_m": FAR, "own_distance_m": FAR, "temperature_c": AIR, "offset_ms": Span(0, 100)}
    arguments = {name: data.draw(span.inside()) for name, span in near.items()}
    arguments[wrong] = data.draw(spans[wrong].outside())
    with pytest.raises(ValueError, match=rf"^{wrong} is "):
        fill_delay_ms(**arguments)


@given(data=st.data())
def test_contract_of_combs(data):
    spans = {"path_difference_m": Span(1e-6, 100_000), "temperature_c": AIR}
    out_of_range(comb_nulls_hz, spans, data)
    count = data.draw(st.integers(1, 20))
    nulls = comb_nulls_hz(**{name: data.draw(span.inside()) for name, span in spans.items()}, count=count)
    assert nulls.shape == (count,)
    assert np.isfinite(nulls).all()
    assert (np.diff(nulls) > 0).all()


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_edges(function, spans):
    holds_to_its_edges(function, spans)


def test_edges_of_fills_and_combs():
    spans = {"main_distance_m": FAR, "own_distance_m": FAR, "temperature_c": AIR, "offset_ms": Span(0, 100)}
    near = {"main_distance_m": 100_000, "own_distance_m": 0}
    holds_to_its_edges(
        fill_delay_ms, {"main_distance_m": FAR}, own_distance_m=0, temperature_c=20, offset_ms=10
    )
    del spans["main_distance_m"]
    holds_to_its_edges(fill_delay_ms, spans, **near)
    paths = {"path_difference_m": Span(1e-6, 100_000), "temperature_c": AIR}
    holds_to_its_edges(comb_nulls_hz, paths | {"count": Span(1, 10_000, whole=True)}, count=1)


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(timing)
    assert results.attempted > 0
    assert results.failed == 0
