"""A whole gig as a question of a class: handed out without its key, kept whole, read back as data, marked and counted."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import tomllib
from copy import deepcopy
from dataclasses import replace

import nbformat
import pypdf
import pytest

from classes.test_handing_out import unpacked
from classes.trainees import WITH_A_GIG, answer_gig, answer_toml, class_file, issued
from gigsums.classes import handout, issuing, mark_folder, told
from gigsums.classes.answers import read_whole
from gigsums.classes.marking import NOT_ANSWERED, PARTLY, PENDING
from gigsums.classes.record import Head, Record
from gigsums.gig import BadFile, bundled
from gigsums.practice.marking import RIGHT, WRONG
from gigsums.whole_gigs import problem as whole_problem
from gigsums.whole_gigs import whole_gig
from pages import in_the_margin, off_the_paper, text

JOB = whole_gig("tea_room_solo")
RIGHT_GIG = JOB.key_answers()
ALONE = """
format = 1
[class]
name = "Gig class"
about = "Work alone. Take an hour."
trainees = {trainees}
[[question]]
whole_gig = "tea_room_solo"
"""


def right_gig(**parts):
    """What earns full marks, with some parts answered otherwise."""
    answers = deepcopy(RIGHT_GIG)
    for part, change in parts.items():
        answers[part].update(change)
    return answers


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    return handout(class_file(folder, 3, WITH_A_GIG), folder / "night")


@pytest.fixture
def made(handed_out, tmp_path):
    """The class with nothing returned yet."""
    shutil.copytree(handed_out.folder, tmp_path / "night")
    return type(handed_out)(tmp_path / "night", handed_out.trainees, handed_out.questions)


@pytest.fixture
def one(made):
    return next(iter(issued(made)))


def answers_of(sheet):
    return [str(each.answer) for each in sheet.problems[:3]]


def marks(overview, trainee):
    return next(each for each in overview.sheets if each.trainee == trainee).marks


def reason(overview, file):
    return next(each.reason for each in overview.refused if each.file == file)


# what is handed out


def test_a_trainee_has_the_sheets_and_an_answer_file_for_the_gig(made, one):
    assert sorted(each.name for each in (made.handed_out / one).iterdir()) == [
        "answers.toml", "how to return this.txt", "whole_gig_4.ipynb", "whole_gig_4.pdf", "whole_gig_4.toml",
        "worksheet.ipynb", "worksheet.pdf",
    ]  # fmt: skip
    said = (made.handed_out / one / "how to return this.txt").read_text(encoding="utf-8")
    assert "give that one file and whole_gig_4.toml back" in " ".join(said.split()).replace(
        "When you have done, save, and ", ""
    )
    assert max(map(len, said.splitlines())) <= 100


def test_the_answer_file_is_the_one_of_whole_gigs_and_says_whose_it_is(made):
    for trainee, sheet in issued(made).items():
        table = tomllib.loads((made.handed_out / trainee / "whole_gig_4.toml").read_text(encoding="utf-8"))
        whose = {key: table.pop(key) for key in ("class", "trainee", "variant", "question")}
        assert whose == {"class": "Night class", "trainee": trainee, "variant": sheet.variant, "question": 4}
        alone = tomllib.loads(JOB.blank())
        assert table == {key: each for key, each in alone.items() if key not in ("problem", "name")}


def test_the_printed_sheet_has_the_whole_gig_and_the_variant_on_each_page(made):
    for trainee, sheet in issued(made).items():
        pdf = (made.handed_out / trainee / "whole_gig_4.pdf").read_bytes()
        pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
        assert all(sheet.variant in page and trainee in page for page in pages)
        said = "".join(text(pdf).split())
        for block in JOB.blocks():
            assert "".join(block.title.split()) in said
        assert off_the_paper(pdf) == in_the_margin(pdf) == []
        worksheet = text((made.handed_out / trainee / "worksheet.pdf").read_bytes())
        assert "whole_gig_4.pdf" in worksheet


def test_the_notebook_to_read_has_the_gig_and_nothing_to_run(made, one):
    book = nbformat.read(made.handed_out / one / "whole_gig_4.ipynb", as_version=4)
    nbformat.validate(book)
    assert {cell.cell_type for cell in book.cells} == {"markdown"}
    read = "".join(cell.source for cell in book.cells)
    for fact in (line for block in JOB.blocks() for line in block.lines):
        assert re.sub(r"\W", "", fact) in re.sub(r"\W", "", read)
    sheet = nbformat.read(made.handed_out / one / "worksheet.ipynb", as_version=4)
    assert [cell.id for cell in sheet.cells if cell.id.startswith("answer-")] == [
        "answer-1",
        "answer-2",
        "answer-3",
    ]


def test_a_class_of_a_gig_alone_has_nothing_else(tmp_path):
    made = handout(class_file(tmp_path, ["Ada", "Bo"], ALONE), tmp_path / "c")
    for trainee in issued(made):
        folder = made.handed_out / trainee
        assert sorted(each.name for each in folder.iterdir()) == [
            "how to return this.txt", "whole_gig_1.ipynb", "whole_gig_1.pdf", "whole_gig_1.toml",
        ]  # fmt: skip
        assert "Work alone. Take an hour." in text((folder / "whole_gig_1.pdf").read_bytes())
        assert "Work alone. Take an hour." in (folder / "whole_gig_1.ipynb").read_text(encoding="utf-8")
        assert "worksheet" not in (folder / "how to return this.txt").read_text(encoding="utf-8")
    assert [each.name for each in (made.record.parent / "keys").iterdir()] == ["whole_gig_1.pdf"]


def test_the_tutor_has_the_key_of_the_gig_once(made):
    names = sorted(each.name for each in (made.record.parent / "keys").iterdir())
    assert names == sorted([*(f"{trainee}.pdf" for trainee in issued(made)), "whole_gig_4.pdf"])
    said = "".join(text((made.record.parent / "keys" / "whole_gig_4.pdf").read_bytes()).split())
    for block in JOB.key_blocks():
        for words in (block.title, block.answer, *block.lines):
            assert "".join(words.split()) in said
    assert "whole_gig_4.pdf" in text(
        (made.record.parent / "keys" / f"{next(iter(issued(made)))}.pdf").read_bytes()
    )


# nothing of the key leaves


def with_another_key(job):
    """The same problem to read, with other counts, reasons, verdict, ways, placement, and other safe answers."""
    safety = tuple(
        replace(
            one,
            right=one.dangerous or one.wrong,
            wrong=one.right,
            dangerous=one.wrong if one.dangerous else (),
        )
        for one in job.safety
    )
    other = replace(job, safety=safety)
    key = job.solution
    rows = tuple(replace(row, need=row.need + 3, reasons=()) for row in key.rows)
    lists = {name: ("monitor mixes", *each) for name, each in key.lists.items()}
    other.__dict__["solution"] = replace(key, rows=rows, word="does not fit", answers=(), lists=lists)
    return other


HEAD = Head(
    "Gig class",
    "Week 9",
    "a4",
    40,
    "Work alone.",
    1,
    ({"topic": "x", "skill": "y", "level": 1, "whole_gig": "z"},),
)


def given_for(job):
    """All that a trainee would get of a whole gig."""
    open_ = issuing.opened(job)
    return (
        issuing.files(HEAD, "alder-100", "2222-3333", [open_]),
        issuing.gig_sheet(HEAD, "alder-100", "2222-3333", open_).pdf,
        issuing.question_text(1, open_),
    )


@pytest.mark.parametrize("name", ["tea_room_solo", "lantern_night", "market_ceilidh"])
def test_another_key_would_give_the_same_files(name):
    job = whole_gig(name)
    other = with_another_key(job)
    assert other.key() != job.key()
    assert [one.choices for one in other.safety] == [one.choices for one in job.safety]
    assert given_for(other) == given_for(job)


@pytest.mark.thorough
@pytest.mark.parametrize("name", bundled("problems"))
def test_another_key_would_give_the_same_files_for_every_gig(name):
    job = whole_gig(name)
    assert given_for(with_another_key(job)) == given_for(job)


def test_no_line_of_the_key_is_in_what_was_given_out(tmp_path):
    text_of_class = ALONE.replace("tea_room_solo", "lantern_night")
    made = handout(class_file(tmp_path, 2, text_of_class), tmp_path / "c")
    job = whole_gig("lantern_night")
    files = [path.read_bytes() for path in made.handed_out.rglob("*") if path.is_file()]
    given = b"\n".join(unpacked(each) for each in files).decode("latin-1")
    for path in made.handed_out.rglob("*.pdf"):
        given += text(path.read_bytes())
    close = "".join(given.split())
    secret = [line for block in job.key_blocks() for line in block.lines if len(line) > 20]
    secret += [change.text() for answer in job.solution.answers for change in answer.changes]
    secret += [json.dumps(each) for each in RIGHT_GIG["placement"]["rows"]]
    assert len(secret) > 20
    assert not [line for line in secret if "".join(line.split()) in close]
    assert "Key, not for trainees" not in given
    assert job.files.id not in given
    assert "lantern_night" not in given  # the name under which the workbook would give the key away


# the record


OWN_GIG = """
format = 1
[gig]
name = "Two at a table"
[[performer]]
name = "Ottilie"
sources = [{ name = "Voice", by = "mic" }, { name = "Zither", by = "DI" }]
[[mix]]
name = "Ottilie"
for = ["Ottilie"]
through = "wedge"
"""


def own_class(folder, question='whole_gig = "table_problem.toml"'):
    """A class with a whole gig of the tutor's own, all files beside the class file."""
    (folder / "table.toml").write_text(OWN_GIG, encoding="utf-8")
    shutil.copy(bundled("desks")["desk_a"], folder / "small.toml")
    (folder / "table_problem.toml").write_text(
        'format = 1\n[problem]\ntitle = "Table"\ngig = "table.toml"\ndesk = "small.toml"\nsafety = ["hum"]\n',
        encoding="utf-8",
    )
    path = folder / "own.toml"
    path.write_text(
        f'format = 1\n[class]\nname = "Own"\ntrainees = 2\n[[question]]\n{question}\n', encoding="utf-8"
    )
    return path


def test_marking_needs_none_of_the_files_as_they_are_today(tmp_path, monkeypatch):
    made = handout(own_class(tmp_path), tmp_path / "c")
    job = whole_gig(tmp_path / "table_problem.toml")
    trainee = next(iter(issued(made)))
    answer_gig(made, trainee, 1, job.key_answers())
    for name in ("own", "table", "small", "table_problem"):
        (tmp_path / f"{name}.toml").unlink()
    monkeypatch.setattr(whole_problem, "gathered", None)
    marked = mark_folder(made.folder).overview
    assert [each.outcome for each in marks(marked, trainee)] == [RIGHT]
    assert marked.changed == ()
    record = made.record.read_text(encoding="utf-8")
    for kept in ("Zither", "Table", "reverberation", "protective earth", "dearer"):
        assert kept in record or kept == "reverberation"
    assert json.loads(record.splitlines()[1])["files"]["gig"] == ["table.toml", OWN_GIG]
    assert record.count("Two at a table") == 1  # once for the class


def test_a_key_that_is_worked_out_otherwise_today_is_told(made, one):
    answer_gig(made, one, 4, RIGHT_GIG)
    lines = made.record.read_text(encoding="utf-8").splitlines()
    kept = json.loads(lines[1])
    kept["key"]["counts"]["strips"] = "99"
    lines[1] = json.dumps(kept)
    made.record.write_text("\n".join(lines) + "\n", encoding="utf-8")
    marked = mark_folder(made.folder)
    assert marked.overview.changed == (4,)
    book = (marked.folder / "overview.ipynb").read_text(encoding="utf-8")
    assert "Its key is worked out otherwise today" in book


@pytest.mark.parametrize(
    "change",
    [
        lambda kept: kept["files"].pop("gig"),
        lambda kept: kept["files"]["gig"].__setitem__(1, "format = 1"),
        lambda kept: kept.__setitem__("files", 3),
        lambda kept: kept.pop("key"),
        lambda kept: kept.__setitem__("whole_gig", "0" * 16),
    ],
)
def test_a_damaged_gig_in_the_record_is_refused_with_its_line(made, change):
    lines = made.record.read_text(encoding="utf-8").splitlines()
    kept = json.loads(lines[1])
    change(kept)
    lines[1] = json.dumps(kept, separators=(",", ":"))
    made.record.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(BadFile, match=r"record\.jsonl: line 2"):
        list(Record(made.record))


def test_another_gig_of_the_same_name_has_other_variants(tmp_path):
    made = handout(own_class(tmp_path), tmp_path / "c")
    before = {sheet.variant for sheet in issued(made).values()}
    (tmp_path / "table.toml").write_text(OWN_GIG.replace("Zither", "Dulcimer"), encoding="utf-8")
    again = handout(tmp_path / "own.toml", tmp_path / "c", replace=True)
    assert not before & {sheet.variant for sheet in issued(again).values()}


# marking


def test_a_right_answer_counts_as_one_question(made, one):
    answer_toml(made, one, answers_of(issued(made)[one]))
    answer_gig(made, one, 4, RIGHT_GIG)
    marked = mark_folder(made.folder)
    assert [each.outcome for each in marks(marked.overview, one)] == [RIGHT] * 4
    sheet = marked.overview.sheets[0]
    assert sheet.total == 4
    assert sheet.remarks == ()
    assert marked.overview.skills(sheet)["whole gigs"] == (1.0, 1)
    assert not marked.overview.refused


def test_a_slip_costs_its_share_and_the_feedback_shows_the_way(made, one):
    answer_gig(made, one, 4, right_gig(counts={"strips": "9"}))
    marked = mark_folder(made.folder)
    *others, gig = marks(marked.overview, one)
    assert [each.outcome for each in others] == [PENDING] * 3
    rows = len(JOB.solution.rows)
    share = JOB.marks.counts / (
        JOB.marks.total - JOB.marks.remedies
    )  # nothing to change here: those marks are spread
    assert gig.outcome == PARTLY
    assert gig.worth == pytest.approx(1 - share / rows, abs=0.001)
    assert {each.why for each in others} == {"no file came back for it"}
    said = " ".join((marked.folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8").split())
    assert "Tea room solo on a small desk" in said or JOB.title in said
    right = next(row for row in JOB.solution.rows if row.label == "strips")
    assert f"strips: {right.reasons[0].rule}" in said
    assert said.count(JOB.solution.rows[0].reasons[0].rule) == 0  # nothing about what was right
    assert "Verdict: " not in said.partition("The way:")[2].partition(" 4.")[0].partition("The way:")[2]
    assert "Placement: Any" not in said


def test_danger_caps_and_a_person_has_to_look(made, one):
    dangerous = next(each for each in JOB.safety if each.dangerous)
    answer_gig(made, one, 4, right_gig(safety={dangerous.key: dangerous.dangerous[0]}))
    marked = mark_folder(made.folder)
    gig = marks(marked.overview, one)[3]
    assert gig.worth == JOB.marks.danger / 100
    assert gig.whole.capped
    assert gig.whole.earned > 0.9
    assert [each.trainee for each in marked.overview.to_look_at] == [one]
    rows = list(csv.reader((marked.folder / "overview.csv").read_text(encoding="utf-8").splitlines()))
    assert ["A person has to look", one, "Counted", str(JOB.marks.danger / 100)] in rows
    assert "A person has to look" in text((marked.folder / "overview.pdf").read_bytes())
    assert f"A person has to look at what {one} wrote" in told(marked)
    said = (marked.folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8")
    assert "A person has to look at this before the marks stand" in said


def test_the_key_is_worked_out_once_for_a_class(made, monkeypatch):
    calls = []
    solve = whole_problem.solve
    monkeypatch.setattr(whole_problem, "solve", lambda *args: calls.append(args) or solve(*args))
    for trainee in issued(made):
        answer_gig(made, trainee, 4, RIGHT_GIG)
    calls.clear()
    assert len(mark_folder(made.folder).overview.sheets) == 3
    assert len(calls) == 1


def test_nothing_answered_and_nothing_returned(made):
    blank, absent, only_topics = issued(made)
    shutil.copytree(made.handed_out / blank, made.returned / blank)
    answer_toml(made, only_topics, answers_of(issued(made)[only_topics]))
    (made.returned / only_topics / "whole_gig_4.toml").unlink()
    marked = mark_folder(made.folder).overview
    assert marked.missing == (absent,)
    assert {each.outcome for each in marks(marked, blank)} == {NOT_ANSWERED}
    assert [each.outcome for each in marks(marked, only_topics)] == [RIGHT] * 3 + [PENDING]
    remarks = {sheet.trainee: sheet.remarks for sheet in marked.sheets}
    assert remarks == {blank: ("nothing is answered",), only_topics: ()}
    assert not marked.refused  # the sheets to read that came back with a folder are left alone


def test_an_answer_that_is_all_wrong_is_wrong_and_no_copy(made):
    for trainee in issued(made):
        answer_gig(made, trainee, 4, {"verdict": {"word": "does not fit"}})
    marked = mark_folder(made.folder).overview
    assert {marks(marked, trainee)[3].outcome for trainee in issued(made)} == {WRONG}
    assert not marked.copies


# attacks: marked, refused with a reason, or flagged; one bad file never stops the class


def drop(made, trainee, change):
    """A right answer to the gig with its bytes changed."""
    file = answer_gig(made, trainee, 4, RIGHT_GIG)
    file.write_bytes(change(file.read_bytes()))
    return file


def line(key, text_):
    return lambda raw: re.sub(rb"(?m)^" + key.encode() + rb" = .*$", text_.encode(), raw)


ATTACKS = {
    "NUL bytes": (lambda raw: raw.replace(b"strips", b"str\0ips"), "NUL"),
    "too large": (lambda raw: raw + b"#" * 200_001, "at most 0.1 MB is read"),
    "too deep": (lambda raw: raw + b"x = " + b"[" * 60 + b"]" * 60, "nested more than 50 deep"),
    "a key of many parts": (lambda raw: b"a." * 90_000 + b"a = 1\n" + raw, "a key of more than 100 parts"),
    "a key of many parts behind line separators": (
        lambda raw: "\n".join([".".join(['a."\u2028"'] * 9_000) + " = 1", raw.decode()]).encode(), "a key of more than 100 parts",
    ),
    "too many lines": (lambda raw: raw + b"\n" * 20_001, "lines; at most 20000"),
    "a bracket lost": (lambda raw: raw.replace(b"[counts]", b"[counts", 1), "cannot be read: this is not TOML"),
    "hardly TOML at all": (lambda raw: raw.replace(b' = "', b" = "), "cannot be read: this is not TOML"),
    "no variant": (line("variant", ""), "no variant stands in it"),
    "a variant that is none": (line("variant", 'variant = "../../x"'), "which is none"),
    "a variant that is a list": (line("variant", "variant = [1]"), "no variant stands in it"),
    "a variant that was never issued": (line("variant", 'variant = "2222-3333"'), "is not in the record"),
    "nobody's": (line("trainee", ""), "says that it comes from nobody"),
    "a path for a name": (line("trainee", 'trainee = "../../etc/passwd"'), "says that it comes from ../../etc/passwd"),
    "an altered question": (line("question", "question = 2"), "question 2 is no whole gig of this sheet"),
    "a question far away": (line("question", "question = 999"), "question 999 is no whole gig of this sheet"),
}  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_file_that_cannot_be_marked_is_refused_and_the_others_are_marked(made, attack):
    change, said = ATTACKS[attack]
    bad, good, _ = issued(made)
    drop(made, bad, change)
    answer_gig(made, good, 4, RIGHT_GIG)
    marked = mark_folder(made.folder).overview
    assert said in reason(marked, f"{bad}/whole_gig_4.toml")
    assert bad in marked.missing
    assert marks(marked, good)[3].outcome == RIGHT


def test_a_link_is_refused_and_not_followed(made, tmp_path):
    bad, good, _ = issued(made)
    elsewhere = answer_gig(made, bad, 4, RIGHT_GIG, tmp_path)
    (made.returned / bad).mkdir()
    (made.returned / bad / "whole_gig_4.toml").symlink_to(elsewhere)
    answer_gig(made, good, 4, RIGHT_GIG)
    marked = mark_folder(made.folder).overview
    assert "a link to another file" in reason(marked, f"{bad}/whole_gig_4.toml")
    assert marks(marked, good)[3].outcome == RIGHT


def test_another_trainees_sheet_is_refused_and_their_own_is_marked(made):
    one, two, _ = issued(made)
    answer_gig(made, one, 4, RIGHT_GIG)
    file = answer_gig(made, two, 4, RIGHT_GIG)
    file.write_bytes(line("variant", f'variant = "{issued(made)[one].variant}"')(file.read_bytes()))
    marked = mark_folder(made.folder).overview
    assert f"it is {one}'s sheet, and says that it comes from {two}" in reason(
        marked, f"{two}/whole_gig_4.toml"
    )
    assert marks(marked, one)[3].outcome == RIGHT
    assert two in marked.missing


def test_a_sheet_of_another_class_is_refused(made, tmp_path):
    other = handout(class_file(tmp_path, 1, WITH_A_GIG.replace("Night class", "Day class")), tmp_path / "day")
    theirs = answer_gig(other, next(iter(issued(other))), 4, RIGHT_GIG)
    shutil.copy(theirs, made.returned / "mine.toml")
    marked = mark_folder(made.folder).overview
    assert "a sheet of “Day class”, from another class" in reason(marked, "mine.toml")


def test_what_a_file_claims_about_marks_counts_for_nothing(made, one):
    claims = b'\n[marks]\ncounts = 100\n[key]\nstrips = "9"\n[problem2]\ngig = "other.toml"\n'
    drop(
        made,
        one,
        lambda raw: (
            line("problem", 'problem = "lantern_night"')(raw).replace(b'strips = "', b'strips = "9') + claims
        ),
    )
    answer_gig(
        made, list(issued(made))[1], 4, right_gig(counts={"strips": "9" + RIGHT_GIG["counts"]["strips"]})
    )
    marked = mark_folder(made.folder).overview
    first, second = (marks(marked, trainee)[3] for trainee in list(issued(made))[:2])
    assert first.worth == second.worth < 1


def test_the_same_answer_twice_is_marked_once_and_two_that_differ_not_at_all(made):
    same, differ, both = issued(made)
    answer_gig(made, same, 4, RIGHT_GIG)
    answer_gig(made, same, 4, RIGHT_GIG, made.returned / "again")
    answer_gig(made, differ, 4, RIGHT_GIG)
    answer_gig(made, differ, 4, right_gig(counts={"strips": "9"}), made.returned / "other")
    answer_toml(made, both, answers_of(issued(made)[both]))
    answer_gig(made, both, 4, RIGHT_GIG)
    answer_gig(made, both, 4, right_gig(counts={"strips": "9"}), made.returned / "third")
    marked = mark_folder(made.folder).overview
    assert marks(marked, same)[3].outcome == RIGHT
    remarks = {sheet.trainee: sheet.remarks for sheet in marked.sheets}
    assert "the same answers stand in" in remarks[same][0]
    assert marked.missing == (differ,)
    assert f"{differ} has answered differently" in reason(marked, "other/whole_gig_4.toml")
    assert [each.outcome for each in marks(marked, both)] == [RIGHT] * 3 + [PENDING]
    assert marks(marked, both)[3].why == "different answers came back, and none is marked"


def test_an_answer_laid_out_otherwise_is_the_same_answer(made, one):
    file = answer_gig(made, one, 4, RIGHT_GIG)
    other = made.returned / "again.toml"
    other.write_text("# mine\n" + file.read_text(encoding="utf-8").replace(" = ", "="), encoding="utf-8")
    marked = mark_folder(made.folder).overview
    assert not marked.refused
    assert marks(marked, one)[3].outcome == RIGHT


def test_a_file_without_its_number_answers_the_only_gig_there_is(made, one):
    drop(made, one, line("question", "question = true"))
    assert marks(mark_folder(made.folder).overview, one)[3].outcome == RIGHT


def test_what_cannot_be_read_in_part_is_named_and_the_rest_is_marked(made, one):
    rows = [*RIGHT_GIG["placement"]["rows"], {"item": "mains", "on": "roof", "number": "9" * 400}]
    answers = right_gig(counts={"strips": "9" * 150, "strings": "4"}) | {
        "placement": {"rows": rows},
        "strange": 1,
    }
    answer_gig(made, one, 4, answers)
    marked = mark_folder(made.folder)
    assert 0.9 < marks(marked.overview, one)[3].worth < 1
    said = " ".join((marked.folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8").split())
    for words in (
        "Not read:",
        "“strange” is not known here",
        "“strings” is not asked for here",
        "placement, row 9 (mains)",
    ):
        assert words in said


def test_a_forgotten_quote_or_comma_costs_its_line_and_no_more(made, one):
    blank = (made.handed_out / one / "whole_gig_4.toml").read_text(encoding="utf-8")
    rows = [line for line in blank.splitlines() if line.startswith('  { item = "mains"')]
    filled = rows[0].replace('on = ""', 'on = "output"').replace('number = ""', 'number = "1, 2"')
    text_ = blank.replace('"strips" = ""', '"strips" = "3').replace(rows[0], filled.rstrip(","))
    text_ = text_.replace('"buses" = ""', '"buses" = "1"').replace('word = ""', "word = fits")
    file = made.returned / "mine.toml"
    file.write_bytes(text_.replace("\n", "\r\n").encode())
    _, given = read_whole(file.read_bytes())
    assert (given.counts, given.word) == ({"buses": "1"}, "")
    assert [place.numbers for place in given.places] == [(1, 2)]  # the comma is missed by nobody
    assert [fault.partition(",")[0] for fault in given.faults] == [
        f"line {n}"
        for n, line in enumerate(text_.splitlines(), start=1)
        if line.startswith(('"strips"', "word"))
    ]
    marked = mark_folder(made.folder)
    assert marks(marked.overview, one)[3].outcome == PARTLY
    remark = marked.overview.sheets[0].remarks[-1]
    assert remark.startswith("what is not TOML was left out: line ")
    assert "word = fits" in remark
    assert "Not read:" in (marked.folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8")


def test_markup_formulas_and_control_characters_stay_text(made, one):
    hostile = '=HYPERLINK("http://x")|calc <script>alert(1)</script> [x](http://y) #eval(1) \x1b[31m lift the earth pin of the plug'
    answer_gig(made, one, 4, right_gig(safety={JOB.safety[0].key: hostile[:190]}) | {"notes": hostile})
    marked = mark_folder(made.folder)
    assert marked.overview.to_look_at
    book = (marked.folder / "overview.ipynb").read_text(encoding="utf-8")
    assert "<script>" not in book
    assert not re.search(r"(?<!\\)\]\(", "".join(cell.source for cell in nbformat.reads(book, 4).cells))
    for path in marked.folder.rglob("*"):
        assert not path.is_file() or path.suffix == ".pdf" or b"\x1b" not in path.read_bytes()
    for row in csv.reader(io.StringIO((marked.folder / "overview.csv").read_text(encoding="utf-8"))):
        assert not any(cell.startswith(("=", "+", "@")) for cell in row)


def test_a_file_that_changes_while_the_class_is_marked_is_refused(made, one, monkeypatch):
    answer_toml(made, one, answers_of(issued(made)[one]))
    file = answer_gig(made, one, 4, RIGHT_GIG)
    from gigsums.classes import marking

    again = marking.read_again

    def changed(path, first):
        file.write_text(
            file.read_text(encoding="utf-8").replace('strips = "', 'strips = "9'), encoding="utf-8"
        )
        return again(path, first)

    monkeypatch.setattr(marking, "read_again", changed)
    marked = mark_folder(made.folder).overview
    assert [each.outcome for each in marks(marked, one)] == [RIGHT] * 3 + [PENDING]
    assert "changed while the class was marked" in reason(marked, f"{one}/whole_gig_4.toml")


def test_whatever_goes_wrong_with_one_answer_the_others_are_marked(made, monkeypatch):
    from gigsums.classes import marking

    mark = marking.mark_given

    def broken(job, given):
        if given.notes == "break":
            raise RuntimeError
        return mark(job, given)

    monkeypatch.setattr(marking, "mark_given", broken)
    one, two, _ = issued(made)
    answer_toml(made, one, answers_of(issued(made)[one]))
    answer_gig(made, one, 4, RIGHT_GIG | {"notes": "break"})
    answer_gig(made, two, 4, RIGHT_GIG)
    marked = mark_folder(made.folder).overview
    assert [each.outcome for each in marks(marked, one)] == [RIGHT] * 3 + [PENDING]
    assert "the marking itself failed (RuntimeError)" in reason(marked, f"{one}/whole_gig_4.toml")
    assert marks(marked, two)[3].outcome == RIGHT


# class files that cannot be used


@pytest.mark.parametrize(
    ("question", "said"),
    [
        (
            'whole_gig = "tea_room_solo"\ntopic = "monitor mixes"',
            ["question.number 1", "both topic and whole_gig"],
        ),
        ("level = 2", ["question.number 1", "neither topic nor whole_gig"]),
        ('whole_gig = "tea_room_solo"\nlevel = 2', ["question.number 1", "at the level of its own file"]),
        ('whole_gig = "tea_room_solo"\nnumber = 2', ["question.number 1", "asked once"]),
        ('whole_gig = "tea_rom_solo"', ["question.number 1.whole_gig", "no such file", "tea_room_solo"]),
        ('whole_gig = "../nowhere.toml"', ["question.number 1.whole_gig", "no such file"]),
        (
            'whole_gig = "own.toml"',
            ["question.number 1.whole_gig", "own.toml: line 2: class: this file describes a class"],
        ),
        (
            'whole_gig = "tea_room_solo"\n[[question]]\nwhole_gig = "tea_room_solo"',
            ["number 2.whole_gig", "asked twice"],
        ),
        ("whole_gig = 3", ["question.number 1.whole_gig"]),
    ],
)
def test_a_class_file_that_cannot_be_used_is_refused_with_its_key(tmp_path, question, said):
    with pytest.raises(BadFile) as refused:
        handout(own_class(tmp_path, question), tmp_path / "c")
    assert all(words in str(refused.value) for words in ["own.toml", *said]), str(refused.value)
    assert not (tmp_path / "c").exists()


def test_a_gig_with_endless_notes_is_refused_before_anything_is_written(tmp_path):
    path = own_class(tmp_path)
    for name in ("table", "small", "table_problem"):
        with open(tmp_path / f"{name}.toml", "a", encoding="utf-8") as file:
            file.write("#" * 900_000 + "\n")
    with pytest.raises(BadFile, match="at most 2 million are kept"):
        handout(path, tmp_path / "c")
    assert not (tmp_path / "c").exists()


def test_a_gig_with_notes_up_to_the_limit_is_kept_whole(tmp_path):
    path = own_class(tmp_path)
    for name, sign in (("table", '"'), ("small", "\\")):
        with open(tmp_path / f"{name}.toml", "a", encoding="utf-8") as file:
            file.write("#" + sign * 980_000 + "\n")
    made = handout(path, tmp_path / "c")
    one = next(iter(issued(made)))
    answer_gig(made, one, 1, whole_gig(tmp_path / "table_problem.toml").key_answers())
    assert [each.outcome for each in marks(mark_folder(made.folder).overview, one)] == [RIGHT]


def test_a_gig_called_like_a_topic_is_told_apart_from_it(tmp_path):
    path = own_class(tmp_path, 'topic = "monitor mixes"\n[[question]]\nwhole_gig = "table_problem"')
    problem = tmp_path / "table_problem.toml"
    problem.write_text(
        problem.read_text(encoding="utf-8").replace('"Table"', '"monitor mixes"'), encoding="utf-8"
    )
    made = handout(path, tmp_path / "c")
    asked = [each["topic"] for each in Record(made.record).head.questions]
    assert asked == ["monitor mixes", "monitor mixes (question 2)"]


def test_two_gigs_on_one_sheet_are_told_apart(tmp_path):
    path = own_class(tmp_path, 'whole_gig = "table_problem"\n[[question]]\nwhole_gig = "tea_room_solo"')
    made = handout(path, tmp_path / "c")
    own = whole_gig(tmp_path / "table_problem.toml")
    one = next(iter(issued(made)))
    answer_gig(made, one, 1, own.key_answers())
    answer_gig(made, one, 2, right_gig(counts={"strips": "9"}))
    marked = mark_folder(made.folder).overview
    assert [each.outcome for each in marks(marked, one)] == [RIGHT, PARTLY]
    assert {slip.topic for slip in marked.slips} == {JOB.title}
    file = made.returned / one / "whole_gig_2.toml"
    file.write_bytes(line("question", "")(file.read_bytes()))
    again = mark_folder(made.folder, to=tmp_path / "again").overview
    assert "no question's number stands in it" in reason(again, f"{one}/whole_gig_2.toml")
    assert [each.outcome for each in marks(again, one)] == [RIGHT, PENDING]
    assert "whole_gig_2.toml could not be marked" in marks(again, one)[1].why


def test_the_bundled_class_with_a_gig_can_be_handed_out_and_marked(tmp_path):
    made = handout("loft_evening", tmp_path / "c")
    assert (made.trainees, made.questions, made.missing) == (8, 4, ())
    one = next(iter(issued(made)))
    answer_toml(made, one, answers_of(issued(made)[one]))
    answer_gig(made, one, 4, whole_gig("loft_quartet").key_answers())
    assert [each.outcome for each in marks(mark_folder(made.folder).overview, one)] == [RIGHT] * 4
