"""Input list, patch and output list: every signal once, in order, and where the placement put it."""

import pytest

from gigs import desk, gig
from gigsums.gig import bundled, load_desk, load_gig
from gigsums.planning import in_list_order, input_list, output_list, patch
from gigsums.sizing import check_placement, needs, smallest_changes

BAND = """
[kit]
effects = 1
delays = 1
[[performer]]
name = "Lead"
plays = "lead vocal, acoustic guitar"
sources = [{ name = "Voice", by = "mic", radio = true }, { name = "Acoustic guitar", by = "DI", phantom = "forbidden" }]
[[performer]]
name = "Back"
plays = "drums, vocal"
sources = [
  { name = "Back's vocal", by = "mic" },
  { name = "Kick", by = "mic", gate = true, compressor = true, stand = "short boom" },
  { name = "Toms", by = "mic", count = { least = 1, most = 2 } },
  { name = "Overheads", by = "mic", stereo = true, phantom = "needed" },
]
[[performer]]
name = "Side"
plays = "hurdy-gurdy"
sources = [{ name = "Wheel", by = "mic", high_pass = true }]
[[line]]
name = "Bass drum loop"
stereo = true
[[mix]]
name = "Lead"
for = ["Lead"]
[[mix]]
name = "Back"
for = ["Back"]
[[effect]]
name = "Reverb"
[[zone]]
name = "Far"
distance_m = { main = 30, own = 10 }
"""
ASKED = gig(BAND)
ANALOGUE = desk(
    about='kind = "analogue"\ntalkback = "none"',
    inputs='mic = 16\nstereo = 3\nphantom = "each"',
    outputs="line = 16",
    text='[[mix_buses]]\ncount = 6\ntap = "each"\n[matrices]\ncount = 1\n',
)


@pytest.fixture(scope="module")
def answer():
    found = smallest_changes(ASKED, ANALOGUE)[0]
    assert [change.kind for change in found.changes] == ["outboard delay", "outboard effect"]
    return found


def test_an_input_list_has_drums_first_voices_late_and_lines_last():
    """The order is common practice, no source."""
    rows = input_list(ASKED).rows
    assert [row.channel for row in rows] == list(range(1, 12))
    assert [row.source for row in rows] == [
        "Kick", "Toms 1", "Toms 2", "Overheads L", "Overheads R", "Acoustic guitar", "Wheel", "Voice", "Back's vocal",
        "Bass drum loop L", "Bass drum loop R",
    ]  # fmt: skip
    assert [row.by for row in rows[5:8]] == ["DI", "mic", "radio"]


def test_what_matters_at_the_socket_is_on_the_line():
    rows = {row.source: row for row in input_list(ASKED).rows}
    assert rows["Kick"].on_it == "comp, gate"
    assert rows["Kick"].stand == "short boom"
    assert rows["Wheel"].on_it == "hp"
    assert {name: row.phantom for name, row in rows.items() if row.phantom} == {
        "Overheads L": "yes", "Overheads R": "yes", "Acoustic guitar": "NEVER",
    }  # fmt: skip
    assert rows["Bass drum loop L"].who == ""


@pytest.mark.parametrize("name", bundled("gigs"))
def test_a_list_is_as_long_as_the_count(name):
    """One line a signal: microphone-level inputs, mono lines and both sides of stereo lines, as counted elsewhere."""
    gig_ = load_gig(name)
    counted = needs(gig_)
    wanted = sum(
        counted[key] for key in ("microphone-level inputs", "mono line inputs", "stereo line channels")
    )
    assert len(input_list(gig_).rows) == sum(s.channels for _, s in gig_.sources) == wanted


def test_sockets_talkback_and_returns_come_with_the_places(answer):
    rows = input_list(answer.gig, answer.places).rows
    assert all(row.socket for row in rows)
    assert len({row.socket for row in rows}) == len(rows)
    assert [row.source for row in rows[-3:]] == ["Talkback", "Reverb return L", "Reverb return R"]
    assert rows[-1].socket.startswith("desk stereo ")


def test_in_list_order_only_swaps_like_sockets(answer):
    placed = in_list_order(answer.gig, answer.desk, answer.places)
    assert check_placement(answer.gig, answer.desk, placed).legal
    by = lambda p: (p.item, p.on, p.at, p.number)  # noqa: E731
    assert sorted((p.item, p.on, p.at) for p in placed) == sorted((p.item, p.on, p.at) for p in answer.places)
    assert sorted(by(p)[1:] for p in placed) == sorted(by(p)[1:] for p in answer.places)
    mics = [row for row in input_list(answer.gig, placed).rows if row.by != "line"]
    assert [row.socket for row in mics] == [f"desk {n}" for n in range(1, 11)]


def test_a_box_that_phantom_forbids_keeps_its_order():
    """Two banks of two: what needs phantom sits in one, what it would harm in the other, whatever the list says."""
    strict = desk(inputs='mic = 4\nphantom = "bank"\nbank_of = 2', text="[[mix_buses]]\ncount = 2\n")
    asked = gig(
        '[[performer]]\nname = "A"\nsources = ['
        '{ name = "Kick", by = "mic", phantom = "needed" }, { name = "Ribbon", by = "mic", phantom = "forbidden" },'
        '{ name = "Vocal", by = "mic", phantom = "needed" }]'
    )
    answer = smallest_changes(asked, strict)[0]
    placed = in_list_order(asked, strict, answer.places)
    assert check_placement(asked, strict, placed).legal
    bank = {p.item.split(".")[-1]: (p.number - 1) // 2 for p in placed if p.on == "mic input"}
    assert bank["Kick"] == bank["Vocal"] != bank["Ribbon"]


def test_a_patch_shows_every_socket_and_the_empty_ones(answer):
    sheet = patch(answer.gig, answer.desk, answer.places, "desk")
    assert len(sheet.rows) == 16 + 2 * 3
    assert sheet.empty == 16 - 10 + 2
    plugged = [row for _, row in sheet.rows if row]
    assert sorted(row.channel for row in plugged) == list(
        range(1, len(input_list(answer.gig, answer.places).rows) + 1)
    )
    with pytest.raises(
        ValueError, match="at is 'stage', where Test desk has no inputs; it has some at: desk"
    ):
        patch(answer.gig, answer.desk, answer.places, "stage")


def test_outputs_say_what_feeds_them_and_their_delay(answer):
    rows = {row.carries: row for row in output_list(answer.gig, answer.places).rows}
    assert rows["mains L"].fed_by == "mains"
    assert rows["Lead"].tap == "before"
    assert rows["Reverb send"].tap == "after"
    assert rows["Far"].fed_by == "matrix 1"
    assert rows["Far"].delay_ms == pytest.approx(
        1000 * 20 / 343.2 + 10, abs=0.05
    )  # 20 °C, 10 ms: house policy
    used = [p for p in answer.places if p.on == "output"]
    assert len(rows) == len(used)


def test_a_pair_of_buses_feeds_left_and_right():
    answer = smallest_changes(load_gig("lantern_night"), load_desk("desk_d"))[0]
    rows = {row.carries: row for row in output_list(answer.gig, answer.places).rows}
    left, right = (int(rows[f"Ines {side}"].fed_by.removeprefix("bus ")) for side in "LR")
    assert left % 2 == 1
    assert right == left + 1


def test_as_text_a_list_fits_a_page_and_says_all():
    answer = smallest_changes(load_gig("lantern_night"), load_desk("desk_d"))[0]
    text = str(input_list(answer.gig, in_list_order(answer.gig, answer.desk, answer.places)))
    assert max(map(len, text.splitlines())) <= 80
    assert text.splitlines()[0].split() == [
        "ch",
        "source",
        "who",
        "by",
        "48",
        "V",
        "stand",
        "on",
        "it",
        "socket",
    ]
    assert text.splitlines()[13].split() == [
        "13",
        "Lead",
        "vocal",
        "Ines",
        "mic",
        "tall",
        "boom",
        "hp,",
        "comp",
        "stage",
        "13",
    ]
