"""Least change: against the solver, which proves that nothing cheaper exists."""

import pytest

from gigsums.gig import Gig
from gigsums.practice.drawing import Draw, draw_evening
from gigsums.practice.topics import buses as topic
from gigsums.sizing import fit


def agrees(seed):
    """The verdict, once the solver has found the same verdict and the same points."""
    draw, level = Draw("trial of least change", seed), 1 + seed % 3
    evening, _ = draw_evening(draw)
    gig, have = topic.draw_change(draw, level, Gig(evening))
    found = fit(gig, topic.desk_with(have))
    assert found.proven
    assert topic.least(gig, have)[:2] == (found.placement, sum(change.points for change in found.changes))
    return found.placement


def test_points_are_those_of_the_solver():
    assert {agrees(seed) for seed in range(20)} == set(topic.VERDICTS)


@pytest.mark.thorough
def test_points_are_those_of_the_solver_for_many():
    for seed in range(20, 200):
        agrees(seed)
