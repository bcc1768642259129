"""Whole-gig problems on paper: the sheet to fill in and the key, and all the files of a problem at once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gigsums.practice.worksheets import Forms, as_file, beside, mark_of, write_together
from gigsums.sheets import Grid, Printed, Section, print_sections

from .forms import lettered
from .problem import WholeGig, whole_gig
from .sheet import Block, OpenGig


def print_whole(
    problem: WholeGig | OpenGig, *, variant: str = "", who: str = "", paper: str = "a4"
) -> Printed:
    """Print a whole-gig problem: the job to read, the tables to fill in.

    Parameters
    ----------
    problem : WholeGig or OpenGig
        The problem.
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
    return print_blocks(problem.title, problem.blocks(), variant=variant, who=who, paper=paper)


def print_blocks(
    title: str, blocks: Sequence[Block], *, variant: str = "", who: str = "", paper: str = "a4"
) -> Printed:
    """Print blocks to read and to fill in; arguments otherwise as for `print_whole`."""
    return print_sections(title, _sections(blocks), variant=variant, who=who, paper=paper)


def print_whole_key(problem: WholeGig, *, variant: str = "", paper: str = "a4") -> Printed:
    """Print the key of a whole-gig problem with its workings, for whoever teaches.

    Parameters
    ----------
    problem : WholeGig
        The problem.
    variant, paper : str, optional
        As for `print_whole`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_whole`.
    """
    sections = _sections(problem.key_blocks())
    return print_sections(problem.title, sections, key=True, variant=variant, paper=paper)


def _sections(blocks: Sequence[Block]) -> list[Section]:
    return [
        Section(each.title, each.text, each.lines, _grids(each), lettered(each.choices), each.answer)
        for each in blocks
    ]


def _grids(block: Block) -> tuple[Grid, ...]:
    return (Grid(block.columns, block.rows, widths=block.widths),) if block.rows else ()


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
    problem = whole_gig(source)
    variant = mark_of(problem.text())
    page = print_whole(problem, variant=variant, paper=paper)
    key = print_whole_key(problem, variant=variant, paper=paper)
    made: dict[str, str | bytes] = {
        f"{problem.name}.ipynb": as_file(problem.notebook()),
        f"{problem.name}.pdf": page.pdf,
        f"{problem.name}_key.pdf": key.pdf,
        f"{problem.name}_answers.toml": problem.blank(),
    }
    files = write_together(made, beside(source) if folder is None else folder, replace=replace)
    return Forms(files, tuple(dict.fromkeys((*page.missing, *key.missing))))
