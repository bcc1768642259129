"""Whole-gig problems: a gig and a desk that a tutor wrote down, asked, solved by the engine, and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile, Desk, Gig, read_desk, read_gig, read_policy, write_whole
from gigsums.gig.files import read_table
from gigsums.practice.safety import SafetyQuestion
from gigsums.practice.worksheets import Forms, as_file, beside, mark_of, write_together

from . import sheet
from .answers import Given, read_answers
from .files import Files, Marks, about_in, gathered, marks_for, safety_for
from .key import Key, as_answers, solve
from .marking import WholeMarking, marked


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
    def open(self) -> sheet.OpenGig:
        """The problem as whoever answers may have it, with nothing of what is right."""
        safety = tuple(sheet.OpenQuestion(one.key, one.asks, one.choices) for one in self.safety)
        return sheet.OpenGig(
            self.name, self.title, self.about, self.minutes, self.gig, self.desk, self.at_hand, self.marks, safety,
            *sheet.asked_of(self.solution),
        )  # fmt: skip

    @cached_property
    def solution(self) -> Key:
        """What is right, worked out by the engine when it is first asked for."""
        return solve(self.gig, self.desk, self.at_hand)

    def blocks(self) -> tuple[sheet.Block, ...]:
        """The problem as plain blocks: headings, lines and tables to fill in, for whatever prints them.

        Returns
        -------
        tuple of Block
        """
        return self.open.blocks()

    def key_blocks(self) -> tuple[sheet.Block, ...]:
        """The key as plain blocks, for whatever prints them.

        Returns
        -------
        tuple of Block
        """
        return tuple(sheet.solved(self.solution, self.safety))

    def text(self) -> str:
        """The problem as plain text to work from.

        Returns
        -------
        str
        """
        return sheet.as_text(self.title, self.blocks())

    def key(self) -> str:
        """The key with its workings, as plain text.

        Returns
        -------
        str
        """
        return sheet.as_text(f"{self.title}: key", self.key_blocks())

    def blank(self) -> str:
        """An answer file to fill in: TOML with notes.

        Returns
        -------
        str
        """
        return sheet.blank(self.open)

    def key_answers(self) -> dict[str, Any]:
        """The key as an answer file's table: what earns full marks.

        Returns
        -------
        dict
        """
        return as_answers(self.solution, {one.key: one.right[0] for one in self.safety})

    def check(self, answers: Mapping[str, Any] | str | Path) -> WholeMarking:
        """Mark an answer; the same as `mark_whole`."""
        return mark_whole(self, answers)

    def notebook(self) -> dict[str, Any]:
        """The problem as a notebook to answer in; its cells have not been run.

        Returns
        -------
        dict
            A notebook in format 4.5.
        """
        return sheet.notebook(self.open)

    def __repr__(self) -> str:
        return f"WholeGig({self.name!r}: {self.gig.name} on {self.desk.name})"

    def _repr_markdown_(self) -> str:
        return sheet.as_markdown_text(self.title, self.blocks())


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
    gig = read_gig(files.gig.text, files.gig.name, read_policy(files.policy.text, files.policy.name))
    desk, *others = (read_desk(each.text, each.name) for each in (files.desk, *files.at_hand))
    if len({one.name for one in (desk, *others)}) <= len(others):
        raise BadFile(file, "problem.at_hand", "two of the desks have the same name.", "Give each its own.")
    if not gig.sources:
        raise BadFile(file, "problem.gig", f"{gig.name} has nothing to be heard.", "Give it sources.")
    return WholeGig(
        Path(file).stem, about.title, about.about.strip(), about.level, about.minutes, gig, desk, tuple(others),
        marks_for(file, own, files.marking), safety_for(file, gig, about.safety, files.safety), files,
    )  # fmt: skip


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


def mark_whole(problem: WholeGig, answers: Mapping[str, Any] | str | Path) -> WholeMarking:
    """Mark the answer to a whole-gig problem.

    Parameters
    ----------
    problem : WholeGig
        The problem answered.
    answers : mapping, str or Path
        The answer file, or its table. It is read as data; a part that cannot be read is named and the rest is
        marked.

    Returns
    -------
    WholeMarking

    Raises
    ------
    BadFile
        If the file as a whole cannot be read.
    """
    return mark_given(problem, read_answers(answers))


def mark_given(problem: WholeGig, given: Given) -> WholeMarking:
    """Mark an answer that has been read already; arguments as for `mark_whole`."""
    return marked(problem.open, problem.solution, problem.safety, problem.files.dangers, given)


def write_blank(problem: WholeGig, path: str | Path) -> str:
    """Write an answer file to fill in; one that is there already holds somebody's answers and is left as it is.

    Parameters
    ----------
    problem : WholeGig
        The problem.
    path : str or Path
        Where to.

    Returns
    -------
    str
        What was done, in one line.

    Raises
    ------
    BadFile
        If it cannot be written.
    """
    path = Path(path)
    if path.exists():
        return f"{path.name} is there already and was left as it is."
    write_whole(path, problem.blank())
    return f"{path.name} is written: open it, fill it in, save it."


def write_whole_gig(
    source: str | Path, folder: Path | None = None, *, paper: str = "a4", replace: bool = False
) -> Forms:
    """Write a whole-gig problem's notebook, printed sheet, key and blank answer file.

    Parameters
    ----------
    source : str or Path
        The problem's TOML file, or the name of a problem that comes with the workbook.
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
    job = whole_gig(source)
    variant = mark_of(job.text())
    page = sheet.print_blocks(job.title, job.blocks(), variant=variant, paper=paper)
    key = sheet.print_blocks(job.title, job.key_blocks(), key=True, variant=variant, paper=paper)
    made: dict[str, str | bytes] = {
        f"{job.name}.ipynb": as_file(job.notebook()),
        f"{job.name}.pdf": page.pdf,
        f"{job.name}_key.pdf": key.pdf,
        f"{job.name}_answers.toml": job.blank(),
    }
    files = write_together(made, beside(source) if folder is None else folder, replace=replace)
    return Forms(files, tuple(dict.fromkeys((*page.missing, *key.missing))))
