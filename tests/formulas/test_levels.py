"""Levels against a reference: printed voltages, broadcast line-ups and general-purpose libraries."""

import doctest
import math

import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, in_range, out_of_range
from gigsums.formulas import decibels
from gigsums.formulas.decibels import (
    dbfs_to_dbu,
    dbm_to_watts,
    dbu_to_dbfs,
    dbu_to_dbv,
    dbu_to_volts,
    dbv_to_dbu,
    dbv_to_volts,
    pascals_to_spl,
    spl_to_pascals,
    volts_to_dbu,
    volts_to_dbv,
    watts_to_dbm,
)
from published import half_step, reference

SOUND = pyfar.constants.reference_sound_pressure


def pyfar_level(amplitude, reference=1.0):
    """Level of an amplitude as a library has it."""
    data = pyfar.FrequencyData([amplitude], [0])
    return float(pyfar.dsp.decibel(data, log_prefix=20, log_reference=reference).squeeze())


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("decibels.csv", *quantities, **options), ids=str)


@pytest.mark.outside("decibels.dbu_to_volts")
@rows(
    "reference voltage of 0 dBu",
    "alignment signal level in volts",
)
def test_0_dbu_is_the_printed_voltage(row):
    assert dbu_to_volts(0) == half_step(row)


@pytest.mark.outside("decibels.dbu_to_volts")
@rows("voltage of +4 dBu")
def test_4_dbu_is_the_printed_voltage(row):
    assert dbu_to_volts(4) == half_step(row)


@pytest.mark.outside("decibels.volts_to_dbu")
@rows("voltage of +4 dBu")
def test_the_printed_voltage_is_4_dbu(row):
    assert volts_to_dbu(row.answer) == pytest.approx(4, abs=8.7 * row.within / row.answer)


@pytest.mark.outside("decibels.volts_to_dbu")
@rows("reference voltage of 0 dBu", "alignment signal level in volts")
def test_the_printed_voltage_is_0_dbu(row):
    assert volts_to_dbu(row.answer) == pytest.approx(0, abs=8.7 * row.within / row.answer)


@pytest.mark.outside("decibels.dbv_to_volts")
@rows("voltage of -10 dBV", "reference voltage of 0 dBV")
def test_dbv_are_the_printed_voltages(row):
    assert dbv_to_volts(-10 if "-10" in row.quantity else 0) == half_step(row)


@pytest.mark.outside("decibels.volts_to_dbv")
@rows("voltage of -10 dBV", "reference voltage of 0 dBV")
def test_the_printed_voltages_are_dbv(row):
    level = -10 if "-10" in row.quantity else 0
    assert volts_to_dbv(row.answer) == pytest.approx(level, abs=8.7 * row.within / row.answer)


@pytest.mark.outside("decibels.dbv_to_dbu")
@rows("-10 dBV expressed in dBu", "1 dBV expressed in dBu (offset dBV to dBu)")
def test_dbv_are_the_printed_dbu(row):
    assert dbv_to_dbu(-10 if row.answer < 0 else 0) == half_step(row)


@pytest.mark.outside("decibels.dbu_to_dbv")
@rows("-10 dBV expressed in dBu")
def test_the_printed_dbu_are_dbv(row):
    assert dbu_to_dbv(row.answer) == half_step(row, -10)


@rows("gap between +4 dBu and -10 dBV")
def test_line_level_and_home_level_are_11_8_db_apart(row):
    assert 4 - dbv_to_dbu(-10) == half_step(row)
    assert dbu_to_dbv(4) + 10 == half_step(row)


@given(st.floats(-120, 60))
def test_dbv_and_dbu_go_through_the_same_volts(level):
    assert dbv_to_dbu(level) == pytest.approx(volts_to_dbu(dbv_to_volts(level)))
    assert dbu_to_dbv(level) == pytest.approx(volts_to_dbv(dbu_to_volts(level)))


@pytest.mark.outside("decibels.dbm_to_watts")
@rows("power of a dBm level")
def test_dbm_are_the_watts_of_pint(row):
    assert dbm_to_watts(row.numbers[0]) == pytest.approx(row.answer / 1000)


@pytest.mark.outside("decibels.dbm_to_watts")
@rows("voltage of 0 dBm")
def test_0_dbm_in_a_resistance_is_the_printed_voltage(row):
    assert math.sqrt(dbm_to_watts(0) * row.named["R"]) == half_step(row)


@pytest.mark.outside("decibels.watts_to_dbm")
@rows("power of a dBm level")
def test_the_watts_of_pint_are_dbm(row):
    assert watts_to_dbm(row.answer / 1000) == half_step(row, row.numbers[0])


@pytest.mark.outside("decibels.pascals_to_spl")
@rows("sound pressure level of 1 Pa")
def test_one_pascal_is_the_level_of_a_library(row):
    assert pascals_to_spl(1) == half_step(row)


@pytest.mark.outside("decibels.pascals_to_spl")
@pytest.mark.parametrize("pressure", [20e-6, 0.0356, 20.0])
def test_levels_of_pressures_are_those_of_pyfar(pressure):
    assert pascals_to_spl(pressure) == pytest.approx(pyfar_level(pressure, SOUND), abs=1e-9)


@pytest.mark.outside("decibels.spl_to_pascals")
@rows("sound pressure level of 1 Pa")
def test_the_level_of_a_library_is_one_pascal(row):
    assert spl_to_pascals(row.answer) == pytest.approx(1)


@pytest.mark.outside("decibels.spl_to_pascals")
@pytest.mark.parametrize("pressure", [20e-6, 0.0356, 20.0])
def test_pressures_come_back_from_the_levels_of_pyfar(pressure):
    assert spl_to_pascals(pyfar_level(pressure, SOUND)) == pytest.approx(pressure)


@pytest.mark.outside("decibels.dbfs_to_dbu")
@rows("test tone level and voltage, EBU R68", "test tone level and voltage, SMPTE RP 155")
def test_broadcast_tones_come_out_at_the_printed_voltage(row):
    dbfs, volts = row.answers
    full_scale = 18 if "EBU" in row.quantity else 24
    assert dbu_to_volts(dbfs_to_dbu(dbfs, full_scale)) == half_step(row, volts)


@pytest.mark.outside("decibels.dbfs_to_dbu")
@rows("output at full scale, EBU R68", "output at full scale, SMPTE RP 155")
def test_full_scale_comes_out_at_the_printed_voltage(row):
    dbu, volts = row.answers
    assert dbu_to_volts(dbfs_to_dbu(0, full_scale_dbu=dbu)) == half_step(row, volts)


@pytest.mark.outside("decibels.dbfs_to_dbu")
@rows("permitted maximum level")
def test_the_permitted_maximum_lies_9_db_over_alignment(row):
    (above,) = reference("decibels.csv", "permitted maximum signal above alignment signal")
    assert dbfs_to_dbu(row.answer, full_scale_dbu=18) == half_step(row, above.answer)


@pytest.mark.outside("decibels.dbu_to_dbfs")
@rows("test tone level and voltage, EBU R68", "test tone level and voltage, SMPTE RP 155")
def test_the_printed_voltage_reads_as_the_broadcast_tone(row):
    dbfs, volts = row.answers
    full_scale = 18 if "EBU" in row.quantity else 24
    level = dbu_to_dbfs(volts_to_dbu(volts), full_scale)
    assert level == pytest.approx(dbfs, abs=8.7 * row.within / volts)


@pytest.mark.outside("decibels.dbu_to_dbfs")
@rows("EBU alignment level")
def test_alignment_level_reads_as_printed(row):
    assert dbu_to_dbfs(0, full_scale_dbu=18) == half_step(row)


DB = Span(-3000, 3000)
POSITIVE = Span(0, math.inf, above=True)
CONTRACTS = {
    dbu_to_volts: {"level_dbu": DB},
    volts_to_dbu: {"voltage_v": POSITIVE},
    dbv_to_volts: {"level_dbv": DB},
    volts_to_dbv: {"voltage_v": POSITIVE},
    dbv_to_dbu: {"level_dbv": DB},
    dbu_to_dbv: {"level_dbu": DB},
    dbm_to_watts: {"level_dbm": DB},
    watts_to_dbm: {"power_w": POSITIVE},
    pascals_to_spl: {"pressure_pa": POSITIVE},
    spl_to_pascals: {"spl_db": DB},
    dbfs_to_dbu: {"level_dbfs": DB, "full_scale_dbu": DB},
    dbu_to_dbfs: {"level_dbu": DB, "full_scale_dbu": DB},
}
PAIRS = [
    (volts_to_dbu, dbu_to_volts),
    (volts_to_dbv, dbv_to_volts),
    (watts_to_dbm, dbm_to_watts),
    (pascals_to_spl, spl_to_pascals),
]


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


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_edges(function, spans):
    holds_to_its_edges(function, spans)


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(decibels)
    assert results.attempted > 0
    assert results.failed == 0
