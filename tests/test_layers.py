"""The rooms keep their layers: imports are read from the source, and a room may import only rooms to its right."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

import gigsums

PACKAGE = Path(gigsums.__file__).parent
LAYERS = [
    ["__main__"],
    ["cli", "calculators"],  # calculators only answers for the last edition's notebooks, through the face
    ["views", "classes"],
    ["whole_gigs"],
    ["practice"],
    ["sheets"],
    ["figures"],
    ["planning"],
    ["sizing"],
    ["gig", "audio", "catalogue"],
    ["quantities", "workbook", "prompt"],
    ["formulas"],
]
LEVEL = {room: level for level, rooms in enumerate(LAYERS) for room in rooms}
START_FAST = ["cli", "gig", "sizing", "planning", "formulas", "quantities", "catalogue", "workbook"]
SLOW = ["jupyter", "jupyterlab", "jupyter_client", "jupyter_core", "jupyter_server", "IPython", "ipykernel"]
SLOW += ["ipywidgets", "matplotlib", "typst"]
FILE_EDGES = ("gigsums.gig.", "gigsums.classes.class_file.", "gigsums.classes.record.")


class Import(NamedTuple):
    module: str
    line: int
    when_loaded: bool


def room_of(module: str) -> str:
    return [*module.split("."), ""][1]


def imports_of(source: str, module: str, is_package: bool = False) -> Iterator[Import]:
    """Every absolute name that a module imports, wherever it stands; `from a import b` counts as `a.b`."""
    package = module if is_package else module.rpartition(".")[0]

    def visit(node: ast.AST, when_loaded: bool) -> Iterator[Import]:
        if isinstance(node, ast.Import):
            yield from (Import(alias.name, node.lineno, when_loaded) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parents = package.split(".")
                parents = parents[: len(parents) - node.level + 1]
                base = ".".join([*parents, base] if base else parents)
            yield from (Import(f"{base}.{alias.name}", node.lineno, when_loaded) for alias in node.names)
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("import_module", "__import__")):
            for argument in node.args[:1]:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    yield Import(argument.value, node.lineno, when_loaded)
        deferred = isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda))
        typing_only = isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING")
        for child in ast.iter_child_nodes(node):
            yield from visit(child, when_loaded and not deferred and not typing_only)

    yield from visit(ast.parse(source), True)


def faults_in(source: str, module: str, is_package: bool = False) -> list[str]:
    """What is wrong with the imports of one module, one line each."""
    room = room_of(module)
    if room and room not in LEVEL:
        return [f"{module}: {room} is no room of the house; rooms are {', '.join(LEVEL)}"]
    faults = []
    for imported, line, when_loaded in imports_of(source, module, is_package):
        top, _, rest = imported.partition(".")
        other = rest.partition(".")[0]
        inward = top == "gigsums" and other in LEVEL and other != room
        if inward and (not room or LEVEL[other] <= LEVEL[room]):
            who = room or "the package"
            faults.append(f"{module}:{line} imports {imported}; {who} may not import {other}")
        if room in START_FAST and when_loaded and top in SLOW:
            faults.append(f"{module}:{line} imports {top} when it is loaded; import it where it is used")
        if top == "pydantic" and not f"{module}.".startswith(FILE_EDGES):
            faults.append(f"{module}:{line} imports pydantic, which stands at the file edges only")
    return faults


def modules() -> list[tuple[str, Path]]:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        found.append((".".join(parts[:-1] if parts[-1] == "__init__" else parts), path))
    return found


@pytest.mark.parametrize(
    ("module", "path"), modules(), ids=lambda value: value if isinstance(value, str) else ""
)
def test_the_module_keeps_its_layer(module, path):
    source = path.read_text(encoding="utf-8")
    assert faults_in(source, module, is_package=path.name == "__init__.py") == []


def test_every_room_is_looked_into():
    rooms = {module.split(".")[1] for module, _ in modules() if "." in module}
    assert {"formulas", "gig", "sizing", "cli"} <= rooms
    assert rooms <= set(LEVEL)


def test_rooms_that_start_fast_load_nothing_slow():
    names = [module for module, _ in modules() if room_of(module) in START_FAST]
    code = f"import sys, {', '.join(names)}; print(*[m for m in {SLOW} if m in sys.modules])"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert loaded.split() == []


# the checker itself


@pytest.mark.parametrize(
    ("module", "source", "fault"),
    [
        ("gigsums.formulas.x", "from gigsums.gig import load_gig", "formulas may not import gig"),
        ("gigsums.formulas.x", "import gigsums.quantities", "formulas may not import quantities"),
        ("gigsums.formulas.x", "from gigsums import sizing", "formulas may not import sizing"),
        ("gigsums.formulas.x", "from .. import sizing", "formulas may not import sizing"),
        ("gigsums.formulas.x", "from ..gig.model import Gig", "formulas may not import gig"),
        ("gigsums.gig.x", "from gigsums.catalogue import CATALOGUE", "gig may not import catalogue"),
        ("gigsums.catalogue.x", "import gigsums.audio", "catalogue may not import audio"),
        (
            "gigsums.practice.topics.x",
            "from ...views import show",
            "practice may not import views",
        ),
        (
            "gigsums.quantities.x",
            "def f():\n    import gigsums.workbook",
            "quantities may not import workbook",
        ),
        (
            "gigsums.sizing.x",
            "class A:\n    def f(self):\n        from gigsums import cli",
            "may not import cli",
        ),
        (
            "gigsums.sizing.x",
            "import importlib\nimportlib.import_module('gigsums.planning')",
            "import planning",
        ),
        ("gigsums", "from gigsums.formulas import decibels", "the package may not import formulas"),
        ("gigsums.attic.x", "", "attic is no room of the house"),
        ("gigsums.attic", "import math", "attic is no room of the house"),
        ("gigsums.formulas.x", "import matplotlib.pyplot as plt", "imports matplotlib when it is loaded"),
        (
            "gigsums.cli",
            "try:\n    import ipywidgets\nexcept ImportError:\n    pass",
            "imports ipywidgets when",
        ),
        ("gigsums.catalogue.x", "class A:\n    from typst import compile", "imports typst when it is loaded"),
        ("gigsums.sizing.x", "def f():\n    import pydantic", "pydantic, which stands at the file"),
        ("gigsums.practice.x", "from pydantic import BaseModel", "pydantic, which stands at the file"),
    ],
)
def test_a_breach_is_found(module, source, fault):
    faults = faults_in(source, module)
    assert len(faults) == 1
    assert fault in faults[0]
    assert faults[0].startswith(module)


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("gigsums.__main__", "from gigsums.cli import main"),
        (
            "gigsums.cli",
            "from gigsums import __version__\ndef f():\n    from gigsums.views import show",
        ),
        ("gigsums.cli", "def f():\n    import matplotlib"),
        (
            "gigsums.gig.x",
            "from pydantic import Field\nfrom gigsums.quantities import read\nfrom .y import z",
        ),
        ("gigsums.formulas.x", "from gigsums.formulas._check import number\nfrom . import timing"),
        ("gigsums.sizing.x", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import matplotlib"),
        ("gigsums.figures.x", "import matplotlib\nfrom gigsums.sizing import Ledger"),
        ("gigsums.planning.x", "import gigsums"),
    ],
)
def test_what_is_allowed_passes(module, source):
    assert faults_in(source, module) == []


def test_a_package_resolves_its_own_relative_imports():
    source = "from .sizing import x"
    assert faults_in(source, "gigsums.formulas", is_package=True) == []
    assert "may not import sizing" in faults_in(source, "gigsums.formulas", is_package=False)[0]
