"""The bag: every number by hand. Spares and contents are common practice, no source; they are settings."""

from dataclasses import replace

import pytest

from gigs import desk, gig
from gigsums.gig import load_desk, load_gig, load_policy
from gigsums.planning import bag
from gigsums.sizing import smallest_changes

LANTERN = load_gig("lantern_night")
DESK_D = load_desk("desk_d")
PLAIN = desk(about='kind = "analogue"')


def row(it, item):
    return it[item].needed, it[item].spare, it[item].total


def player(sources: str, name: str = "P", at: str = "at_m = [1.0, 1.0]", plays: str = "") -> str:
    return f'[[performer]]\nname = "{name}"\nplays = "{plays}"\n{at}\nsources = [{sources}]\n'


@pytest.mark.parametrize(("count", "spare"), [(1, 0), (3, 0), (4, 1), (9, 1)])
def test_one_more_microphone_from_four_of_a_kind(count, spare):
    it = bag(gig(player(f'{{ name = "Tom", by = "mic", count = {count} }}')), PLAIN)
    assert row(it, "other microphone") == (count, spare, count + spare)


def test_a_vocal_microphone_more_always_and_another_from_four():
    voices = '{{ name = "Vocal", by = "mic", count = {} }}'
    assert row(bag(gig(player(voices.format(3))), PLAIN), "vocal microphone") == (3, 1, 4)
    assert row(bag(gig(player(voices.format(4))), PLAIN), "vocal microphone") == (4, 2, 6)


def test_kinds_are_kept_apart_and_stereo_is_two():
    text = player(
        '{ name = "Overheads", by = "mic", stereo = true, phantom = "needed", stand = "tall boom" },'
        '{ name = "Keys", by = "DI", stereo = true }, { name = "Radio", by = "mic", radio = true },'
        '{ name = "Snare", by = "mic", stand = "short boom" }'
    )
    it = bag(gig(text), PLAIN)
    assert row(it, "microphone that needs phantom") == (2, 0, 2)
    assert row(it, "radio microphone and receiver") == (1, 0, 1)
    assert row(it, "DI box") == (2, 1, 3)  # a fifth of two, rounded up
    assert row(it, "tall boom") == (2, 1, 3)
    assert row(it, "short boom") == (1, 1, 2)
    with pytest.raises(
        KeyError, match="'vocal microphone' is not in the bag; in it are: microphone that needs"
    ):
        it["vocal microphone"]


def test_a_share_is_rounded_up_in_whole_numbers():
    """Seven per cent of a hundred is seven, though floating point makes a hair more of it."""
    policy = load_policy()
    habit = replace(policy, bag=replace(policy.bag, di_percent=7))
    hundred = replace(gig(player('{ name = "D", by = "DI", count = 100 }')), policy=habit)
    assert bag(hundred, PLAIN)["DI box"].spare == 7


def test_cables_run_along_the_edges_to_the_box():
    """By hand: 4 + 2 + 3 is 9 m, a cable of 10; 1 + 0.5 + 3 is 4.5, one of 5; a radio and a line at the desk take none."""
    text = player('{ name = "A", by = "mic", count = 2 }', "A", "at_m = [1.0, 1.0]")
    text += player('{ name = "B", by = "DI" }', "B", "at_m = [4.0, 2.5]")
    text += player('{ name = "C", by = "mic", radio = true }', "C", "at_m = [2.0, 2.0]")
    text += '[[line]]\nname = "Music"\nstereo = true\n'
    it = bag(gig(text), PLAIN, (5.0, 3.0))
    assert row(it, "microphone cable, 10 m") == (2, 1, 3)
    assert row(it, "microphone cable, 5 m") == (1, 1, 2)
    assert sum(each.needed for each in it.rows if each.case == "cables") == 3


def test_a_monitor_cable_runs_on_from_box_to_box():
    """Box at the corner: 3 + 1 + 3 is 7 m to the first; 2 + 0 + 3 is 5 to the second; the third stands by it, 3 m."""
    text = player('{ name = "R", by = "mic", radio = true }', "A", "at_m = [3.0, 1.0]")
    text += player('{ name = "Q", by = "mic", radio = true }', "B", "at_m = [5.0, 1.0]")
    text += '[[mix]]\nname = "Both"\nfor = ["A", "B"]\nboxes = 3\n'
    it = bag(gig(text), PLAIN, (0.0, 0.0))
    assert {each.item: each.needed for each in it.rows if each.case == "cables"} == {
        "microphone cable, 3 m": 1, "microphone cable, 5 m": 1, "microphone cable, 10 m": 1,
    }  # fmt: skip
    assert row(it, "wedge, box") == (3, 0, 3)


def test_what_nobody_has_measured_is_said_and_two_cables_are_spare_all_the_same():
    it = bag(gig(player('{ name = "A", by = "mic" }', at="")), PLAIN, (1.0, 1.0))
    assert row(it, "microphone cable, length to be measured") == (1, 2, 3)
    assert bag(LANTERN, DESK_D)["microphone cable, length to be measured"].needed == 16 + 3


def test_cells_are_packs_times_cells_times_sets():
    """Six hours on cells said to last six, of which 0.7 is counted on: two sets, and one to spare."""
    it = bag(LANTERN, DESK_D, pack_hours_h=6)
    assert row(it, "in-ear pack") == (2, 0, 2)
    assert row(it, "cell for a pack") == (2 * 2 * 2, 2 * 2 * 1, 12)
    radios = gig(player('{ name = "R", by = "mic", radio = true, count = 3 }'))
    assert bag(radios, PLAIN, pack_hours_h=4)["cell for a pack"].total == 3 * 2 * 2
    assert not any("cell" in each.item and each.case == "monitors" for each in bag(LANTERN, DESK_D).rows)


def test_what_the_desk_has_inside_stays_at_home():
    on_d = {each.item for each in bag(LANTERN, DESK_D).rows if each.case == "beside the desk"}
    assert on_d == set()
    answer = smallest_changes(LANTERN, load_desk("desk_b"))[0]
    it = bag(answer.gig, answer.desk)
    beside = {each.item: each.total for each in it.rows if each.case == "beside the desk"}
    assert beside == {
        "equaliser channel": 9, "compressor": 2, "gate": 3, "delay unit": 1, "effects unit": 1,
    }  # fmt: skip


def test_the_house_says_what_is_always_packed_and_a_gig_may_change_it():
    own = gig('[policy.bag]\nalways = [{ item = "spoon", count = 2 }]\n')
    always = [(each.item, each.total) for each in bag(own, PLAIN).rows if each.case == "always"]
    assert always == [("spoon", 2)]
    assert bag(LANTERN, DESK_D)["marker"].total == 2


def test_as_text_it_can_be_ticked_twice():
    lines = str(bag(LANTERN, DESK_D, (9.5, 4.5), 6)).splitlines()
    assert lines[0].split() == ["case", "item", "need", "spare", "take", "in", "back"]
    assert all(line.endswith("[ ]  [ ]") for line in lines[1:])
    assert lines[1].split()[:5] == ["microphones", "vocal", "microphone", "3", "1"]
    assert max(map(len, lines)) <= 80
