"""Bus pairs: against the solver that lays every send on a numbered bus, and by hand on the words shown."""

import pytest

from gigsums.gig import Desk
from gigsums.gig.desk import AboutDesk, MixBuses
from gigsums.practice.topics.buses import heaps, more_wedges, pairs
from gigsums.sizing.buses import BusNeed, count_pairs
from practice.proofs import drawn

NEEDS = [
    BusNeed(stereo_pre=a, mono_pre=b, stereo_post=c, mono_post=d)
    for a, b, c, d in [
        (0, 0, 0, 1),
        (0, 5, 0, 3),
        (2, 1, 1, 1),
        (3, 4, 0, 2),
        (1, 7, 1, 0),
        (4, 2, 0, 5),
        (0, 1, 0, 1),
    ]
]


def laid(need, count):
    """Pairs by the solver on a desk of so many buses that switch their tap in pairs."""
    return count_pairs(
        need, list(Desk(AboutDesk("any", "analogue"), mix_buses=(MixBuses(count, tap="pair"),)).buses())
    )


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_pairs_are_those_of_the_solver(need):
    assert pairs(need) == laid(need, 24).taken
    assert sum(number for _, number, _ in heaps(need)) == need.total - need.stereo_pre - need.stereo_post


@pytest.mark.parametrize("need", NEEDS, ids=str)
@pytest.mark.parametrize("free", [0, 2])
def test_wedges_still_to_be_had_are_those_the_solver_can_lay(need, free):
    have = pairs(need) + free
    more = more_wedges(need, have)

    def carried(extra):
        wider = BusNeed(need.stereo_pre, need.mono_pre + extra, need.stereo_post, need.mono_post)
        return laid(wider, 2 * have).taken <= have

    assert carried(more)
    assert not carried(more + 1)


def test_a_pair_is_never_shared_across_the_fader():
    seen = set()
    for seed in range(120):
        asked = drawn("bus pairs", seed)
        for slip in asked.slips:
            if slip.name == "Buses halved, whatever they carry":
                seen.add(slip.values[0] - asked.answer.values[0])
    assert seen == {-1}  # one odd bus on either side of the fader costs one pair, never more


def test_the_desk_holds_what_is_asked():
    for seed in range(120):
        asked = drawn("bus pairs", seed)
        assert asked.answer.values[0] <= asked.shown["pairs"]
        assert f"has {2 * asked.shown['pairs']} buses" in asked.scene
