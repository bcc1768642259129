"""The exact answer against trying everything, against the judge, and against itself under harmless changes."""

from __future__ import annotations

import random

import pytest

from gigsums.sizing import fit
from gigsums.sizing.carried import carry_out
from gigsums.sizing.exact import solve
from gigsums.sizing.judge import check_placement
from gigsums.sizing.places import settle
from gigsums.sizing.ways import problem

from .brute_force import cheapest
from .random_gigs import random_desk, random_gig


def agree(seed: int) -> tuple[str, list[str]]:
    """One random gig on one random desk: the verdict and the short ledgers, once everybody agrees."""
    draw = random.Random(f"small gig {seed}")
    gig, desk = random_gig(draw), random_desk(draw)
    question = problem(gig, desk, gig.policy)
    answer, tried = solve(question), cheapest(gig, desk)
    assert answer.outcome in ("best", "none")
    assert (answer.points if answer.outcome == "best" else None) == tried, f"seed {seed}"
    it = fit(gig, desk)
    if answer.outcome == "best":
        changed = carry_out(question, answer)
        places = settle(question, answer, changed.names, changed.desk)
        judged = check_placement(changed.gig, changed.desk, places)
        assert judged.legal, f"seed {seed}: {[f.text() for f in judged.faults]}"
        assert it.placement == ("fits with changes" if tried else "fits")
    else:
        assert it.placement == "does not fit"
    return it.placement, sorted({row.key for row in it.ledgers if row.blocks and row.state == "short"})


@pytest.mark.parametrize("seed", range(100))
def test_the_exact_answer_is_the_one_that_trying_everything_finds(seed):
    agree(seed)
