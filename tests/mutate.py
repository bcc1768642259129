"""How many small mistakes in the formulas, the gig, the sizing and the marking their tests catch.

    python tests/mutate.py [module ...] [--sample N] [--minutes M]

A module is named as `gain`, for a formula, or as `sizing/judge`. One mistake at a time (a constant a little off, an
operator, a sign or a condition turned, the end of a range moved, a call left out) is written into a temporary copy of
the package, and the tests of that module are run on it: the file of its name, and the rest of its room on what that
file misses. The working tree is never touched. It prints the score of each module and the mistakes that nothing
noticed, and exits with 1 if a score is below 95 %. It is run by hand, never with the tests. The general mutation tools
were passed over: they mutate in place or want the package in `src/`.

Each run is a fork of one process that has the libraries loaded already, so it needs Linux or macOS.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import multiprocessing
import multiprocessing.connection
import os
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[1]
PACKAGE = REPOSITORY / "toolkit" / "gigsums"
TESTS = REPOSITORY / "tests"
ROOMS = {"formulas": "*", "gig": "*", "sizing": "*", "practice": "marking"}
REST = {"formulas": (), "practice": ("test_typed.py", "test_verdicts.py")}
"""What is tried on mistakes that a module's own file misses, where that is not all the room."""
WORKERS = 2
WANTED = 95.0
NOT_THE_COPY = 97

OPERATORS = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
COMPARISONS = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.GtE),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
TWINS = [("least", "above"), ("most", "below")]  # keywords: whether the end belongs to the range
CALLS = [
    ("min", "max"),
    ("minimum", "maximum"),
    ("any", "all"),
    ("floor", "ceil"),
    ("sin", "cos"),
    ("sinh", "cosh"),
]


def both_ways(pairs: list[tuple[str, str]]) -> dict[str, str]:
    return dict(pairs) | {right: left for left, right in pairs}


@dataclass(frozen=True)
class Mutant:
    module: str
    line: int
    was: str
    now: str
    source: str


# making mutants


def mutants(module: str) -> list[Mutant]:
    """Every mutant of a module, in the order of its lines."""
    tree = parsed(module)
    made = []
    for node, statement in sites(tree):
        for change in at(node):
            was = ast.unparse(statement)
            undo = change()
            made.append(
                Mutant(module, node.lineno, *difference(was, ast.unparse(statement)), ast.unparse(tree))
            )
            undo()
    return sorted(made, key=lambda mutant: mutant.line)


def parsed(module: str) -> ast.Module:
    return ast.parse((PACKAGE / f"{module}.py").read_text(encoding="utf-8"))


def sites(node: ast.AST, statement: ast.AST | None = None) -> Iterator[tuple[ast.AST, ast.AST]]:
    """Nodes and the statements they stand in, without error text, annotations and the names of types."""
    if isinstance(node, ast.Raise | ast.JoinedStr) or is_type_alias(node):
        return
    if isinstance(node, ast.stmt):
        statement = node
    if statement is not None:
        yield node, statement
    for field, value in ast.iter_fields(node):
        if field not in ("annotation", "returns", "decorator_list"):
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    yield from sites(child, statement)


def is_type_alias(node: ast.AST) -> bool:
    """`Numbers = float | NDArray` and the like: an assignment of names alone."""
    return (
        isinstance(node, ast.Assign)
        and isinstance(node.value, ast.Subscript | ast.BinOp)
        and not any(isinstance(part, ast.Constant | ast.Call) for part in ast.walk(node.value))
        and all(isinstance(name, ast.Name) and name.id.istitle() for name in node.targets)
    )


Change = Callable[[], Callable[[], None]]


def setting(node: ast.AST, field: str, value: object) -> Change:
    """A change that sets a field of a node and hands back its own undoing."""

    def change() -> Callable[[], None]:
        old = getattr(node, field)
        setattr(node, field, value)
        return lambda: setattr(node, field, old)

    return change


def at(node: ast.AST) -> Iterator[Change]:
    test = getattr(node, "test", None)
    if isinstance(test, ast.Name | ast.Attribute | ast.Call):
        yield setting(node, "test", ast.UnaryOp(op=ast.Not(), operand=test))
    match node:
        case ast.Constant(value=bool() as value):
            yield setting(node, "value", not value)
        case ast.Constant(value=int() as value):
            yield setting(node, "value", value + 1)
        case ast.Constant(value=float() as value):
            yield setting(node, "value", value * 1.01 if value else 0.01)
        case ast.Constant(value=complex() as value):
            yield setting(node, "value", value * 1.01)
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in OPERATORS:
            yield setting(node, "op", OPERATORS[type(op)]())
        case ast.BoolOp(op=op, values=values):
            other = ast.Or() if isinstance(op, ast.And) else ast.And()
            for index in range(len(values) - 1):
                both = ast.BoolOp(op=other, values=values[index : index + 2])
                yield setting(node, "values", [*values[:index], both, *values[index + 2 :]])
        case ast.Expr(value=ast.Call()):
            yield setting(node, "value", ast.Constant(...))
        case ast.Compare(ops=ops):
            for index, op in enumerate(ops):
                for other in COMPARISONS[type(op)]:
                    yield setting(node, "ops", [*ops[:index], other(), *ops[index + 1 :]])
        case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert(), operand=operand):
            if isinstance(node.op, ast.USub):
                yield setting(node, "op", ast.UAdd())
            else:  # said twice is not said
                yield setting(node, "operand", ast.UnaryOp(op=node.op, operand=operand))
        case ast.keyword(arg=str() as name) if name in both_ways(TWINS):
            yield setting(node, "arg", both_ways(TWINS)[name])
        case ast.Attribute(attr=name) if name in both_ways(CALLS):
            yield setting(node, "attr", both_ways(CALLS)[name])
        case ast.Name(id=name) if name in both_ways(CALLS):
            yield setting(node, "id", both_ways(CALLS)[name])


def difference(was: str, now: str) -> tuple[str, str]:
    """The line that differs between two texts, cut to what stands around the difference."""
    old, new = next((a, b) for a, b in zip(was.splitlines(), now.splitlines(), strict=True) if a != b)
    at_ = next(i for i, (a, b) in enumerate(zip(old + "\n", new + "\n", strict=False)) if a != b)
    window = slice(max(0, at_ - 30), at_ + 30)
    return old[window].strip(), new[window].strip()


# running tests on them


def tests_of(module: str) -> list[list[Path]]:
    """The test file of a module, then what else is run on the mistakes that it misses."""
    room, _, name = module.partition("/")
    own = [path for path in [TESTS / room / f"test_{name.strip('_')}.py"] if path.exists()]
    rest = (
        [TESTS / room / each for each in REST[room]]
        if room in REST
        else sorted((TESTS / room).glob("test_*.py"))
    )
    return [batch for batch in (own, [path for path in rest if path not in own]) if batch]


def preload() -> None:
    """Import what package and tests import, the package itself excepted, so that each fork has it already."""
    sys.path.insert(0, str(TESTS))
    ours = {"gigsums", *(path.stem for path in TESTS.iterdir())}
    for path in [*PACKAGE.rglob("*.py"), *(each for room in ROOMS for each in (TESTS / room).glob("*.py"))]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += (
                [node.module] if isinstance(node, ast.ImportFrom) and node.module and not node.level else []
            )
            for name in names:
                if name.split(".")[0] not in ours:
                    with contextlib.suppress(ImportError):
                        importlib.import_module(name)
    if any(name.split(".")[0] == "gigsums" for name in sys.modules):
        raise SystemExit("a library imported gigsums before the copy was made; nothing can be measured")


def run(mutant: Mutant, batches: list[list[Path]], folder: str) -> None:
    """In a fork: put the mutant into a copy of the checkout and end with what pytest says of it."""
    import pytest

    output = os.open(os.devnull, os.O_WRONLY)
    os.dup2(output, 1)
    os.dup2(output, 2)
    for name in ("exercises", "notebooks", "pyproject.toml"):
        (Path(folder) / name).symlink_to(REPOSITORY / name)
    copy = Path(folder) / "toolkit" / "gigsums"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    target = copy / f"{mutant.module}.py"
    target.write_text(mutant.source, encoding="utf-8")
    sys.path.insert(0, str(copy.parent))
    os.chdir(REPOSITORY)
    code = 0
    for tests in batches:
        code = code or pytest.main(["-x", "-q", "-p", "no:cacheprovider", *map(str, tests)])
    loaded = sys.modules.get(f"gigsums.{mutant.module.replace('/', '.')}")
    if loaded is not None and Path(loaded.__file__ or "").resolve() != target.resolve():
        os._exit(NOT_THE_COPY)
    os._exit(int(code))


def outcomes(
    todo: list[Mutant], batches: list[list[Path]], limit_s: float, until: float = float("inf")
) -> Iterator[tuple[Mutant, int | None]]:
    """Each mutant begun before `until` with pytest's exit status, None where it ran into the limit."""
    fork = multiprocessing.get_context("fork")
    waiting, running = list(reversed(todo)), {}
    with tempfile.TemporaryDirectory(prefix="mutants-") as top:
        while running or (waiting and time.monotonic() < until):
            while waiting and len(running) < WORKERS and time.monotonic() < until:
                mutant, folder = waiting.pop(), tempfile.mkdtemp(dir=top)
                process = fork.Process(target=run, args=(mutant, batches, folder))
                process.start()
                running[process.sentinel] = (process, mutant, folder, time.monotonic())
            done = multiprocessing.connection.wait(list(running), timeout=1)
            for sentinel, (process, mutant, folder, begun) in list(running.items()):
                late = time.monotonic() - begun > limit_s
                if sentinel in done or late:
                    if sentinel not in done:
                        process.kill()
                    process.join()
                    del running[sentinel]
                    shutil.rmtree(folder, ignore_errors=True)
                    yield mutant, process.exitcode if sentinel in done else None


def measure(module: str, sample: int | None, until: float) -> float:
    batches = tests_of(module)
    if not batches:
        print(f"{module}: no tests", flush=True)
        return 0.0
    begun = time.monotonic()
    ((_, code),) = outcomes([Mutant(module, 0, "", "", ast.unparse(parsed(module)))], batches, 600)
    took = time.monotonic() - begun
    if code != 0:
        print(f"{module}: the tests fail before anything is changed (pytest says {code})", flush=True)
        return 0.0
    every = mutants(module)
    todo = random.Random(module).sample(every, min(len(every), sample or len(every)))
    survivors, late, tried = [], 0, 0
    for mutant, code in outcomes(todo, batches, max(60.0, 20 * took), until):
        if code is not None and code > 2:  # pytest says 1 for a failure, 2 where the mutant does not import
            raise SystemExit(
                f"{module}: the tests did not run as they should (status {code}); nothing was measured"
            )
        tried += 1
        late += code is None
        if code == 0:
            survivors.append(mutant)
    score = 100 * (tried - len(survivors)) / tried if tried else 100.0
    spent = time.monotonic() - begun
    print(
        f"{module}: {tried - len(survivors)} of {tried} caught, {score:.1f} % ({late} by time, {spent:.0f} s; "
        f"{len(every)} there are)"
    )
    for mutant in sorted(survivors, key=lambda mutant: mutant.line):
        print(f"  line {mutant.line}: {mutant.was}  ->  {mutant.now}")
    sys.stdout.flush()
    return score


def main() -> int:
    parser = argparse.ArgumentParser(description="Score the tests by the small mistakes they catch.")
    parser.add_argument(
        "module", nargs="*", help="such as gain or sizing/judge; all of them if none is named"
    )
    parser.add_argument(
        "--sample", type=int, metavar="N", help="at most so many mutants of each module, the same each time"
    )
    parser.add_argument(
        "--minutes", type=float, metavar="M", help="begin none after so many minutes, of all modules together"
    )
    asked = parser.parse_args()
    known = [
        f"{room}/{path.stem}"
        for room, pattern in ROOMS.items()
        for path in sorted((PACKAGE / room).glob(f"{pattern}.py"))
        if path.stem != "__init__"
    ]
    chosen = [name if "/" in name else f"formulas/{name}" for name in asked.module] or known
    if unknown := sorted(set(chosen) - set(known)):
        parser.error(f"no module {', '.join(unknown)}; there are {', '.join(known)}")
    until = time.monotonic() + 60 * asked.minutes if asked.minutes else float("inf")

    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    sys.dont_write_bytecode = True
    from hypothesis import HealthCheck, Phase, settings

    settings.register_profile(
        "mutate",
        max_examples=25,
        derandomize=True,
        deadline=None,
        database=None,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=list(HealthCheck),
    )
    settings.load_profile("mutate")
    preload()
    scores = [measure(module, asked.sample, until) for module in chosen]
    return 0 if min(scores) >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())
