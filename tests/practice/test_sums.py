"""Topics made of calculators: what is shown leads to the answer, and the answer agrees with another road to it."""

import math
import re

import pytest
from acoustic_toolbox.decibel import dbsum

from gigsums.catalogue import CATALOGUE
from gigsums.practice import TOPICS
from gigsums.practice.sums import Calculation, values_of
from gigsums.quantities import Kind, read
from practice.proofs import drawn

SUMS = {
    name: topic.build.__self__
    for name, topic in TOPICS.items()
    if isinstance(getattr(topic.build, "__self__", None), Calculation)
}
SEEDS = range(60)


def test_there_are_some():
    assert {"adding levels", "delay for a distance", "gain for a microphone"} <= set(SUMS)


@pytest.mark.parametrize("name", SUMS)
def test_every_number_shown_stands_in_the_words(name):
    for seed in SEEDS:
        asked = drawn(name, seed)
        assert all(text in asked.text() for text in asked.shown.values()), asked.text()


@pytest.mark.parametrize("name", SUMS)
def test_numbers_shown_are_whole_in_the_sense_of_the_kind(name):
    calculator = CATALOGUE[SUMS[name].calculator]
    kinds = {each.name: each.kind for each in calculator.inputs}
    for seed in SEEDS:
        for key, text in drawn(name, seed).shown.items():
            if isinstance(kinds[key], Kind):
                assert math.isfinite(read(text, kinds[key]))


@pytest.mark.parametrize("name", SUMS)
def test_answer_is_the_calculators_at_the_numbers_shown(name):
    calculator = CATALOGUE[SUMS[name].calculator]
    for seed in SEEDS:
        asked = drawn(name, seed)
        known = calculator.work(values_of(calculator, asked.shown))
        assert asked.answer.value == pytest.approx(known[calculator.main.name])


@pytest.mark.parametrize("name", SUMS)
def test_what_is_not_shown_does_not_matter(name):
    calculator = CATALOGUE[SUMS[name].calculator]
    asked = drawn(name, 1)
    values = values_of(calculator, asked.shown)
    for each in calculator.inputs:
        if each.name in values and each.name not in asked.shown and isinstance(each.kind, Kind):
            moved = calculator.work(values | {each.name: values[each.name] * 1.1})
            assert moved[calculator.main.name] == pytest.approx(asked.answer.value), each.label


# Within 2 % of an edge either band is right, and nearest by subtraction differs nowhere else.
NEVER_APART = {"nearest third-octave": {"nearest by subtraction"}}


@pytest.mark.parametrize("name", SUMS)
def test_slips_of_the_catalogue_are_met(name):
    calculator = CATALOGUE[SUMS[name].calculator]
    met = {slip.name.casefold() for seed in range(120) for slip in drawn(name, seed).slips}
    declared = {slip.name.casefold() for slip in calculator.slips}
    assert declared - met == NEVER_APART.get(name, set())


@pytest.mark.parametrize("name", SUMS)
def test_harder_levels_show_more_or_finer_numbers(name):
    def shown(level):
        found = [text for seed in range(60) for text in drawn(name, seed, level).shown.values()]
        return len(set(found)), len(found)

    easy, middling = shown(1), shown(2)
    assert easy[0] < middling[0] or easy[1] < middling[1]


def test_hardest_level_mixes_units():
    shown = [text for seed in range(60) for text in drawn("delay for a distance", seed, 3).shown.values()]
    assert {text.rpartition(" ")[2] for text in shown} == {"m", "ft", "°C", "°F", "ms"}


def test_some_inputs_are_asked_at_harder_levels_only():
    assert [len(drawn("a day's exposure", 1, level).shown) for level in (1, 2, 3)] == [4, 6, 6]


@pytest.mark.parametrize(
    ("name", "absolute", "share"),
    [
        ("adding levels", 0.2, 0),
        ("line-up of a converter", 0.2, 0),
        ("a day's exposure", 0.2, 0),
        ("speed of sound", 0.3, 0),
        ("radio intermodulation", 0.05, 0),
        ("delay for a distance", 0, 0.0035),
        ("generator", 0, 0.02),
        ("size of a recording", 0, 0.02),
    ],
)
def test_tolerances_are_those_of_the_trade(name, absolute, share):
    answer = drawn(name, 1).answer
    assert answer.tolerance == pytest.approx(absolute or share * abs(answer.value))


def test_every_calculator_is_asked():
    assert {each.calculator for each in SUMS.values()} == set(CATALOGUE)


def test_levels_add_up_as_another_library_adds_them():
    for seed in SEEDS:
        asked = drawn("adding levels", seed)
        levels = [float(each) for each in re.findall(r"([\d.]+) dB", asked.scene)]
        assert asked.answer.value == pytest.approx(float(dbsum(levels)), abs=0.01)


def in_metres(text):
    number, unit = text.split(" ")
    return float(number) * {"m": 1, "ft": 0.3048}[unit]


def in_kelvin(text):
    number, unit = text.split(" ")
    return 273.15 + (float(number) if unit == "°C" else (float(number) - 32) * 5 / 9)


def test_delays_are_those_of_an_ideal_gas():
    for seed in SEEDS:
        asked = drawn("delay for a distance", seed)
        speed = math.sqrt(1.4 * 8.314462618 / 0.0289647 * in_kelvin(asked.shown["temperature_c"]))  # dry air
        offset = float(asked.shown["offset_ms"].split(" ")[0])
        expected = 1000 * in_metres(asked.shown["distance_m"]) / speed + offset
        assert asked.answer.value == pytest.approx(expected, rel=0.002)


def test_gain_brings_the_voltage_to_the_level_asked():
    for seed in SEEDS:
        asked = drawn("gain for a microphone", seed)
        spl, sensitivity, target = (
            float(asked.shown[key].split(" ")[0].replace("−", "-"))
            for key in ("spl_db", "sensitivity_mv_per_pa", "target_dbu")
        )
        pascals = 20e-6 * 10 ** (spl / 20)
        volts = pascals * sensitivity / 1000 * 10 ** (asked.answer.value / 20)
        assert volts == pytest.approx(math.sqrt(0.6) * 10 ** (target / 20), rel=0.005)  # 94 dB is 1.002 Pa
