"""Whom the overview names for copying: in simulated honest classes nobody, and of those who copy, whom it can."""

import pytest
from scipy import stats

from classes.simulated import MIXED, SMALL, copied, honest
from gigsums.classes.marking import CHANCE

SHEETS = [pytest.param(SMALL, 1, id="few answers"), pytest.param(MIXED, 2, id="mixed")]


def at_most(chance, of):
    """Classes of so many that are named at most if each is with this chance; more would turn up once in a thousand."""
    return stats.binom.ppf(0.999, of, chance)


@pytest.mark.thorough
@pytest.mark.parametrize(("topics", "level"), SHEETS)
@pytest.mark.parametrize(("size", "classes"), [(30, 400), (300, 100)])
def test_honest_classes_give_no_reason_to_talk(topics, level, size, classes):
    """Strong, weak and lost trainees, with mistakes in common and answers that fit many sheets."""
    assert sum(honest(topics, size, level, lot) > 0 for lot in range(classes)) <= at_most(CHANCE, classes)


@pytest.mark.thorough
@pytest.mark.parametrize(("topics", "level"), SHEETS)
def test_beside_one_who_copies_nobody_else_is_named(topics, level):
    found = [copied(topics, 30, level, lot, 1.0) for lot in range(200)]
    assert sum(others > 0 for _, others in found) <= at_most(CHANCE, len(found))


@pytest.mark.thorough
def test_a_whole_sheet_copied_from_somebody_strong_is_found_where_answers_are_many():
    found = [copied(MIXED, size, 2, lot, 1.0)[0] for size in (30, 300) for lot in range(50)]
    assert sum(found) >= 0.8 * len(found)
