"""Whole-gig problems as files, as text and as notebooks: what a tutor writes, and what a trainee sees."""

from __future__ import annotations

import json
import tomllib

import nbformat
import pytest

from gigsums.gig import BadFile
from gigsums.whole_gigs import is_whole_gig, mark_whole, whole_gig, write_blank

GIG = """
format = 1
[gig]
name = "Two at a table"
[[performer]]
name = "Ada"
sources = [{ name = "Voice", by = "mic" }, { name = "Harp", by = "mic", stereo = true, phantom = "needed" }]
[[mix]]
name = "Ada"
for = ["Ada"]
"""
DESK = """
format = 1
[desk]
name = "Table desk"
kind = "analogue"
[[inputs]]
at = "desk"
mic = 4
[[outputs]]
at = "desk"
line = 4
[[mix_buses]]
count = 2
"""


@pytest.fixture
def folder(tmp_path):
    for name, text in (("table.toml", GIG), ("small.toml", DESK)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def written(folder, lines: str = "", gig: str = "table", desk: str = "small", marks: str = ""):
    path = folder / "problem.toml"
    text = f'format = 1\n[problem]\ntitle = "At a table"\ngig = "{gig}"\ndesk = "{desk}"\n{lines}\n{marks}'
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("gig", "desk"), [("table", "small"), ("table.toml", "small.toml"), ("tea_room_solo", "desk_a")]
)
def test_a_gig_and_a_desk_are_files_beside_the_problem_or_bundled_ones(folder, gig, desk):
    job = whole_gig(written(folder, gig=gig, desk=desk))
    assert mark_whole(job, job.key_answers()).total == 100


def test_a_problem_may_be_called_like_its_gig(folder):
    """A bundled gig goes by its plain name, whatever lies beside the problem; a file beside it by its own."""
    path = written(folder, gig="tea_room_solo", desk="desk_a").rename(folder / "tea_room_solo.toml")
    assert whole_gig(path).gig.name == "Tea room solo"
    (folder / "lantern_night.toml").write_text(GIG, encoding="utf-8")
    assert whole_gig(written(folder, gig="lantern_night.toml")).gig.name == "Two at a table"


def test_a_tutors_own_problem_from_end_to_end(folder):
    """Voice 1 and harp 2 of four preamps with one spare wanted; one mix on the first bus."""
    job = whole_gig(written(folder, 'safety = ["late"]'))
    counts = {row.label: row.need for row in job.solution.rows}
    assert counts["preamps (desk)"] == 3
    assert counts["buses"] == 1
    assert job.solution.word == "fits with care"
    marking = job.check({"counts": {"preamps (desk)": "2", "strips": "2"}})
    assert marking.section("counts").marks == pytest.approx(
        marking.section("counts").out_of / len(counts), abs=0.1
    )
    assert marking.carried == ("strips",)


WRONG = {
    "no gig of that name": ({"gig": "nowhere"}, "nowhere: there is no such file"),
    "no desk of that name": ({"desk": "nowhere"}, "nowhere: there is no such file"),
    "a key that is not known": ({"lines": "colour = 3"}, "problem.colour: this key is not known here"),
    "a level that is none": ({"lines": "level = 9"}, "problem.level: 9 stands there; allowed: 1, 2, 3"),
    "a question that is none": ({"lines": 'safety = ["fire"]'}, 'problem.safety: "fire" is no question; allowed: hum'),
    "a mark that is not known": ({"marks": "[marks]\nstyle = 5"}, "marks.style: this key is not known here"),
    "a mark that is a text": ({"marks": '[marks]\ncounts = "50"'}, "marks.counts: \"50\" stands there; a whole number"),
    "a share over a hundred": ({"marks": "[marks]\ndanger = 400"}, "marks.danger: 400 stands there; it is a share"),
    "no marks at all": ({"marks": "[marks]\ncounts = 0\nverdict = 0"}, "marks: counts and verdict are both worth 0"),
    "marks that are no table": ({"lines": ""}, "marks: a table of settings is wanted there"),
    "the same desk twice": ({"lines": 'at_hand = ["small"]'}, "problem.at_hand: two of the desks have the same name"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_problem_file_is_one_clear_message(folder, case):
    parts, words = WRONG[case]
    path = written(folder, **parts)
    if case == "marks that are no table":
        path.write_text("marks = 5\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        whole_gig(path)
    assert words in str(caught.value)


def test_a_gig_with_nothing_to_be_heard_is_refused(folder):
    (folder / "table.toml").write_text('format = 1\n[gig]\nname = "Silence"\n', encoding="utf-8")
    with pytest.raises(BadFile, match="Silence has nothing to be heard"):
        whole_gig(written(folder))


def test_an_unknown_name_lists_the_bundled_problems():
    with pytest.raises(BadFile, match=r"bundled problems: .*lantern_night"):
        whole_gig("nowhere")


def test_marks_of_the_problem_lie_over_those_of_the_house(folder):
    job = whole_gig(written(folder, marks="[marks]\ncounts = 30\ndocument = 0\ndanger = 10"))
    assert (job.marks.counts, job.marks.document, job.marks.verdict, job.marks.danger) == (30, 0, 10, 10)
    marking = mark_whole(job, {**job.key_answers(), "notes": "I lift the earth in the plug."})
    assert marking.out_of == 30 + 15 + 10 + 15
    assert marking.total == 7


def test_is_whole_gig_tells_the_files_apart(folder):
    assert is_whole_gig(written(folder))
    assert is_whole_gig("lantern_night")
    assert not is_whole_gig("monitor_mixes")
    assert not is_whole_gig(folder / "table.toml")
    assert not is_whole_gig(folder / "nothing.toml")


def test_the_problem_tells_everything_and_gives_nothing_away():
    job = whole_gig("lantern_night")
    text = job.text()
    for fact in (
        "Overheads, a stereo pair of microphones, needs phantom", "Tobiah (drums): in-ears, in stereo; mono would do",
        "25 m from the mains and 7 m from its own", "equalisers 8", "switched two at a time", "outboard delay 11",
    ):  # fmt: skip
        assert fact in " ".join(text.split())
    for given_away in ("63.0", "in mono make", "26 points", "short of"):
        assert given_away not in text
    assert "  bus pairs" in text


def test_the_key_shows_workings_ways_and_a_placement():
    key = " ".join(whole_gig("lantern_night").key().split())
    for part in (
        "Ines 2 + Tobiah 2 + Maud 1 + Fenwick 1 + Keys and fiddle 1 = 7", "26 points: make the mix Tobiah mono",
        "28 points: let Fenwick share the mix Maud", "Fits with changes.", "63.0 ms",
    ):  # fmt: skip
        assert part in key


def test_every_table_of_the_blocks_is_whole():
    job = whole_gig("harvest_ball")
    for block in (*job.blocks(), *job.key_blocks()):
        assert all(len(row) == len(block.columns) for row in block.rows), block.title
        assert len(block.widths) in (0, len(block.columns))
        assert all(isinstance(cell, str) for row in block.rows for cell in row)


def test_names_in_a_tutors_files_are_never_markup(folder):
    odd = '<img src=x> **A|b** "q"'
    gig = GIG.replace('"Ada"', json.dumps(odd)).replace('"Voice"', '"*Voice* #1"')
    (folder / "table.toml").write_text(gig, encoding="utf-8")
    job = whole_gig(written(folder))
    shown = job._repr_markdown_()
    assert "<img" not in shown
    assert "**A|b**" not in shown
    tomllib.loads(job.blank())
    assert mark_whole(job, job.key_answers()).total == 100


def test_in_a_notebook_the_tables_to_fill_in_are_left_to_the_answer_file():
    shown = whole_gig("tidewrack_trio")._repr_markdown_()
    assert shown.count("Drum module") == 1
    assert "- bus pairs, the fewest" in shown


def test_a_blank_is_written_once_and_never_over_somebodys_answers(tmp_path):
    job = whole_gig("tea_room_solo")
    path = tmp_path / "mine.toml"
    assert "is written" in write_blank(job, path)
    assert tomllib.loads(path.read_text(encoding="utf-8"))["problem"] == "tea_room_solo"
    path.write_text("mine", encoding="utf-8")
    assert "left as it is" in write_blank(job, path)
    assert path.read_text(encoding="utf-8") == "mine"
    with pytest.raises(BadFile, match="cannot be written"):
        write_blank(job, tmp_path / "nowhere" / "mine.toml")


def test_the_notebook_is_a_notebook_and_its_cells_run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    book = nbformat.from_dict(whole_gig("tea_room_solo").notebook())
    nbformat.validate(book)
    space: dict = {}
    for cell in book.cells:
        if cell.cell_type == "code":
            exec(compile("".join(cell.source), "cell", "exec"), space)
    assert space["job"].check("tea_room_solo_answers.toml").total == 0
    assert "Orla" in space["job"]._repr_markdown_()
    assert repr(space["job"]) == "WholeGig('tea_room_solo': Tea room solo on Desk A)"
