"""Phantom banks: the least blockers against the solver, which may plug everything anywhere."""

from dataclasses import replace

import pytest

from gigsums.gig.model import Kit
from gigsums.practice.drawing import Draw
from gigsums.practice.topics import phantom_banks as topic
from gigsums.sizing import fit


def agrees(seed):
    """How many blockers, once the solver has found that as many do and no fewer."""
    draw, level = Draw("trial of banks", seed), 1 + seed % 3
    size = draw.pick((4, 8))
    there = draw.whole(2, 5 if size == 4 else 3)
    sources = topic._draw_sources(draw, level, size * there)
    named = tuple(replace(source, name=f"{n} {source.name}") for n, source in enumerate(sources, start=1))
    gig = replace(topic.as_gig(named), talkback=False, kit=Kit(phantom_blockers=24))
    found = fit(gig, topic.desk_with(size, there))
    assert found.proven
    used = [change for change in found.changes if change.kind == "phantom blocker"]
    assert len(used) == len(found.changes) == topic.blockers(sources, size, there)
    return len(used)


def test_blockers_are_those_of_the_solver():
    assert len({agrees(seed) for seed in range(30)}) >= 3


@pytest.mark.thorough
def test_blockers_are_those_of_the_solver_for_many():
    for seed in range(30, 200):
        agrees(seed)
