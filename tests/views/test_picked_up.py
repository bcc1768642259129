"""What is picked up, moved: it must count as the same sources do when they are written down as a file."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigs import desk, gig
from gigsums.gig import bundled, load_desk, load_gig
from gigsums.gig.checks import check_gig
from gigsums.sizing import demand
from gigsums.views import PickedUp, of_each_desk, picked_up
from gigsums.views.picked_up import LEFT_OUT, WAYS
from published import reference

DESKS = tuple(load_desk(name) for name in bundled("desks"))
LANTERN_NIGHT = load_gig("lantern_night")
AS_FILE = {
    "one microphone": 'by = "mic"',
    "four microphones": 'by = "mic"\ncount = 4',
    "a stereo pair": 'by = "mic"\nstereo = true',
    "one DI box": 'by = "DI"',
    "two DI boxes": 'by = "DI"\nstereo = true',
    "a mono line": 'by = "line"',
    "a stereo line": 'by = "line"\nstereo = true',
}


def one(how: str) -> str:
    return f'[[performer]]\nname = "P"\n[[performer.sources]]\nname = "S"\n{how}\n'


def numbers(counted) -> dict[str, tuple[float, float]]:
    return {row.label: (row.need, row.have) for row in counted.ledgers}


@pytest.mark.parametrize("name", bundled("gigs"))
def test_before_any_move_and_after_going_back_it_is_the_gig_as_asked(name):
    asked = load_gig(name)
    it = PickedUp(asked, *DESKS)
    assert it.gig == asked
    for source in it.choices:
        it.move(source, LEFT_OUT)
    assert it.gig.sources == ()
    it.back()
    assert it.gig == asked


@pytest.mark.parametrize(("way", "how"), AS_FILE.items())
def test_a_moved_source_counts_as_the_same_source_in_a_file(way, how):
    roomy = desk(about='kind = "analogue"', inputs="mic = 9\nline = 2\nstereo = 2")
    it = PickedUp(gig(one('by = "mic"\ncount = 2')), roomy)
    it.move("S", way)
    assert numbers(it.demand) == numbers(demand(gig(one(how)), roomy))
    assert it.choices == {"S": way}


def test_a_five_piece_comes_to_eighteen():
    """Common practice, no published source: "drums 8, bass 2, two guitars 2, keys 2, vocals 4" come to 18."""
    (row,) = reference("practice.csv", "channel count, five-piece rock band")
    it = PickedUp(load_gig("undercroft_five_piece"), DESKS[1])
    it.move("Playback", LEFT_OUT)
    assert it.headline[0] == 17
    it.move("Bass", "two DI boxes")  # the second line on the bass: it counts the same as a microphone
    assert str(it.headline[0]) == str(row.expected) == "18"


def test_the_line_says_what_is_taken_and_what_is_short():
    it = PickedUp(LANTERN_NIGHT, *DESKS)
    words = " ".join(it.line.split())
    assert words.startswith("Desk A: 20 lines in the input list take preamps 19 of 10, stereo inputs 2 of 2")
    assert words.endswith("Short of preamps and strips.")
    assert all(len(line) <= 70 for line in it.move("desk", "Desk D").splitlines())
    assert "preamps (stage) 16 of 24, preamps (desk) 4 of 12" in " ".join(it.line.split())


def test_phantom_goes_when_what_needed_it_goes():
    it = PickedUp(gig(one('by = "mic"\nphantom = "needed"')), desk())
    it.move("S", "a stereo pair")
    assert it.gig.sources[0][1].phantom == "needed"
    it.move("S", "a mono line")
    assert it.gig.sources[0][1].phantom == "indifferent"


def test_two_of_one_name_are_told_apart_and_a_radio_stays_as_asked():
    text = "".join(one('by = "mic"\nradio = true').replace('"P"', f'"{who}"') for who in "AB")
    it = PickedUp(gig(text), desk())
    assert list(it.choices) == ["A: S", "B: S"]
    assert it.fields["A: S"].value == it.fields["A: S"].options[-1] == "as asked"
    it.move("A: S", "one microphone")
    assert [s.radio for _, s in it.gig.sources] == [False, True]
    it.move("A: S", "as asked")
    assert it.gig == it.asked


@pytest.mark.parametrize(
    ("what", "to", "said"),
    [
        ("Kazoo", "one microphone", "what is 'Kazoo', which there is not to move; these are: Lectern"),
        ("Keys", "a bucket", "to, for Keys, is 'a bucket', which there is not to choose; these are: left out"),
    ],
)  # fmt: skip
def test_what_cannot_be_moved_is_said_and_nothing_changes(what, to, said):
    it = PickedUp(LANTERN_NIGHT, DESKS[0])
    with pytest.raises(ValueError, match=said):
        it.move(what, to)
    assert it.gig == LANTERN_NIGHT
    with pytest.raises(ValueError, match="desks is empty"):
        PickedUp(LANTERN_NIGHT)
    with pytest.raises(ValueError, match="the same name: Desk A, Desk A"):
        PickedUp(LANTERN_NIGHT, DESKS[0], DESKS[0])


def test_the_panel_shows_the_same_count():
    panel = picked_up(LANTERN_NIGHT, *DESKS)
    assert (panel.state["number"], panel.state["unit"]) == (20, "lines in the input list")
    said = panel.move("Overheads", "one microphone")
    assert panel.state["line"] == panel.line == said
    assert panel.state["number"] == 19
    assert {row["label"]: row["count"] for row in panel.state["takes"]} == {
        "microphone-level inputs": 15, "mono line inputs": 0, "stereo line channels": 4,
    }  # fmt: skip
    assert "what the sources take of it" in panel.state["caption"]
    assert "what is picked up" in panel.about["title"]
    assert any("Lectern 1" in why for why in panel.state["why"])
    panel.move("desk", "Desk D")
    assert panel.state["why"][0].startswith("microphones, DI outputs")
    panel._asked(None, {"what": "Keys", "to": "a bucket"}, None)
    assert "which there is not" in panel.state["trouble"]


MOVES = st.lists(st.tuples(st.integers(0, 99), st.sampled_from([*WAYS, LEFT_OUT])), max_size=12)


@pytest.mark.thorough
@settings(max_examples=30, deadline=None)
@given(MOVES)
def test_any_moves_leave_a_gig_that_a_file_could_say(moves):
    it = PickedUp(LANTERN_NIGHT, *DESKS)
    names = list(it.choices)
    for n, way in moves:
        it.move(names[n % len(names)], way)
    check_gig(it.gig, lambda *fault: ValueError(fault))
    assert it.headline[0] == sum(s.channels for _, s in it.gig.sources)
    assert it.demand.ledgers == demand(it.gig, it.desk).ledgers


def test_desks_stand_side_by_side():
    """By hand: Desk A has ten microphone inputs, D twelve at the desk and twenty-four on the stage."""
    text = of_each_desk(LANTERN_NIGHT, DESKS, "preamps", "matrices")
    assert [line.split() for line in text.splitlines()] == [
        ["Desk", "A", "Desk", "B", "Desk", "C", "Desk", "D"],
        ["preamps", "(desk)", "19", "of", "10", "16", "of", "24", "21", "of", "16", "4", "of", "12"],
        ["preamps", "(stage)", "-", "-", "-", "16", "of", "24"],
        ["matrices", "-", "1", "of", "2", "-", "1", "of", "4"],
    ]
    with pytest.raises(ValueError, match="keys has 'spoons', which is no ledger here; there are: preamps"):
        of_each_desk(LANTERN_NIGHT, DESKS, "preamps", "spoons")
