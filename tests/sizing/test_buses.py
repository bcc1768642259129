"""Pairs and taps: counted exactly, and checked against trying every assignment there is."""

from __future__ import annotations

from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigs import desk, gig, singers
from gigsums.gig import Bus
from gigsums.sizing import demand, fit
from gigsums.sizing.buses import BusNeed, count_pairs


def brute_force(need: BusNeed, buses: list[Bus]) -> int | None:
    """Fewest odd-even pairs touched by any assignment, or None. Tries every one: for a few buses only."""
    singles = ["pre"] * need.mono_pre + ["post"] * need.mono_post + ["send"] * need.sends
    stereos = ["pre"] * need.stereo_pre + ["post"] * need.stereo_post
    best = None
    pairs = [(a, b) for a, b in pairwise(buses) if a.number % 2 and a.links_up and b.links_up]
    for chosen in permutations(pairs, len(stereos)):
        carried = {
            bus: "post" if tap == "pre" and "always post" in {b.tap for b in pair} else tap
            for pair, tap in zip(chosen, stereos, strict=True)
            for bus in pair
        }
        if len(carried) < 2 * len(stereos):
            continue
        free = [b for b in buses if b not in carried]
        for places in set(permutations(free, len(singles))):
            load = {**carried, **dict(zip(places, singles, strict=True))}
            if legal(load, buses):
                whole = {(b.number + 1) // 2 for b in load if b.number <= len(buses) // 2 * 2}
                best = len(whole) if best is None else min(best, len(whole))
    return best


def legal(load: dict[Bus, str], buses: list[Bus]) -> bool:
    for bus, what in load.items():
        if what == "send" and not bus.feeds_effects:
            return False
        if bus.tap == "always pre" and what != "pre":
            return False
    for bus, other in product(load, load):
        together = (bus.tap == "pair" and (bus.number + 1) // 2 == (other.number + 1) // 2) or (
            bus.tap == "all" and other.tap == "all" and bus.run == other.run
        )
        if together and (load[bus] == "pre") != (load[other] == "pre"):
            return False
    return True


@st.composite
def few_buses(draw):
    buses: list[Bus] = []
    for run in range(draw(st.integers(1, 3))):
        tap = draw(st.sampled_from(["each", "pair", "all", "always pre", "always post"]))
        number = 2 if tap == "pair" else draw(st.integers(1, 2))
        if tap == "pair" and len(buses) % 2:
            continue
        links = draw(st.booleans())
        feeds = draw(st.booleans())
        buses += [Bus(len(buses) + 1 + k, run, tap, links, "aux", feeds) for k in range(number)]
    need = draw(
        st.builds(
            BusNeed,
            stereo_pre=st.integers(0, 2),
            mono_pre=st.integers(0, 3),
            stereo_post=st.integers(0, 1),
            mono_post=st.integers(0, 2),
            sends=st.integers(0, 1),
        ).filter(lambda n: n.total <= 6)
    )
    return need, buses


@settings(max_examples=150, deadline=None)
@given(few_buses())
def test_pairs_agree_with_trying_every_assignment(case):
    need, buses = case
    counted, tried = count_pairs(need, buses), brute_force(need, buses)
    if tried is None:
        assert counted.taken > counted.have or counted.carried < need.total
    else:
        assert counted.taken == tried
        assert counted.carried == need.total


def buses(count: int, tap: str) -> list[Bus]:
    return [Bus(n, 0, tap, True, "aux", False) for n in range(1, count + 1)]


@pytest.mark.parametrize(
    ("need", "tap", "pairs"),
    [
        # Common practice, no source: stereo + half the monos of each tap, each rounded up.
        (BusNeed(mono_pre=5, mono_post=3), "pair", 5),
        (BusNeed(mono_pre=5, mono_post=2), "pair", 4),
        (BusNeed(stereo_pre=2, mono_pre=3, mono_post=1), "pair", 5),
        (BusNeed(stereo_pre=2, mono_pre=3, mono_post=1), "each", 4),
        (BusNeed(stereo_pre=1, mono_pre=1), "each", 2),
        (BusNeed(stereo_pre=1, stereo_post=1, mono_pre=1, mono_post=1), "pair", 4),
    ],
)
def test_pairs_that_switch_together(need, tap, pairs):
    assert count_pairs(need, buses(8, tap)).taken == pairs


def test_eight_of_eight_by_number_is_five_pairs_of_four():
    """Five monitor mixes and three sends after the fader, on eight buses switched two at a time."""
    text = (
        singers(5, "boxes = 1")
        + "".join(f'[[effect]]\nname = "E{n}"\n' for n in range(3))
        + "[kit]\neffects = 3\n"
    )
    counted = demand(gig(text), desk('[[mix_buses]]\ncount = 8\ntap = "pair"\n'))
    by_number, by_pairs = counted.ledger("buses"), counted.ledger("bus pairs")
    assert (by_number.need, by_number.have, by_number.margin) == (8, 8, 0)
    assert (by_pairs.need, by_pairs.have, by_pairs.state) == (5, 4, "short")


@pytest.mark.parametrize(
    ("effects", "needed"),
    [
        ('[effects]\ncount = 2\nsend = "own"\n', 2),
        ('[effects]\ncount = 2\nsend = "takes a bus"\n', 4),
        ("[effects]\ncount = 0\n", 4),
    ],
)
def test_an_effect_takes_a_bus_unless_its_send_is_its_own(effects, needed):
    text = singers(2, "boxes = 1") + '[[effect]]\nname = "R"\n[[effect]]\nname = "D"\n[kit]\neffects = 2\n'
    assert demand(gig(text), desk("[[mix_buses]]\ncount = 8\n" + effects)).ledger("buses").need == needed


def test_groups_are_not_monitor_buses():
    only_groups = desk('[[mix_buses]]\ncount = 8\nkind = "group"\n')
    assert demand(gig(singers(1, "boxes = 1")), only_groups).ledger("buses").state == "short"


def test_a_send_after_the_fader_finds_no_place_on_fixed_pre_buses():
    fixed = desk('[[mix_buses]]\ncount = 6\ntap = "always pre"\n')
    text = singers(3, "boxes = 1") + '[[effect]]\nname = "R"\n[kit]\neffects = 1\n'
    assert demand(gig(text), fixed).ledger("buses").state == "short"


def test_a_wedge_on_a_fixed_post_bus_is_a_care_not_a_shortage():
    fixed = desk('[[mix_buses]]\ncount = 2\ntap = "always post"\n')
    counted = demand(gig(singers(1, "boxes = 1")), fixed)
    assert counted.ledger("buses").state == "met"
    assert any("after the fader" in care.rule for care in counted.cares)


def test_four_mixes_want_a_spare_bus_and_three_do_not():
    wide = desk("[[mix_buses]]\ncount = 8\n")
    assert demand(gig(singers(4, "boxes = 1")), wide).ledger("buses").spare_wanted == 1
    assert demand(gig(singers(3, "boxes = 1")), wide).ledger("buses").spare_wanted == 0


def test_a_drum_fill_with_a_sub_send_needs_no_pair():
    odd = desk('[[mix_buses]]\ncount = 2\nstereo = "none"\n')
    text = singers(1, 'through = "drum fill"\nsub_send = true')
    assert demand(gig(text), odd).ledger("bus pairs").state == "met"


def test_stereo_in_ears_need_buses_that_link():
    text = singers(1, 'through = "in-ears"')
    linked, unlinked = desk("[[mix_buses]]\ncount = 2\n"), desk('[[mix_buses]]\ncount = 2\nstereo = "none"\n')
    assert demand(gig(text), linked).ledger("bus pairs").state == "met"
    assert demand(gig(text), unlinked).ledger("bus pairs").state == "short"


def test_a_centre_speaker_takes_a_mono_bus():
    centre = '[mains]\noutputs = "left, centre and right"\n'
    assert demand(gig(centre), desk("[[mix_buses]]\ncount = 2\n")).ledger("buses").need == 1


def test_a_mix_alone_in_its_pair_sits_on_the_odd_bus():
    """Common practice, no source: the first wedge is on the first send."""
    wedge = gig(singers(1, 'through = "wedge"'))
    buses = '[[mix_buses]]\ncount = 4\ntap = "each"\nstereo = "odd with next even"\n'
    assert [p.number for p in fit(wedge, desk(buses)).places if p.on == "bus"] == [1]
