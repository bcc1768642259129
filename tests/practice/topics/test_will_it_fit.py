"""Will it fit: against the solver that places every bus and proves the least change."""

from dataclasses import replace

import pytest

from gigsums.gig import Effect, Gig, Mix
from gigsums.gig.model import Evening
from gigsums.practice.topics.buses import VERDICTS, WILL_IT_FIT, desk_with
from gigsums.sizing import fit
from practice.proofs import drawn


def stage(stereo, mono, willing, effects):
    """A stage of so many stereo and mono mixes, some of the stereo ones willing to go mono."""
    mixes = [
        Mix(f"pair {n}", (f"player {n}",), "in-ears", may=("mono",) if n < willing else ())
        for n in range(stereo)
    ]
    mixes += [Mix(f"wedge {n}", (f"singer {n}",)) for n in range(mono)]
    return Gig(
        Evening("trial"), mixes=tuple(mixes), effects=tuple(Effect(f"unit {n}") for n in range(effects))
    )


CASES = [
    (stage(*counts), buses)
    for counts in [
        (2, 1, 0, 1),
        (2, 1, 1, 1),
        (3, 2, 2, 1),
        (3, 0, 3, 2),
        (1, 5, 1, 3),
        (4, 1, 2, 0),
        (0, 4, 0, 1),
    ]
    for buses in (4, 6, 8, 10)
]


def agrees(gig, buses, key):
    found = fit(gig, desk_with(buses))
    assert found.proven
    assert found.placement == key[0]
    if key[0] == "fits with changes":
        assert [change.kind for change in found.changes] == ["mono"] * key[1]
        bare = replace(gig, mixes=tuple(_mono(mix, found.changes) for mix in gig.mixes))
        assert WILL_IT_FIT.values(bare, buses) == ("fits", 0, key[2])
    return key[0]


def _mono(mix, changes):
    return replace(mix, stereo=False) if f"mix.{mix.name}" in {change.item for change in changes} else mix


def test_verdicts_are_those_of_the_solver():
    assert {agrees(gig, buses, WILL_IT_FIT.values(gig, buses)) for gig, buses in CASES} == set(VERDICTS)


@pytest.mark.thorough
def test_drawn_problems_are_those_of_the_solver():
    for seed in range(150):
        asked = drawn("will it fit", seed)
        gig = _again(asked.shown["gig"])
        assert WILL_IT_FIT.values(gig, asked.shown["buses"]) == asked.answer.values
        agrees(gig, asked.shown["buses"], asked.answer.values)


def _again(shown):
    """The gig as a person would write it down from the values shown."""
    mixes = tuple(
        Mix(
            mix["name"], tuple(mix["listeners"]), mix["through"], mix["stereo"], mix["boxes"], mix["sub_send"],
            may=tuple(mix["may"]),
        )
        for mix in shown["mixes"]
    )  # fmt: skip
    return Gig(
        Evening("again"), mixes=mixes, effects=tuple(Effect(each["name"]) for each in shown["effects"])
    )
