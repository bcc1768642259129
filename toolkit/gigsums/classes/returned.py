"""What came back: every file under the folder where returned sheets are dropped, each read or refused by itself."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from . import issued_gigs as gigs
from .answers import Answers, NotAnswers
from .gig_answers import GigAnswers, read_returned
from .issued_files import PRINTED, RETURN

DEEPEST = 4
MOST_FILES = 50_000
LEFT_ALONE = frozenset({PRINTED, RETURN, ".ds_store", "thumbs.db", "desktop.ini"})
"""Files that come back with a folder and hold no answer."""
_TO_READ = re.compile(
    "|".join(name.format("[0-9]{1,3}").replace(".", "[.]") for name in (gigs.PRINTED, gigs.NOTEBOOK))
)
_NOT_ENTERED = frozenset({".ipynb_checkpoints", "__macosx"})


@dataclass(frozen=True)
class Returned:
    """One file that was looked at.

    Attributes
    ----------
    file : str
        Its path below the folder; text from a stranger.
    answers : Answers, GigAnswers or None
        What it says; None if it was refused.
    reason : str
        Why it was refused.
    path : Path
        Where it lies.
    """

    file: str
    answers: Answers | GigAnswers | None = None
    reason: str = ""
    path: Path = Path()


def gather(folder: Path, tell: Callable[[str, int, int], None]) -> Iterator[Returned]:
    """Read every file below a folder in the order of their names; whatever one holds, the next is read too."""
    there = list(islice(_walk(folder, "", 0), MOST_FILES + 1))
    for number, (name, path, reason) in enumerate(there):
        tell("files read", number + 1, len(there))
        if number >= MOST_FILES:
            yield Returned("", None, f"more than {MOST_FILES} files are there; the rest was not looked at")
            return
        if reason:
            yield Returned(name, None, reason)
            continue
        try:
            yield Returned(name, read_returned(path), path=path)
        except NotAnswers as refused:
            yield Returned(name, None, str(refused))


def _walk(folder: Path, below: str, depth: int) -> Iterator[tuple[str, Path, str]]:
    """Name, path, and why it is not to be read, of each file."""
    try:
        entries = sorted(os.scandir(folder), key=lambda each: each.name)
    except OSError as error:
        yield below.rstrip("/"), folder, f"the folder cannot be read ({error.strerror or error})"
        return
    for entry in entries:
        name = below + entry.name
        try:
            inside = entry.is_dir(follow_symlinks=False)
        except OSError as error:
            yield name, Path(entry.path), f"it cannot be read ({error.strerror or error})"
            continue
        if inside and entry.name.casefold() in _NOT_ENTERED:
            continue
        if inside and depth >= DEEPEST:
            yield name, Path(entry.path), f"folders more than {DEEPEST} deep are not looked into"
        elif inside:
            yield from _walk(Path(entry.path), name + "/", depth + 1)
        elif entry.name.casefold() not in LEFT_ALONE and not _TO_READ.fullmatch(entry.name.casefold()):
            yield name, Path(entry.path), ""
