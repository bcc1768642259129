"""Whole-gig problems on paper: the sheet to fill in and the key, and all the files of a problem at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from gigsums.gig import BadFile, write_whole
from gigsums.sheets import Asked, Box, Grid, Printed, Solved, print_asked, print_solved
from gigsums.sheets.worksheets import Runs

from ..forms import Forms
from ..worksheets import as_file
from .forms import blank, lettered
from .problem import WholeGig, whole_gig
from .sheet import Block


def print_whole(problem: WholeGig, *, who: str = "", paper: str = "a4") -> Printed:
    """Print a whole-gig problem to fill in.

    Parameters
    ----------
    problem : WholeGig
        The problem.
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
        If the paper is another, or `who` is too long for a line.
    """
    blocks = problem.blocks()
    told = [runs for block in blocks if not block.asks for runs in _told(block)]
    asked = [_asked(block) for block in blocks if block.asks]
    return print_asked(problem.title, asked, about=told, who=who, paper=paper)


def print_whole_key(problem: WholeGig, *, paper: str = "a4") -> Printed:
    """Print the key of a whole-gig problem, for whoever teaches.

    Parameters
    ----------
    problem : WholeGig
        The problem.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If the paper is another.
    """
    solved = [
        Solved(block.answer, asked=block.text, which=block.title, workings=block.lines, grids=_grids(block))
        for block in problem.key_blocks()
    ]
    return print_solved(problem.title, solved, paper=paper)


def _told(block: Block) -> Iterator[Runs]:
    yield ((block.title, True),)
    if block.text:
        yield ((block.text, False),)
    for line in block.lines:
        yield ((f"– {line}", False),)


def _asked(block: Block) -> Asked:
    boxes = (Box(choices=lettered(block.choices)),) if block.choices else ()
    lead: tuple[Runs, ...] = (((block.title, True),),)
    return Asked(scene=block.text, question="", lead=lead, grids=_grids(block), boxes=boxes, lines=0)


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
    page, key = print_whole(problem, paper=paper), print_whole_key(problem, paper=paper)
    path = Path(source)
    beside = path.parent if path.suffix else Path()
    to = beside if folder is None else folder
    made: dict[Path, str | bytes] = {
        to / f"{problem.name}.ipynb": as_file(problem.notebook()),
        to / f"{problem.name}.pdf": page.pdf,
        to / f"{problem.name}_key.pdf": key.pdf,
        to / f"{problem.name}_answers.toml": blank(problem),
    }
    there = [file.name for file in made if file.exists()]
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
    for file, content in made.items():
        write_whole(file, content, replace=replace)
    return Forms(tuple(made), tuple(dict.fromkeys((*page.missing, *key.missing))))
