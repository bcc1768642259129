"""The sizing sheet: every edit is an edit of the file, and the answer is the one the file gives when it is read."""

from __future__ import annotations

import dataclasses
import difflib
import os
import tomllib
from pathlib import Path
from typing import get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigsums.gig import BadFile, bundled, load_desk, load_gig, read_gig
from gigsums.gig import model as gig_model
from gigsums.sizing import fit
from gigsums.views.sizing import sheet as sizing_panel_sheet
from gigsums.views.sizing.fields import LISTS, TABLES, TALKBACK
from gigsums.views.sizing.sheet import NEW, CannotSave, Sheet
from gigsums.views.sizing.text import with_entry, with_value, without

TEMPLATE = (Path(gig_model.__file__).parent / "templates" / "gig.toml").read_text(encoding="utf-8")
AWKWARD = (
    "# first\r\n"
    "format = 1\r\n"
    'gig.name = "Dots"  # named by dots\r\n'
    "\r\n"
    "[[mix]]\r\n"
    "name = '''in # quotes'''   # not a note before this\r\n"
    'for = [ "Ada",  # a note [[mix]] in a list\r\n'
    '  "Bo" ]\r\n'
    "# under the mix\r\n"
    "\r\n"
    "# above Ada\r\n"
    "[[performer]]  # her\r\n"
    'name = "Ada"\r\n'
    "[[performer.sources]]\r\n"
    'name = "Kick"   # low\r\n'
    'by = "mic"\r\n'
    "[[performer]]\r\n"
    'name = "Bo"\r\n'
    "sources = [{name='A',by=\"DI\"},   # tight\r\n"
    '  {  name = "B[2]",  by = "mic" }]'
)


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines that went and lines that came."""
    lines = list(difflib.ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True)))
    return [each[2:] for each in lines if each[0] == "-"], [each[2:] for each in lines if each[0] == "+"]


def test_from_nothing_the_ledgers_fill_as_the_file_written_by_hand_fills_them(tmp_path):
    sheet = Sheet(desk="desk_c")
    sheet.change("gig.name", "Cellar")
    sheet.add("performer", name="Ada", plays="drums")
    sheet.add("performer.Ada.sources", name="Kick", by="mic")
    sheet.add("performer.Ada.sources", name="Overheads", by="mic", stereo=True, phantom="needed")
    sheet.add("performer", name="Bo")
    sheet.add("performer.Bo.sources", name="Bass", by="DI")
    sheet.add("line", name="Walk-in", stereo=True)
    sheet.add("mix", name="Ada", for_=["Ada"], through="in-ears")
    sheet.add("mix", name="Bo", for_=["Bo"])
    sheet.add("effect", name="Reverb")
    sheet.add("zone", name="Back", distance_m={"main": 20.0, "own": 5.0})
    sheet.add("feed", name="Recording", stereo=True)
    by_hand = """format = 1
[gig]
name = "Cellar"
[[performer]]
name = "Ada"
plays = "drums"
sources = [{ name = "Kick", by = "mic" }, { name = "Overheads", by = "mic", stereo = true, phantom = "needed" }]
[[performer]]
name = "Bo"
sources = [{ name = "Bass", by = "DI" }]
[[line]]
name = "Walk-in"
stereo = true
[[mix]]
name = "Ada"
for = ["Ada"]
through = "in-ears"
[[mix]]
name = "Bo"
for = ["Bo"]
[[effect]]
name = "Reverb"
[[zone]]
name = "Back"
distance_m = { main = 20.0, own = 5.0 }
[[feed]]
name = "Recording"
stereo = true
"""
    path = tmp_path / "by_hand.toml"
    path.write_text(by_hand, encoding="utf-8")
    assert sheet.fit.as_json() == fit(load_gig(path), load_desk("desk_c")).as_json()
    # two overheads, kick, bass; playback in stereo on a desk without line inputs; talkback that takes a preamp
    assert sheet.fit.ledger("preamps").need == 2 + 1 + 1 + 2 + 1
    assert tomllib.loads(sheet.text) == tomllib.loads(by_hand)


@pytest.mark.parametrize(
    ("where", "value", "goes", "comes"),
    [
        ("performer.Singer.plays", "speech", ['plays = "lead vocal"                # "speech" for a talker\n'],
         ['plays = "speech"                # "speech" for a talker\n']),
        ("performer.Singer.sources.Vocal.stand", "clip",
         ['  { name = "Vocal", by = "mic", stand = "tall boom", high_pass = true },\n'],
         ['  { name = "Vocal", by = "mic", stand = "clip", high_pass = true },\n']),
        ("performer.Singer.sources.Vocal.gate", "yes",
         ['  { name = "Vocal", by = "mic", stand = "tall boom", high_pass = true },\n'],
         ['  { name = "Vocal", by = "mic", stand = "tall boom", high_pass = true, gate = true },\n']),
        ("mix.Singer.boxes", "2", [], ["boxes = 2\n"]),
        ("gig.doors", "18:30", [], ["doors = 18:30:00\n"]),
        ("talkback", "no", [], ["talkback = false\n"]),
        ("kit.gates", "3", [], ["\n", "[kit]\n", "gates = 3\n"]),
        ("line.Walk-in music.keep", None, ['keep = "want"\n'], []),
    ],
)  # fmt: skip
def test_only_the_edited_line_changes(where, value, goes, comes):
    sheet = Sheet()
    sheet.write(TEMPLATE)
    sheet.change(where, value)
    assert changed(TEMPLATE, sheet.text) == (goes, comes)
    assert sheet.trouble is None
    sheet.undo()
    assert sheet.text == TEMPLATE


def test_entries_come_and_go_and_every_note_that_is_not_theirs_stays():
    more = with_entry(TEMPLATE, ("performer",), {"name": "Third"})
    assert changed(TEMPLATE, more) == ([], ["[[performer]]\n", 'name = "Third"\n', "\n"])
    assert without(more, ("performer", 2)) == TEMPLATE
    goes, comes = changed(TEMPLATE, without(TEMPLATE, ("performer", 1)))
    assert "".join(goes).startswith('[[performer]]\nname = "Player"')
    assert comes == []
    assert "# One [[line]] for anything" in without(TEMPLATE, ("performer", 1))
    assert changed(TEMPLATE, with_entry(TEMPLATE, ("crew", "people"), {"name": "Kit", "skill": "novice"})) == (
        [], ['  { name = "Kit", skill = "novice" }\n'])  # fmt: skip


def test_a_file_laid_out_otherwise_keeps_its_way():
    assert tomllib.loads(AWKWARD)["performer"][1]["sources"][1]["name"] == "B[2]"
    for path, value, goes, comes in [
        (("gig", "name"), "Other", ['gig.name = "Dots"  # named by dots\r\n'], ['gig.name = "Other"  # named by dots\r\n']),
        (("performer", 0, "sources", 0, "by"), "DI", ['by = "mic"\r\n'], ['by = "DI"\r\n']),
        (("performer", 1, "sources", 0, "by"), "mic", ["sources = [{name='A',by=\"DI\"},   # tight\r\n"],
         ["sources = [{name='A',by=\"mic\"},   # tight\r\n"]),
        (("performer", 1, "sources", 1, "name"), "C", ['  {  name = "B[2]",  by = "mic" }]'], ['  {  name = "C",  by = "mic" }]']),
    ]:  # fmt: skip
        assert changed(AWKWARD, with_value(AWKWARD, path, value)) == (goes, comes)
    more = with_entry(AWKWARD, ("performer", 0, "sources"), {"name": "Snare", "by": "mic"})
    assert [s["name"] for s in tomllib.loads(more)["performer"][0]["sources"]] == ["Kick", "Snare"]
    assert changed(AWKWARD, more)[0] == []
    assert "\n" not in with_entry(AWKWARD, ("feed",), {"name": "F"}).replace("\r\n", "")
    gone = without(AWKWARD, ("mix", 0))
    assert "# under the mix" not in gone
    assert "# above Ada" in gone


def test_a_note_right_above_the_next_entry_is_its_own_and_lists_in_lists_are_no_headers():
    close = 'format = 1\n[[mix]]\nname = "A"\n# about B\n[[mix]]\nname = "B"\n# about B too\n'
    assert without(close, ("mix", 0)) == 'format = 1\n# about B\n[[mix]]\nname = "B"\n# about B too\n'
    assert without(close, ("mix", 1)) == 'format = 1\n[[mix]]\nname = "A"\n# about B\n'
    nested = 'other = [\n[1, 2],\n[ 3 ]]\n[gig]\nname = "G"\n'
    assert with_value(nested, ("gig", "name"), "H") == nested.replace('"G"', '"H"')


def test_a_file_with_its_lists_in_the_first_lines():
    text = 'format = 1\ngig = { name = "G" }  # g\nmix = [{ name = "M", for = ["P"] }]  # m\nperformer = [{ name = "P" }]\n'
    sheet = Sheet()
    sheet.write(text)
    sheet.change("mix.M.for", ("P",))
    sheet.change("mix.M.boxes", "2")
    sheet.add("mix", name="N", for_="P")
    sheet.change("gig.notes", "ramp")
    assert sheet.trouble is None
    assert [m.name for m in read_gig(sheet.text).mixes] == ["M", "N"]
    assert "# g\n" in sheet.text
    assert "# m\n" in sheet.text


def test_the_line_says_what_is_short_or_else_what_is_fullest():
    assert Sheet("lantern_night", "desk_a").line.startswith(
        "Lantern Night on Desk A: does not fit; as asked short of: preamps"
    )
    # counted by hand: left, right and a wedge; one reverb
    solo = Sheet("tea_room_solo", "desk_c").line
    assert "fullest: " in solo
    assert "outputs 3 of 8" in solo
    assert "effects 1 of 2" in solo


def test_a_name_with_a_stop_in_it_is_found():
    sheet = Sheet()
    for name in ("Dr", "Dr. Ono", "Dr. O"):
        sheet.add("performer", name=name)
    sheet.change("performer.Dr. Ono.plays", "sax")
    sheet.change("performer.Dr.plays", "speech")
    assert [each.get("plays") for each in sheet.table["performer"]] == ["speech", "sax", None]


def test_two_distances_make_one_table_and_unmake_it():
    sheet = Sheet("parish_meeting", "desk_d")
    before = sheet.text
    sheet.change("zone.Foyer.distance_m.main", "20 m")
    assert sheet.trouble.key == "zone.Foyer.distance_m.own"
    sheet.change("zone.Foyer.distance_m.own", "10 ft")
    assert 'from = "bus"\ndistance_m = { main = 20, own = 3.048 }\n' in sheet.text
    assert sheet.trouble is None
    sheet.change("zone.Foyer.distance_m.own", "")
    sheet.change("zone.Foyer.distance_m.main", "")
    assert sheet.text == before


def test_what_cannot_be_counted_is_kept_as_typed_and_the_last_answer_is_marked_old():
    sheet = Sheet("lantern_night", "desk_d")
    good = sheet.fit
    sheet.change("gig.doors", "half past six")
    assert sheet.table["gig"]["doors"] == "half past six"
    assert (sheet.trouble.key, sheet.old, sheet.fit) == ("gig.doors", True, good)
    assert sheet.trouble.said == '"half past six" stands there; a time such as 18:30:00 is wanted.'
    assert sheet.line.startswith("old answer: Lantern Night on Desk D: fits")
    sheet.change("gig.doors", "18.30")
    assert not sheet.old
    sheet.change("mix.Maud.for", "Maud, Nobody")
    assert sheet.trouble.key == "mix.Maud.for"
    sheet.undo()
    sheet.change("performer.Maud.name", "")
    assert sheet.trouble.key.startswith("performer.number 4")
    sheet.write("format = 1\n[gig\n")
    assert sheet.trouble.said.startswith("this is not TOML")
    with pytest.raises(ValueError, match=r"line 2: this is not TOML"):
        sheet.add("mix", name="M")
    sheet.undo()
    sheet.undo()
    assert not sheet.old


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        (lambda sheet: sheet.change("mix.Nobody.boxes", 2), "there is no 'mix.Nobody.boxes' in this gig; in that place there are: Ines"),
        (lambda sheet: sheet.add("band", name="X"), "'band' is no list of a gig; these are: performer, line"),
        (lambda sheet: sheet.remove("gig.doors"), "no entry of a list"),
        (lambda sheet: sheet.remove(("mix", 99)), "there is no mix number 100"),
        (lambda sheet: sheet.change(("performer", 0, "sources", 9, "by"), "mic"), "there is no performer.0.sources.9"),
        (lambda sheet: sheet.undo(), "nothing to undo"),
        (lambda sheet: sheet.redo(), "nothing to do again"),
        (lambda sheet: sheet.use("desk_z"), "bundled desks: desk_a"),
        (lambda sheet: sheet.open("nowhere"), "bundled gigs: .*lantern_night"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_changes_nothing(edit, message):
    sheet = Sheet("lantern_night", "desk_b")
    before = sheet.text, sheet.fit, sheet.desk
    with pytest.raises(ValueError, match=message):
        edit(sheet)
    assert (sheet.text, sheet.fit, sheet.desk, sheet.steps) == (*before, (0, 0))


def test_saved_opened_and_never_over_somebody_else(tmp_path):
    sheet = Sheet()
    with pytest.raises(CannotSave, match="no file yet"):
        sheet.save()
    sheet.write(TEMPLATE)
    assert sheet.unsaved
    path = sheet.save(tmp_path / "mine.toml")
    assert path.read_bytes() == TEMPLATE.encode()
    assert not sheet.unsaved
    sheet.change("mix.Singer.boxes", 2)
    assert sheet.unsaved
    sheet.save()
    again = Sheet(path)
    assert again.text == sheet.text
    path.write_text(TEMPLATE + "# theirs\n", encoding="utf-8")
    assert sheet.changed_on_disk
    sheet.change("mix.Singer.boxes", 3)
    with pytest.raises(CannotSave, match="changed on disk since"):
        sheet.save()
    assert path.read_text().endswith("# theirs\n")
    other = tmp_path / "other.toml"
    other.write_text("somebody's", encoding="utf-8")
    with pytest.raises(CannotSave, match=r"other.toml is there already"):
        sheet.save(other)
    assert other.read_text() == "somebody's"
    assert sheet.path == path
    sheet.save(replace=True)
    assert path.read_text() == sheet.text
    assert sorted(each.name for each in tmp_path.iterdir()) == ["mine.toml", "other.toml"]
    with pytest.raises(BadFile, match="cannot be written"):
        sheet.save(tmp_path / "nowhere" / "x.toml")


@pytest.mark.parametrize("name", ["desk_d", "house", "rooms", "loft_evening", "nothing", "emptied"])
def test_only_a_gig_is_opened(name, tmp_path):
    kinds = {"desk_d": "desks", "house": "policy", "rooms": "worksheets", "loft_evening": "classes"}
    path = bundled(kinds[name])[name] if name in kinds else tmp_path / "none.toml"
    if name not in kinds:
        path.write_text("format = 1\n" if name == "nothing" else "", encoding="utf-8")
    before = path.read_bytes()
    sheet = Sheet("lantern_night")
    for read in (sheet.open, Sheet):
        with pytest.raises(
            BadFile,
            match=r"a desk, and a gig is wanted|a class, and a gig|this is no gig: there is no \[gig\]",
        ):
            read(path)
    assert (sheet.name, sheet.path) == ("Lantern Night", None)
    assert path.read_bytes() == before


def test_a_gig_that_cannot_be_read_is_opened_to_be_mended(tmp_path):
    path = tmp_path / "g.toml"
    path.write_text(TEMPLATE.replace('"My gig"', "My gig"), encoding="utf-8")
    sheet = Sheet(path)
    assert sheet.trouble.said.startswith("this is not TOML")
    sheet.write(TEMPLATE)
    sheet.save()
    assert Sheet(path).trouble is None


def test_a_save_is_read_back_before_it_replaces_anything(tmp_path):
    sheet = Sheet()
    path = sheet.save(tmp_path / "g.toml")
    before = path.read_bytes()
    sheet.write(NEW + "[[mix\n")
    with pytest.raises(
        CannotSave, match=r"g\.toml can be read as it stands there, and this text cannot"
    ) as refused:
        sheet.save()
    assert refused.value.asked
    for text, said in (
        ("format = 1\n", "no gig"),
        (NEW + "# \0\n", "not UTF-8"),
        (NEW + "# " + "x" * 10**6, "at most 1 MB"),
    ):
        sheet.write(text)
        with pytest.raises(BadFile, match=said):
            sheet.save(replace=True)
        with pytest.raises(BadFile, match=said):
            sheet.save(tmp_path / "other.toml")
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["g.toml"]
    sheet.write(NEW + "[[mix\n")
    sheet.save(replace=True)
    assert path.read_text(encoding="utf-8") == sheet.text


@pytest.mark.parametrize("text", ['mix = "x"\n', "[mix]\nname = 'M'\n"])
def test_what_is_no_list_is_not_added_to(text):
    sheet = Sheet()
    sheet.write(NEW.replace("[gig]", f"{text}[gig]"))
    before = sheet.text
    with pytest.raises(ValueError, match="mix is no list as it stands; mend the text first"):
        sheet.add("mix", name="N")
    assert sheet.text == before


def test_undo_after_a_save_knows_that_the_file_says_something_else(tmp_path):
    sheet = Sheet()
    sheet.change("gig.name", "One")
    sheet.save(tmp_path / "g.toml")
    sheet.undo()
    assert sheet.text == NEW
    assert sheet.unsaved
    assert sheet.path.name == "g.toml"
    sheet.redo()
    assert not sheet.unsaved
    sheet.open("lantern_night")
    assert sheet.path is None
    assert not sheet.unsaved
    sheet.undo()
    assert sheet.path.name == "g.toml"
    sheet.change("gig.name", "Another way")  # from here on what was undone is gone
    assert sheet.steps == (2, 0)


def test_a_mark_and_line_ends_of_another_system_survive(tmp_path):
    path = tmp_path / "g.toml"
    path.write_bytes(b"\xef\xbb\xbf" + AWKWARD.encode())
    sheet = Sheet(path)
    sheet.change("gig.name", "Other")
    sheet.save()
    assert path.read_bytes() == b"\xef\xbb\xbf" + AWKWARD.replace("Dots", "Other").encode()


@pytest.mark.skipif(os.name != "posix", reason="links to files are made otherwise elsewhere")
def test_a_link_is_followed(tmp_path):
    path, link = tmp_path / "g.toml", tmp_path / "link.toml"
    path.write_text(NEW)
    link.symlink_to(path)
    sheet = Sheet(link)
    sheet.change("gig.name", "Linked")
    sheet.save()
    assert link.is_symlink()
    assert "Linked" in path.read_text()
    sheet.change("gig.name", "By its link")
    sheet.save(link)
    assert link.is_symlink()
    assert "By its link" in path.read_text()


MODELS = {
    "performer": gig_model.Performer, "sources": gig_model.Source, "line": gig_model.Line, "mix": gig_model.Mix,
    "effect": gig_model.Effect, "zone": gig_model.Zone, "feed": gig_model.Feed, "gig": gig_model.Evening,
    "venue": gig_model.Venue, "circuits": gig_model.Circuit, "crew": gig_model.Crew, "people": gig_model.Person,
    "mains": gig_model.Mains, "kit": gig_model.Kit, "split": gig_model.Split,
}  # fmt: skip
GROUPS = {
    each.key: each
    for group in (*LISTS.values(), *TABLES.values())
    for each in (group, group.inner)
    if each is not None
}


def keys_of(model: type) -> dict[str, object]:
    """The keys of a part of the file, as they are written in it, with what may stand there."""
    hints = get_type_hints(model, include_extras=True)
    found = {}
    for each in dataclasses.fields(model):
        aliases = [
            a.alias for a in getattr(hints[each.name], "__metadata__", ()) if getattr(a, "alias", None)
        ]
        found[aliases[0] if aliases else each.name] = hints[each.name]
    return found


@pytest.mark.parametrize("key", MODELS)
def test_every_key_of_the_file_can_be_filled_in(key):
    group = GROUPS[key]
    shown = {item.path[0] for item in group.items} | ({group.inner.key} if group.inner else set())
    assert shown == set(keys_of(MODELS[key]))


def test_keys_are_typed_as_the_models_say():
    """By hand, one of each kind: what may be chosen, and what holds where the file says nothing."""
    kinds = {
        "performer.sources.by": ("choice", ("mic", "DI", "line"), None), "line.by": ("choice", ("mic", "DI", "line"), "line"),
        "performer.sources.count": ("count", (), 1), "mix.stereo": ("maybe", (), "in-ears only"),
        "mix.may": ("names", ("mono", "share"), ()), "effect.heard_in": ("names", ("places",), ("mains",)),
        "zone.distance_m.own": ("number", (), None), "gig.music": ("times", (), None), "kit.preamps": ("whole", (), 0),
        "venue.size_m": ("numbers", (), None), "gig.date": ("date", (), None),
    }  # fmt: skip
    for path, (kind, options, usual) in kinds.items():
        table, _, key = path.replace("performer.sources", "sources").partition(".")
        (item,) = [each for each in GROUPS[table].items if each.key == key]
        assert (item.kind, item.options, item.usual) == (kind, options, usual), path


EDITS = st.lists(
    st.tuples(st.integers(0, 6), st.integers(0, 400), st.integers(0, 40)), min_size=1, max_size=12
)
STARTS = [NEW, TEMPLATE, AWKWARD, *(path.read_text(encoding="utf-8") for path in bundled("gigs").values())]


def edit(sheet: Sheet, what: int, where: int, how: int) -> None:
    """One edit, chosen by numbers from all that the sheet offers at that moment."""
    table = sheet.table
    entries = [(key, n) for key in LISTS for n in range(len(table.get(key, [])))]
    entries += [(*each, "sources", n) for each in entries if each[0] == "performer"
                for n in range(len(table["performer"][each[1]].get("sources", [])))]  # fmt: skip
    if what == 0:
        lists = [*LISTS, *(f"performer.{n}.sources" for n in range(len(table.get("performer", []))))]
        path = tuple(int(p) if p.isdigit() else p for p in lists[where % len(lists)].split("."))
        sheet.add(path, name=f"New {how}")
    elif what == 1 and entries:
        sheet.remove(entries[where % len(entries)])
    elif what < 5 and entries:
        path = entries[where % len(entries)]
        items = GROUPS[str(path[-2])].items
        item = items[how % len(items)]
        typed = (*item.options, "", "3", "yes", "no", "Ada", 'a "b" # c', "1,5", "18:30")[
            (where + how) % (len(item.options) + 8)
        ]
        sheet.change((*path, *item.path), typed)
    elif what == 5:
        group = list(TABLES.values())[where % len(TABLES)]
        item = group.items[how % len(group.items)]
        sheet.change((group.key, *item.path), ("3", "", "yes", "18:30", "word")[how % 5])
    else:
        sheet.change((TALKBACK.key,), ("yes", "no", "")[how % 3])


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(STARTS), EDITS)
def test_any_edits_undone_are_the_text_as_it_was_and_done_again_as_it_became(start, edits):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sizing_panel_sheet, "fit", lambda *_, **__: None)  # the text is at stake, not the count
        undone_and_done_again(start, edits)


def undone_and_done_again(start, edits):
    sheet = Sheet()
    sheet.write(start)
    texts = [sheet.text]
    for each in edits:
        before = {line.split("#", 1)[1] for line in sheet.text.splitlines() if line.lstrip().startswith("#")}
        removing = each[0] == 1
        edit(sheet, *each)
        assert sheet.table or sheet.text == "", "an edit left something that is not TOML"
        after = {line.split("#", 1)[1] for line in sheet.text.splitlines() if line.lstrip().startswith("#")}
        assert removing or before <= after, "a note went"
        if sheet.text != texts[-1]:
            texts.append(sheet.text)
    for text in reversed(texts[:-1]):
        sheet.undo()
        assert sheet.text == text
    for text in texts[1:]:
        sheet.redo()
        assert sheet.text == text
