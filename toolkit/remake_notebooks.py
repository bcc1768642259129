"""Run every notebook again and store it clean: `python toolkit/remake_notebooks.py [NOTEBOOK ...]`.

Run in the environment that the tests use. Times, widget handles and machine paths are left out and counters
count from 1, so that running it twice changes nothing.
"""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbformat import NotebookNode

NOTEBOOKS = Path(__file__).resolve().parent.parent / "notebooks"
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}
# what an output may hold; a widget's view is left out, it would point at a kernel that has gone
PICTURE = "image/png"  # in letters and figures that may look like noise and are not
KEPT = ("text/plain", "text/html", "text/markdown", "text/latex", PICTURE, "image/svg+xml")
NOISE = (
    (re.compile(r"0x[0-9a-fA-F]{6,16}"), "0x0"),
    (re.compile(r"ipykernel_\d+/\d+\.py"), "ipykernel/cell.py"),
)


def run(notebook: NotebookNode, folder: Path) -> NotebookNode:
    """Run a notebook from the top in its folder; raises if a cell does."""
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs = []
    NotebookClient(
        notebook, timeout=120, kernel_name="python3", resources={"metadata": {"path": folder}}
    ).execute()
    return notebook


def clean(notebook: NotebookNode) -> NotebookNode:
    """Leave out what differs from run to run and from machine to machine."""
    kept = nbformat.v4.new_notebook(metadata={"kernelspec": KERNEL, "language_info": {"name": "python"}})
    ran = 0
    for number, cell in enumerate(notebook.cells, start=1):
        tags = cell.metadata.get("tags", [])
        new = NotebookNode(
            id=f"cell-{number:02d}", cell_type=cell.cell_type, metadata={"tags": tags} if tags else {}
        )
        new.source = cell.source.strip()
        if cell.cell_type == "code":
            ran += 1
            new.execution_count = ran
            new.outputs = _joined([_output(each, ran) for each in cell.outputs])
        kept.cells.append(new)
    nbformat.validate(kept)
    return kept


def _output(output: NotebookNode, ran: int) -> NotebookNode:
    kept = NotebookNode(output_type=output.output_type)
    if output.output_type == "stream":
        kept.update(name=output.name, text=_quiet(output.text))
    elif output.output_type == "error":
        # a lesson shows what a refusal says, not where in whose files it arose
        kept.update(ename=output.ename, evalue=_quiet(output.evalue), traceback=[])
    else:
        data = {
            kind: output.data[kind] if kind == PICTURE else _quiet(output.data[kind])
            for kind in KEPT
            if kind in output.data
        }
        sizes = {kind: output.metadata[kind] for kind in data if kind in output.metadata}
        kept.update(data=data, metadata=sizes)
        if output.output_type == "execute_result":
            kept.execution_count = ran
    return kept


def _joined(outputs: list[NotebookNode]) -> list[NotebookNode]:
    """Neighbouring pieces of one stream as one: how they are cut is chance."""
    joined: list[NotebookNode] = []
    for each in outputs:
        before = joined[-1] if joined else None
        if before and each.output_type == before.output_type == "stream" and each.name == before.name:
            before.text += each.text
        else:
            joined.append(each)
    return joined


def _quiet(value: object) -> object:
    if not isinstance(value, str):
        return value
    for pattern, plain in NOISE:
        value = pattern.sub(plain, value)
    return value


def as_text(notebook: NotebookNode) -> str:
    """What a notebook is stored as."""
    return nbformat.writes(notebook, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def write(notebook: NotebookNode, path: Path) -> bool:
    """Write a notebook if that changes the file; whether it did."""
    text = as_text(notebook)
    if path.exists() and path.read_text(encoding="utf-8") == text:
        return False
    beside = path.with_suffix(".new")
    beside.write_text(text, encoding="utf-8", newline="\n")
    beside.replace(path)
    return True


def main(arguments: list[str] | None = None) -> int:
    """Remake the notebooks named, or all of them."""
    parser = argparse.ArgumentParser(description="Run every notebook again and store it clean.")
    parser.add_argument(
        "notebooks", nargs="*", type=Path, help="notebooks to remake; all of them if left out"
    )
    parser.add_argument("--folder", type=Path, default=NOTEBOOKS, help="where notebooks are looked for")
    given = parser.parse_args(arguments)
    paths = given.notebooks or sorted(given.folder.rglob("*.ipynb"))
    if not paths:
        print(f"there is no notebook in {given.folder}", file=sys.stderr)
        return 2
    for path in paths:
        if not path.is_file():
            print(f"{path}: no such notebook; name files, or none for all of {given.folder}", file=sys.stderr)
            return 2
        notebook = nbformat.read(path, as_version=4)
        changed = write(clean(run(notebook, path.parent)), path)
        print(f"{path.name}: {'remade' if changed else 'as it was'}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
