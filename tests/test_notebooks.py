"""Notebooks are stored clean, and remaking them changes nothing. What lessons hold is checked in test_lessons."""

import base64
import importlib.util
import io
from pathlib import Path

import nbformat
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
NOTEBOOKS = sorted((ROOT / "notebooks").rglob("*.ipynb"))


def _remake():
    spec = importlib.util.spec_from_file_location(
        "remake_notebooks", ROOT / "toolkit" / "remake_notebooks.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


remake = _remake()


def notebook(path, *cells, **metadata):
    made = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(each) for each in cells], metadata=metadata
    )
    nbformat.write(made, path)
    return path


def test_there_are_notebooks():
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_it_is_stored_as_remaking_would_store_it(path):
    """No counters but 1, 2, 3, no metadata but tags, no widget that has gone, no mark of a machine."""
    clean = remake.as_text(remake.clean(nbformat.read(path, as_version=4)))
    assert path.read_text(encoding="utf-8") == clean, "python toolkit/remake_notebooks.py, then commit"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_it_is_no_larger_than_a_megabyte(path):
    assert path.stat().st_size < 1_000_000


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_its_pictures_are_whole(path):
    for cell in nbformat.read(path, as_version=4).cells:
        for output in cell.get("outputs", []):
            stored = output.get("data", {}).get("image/png")
            if stored is not None:
                Image.open(io.BytesIO(base64.b64decode(stored))).load()


def test_a_picture_is_stored_as_it_was_drawn(tmp_path):
    """A picture is stored in letters, and some of them may by chance spell an address in memory."""
    letters = "iVBO0xabcdef01Rw0K"
    path = notebook(
        tmp_path / "drawn.ipynb",
        f"from IPython.display import display\ndisplay({{'image/png': '{letters}'}}, raw=True)",
    )
    assert remake.main([str(path)]) == 0
    (cell,) = nbformat.read(path, as_version=4).cells
    assert cell.outputs[0].data["image/png"] == letters


NOISY = (
    "object()",
    "import warnings\nwarnings.warn('careful', stacklevel=1)",
    "from ipywidgets import IntSlider\nIntSlider()",
    "print('one')\nprint('two', flush=True)\nprint('three')",
    "from IPython.display import HTML\nHTML('<b>bold</b>')",
)


def test_remaking_twice_changes_nothing(tmp_path, capsys):
    path = notebook(tmp_path / "noisy.ipynb", *NOISY, authors=["somebody"], widgets={"state": {}})
    assert remake.main([str(path)]) == 0
    once = path.read_bytes()
    assert remake.main(["--folder", str(tmp_path)]) == 0
    assert path.read_bytes() == once
    assert capsys.readouterr().out == "noisy.ipynb: remade\nnoisy.ipynb: as it was\n"
    stored = nbformat.read(path, as_version=4)
    assert set(stored.metadata) == {"kernelspec", "language_info"}
    assert [cell.execution_count for cell in stored.cells] == [1, 2, 3, 4, 5]
    first, warned, slider, printed, shown = (cell.outputs for cell in stored.cells)
    assert first[0].data == {"text/plain": "<object at 0x0>"}
    assert "ipykernel/cell.py" in warned[0].text
    assert list(slider[0].data) == ["text/plain"]
    assert [each.text for each in printed] == ["one\ntwo\nthree\n"]
    assert shown[0].data["text/html"] == "<b>bold</b>"
    assert {path.name} == {each.name for each in tmp_path.iterdir()}


def test_tags_stay_and_everything_else_said_of_a_cell_goes(tmp_path):
    path = notebook(tmp_path / "tagged.ipynb", "1 / 0")
    stored = nbformat.read(path, as_version=4)
    stored.cells[0].metadata = {"tags": ["raises-exception"], "scrolled": True, "collapsed": False}
    nbformat.write(stored, path)
    assert remake.main([str(path)]) == 0
    (cell,) = nbformat.read(path, as_version=4).cells
    assert cell.metadata == {"tags": ["raises-exception"]}
    assert cell.outputs[0].ename == "ZeroDivisionError"
    assert cell.outputs[0].traceback == []


def test_a_notebook_that_fails_is_left_as_it_was(tmp_path):
    path = notebook(tmp_path / "fails.ipynb", "1 / 0")
    before = path.read_bytes()
    with pytest.raises(Exception, match="ZeroDivisionError"):
        remake.main([str(path)])
    assert path.read_bytes() == before


@pytest.mark.parametrize("arguments", [["no_such.ipynb"], ["--folder", "."]])
def test_nothing_to_remake_is_said(arguments, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert remake.main(arguments) == 2
    assert "no such notebook" in (said := capsys.readouterr().err) or "there is no notebook" in said
