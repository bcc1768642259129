"""Phantom banks: the least blockers against the solver, which may plug everything anywhere."""

from dataclasses import replace

import pytest

from gigsums.gig.model import Kit
from gigsums.practice.drawing import Draw
from gigsums.practice.topics import inputs as topic
from gigsums.sizing import fit


def agrees(seed):
    """How many blockers, once the solver has found that as many do and no fewer."""
    draw, level = Draw("trial of banks", seed), 1 + seed % 3
    sources, banks = topic.draw_phantom(draw, level)
    named = tuple(replace(source, name=f"{n} {source.name}") for n, source in enumerate(sources, start=1))
    gig = replace(topic.on_one_player(named), talkback=False, kit=Kit(phantom_blockers=24))
    found = fit(gig, banks.desk)
    assert found.proven
    used = [change for change in found.changes if change.kind == "phantom blocker"]
    assert len(used) == len(found.changes) == banks.blockers(sources)
    return len(used)


def test_blockers_are_those_of_the_solver():
    assert len({agrees(seed) for seed in range(30)}) >= 3


@pytest.mark.thorough
def test_blockers_are_those_of_the_solver_for_many():
    for seed in range(30, 200):
        agrees(seed)
