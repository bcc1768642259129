"""One worksheet in its three forms: a notebook to answer in, a sheet to write on, and the key apart."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile, bundled, write_whole
from gigsums.sheets import Printed

from .printing import print_key, print_whole_gig, print_whole_gig_key, print_worksheet
from .problems import Problem
from .topic import TOPICS
from .whole_gigs.problem import is_whole_gig, whole_gig
from .worksheets import as_file, worksheet

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
    """Write the notebook, the printed sheet and the key of a worksheet or of a whole-gig problem.

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
    notebook, page, key = _whole(source, paper) if is_whole_gig(source) else _sheet(source, paper)
    path = Path(source)
    beside = path.parent if path.suffix == ".toml" else Path()
    to = beside if folder is None else folder
    made: dict[Path, str | bytes] = {
        to / f"{path.stem}.ipynb": as_file(notebook),
        to / f"{path.stem}.pdf": page.pdf,
        to / f"{path.stem}_key.pdf": key.pdf,
    }
    there = [file for file in made if file.exists()]
    if there and not replace:
        names = " and ".join(file.name for file in there)
        raise BadFile(
            str(to), "", f"{names} there already, perhaps with answers; nothing was written.",
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


def _sheet(source: str | Path, paper: str) -> tuple[dict[str, Any], Printed, Printed]:
    sheet = worksheet(source)
    variant = variant_of(sheet.problems)
    return (
        sheet.notebook(),
        print_worksheet(sheet, variant=variant, paper=paper),
        print_key(sheet, variant=variant, paper=paper),
    )


def _whole(source: str | Path, paper: str) -> tuple[dict[str, Any], Printed, Printed]:
    job = whole_gig(source)
    variant = _mark_of(job.text())
    return (
        job.notebook(),
        print_whole_gig(job, variant=variant, paper=paper),
        print_whole_gig_key(job, variant=variant, paper=paper),
    )


def is_worksheet(what: str) -> bool:
    """Whether these words name a worksheet or a whole-gig problem: a file, or one that comes with the workbook."""
    if what.endswith(".toml"):
        return True
    return what not in TOPICS and any(what in bundled(kind) for kind in ("worksheets", "problems"))


def variant_of(problems: Sequence[Problem]) -> str:
    """A short mark for these very problems, so that a sheet and its key find each other."""
    return _mark_of("\n".join(problem.id for problem in problems))


def _mark_of(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
    bits = int.from_bytes(digest[:4], "big")
    return "".join(_LETTERS[bits >> 5 * n & 31] for n in range(_LENGTH))
