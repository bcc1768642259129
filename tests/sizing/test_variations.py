"""What breaks next, and desks side by side."""

from __future__ import annotations

import pytest

from gigs import desk, gig, singers
from gigsums.gig import load_desk, load_gig
from gigsums.sizing import compare, fit, what_breaks_next
from gigsums.sizing.variations import ADDITIONS


def test_what_breaks_next_by_hand():
    """Four of six preamps, one of four buses and three of eight outputs are taken."""
    on = desk(
        "[[mix_buses]]\ncount = 4\n",
        about='kind = "digital"\nchannels = 60\ntalkback = "own input"',
        inputs="mic = 6",
        outputs="line = 8",
    )
    rooms = {
        r.adding: r
        for r in what_breaks_next(gig(singers(3) + singers(1, 'through = "wedge"').replace("P0", "Q")), on)
    }
    assert (rooms["singer"].more, rooms["singer"].breaks) == (2, ("preamps (desk)",))
    assert (rooms["wedge mix"].more, rooms["wedge mix"].breaks) == (3, ("buses", "bus pairs"))
    assert (rooms["in-ear mix"].more, rooms["in-ear mix"].breaks) == (1, ("buses", "bus pairs"))
    assert rooms["zone"].more == 3


@pytest.mark.parametrize("adding", ADDITIONS)
def test_as_many_more_as_said_fit_and_one_more_does_not(adding):
    asked, on = load_gig("lantern_night"), load_desk("desk_d")
    room = next(r for r in what_breaks_next(asked, on) if r.adding == adding)
    assert fit(ADDITIONS[adding](asked, room.more), on).placement == "fits"
    assert fit(ADDITIONS[adding](asked, room.more + 1), on).placement != "fits"


def test_what_is_short_already_is_said_first():
    room = what_breaks_next(gig(singers(5)), desk(inputs="mic = 4"))[0]
    assert room.short_already
    assert "put right" in room.text()


def test_desks_side_by_side():
    asked = load_gig("lantern_night")
    desks = [load_desk(f"desk_{x}") for x in "abcd"]
    ticks = []
    compared = compare(asked, desks, lambda done, of: ticks.append((done, of)))
    assert ticks == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert [c.fit.placement for c in compared] == [
        "does not fit",
        "fits with changes",
        "does not fit",
        "fits",
    ]
    assert compared[3].weight_kg == 21
    assert compared[1].weight_kg == 42 + sum(c.weight_kg for c in compared[1].fit.changes) > 42
    assert "by hand" in compared[0].recall
    assert "file" in compared[3].recall
    assert ("equalisers", 2) in compared[0].carried
