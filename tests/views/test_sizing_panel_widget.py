"""The sizing panel's widget without a browser: what a hand may ask, and what comes back."""

from __future__ import annotations

import os
from itertools import count

import pytest

from gigsums.gig import bundled
from gigsums.views import Sheet, size
from gigsums.views.sizing.panel import SizingPanel

NUMBERS = count()


@pytest.fixture
def panel(tmp_path):
    return SizingPanel(Sheet("lantern_night", "desk_b"), tmp_path)


def ask(panel, do, **more):
    panel.asked = {"by": f"test {next(NUMBERS)}", "do": do, "light": False, **more}
    return panel.state


def test_it_starts_with_nothing_a_bundled_gig_or_a_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert size().state["verdict"].casefold() == Sheet().fit.in_words
    panel = size("lantern_night", "desk_d")
    assert repr(panel) == "SizingPanel('Lantern Night')"
    assert panel.line == panel.sheet.line
    panel.sheet.save("mine.toml")
    assert panel.state["note"] == ""
    assert panel.state["files"] == ["mine.toml"]
    assert size("mine.toml", "desk_d").state["file"] == "mine.toml"


def test_what_a_cell_does_is_shown_at_once(panel):
    panel.sheet.change("gig.name", "By a cell")
    assert (panel.state["title"], panel.state["unsaved"], panel.state["steps"]) == ("By a cell", True, [1, 0])


def test_what_it_says_is_what_the_fit_says(panel):
    fit = panel.sheet.fit
    shown = {row["label"]: row for row in panel.state["ledgers"]}
    assert shown["bus pairs"]["count"] == "5 of 4"
    assert shown["bus pairs"]["words"] == "short by 1"
    assert shown["buses"]["words"] == "0 left of 1 wanted: met without spare"
    assert shown["equalisers"]["words"] == "short by 2: bring more"
    assert {row.key for row in fit.ledgers if row.need} == {label.split(" (")[0] for label in shown}
    assert len(panel.state["changes"]) == len(fit.changes)
    assert panel.state["cares"] == [care.text() for care in fit.cares]
    bar = shown["bus pairs"]
    assert (bar["need"], bar["have"]) == (1, 0.8)
    assert panel.state["words"].startswith("Buses of Desk B")
    assert ">before the fader</text>" in panel.state["moved"]


def test_a_mix_added_under_a_players_name_is_for_that_player(panel):
    state = ask(panel, "add", path=["mix"], name="Wren")
    assert state["added"] == ["mix", 5]
    assert panel.sheet.table["mix"][5] == {"name": "Wren", "for": ["Wren"]}
    assert ask(panel, "add", path=["venue", "circuits"])["wrong"] == ""
    assert panel.sheet.table["venue"]["circuits"][-1] == {"amps": 16, "volts": 230}


def test_no_name_ticked_takes_the_key_away(panel):
    ask(panel, "change", path=["effect", 0, "heard_in"], to=[])
    assert panel.sheet.table["effect"][0] == {"name": "Reverb"}
    assert panel.sheet.trouble is None


def test_errors_stand_beside_their_field(panel):
    state = ask(panel, "change", path=["performer", 2, "sources", 4, "count"], to="many")
    source = state["lists"]["performer"][2]["inner"][4]
    assert source["errors"]["count"].startswith('"many" stands there; a whole number')
    assert source["values"]["count"] == "many"
    assert state["lists"]["performer"][2]["wrong"]
    assert not state["lists"]["performer"][1]["wrong"]
    assert state["old"]
    assert state["said"].startswith("old answer")


def test_a_gig_that_was_changed_meanwhile_loses_nothing_else(panel):
    stale = panel.state["shape"]
    ask(panel, "remove", path=["mix", 0], shape=stale)
    assert "changed meanwhile" in ask(panel, "remove", path=["mix", 0], shape=stale)["wrong"]
    assert len(panel.sheet.table["mix"]) == 4


@pytest.mark.parametrize(
    "asked",
    [
        {"do": "change", "path": [], "to": 1}, {"do": "change", "path": [["x"]], "to": 1}, {"do": "change"},
        {"do": "add", "path": ["band"], "name": "X"}, {"do": "remove", "path": ["mix", True]}, {"do": "nothing"},
        {"do": "undo"}, {"do": "desk", "name": "../desk"}, {"do": "open", "name": "nowhere"}, {}, {"do": ["x"]},
    ],
)  # fmt: skip
def test_nonsense_is_answered_and_changes_nothing(panel, asked):
    before = panel.sheet.text
    panel.asked = {"by": "test", **asked}
    assert panel.sheet.text == before
    assert panel.state["by"] == "test"


@pytest.mark.parametrize("name", ["../outside", "/etc/passwd", "x.py", "~/x", "sub/../../x.toml"])
def test_a_hand_on_the_panel_reaches_no_file_outside_its_folder(panel, tmp_path, name):
    for do in ("save", "open", "desk"):
        assert "is no TOML file of the folder" in ask(panel, do, name=name)["wrong"] or name == "~/x"
    assert not (tmp_path.parent / "outside.toml").exists()


def test_without_a_folder_it_touches_no_file():
    panel = SizingPanel(Sheet(), None)
    for do in ("save", "open", "desk"):
        assert "no files of this computer" in ask(panel, do, name="x")["wrong"]
    assert ask(panel, "open", name=next(iter(bundled("gigs"))))["wrong"] == ""
    assert ask(panel, "desk", name="desk_c")["desk_name"] == "Desk C"


def test_saved_under_a_name_and_not_over_another(panel, tmp_path):
    (tmp_path / "theirs.toml").write_text("# theirs\n", encoding="utf-8")
    state = ask(panel, "save", name="theirs")
    assert "theirs.toml is there already, and was left as it is" in state["wrong"]
    assert state["ask"] is None
    ask(panel, "change", path=["gig", "doors"], to="late")
    state = ask(panel, "save", name="mine")
    assert state["note"] == f"Saved as mine.toml in {tmp_path}. As it stands it cannot be counted."
    assert not state["unsaved"]
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == panel.sheet.text
    assert "there is no such file" in ask(panel, "open", name="nowhere")["wrong"]


def test_gig_files_alone_are_listed_and_opened(panel, tmp_path):
    desk = tmp_path / "our_desk.toml"
    desk.write_bytes(bundled("desks")["desk_d"].read_bytes())
    (tmp_path / "notes.toml").write_text("x = 1\n", encoding="utf-8")
    (tmp_path / "broken.toml").write_text("[gig\n[gig]\n", encoding="utf-8")
    state = ask(panel, "save", name="mine")
    assert state["files"] == ["broken.toml", "mine.toml"]
    state = ask(panel, "open", name="our_desk.toml")
    assert "this file describes a desk, and a gig is wanted" in state["wrong"]
    assert state["file"] == "mine.toml"
    (tmp_path / "mine.toml").write_bytes(desk.read_bytes())
    assert ask(panel, "undo")["files"] == ["broken.toml"]


def test_whatever_is_asked_no_file_is_replaced_that_the_panel_has_not_opened(panel, tmp_path):
    theirs = tmp_path / "theirs.toml"
    theirs.write_text("# theirs\n", encoding="utf-8")
    for _ in range(3):  # said at once, or after having been told
        assert "is there already" in ask(panel, "save", name="theirs", replace=True)["wrong"]
    ask(panel, "save", name="mine")
    (tmp_path / "mine.toml").write_text("# somebody else\n", encoding="utf-8")
    assert "is there already" in ask(panel, "save", name="theirs", replace=True)["wrong"]
    assert theirs.read_text(encoding="utf-8") == "# theirs\n"


def test_what_somebody_else_has_changed_is_replaced_only_after_the_hand_was_told(panel, tmp_path):
    mine = tmp_path / "mine.toml"
    ask(panel, "save", name="mine")
    mine.write_text("# somebody else\n", encoding="utf-8")
    state = ask(panel, "save", name="mine", replace=True)
    assert "has been changed on disk since it was opened" in state["wrong"]
    assert state["ask"] == "mine"
    assert mine.read_text(encoding="utf-8") == "# somebody else\n"
    mine.write_text("[gig]\n", encoding="utf-8")
    ask(panel, "open", name="mine")  # what was said of it holds no longer
    mine.write_text("# once more\n", encoding="utf-8")
    assert "has been changed on disk" in ask(panel, "save", name="mine", replace=True)["wrong"]
    assert mine.read_text(encoding="utf-8") == "# once more\n"
    ask(panel, "open", name="lantern_night")  # goes to something else, and comes back
    assert "is there already" in ask(panel, "save", name="mine", replace=True)["wrong"]
    ask(panel, "undo")
    assert ask(panel, "save", name="mine")["ask"] == "mine"
    assert ask(panel, "save", name="mine", replace=True)["note"].startswith(
        f"Saved as mine.toml in {tmp_path}."
    )
    assert mine.read_text(encoding="utf-8") == panel.sheet.text
    assert [each.name for each in tmp_path.iterdir()] == ["mine.toml"]


@pytest.mark.parametrize(
    "name", ["x" * 300, "é" * 150, "a\0b", "a\nb", "mine.py:s.toml", "a|b", "", "  ", "."]
)
def test_a_name_that_no_file_can_have_is_refused_in_one_sentence(panel, tmp_path, name):
    state = ask(panel, "save", name=name)
    assert state["wrong"].count(".") <= 4
    assert "Type a name such as my_gig." in state["wrong"] or "Say what it is to be called." in state["wrong"]
    assert len(state["wrong"]) < 200 + len(str(tmp_path))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="links are made otherwise elsewhere")
def test_a_link_that_leads_out_of_the_folder_is_not_followed(panel, tmp_path):
    outside = tmp_path.parent / f"{tmp_path.name} outside"
    outside.mkdir()
    (outside / "theirs.toml").write_text("# theirs\n", encoding="utf-8")
    (tmp_path / "way out").symlink_to(outside)
    (tmp_path / "link.toml").symlink_to(outside / "theirs.toml")
    for name in ("way out/theirs", "way out/new", "link"):
        for do in ("save", "open", "desk"):
            assert "is no TOML file of the folder" in ask(panel, do, name=name, replace=True)["wrong"]
    assert [each.read_text(encoding="utf-8") for each in outside.iterdir()] == ["# theirs\n"]


def test_an_own_desk(panel, tmp_path):
    (tmp_path / "own.toml").write_text(
        bundled("desks")["desk_d"].read_text().replace("Desk D", "Ours"), encoding="utf-8"
    )
    state = ask(panel, "desk", name="own.toml")
    assert (state["desk_name"], state["desk"]) == ("Ours", "own.toml")
    assert panel.sheet.fit.desk.name == "Ours"
