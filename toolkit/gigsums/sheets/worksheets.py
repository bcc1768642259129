"""What stands on a worksheet and on its key, as plain values, and the two documents made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from .press import Printed, printed

Runs = tuple[tuple[str, bool], ...]
"""Pieces of a paragraph, each with whether it is set in bold."""

LONGEST_MARK = 40
SHEET, KEY = "Worksheet", "Key, not for trainees"

_LINE = 75
"""Characters that surely fit on a line of a question, of 105 or so that mostly do."""
_SLIP_LINES = (14, 20, 42)
"""The same for the three columns of slips."""
_PAGE = 36
"""Lines that surely fit on a page, of 45 or so."""


@dataclass(frozen=True)
class Box:
    """Something to fill in: a box with what it is for before it and its unit behind it, or words to tick one of."""

    label: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Grid:
    """A table with a title above; an empty cell is one to write in.

    Attributes
    ----------
    columns : tuple of str
        The heads.
    rows : tuple of tuple of str
        The cells, as many in each row as there are columns.
    title : str, optional
        What it is.
    widths : tuple of int, optional
        How wide each column is beside the others; all alike if left out.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    widths: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        odd = [n for n, row in enumerate(self.rows, start=1) if len(row) != len(self.columns)]
        if odd:
            raise ValueError(
                f"row {odd[0]} of the table does not have {len(self.columns)} cells as its head has"
            )
        if self.widths and len(self.widths) != len(self.columns):
            raise ValueError(f"widths are {self.widths}; {len(self.columns)} are wanted, one for each column")


@dataclass(frozen=True)
class Asked:
    """One question on paper: what to read, what is asked, what to write and where.

    Attributes
    ----------
    scene, facts, question : str, tuple of str, str
        What is read: where and what, the facts one by one, what is asked.
    write : str
        What to write, and in which unit.
    boxes : tuple of Box
        Where to write it.
    lead : tuple of Runs
        Paragraphs before the scene.
    grids : tuple of Grid
        Tables after the facts, to read or to fill in.
    caution : str
        Where the real thing can hurt.
    lines : int
        Ruled lines for the workings; none with 0.
    """

    scene: str
    question: str
    write: str = ""
    facts: tuple[str, ...] = ()
    boxes: tuple[Box, ...] = ()
    lead: tuple[Runs, ...] = ()
    grids: tuple[Grid, ...] = ()
    caution: str = ""
    lines: int = 3


@dataclass(frozen=True)
class Solved:
    """One answer in the key: the value, the way, and what known mistakes come to.

    Attributes
    ----------
    answer : str
        What is right.
    within : str
        How far off is still right.
    asked : str
        The question in short, so that the key can be read alone.
    which : str
        Which problem it is: topic, level and seed.
    workings : tuple of str
        The way, line by line.
    grids : tuple of Grid
        A filled table that is right.
    accepted, slips : tuple of tuple of str
        What is right with a note and what is a named mistake: the value, the name, what to say.
    """

    answer: str
    within: str = ""
    asked: str = ""
    which: str = ""
    workings: tuple[str, ...] = ()
    grids: tuple[Grid, ...] = ()
    accepted: tuple[tuple[str, str, str], ...] = ()
    slips: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class Section:
    """A piece of a longer sheet.

    Attributes
    ----------
    title, text : str
        The heading, and what is said under it.
    lines : tuple of str
        Facts one by one.
    grids : tuple of Grid
        Tables, to read or to fill in.
    choices : tuple of str
        Words to tick one of.
    answer : str
        In a key, what is right.
    """

    title: str
    text: str = ""
    lines: tuple[str, ...] = ()
    grids: tuple[Grid, ...] = ()
    choices: tuple[str, ...] = ()
    answer: str = ""


def print_asked(
    title: str,
    asked: Sequence[Asked],
    *,
    about: Sequence[Runs] = (),
    minutes: int | None = None,
    variant: str = "",
    who: str = "",
    paper: str = "a4",
) -> Printed:
    """Print a worksheet to write on.

    Parameters
    ----------
    title : str
        Its title.
    asked : sequence of Asked
        The questions in order.
    about : sequence of Runs, optional
        Paragraphs before the first question.
    minutes : int, optional
        How long it takes.
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
        If there is no question, the paper is another, or `variant` or `who` is too long for a line.
    """
    data = _headed(title, asked, variant, who)
    data |= {"about": [_paragraph(each) for each in about], "minutes": minutes or 0}
    return printed("worksheet", data, paper)


def print_solved(
    title: str, solved: Sequence[Solved], *, variant: str = "", who: str = "", paper: str = "a4"
) -> Printed:
    """Print the key of a worksheet, for whoever teaches.

    Parameters
    ----------
    title : str
        Title of the worksheet.
    solved : sequence of Solved
        The answers in order.
    variant, who : str, optional
        Which sheet this is the key of, and whose it is.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_asked`.
    """
    return printed("key", _headed(title, solved, variant, who), paper)


def print_sections(
    title: str,
    sections: Sequence[Section],
    *,
    key: bool = False,
    variant: str = "",
    who: str = "",
    paper: str = "a4",
) -> Printed:
    """Print a sheet of sections, or its key.

    Parameters
    ----------
    title : str
        Title of the sheet.
    sections : sequence of Section
        What stands on it, in order.
    key : bool, optional
        Whether this is the key: it is marked as one, and has no line for a name.
    variant, who, paper : str, optional
        As for `print_asked`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If there is no section, the paper is another, or `variant` or `who` is too long for a line.
    """
    if not sections:
        raise ValueError("there is no section; one or more are wanted")
    data = _marks(f"Key: {title}" if key else title, variant, who)
    data |= {"kind": KEY if key else SHEET, "name-line": not key}
    data |= {"sections": [asdict(each) | {"tall": _section_lines(each) > _PAGE / 2} for each in sections]}
    return printed("sections", data, paper)


def _headed(title: str, items: Sequence[Asked] | Sequence[Solved], variant: str, who: str) -> dict[str, Any]:
    if not items:
        raise ValueError("there is no question; one or more are wanted")
    questions = [asdict(each) | {"tall": _lines(each) > _PAGE} for each in items]
    for each in questions:
        each["lead"] = [_paragraph(paragraph) for paragraph in each.get("lead", ())]
    return _marks(title, variant, who) | {"questions": questions}


def _marks(title: str, variant: str, who: str) -> dict[str, Any]:
    for name, text in (("variant", variant), ("who", who)):
        if len(text) > LONGEST_MARK:
            raise ValueError(f"{name} has {len(text)} characters; it may have {LONGEST_MARK}")
    return {"title": title, "variant": variant, "who": who}


def _lines(item: Asked | Solved) -> float:
    """How many lines a question takes at most: a guess on the safe side, for what is measured takes twice as long."""
    tables = sum(_grid_lines(grid) for grid in item.grids)
    if isinstance(item, Asked):
        words = [*item.facts, item.scene, item.question + item.write, item.caution]
        words += ["".join(text for text, _ in runs) for runs in item.lead]
        boxes = sum(
            3 + _folded("".join((*box.choices, box.label, box.unit)), _LINE / 2) for box in item.boxes
        )
        return tables + boxes + 1.5 * item.lines + 3 + sum(_folded(text, _LINE) for text in words)
    rows = [*item.accepted, *item.slips]
    slips = sum(1 + max(map(_folded, row, _SLIP_LINES)) for row in rows)
    words = [item.which, item.asked, item.answer + item.within, *item.workings]
    return tables + slips + 6 + sum(_folded(text, _LINE) for text in words)


def _section_lines(section: Section) -> float:
    words = (section.text, section.answer, *section.lines, *section.choices)
    return 3 + sum(_folded(text, _LINE) for text in words) + sum(_grid_lines(grid) for grid in section.grids)


def _grid_lines(grid: Grid) -> float:
    widths = grid.widths or (1,) * len(grid.columns)
    room = [0.8 * _LINE * width / sum(widths) for width in widths]
    return 2 + sum(1 + max(map(_folded, row, room)) for row in (grid.columns, *grid.rows))


def _folded(text: str, room: float) -> int:
    return 1 + text.count("\n") + int(len(text) / room)


def _paragraph(runs: Runs) -> list[dict[str, Any]]:
    return [{"text": text, "bold": bold} for text, bold in runs]
