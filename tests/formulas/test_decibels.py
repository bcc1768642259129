"""Decibels against printed voltages and levels, broadcast line-ups, libraries, and sums built another way."""

import io
import math
import wave

import numpy as np
import pyfar
import pytest
from acoustic_toolbox.decibel import dbmean, dbsub, dbsum
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas.decibels import (
    amplitude_to_db,
    average_level,
    db_to_amplitude,
    db_to_power,
    dbfs_to_dbu,
    dbm_to_watts,
    dbu_to_dbfs,
    dbu_to_dbv,
    dbu_to_volts,
    dbv_to_dbu,
    dbv_to_volts,
    pascals_to_spl,
    power_to_db,
    recording_bytes,
    spl_to_pascals,
    subtract_level,
    sum_levels,
    sum_levels_in_phase,
    sum_two_tones,
    volts_to_dbu,
    volts_to_dbv,
    watts_to_dbm,
)
from published import half_step, reference

DB = Span(-3000, 3000)
POSITIVE = Span(0, math.inf, above=True)


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


@pytest.mark.parametrize("bits", [0, 12, 20, 23.9, -24, 48, "24", None, math.nan, [16, 20]])
def test_odd_sample_sizes_are_refused(bits):
    with pytest.raises(ValueError, match=r"^bits is "):
        recording_bytes(1, 1, bits=bits)


SUMS = [[90, 84, 71.5], [40, 40, 40, 39.9], [-20, 3, 12, 12.5, 88]]


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


SOUND = pyfar.constants.reference_sound_pressure


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


# ranges

PAIRS = [
    (power_to_db, db_to_power),
    (amplitude_to_db, db_to_amplitude),
    (volts_to_dbu, dbu_to_volts),
    (volts_to_dbv, dbv_to_volts),
    (watts_to_dbm, dbm_to_watts),
    (pascals_to_spl, spl_to_pascals),
]
CONTRACTS = {
    power_to_db: {"ratio": POSITIVE},
    db_to_power: {"level_db": DB},
    amplitude_to_db: {"ratio": POSITIVE},
    db_to_amplitude: {"level_db": DB},
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
    sum_two_tones: {"first_db": DB, "second_db": DB, "phase_deg": Span(-1e9, 1e9)},
}


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair[0].__name__)
@given(level=st.floats(-300, 300))
def test_there_and_back_is_the_same(pair, level):
    to_level, from_level = pair
    assert to_level(from_level(level)) == pytest.approx(level, abs=1e-9)


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


def test_sums_and_recordings_keep_to_their_ranges():
    levels = {"levels_db": Span(-3000, 3000, silence=True)}
    for function in (sum_levels, sum_levels_in_phase, average_level):
        holds_to_its_range(function, levels, result=None)
    holds_to_its_range(
        lambda durations: average_level([90, 80], [durations, 1]), {"durations": Span(0, 1e9)}, None
    )
    holds_to_its_range(subtract_level, {"total_db": DB}, part_db=-math.inf)
    holds_to_its_range(
        subtract_level, {"part_db": Span(-3000, math.nextafter(3000, 0), silence=True)}, total_db=3000
    )
    sizes = {
        "duration_s": Span(0, 1e7),
        "channels": Span(1, 1024, whole=True),
        "sample_rate_hz": Span(1, 1e6, whole=True),
    }
    holds_to_its_range(recording_bytes, sizes, int)


@given(levels_of_sound, st.floats(-3000, 3000), st.floats(-720, 720))
def test_two_tones_reach_6_db_over_the_louder_at_most(levels, second, phase):
    assert (sum_two_tones(levels, second, phase) <= np.maximum(levels, second) + 6.03).all()
