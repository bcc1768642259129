"""Whole gigs on whole desks. Common practice, no source: counted by hand from the rules of the trade."""

from __future__ import annotations

import pytest

from gigsums.gig import load_desk, load_gig
from gigsums.sizing import Fit, fit
from gigsums.sizing.ledgers import routes, set_up


def sized(gig: str, desk: str) -> Fit:
    return fit(load_gig(gig), load_desk(desk))


def row(it: Fit, key: str, where: str | None = None) -> tuple[float, float, str]:
    ledger = it.ledger(key, where)
    return ledger.need, ledger.have, ledger.state


def test_a_solo_in_a_tea_room_fits_a_small_analogue_desk():
    it = sized("tea_room_solo", "desk_a")
    assert it.placement == "fits"
    assert row(it, "preamps") == (2, 10, "met")
    assert row(it, "stereo inputs") == (1, 2, "met")
    assert row(it, "buses") == (2, 4, "met")
    assert it.ledger("outputs").need == 3


def test_a_meeting_that_fills_the_desk_fits_with_care():
    it = sized("parish_meeting", "desk_a")
    assert row(it, "preamps") == (10, 10, "met without spare")
    assert it.ledger("preamps").spare_wanted == 2
    assert row(it, "stereo inputs") == (2, 2, "met")
    assert it.ledger("buses").need == 2
    assert it.ledger("outputs").need == 4
    assert it.ledger("equalisers").need == 2
    assert it.in_words == "fits with care"


def test_a_five_piece_has_eight_buses_of_eight_and_five_pairs_of_four():
    it = sized("undercroft_five_piece", "desk_b")
    assert row(it, "preamps") == (17, 24, "met")
    assert row(it, "stereo inputs") == (3, 4, "met")
    assert it.ledger("buses").need == 8
    assert row(it, "bus pairs") == (5, 4, "short")
    assert it.ledger("outputs").need == 10
    assert [it.ledger(k).need for k in ("equalisers", "compressors", "gates", "effects")] == [7, 7, 4, 2]
    assert it.placement == "fits with changes"
    assert {c.text() for c in it.changes if c.kind == "reroute"} == {"feed Subs from the mains"}


def test_the_five_pieces_minutes_by_hand():
    """168.5 min shared by two (1.8 times as fast) and 165.5 one after another: 259.1, and a fifth kept back."""
    gig, desk = load_gig("undercroft_five_piece"), load_desk("desk_b")
    work = set_up(gig, desk, routes(gig, desk), gig.policy)
    assert sum(m for _, _, m in work.shared) == pytest.approx(168.5)
    assert sum(m for _, _, m in work.serial) == pytest.approx(165.5)
    ledger = fit(gig, desk).ledger("minutes")
    assert (ledger.need, ledger.have, ledger.state) == (259.1, 300, "met without spare")


def test_the_five_piece_is_far_too_much_for_the_small_desk():
    it = sized("undercroft_five_piece", "desk_a")
    assert row(it, "preamps") == (18, 10, "short")
    assert it.ledger("buses").state == "short"


def test_a_hybrid_assembly_is_short_of_a_matrix_and_of_outputs_at_the_desk():
    it = sized("hybrid_assembly", "desk_d")
    assert row(it, "preamps", "stage") == (12, 24, "met")
    assert row(it, "preamps", "desk") == (10, 12, "met")
    assert it.ledger("preamps", "stage").spare_wanted == it.ledger("preamps", "desk").spare_wanted == 2
    assert row(it, "matrices") == (5, 4, "short")
    assert row(it, "outputs", "desk") == (9, 8, "short")
    assert row(it, "outputs", "stage") == (5, 12, "met")
    assert row(it, "outputs", "all") == (14, 20, "met")
    assert it.ledger("equalisers").need == 5
    assert it.placement == "fits with changes"
    assert sorted(c.kind for c in it.changes) == ["relocate", "reroute"]


@pytest.mark.parametrize(
    ("desk", "placement"),
    [
        ("desk_a", "does not fit"),
        ("desk_b", "fits with changes"),
        ("desk_c", "does not fit"),
        ("desk_d", "fits"),
    ],
)
def test_the_demo_gig_on_every_bundled_desk(desk, placement):
    assert sized("lantern_night", desk).placement == placement
