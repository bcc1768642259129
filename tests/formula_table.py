"""The table of formulas: where each comes from, and how many values from outside the project stand behind it.

`python tests/formula_table.py` writes tests/reference/FORMULAS.md.
"""

from __future__ import annotations

import ast
import contextlib
import importlib
import inspect
import io
import pkgutil
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from numpydoc.docscrape import NumpyDocString

from gigsums import formulas

HERE = Path(__file__).parent
TABLE = HERE / "reference" / "FORMULAS.md"
ENOUGH = 3
NO_SOURCE = ("definition", "geometry", "none found", "common practice, no source")
HEAD = """# Formulas and what stands behind them

Made by `python tests/formula_table.py`; a test fails when it is out of date. "Outside" counts the published
rows and independent libraries that a formula is checked against, case by case. "Otherwise" counts the tests
that name the formula and build its answer another way, or hold it to a property. A formula with fewer than
three outside values says definition, geometry, none found or common practice in its source.

| formula | source | outside | otherwise |
|---|---|--:|--:|
"""


@dataclass(frozen=True)
class Formula:
    """One public formula and what is known about it."""

    name: str
    source: str
    outside: int
    otherwise: int

    @property
    def row(self) -> str:
        return f"| `{self.name}` | {self.source} | {self.outside} | {self.otherwise} |"

    @property
    def backed(self) -> bool:
        """Enough outside values, or an honest word for their lack and another way of checking."""
        honest = any(word in self.source.lower() for word in NO_SOURCE)
        return bool(self.source) and (self.outside >= ENOUGH or (honest and self.otherwise >= 1))


def sources() -> dict[str, str]:
    """The references of every public formula, by `module.function`, on one line."""
    found = {}
    for info in pkgutil.iter_modules(formulas.__path__):
        module = importlib.import_module(f"{formulas.__name__}.{info.name}")
        for name in sorted(getattr(module, "__all__", [])):
            function = getattr(module, name)
            if inspect.isfunction(function):
                lines = NumpyDocString(inspect.getdoc(function) or "")["References"]
                text = re.sub(r"\.\. \[\d+\] *", "", " ".join(line.strip() for line in lines))
                found[f"{info.name}.{name}"] = text.replace("|", "\\|").strip()
    return found


class _Marks:
    """A pytest plugin that counts `outside` marks as tests are collected."""

    def __init__(self) -> None:
        self.count: Counter[str] = Counter()

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        for item in session.items:
            self.count.update(mark.args[0] for mark in item.iter_markers("outside"))


def outside_values(folder: Path = HERE / "formulas") -> Counter[str]:
    """How many cases are marked as checking each formula against an outside value."""
    marks, said = _Marks(), io.StringIO()
    arguments = ["--collect-only", "-q", "-m", "outside", "-p", "no:cacheprovider", "-p", "no:xdist"]
    with contextlib.redirect_stdout(said):
        status = pytest.main([*arguments, f"--rootdir={HERE.parent}", str(folder)], plugins=[marks])
    if status != pytest.ExitCode.OK:
        raise RuntimeError(f"the tests could not be collected:\n{said.getvalue()[-2000:]}")
    return marks.count


def other_checks(folder: Path = HERE / "formulas") -> Counter[str]:
    """How many tests name a formula without the mark, by the bare name of the function."""
    count: Counter[str] = Counter()
    for path in sorted(folder.glob("test_*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                if any("mark.outside" in ast.unparse(decorator) for decorator in node.decorator_list):
                    continue
                names = {part.id for part in ast.walk(node) if isinstance(part, ast.Name)}
                attributes = {part.attr for part in ast.walk(node) if isinstance(part, ast.Attribute)}
                count.update(names | attributes)
    return count


def table() -> list[Formula]:
    """Every public formula, in the order of the modules."""
    known, outside, otherwise = sources(), outside_values(), other_checks()
    strangers = sorted(set(outside) - set(known))
    if strangers:
        raise LookupError(f"marked as outside values of no public formula: {', '.join(strangers)}")
    return [
        Formula(name, source, outside[name], otherwise[name.partition(".")[2]])
        for name, source in known.items()
    ]


def text(entries: list[Formula]) -> str:
    total = sum(entry.outside for entry in entries)
    last = f"\n{len(entries)} formulas, {total} outside values.\n"
    return HEAD + "".join(f"{entry.row}\n" for entry in entries) + last


def parsed(written: str) -> list[Formula]:
    """The entries of a table as it was written."""
    rows = re.findall(r"^\| `([\w.]+)` \| (.*) \| (\d+) \| (\d+) \|$", written, re.MULTILINE)
    return [Formula(name, source, int(outside), int(otherwise)) for name, source, outside, otherwise in rows]


if __name__ == "__main__":
    TABLE.write_text(text(table()), encoding="utf-8", newline="\n")
    print(f"wrote {TABLE.name}")
