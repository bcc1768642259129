"""Folders that belong together: all of them in their place or none, wherever the work is cut short.

They are written in a folder of their own inside the place where they belong, and moved out of it one by one when all is
there. A note says what is being moved before the first move; whoever comes next takes back moves that were cut short.
A lock keeps two from working in one place; the system lets go of it when its holder dies, so that none is ever left.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from gigsums.gig.files import BadFile
from gigsums.practice.wording import short

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_MOVES = "moves.json"
_LONGEST = 100
_ADVICE = {
    errno.ENOSPC: "Make room on the disk, or choose a folder on another with --to.",
    errno.ENAMETOOLONG: "Choose a folder with a shorter name, with --to.",
}


def part_of(place: Path, work: str) -> Path:
    """The folder in a place where a piece of work is written before it is moved."""
    return place / f".{work}.part"


@contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Say in one clear error why a folder cannot be written."""
    if not _is_a_name(str(folder)):
        raise BadFile(
            short(str(folder), _LONGEST), "", "this is no name for a folder.", "Choose another with --to."
        )
    try:
        yield
    except OSError as error:
        raise BadFile(
            short(str(folder), _LONGEST), "", f"it cannot be written ({error.strerror or error}).",
            _ADVICE.get(error.errno or 0, "Choose a folder that you may write to, with --to."),
        ) from None  # fmt: skip


def _is_a_name(text: str) -> bool:
    try:
        return b"\0" not in os.fsencode(text)
    except UnicodeEncodeError:
        return False


@contextmanager
def alone_in(place: Path, work: str) -> Iterator[None]:
    """Hold a place for one piece of work, and take back what an earlier one left halfway.

    Folders that have to be made for it go again if the work fails.

    Raises
    ------
    BadFile
        If somebody is at the same work there, or an earlier one cannot be taken back.
    """
    missing = [each for each in (place, *place.parents) if not os.path.lexists(each)]
    try:
        place.mkdir(parents=True, exist_ok=True)
        with _held(place, work):
            _take_back(part_of(place, work))
            yield
    except BaseException:
        for folder in missing:
            with suppress(OSError):
                folder.rmdir()
        raise


@contextmanager
def moved_in(place: Path, work: str, names: Sequence[str]) -> Iterator[Path]:
    """A folder to write some folders in; they are moved to their place when the block ends without an error.

    What stands there under a name is moved aside, never removed. The last name is the last to arrive and the first to go:
    where it stands, the others stand too.
    """
    part = part_of(place, work)
    part.mkdir(mode=0o700)
    try:
        yield part
        _move(part, names)
    except BaseException:
        _take_back(part)
        raise
    with suppress(OSError):
        shutil.rmtree(part)


def mend(place: Path, work: str) -> None:
    """Take back what was left halfway in a place, if there is anything of the kind."""
    if os.path.lexists(part_of(place, work)):
        with alone_in(place, work):
            pass


def _move(part: Path, names: Sequence[str]) -> None:
    place = part.parent
    there = [name for name in names if os.path.lexists(place / name)]
    number = 1
    while any(os.path.lexists(_earlier(place / name, number)) for name in names):
        number += 1
    write(part / _MOVES, [json.dumps({"number": number, "names": list(names), "there": there})])
    _settle(part)
    for name in reversed(there):
        os.rename(place / name, _earlier(place / name, number))
        _settle(place)
    for name in names:
        os.rename(part / name, place / name)
        _settle(place)


def _take_back(part: Path) -> None:
    """Undo moves that were cut short, and remove what was not moved; after the last move nothing is undone."""
    try:
        if os.path.lexists(part):
            _undo(part)
            shutil.rmtree(part)
    except OSError as error:
        raise BadFile(
            short(str(part), _LONGEST), "", f"work that was cut short cannot be taken back ({error.strerror or error}).",
            f"Close whatever has files of {part.parent.name} open, and try again.",
        ) from None  # fmt: skip


def _undo(part: Path) -> None:
    place, moves = part.parent, _moves(part)
    if moves is None or not os.path.lexists(part / moves["names"][-1]):
        return
    number, there = moves["number"], moves["there"]
    for name in reversed(moves["names"]):
        new = name not in there or os.path.lexists(_earlier(place / name, number))
        if new and os.path.lexists(place / name) and not os.path.lexists(part / name):
            os.rename(place / name, part / name)
    for name in there:
        if os.path.lexists(_earlier(place / name, number)):
            os.rename(_earlier(place / name, number), place / name)
    _settle(place)


def _moves(part: Path) -> dict[str, Any] | None:
    """What is being moved; nothing where the note is missing or was cut short, since moves begin only after it."""
    try:
        return json.loads((part / _MOVES).read_bytes())
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return None


def _earlier(there: Path, number: int) -> Path:
    return there.with_name(f"{there.name} (earlier {number})")


def write(path: Path, pieces: Iterable[str | bytes], settled: bool = True) -> None:
    """Write a new file that only its owner may read, where the system knows such a thing; settled, it outlasts a power cut."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "wb") as out:
        out.writelines(each.encode("utf-8") if isinstance(each, str) else each for each in pieces)
        if settled:
            out.flush()
            os.fsync(out.fileno())


def _settle(folder: Path) -> None:
    """See the names in a folder onto the disk, so that moves are kept in their order; some systems cannot."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def _held(place: Path, work: str) -> Iterator[None]:
    path = place / f".{work}.lock"
    file = open(path, "ab")  # noqa: SIM115
    try:
        if not _taken(file.fileno(), path):
            raise BadFile(
                short(str(place), _LONGEST), "", "somebody is at work there: another handout or mark of this class is running.",
                "Wait until it has ended, then try again.",
            )  # fmt: skip
        try:
            yield
        finally:
            with suppress(OSError):
                path.unlink()  # while it is held, so that nobody else's goes
    finally:
        file.close()
        if sys.platform == "win32":  # where an open file cannot be removed
            with suppress(OSError):
                path.unlink()


def _taken(handle: int, path: Path) -> bool:
    """Whether the lock is ours: nobody else holds it, and it is still the file of that name."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except (BlockingIOError, PermissionError, FileNotFoundError):
        return False
