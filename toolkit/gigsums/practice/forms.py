"""One worksheet in its three forms: a notebook to answer in, a sheet to write on, and the key apart."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from gigsums.gig import BadFile, bundled, write_whole

from .printing import print_key, print_worksheet
from .problems import Problem
from .topic import TOPICS
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
