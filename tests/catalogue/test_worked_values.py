"""Answers of whole declarations: the formula, its inputs and their units joined rightly.

The formulas themselves are checked against outside values in tests/formulas; those values are used again
here where one fits a calculator as it stands.
"""

import pytest

from gigsums.catalogue import CATALOGUE
from published import reference


def worked(key, **values):
    calculator = CATALOGUE[key]
    known = calculator.work(calculator.defaults | values)
    return known, calculator.say(known), calculator.slip_values(known)


def test_delay_for_a_distance():
    """18 m at 21 °C worked by hand: 331.3 √(294.15/273.15) is 343.80 m/s, so 52.36 ms, and 10 more."""
    known, line, slips = worked("delay for a distance", distance_m=18, temperature_c=21)
    assert line == "18 m at 21 °C + 10 ms = 62.4 ms"
    assert known["travel_ms"] == pytest.approx(52.36, abs=0.005)
    assert slips["one millisecond a metre"] == 28
    assert slips["offset forgotten"] == pytest.approx(52.36, abs=0.005)
    assert slips["seconds read as milliseconds"] == pytest.approx(0.0624, abs=0.00005)


SUMS = [row for row in reference("decibels.csv", "incoherent sum") if len(row.numbers) <= 6]


@pytest.mark.parametrize("row", SUMS, ids=str)
def test_adding_levels(row):
    given = {f"level_{n}_db": value for n, value in enumerate(row.numbers, start=1)}
    calculator = CATALOGUE["adding levels"]
    assert calculator.work(given)["total_db"] == pytest.approx(row.answer, abs=row.within)


def test_adding_levels_leaves_empty_fields_out():
    calculator = CATALOGUE["adding levels"]
    known = calculator.work({"level_1_db": 90, "level_5_db": 90})
    assert calculator.say(known) == "90 dB + 90 dB = 93 dB"
    assert calculator.said_now(known) == ()
    assert calculator.said_now(calculator.work({"level_2_db": 90})) == ("One source is no sum.",)


def test_adding_levels_slips():
    """Worked by hand for 90, 90 and 84 dB."""
    _, line, slips = worked("adding levels")
    assert line == "90 dB + 90 dB + 84 dB = 93.5 dB"
    assert slips["decibels added as numbers"] == 264
    assert slips["mean taken"] == 88
    assert slips["quietest left out"] == pytest.approx(93.01, abs=0.005)


def test_gain_for_a_microphone():
    """Worked by hand: 110 dB SPL is 6.32 Pa, 12.65 mV at 2 mV/Pa, 35.74 dB below 0.7746 V."""
    known, line, slips = worked("gain for a microphone")
    assert line == "110 dB SPL on average at 2 mV/Pa is −35.7 dBu, to 0 dBu = 35.7 dB"
    assert known["level_dbu"] == pytest.approx(-35.74, abs=0.005)
    assert known["headroom_db"] == 18
    assert slips["loudness left out"] == pytest.approx(51.74, abs=0.005)
    assert slips["sign turned round"] == pytest.approx(-35.74, abs=0.005)
    assert slips["millivolts taken as volts"] == pytest.approx(-24.26, abs=0.005)


def test_a_hot_microphone_is_told_to_take_a_pad():
    """Common practice, no source: 15 mV/Pa at 130 dB SPL leaves more than 0 dBu."""
    calculator = CATALOGUE["gain for a microphone"]
    known = calculator.work(calculator.defaults | {"spl_db": 130, "sensitivity_mv_per_pa": 15})
    assert known["gain_db"] < 0
    assert any("pad" in note for note in calculator.said_now(known))
    assert not calculator.said_now(calculator.work(calculator.defaults))


def test_an_input_that_is_needed_is_asked_for_by_its_label():
    with pytest.raises(ValueError, match="nothing is given for: Air"):
        CATALOGUE["delay for a distance"].work({"distance_m": 25, "offset_ms": 10})


def test_too_little_headroom_is_said():
    calculator = CATALOGUE["gain for a microphone"]
    known = calculator.work(calculator.defaults | {"target_dbu": 5})
    assert known["headroom_db"] == 13
    assert any("at least 15 dB" in note for note in calculator.said_now(known))


def test_a_gain_knows_a_condensers_own_noise_and_a_drum():
    """By hand: 15 mV/Pa is 0.3 mV at 60 dB SPL, −68.2 dBu, and 40 dB less at 20; 150 ohm alone hiss at −130.9 dBu."""
    calculator = CATALOGUE["gain for a microphone"]

    def said(**values):
        known = calculator.work(calculator.defaults | values)
        return known["noise_dbu"], " ".join(calculator.said_now(known))

    assert said(sensitivity_mv_per_pa=15, self_noise_db=20) == (pytest.approx(-108.2, abs=0.05), "")
    assert said(sensitivity_mv_per_pa=15) == (pytest.approx(-130.9, abs=0.05), "")
    assert "own noise again" in said(self_noise_db=10)[1]
    assert "3 dB off a peak" in said(spl_db=130)[1]


# Worked by hand with logarithms to four places, or counted. The formulas have their outside values in
# tests/formulas; here the inputs have to reach them, and the mistakes have to be the ones that are named.
BY_HAND = [
    ("speed of sound", {}, {"speed_m_s": 343.21}, {"temperature left out": 331.3}),
    ("setting a delay loudspeaker", {}, {"set_ms": 103.24}, {"main distance only": 126.55, "distances added": 149.86}),
    ("delay drift", {}, {"drift_ms": 1.8039, "now_ms": 104.13}, {"sign turned round": -1.8039}),
    ("latency of a chain", {}, {"latency_ms": 2.667}, {"one buffer counted": 1.333}),
    ("latency of a chain", {"buffer_3": 96, "network_ms": 1, "radio_ms": 2, "converters_ms": 1.5}, {"latency_ms": 9.167}, {}),
    ("echo in time with the music", {"beats": 1}, {"echo_ms": 625}, {}),
    ("echo in time with the music", {}, {"echo_ms": 468.75}, {"dotted eighth taken for a dotted quarter": 937.5}),
    ("first gap of a comb", {}, {"first_hz": 343.21, "second_hz": 1029.6, "late_ms": 1.4568}, {"whole wavelength": 686.4}),
    ("phase of a delay", {}, {"phase_deg": 72}, {"milliseconds taken as seconds": 72_000}),
    ("wavelength", {}, {"wavelength_m": 5.448, "quarter_m": 1.362, "quarter_ms": 3.968}, {"half wavelength": 2.724}),
    ("level over distance", {}, {"there_db": 75.92}, {"ten times the logarithm": 87.96, "decibels divided": 6.25}),
    ("level from a box", {}, {"level_db": 99.94}, {"power taken twenty times": 125.96, "distance left out": 124.02}),
    ("power for a level", {}, {"power_w": 3177}, {"peaks left out": 798, "6 dB taken as twice the power": 1596}),
    ("a ratio in decibels", {}, {"amplitude_db": 6.021, "power_db": 3.010}, {"power taken for voltage": 3.010}),
    ("volts from dBu", {}, {"voltage_v": 1.2277, "level_dbv": 1.782}, {"counted from 1 V": 1.5849}),
    ("dBu from dBV", {}, {"level_dbu": -7.782, "voltage_v": 0.3162}, {"taken as the same": -10}),
    ("dBu from volts", {}, {"level_dbu": 2.218, "level_dbv": 0}, {"dBV read as dBu": 0}),
    ("line-up of a converter", {"level_dbfs": -20}, {"level_dbu": -2}, {"0 dBFS taken as 0 dBu": -20}),
    ("loss of a passive DI", {}, {"loss_db": -21.58}, {"ratio of impedances used": -43.17}),
    ("loading a source", {}, {"load_ohm": 750, "loss_db": -1.584}, {"half for each input": -6.02}),
    ("loading a source", {"load_2_ohm": 1e6}, {"loss_db": -0.829}, {}),
    ("open microphones", {}, {"loss_db": 10.79}, {"twenty times the logarithm": 21.58, "3 dB for each": 36}),
    ("gain before feedback", {}, {"potential_db": 14.355, "needed_db": 13.98}, {"margin left out": 20.355}),
    ("three to one", {}, {"less_db": 9.542}, {"ten times the logarithm": 4.771}),
    ("compressor", {}, {"out_db": -17, "reduction_db": 9}, {"level divided by the ratio": -2}),
    ("Q from octaves", {}, {"q": 4.318}, {"one over the octaves": 3}),
    ("centre of a band", {}, {"centre_hz": 353.55}, {"halfway in hertz": 375}),
    ("nearest third-octave", {}, {"band_hz": 3150}, {"nearest by subtraction": 2500}),
    ("reverberation time", {}, {"reverberation_s": 1.610}, {"constant for feet used with metres": 0.4908}),
    ("critical distance", {}, {"critical_m": 4.936}, {"directivity left out": 2.208}),
    ("room mode", {}, {"mode_hz": 14.30}, {"whole wavelength fitted": 28.60}),
    ("coverage width", {}, {"width_m": 11.547}, {"whole angle in the tangent": 17.32, "one side only": 5.774}),
    ("down-tilt", {}, {"tilt_deg": 9.462}, {"floor taken for the ear": 14.93}),
    ("loudspeakers side by side", {}, {"load_ohm": 2.6667}, {"added up": 24, "mean taken": 8}),
    ("loudspeakers side by side", {"box_3_ohm": 4, "box_4_ohm": 4}, {"load_ohm": 1.3333}, {}),
    ("constant-voltage line", {}, {"power_w": 150}, {"allowance left out": 120}),
    ("constant-voltage line", {"count_2": 3, "tap_2_w": 20}, {"power_w": 225}, {}),
    ("loss in a loudspeaker cable", {}, {"loss_db": -0.8674, "conductor_ohm": 0.21}, {"one conductor counted": -0.4445}),
    ("load on a circuit", {}, {"load_w": 2355.2, "load_va": 2.944}, {"full rating used": 3680}),
    ("current of a load", {}, {"current_a": 14.493}, {"power factor left out": 13.043}),
    ("volt drop", {}, {"drop_v": 11.667}, {"one conductor counted": 5.833}),
    ("volt drop", {"temperature_c": 70}, {"drop_v": 13.96}, {}),
    ("generator", {}, {"rating_kva": 6}, {"kilowatts taken for kilovolt-amperes": 3.6}),
    ("cable for a run", {}, {"cable_m": 15}, {"straight across": 10}),
    ("cable for a run", {"dx_m": -12, "dy_m": 8}, {"cable_m": 23}, {}),
    ("cells for a pack", {}, {"sets": 3}, {"no spare, all of the life": 1}),
    ("time at a level", {}, {"time_h": 0.3969}, {"5 dB exchange counted from 90": 2.639}),
    ("a day's exposure", {}, {"daily_dba": 93.50, "mean_dba": 97.75, "dose_percent": 708}, {"mean of the decibels": 94.33}),
    ("size of a recording", {}, {"size_bytes": 49.7664e9}, {"bits taken for bytes": 398.13e9, "four bytes a sample": 66.3552e9}),
    ("radio intermodulation", {}, {"gap_mhz": 2.2}, {"sum of two carriers": 1214.4}),
]  # fmt: skip


@pytest.mark.parametrize(("key", "given", "results", "slips"), BY_HAND)
def test_worked_by_hand(key, given, results, slips):
    known, _, wrong = worked(key, **given)
    assert {name: known[name] for name in results} == pytest.approx(results, rel=1e-3, abs=1e-6)
    assert {name: wrong[name] for name in slips} == pytest.approx(slips, rel=1e-3)


def test_every_calculator_has_been_worked():
    assert {row[0] for row in BY_HAND} | {
        "delay for a distance",
        "adding levels",
        "gain for a microphone",
    } == set(CATALOGUE)


def test_the_products_of_carriers_are_listed():
    known, line, _ = worked("radio intermodulation")
    assert known["products_mhz"] == pytest.approx([603.9, 610.5])
    assert line == "606.1 MHz, 608.3 MHz: products 603.9 MHz; 610.5 MHz; smallest gap 2.2 MHz"


def test_a_time_past_a_day_is_only_said_to_be_over_it():
    known, line, _ = worked("time at a level", exposure_dba=70)
    assert known["time_h"] == pytest.approx(256)
    assert line == "70 dBA, EU upper action: over 24 h"


def test_a_level_without_its_time_is_asked_for():
    with pytest.raises(ValueError, match="nothing is given for: For, fourth part"):
        worked("a day's exposure", level_4_dba=90)


@pytest.mark.parametrize(
    ("key", "given", "said"),
    [
        ("delay drift", {"distance_m": 5}, "on top of an offset"),
        (
            "delay for a distance",
            {"offset_ms": 2},
            "comb",
        ),  # Everest, figure 3-19: the first decides from 5 ms
        ("setting a delay loudspeaker", {"offset_ms": 0}, "comb"),
        ("latency of a chain", {"converters_ms": 3}, "in-ears"),
        ("latency of a chain", {"converters_ms": 9}, "wedges as well"),
        ("phase of a delay", {"time_ms": 11}, "whole turn"),
        ("power for a level", {}, "add boxes"),
        ("gain before feedback", {}, "just enough"),
        ("gain before feedback", {"microphones": 8}, "Not loud enough"),
        ("three to one", {"far_m": 0.6}, "three to one"),
        ("compressor", {"level_db": -30}, "nothing happens"),
        ("down-tilt", {"ear_height_m": 4}, "looks up"),
        ("loudspeakers side by side", {"least_ohm": 4}, "does not fit"),
        ("loss in a loudspeaker cable", {}, "half a decibel"),
        ("volt drop", {}, "More than 5 %"),
        ("volt drop", {"length_m": 35}, "More than 3 %"),
        ("cable for a run", {"dx_m": 18}, "joined"),
        ("time at a level", {"exposure_dba": 116}, "allow none"),
        ("a day's exposure", {}, "day's share"),
        ("radio intermodulation", {"carrier_3_mhz": 610.5}, "falls on a carrier"),
    ],
)
def test_notes_are_said_when_they_hold(key, given, said):
    known, _, _ = worked(key, **given)
    assert any(said in note for note in CATALOGUE[key].said_now(known))


@pytest.mark.parametrize(
    ("key", "given"),
    [
        ("delay drift", {}),
        ("delay for a distance", {"distance_m": 10, "offset_ms": 5}),
        ("setting a delay loudspeaker", {}),
        ("latency of a chain", {}),
        ("phase of a delay", {}),
        ("power for a level", {"level_db": 90}),
        ("gain before feedback", {"microphones": 1}),
        ("three to one", {"far_m": 1.2}),
        ("compressor", {}),
        ("down-tilt", {}),
        ("loudspeakers side by side", {}),
        ("loss in a loudspeaker cable", {"length_m": 10}),
        ("volt drop", {"length_m": 20}),
        ("cable for a run", {}),
        ("time at a level", {}),
        ("a day's exposure", {"level_2_dba": 70, "level_3_dba": 70}),
        ("radio intermodulation", {}),
    ],
)
def test_and_not_when_they_do_not(key, given):
    known, _, _ = worked(key, **given)
    assert CATALOGUE[key].said_now(known) == ()
