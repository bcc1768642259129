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
    assert line == "110 dB SPL at 2 mV/Pa is −35.7 dBu, to 0 dBu = 35.7 dB"
    assert known["level_dbu"] == pytest.approx(-35.74, abs=0.005)
    assert known["headroom_db"] == 18
    assert slips["loudness left out"] == pytest.approx(51.74, abs=0.005)
    assert slips["sign turned round"] == pytest.approx(-35.74, abs=0.005)
    assert slips["millivolts taken as volts"] == pytest.approx(-24.26, abs=0.005)


def test_a_hot_microphone_is_told_to_take_a_pad():
    """Common practice, no published source: 15 mV/Pa at 130 dB SPL leaves more than 0 dBu."""
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
    known = calculator.work(calculator.defaults | {"target_dbu": 10})
    assert known["headroom_db"] == 8
    assert any("at least 12 dB" in note for note in calculator.said_now(known))
