"""What was not read is pending: no mark, in no number, its feedback held back, until the file is there. Empty is nought.

The ruling is the house's own, with no source; the numbers are worked by hand beside each test.
"""

import csv
import json
import re
import shutil

import pytest

from classes.test_whole_gigs import JOB, RIGHT_GIG, answers_of, marks
from classes.trainees import WITH_A_GIG, answer_gig, answer_toml, class_file, issued
from gigsums.classes import handout, mark_folder, told
from gigsums.classes.marking import NOT_ANSWERED, PENDING
from gigsums.practice.marking import RIGHT
from pages import text


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    return handout(class_file(folder, 4, WITH_A_GIG), folder / "night")


@pytest.fixture
def made(handed_out, tmp_path):
    """The class with nothing returned yet."""
    shutil.copytree(handed_out.folder, tmp_path / "night")
    return type(handed_out)(tmp_path / "night", handed_out.trainees, handed_out.questions)


def outcomes(marked, trainee):
    return [each.outcome for each in marks(marked.overview, trainee)]


def rows(marked, name):
    return list(csv.DictReader((marked.folder / name).read_text(encoding="utf-8").splitlines()))


def feedback(marked, trainee):
    return " ".join((marked.folder / "feedback" / f"{trainee}.txt").read_text(encoding="utf-8").split())


def told_of(marked, trainee, n):
    """What the feedback says of one question, in one line."""
    said = (marked.folder / "feedback" / f"{trainee}.txt").read_text(encoding="utf-8")
    return " ".join(said.partition(f"\n{n:2}. ")[2].partition(f"\n\n{n + 1:2}. ")[0].split())


def test_every_table_says_pending_and_no_number_counts_it(made):
    """Of the whole gig: right, not returned, damaged, left empty. Marks: four of four, twice three of three, and two of
    four, since one of the others is wrong there: 12 of 14."""
    (right, absent, damaged, empty), sheets = issued(made), issued(made)
    for trainee in (right, absent, damaged, empty):
        answers = answers_of(sheets[trainee])
        answer_toml(made, trainee, answers if trainee != empty else [*answers[:2], "does not fit; 99; 99"])
    answer_gig(made, right, 4, RIGHT_GIG)
    (made.returned / absent / "whole_gig_4.toml").unlink()
    (made.returned / damaged / "whole_gig_4.toml").write_text("[counts]\nstrips = [[[", encoding="utf-8")
    marked = mark_folder(made.folder)
    seen = marked.overview
    assert [outcomes(marked, each)[3] for each in (right, absent, damaged, empty)] == [
        RIGHT, PENDING, PENDING, NOT_ANSWERED,
    ]  # fmt: skip
    assert seen.items[3].facility == 0.5
    totals = {sheet.trainee: (sheet.total, sheet.of) for sheet in seen.sheets}
    assert totals == {right: (4, 4), absent: (3, 3), damaged: (3, 3), empty: (2, 4)}
    assert "86 % of the marks on average" in told(marked)
    assert "Something is pending on 2 sheets." in told(marked)
    assert f"pending: {absent}, question 4: no file came back for it" in told(marked)

    table = {row["trainee"]: row for row in rows(marked, "marks.csv")}
    assert [table[absent][key] for key in ("question 4", "total", "out of")] == ["pending", "3", "3"]
    assert [table[empty][key] for key in ("question 4", "total", "out of")] == ["0", "2", "4"]
    answers = {(row["trainee"], row["question"]): row for row in rows(marked, "answers.csv")}
    assert [answers[damaged, "4"][key] for key in ("outcome", "marks")] == ["pending", ""]
    long = [tuple(row.values()) for row in rows(marked, "overview.csv")]
    assert ("Pending", absent, "Why", "no file came back for it") in long
    assert ("Question by question", "4", "Facility", "0.5") in long
    assert ("Question by question", "4", "Pending", "2") in long
    assert ("Trainee by skill", absent, "whole gigs", "pending") in long
    assert ("Trainee by skill", "The class", "All", "0.857143") in long
    printed = text((marked.folder / "overview.pdf").read_bytes())
    assert "Pending" in printed
    assert "3 of 3, 1 pending" in " ".join(printed.split())
    book = (marked.folder / "overview.ipynb").read_text(encoding="utf-8")
    assert "## Pending" in "".join(json.loads(book)["cells"][1]["source"])


def test_feedback_is_held_back_and_told_when_the_file_is_there(made):
    one = next(iter(issued(made)))
    answer_toml(made, one, answers_of(issued(made)[one]))
    (made.returned / one / "whole_gig_4.toml").unlink()
    first = mark_folder(made.folder)
    said = feedback(first, one)
    assert "3 of 3, 1 pending" in said
    assert "Pending: no file came back for it." in said
    held = told_of(first, one, 4)
    key = [row.reasons[0].rule for row in JOB.solution.rows]
    assert not any(rule in held for rule in key)
    assert "The way:" not in held
    answer_gig(made, one, 4, {**RIGHT_GIG, "counts": {}})
    again = mark_folder(made.folder, replace=True)
    sheet = again.overview.sheets[0]
    assert (sheet.of, sheet.pending) == (4, ())
    assert marks(again.overview, one)[3].worth > 0
    assert any(rule in feedback(again, one) for rule in key)
    assert not re.search(r"\b[Pp]ending\b", feedback(again, one) + told(again))


def test_questions_are_pending_where_only_the_gig_came_back(made):
    one, sheet = next(iter(issued(made).items()))
    answer_gig(made, one, 4, RIGHT_GIG)
    marked = mark_folder(made.folder)
    assert outcomes(marked, one) == [PENDING] * 3 + [RIGHT]
    assert not any(str(problem.workings[0]) in feedback(marked, one) for problem in sheet.problems[:3])
    assert [item.facility for item in marked.overview.items] == [None, None, None, 1]


@pytest.mark.parametrize("beside", ["worksheet.ipynb", "my answers.docx"])
def test_the_empty_form_beside_a_file_that_was_refused_is_no_answer(made, beside):
    """The notebook that was filled in came back damaged, in the folder with the empty answer file."""
    one, two, *_ = issued(made)
    answer_toml(made, one, [])
    (made.returned / one / beside).write_bytes(b"damaged")
    answer_gig(made, one, 4, RIGHT_GIG)
    answer_toml(made, two, [])
    answer_gig(made, two, 4, RIGHT_GIG)
    marked = mark_folder(made.folder)
    assert outcomes(marked, one) == [PENDING] * 3 + [RIGHT]
    assert f"{one}/{beside} could not be marked" in marks(marked.overview, one)[0].why
    assert outcomes(marked, two) == [NOT_ANSWERED] * 3 + [RIGHT]


def test_one_answer_that_cannot_be_taken_is_pending_and_an_empty_one_is_nought(made):
    one, sheet = next(iter(issued(made).items()))
    file = answer_toml(made, one, ["", answers_of(sheet)[1], ""])
    changed = file.read_text(encoding="utf-8").replace('\n1 = ""', "\n1 = [3, 4]")
    file.write_text(changed, encoding="utf-8")
    marked = mark_folder(made.folder)
    assert outcomes(marked, one) == [PENDING, RIGHT, NOT_ANSWERED, NOT_ANSWERED]
    assert marked.overview.sheets[0].of == 3
    said = told_of(marked, one, 1)
    assert str(sheet.problems[0].answer) not in said
    assert "Pending: it could not be read: not one text between quotes." in said


def test_a_sheet_of_which_nothing_could_be_read_is_not_marked(made):
    one = next(iter(issued(made)))
    file = answer_toml(made, one, [])
    (file.parent / "whole_gig_4.toml").unlink()
    changed = file.read_text(encoding="utf-8")
    for n in (1, 2, 3):
        changed = changed.replace(f'\n{n} = ""', f"\n{n} = [1]")
    file.write_text(changed, encoding="utf-8")
    seen = mark_folder(made.folder).overview
    assert not seen.sheets
    assert one in seen.missing
    assert "nothing in it could be marked" in seen.refused[0].reason
