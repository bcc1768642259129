"""Whole-gig problems: a gig and a desk that a tutor wrote down, asked, solved by the engine, and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar, Literal

from gigsums.gig import BadFile, Desk, Gig, bundled, load_desk, load_gig
from gigsums.gig.files import build, read_table
from gigsums.gig.model import FORBID, AtLeastOne, Text, Words

from . import forms, sheet
from .key import Key, as_answers, solve
from .marking import WholeMarking, mark_whole
from .rules import Marks, SafetyQuestion, marks_for, safety_for
from .sheet import Block


@dataclass(frozen=True)
class _About:
    __pydantic_config__: ClassVar = FORBID
    title: Text
    gig: Text
    desk: Text
    at_hand: tuple[Text, ...] = ()
    about: Words = ""
    level: Literal[1, 2, 3] = 1
    minutes: AtLeastOne | None = None
    safety: tuple[Text, ...] | None = None


@dataclass(frozen=True)
class _Source:
    __pydantic_config__: ClassVar = FORBID
    problem: _About
    format: int = 1


@dataclass(frozen=True, repr=False)
class WholeGig:
    """A gig to size on a desk, from the counts to the input list.

    Attributes
    ----------
    name : str
        The problem file's name without its ending.
    title, about : str
        What it is called, and what is said before it.
    level : int
        How hard it is, 1 to 3.
    minutes : int or None
        How long it takes.
    gig, desk : Gig, Desk
        What is to be sized, and on what.
    at_hand : tuple of Desk
        Other desks that could be taken instead.
    marks : Marks
        What each section is worth.
    safety : tuple of SafetyQuestion
        What is asked about safe working.

    Examples
    --------
    >>> from gigsums.practice import mark_whole, whole_gig
    >>> job = whole_gig("lantern_night")
    >>> mark_whole(job, job.key_answers()).total
    100.0
    """

    name: str
    title: str
    about: str
    level: int
    minutes: int | None
    gig: Gig
    desk: Desk
    at_hand: tuple[Desk, ...]
    marks: Marks
    safety: tuple[SafetyQuestion, ...] = field(default=())

    @cached_property
    def solution(self) -> Key:
        """What is right, worked out by the engine when it is first asked for."""
        return solve(self.gig, self.desk, self.at_hand)

    def blocks(self) -> tuple[Block, ...]:
        """The problem as plain blocks: headings, lines and tables to fill in, for whatever prints them.

        Returns
        -------
        tuple of Block
        """
        return tuple(sheet.asked(self))

    def key_blocks(self) -> tuple[Block, ...]:
        """The key as plain blocks, for whatever prints them.

        Returns
        -------
        tuple of Block
        """
        return tuple(sheet.solved(self))

    def text(self) -> str:
        """The problem as plain text to work from.

        Returns
        -------
        str
        """
        return forms.as_text(self.title, self.blocks())

    def key(self) -> str:
        """The key with its workings, as plain text.

        Returns
        -------
        str
        """
        return forms.as_text(f"{self.title}: key", self.key_blocks())

    def blank(self) -> str:
        """An answer file to fill in: TOML with notes.

        Returns
        -------
        str
        """
        return forms.blank(self)

    def key_answers(self) -> dict[str, Any]:
        """The key as an answer file's table: what earns full marks.

        Returns
        -------
        dict
        """
        return as_answers(self.solution, self.gig, {one.key: one.right[0] for one in self.safety})

    def check(self, answers: Mapping[str, Any] | str | Path) -> WholeMarking:
        """Mark an answer.

        Parameters
        ----------
        answers : mapping, str or Path
            The answer file, or its table.

        Returns
        -------
        WholeMarking

        Raises
        ------
        BadFile
            If the file as a whole cannot be read.
        """
        return mark_whole(self, answers)

    def notebook(self) -> dict[str, Any]:
        """The problem as a notebook to answer in, with what its cells put out.

        Returns
        -------
        dict
            A notebook in format 4.5.
        """
        return forms.notebook(self)

    def __repr__(self) -> str:
        return f"WholeGig({self.name!r}: {self.gig.name} on {self.desk.name})"

    def _repr_markdown_(self) -> str:
        return forms.as_markdown_text(self.title, self.blocks())


def whole_gig(source: str | Path) -> WholeGig:
    """Read a whole-gig problem.

    Parameters
    ----------
    source : str or Path
        The problem's file, or the name of one that comes with the workbook. The gig and the desks that it names
        are bundled ones, or files beside it.

    Returns
    -------
    WholeGig

    Raises
    ------
    BadFile
        If a file cannot be used; the message says which, where, what stood there and what is allowed.
    """
    file, table = read_table(source, "problems")
    own = table.pop("marks", {})
    about = build(file, table, _Source).problem
    folder = Path(source).parent if Path(source).suffix else None
    gig = load_gig(_beside(folder, about.gig, "gigs"))
    desk = load_desk(_beside(folder, about.desk, "desks"))
    others = tuple(load_desk(_beside(folder, name, "desks")) for name in about.at_hand)
    named = [one.name for one in (desk, *others)]
    if len(set(named)) != len(named):
        raise BadFile(file, "problem.at_hand", "two of the desks have the same name.", "Give each its own.")
    if not gig.sources:
        raise BadFile(file, "problem.gig", f"{gig.name} has nothing to be heard.", "Give it sources.")
    return WholeGig(
        name=Path(file).stem,
        title=about.title,
        about=about.about.strip(),
        level=about.level,
        minutes=about.minutes,
        gig=gig,
        desk=desk,
        at_hand=others,
        marks=marks_for(file, own),
        safety=safety_for(file, gig, about.safety),
    )


def is_whole_gig(source: str | Path) -> bool:
    """Whether a file is a whole-gig problem, so that whoever is given a file knows what to do with it.

    Parameters
    ----------
    source : str or Path
        A TOML file, or the name of a problem that comes with the workbook.

    Returns
    -------
    bool
        False as well where the file cannot be read.
    """
    try:
        return "problem" in read_table(source, "problems")[1]
    except BadFile:
        return False


def _beside(folder: Path | None, name: str, kind: str) -> str | Path:
    """A bundled one by its plain name; else the file of that name in the problem's folder; else the name as it stands."""
    if folder is not None and name not in bundled(kind):
        for path in (folder / name, folder / f"{name}.toml"):
            if path.is_file():
                return path
    return name
