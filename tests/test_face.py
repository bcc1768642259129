"""What notebooks import: one face, lazy, that answers whatever room a thing stands in; and the last edition's places."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

import gigsums

ROOT = Path(__file__).resolve().parent.parent


def test_what_the_face_names_is_there():
    assert [name for name in gigsums.__all__ if getattr(gigsums, name) is None] == []


def test_notebooks_import_from_the_face_alone():
    """So that rooms can move under everybody's copies."""
    folders = [ROOT / "notebooks", ROOT / "exercises" / "worksheets"]
    books = [path for folder in folders for path in folder.glob("*.ipynb")]
    reached = re.compile(r"^\s*(?:from|import) (gigsums\.[\w.]+)", re.MULTILINE)
    faults = [
        f"{path.name}: {found}"
        for path in books
        for cell in nbformat.read(path, as_version=4).cells
        if cell.cell_type == "code"
        for found in reached.findall(cell.source)
    ]
    assert books
    assert faults == []


def test_to_import_it_loads_no_room():
    code = "import sys, gigsums; print(*[m for m in sys.modules if m.startswith('gigsums.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no_such_thing"):
        gigsums.no_such_thing  # noqa: B018


def test_the_last_editions_places_answer():
    from gigsums.calculators import LineUp, line_up, picked_up, show
    from gigsums.practice import handout, mark_folder, mark_whole, whole_gig, write_blank

    assert (LineUp, show) == (gigsums.LineUp, gigsums.show)
    gig, desk = gigsums.load_gig("lantern_night"), gigsums.load_desk("desk_b")
    assert line_up(gig, desk).line_up.gig == picked_up(gig, desk).gig == gig
    assert (handout, mark_folder) == (gigsums.handout, gigsums.mark_folder)
    assert (mark_whole, whole_gig, write_blank) == (
        gigsums.mark_whole,
        gigsums.whole_gig,
        gigsums.write_blank,
    )


def test_a_class_that_the_last_edition_handed_out_is_marked_as_it_was(tmp_path):
    """Issued, answered in full and marked 1, 1, 1 by edition 0.1.0. Its notebooks, and lesson 2, are run by nbval."""
    shutil.copytree(Path(__file__).parent / "last_edition" / "class", tmp_path / "class")
    marked = gigsums.mark_folder(tmp_path / "class")
    (sheet,) = [each for each in marked.overview.sheets if each.trainee == "copper-473"]
    assert [mark.worth for mark in sheet.marks] == [1, 1, 1]
