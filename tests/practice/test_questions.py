"""A question in a notebook: shows, checks, remembers."""

import pytest

from gigsums.practice import problem, question
from gigsums.practice.questions import PATIENCE


@pytest.fixture
def q1():
    return question("monitor mixes", seed=13, level=1)


def test_it_asks_the_problem_of_its_seed(q1):
    assert q1.problem == problem("monitor mixes", 13, 1)
    shown = q1._repr_markdown_()
    assert all(fact.split(" (")[0] in shown for fact in q1.problem.facts)
    assert q1.problem.question in shown


def test_attempts_are_kept_and_unreadable_ones_are_none(q1):
    q1.check("")
    q1.check("lots")
    assert q1.attempts == []
    q1.check("1, 1")
    q1.check(str(q1.problem.answer))
    assert [each.outcome for each in q1.attempts] == ["wrong", "right"]


def test_the_way_is_offered_after_some_attempts_and_shown_when_right(q1):
    said = [q1.check("1, 1").message for _ in range(PATIENCE)]
    assert ["workings()" in message for message in said] == [False] * (PATIENCE - 1) + [True]
    right = q1.check(str(q1.problem.answer))
    assert "workings()" not in right.message
    assert right.workings == q1.problem.workings
    assert q1.problem.workings[-1].split(": ")[0] in right._repr_markdown_()


def test_workings_read_as_lines(q1):
    assert repr(q1.workings()).splitlines() == list(q1.problem.workings)
    assert q1.workings()._repr_markdown_().count("- ") >= len(q1.problem.workings)


def test_names_from_outside_are_not_markup(q1):
    from dataclasses import replace

    from gigsums.practice import Question

    hostile = replace(q1.problem, scene="<b>*Loud* & $x$</b> [here](http://x)", facts=("`rm`", "# top"))
    shown = Question(hostile)._repr_markdown_()
    assert "<b>" not in shown
    assert "\\*Loud\\* &amp; \\$x\\$" in shown
    assert "\\[here\\]" in shown
    assert "- \\`rm\\`\n- \\# top" in shown


def test_representations_are_short_and_the_same_each_time(q1):
    assert (
        repr(q1)
        == repr(question("monitor mixes", seed="13", level=1))
        == "Question(monitor mixes v2 level 1 seed 13)"
    )
    assert repr(q1.check("")) == repr(q1.check(""))
