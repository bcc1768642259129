"""Sets of cells: common practice, no source, so the count is built another way."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas.kit import battery_sets


def by_wearing_them_out(tenths_of_hours: int, tenths_of_life: int, usable_tenths: int, spare: int) -> int:
    """Put in a set, run it down to what is planned on, put in the next: whole hundredths of an hour, no division."""
    left, sets = 10 * tenths_of_hours, 0
    while left > 0:
        left -= tenths_of_life * usable_tenths
        sets += 1
    return sets + spare


@given(st.integers(1, 300), st.integers(1, 200), st.integers(1, 10), st.integers(0, 3))
def test_as_many_sets_as_wearing_them_out_takes(hours, life, usable, spare):
    counted = battery_sets(hours / 10, life / 10, usable / 10, spare)
    assert counted == by_wearing_them_out(hours, life, usable, spare)


@pytest.mark.parametrize(
    ("hours", "life", "sets"),
    [(6, 6, 3), (4.2, 6, 2), (4.3, 6, 3), (0.1, 6, 2), (8.4, 6, 3)],
)
def test_four_point_two_hours_is_one_set_and_its_spare(hours, life, sets):
    """4.2 / (0.7 x 6) is 1 exactly; in floating point it is 1.0000000000000002, which rounds up to 2."""
    assert battery_sets(hours, life) == sets


def test_the_habits_are_planning_on_seven_tenths_and_one_spare():
    assert battery_sets(7, 10) == battery_sets(7, 10, 0.7, 1) == 2
    assert battery_sets(7.1, 10) == 3


def test_arrays_broadcast_and_a_single_value_is_a_float():
    assert isinstance(battery_sets(6, 6), float)
    assert battery_sets([[3], [6]], [6, 12]).tolist() == [[2, 2], [3, 2]]


@pytest.mark.parametrize("argument", ["usable_part", "spare_sets"])
def test_a_habit_is_one_value(argument):
    with pytest.raises(ValueError, match=argument):
        battery_sets(**{"hours_h": 6, "life_h": 6, argument: [1, 1]})


def test_sets_keep_to_their_ranges():
    holds_to_its_range(battery_sets, {"hours_h": Span(0, 1000, above=True), "life_h": Span(0.1, 1000)})
    habits = {"usable_part": Span(0.05, 1), "spare_sets": Span(0, 100, whole=True)}
    holds_to_its_range(battery_sets, habits, None, hours_h=6, life_h=6)
