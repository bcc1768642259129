import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gigsums import quantities as q
from gigsums.quantities import Kind, NotUnderstood, convert, read, show, span

KINDS = [kind for kind in vars(q).values() if isinstance(kind, Kind)]


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("12 ft", q.DISTANCE, 12 * 0.3048),
        ("12ft", q.DISTANCE, 12 * 0.3048),
        ("6' 3\"", q.DISTANCE, 75 * 0.0254),
        ("6 ft 3 in", q.DISTANCE, 75 * 0.0254),
        ("6′3″", q.DISTANCE, 75 * 0.0254),
        ("74,8 ms", q.DELAY, 74.8),
        ("74.8", q.DELAY, 74.8),
        ("0.0748 s", q.DELAY, 74.8),
        ("74.8\u202fms", q.DELAY, 74.8),
        ("1.5k", q.FREQUENCY, 1500),
        ("3.15 kHz", q.FREQUENCY, 3150),
        ("3,15 khz", q.FREQUENCY, 3150),
        ("1 234 W", q.POWER, 1234),
        ("0,125", q.PATH, 0.125),
        ("606,125", q.RADIO, 606.125),
        ("−5 °C", q.TEMPERATURE, -5),
        ("-5", q.TEMPERATURE, -5),
        ("68 °F", q.TEMPERATURE, 20),
        ("+4 dBu", q.DBU, 4),
        ("1/3", q.OCTAVES, 1 / 3),
        ("4:1", q.RATIO, 4),
        ("2.5 mm2", q.CABLE_AREA, 2.5),
        ("1 h 30 min", q.DURATION, 1.5),
        ("90 min", q.DURATION, 1.5),
        ("1 h 30 min", q.RUNNING_TIME, 5400),
        ("2 MΩ", q.LINE_IMPEDANCE, 2e6),
        ("150 \u2126", q.LINE_IMPEDANCE, 150),
        ("15 mV/Pa", q.SENSITIVITY, 15),
        ("0.015 V/Pa", q.SENSITIVITY, 15),
        (".5", q.DISTANCE, 0.5),
        ("5.", q.DISTANCE, 5),
    ],
)
def test_what_people_type_is_read(text, kind, expected):
    assert read(text, kind) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "why"),
    [
        ("", q.DISTANCE, "nothing was typed"),
        ("  \u202f ", q.DISTANCE, "nothing was typed"),
        ("far", q.DISTANCE, "not a number"),
        ("m", q.DISTANCE, "not a number"),
        ("--5", q.GAIN, "not a number"),
        (".", q.GAIN, "not a number"),
        ("nan", q.GAIN, "not a number"),
        ("inf", q.GAIN, "not a number"),
        ("٣", q.GAIN, "not a number"),
        ("10 ms", q.DISTANCE, "'ms' is not a unit of distance"),
        ("10² m", q.DISTANCE, "is not a unit"),
        ("1e3", q.DISTANCE, "is not a unit"),
        ("2 mΩ", q.LINE_IMPEDANCE, "is not a unit"),
        ("3 MV", q.VOLTAGE, "is not a unit"),
        ("6 ft 14 in", q.DISTANCE, "is not a unit"),
        ("3 in 6 ft", q.DISTANCE, "is not a unit"),
        ("1,234.5", q.POWER, "one decimal mark"),
        ("1.2.3", q.POWER, "one decimal mark"),
        ("3,177 W", q.POWER, "could be a decimal mark"),
        ("1 2", q.DISTANCE, "one number is wanted"),
        ("400", q.DISTANCE, "out of range"),
        ("-1", q.DISTANCE, "out of range"),
        ("2.5", q.COUNT, "whole number"),
        ("9" * 10_000, q.DISTANCE, "10000 characters"),
        ("9" * 50, q.DISTANCE, "out of range"),
        ("1/0", q.OCTAVES, "is not a unit"),
    ],
)
def test_anything_else_is_refused_with_one_line_that_says_what_is_wanted(text, kind, why):
    with pytest.raises(NotUnderstood) as refused:
        read(text, kind)
    line = str(refused.value)
    assert why in line
    assert kind.name in line
    assert span(kind) in line
    assert "\n" not in line
    assert len(line) < 200


def test_a_bare_number_is_in_the_unit_chosen_and_the_range_is_said_in_it():
    assert read("12", q.DISTANCE, "ft") == pytest.approx(3.6576)
    assert read("12 m", q.DISTANCE, "ft") == 12
    with pytest.raises(NotUnderstood, match=r"from 0\.329 to 984\.25 ft"):
        read("1000", q.DISTANCE, "ft")


def test_the_range_is_left_out_where_it_is_not_wanted():
    assert read("400 m", q.DISTANCE, check=False) == 400


def test_both_ends_of_every_range_may_be_typed_as_they_are_said():
    for kind in KINDS:
        for unit in kind.units:
            said = span(kind, unit.name)
            if said.startswith("from"):
                low, high = said.removeprefix("from ").split(" to ")
                assert kind.least <= read(low, kind, unit.name) <= kind.most
                assert kind.least <= read(high, kind, unit.name) <= kind.most


@pytest.mark.parametrize(
    ("value", "kind", "unit", "expected"),
    [
        (74.81, q.DELAY, None, "74.8 ms"),
        (18, q.DISTANCE, None, "18 m"),
        (3.6576, q.DISTANCE, "ft", "12 ft"),
        (-5, q.TEMPERATURE, None, "−5 °C"),
        (20, q.TEMPERATURE, "°F", "68 °F"),
        (-0.01, q.GAIN, None, "0 dB"),
        (60, q.ANGLE, None, "60°"),
        (4, q.RATIO, None, "4:1"),
        (0.0424, q.IMPEDANCE, None, "0.0424 Ω"),
        (3177.2, q.POWER, None, "3177 W"),
        (0.4, q.DURATION, "min", "24 min"),
        (24, q.DURATION, None, "24 h"),
        (190, q.DURATION, None, "over 24 h"),
        (190, q.DURATION, "min", "over 1440 min"),
        (math.inf, q.DURATION, None, "over 24 h"),
        (math.inf, q.GAIN, None, "∞ dB"),
        (-math.inf, q.LEVEL, None, "−∞ dB"),
    ],
)
def test_quantities_are_shown_rounded_with_their_unit(value, kind, unit, expected):
    assert show(value, kind, unit) == expected
    assert show(value, kind, unit, comma=True) == expected.replace(".", ",")


def test_showing_what_is_not_a_number_is_an_error():
    with pytest.raises(ValueError, match="gain is nan"):
        show(math.nan, q.GAIN)


def test_no_spelling_belongs_to_two_units_of_a_kind():
    for kind in KINDS:
        spellings = [each for unit in kind.units for each in (unit.name, *unit.also)]
        assert len(spellings) == len(set(spellings)), kind.name
        for unit in kind.units:
            assert kind.unit(unit.name) is unit
            assert all(kind.unit(each) is unit for each in unit.also)


def test_an_unknown_unit_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="'kg' is not a unit of distance; these are: m, ft, cm, mm or in"):
        convert(1, q.DISTANCE, "kg")


def test_conversions_agree_with_the_definitions_of_the_units():
    """The foot is 0.3048 m exactly; water freezes at 32 °F and boils at 212; a pound is 0.45359237 kg."""
    assert convert(1, q.DISTANCE, given="ft") == 0.3048
    assert [convert(f, q.TEMPERATURE, given="°F") for f in (32, 212)] == pytest.approx([0, 100])
    assert convert(-40, q.TEMPERATURE, "°F") == pytest.approx(-40)
    assert convert(1, q.VOLUME, "ft³") == pytest.approx(float(1 / Fraction("0.3048") ** 3))
    assert convert(1, q.BYTES, "GB", given="GiB") == 1.073741824


@given(st.sampled_from(KINDS), st.floats(0, 1), st.integers(0, 4), st.booleans())
def test_what_is_shown_is_read_back_to_half_a_step(kind, along, unit, comma):
    least, most = max(kind.least, -1e4), min(kind.most, 1e4)
    value = least + along * (most - least)
    value = float(round(value)) if kind.whole else value
    used = kind.units[unit % len(kind.units)]
    text = show(value, kind, used.name, comma)
    if re.match(r"[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", text.removeprefix("−")):
        text = text.replace(",", ".")  # "1,234" is refused where both readings are possible
    back = read(text, kind, check=False)
    decimals = kind.decimals if used.decimals is None else used.decimals
    assert abs(convert(back, kind, used.name) - convert(value, kind, used.name)) <= 0.5 * 10**-decimals * (
        1 + 1e-9
    )


@given(st.sampled_from(KINDS), st.floats(0, 1))
def test_converting_there_and_back_changes_nothing(kind, along):
    least, most = max(kind.least, -1e4), min(kind.most, 1e4)
    value = least + along * (most - least)
    for unit in kind.units:
        there = convert(value, kind, unit.name)
        assert convert(there, kind, given=unit.name) == pytest.approx(value, rel=1e-12, abs=1e-9)


TYPED = st.one_of(
    st.text(max_size=80),
    st.text(alphabet="0123456789.,+-− \u202fmsftkHzdBuΩ'\"/:°%e²", max_size=20),
)


@given(TYPED, st.sampled_from(KINDS), st.booleans())
def test_reading_answers_with_a_finite_number_or_not_understood(text, kind, check):
    try:
        value = read(text, kind, check=check)
    except NotUnderstood as refused:
        line = str(refused)
    else:
        line = ""
        assert math.isfinite(value)
        assert not check or kind.least <= value <= kind.most
    assert "\n" not in line


@pytest.mark.parametrize(
    ("value", "kind", "unit", "by", "expected"),
    [
        (25, q.DISTANCE, None, 1, 26),
        (25.4, q.DISTANCE, None, 1, 26),
        (25.4, q.DISTANCE, None, -1, 25),
        (25, q.DISTANCE, None, -10, 15),
        (299.5, q.DISTANCE, None, 1, 300),
        (300, q.DISTANCE, None, 1, 300),
        (0.5, q.DISTANCE, None, -1, 0.1),
        (3.048, q.DISTANCE, "ft", 1, 11 * 0.3048),
        (20, q.TEMPERATURE, "°F", 1, (69 - 32) / 1.8),
        (-0.5, q.GAIN, None, -1, -1),
        (0.95, q.POWER_FACTOR, None, 1, 1),
        (1000, q.FREQUENCY, None, 1, 1250),
        (3000, q.FREQUENCY, None, 3, 5000),
        (1000, q.FREQUENCY, None, -1, 800),
        (16_000, q.FREQUENCY, None, 5, 20_000),
    ],
)
def test_a_nudge_goes_to_the_next_round_value_and_no_further_than_the_range(value, kind, unit, by, expected):
    assert q.nudge(value, kind, unit, by) == pytest.approx(expected, rel=1e-9)


@given(st.sampled_from(KINDS), st.floats(0, 1), st.integers(-40, 40))
def test_no_nudge_leaves_the_range(kind, along, by):
    least, most = max(kind.least, -1e4), min(kind.most, 1e4)
    moved = q.nudge(least + along * (most - least), kind, by=by)
    assert kind.least <= moved <= kind.most


def test_the_unit_offered_beside_the_base_unit_is_one_of_the_kind():
    for kind in KINDS:
        assert not kind.other or kind.unit(kind.other) is not kind.base


def test_several_units_and_the_range_are_kept_apart():
    """So that no inch is read as "in from"."""
    with pytest.raises(NotUnderstood, match=r"a number in m, ft, cm, mm or in, from [0-9.]+ to [0-9]+ m$"):
        read("loud", q.DISTANCE)
