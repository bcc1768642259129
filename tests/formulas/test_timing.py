"""Speed of sound, delays, combs and latency against printed values, an equation of state, libraries and geometry."""

import ast
import inspect
import math
from fractions import Fraction

import numpy as np
import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas import timing
from gigsums.formulas.timing import (
    comb_nulls_hz,
    delay_drift_ms,
    delay_ms,
    fill_delay_ms,
    latency_ms,
    ms_to_samples,
    phase_deg,
    samples_to_ms,
    speed_of_sound,
    tempo_delay_ms,
    wavelength_m,
)
from published import half_step, reference

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


def air_rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("air_speed.csv", *quantities, **options), ids=str)


# dry air


@pytest.mark.outside("timing.speed_of_sound")
@air_rows("speed of sound, ideal-gas 331.3*sqrt(1+T/273.15)")
def test_speed_is_that_of_a_library(row):
    assert speed_of_sound(row.named["T"]) == half_step(row)


@air_rows("speed of sound, reference formula of ISO 9613-1")
def test_the_convention_lies_just_above_that_of_iso_9613(row):
    above = speed_of_sound(row.named["T"]) - row.answer
    assert 0.01 < above < 0.02


@air_rows("speed of sound in dry air, equation of state", "speed of sound in dry air, tabulated")
def test_the_convention_lies_below_the_equation_of_state_and_the_older_handbook(row):
    below = row.answer - speed_of_sound(row.named["T"])
    assert 0.1 < below < (0.15 if "equation" in row.quantity else 1.8)


@given(st.floats(-20, 49), st.floats(0.1, 1))
def test_warmer_is_faster_by_0_6_a_degree(temperature, step):
    slope = (speed_of_sound(temperature + step) - speed_of_sound(temperature)) / step
    assert 0.55 < slope < 0.63


@given(st.floats(75, 102))
def test_pressure_makes_no_difference_to_an_ideal_gas(pressure):
    assert speed_of_sound(20, pressure_kpa=pressure) == speed_of_sound(20)


# damp air


@pytest.mark.outside("timing.speed_of_sound")
@air_rows("speed of sound, Cramer 1993")
def test_speed_in_damp_air_is_that_of_pyfar(row):
    speed = speed_of_sound(row.named["T"], row.named["RH"], row.named["p"] / 1000)
    assert speed == half_step(row)


@pytest.mark.outside("timing.speed_of_sound")
@pytest.mark.parametrize("pressure_kpa", [75, 88.8, 102])
@pytest.mark.parametrize("humidity", [0, 37, 100])
@pytest.mark.parametrize("temperature", [0, 7.5, 30])
def test_speed_in_thin_and_damp_air_is_that_of_pyfar(temperature, humidity, pressure_kpa):
    expected = pyfar.constants.speed_of_sound_cramer(temperature, humidity / 100, 425, 1000 * pressure_kpa)
    assert speed_of_sound(temperature, humidity, pressure_kpa) == pytest.approx(float(expected), abs=1e-9)


@pytest.mark.outside("timing.speed_of_sound")
@air_rows("speed of sound in humid air, thermodynamic model")
def test_speed_in_damp_air_is_near_that_of_an_equation_of_state(row):
    one_in_ten_thousand = 1e-4
    speed = speed_of_sound(row.named["T"], row.named["RH"], row.named["p"] / 1000)
    assert speed == pytest.approx(row.answer, rel=one_in_ten_thousand)


def test_the_coefficients_are_the_published_ones():
    tree = ast.parse(inspect.getsource(timing))
    numbers = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    names = [f"Cramer 1993 polynomial coefficient a{order}" for order in range(16)]
    published = [abs(row.answer) for row in reference("air_speed.csv", *names)]
    assert len(published) == 16
    assert set(published) <= numbers


def test_pressure_is_one_atmosphere_and_air_20_degrees_where_none_is_given():
    assert speed_of_sound() == speed_of_sound(20)
    assert speed_of_sound(20, 50) == speed_of_sound(20, 50, 101.325)


@given(st.floats(0, 30), st.floats(0, 99), st.floats(0.1, 1))
def test_damper_is_faster(temperature, humidity, step):
    assert speed_of_sound(temperature, humidity + step) > speed_of_sound(temperature, humidity)


@pytest.mark.parametrize("temperature", [-0.1, 30.1])
def test_humidity_is_refused_where_the_polynomial_was_not_fitted(temperature):
    assert speed_of_sound(temperature) > 0
    with pytest.raises(ValueError, match=r"^temperature_c is .* °C; it may be from 0 to 30 °C"):
        speed_of_sound(temperature, humidity_percent=50)


RATES = [(1, 8000), (64, 48_000), (441, 44_100), (1000, 96_000)]


@pytest.mark.outside("timing.samples_to_ms")
@pytest.mark.parametrize(("samples", "rate"), RATES)
def test_samples_last_as_long_as_in_a_signal_of_pyfar(samples, rate):
    signal = pyfar.Signal(np.zeros(samples + 1), rate)
    assert samples_to_ms(samples, rate) == pytest.approx(1000 * signal.times[-1])


@pytest.mark.outside("timing.ms_to_samples")
@pytest.mark.parametrize(("samples", "rate"), RATES)
def test_the_time_of_a_signal_of_pyfar_is_its_samples(samples, rate):
    signal = pyfar.Signal(np.zeros(samples + 1), rate)
    assert ms_to_samples(1000 * signal.times[-1], rate) == pytest.approx(samples)


@rows("delay of a number of samples")
def test_samples_last_as_long_as_given(row):
    assert samples_to_ms(row.named["samples"], row.named["fs"]) == half_step(row)


@rows("samples in a delay")
def test_a_time_holds_the_samples_given(row):
    assert ms_to_samples(row.named["delay"], row.named["fs"]) == half_step(row)


def test_the_sample_rate_is_48_kilohertz_where_none_is_given():
    assert samples_to_ms(96) == 2
    assert ms_to_samples(2) == 96
    assert latency_ms(96) == 2


@given(st.floats(0, 1e6), st.floats(8000, 192_000))
def test_there_and_back_is_the_same(time, rate):
    assert samples_to_ms(ms_to_samples(time, rate), rate) == pytest.approx(time)


@given(
    st.lists(st.integers(0, 4096), min_size=1, max_size=6),
    st.sampled_from([44_100, 48_000, 96_000]),
    st.tuples(*[st.integers(0, 50)] * 3),
)
def test_latency_is_the_exact_fraction(buffers, rate, others):
    exact = sum(Fraction(1000 * samples, rate) for samples in buffers) + sum(others)
    assert latency_ms(buffers, rate, *others) == pytest.approx(float(exact))


def test_each_buffer_may_have_its_own_rate():
    both = latency_ms([64, 64], [48_000, 96_000])
    assert both == pytest.approx(samples_to_ms(64, 48_000) + samples_to_ms(64, 96_000))


def test_one_link_may_be_compared_with_another():
    latencies = latency_ms([64, 64], radio_ms=[0, 3, 5], converters_ms=1)
    assert latencies == pytest.approx(latency_ms([64, 64]) + 1 + np.array([0, 3, 5]))


def test_worked_example_of_a_chain():
    assert round(latency_ms([64, 64], 48_000), 2) == 2.67
    assert delay_ms(0.92) == pytest.approx(latency_ms([64, 64]), abs=0.02)


def test_shapes_that_do_not_go_together_are_refused():
    with pytest.raises(ValueError, match="shapes do not go together"):
        latency_ms([64, 64], [48_000, 48_000, 48_000])


# ranges

AIR, FAR, RATE = Span(-20, 50), Span(0, 100_000), Span(1, 1e6)
CONTRACTS = {
    delay_ms: {"distance_m": FAR, "temperature_c": AIR},
    delay_drift_ms: {"distance_m": FAR, "temperature_c": AIR, "later_temperature_c": AIR},
    tempo_delay_ms: {"tempo_bpm": Span(1, 1000), "beats": Span(0, 1000, above=True)},
    phase_deg: {"time_ms": Span(-1e6, 1e6), "frequency_hz": Span(0, 1e6)},
    wavelength_m: {"frequency_hz": Span(0.1, 1e6), "temperature_c": AIR},
    speed_of_sound: {"temperature_c": AIR, "pressure_kpa": Span(75, 102)},
    samples_to_ms: {"samples": Span(0, 1e12), "sample_rate_hz": RATE},
    ms_to_samples: {"time_ms": Span(0, 1e12), "sample_rate_hz": RATE},
}


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


def test_speed_in_damp_air_keeps_to_its_range():
    damp = {"humidity_percent": Span(0, 100, optional=True), "pressure_kpa": Span(75, 102)}
    holds_to_its_range(speed_of_sound, {"temperature_c": Span(0, 30)} | damp)


def test_fills_combs_and_chains_keep_to_their_ranges():
    offset = {"temperature_c": AIR, "offset_ms": Span(0, 100)}
    holds_to_its_range(fill_delay_ms, {"main_distance_m": FAR} | offset, own_distance_m=0)
    holds_to_its_range(fill_delay_ms, {"own_distance_m": FAR} | offset, main_distance_m=100_000)
    paths = {
        "path_difference_m": Span(1e-6, 100_000),
        "temperature_c": AIR,
        "count": Span(1, 10_000, whole=True),
    }
    holds_to_its_range(comb_nulls_hz, paths, None, count=1)
    times = dict.fromkeys(("converters_ms", "network_ms", "radio_ms"), Span(0, 1e6))
    holds_to_its_range(latency_ms, {"buffer_samples": Span(0, 1e9), "sample_rate_hz": RATE} | times, None)
    holds_to_its_range(latency_ms, times, buffer_samples=64)
