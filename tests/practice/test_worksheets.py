"""Worksheets: the bundled ones as committed, run, solved and slipped; and sources that cannot be used."""

import json
import shutil

import nbformat
import pytest
from nbclient import NotebookClient

from gigsums.gig import BadFile, bundled
from gigsums.practice import worksheet, write_notebook
from gigsums.practice.worksheets import as_file

SOURCES = bundled("worksheets")
SIMPLE = """
format = 1
title = "Two"
about = "Count."
[[question]]
topic = "monitor mixes"
seed = 1
[[question]]
topic = "monitor mixes"
seed = "word"
level = 3
"""


def opened(notebook):
    """As Jupyter opens it."""
    return nbformat.reads(json.dumps(notebook), as_version=4)


def run(notebook):
    """Execute in a kernel of its own; the text put out by each answer cell."""
    book = opened(notebook)
    NotebookClient(book, timeout=120, kernel_name="python3").execute()
    return book


def said(book):
    return [cell.outputs[0].data["text/plain"] for cell in book.cells if cell.id.startswith("answer-")]


def slip_of(asked):
    return asked.answer.show(asked.slips[0].values)


def test_there_are_worksheets():
    assert "monitor_mixes" in SOURCES


@pytest.mark.parametrize("name", SOURCES)
def test_committed_notebook_is_the_one_its_source_makes(name):
    committed = SOURCES[name].with_suffix(".ipynb").read_text(encoding="utf-8")
    assert committed == as_file(worksheet(name).notebook())
    nbformat.validate(nbformat.reads(committed, as_version=4))


@pytest.mark.parametrize("name", SOURCES)
def test_committed_notebook_is_unanswered(name):
    """Its stored outputs: that it runs to the same ones is what nbval sees."""
    committed = nbformat.read(SOURCES[name].with_suffix(".ipynb"), as_version=4)
    answers = [cell for cell in committed.cells if cell.id.startswith("answer-")]
    assert all(cell.source.endswith('.check("")') for cell in answers)
    assert len(said(committed)) == len(answers) > 2
    assert all(line.startswith("malformed: Nothing is typed yet.") for line in said(committed))


def test_solved_and_slipped_copies_are_told_apart():
    sheet = worksheet("monitor_mixes")
    answers = [str(sheet.problems[0].answer), slip_of(sheet.problems[1]), "1, 1"]
    right, slip, wrong = said(run(sheet.notebook(tuple(answers))))
    assert right.startswith("right: ")
    assert slip.startswith(f"named slip: {sheet.problems[1].slips[0].name}")
    assert wrong.startswith("wrong: ")


@pytest.mark.parametrize("name", SOURCES)
def test_every_solved_copy_is_right_and_every_slip_is_named(name):
    sheet = worksheet(name)
    solved = opened(sheet.notebook(tuple(str(each.answer) for each in sheet.problems)))
    assert all(line.startswith("right: ") for line in said(solved))
    able = [
        bool(each.slips) for each in sheet.problems
    ]  # a published value may leave none that can be told apart
    assert any(able)
    slipped = opened(sheet.notebook(tuple(slip_of(each) if each.slips else "" for each in sheet.problems)))
    assert [line.startswith("named slip: ") for line in said(slipped)] == able


def test_plain_text_and_key_carry_every_problem():
    sheet = worksheet("monitor_mixes")
    assert all(each.text() in sheet.text() for each in sheet.problems)
    assert all(str(each.answer) in sheet.key() for each in sheet.problems)
    assert not any(f"\n{n}. {each.answer}" in sheet.text() for n, each in enumerate(sheet.problems, start=1))


def test_a_notebook_with_answers_is_not_overwritten(tmp_path):
    source = tmp_path / "mine.toml"
    source.write_text(SIMPLE)
    path = write_notebook(source)
    path.write_text("my answers")
    with pytest.raises(FileExistsError, match=r"mine\.ipynb"):
        write_notebook(source)
    assert path.read_text() == "my answers"
    write_notebook(source, replace=True)
    assert json.loads(path.read_text(encoding="utf-8"))["nbformat"] == 4
    assert sorted(each.name for each in tmp_path.iterdir()) == ["mine.ipynb", "mine.toml"]


def test_text_of_a_source_cannot_leave_its_quotes(tmp_path):
    source = tmp_path / "sly.toml"
    source.write_text(SIMPLE.replace('seed = "word"', "seed = '\"); import os #'"), encoding="utf-8")
    cell = next(c for c in worksheet(source).notebook()["cells"] if c["id"] == "question-2")
    code = compile("".join(cell["source"]), "cell", "exec")
    assert "os" not in code.co_names


@pytest.mark.parametrize(
    ("change", "said_"),
    [
        (("monitor mixes", "monitor mixs"), ["question.number 1", "did you mean monitor mixes"]),
        (("seed = 1\n", ""), ["question.number 1.seed", "missing"]),
        (("seed = 1\n", "seed = true\n"), ["question.number 1", "seed is True"]),
        (("level = 3", "level = 4"), ["question.number 2.level", "1, 2, 3"]),
        (("[[question]]", "[[questoin]]"), ["questoin"]),
        ((SIMPLE[SIMPLE.index("[[") :], 'question = "monitor mixes"'), ["question"]),
        ((SIMPLE[SIMPLE.index("[[") :], ""), ["question", "0 stand there"]),
        (("format = 1", "format = 2"), ["format", "newer"]),
        (('title = "Two"', ""), ["title", "missing"]),
        (("about =", "abuot ="), ["abuot"]),
    ],
    ids=str,
)
def test_a_source_that_cannot_be_used_is_refused_with_its_key(tmp_path, change, said_):
    source = tmp_path / "bad.toml"
    source.write_text(SIMPLE.replace(*change, 1))
    with pytest.raises(BadFile) as refused:
        write_notebook(source)
    assert all(words in str(refused.value) for words in ["bad.toml", *said_])
    assert not source.with_suffix(".ipynb").exists()


def test_a_copy_elsewhere_makes_the_same_sheet(tmp_path):
    copy = shutil.copy(SOURCES["monitor_mixes"], tmp_path / "copy.toml")
    assert worksheet(copy) == worksheet("monitor_mixes")
