"""Worksheets: a short source in TOML, and from it a notebook to answer in, a sheet to write on, and the key apart."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import sub
from pathlib import Path
from typing import Any, ClassVar, Literal

from gigsums.gig import bundled, write_whole
from gigsums.gig.files import BadFile, build, read_table
from gigsums.gig.model import FORBID, AtLeastOne, Text, Words
from gigsums.quantities import convert
from gigsums.sheets import Asked, Box, Printed, Solved, print_asked, print_solved
from gigsums.sheets.worksheets import Runs

from .problems import Part, Problem, RightAnswer
from .questions import Question
from .sums import published_problem
from .topic import TOPICS, problem
from .wording import in_words, sentence

LONGEST = 100


@dataclass(frozen=True)
class SheetQuestion:
    """One question as the source names it: a topic with its seed, or a published value by its name."""

    __pydantic_config__: ClassVar = FORBID
    topic: Text | None = None
    seed: Any = None
    published: Text | None = None
    level: Literal[1, 2, 3] | None = None
    lead: Words = ""

    @property
    def call(self) -> str:
        """What a notebook's cell calls for it."""
        if self.published:
            return f"published({_quoted(self.published)})"
        level = f", level={self.level}" if self.level else ""
        return f"question({_quoted(self.topic or '')}, seed={_quoted(self.seed)}{level})"

    def drawn(self, file: str, key: str) -> Problem:
        """Its problem; BadFile names the key where there is none."""
        missing = [part for part in ("topic", "seed") if getattr(self, part) is None]
        if self.published and (len(missing) < 2 or self.level):
            raise BadFile(file, key, "a published value has no topic, seed or level.", "Leave those out.")
        if missing and not self.published:
            said = f"{key}.{missing[0]}", "it is missing."
            raise BadFile(file, *said, "Name a topic and a seed, or a published value.")
        try:
            if self.published:
                return published_problem(self.published)
            return problem(self.topic or "", self.seed, self.level)
        except ValueError as error:
            raise BadFile(file, key, f"{error}.") from None


@dataclass(frozen=True)
class SheetFile:
    """A worksheet's file: title, minutes, an opening in Markdown, and the questions.

    `on_screen` and `closing` speak of cells and of running them: they stand in the notebook only.
    """

    __pydantic_config__: ClassVar = FORBID
    title: Text
    about: Words
    question: tuple[SheetQuestion, ...] = ()
    minutes: AtLeastOne | None = None
    on_screen: Words = ""
    closing: Words = ""
    format: int = 1


@dataclass(frozen=True)
class Worksheet:
    """A set of problems with the words between them.

    Attributes
    ----------
    source : SheetFile
        What the file says.
    problems : tuple of Problem
        One for each question, in order.
    """

    source: SheetFile
    problems: tuple[Problem, ...] = field(repr=False)

    def text(self) -> str:
        """The worksheet as plain text."""
        asked = (f"{n}. {each.text()}" for n, each in enumerate(self.problems, start=1))
        return "\n\n".join([self.source.title, *asked]) + "\n"

    def key(self) -> str:
        """The answers with their workings, as plain text."""
        solved = (
            "\n".join([f"{n}. {each.answer}", *(f"   {line}" for line in each.workings)])
            for n, each in enumerate(self.problems, start=1)
        )
        return "\n\n".join([f"{self.source.title}: key", *solved]) + "\n"

    def notebook(self, answers: tuple[str, ...] = ()) -> dict[str, Any]:
        """The worksheet as a notebook, with what its cells put out when they are run.

        Parameters
        ----------
        answers : tuple of str, optional
            What stands in the answer cells; nothing if left out.

        Returns
        -------
        dict
            A notebook in format 4.5.
        """
        source = self.source
        takes = f"*About {source.minutes} minutes.*" if source.minutes else ""
        words = (f"# {source.title}", takes, source.about.strip(), source.on_screen.strip())
        opening = "\n\n".join(filter(None, words))
        calls = sorted({ask.call.partition("(")[0] for ask in source.question})
        cells = [
            prose("opening", opening),
            code("start", f"from gigsums import {', '.join(calls)}"),
        ]
        for n, (ask, asked) in enumerate(zip(source.question, self.problems, strict=True), start=1):
            given = answers[n - 1] if answers else ""
            live = Question(asked)
            cells += [
                prose(f"lead-{n}", "\n\n".join(filter(None, (f"## Question {n}", ask.lead.strip())))),
                code(
                    f"question-{n}",
                    f"q{n} = {ask.call}\nq{n}",
                    live,
                ),
                code(f"answer-{n}", f"q{n}.check({_quoted(given)})", live.check(given)),
            ]
        if source.closing.strip():
            cells.append(prose("closing", source.closing.strip()))
        for ran, cell in enumerate((cell for cell in cells if cell["cell_type"] == "code"), start=1):
            for each in (cell, *cell["outputs"]):
                each["execution_count"] = ran
        return as_notebook(*cells)


def worksheet(source: str | Path) -> Worksheet:
    """Read a worksheet's source and draw its problems.

    Parameters
    ----------
    source : str or Path
        A TOML file, or the name of a worksheet that comes with the workbook.

    Returns
    -------
    Worksheet

    Raises
    ------
    BadFile
        If the file cannot be used; the message says where, what stood there and what is allowed.
    """
    file, table = read_table(source, "worksheets")
    read = build(file, table, SheetFile)
    if not 0 < len(read.question) <= LONGEST:
        raise BadFile(file, "question", f"{len(read.question)} stand there; 1 to {LONGEST} are allowed.")
    problems = (ask.drawn(file, f"question.number {n}") for n, ask in enumerate(read.question, start=1))
    return Worksheet(read, tuple(problems))


def write_notebook(source: str | Path, replace: bool = False) -> Path:
    """Write a worksheet's notebook beside its source.

    Parameters
    ----------
    source : str or Path
        The worksheet's TOML file.
    replace : bool, optional
        Whether a notebook that is there already may be replaced.

    Returns
    -------
    Path
        The notebook.

    Raises
    ------
    BadFile
        As for `worksheet`.
    FileExistsError
        If the notebook is there and may not be replaced: somebody's answers may be in it.
    """
    path = Path(source).with_suffix(".ipynb")
    text = as_file(worksheet(source).notebook())
    if path.exists() and not replace:
        raise FileExistsError(f"{path.name} is there already, perhaps with answers in it; pass replace=True")
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(text, encoding="utf-8", newline="\n")
    os.replace(fresh, path)
    return path


def as_file(notebook: dict[str, Any]) -> str:
    """A notebook as the text of its file."""
    return json.dumps(notebook, ensure_ascii=False, indent=1) + "\n"


def _quoted(text: str | int) -> str:
    return json.dumps(text, ensure_ascii=False)


def as_notebook(*cells: dict[str, Any]) -> dict[str, Any]:
    """Cells as a notebook in format 4.5 that wants the plain kernel."""
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
    return {"cells": list(cells), "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}


def prose(name: str, text: str) -> dict[str, Any]:
    """A cell to read."""
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": _lines(text)}


def code(name: str, text: str, shown: Any = None) -> dict[str, Any]:
    """A cell to run, with what it puts out where that is known."""
    outputs = []
    if shown is not None:
        data = {"text/markdown": _lines(shown._repr_markdown_()), "text/plain": _lines(repr(shown))}
        outputs = [{"output_type": "execute_result", "execution_count": None, "data": data, "metadata": {}}]
    return {
        "cell_type": "code",
        "execution_count": None,
        "id": name,
        "metadata": {},
        "outputs": outputs,
        "source": _lines(text),
    }


def _lines(text: str) -> list[str]:
    return text.splitlines(keepends=True)


_TYPED = re.compile(r"(?<=, )type\b")
_PIECES = re.compile(r"\*\*(?P<bold>.+?)\*\*|\*(?P<leaning>[^*\s][^*]*)\*|`(?P<code>[^`]+)`")


def print_worksheet(sheet: Worksheet, *, variant: str = "", who: str = "", paper: str = "a4") -> Printed:
    """Print a worksheet to write on.

    Parameters
    ----------
    sheet : Worksheet
        What `worksheet` read.
    variant : str, optional
        Which of several sheets this is; it stands on every page.
    who : str, optional
        Who it is for, best a pseudonym; a line to write on if left out.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If the paper is another, or `variant` or `who` is too long for a line.
    """
    source = sheet.source
    asked = [
        replace(on_paper(each), lead=paragraphs(ask.lead))
        for ask, each in zip(source.question, sheet.problems, strict=True)
    ]
    return print_asked(
        source.title,
        asked,
        about=paragraphs(source.about),
        minutes=source.minutes,
        variant=variant,
        who=who,
        paper=paper,
    )


def print_key(sheet: Worksheet, *, variant: str = "", paper: str = "a4") -> Printed:
    """Print the key of a worksheet: answers, workings, and the value that each slip leads to.

    Parameters
    ----------
    sheet : Worksheet
        What `worksheet` read.
    variant : str, optional
        Which of several sheets this is the key of.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_worksheet`.
    """
    return print_key_of(sheet.source.title, sheet.problems, variant=variant, paper=paper)


def print_problems(
    title: str,
    problems: Sequence[Problem | Asked],
    *,
    about: str = "",
    minutes: int | None = None,
    variant: str = "",
    who: str = "",
    paper: str = "a4",
) -> Printed:
    """Print problems as a worksheet to write on.

    Parameters
    ----------
    title : str
        Title of the sheet.
    problems : sequence of Problem or Asked
        What is asked, in order; what stands on paper in words of its own comes as `Asked`.
    about : str, optional
        Paragraphs before the first question, empty lines between them.
    minutes : int, optional
        How long it takes.
    variant, who, paper : str, optional
        As for `print_worksheet`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If there is no problem, and as for `print_worksheet`.
    """
    return print_asked(
        title,
        [each if isinstance(each, Asked) else on_paper(each) for each in problems],
        about=paragraphs(about),
        minutes=minutes,
        variant=variant,
        who=who,
        paper=paper,
    )


def print_key_of(title: str, problems: Sequence[Problem], *, variant: str = "", paper: str = "a4") -> Printed:
    """Print the key of some problems.

    Parameters
    ----------
    title : str
        Title of the sheet.
    problems : sequence of Problem
        What is asked, in order.
    variant, paper : str, optional
        As for `print_key`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_problems`.
    """
    return print_solved(title, [in_key(each) for each in problems], variant=variant, paper=paper)


def on_paper(problem: Problem) -> Asked:
    """A problem as it stands on paper."""
    return Asked(
        scene=problem.scene,
        facts=problem.facts,
        question=_TYPED.sub("write", problem.question),
        write=to_write(problem.answer),
        boxes=tuple(_box(part) for part in problem.answer.parts),
        caution=problem.caution,
    )


def in_key(problem: Problem) -> Solved:
    """A problem as it stands in the key."""
    show = problem.answer.show
    return Solved(
        answer=show(),
        within=_within(problem.answer),
        asked=_TYPED.sub("write", problem.question),
        which=f"{sentence(problem.topic)}, level {problem.level}, seed {problem.seed}",
        workings=problem.workings,
        accepted=tuple((show(each.values), sentence(each.name), each.text) for each in problem.notes),
        slips=tuple((show(each.values), each.name, each.hint) for each in problem.slips),
    )


def to_write(answer: RightAnswer) -> str:
    """What to write for an answer: words to tick, numbers for boxes, and in which unit."""
    ticked = any(part.choices for part in answer.parts)
    numbers = [part for part in answer.parts if not part.choices]
    steps = ["tick one"] if ticked else []
    if numbers:
        steps.append(_numbers(numbers))
    return f"{sentence(' and '.join(steps))}."


def _numbers(parts: list[Part]) -> str:
    whole = all(part.kind is None for part in parts)
    if len(parts) > 1:
        many = f"{in_words(len(parts))} {'whole numbers' if whole else 'numbers'}, one in each box"
        return f"write {many}" if whole else f"write {many}, in the unit beside it"
    if whole:
        return "write a whole number"
    return f"write a number in {_unit(parts[0])}" if parts[0].typed_in else "write a number"


def _unit(part: Part) -> str:
    return "degrees" if part.typed_in == "°" else part.typed_in


def _within(answer: RightAnswer) -> str:
    """How far off is still right, in words; nothing where it has to be exact."""
    said = [_part_within(part) for part in answer.parts if part.kind and part.tolerance]
    return "; ".join(dict.fromkeys(said))


def _part_within(part: Part) -> str:
    assert not isinstance(part.value, str)
    if part.share and part.tolerance > part.absolute:
        return f"within {100 * part.tolerance / abs(part.value):.2g} %"
    assert part.kind
    near = (
        convert(value, part.kind, part.given_in or None) for value in (part.value, part.value + part.absolute)
    )
    return f"within {-sub(*near):.3g} {part.typed_in}".rstrip()


def _box(part: Part) -> Box:
    if part.choices:
        return Box(choices=part.choices)
    if part.kind is None:
        return Box(label=sentence(part.name))
    return Box(label=sentence(part.name), unit=part.typed_in)


def paragraphs(text: str) -> tuple[Runs, ...]:
    """Paragraphs of simple Markdown: what is emphasised in any way is bold, the rest stands as it is."""
    return tuple(tuple(_runs(" ".join(each.split()))) for each in re.split(r"\n\s*\n", text) if each.strip())


def _runs(text: str) -> list[tuple[str, bool]]:
    runs, at = [], 0
    for piece in _PIECES.finditer(text):
        runs.append((text[at : piece.start()], False))
        runs.append((piece["bold"] or piece["leaning"] or piece["code"], not piece["code"]))
        at = piece.end()
    return [(run, bold) for run, bold in (*runs, (text[at:], False)) if run]


_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Thirty-two that are not mistaken for each other when they are read aloud."""
_LENGTH = 5


@dataclass(frozen=True)
class Forms:
    """The files written, and the characters that the printed ones lack."""

    files: tuple[Path, ...]
    missing: tuple[str, ...] = ()


def write_forms(
    source: str | Path, folder: Path | None = None, *, paper: str = "a4", replace: bool = False
) -> Forms:
    """Write the notebook, the printed sheet and the key of a worksheet.

    Parameters
    ----------
    source : str or Path
        Its TOML file, or the name of one that comes with the workbook.
    folder : Path, optional
        Where to; beside the file, or the working folder for a name.
    paper : str, optional
        "a4" or "us-letter".
    replace : bool, optional
        Whether files that are there may be replaced.

    Returns
    -------
    Forms

    Raises
    ------
    BadFile
        If the source cannot be used, or a file is there already or cannot be written: then none is written.
    """
    sheet = worksheet(source)
    variant = variant_of(sheet.problems)
    page = print_worksheet(sheet, variant=variant, paper=paper)
    key = print_key(sheet, variant=variant, paper=paper)
    name = Path(source).stem
    made: dict[str, str | bytes] = {
        f"{name}.ipynb": as_file(sheet.notebook()),
        f"{name}.pdf": page.pdf,
        f"{name}_key.pdf": key.pdf,
    }
    files = write_together(made, beside(source) if folder is None else folder, replace=replace)
    return Forms(files, tuple(dict.fromkeys((*page.missing, *key.missing))))


def beside(source: str | Path) -> Path:
    """Where the files of a source go: beside its file, or the working folder for the name of a bundled one."""
    path = Path(source)
    return path.parent if path.suffix == ".toml" else Path()


def write_together(made: Mapping[str, str | bytes], to: Path, *, replace: bool) -> tuple[Path, ...]:
    """Write files into a folder, all of them or none; `BadFile` if one is there already or cannot be written."""
    files = {to / name: content for name, content in made.items()}
    there = [file.name for file in files if file.exists()]
    if there and not replace:
        raise BadFile(
            str(to), "", f"{' and '.join(there)} there already, perhaps with answers; nothing was written.",
            "Choose another folder with --to, or add --replace.",
        )  # fmt: skip
    try:
        to.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(
            str(to), "", f"it cannot be made a folder ({error.strerror}).", "Choose another with --to."
        ) from None
    for file, content in files.items():
        write_whole(file, content, replace=replace)
    return tuple(files)


def is_worksheet(what: str) -> bool:
    """Whether these words name a worksheet or a whole-gig problem: a file, or one that comes with the workbook."""
    if what.endswith(".toml"):
        return True
    return what not in TOPICS and any(what in bundled(kind) for kind in ("worksheets", "problems"))


def variant_of(problems: Sequence[Problem]) -> str:
    """A short mark for these very problems, so that a sheet and its key find each other."""
    return mark_of("\n".join(problem.id for problem in problems))


def mark_of(text: str) -> str:
    """A short mark for a text: five letters and figures."""
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
    bits = int.from_bytes(digest[:4], "big")
    return "".join(_LETTERS[bits >> 5 * n & 31] for n in range(_LENGTH))
