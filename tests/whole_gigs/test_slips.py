"""Where an answer went wrong, in words that are the same for everybody: each mistake made is named, and no other."""

from __future__ import annotations

from copy import deepcopy

import pytest

from gigsums.whole_gigs import mark_whole, whole_gig

JOB = whole_gig("lantern_night")


def count(label, value):
    return lambda answers: answers["counts"].update({label: value})


def word(value):
    return lambda answers: answers["verdict"].update(word=value)


def without(item):
    def change(answers):
        rows = answers["placement"]["rows"]
        rows[:] = [row for row in rows if row["item"] != item]

    return change


def source(name, **cells):
    def change(answers):
        next(row for row in answers["inputs"]["rows"] if row["source"] == name).update(cells)

    return change


def changes(*rows):
    return lambda answers: answers["changes"].update(rows=list(rows))


def safely(key, value):
    return lambda answers: answers["safety"].update({key: value})


MISTAKES = {
    "a count": (count("matrices", "3"), ["matrices: counted otherwise"]),
    "a count that many make": (
        count("preamps (desk)", "14"), ["preamps (desk): what comes out of a DI box is at microphone level"],
    ),
    "a count that two mistakes lead to": (
        count("monitor mixes", "6"),
        [
            "monitor mixes: boxes that play the same thing are one mix, and people who share a mix take one between them"
        ],
    ),
    "a delay to one place only": (
        count("Back of shed delay", "83.6 ms"),
        ["Back of shed delay: only the difference of the two paths counts, both to the same listener"],
    ),
    "the word": (word("does not fit"), ["verdict: another word"]),
    "a list": (lambda a: a["verdict"].update(no_spare=[]), ["verdict: met without the spare that the house wants"]),
    "something not placed": (
        without("Fiddle"), ["placement: Fiddle takes 1 microphone inputs and nothing else"],
    ),
    "nearly nothing placed": (
        lambda a: a["placement"].update(rows=a["placement"]["rows"][:2]), ["placement: unfinished, or far from legal"],
    ),
    "phantom": (source("Lectern", phantom=False), ["input list: phantom"]),
    "where it is plugged": (source("Walk-in music", at="stage"), ["input list: where it is plugged"]),
    "a channel twice": (source("Fiddle", channel=[1]), ["input list: a channel twice"]),
    "safe working": (safely("late", "the line check"), ["safe working: late"]),
    "safe working, dangerously": (
        safely("late", "the check of the supply and of the limiters, which held last week"), ["safe working: late"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_each_mistake_is_named_and_no_other(mistake):
    made, names = MISTAKES[mistake]
    answers = deepcopy(JOB.key_answers())
    made(answers)
    marking = mark_whole(JOB, answers)
    assert [slip.name for slip in marking.slips] == names
    assert marking.total < 100


def test_changes_that_do_not_do_are_named():
    answers = deepcopy(JOB.key_answers())
    changes(
        {"kind": "mono", "item": "Tobiah", "to": ""}, {"kind": "another desk", "item": "desk", "to": "Desk C"}
    )(answers)
    names = [slip.name for slip in mark_whole(JOB, answers).slips]
    assert "changes: it still does not fit" in names
    assert "changes: one that nobody agreed to, or that is not there" in names


def test_the_key_and_an_empty_sheet_name_nothing():
    assert mark_whole(JOB, JOB.key_answers()).slips == ()
    assert mark_whole(JOB, {}).slips == ()


def test_what_is_carried_forward_is_no_slip_of_its_own():
    answers = deepcopy(JOB.key_answers())
    for label, one_less in {"stereo inputs (desk)": "1", "strips": "17"}.items():
        answers["counts"][label] = one_less
    marking = mark_whole(JOB, answers)
    assert marking.carried == ("strips",)
    counted = [slip.name for slip in marking.slips if slip.name.split(":")[0] in answers["counts"]]
    assert counted == ["stereo inputs (desk): left and right are two channels"]


def test_the_hint_is_the_rule_that_was_missed_and_never_the_number():
    answers = deepcopy(JOB.key_answers())
    count("buses", "11")(answers)
    (slip,) = mark_whole(JOB, answers).slips
    assert slip.hint == "a mono mix takes one bus, a stereo mix two, whatever boxes play it"
    assert mark_whole(JOB, answers).as_json()["slips"] == [{"name": slip.name, "hint": slip.hint}]
