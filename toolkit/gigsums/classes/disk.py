"""What is written to the disk: folders that come whole, files for their owner alone, tables for spreadsheets.

A folder is written out of sight and comes to its place by moves; what stood there is moved aside, never removed. Whatever
the moment at which the work is cut short, the old stands or the new stands, and nothing is lost.
"""

from __future__ import annotations

import csv
import errno
import io
import os
import re
import shutil
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from tempfile import mkdtemp
from typing import TypeVar

from filelock import FileLock, Timeout

from gigsums.gig.files import BadFile
from gigsums.practice.wording import short

_LONGEST = 100
_ADVICE = {
    errno.ENOSPC: "Make room on the disk, or choose a folder on another with --to.",
    errno.ENAMETOOLONG: "Choose a folder with a shorter name, with --to.",
}
_LOCK, _PART, _BEGUN = ".lock", ".again.part", ".gigsums-"
_A_DAY = 86_400.0
_NUMBER = re.compile(r"[-+−]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]{1,3})?")
_FORMULA = tuple("=+-@\t\r\n＝＋－＠−")
T = TypeVar("T")


@contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Say in one clear error why a folder cannot be written."""
    shown = short(str(folder), _LONGEST)
    try:
        named = b"\0" not in os.fsencode(folder)
    except UnicodeEncodeError:
        named = False
    if not named:
        raise BadFile(shown, "", "this is no name for a folder.", "Choose another with --to.")
    try:
        yield
    except OSError as error:
        raise BadFile(
            shown, "", f"it cannot be written ({error.strerror or error}).",
            _ADVICE.get(error.errno or 0, "Choose a folder that you may write to, with --to."),
        ) from None  # fmt: skip


def write(path: Path, pieces: Iterable[str | bytes], settled: bool = True) -> None:
    """Write a new file that only its owner may read, where the system knows such a thing; settled, it outlasts a power cut."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "wb") as out:
        out.writelines(each.encode("utf-8") if isinstance(each, str) else each for each in pieces)
        if settled:
            out.flush()
            os.fsync(out.fileno())


def arrive(
    place: Path, names: Iterable[str], make: Callable[[Path], T], replace: bool = False
) -> tuple[Path, T]:
    """Have a new folder made, and move it to its place in one move.

    Parameters
    ----------
    place : Path
        Where it is to stand. Folders that have to be made for it go again if the work fails.
    names : iterable of str
        What it may be called; it takes the first name that is free.
    make : callable
        Fills the folder that it is given.
    replace : bool
        Whether what stands under the first name is moved aside.

    Returns
    -------
    tuple of (Path, object)
        The folder, and what `make` returned.

    Raises
    ------
    FileExistsError
        If no name is free.
    """
    missing = [each for each in (place, *place.parents) if not os.path.lexists(each)]
    try:
        place.mkdir(parents=True, exist_ok=True)
        for left in place.glob(f"{_BEGUN}*"):  # by a process that was killed; others may be at work
            with suppress(OSError):
                if time.time() - left.stat().st_mtime > _A_DAY:
                    shutil.rmtree(left)
        part = Path(mkdtemp(prefix=_BEGUN, dir=place))
        try:
            new = part / "new"
            new.mkdir()
            made = make(new)
            for there in (place / name for name in names):
                if replace:
                    _aside([there], place)
                try:
                    if not os.path.lexists(there):
                        _move(new, there)
                        return there, made
                except OSError:
                    if not os.path.lexists(there):  # nobody else was first
                        raise
            raise FileExistsError(errno.EEXIST, "something of that name is there already")
        finally:
            shutil.rmtree(part, ignore_errors=True)
    except BaseException:
        for folder in missing:
            with suppress(OSError):
                folder.rmdir()
        raise


@contextmanager
def alone_in(place: Path, names: Sequence[str]) -> Iterator[None]:
    """Hold a folder for oneself, and take back what `put_in` left halfway there of the same names.

    Raises
    ------
    BadFile
        If somebody else holds it, or what was left cannot be taken back.
    """
    try:
        with FileLock(place / _LOCK, timeout=0):
            _take_back(place, names)
            yield
    except Timeout:
        raise BadFile(
            short(str(place), _LONGEST), "", "somebody is at work there: another handout of this class is running.",
            "Wait until it has ended, then try again.",
        ) from None  # fmt: skip


def mend(place: Path, names: Sequence[str]) -> None:
    """Take back what `put_in` left halfway in a folder, if there is anything of the kind."""
    if os.path.lexists(place / _PART):
        with writing(place), alone_in(place, names):
            pass


def put_in(place: Path, names: Sequence[str], make: Callable[[Path], T]) -> T:
    """Have folders made that take the place of those of the same names, which are moved aside; `place` is held.

    The last name is the last to arrive and the first to go: where it stands, the others that belong to it stand too. What
    is where says how far the moves have come, so that they can be taken back.
    """
    part = place / _PART
    part.mkdir(mode=0o700)
    try:
        for each in ("begun", "old"):
            (part / each).mkdir()
        made = make(part / "begun")
        _move(part / "begun", part / "new")
        for name in reversed(names):
            if os.path.lexists(place / name):
                _move(place / name, part / "old" / name)
        for name in names:
            _move(part / "new" / name, place / name)
    finally:
        _take_back(place, names)
    return made


def _take_back(place: Path, names: Sequence[str]) -> None:
    """Undo moves that were cut short; after the last of them, move aside what stood there. Then clear away."""
    new, old = place / _PART / "new", place / _PART / "old"
    if os.path.lexists(new):
        there = [old / name for name in names if os.path.lexists(old / name)]
        if not any(new.iterdir()):
            _aside(there, place)
        else:
            try:
                for each in there:
                    if os.path.lexists(place / each.name):
                        _move(place / each.name, new / each.name)
                    _move(each, place / each.name)
            except OSError as error:
                raise BadFile(
                    short(str(new.parent), _LONGEST), "",
                    f"work that was cut short cannot be taken back ({error.strerror or error}).",
                    f"Close whatever has files of {place.name} open, and try again.",
                ) from None  # fmt: skip
        _move(new, new.with_name("done"))  # so that nothing is undone again while it is cleared away
    shutil.rmtree(place / _PART, ignore_errors=True)


def _aside(there: Sequence[Path], place: Path) -> None:
    """Move what stands there aside, all under one number."""
    there = [each for each in there if os.path.lexists(each)]
    for number in count(1):
        aside = [place / f"{each.name} (earlier {number})" for each in there]
        if not any(map(os.path.lexists, aside)):
            break
    for old, new in zip(there, aside, strict=True):
        _move(old, new)


def _move(old: Path, new: Path) -> None:
    """Move a folder, and see the move onto the disk before the next one; some systems cannot."""
    os.rename(old, new)
    for folder in {old.parent, new.parent}:
        with suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def safe_cell(value: object) -> str:
    """A cell: numbers as they are, negative ones too; texts on one line, and never a formula."""
    raw = "" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)
    text = "".join(each if each.isprintable() else " " for each in raw)
    if _NUMBER.fullmatch(text):
        return text.replace("−", "-")
    risky = raw.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA)
    return f"'{text}" if text and risky else text


def as_csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Head and rows as the text of a CSV file (RFC 4180)."""
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(head)
    lines.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()
