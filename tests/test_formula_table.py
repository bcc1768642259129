"""Every public formula has a source and values from outside behind it, and the table that says so is current."""

import subprocess
import sys

import pytest

from formula_table import TABLE, Formula, other_checks, parsed, sources, text

TESTS = TABLE.parent.parent


def run(code):
    """Run code in a process of its own: pytest within pytest would share its plugins and modules."""
    code = f"import formula_table as t; {code}"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=TESTS, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def entries():
    return parsed(TABLE.read_text(encoding="utf-8"))


def test_the_table_lists_every_formula_with_its_source(entries):
    assert {entry.name: entry.source for entry in entries} == sources(), "run `python tests/formula_table.py`"
    assert len(entries) > 60


def test_every_formula_is_backed(entries):
    bare = [
        f"{entry.name}: {entry.outside} outside values, {entry.otherwise} other checks; source: {entry.source!r}"
        for entry in entries
        if not entry.backed
    ]
    assert not bare, "\n" + "\n".join(bare)


@pytest.mark.thorough
def test_the_counts_in_the_table_are_current():
    written = run("import sys; sys.stdout.reconfigure(encoding='utf-8'); print(t.text(t.table()), end='')")
    assert written == TABLE.read_text(encoding="utf-8"), "run `python tests/formula_table.py`"


# the table itself


@pytest.mark.parametrize(
    ("source", "outside", "otherwise", "backed"),
    [
        ("A book", 3, 0, True),
        ("A book", 2, 5, False),
        ("", 0, 1, False),
        ("", 3, 1, False),
        ("Definition: one over the other", 0, 1, True),
        ("Geometry", 0, 0, False),
        ("None found", 2, 1, True),
        ("Common practice, no source.", 0, 1, True),
    ],
)
def test_backing_wants_three_values_or_an_honest_word(source, outside, otherwise, backed):
    assert Formula("x.y", source, outside, otherwise).backed is backed


def test_a_table_reads_back_as_it_was_written():
    entries = [Formula("x.y", "A book, *Title* \\| part 2", 12, 3), Formula("x.z", "Definition", 0, 1)]
    assert parsed(text(entries)) == entries
    assert text(entries).endswith("2 formulas, 12 outside values.\n")


SMALL = """
import pytest
@pytest.mark.outside('x.y')
@pytest.mark.parametrize('n', [1, 2, 3])
def test_marked(n): y(n)
@pytest.mark.thorough
@pytest.mark.outside('x.z')
def test_one(): z()
def test_property(): assert y(1) == module.w(2)
def helper(): z()
"""


@pytest.mark.thorough
def test_marks_are_counted_case_by_case(tmp_path):
    (tmp_path / "test_small.py").write_text(SMALL)
    counted = run(f"import pathlib; print(dict(t.outside_values(pathlib.Path({str(tmp_path)!r}))))")
    assert counted.splitlines()[-1] == "{'x.y': 3, 'x.z': 1}"


def test_other_checks_are_those_without_a_mark(tmp_path):
    (tmp_path / "test_small.py").write_text(SMALL)
    count = other_checks(tmp_path)
    assert (count["y"], count["w"], count["z"]) == (1, 1, 0)
