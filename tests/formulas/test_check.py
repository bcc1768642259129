"""How every formula reads its arguments: numbers through, anything else refused by name. Proved here, once."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gigsums.formulas._check import number, plain, same_shape, single, typed

NOT_NUMBERS = [
    "1", "", b"1", None, [], [[]], {}, object(), 1j, [1, [2, 3]], [1, "2"], [1, None], True, [True], np.array(["1"]),
    np.datetime64("2027-09-18"), math.nan, math.inf, [1.0, math.nan], [1.0, -math.inf],
]  # fmt: skip
finite = st.floats(allow_nan=False, allow_infinity=False)


@pytest.mark.parametrize("value", [3, 3.5, np.int8(3), np.float32(3.5), [1, 2], (1, 2.5), [[1], [2]], np.arange(6).reshape(2, 3), range(3)])  # fmt: skip
def test_numbers_come_through_as_float64_in_their_shape(value):
    read = number("x_m", value, "m", 0, 10)
    assert read.dtype == np.float64
    assert read.tolist() == np.asarray(value).tolist()


def test_what_was_given_is_not_written_to():
    given_ = np.array([1.0, 2.0])
    number("x_m", given_)[0] = 9
    assert given_.tolist() == [1, 2]


@pytest.mark.parametrize("value", NOT_NUMBERS, ids=lambda value: repr(value).partition(" at 0x")[0])
def test_what_is_no_number_is_refused_by_name(value):
    with pytest.raises(ValueError, match=r"^x_m (is|has)"):
        number("x_m", value, "m")


@pytest.mark.parametrize(
    ("value", "options", "said"),
    [
        ("a", {}, "x is 'a'; a number or an array of numbers is wanted"),
        ("a" * 99, {}, f"x is {'a' * 12!r}..."),
        ([], {}, "x is empty; at least one value is wanted"),
        (math.nan, {}, "x is nan; it may be any finite number"),
        (-1, {"least": 0}, "x is -1; it may be 0 or more"),
        (0, {"above": 0, "unit": "V"}, "x is 0 V; it may be above 0 V"),
        (2, {"most": 1, "unit": "m"}, "x is 2 m; it may be 1 m or less"),
        (1, {"below": 1}, "x is 1; it may be below 1"),
        ([5, 11, 12], {"least": 0, "most": 10, "unit": "dB"}, "x is 11 dB; it may be from 0 to 10 dB"),
        (0, {"above": 0, "most": 10}, "x is 0; it may be above 0 to 10"),
        (10, {"least": 0, "below": 10}, "x is 10; it may be from 0 below 10"),
        (1.5, {"least": 1, "most": 3, "whole": True}, "x is 1.5; it may be a whole number, from 1 to 3"),
        (-math.inf, {}, "x is -inf; it may be any finite number"),
        (math.inf, {"silence": True}, "x is inf; it may be any finite number"),
        (0.12345678901234, {"most": 0.1}, "x is 0.123456789; it may be 0.1 or less"),
    ],
)
def test_the_message_has_the_name_the_value_and_the_range(value, options, said):
    with pytest.raises(ValueError, match=r"^x ") as refused:
        number("x", value, **options)
    assert str(refused.value)[: len(said) - 4] == said[:-4]
    assert "..." in said or str(refused.value) == said


@given(finite, finite, finite)
def test_the_ends_belong_to_the_range_and_above_and_below_do_not(value, one, other):
    least, most = sorted([one, other])
    for options, inside in (
        ({"least": least, "most": most}, least <= value <= most),
        ({"above": least, "below": most}, least < value < most),
        ({"above": least, "most": most}, least < value <= most),
        ({"least": least}, value >= least),
        ({"most": most}, value <= most),
    ):
        if inside:
            assert number("x", value, **options) == value
        else:
            with pytest.raises(ValueError, match=r"^x is .*; it may be "):
                number("x", value, **options)


@given(st.floats(-1e6, 1e6))
def test_ends_are_told_apart_to_the_last_digit(end):
    lower, upper = math.nextafter(end, -math.inf), math.nextafter(end, math.inf)
    assert number("x", end, "", end, end) == end
    assert number("x", end, above=lower, below=upper) == end
    for wrong in ({"least": upper}, {"most": lower}, {"above": end}, {"below": end}):
        with pytest.raises(ValueError, match=r"^x is "):
            number("x", end, **wrong)


def test_silence_nothing_and_whole_numbers_where_they_are_allowed():
    assert number("x", [-math.inf, 3], "dB", 0, 10, silence=True).tolist() == [-math.inf, 3]
    assert number("x", [], empty=True).shape == (0,)
    assert number("x", [1, 2.0, -3], whole=True).tolist() == [1, 2, -3]
    for value in (0.5, 1e-9, -1.5, [1, 1.000001]):
        with pytest.raises(ValueError, match=r"^x is .*; it may be a whole number, any finite number"):
            number("x", value, whole=True)


@given(
    st.sampled_from([(), (1,), (3,), (2, 1), (2, 3)]), st.sampled_from([(), (1,), (3,), (4,), (2, 1), (2, 3)])
)
def test_shapes_go_together_as_numpy_has_it(one, other):
    first, second = np.zeros(one), np.ones(other)
    try:
        shape = np.broadcast_shapes(one, other)
    except ValueError:
        with pytest.raises(ValueError, match=r"^shapes do not go together: ") as refused:
            same_shape(first_m=first, second_s=second)
        assert f"first_m {one}, second_s {other}; make them equal" in str(refused.value)
        return
    a, b = same_shape(first_m=first, second_s=second)
    assert a.shape == b.shape == shape
    assert (a == 0).all()
    assert (b == 1).all()


def test_a_single_number_is_a_float_and_nothing_else():
    assert type(single("x", np.int64(3))) is float
    assert single("x", 3, "m", 3, 3, whole=True) == 3
    for value, options, said in (
        ([3], {}, r"x has shape \(1,\); a single number is wanted"),
        (2, {"least": 3}, "x is 2; it may be 3 or more"),
        (4, {"most": 3}, "x is 4; it may be 3 or less"),
        (3, {"above": 3}, "x is 3; it may be above 3"),
        (3.5, {"whole": True}, "x is 3.5; it may be a whole number"),
        ("3", {}, "x is '3'; a number"),
    ):
        with pytest.raises(ValueError, match=f"^{said}"):
            single("x", value, **options)


def test_an_answer_is_a_float_where_it_is_one_number():
    assert type(plain(np.float64(3))) is float
    assert type(plain(np.array(3))) is float
    assert type(plain(3)) is float
    assert plain([1, 2]).tolist() == [1, 2]
    assert plain([[1]]).shape == (1, 1)


@given(st.integers(-(10**9), 10**9), st.integers(0, 6))
def test_a_decimal_is_taken_as_it_was_typed(digits, places):
    text = f"{digits / 10**places:.{places}f}"
    assert typed(float(text)) == Fraction(text)
