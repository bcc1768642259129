"""Whole-gig problems on paper, and what exercises/README.md says about them."""

from __future__ import annotations

import tomllib

import pytest

from gigsums.cli import main
from gigsums.gig import BadFile, bundled
from gigsums.whole_gigs import whole_gig
from gigsums.whole_gigs.problem import write_whole_gig
from gigsums.whole_gigs.sheet import print_blocks
from gigsums.workbook import workbook_path
from pages import in_the_margin, off_the_paper, text, texts

README = (workbook_path() / "exercises" / "README.md").read_text(encoding="utf-8")


def sheet_of(job, **how):
    return print_blocks(job.title, job.blocks(), **how)


def key_of(job, **how):
    return print_blocks(job.title, job.key_blocks(), key=True, **how)


def close(words):
    """Without spaces: a line may end after a hyphen."""
    return "".join(words.split())


@pytest.mark.parametrize("name", ["tea_room_solo", "harvest_ball"])
def test_the_sheet_has_everything_to_fill_in_and_nothing_of_the_key(name):
    job = whole_gig(name)
    page = sheet_of(job, who="Otter")
    said = text(page.pdf)
    assert page.missing == ()
    assert off_the_paper(page.pdf) == []
    for row in job.solution.rows:
        assert row.label in said
    for source in job.gig.performers[0].sources:
        assert source.name in said
    assert "Otter" in said
    changes = [change.text() for answer in job.solution.answers for change in answer.changes]
    for away in ("not for trainees", "Answer:", "Otherwise", "met without spare", *changes):
        assert away not in said


def test_everything_asked_is_on_the_sheet_and_everything_solved_in_the_key(tmp_path):
    made = write_whole_gig("lantern_night", tmp_path)
    sheet, key = (made.files[n].read_bytes() for n in (1, 2))
    job = whole_gig("lantern_night")
    assert made.missing == ()
    for pdf, blocks in ((sheet, job.blocks()), (key, job.key_blocks())):
        read = close(text(pdf))
        for block in blocks:
            for words in (
                block.title,
                block.text,
                block.answer,
                *block.choices,
                *block.lines,
                *(cell for row in block.rows for cell in row),
            ):
                assert close(words) in read
        assert off_the_paper(pdf) == []
        assert in_the_margin(pdf) == []
    (variant,) = {page.partition("Variant ")[2].split()[0] for page in (*texts(sheet), *texts(key))}
    assert len(variant) == 5
    workings = [line for block in job.key_blocks() for line in block.lines if " + " in line]
    assert len(workings) > 5
    assert not any(close(line) in close(text(sheet)) for line in workings)


@pytest.mark.thorough
@pytest.mark.parametrize("name", bundled("problems"))
def test_every_bundled_problem_is_printed_whole_and_in_the_font(name):
    job = whole_gig(name)
    for page in (sheet_of(job, variant="2222-3333", who="alder-100"), key_of(job)):
        assert page.missing == ()
        assert off_the_paper(page.pdf) == in_the_margin(page.pdf) == []


def test_the_key_holds_counts_ways_and_a_placement():
    said = text(key_of(whole_gig("lantern_night"), paper="us-letter").pdf)
    for part in (
        "Key, not for trainees",
        "26 points: make the mix Tobiah mono",
        "63.0 ms",
        "Fits with changes",
    ):
        assert part in said


def test_names_are_printed_as_they_stand(tmp_path):
    gig = 'format = 1\n[gig]\nname = "#eval(1) *x*"\n[[performer]]\nname = "$a$"\nsources = [{ name = "@b", by = "mic" }]\n'
    (tmp_path / "g.toml").write_text(gig, encoding="utf-8")
    (tmp_path / "p.toml").write_text(
        'format = 1\n[problem]\ntitle = "= T"\ngig = "g.toml"\ndesk = "desk_c"\n', encoding="utf-8"
    )
    job = whole_gig(tmp_path / "p.toml")
    for page in (sheet_of(job), key_of(job)):
        said = text(page.pdf)
        assert "= T" in said
        assert "@b" in said
    assert "#eval(1) *x*" in text(sheet_of(job).pdf)


def test_all_files_of_a_problem_are_written_or_none(tmp_path):
    made = write_whole_gig("tea_room_solo", tmp_path / "out")
    assert [file.name for file in made.files] == [
        "tea_room_solo.ipynb",
        "tea_room_solo.pdf",
        "tea_room_solo_key.pdf",
        "tea_room_solo_answers.toml",
    ]
    assert tomllib.loads(made.files[-1].read_text(encoding="utf-8"))["problem"] == "tea_room_solo"
    made.files[-1].write_text("mine", encoding="utf-8")
    made.files[0].unlink()
    with pytest.raises(BadFile, match="there already, perhaps with answers; nothing was written"):
        write_whole_gig("tea_room_solo", tmp_path / "out")
    assert not made.files[0].exists()
    write_whole_gig("tea_room_solo", tmp_path / "out", replace=True)
    assert made.files[-1].read_text(encoding="utf-8") != "mine"


def test_the_command_writes_shows_the_key_and_marks(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["problem", "saturday_brunch"]) == 0
    assert (tmp_path / "saturday_brunch_key.pdf").exists()
    assert main(["problem", "saturday_brunch", "--answer", "saturday_brunch_answers.toml"]) == 0
    assert "0 of 100 marks" in capsys.readouterr().out
    assert main(["problem", "saturday_brunch", "--workings"]) == 0
    assert "VERDICT\nFits." in capsys.readouterr().out
    assert main(["problem", "saturday_brunch", "--seed", "3"]) == 2
    assert main(["problem", "saturday_brunch", "--answer", "nowhere.toml"]) == 2
    assert "nowhere.toml: it cannot be read" in capsys.readouterr().err


def test_the_readme_lists_every_problem_with_its_level():
    for name in bundled("problems"):
        row = next(line for line in README.splitlines() if line.startswith(f"| `{name}` |"))
        assert row.rstrip(" |").endswith(str(whole_gig(name).level)), row


def test_the_readme_states_the_marks_of_the_house():
    marks = whole_gig("tea_room_solo").marks
    stated = (
        f"{marks.counts} for the counts, {marks.allocation} for the placement, {marks.verdict} for the verdict, "
        f"{marks.remedies} for the changes, {marks.document} for the input list"
    )
    plain = " ".join(README.split())
    assert stated in plain
    assert f"a dearer one {marks.dearer} percent" in plain
    assert f"at most {marks.danger} percent" in plain


def test_the_readmes_problem_file_reads(tmp_path):
    """The example as it stands, with the demo gig as the tutor's own."""
    example = README.split("### Writing one")[1].split("```toml")[1].split("```")[0]
    (tmp_path / "boathouse.toml").write_bytes(bundled("gigs")["lantern_night"].read_bytes())
    path = tmp_path / "mine.toml"
    path.write_text(example, encoding="utf-8")
    job = whole_gig(path)
    assert (job.title, job.marks.counts, [one.key for one in job.safety]) == (
        "Friday at the boathouse", 60, ["hum", "late"],
    )  # fmt: skip
    assert job.solution.answers[0].changes[0].kind == "another desk"
