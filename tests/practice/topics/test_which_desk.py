"""Which desk: a desk that is said to carry the gig does so by the solver too, and one that lacks something does not."""

from dataclasses import replace

import pytest

from gigsums.gig.desk import Inputs, MixBuses, Outputs
from gigsums.practice.drawing import Draw
from gigsums.practice.topics.judging import WHICH_DESK
from gigsums.sizing import fit


def as_desk(offer):
    """The offer as a desk file would describe it."""
    have = offer.have
    return replace(
        offer.works,
        about=replace(offer.works.about, channels=have["channels"]),
        inputs=(Inputs("desk", mic=have["sockets"]),),
        outputs=(Outputs("desk", line=have["outputs"]),),
        mix_buses=(MixBuses(have["buses"] + have["buses"] % 2),),
    )


def agrees(seed):
    """Whether the desks carry the gig, once the solver has said so of each."""
    made = WHICH_DESK.build(Draw("trial of desks", seed), 1 + seed % 3)
    gig, offers = made.shown["gig"], made.shown["offers"]
    seen = set()
    for offer in offers:
        if offer.have["buses"] % 2:
            continue  # a desk file has no half pair to spare
        found = fit(gig, as_desk(offer))
        assert found.proven
        assert (found.placement == "fits") == (not offer.lacks(gig)), (offer, found.placement)
        seen.add(found.placement == "fits")
    return seen


def test_desks_carry_what_they_are_said_to():
    assert set().union(*(agrees(seed) for seed in range(10))) == {True, False}


@pytest.mark.thorough
def test_desks_carry_what_they_are_said_to_for_many():
    for seed in range(10, 100):
        agrees(seed)
