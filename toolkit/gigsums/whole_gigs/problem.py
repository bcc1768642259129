"""Whole-gig problems: a gig and a desk that a tutor wrote down, asked, solved by the engine, and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile, Desk, Gig, read_desk, read_gig, read_policy
from gigsums.gig.files import read_table
from gigsums.practice.safety import SafetyQuestion

from . import forms
from .files import Files, about_in, gathered
from .key import Key, as_answers, solve
from .key_sheet import solved
from .marking import WholeMarking, mark_whole
from .rules import Marks, marks_for, safety_for
from .sheet import Block, Choice, OpenGig, asks_of


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
    files : Files
        The texts that it was made of.

    Examples
    --------
    >>> from gigsums import mark_whole, whole_gig
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
    safety: tuple[SafetyQuestion, ...]
    files: Files

    @cached_property
    def open(self) -> OpenGig:
        """The problem as whoever answers may have it, with nothing of what is right."""
        safety = tuple(Choice(one.key, one.asks, one.choices) for one in self.safety)
        return OpenGig(
            self.name, self.title, self.about, self.minutes, self.gig, self.desk, self.at_hand, self.marks, safety,
            asks_of(self.solution),
        )  # fmt: skip

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
        return self.open.blocks()

    def key_blocks(self) -> tuple[Block, ...]:
        """The key as plain blocks, for whatever prints them.

        Returns
        -------
        tuple of Block
        """
        return tuple(solved(self))

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
        return forms.blank(self.open)

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
    return made_of(gathered(source))


def made_of(files: Files) -> WholeGig:
    """Make a whole-gig problem of the texts of its files; no file is read but for settings that they do not know.

    Parameters
    ----------
    files : Files
        The texts.

    Returns
    -------
    WholeGig

    Raises
    ------
    BadFile
        If a text cannot be used; the message says which, where, what stood there and what is allowed.
    """
    about, own = about_in(files.problem)
    file = files.problem.name
    policy = read_policy(files.policy.text, files.policy.name)
    gig = read_gig(files.gig.text, files.gig.name, policy)
    desk, *others = (read_desk(each.text, each.name) for each in (files.desk, *files.at_hand))
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
        at_hand=tuple(others),
        marks=marks_for(file, own, files.marking),
        safety=safety_for(file, gig, about.safety, files.safety),
        files=files,
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
        return read_table(source, "problems")[1].kind() == "problem"
    except BadFile:
        return False
