"""Monitor mixes: the words shown are counted again, by reading them as a person would."""

import re

import pytest

from gigsums.practice import mark
from gigsums.practice.marking import SLIP
from gigsums.practice.wording import NUMBERS
from practice.proofs import drawn

WORD = {word: number for number, word in enumerate(NUMBERS)}


def recount(facts):
    """Mixes and buses from the lines alone: every line about the stage is a mix, what it says is its width."""
    mixes, buses, boxes = 0, 0, []
    for fact in facts:
        if fact.startswith("Effects: "):
            buses += len(
                re.split(r", (?=\w+(?: \w+)?(?: and |,))| and ", fact.split(": ")[1].rpartition(",")[0])
            )
        elif " group fader" not in fact:
            mixes += 1
            wide = "in stereo" in fact or "each with a send" in fact
            buses += 2 if wide else 1
            found = re.search(r"(\w+) (?:wedges?|boxes)", fact)
            boxes.append(2 if "a top and a sub" in fact else WORD.get(found[1], 1) if found else 1)
    return (mixes, buses), sum(boxes)


@pytest.mark.parametrize("level", [1, 2, 3])
def test_the_lines_as_read_give_the_answer(level):
    for seed in range(120):
        asked = drawn("monitor mixes", seed, level)
        assert recount(asked.facts)[0] == asked.answer.values, asked.text()


@pytest.mark.parametrize("level", [1, 2, 3])
def test_counting_boxes_gives_that_slip(level):
    met = 0
    for seed in range(120):
        asked = drawn("monitor mixes", seed, level)
        boxes = recount(asked.facts)[1]
        named = {slip.name: slip.values for slip in asked.slips}
        if "Boxes counted, not mixes" in named:
            met += 1
            assert named["Boxes counted, not mixes"][0] == boxes
    assert met > 30


def test_forgetting_the_effects_gives_that_slip():
    met = 0
    for seed in range(120):
        asked = drawn("monitor mixes", seed)
        units = next(fact for fact in asked.facts if fact.startswith("Effects"))
        mixes, buses = asked.answer.values
        marking = mark(asked, f"{mixes}, {buses - recount((units,))[0][1]}")
        met += marking.slip == "Effects sends forgotten"
        assert marking.outcome in (SLIP, "wrong")
    assert met > 60


def test_group_faders_change_nothing():
    with_groups = [
        p for p in (drawn("monitor mixes", seed, 3) for seed in range(60)) if p.shown["group faders"]
    ]
    assert len(with_groups) > 10
    for asked in with_groups:
        assert recount(asked.facts[:-1])[0] == asked.answer.values
