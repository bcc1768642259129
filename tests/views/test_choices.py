"""Who hears what and what is picked up, moved: it must count as the same does when it is written down as a file."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigs import desk, gig, singers
from gigsums.gig import bundled, load_desk, load_gig
from gigsums.gig.checks import check_gig
from gigsums.sizing import demand, needs
from gigsums.views import LineUp, PickedUp, explain, mix_costs, of_each_desk, size
from gigsums.views.sizing.choices import LEFT_OUT, NOTHING, PICKED
from published import reference

DESKS = tuple(load_desk(name) for name in bundled("desks"))
DESK_B = load_desk("desk_b")
LANTERN_NIGHT = load_gig("lantern_night")
BUSES = '[[mix_buses]]\ncount = 16\ntap = "pair"\n'
SHARED = '[[mix]]\nname = "P0 and P1"\nfor = ["P0", "P1"]\n'


def lantern() -> LineUp:
    return LineUp(LANTERN_NIGHT, DESK_B)


def mix(who: str, more: str = "") -> str:
    return f'[[mix]]\nname = "{who}"\nfor = ["{who}"]\n{more}\n'


def numbers(line_up: LineUp) -> dict[str, float]:
    return {row.label: row.need for row in line_up.demand.ledgers}


@pytest.mark.parametrize("name", bundled("gigs"))
def test_before_any_move_it_is_the_gig_as_asked(name):
    asked = load_gig(name)
    assert LineUp(asked, *DESKS).gig == asked


def test_five_wedges_and_a_reverb_come_to_six_auxes_and_five_stereo_in_ears_to_ten_outputs():
    """Common practice, no source: the row says "5 performer mixes + 1 effects send = 6"."""
    six, ten = (
        reference("practice.csv", f"monitor {what}")[0].expected
        for what in (
            "mixes, five-piece rock band on floor monitors",
            "outputs, five-piece band all on stereo in-ear",
        )
    )
    band = LineUp(gig(singers(5)), desk(BUSES))
    band.move("effects", 1)
    for n in range(5):
        band.move(f"P{n}", "one wedge")
    assert f"= {needs(band.gig)['auxes']}" == six[-3:]
    for n in range(5):
        band.move(f"P{n}", "stereo in-ears")
    assert f"{needs(band.gig)['monitor buses']}" == ten


@pytest.mark.parametrize(
    ("moves", "written"),
    [
        ([("P0", "one wedge")], mix("P0")),
        ([("P0", "two wedges"), ("P2", "one wedge")], mix("P0", "boxes = 2") + mix("P2")),
        ([("P1", "stereo in-ears")], mix("P1", 'through = "in-ears"')),
        ([("P1", "mono in-ears")], mix("P1", 'through = "in-ears"\nstereo = false')),
        ([("P0", "one wedge"), ("P1", "with P0")], SHARED + "boxes = 2\n"),
        ([("P0", "two wedges"), ("P1", "with P0")], SHARED + "boxes = 3\n"),
        ([("P0", "stereo in-ears"), ("P1", "with P0")], SHARED + 'through = "in-ears"\n'),
        ([("P0", "one wedge"), ("P1", "with P0"), ("P0", "stereo in-ears")], SHARED + 'through = "in-ears"\n'),
        ([("P0", "one wedge"), ("P1", "with P0"), ("P0", "nothing")], mix("P1")),
        ([("P0", "stereo in-ears"), ("P1", "with P0"), ("P2", "one wedge"), ("P0", "with P2")],
         mix("P1", 'through = "in-ears"') + SHARED.replace("P1", "P2") + "boxes = 2\n"),
        ([("P0", "one wedge"), ("P1", "with P0"), ("P2", "with P0"), ("P0", "nothing")],
         SHARED.replace("P1", "P2").replace("P0", "P1") + "boxes = 2\n"),
        ([("P2", "two wedges"), ("P2", "nothing")], ""),
    ],
)  # fmt: skip
def test_a_moved_line_up_counts_as_the_same_line_up_in_a_file(moves, written):
    clock = "load_in = 12:00:00\ndoors = 18:00:00\n"
    head = f'format = 1\n[gig]\nname = "Test gig"\n{clock}'
    it = LineUp(gig(singers(3), head), desk(BUSES))
    for what, to in moves:
        it.move(what, to)
    by_file = demand(gig(singers(3) + written, head), desk(BUSES))
    assert numbers(it) == {row.label: row.need for row in by_file.ledgers}


def test_a_second_box_costs_minutes_and_nothing_else():
    it = lantern()
    before = numbers(it)
    it.move("Maud", "two wedges")
    after = numbers(it)
    assert {key for key in after if after[key] != before[key]} == {"minutes"}
    assert after["minutes"] > before["minutes"]


def test_a_box_comes_and_goes_with_each_who_shares():
    it = lantern()
    it.move("Perrin", "nothing")
    assert [(m.listeners, m.boxes) for m in it.gig.mixes][-1] == (("Ottoline",), 1)
    it.move("Perrin", "with Ottoline")
    it.move("Fenwick", "with Ottoline")
    assert [(m.listeners, m.boxes) for m in it.gig.mixes][-1] == (("Ottoline", "Fenwick", "Perrin"), 3)


def test_who_shares_keeps_the_mix_when_its_owner_goes():
    it = lantern()
    it.move("Ottoline", "stereo in-ears")
    assert it.choices["Perrin"] == "with Ottoline"
    it.move("Ottoline", "with Ines")
    assert it.choices["Perrin"] == "stereo in-ears"


@pytest.mark.parametrize(
    ("what", "to"),
    [
        ("Ines", "mono in-ears"), ("Tobiah", "mono in-ears"), ("Maud", "with Fenwick"), ("Fenwick", "with Maud"),
        ("Ines", "nothing"), ("Tobiah", "with Ines"), ("effects", 0),
    ],
)  # fmt: skip
def test_what_frees_a_pair_on_eight_buses_switched_two_at_a_time(what, to):
    """By hand: two stereo, three mono before and one after the fader take 2 + 2 + 1 pairs; each of these saves one."""
    it = lantern()
    assert it.demand.ledger("bus pairs").need == 5
    it.move(what, to)
    assert it.demand.ledger("bus pairs").need == 4
    assert "bus pairs 4 of 4" in it.line


def test_the_line_says_what_is_short_and_what_to_bring():
    """The pairs are short and keep the gig off the desk; two equalisers can be carried besides."""
    words = " ".join(lantern().line.split())
    start, clock = words.split(", minutes ")
    assert (
        start == "Desk B: 5 mixes take buses 8 of 8, bus pairs 5 of 4, outputs 13 of 17, equalisers 10 of 8"
    )
    assert clock.endswith(" of 330. Short of bus pairs; no spare buses; bring more equalisers.")
    assert all(len(line) <= 70 for line in lantern().line.splitlines())


def test_one_mix_is_said_in_the_singular():
    it = LineUp(gig(singers(2)), desk(BUSES))
    assert " ".join(it.move("P0", "one wedge").split()) == (
        "Test desk: 1 mix takes buses 1 of 16, bus pairs 1 of 8, outputs 3 of 64, equalisers 3 of 0. "
        "Bring more equalisers."
    )


def test_a_count_is_explained_in_lines_that_fit():
    text = explain(needs(LANTERN_NIGHT).row("auxes"))
    assert text.startswith("Monitor buses and effects sends: Ines 2 + Tobiah 2")
    assert text.endswith("Reverb 1 = 8")
    assert all(len(line) <= 70 for line in text.splitlines())
    both = explain(demand(LANTERN_NIGHT, DESK_B).ledger("bus pairs"))
    assert [line[:6] for line in both.splitlines() if line[0] != " "] == ["Stereo", "Buses "]


def test_outputs_are_told_place_by_place_where_there_are_several():
    it = LineUp(LANTERN_NIGHT, load_desk("desk_d"))
    assert "outputs (stage) 10 of 12" in " ".join(it.line.split())
    assert "outputs 10" not in it.line
    assert it.line.endswith(".\n  Enough of everything here.")


def test_effects_beyond_those_asked_for_get_names_of_their_own():
    it = lantern()
    it.move("effects", "4")
    assert [e.name for e in it.gig.effects] == ["Reverb", "Delay", "Second reverb", "Chorus"]
    it.move("effects", 0)
    assert it.gig.effects == ()


def test_an_effect_is_not_heard_in_a_mix_that_is_gone():
    it = lantern()
    assert it.gig.effects[0].heard_in == ("mains", "Ines")
    it.move("Ines", "nothing")
    assert it.gig.effects[0].heard_in == ("mains",)
    check_gig(it.gig, lambda *fault: ValueError(fault))


def test_a_mix_that_is_no_wedge_and_no_in_ears_can_be_left_and_taken_up_again():
    asked = load_gig("undercroft_five_piece")
    it = LineUp(asked, DESK_B)
    own = it.choices["Rafe"]
    it.move("Rafe", "stereo in-ears")
    assert it.gig != asked
    it.move("Rafe", own)
    assert it.gig == asked


def test_a_mix_for_nobody_on_the_stage_stays_as_it_is():
    text = singers(1) + '[[mix]]\nname = "Sides"\nthrough = "side fill"\nstereo = true\n' + mix("P0")
    it = LineUp(gig(text), desk(BUSES))
    it.move("P0", "nothing")
    assert [m.name for m in it.gig.mixes] == ["Sides"]


NAMES = ("Wren", "Ines", "Tobiah", "Maud", "Fenwick", "Ottoline", "Perrin")


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(st.sampled_from((*NAMES, "effects", "desk")), st.integers(0, 99)), max_size=6))
def test_after_any_moves_the_gig_is_sound_and_can_be_put_back(moves):
    asked = LANTERN_NIGHT
    it = LineUp(asked, *DESKS)
    for what, number in moves:
        options = it.fields[what].options
        it.move(what, options[number % len(options)])
        check_gig(it.gig, lambda *fault: ValueError(fault))
        owners = [way for way in it.choices.values() if way != NOTHING and not way.startswith("with ")]
        hearing = sorted(name for m in it.gig.mixes for name in m.listeners)
        assert len(it.gig.mixes) == len(owners)
        assert hearing == sorted(name for name, way in it.choices.items() if way != NOTHING)
        assert all(it.fields[name].value in it.fields[name].options for name in it.fields)
    it.back()
    assert it.gig == asked


@pytest.mark.parametrize(
    ("what", "to", "said"),
    [
        ("Morwenna", "one wedge", "what is 'Morwenna', which there is not to move; these are: Wren, Ines"),
        ("Maud", "loud", "to, for Maud, is 'loud', which there is not to choose; these are: nothing, one wedge"),
        ("Maud", "with Perrin", "with Fenwick, with Ottoline"),
        ("Ines", "with Ines", "with Tobiah"),
        ("effects", -1, "to, for effects, is '-1'"),
        ("effects", 2.5, "0, 1, 2, 3, 4"),
        ("desk", "Desk Z", "these are: Desk B"),
        ("", "", "what is ''"),
        (None, None, "what is 'None'"),
    ],
)  # fmt: skip
def test_what_cannot_be_moved_is_refused_by_name_and_nothing_changes(what, to, said):
    it = lantern()
    before = it.line
    with pytest.raises(ValueError, match=re.escape(said)):
        it.move(what, to)
    assert (it.line, it.gig) == (before, it.asked)


def test_case_and_blanks_are_forgiven():
    assert lantern().move(" maud ", "With Fenwick").startswith("Desk B: 4 mixes take")


def test_it_wants_a_desk_and_desks_that_can_be_told_apart():
    with pytest.raises(ValueError, match="at least one desk"):
        LineUp(LANTERN_NIGHT)
    with pytest.raises(ValueError, match="same name: Desk B, Desk B"):
        LineUp(LANTERN_NIGHT, DESK_B, DESK_B)


def test_the_desk_in_use_stays_when_the_line_up_is_put_back():
    it = LineUp(LANTERN_NIGHT, *DESKS)
    it.move("desk", "desk d")
    assert it.back().startswith("Desk D: ")


def table(text: str) -> dict[str, list[float]]:
    rows = [re.split(r"\s{2,}", line) for line in text.splitlines()[1:]]
    return {row[0]: [float(cell) for cell in row[-4:]] for row in rows}


@pytest.mark.parametrize("name", ["desk_b", "desk_d"])
def test_the_costs_of_a_mix_are_what_a_file_without_it_saves(name):
    """Three singers: a wedge, two wedges on one mix, stereo in-ears; each left out of the file in turn."""
    head = 'format = 1\n[gig]\nname = "T"\nload_in = 12:00:00\ndoors = 18:00:00\n'
    mixes = {"P0": mix("P0"), "P1": mix("P1", "boxes = 2"), "P2": mix("P2", 'through = "in-ears"')}
    there = load_desk(name)

    def counted(*left_out: str) -> list[float]:
        text = "".join(written for who, written in mixes.items() if who not in left_out)
        it = demand(gig(f"talkback = true\n{head}" + singers(3) + text, ""), there)
        outputs = it.ledger("outputs", "all" if name == "desk_d" else None)
        return [
            it.ledger("buses").need,
            outputs.need,
            it.ledger("equalisers").need,
            it.ledger("minutes").need,
        ]

    shown = table(
        mix_costs(gig(f"talkback = true\n{head}" + singers(3) + "".join(mixes.values()), ""), there)
    )
    for row, without in {"P0": ["P0"], "P1": ["P1"], "P2": ["P2"], "all 3 mixes": list(mixes)}.items():
        saved = [a - b for a, b in zip(counted(), counted(*without), strict=True)]
        assert shown[row] == pytest.approx(saved, abs=0.051)
    assert [row[:3] for row in shown.values()] == [[1, 1, 1], [1, 1, 1], [2, 2, 2], [4, 4, 4]]


def test_the_panel_has_a_short_fixed_name_and_moves_from_a_cell():
    panel = size(LANTERN_NIGHT, *DESKS, show="line-up")
    assert repr(panel) == "LineUp('Lantern Night')"
    panel.move("desk", "Desk B")
    said = panel.move("Maud", "with Fenwick")
    assert panel.state["said"] == panel.line == said == LineUp(panel.gig, DESK_B).line
    assert panel.state["number"] == 4
    panel.back()
    assert panel.state["number"] == 5


def ask(panel, nth: int, **asked):
    panel.asked = {"by": f"hand {nth}", **asked}
    return panel.state


def test_a_hand_on_the_panel_moves_it():
    panel = size(LANTERN_NIGHT, DESK_B, show="line-up")
    state = ask(panel, 1, do="move", what="Maud", to="with Fenwick")
    assert panel.choices.choices["Maud"] == "with Fenwick"
    assert (state["number"], state["by"]) == (4, "hand 1")
    assert ask(panel, 2, do="back")["number"] == 5


@pytest.mark.parametrize(
    "sent", [{}, {"what": "Maud"}, {"what": "Maud", "to": ["x"]}, {"what": 3, "to": None}]
)
def test_a_move_that_is_refused_is_said_on_the_panel_and_the_next_one_clears_it(sent):
    panel = size(LANTERN_NIGHT, DESK_B, show="line-up")
    before = panel.state
    assert "which there is not" in ask(panel, 1, do="move", **sent)["wrong"]
    assert {**panel.state, "wrong": "", "by": ""} == before
    assert ask(panel, 2, do="move", what="Maud", to="two wedges")["wrong"] == ""


def test_the_panel_shows_every_ledger_in_words():
    rows = {row["label"]: row for row in size(LANTERN_NIGHT, DESK_B, show="line-up").state["ledgers"]}
    assert (rows["bus pairs"]["count"], rows["bus pairs"]["words"]) == ("5 of 4", "short by 1")
    assert rows["equalisers"]["words"] == "short by 2: bring more"


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({"show": "wedges"}, "show is 'wedges'; it may be 'everything', 'line-up', 'sources'"),
        ({"show": "line-up"}, "gig is left out"),
        ({"gig": LANTERN_NIGHT}, "name one file of each"),
    ],
)
def test_a_part_that_cannot_be_shown_is_refused(how, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        size(**how)


# What is picked up

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


def taken(counted) -> dict[str, tuple[float, float]]:
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
    assert taken(it.demand) == taken(demand(gig(one(how)), roomy))
    assert it.choices == {"S": way}


def test_a_five_piece_comes_to_eighteen():
    """Common practice, no source: "drums 8, bass 2, two guitars 2, keys 2, vocals 4" come to 18."""
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
    panel = size(LANTERN_NIGHT, *DESKS, show="sources")
    assert (panel.state["number"], panel.state["unit"]) == (20, "lines in the input list")
    said = panel.move("Overheads", "one microphone")
    assert panel.state["said"] == panel.line == said
    assert panel.state["number"] == 19
    assert dict(panel.state["takes"]) == {
        "microphone-level inputs": 15, "mono line inputs": 0, "stereo line channels": 4,
    }  # fmt: skip
    assert "what the sources take of it" in panel.state["caption"]
    assert "what is picked up" in panel.state["title"]
    assert any("Lectern 1" in why for why in panel.state["why"])
    panel.move("desk", "Desk D")
    assert panel.state["why"][0].startswith("microphones, DI outputs")
    assert "which there is not" in ask(panel, 1, do="move", what="Keys", to="a bucket")["wrong"]


MOVES = st.lists(st.tuples(st.integers(0, 99), st.sampled_from([*PICKED, LEFT_OUT])), max_size=12)


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
