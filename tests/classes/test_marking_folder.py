"""A folder of returned files: each is marked from the record, refused with a reason, or remarked upon."""

import csv
import io
import json
import os
import re
import shutil
import zipfile

import nbformat
import pypdf
import pytest

from classes.trainees import answer_notebook, answer_toml, class_file, issued, solved
from gigsums.classes import handout, mark_folder, marking
from gigsums.classes.marking import NOT_ANSWERED, PENDING
from gigsums.gig import BadFile
from gigsums.practice.marking import RIGHT, SLIP, WRONG


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    return handout(class_file(folder, 4), folder / "night")


@pytest.fixture
def made(handed_out, tmp_path):
    """The class with nothing returned yet."""
    shutil.copytree(handed_out.folder, tmp_path / "night")
    return type(handed_out)(tmp_path / "night", handed_out.trainees, handed_out.questions)


def outcomes(overview, trainee):
    sheet = next(each for each in overview.sheets if each.trainee == trainee)
    return [each.outcome for each in sheet.marks]


def reason(overview, file):
    return next(each.reason for each in overview.refused if each.file == file)


def table(path):
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def test_answers_are_marked_from_the_record_in_both_forms(made):
    (one, first), (two, second), *_ = issued(made).items()
    slip = second.problems[0].slips[0]
    answer_toml(made, one, [*solved(first)[:2], "perhaps"])
    answer_notebook(made, two, [second.problems[0].answer.show(slip.values), "9999 ms", ""])
    done = mark_folder(made.returned)
    marked = done.overview
    assert outcomes(marked, one) == [RIGHT, RIGHT, PENDING]
    told = " ".join((done.folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8").split())
    assert "'perhaps' was not understood" in told
    assert not [line for line in first.problems[2].workings if " ".join(line.split()) in told]
    assert outcomes(marked, two) == [SLIP, WRONG, NOT_ANSWERED]
    assert len(marked.missing) == 2
    assert not marked.refused
    assert not marked.copies


def test_the_class_folder_will_do_and_results_lie_beside(made):
    one, sheet = next(iter(issued(made).items()))
    answer_toml(made, one, solved(sheet))
    results = mark_folder(made.folder).folder
    assert results.parent == made.folder / "results"
    assert re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9]{4}", results.name)
    assert sorted(each.name for each in results.iterdir()) == [
        "answers.csv", "feedback", "marks.csv", "overview.csv", "overview.ipynb", "overview.pdf",
    ]  # fmt: skip
    assert [each.name for each in (results / "feedback").iterdir()] == [f"{one}.txt"]


def test_units_typed_by_trainees_are_understood(made):
    one, sheet = next(iter(issued(made).items()))
    ms = sheet.problems[1].answer.parts[0].value
    answer_toml(made, one, ["", f"{ms / 1000:.5f} s".replace(".", ","), ""])
    assert outcomes(mark_folder(made.returned).overview, one)[1] == RIGHT


def test_feedback_tells_the_slip_and_the_way(made):
    one, sheet = next(iter(issued(made).items()))
    slip = sheet.problems[0].slips[0]
    answer_toml(made, one, [sheet.problems[0].answer.show(slip.values), solved(sheet)[1], ""])
    said = (mark_folder(made.returned).folder / "feedback" / f"{one}.txt").read_text(encoding="utf-8")
    flat = " ".join(said.split())
    assert f"Feedback for {one}, variant {sheet.variant}: 1 of 3" in flat
    assert slip.name in flat
    assert slip.hint in flat
    assert "You wrote nothing." in flat
    assert all(f"Answer: {answer}" in flat for answer in solved(sheet))
    assert max(map(len, said.splitlines())) <= 78


def test_real_names_can_be_erased(tmp_path):
    made = handout(class_file(tmp_path, ["Ada Lovage", "Bo"]), tmp_path / "c")
    for trainee, sheet in issued(made).items():
        answer_toml(made, trainee, solved(sheet))
    before = mark_folder(made.returned)
    (made.record.parent / "names.csv").unlink()
    (made.record.parent / "secret.txt").unlink()
    after = mark_folder(made.returned, to=tmp_path / "again")
    assert after.overview == before.overview
    for path in before.folder.rglob("*"):
        if path.is_file():
            assert b"Lovage" not in path.read_bytes()
            assert path.read_bytes() == (after.folder / path.relative_to(before.folder)).read_bytes()


# what is not as it should be


def test_an_altered_question_is_marked_as_issued_and_remarked(made):
    one, sheet = next(iter(issued(made).items()))
    path = answer_notebook(made, one, solved(sheet))
    book = json.loads(path.read_text(encoding="utf-8"))
    cell = next(each for each in book["cells"] if each["id"] == "question-2")
    cell["source"] = [re.sub(r"[0-9]+", "1", "".join(cell["source"]))]
    path.write_text(json.dumps(book), encoding="utf-8")
    marked = mark_folder(made.returned).overview
    assert outcomes(marked, one) == [RIGHT] * 3
    assert marked.sheets[0].remarks == ("the text of question 2 was altered; marked as issued",)


def test_a_key_claimed_by_the_file_counts_for_nothing(made):
    one = next(iter(issued(made)))
    file = answer_toml(made, one, ["1, 1", "1 ms", "fits; 0; 1"])
    before = mark_folder(made.returned, to=made.folder / "a").overview
    claims = '\nseed = "1"\n[key]\n1 = "1, 1"\n[[problems]]\nanswer = "1 ms"\nversion = 0\n'
    file.write_text(file.read_text() + claims)
    after = mark_folder(made.returned, to=made.folder / "b").overview
    assert [each.marks for each in after.sheets] == [each.marks for each in before.sheets]
    assert RIGHT not in outcomes(after, one)


def test_the_same_answers_twice_are_marked_once(made):
    one, sheet = next(iter(issued(made).items()))
    answer_toml(made, one, solved(sheet))
    answer_toml(made, one, solved(sheet), made.returned / "copy")
    marked = mark_folder(made.returned).overview
    assert outcomes(marked, one) == [RIGHT] * 3
    assert len(marked.sheets) == 1
    assert "the same answers stand in" in marked.sheets[0].remarks[0]


def test_different_answers_twice_are_for_the_tutor_to_settle(made):
    (one, sheet), (two, other), *_ = issued(made).items()
    answer_toml(made, one, solved(sheet))
    answer_notebook(made, one, ["1, 1", "", ""])
    answer_toml(made, two, solved(other))
    marked = mark_folder(made.returned).overview
    assert [each.trainee for each in marked.sheets] == [two]
    assert one in marked.missing
    assert f"answered differently in {one}.ipynb" in reason(marked, f"{one}/answers.toml")
    assert f"answered differently in {one}/answers.toml" in reason(marked, f"{one}.ipynb")


def test_a_blank_form_beside_the_answered_one_is_no_second_answer(made):
    one, sheet = next(iter(issued(made).items()))
    answer_toml(made, one, solved(sheet))  # the blank notebook lies in the same folder
    marked = mark_folder(made.returned).overview
    assert marked.sheets[0].remarks == ()
    assert not marked.refused


def test_a_blank_sheet_is_marked_as_such(made):
    one = next(iter(issued(made)))
    answer_toml(made, one, [])
    marked = mark_folder(made.returned).overview
    assert outcomes(marked, one) == [NOT_ANSWERED] * 3
    assert marked.sheets[0].remarks == ("nothing is answered",)


def test_another_trainees_variant_is_refused(made):
    (one, sheet), (two, _), *_ = issued(made).items()
    file = answer_toml(made, one, solved(sheet))
    file.write_text(file.read_text().replace(f'trainee = "{one}"', f'trainee = "{two}"'))
    marked = mark_folder(made.returned).overview
    assert not marked.sheets
    assert reason(marked, f"{one}/answers.toml") == f"it is {one}'s sheet, and says that it comes from {two}"


def test_a_sheet_under_another_name_is_remarked(made):
    (one, sheet), (two, _), *_ = issued(made).items()
    answer_toml(made, one, solved(sheet), made.returned / two)
    assert mark_folder(made.returned).overview.sheets[0].remarks == (f"it lies under the name {two}",)


def test_another_class_and_an_altered_variant_are_told_apart(made, tmp_path):
    (one, sheet), *_ = issued(made).items()
    other = handout(class_file(tmp_path, 1), tmp_path / "other")
    stranger, theirs = next(iter(issued(other).items()))
    answer_toml(other, stranger, solved(theirs), made.returned / "stranger")
    file = answer_toml(made, one, solved(sheet))
    file.write_text(file.read_text().replace(sheet.variant, "2222-2222"))
    answer_toml(made, one, solved(sheet), made.returned / "none")
    none = made.returned / "none" / "answers.toml"
    none.write_text(none.read_text().replace(sheet.variant, "<none>"))
    marked = mark_folder(made.returned).overview
    assert "another class" in reason(marked, "stranger/answers.toml")
    assert "“Night class”" in reason(marked, "stranger/answers.toml")
    assert "altered" in reason(marked, f"{one}/answers.toml")
    assert "“<none>”, which is none" in reason(marked, "none/answers.toml")


def test_answers_to_questions_that_there_are_not(made):
    one, sheet = next(iter(issued(made).items()))
    file = answer_toml(made, one, solved(sheet))
    file.write_text(file.read_text() + '4 = "4"\n0 = "0"\nx = "1"\n')
    marked = mark_folder(made.returned).overview
    assert outcomes(marked, one) == [RIGHT] * 3
    assert set(marked.sheets[0].remarks) == {"there is no question 0 and 4", "“x” is no question's number"}


def test_a_fault_in_the_marking_of_one_sheet_is_said_and_the_next_is_marked(made, monkeypatch):
    (one, _), (two, sheet), *_ = issued(made).items()
    answer_toml(made, one, ["boom", "", ""])
    answer_toml(made, two, solved(sheet))
    kept = marking.mark

    def broken(problem, text):
        if text == "boom":
            raise RecursionError
        return kept(problem, text)

    monkeypatch.setattr(marking, "mark", broken)
    marked = mark_folder(made.returned).overview
    assert [each.trainee for each in marked.sheets] == [two]
    assert "RecursionError" in reason(marked, f"{one}/answers.toml")


HOSTILE = [
    "=HYPERLINK(1).toml", "+cmd.toml", "@x.ipynb", "-2+3.toml", "<img src=x onerror=1>.toml", "a|b`c`#.toml",
    "$x$ [link](javascript:1).ipynb", "a\nb.toml", "a\x1b[31mred.toml", "'; DROP.toml", "#eval(1).toml", "*x*.toml",
    "www.example.org.toml", "\u202etxt.toml", "CON.toml", "nul.ipynb", "com1.toml", "..toml", "...ipynb",
]  # fmt: skip


@pytest.mark.skipif(os.name != "posix", reason="such names are for POSIX systems alone")
def test_a_hostile_folder_costs_nobody_a_mark(made, tmp_path):
    """Every kind of attack at once, and one good sheet among them."""
    canary = tmp_path / "canary"
    sly = f"__import__('pathlib').Path({str(canary)!r}).touch()"
    (one, sheet), *_ = issued(made).items()
    answer_toml(made, one, solved(sheet))
    drop = made.returned
    for name in HOSTILE:
        (drop / name).write_text(f"1 = {sly}")
    (drop / os.fsdecode(b"latin-\xe9.toml")).write_bytes(b"x")
    (drop / "run.py").write_text(sly)
    (drop / "answers.pickle").write_bytes(b"cos\nsystem\n(S'touch " + str(canary).encode() + b"'\ntR.")
    with zipfile.ZipFile(drop / "up.zip", "w", zipfile.ZIP_DEFLATED) as bomb:
        bomb.writestr("../../../canary", "x")
        bomb.writestr("bomb.toml", b"0" * 20_000_000)
    with open(drop / "huge.ipynb", "wb") as huge:
        huge.truncate(1_000_000_000)
    (drop / "deep.ipynb").write_text("[" * 500_000)
    (drop / "link.toml").symlink_to("/etc/passwd")
    (drop / "loop").symlink_to(drop)
    os.mkfifo(drop / "pipe.toml")
    deep = drop / "1/2/3/4/5/6"
    deep.mkdir(parents=True)
    (deep / "answers.toml").write_text("x")
    (drop / ".ipynb_checkpoints").mkdir()
    (drop / ".ipynb_checkpoints" / "old.ipynb").write_text("x")
    marked = mark_folder(drop)
    assert not canary.exists()
    assert outcomes(marked.overview, one) == [RIGHT] * 3
    refused = {each.file: each.reason for each in marked.overview.refused}
    assert set(HOSTILE) <= set(refused)
    assert {
        "run.py",
        "answers.pickle",
        "up.zip",
        "huge.ipynb",
        "deep.ipynb",
        "link.toml",
        "loop",
        "pipe.toml",
    } <= set(refused)
    assert "1/2/3/4/5" in refused
    assert len(refused) == len(HOSTILE) + 10
    assert all(refused.values())
    assert_harmless(marked.folder)


def assert_harmless(results):
    """No spreadsheet runs a cell, no page shows markup of a stranger, and the PDF says what the file was called."""
    for path in results.glob("*.csv"):
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            for cell in row:
                number = re.fullmatch(r"-?[0-9.]+", cell)
                assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell
                assert "\x1b" not in cell
    book = nbformat.read(results / "overview.ipynb", as_version=4)
    nbformat.validate(book)
    assert {cell.cell_type for cell in book.cells} == {"markdown"}
    text = "\n".join(cell.source for cell in book.cells)
    assert "&lt;img src=x onerror=1&gt;.toml" in text
    assert not re.search(r"<[a-z/!]", text)
    assert not re.search(r"(?<!\\)\[link", text)
    assert "www." not in text
    assert "\x1b" not in text
    for line in text.splitlines():  # nobody's name breaks out of its row
        assert "\u202e" not in line
    printed = "".join(page.extract_text() for page in pypdf.PdfReader(results / "overview.pdf").pages)
    assert "#eval(1).toml" in printed.replace("\u200b", "")


def test_names_and_answers_of_strangers_are_text_in_every_result(made):
    one, _ = next(iter(issued(made).items()))
    answer_toml(made, one, ["=1+1", "-12.5", "<script>alert(1)</script>"])
    folder = mark_folder(made.returned).folder
    typed = [row["typed"] for row in table(folder / "answers.csv")]
    assert typed == ["'=1+1", "-12.5", "<script>alert(1)</script>"]


# the marks


def test_marks_add_up_in_the_table(made):
    for at, (trainee, sheet) in enumerate(issued(made).items()):
        answer_toml(made, trainee, [*solved(sheet)[:at], "", "", ""][:3])
    folder = mark_folder(made.returned).folder
    rows = table(folder / "marks.csv")
    assert sorted(float(row["total"]) for row in rows) == [0, 1, 2, 3]
    for row in rows:
        assert float(row["total"]) == sum(float(row[f"question {n}"]) for n in (1, 2, 3))
    long = table(folder / "overview.csv")
    grid = {
        row["row"]: row["value"]
        for row in long
        if row["section"] == "Trainee by skill" and row["column"] == "All"
    }
    assert {name: float(value) for name, value in grid.items()} == {
        **{row["trainee"]: pytest.approx(float(row["total"]) / 3, abs=1e-6) for row in rows}, "The class": 0.5,
    }  # fmt: skip


def test_every_marking_has_a_new_folder(made):
    first = mark_folder(made.returned).folder
    (first / "mine.txt").write_text("mine")
    others = [mark_folder(made.returned, replace=True).folder for _ in range(2)]
    assert len({first, *others}) == 3
    assert {each.parent for each in others} == {first.parent}
    assert (first / "mine.txt").read_text() == "mine"


def test_results_in_a_folder_that_is_named_are_left_alone_or_moved_aside(made):
    first = mark_folder(made.returned, to=made.folder / "May").folder
    assert first == made.folder / "May"
    (first / "mine.txt").write_text("mine")
    with pytest.raises(BadFile, match="--replace"):
        mark_folder(made.returned, to=first)
    mark_folder(made.returned, to=first, replace=True)
    assert (made.folder / "May (earlier 1)" / "mine.txt").read_text() == "mine"
    assert not (first / "mine.txt").exists()


def test_marking_changes_nothing_that_was_returned(made):
    one, sheet = next(iter(issued(made).items()))
    file = answer_toml(made, one, solved(sheet))
    before = file.read_bytes(), file.stat().st_mtime_ns
    mark_folder(made.returned)
    assert (file.read_bytes(), file.stat().st_mtime_ns) == before


@pytest.mark.parametrize("what", ["nowhere", "no record", "not a record"])
def test_what_cannot_be_marked_at_all_is_one_clear_error(made, tmp_path, what):
    if what == "nowhere":
        with pytest.raises(BadFile, match="no such folder"):
            mark_folder(tmp_path / "nowhere")
    elif what == "no record":
        (tmp_path / "loose").mkdir()
        with pytest.raises(BadFile, match="--record"):
            mark_folder(tmp_path / "loose")
    else:
        with pytest.raises(BadFile, match="line 1"):
            mark_folder(made.returned, record=made.folder / "tutor" / "secret.txt")
    assert not (made.folder / "results").exists()
    assert not list(made.folder.glob(".*"))


def test_progress_is_told_to_the_end(made):
    told = {}
    mark_folder(made.returned, tell=lambda what, done, of: told.__setitem__(what, (done, of)))
    assert all(done == of for done, of in told.values())
    assert set(told) == {"sheets marked", "results written"}
