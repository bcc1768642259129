"""Monitor mixes: the slips are what reading the lines wrongly comes to."""

import pytest

from gigsums.practice import mark
from practice import reading
from practice.proofs import drawn

SEEDS = range(120)


def misread(asked, name):
    """The answer of somebody who reads the lines in that wrong way."""
    mixes = reading.monitors(asked.facts)
    sends = reading.effects(asked.facts)
    buses = sum(m.width for m in mixes) + sends
    boxes = sum(m.boxes for m in mixes)
    doubled = [m for m in mixes if m.boxes > 1]
    return {
        "Boxes counted, not mixes": (boxes, buses + sum(m.boxes - m.width for m in doubled)),
        "Effects sends forgotten": (len(mixes), buses - sends),
        "Effects counted as mixes": (len(mixes) + sends, buses),
        "Every mix counted as stereo": (len(mixes), 2 * len(mixes) + sends),
        "The two numbers swapped": (buses, len(mixes)),
        "People counted, not mixes": (
            sum(max(1, m.listeners) for m in mixes),
            sends + sum(m.width * max(1, m.listeners) for m in mixes),
        ),
    }[name]


@pytest.mark.parametrize(
    "name",
    [
        "Boxes counted, not mixes",
        "Effects sends forgotten",
        "Effects counted as mixes",
        "Every mix counted as stereo",
        "The two numbers swapped",
        "People counted, not mixes",
    ],
)
def test_reading_it_wrong_gives_that_slip(name):
    met = 0
    for seed in SEEDS:
        asked = drawn("monitor mixes", seed)
        named = {slip.name: slip.values for slip in asked.slips}
        if name in named:
            met += 1
            mixes, buses = misread(asked, name)
            assert named[name] == (mixes, buses), asked.text()
            assert mark(asked, f"{mixes} mixes, {buses} buses").slip == name
    assert met > len(SEEDS) / 4


def test_group_faders_change_nothing():
    asked = [drawn("monitor mixes", seed, 3) for seed in range(60)]
    with_groups = [each for each in asked if each.shown["group faders"]]
    assert len(with_groups) > 10
    for each in with_groups:
        assert each.answer.values[0] == len(reading.monitors(each.facts[:-1]))
