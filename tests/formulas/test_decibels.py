"""Ratios in decibels and the size of recordings; `test_levels` and `test_sums` hold the rest of the module."""

import doctest
import io
import math
import wave

import numpy as np
import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, in_range, out_of_range
from gigsums.formulas import decibels
from gigsums.formulas.decibels import (
    amplitude_to_db,
    average_level,
    db_to_amplitude,
    db_to_power,
    dbfs_to_dbu,
    dbv_to_dbu,
    power_to_db,
    recording_bytes,
    sum_levels,
)
from published import half_step, reference

DB = Span(-3000, 3000)
POSITIVE = Span(0, math.inf, above=True)
CONTRACTS = {
    power_to_db: {"ratio": POSITIVE},
    db_to_power: {"level_db": DB},
    amplitude_to_db: {"ratio": POSITIVE},
    db_to_amplitude: {"level_db": DB},
}
PAIRS = [(power_to_db, db_to_power), (amplitude_to_db, db_to_amplitude)]


def pyfar_level(amplitude, reference=1.0):
    """Level of an amplitude as a library has it."""
    data = pyfar.FrequencyData([amplitude], [0])
    return float(pyfar.dsp.decibel(data, log_prefix=20, log_reference=reference).squeeze())


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("decibels.csv", *quantities, **options), ids=str)


@pytest.mark.outside("decibels.power_to_db")
@rows("power of a dBm level")
def test_a_power_in_milliwatts_is_a_level_in_dbm(row):
    assert power_to_db(row.answer) == half_step(row, row.numbers[0])


@pytest.mark.outside("decibels.db_to_power")
@rows("power of a dBm level")
def test_a_level_in_dbm_is_a_power_in_milliwatts(row):
    assert db_to_power(row.numbers[0]) == half_step(row)


@pytest.mark.outside("decibels.amplitude_to_db")
@rows("peak of two equal in-phase signals", "two equal in-phase sine waves above either one")
def test_twice_the_amplitude_is_the_printed_6_db(row):
    assert amplitude_to_db(2) == half_step(row)


@pytest.mark.outside("decibels.amplitude_to_db")
@rows("level of 50 % of full scale")
def test_half_of_full_scale_is_the_printed_level(row):
    assert amplitude_to_db(0.5) == half_step(row)


@pytest.mark.outside("decibels.db_to_amplitude")
@rows("level of 50 % of full scale")
def test_the_printed_level_is_half_of_full_scale(row):
    assert db_to_amplitude(row.answer) == pytest.approx(0.5, rel=row.within / 8.6)


@pytest.mark.outside("decibels.db_to_amplitude")
@rows("two equal in-phase sine waves above either one")
def test_the_printed_6_db_is_twice_the_amplitude(row):
    assert db_to_amplitude(row.answer) == pytest.approx(2, rel=row.within / 8.6)


@pytest.mark.outside("decibels.db_to_amplitude")
@pytest.mark.parametrize("amplitude", [0.02, 0.775, 31.4])
def test_amplitudes_come_back_from_the_decibels_of_pyfar(amplitude):
    level = pyfar_level(amplitude)
    assert db_to_amplitude(level) == pytest.approx(amplitude)


def test_power_goes_as_amplitude_squared():
    ratios = np.array([1e-6, 0.3, 1, 7.7, 1e9])
    assert amplitude_to_db(ratios) == pytest.approx(power_to_db(ratios**2))
    assert db_to_power(2 * ratios[1:4]) == pytest.approx(db_to_amplitude(2 * ratios[1:4]) ** 2)


@pytest.mark.outside("decibels.recording_bytes")
@pytest.mark.parametrize(
    ("seconds", "channels", "rate", "bits"),
    [(1, 1, 8000, 8), (0.25, 2, 44_100, 16), (2, 32, 48_000, 24), (0.5, 8, 96_000, 32)],
)
def test_a_recording_is_as_long_as_the_file_that_python_writes(seconds, channels, rate, bits):
    file = io.BytesIO()
    with wave.open(file, "wb") as wav:
        wav.setnchannels(channels)
        wav.setsampwidth(bits // 8)
        wav.setframerate(rate)
        wav.writeframes(bytes(int(seconds * rate) * channels * bits // 8))
    header = 44
    assert recording_bytes(seconds, channels, rate, bits) == len(file.getvalue()) - header


@rows("recording size")
def test_a_recording_is_the_size_given(row):
    channels, bits, kilohertz, hours = row.numbers
    assert recording_bytes(hours * 3600, channels, kilohertz * 1000, bits) == row.answer * 1e9


def test_bytes_are_counted_exactly_and_stay_whole():
    size = recording_bytes(10_000_000, 1024, 1_000_000, 64)
    assert type(size) is int
    assert size == 10_000_000 * 1024 * 1_000_000 * 8
    assert recording_bytes(0.1, 1) == 4800 * 3
    assert recording_bytes(0, 1) == 0
    sizes = recording_bytes([1, 2], 3, bits=[[16], [32]])
    assert sizes.dtype == np.int64
    assert sizes.tolist() == [[288_000, 576_000], [576_000, 1_152_000]]


# the examples of the trade, read again: rounded as they are quoted


def test_worked_examples_of_the_trade():
    assert round(sum_levels([90, 90, 84]), 1) == 93.5
    assert round(amplitude_to_db(2), 2) == 6.02
    assert round(power_to_db(2), 2) == 3.01
    assert round(dbv_to_dbu(-10), 1) == -7.8
    assert round(dbv_to_dbu(0), 2) == 2.22
    assert dbfs_to_dbu(-18, 18) == 0
    assert round(recording_bytes(3 * 3600, 32) / 1e9, 1) == 49.8
    assert round(recording_bytes(3 * 3600, 32) / 2**30, 1) == 46.3
    assert round(average_level([85, 98, 102], durations=[60, 90, 30]), 1) == 97.7


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
@given(data=st.data())
def test_numbers_in_range_give_finite_numbers(function, spans, data):
    in_range(function, spans, data)


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
@given(data=st.data())
def test_anything_else_is_a_value_error(function, spans, data):
    out_of_range(function, spans, data)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair[0].__name__)
@given(level=st.floats(-300, 300))
def test_there_and_back_is_the_same(pair, level):
    to_level, from_level = pair
    assert to_level(from_level(level)) == pytest.approx(level, abs=1e-9)


@given(data=st.data())
def test_recordings_keep_the_contract(data):
    spans = {
        "duration_s": Span(0, 1e7),
        "channels": Span(1, 1024, whole=True),
        "sample_rate_hz": Span(1, 1_000_000, whole=True),
    }
    in_range(recording_bytes, spans, data, result=int)
    out_of_range(recording_bytes, spans, data)


@pytest.mark.parametrize("bits", [0, 12, 20, 23.9, -24, 48, "24", None, math.nan, [16, 20]])
def test_odd_sample_sizes_are_refused(bits):
    with pytest.raises(ValueError, match=r"^bits is "):
        recording_bytes(1, 1, bits=bits)


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_edges(function, spans):
    holds_to_its_edges(function, spans)


def test_edges_of_a_recording():
    spans = {
        "duration_s": Span(0, 1e7),
        "channels": Span(1, 1024, whole=True),
        "sample_rate_hz": Span(1, 1_000_000, whole=True),
    }
    holds_to_its_edges(recording_bytes, spans)


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(decibels)
    assert results.attempted > 0
    assert results.failed == 0
