"""Answers as a trainee returns them: a TOML file or a notebook, both read as data. Nothing in them is ever run."""

from __future__ import annotations

import json
import os
import re
import stat
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile
from gigsums.gig.files import DEEPEST, depth, guarded
from gigsums.practice.wording import short

LARGEST = {".toml": 100_000, ".ipynb": 5_000_000}
"""The largest file of each kind that is read [bytes]."""
MOST_CELLS = 1000
MOST_LINES = 20_000
MOST_ANSWERS = 100
LONGEST_ANSWER = 300
LONGEST_LINE = 20_000
ARCHIVES = (".zip", ".7z", ".rar", ".tar", ".gz", ".tgz", ".bz2", ".xz", ".zst")

_MOST_REMARKS = 10
_QUESTION = re.compile("question-([0-9]{1,3})")
_NAMED = re.compile(r"\s*(trainee|variant|class|format)\s*=\s*(.*)")
_ANSWER = re.compile(r"\s*answer_([0-9]{1,3})\s*=\s*(.*)")
_NUMBERED = re.compile(r"\s*[\"']?([0-9]{1,3})[\"']?\s*=\s*(.*)")
_QUOTED = re.compile(r"""("[^"\\]*(?:\\.[^"\\]*)*"|'[^'\\]*(?:\\.[^'\\]*)*')\s*(?:#.*)?""")
_CURLY = re.compile("[“”„‘’]([^“”„‘’]*)[“”„‘’]\\s*(?:#.*)?")
_BARE = re.compile(r"[^\"'“”„‘’\[\](){}]*")


class NotAnswers(ValueError):
    """A file that is no sheet of answers; the message says why and what to do."""


@dataclass(frozen=True)
class Answers:
    """What one file says: whose it is, which sheet it answers, and each answer as text from a stranger.

    Attributes
    ----------
    trainee, variant : str
        As the file states them; empty where it does not.
    given : mapping of int to str
        Answers by question, counted from 1; empty ones are left out.
    unread : mapping of int to str
        Questions whose answer could not be taken, and why.
    remarks : tuple of str
        What the tutor should know about the file.
    class_name : str
        The class that the file states.
    prints : mapping of int to str
        Fingerprints of a notebook's questions, to see whether one was altered.
    """

    trainee: str = ""
    variant: str = ""
    given: Mapping[int, str] = field(default_factory=dict)
    unread: Mapping[int, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    class_name: str = ""
    prints: Mapping[int, str] = field(default_factory=dict)

    @property
    def blank(self) -> bool:
        """Whether nothing was answered."""
        return not self.given and not self.unread


def text_print(text: str) -> str:
    """A fingerprint of what is read on a sheet, whatever its spaces."""
    return sha256(" ".join(text.split()).encode("utf-8", "replace")).hexdigest()[:16]


def read_answers(path: str | Path) -> Answers:
    """Read a returned file as data.

    Parameters
    ----------
    path : str or Path
        A TOML file of answers, or a notebook.

    Returns
    -------
    Answers

    Raises
    ------
    NotAnswers
        If it is a link, no plain file, too large, too deep, or cannot be read as what it is called.
    """
    path = Path(path)
    suffix = path.suffix.casefold()
    if suffix in ARCHIVES:
        raise NotAnswers("an archive; unpack it first, and put what was in it into a folder of its own")
    if suffix not in LARGEST:
        raise NotAnswers("neither a notebook (.ipynb) nor a file of answers (.toml)")
    raw = read_plain(path, LARGEST[suffix])
    return _from_notebook(raw) if suffix == ".ipynb" else _from_toml(raw)


def read_plain(path: Path, largest: int) -> bytes:
    """What a plain file holds; never through a link, never from a device, never more than is allowed."""
    try:
        before = os.lstat(path)
        if stat.S_ISLNK(before.st_mode):
            raise NotAnswers("a link to another file; put the file itself here")
        if not stat.S_ISREG(before.st_mode):
            raise NotAnswers("not a plain file")
        flags = (
            os.O_RDONLY
            | getattr(os, "O_NOFOLLOW", 0)
            | getattr(os, "O_NONBLOCK", 0)
            | getattr(os, "O_BINARY", 0)
        )
        with os.fdopen(os.open(path, flags), "rb") as file:
            size = os.fstat(file.fileno()).st_size
            raw = b"" if size > largest else file.read(largest + 1)
    except OSError as error:
        raise NotAnswers(f"it cannot be read ({error.strerror or error})") from None
    if max(size, len(raw)) > largest:
        raise NotAnswers(f"{size / 1e6:.1f} MB; at most {largest / 1e6:.1f} MB is read")
    return raw


def text_in(raw: bytes) -> tuple[str, tuple[str, ...]]:
    """The text of a file, and a remark if it was not in UTF-8."""
    encoding = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    remarks: tuple[str, ...] = ()
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError:
        text, remarks = raw.decode("latin-1"), ("not saved as UTF-8; read as Latin-1",)
    if "\0" in text:
        raise NotAnswers("no text file: there are NUL bytes in it")
    return text, remarks


def _from_toml(raw: bytes) -> Answers:
    text, remarks = text_in(raw)
    every = list(lines(text))
    try:
        table = guarded(text, "", parse_float=str)
    except BadFile as error:
        return _from_lines(every, remarks, error.problem.rstrip("."))
    answers = table.get("answers")
    if not isinstance(answers, dict):
        raise NotAnswers("not a file of answers: there is no [answers] in it")
    found = _Lines(_NUMBERED)
    for key in ("trainee", "variant", "class"):
        value = table.get(key)
        found.named[key] = value.strip()[:LONGEST_ANSWER] if isinstance(value, str) else ""
    if table.get("format") != 1:
        remarks = (*remarks, "its format is not 1")
    for key, value in answers.items():
        if re.fullmatch("[0-9]{1,3}", key):
            found.note(int(key), value if isinstance(value, str) else _as_typed(value))
        else:
            remarks = (*remarks, f"“{short(key)}” is no question's number")
    return found.answers(remarks)


def _from_lines(lines: Sequence[str], remarks: tuple[str, ...], why: str) -> Answers:
    """What a file says that is not TOML any more: a forgotten quote should not cost a whole sheet."""
    found = _Lines(_NUMBERED)
    for line in lines:
        found.take(line)
    if not found.named and not found.given and not found.unread:
        raise NotAnswers(f"not a file of answers: {short(why, 60)}")
    return found.answers((*remarks, "not TOML any more; read line by line"))


def _as_typed(value: Any) -> str | None:
    """A number without quotes as text; None for what is no single answer."""
    if isinstance(value, bool) or not isinstance(value, int):
        return None
    return str(value)


def _from_notebook(raw: bytes) -> Answers:
    text, remarks = text_in(raw)
    if depth(text) > DEEPEST:
        raise NotAnswers(f"brackets are nested more than {DEEPEST} deep")
    try:
        read = json.loads(text, parse_float=_nothing, parse_int=_nothing, parse_constant=_nothing)
        cells = read["cells"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise NotAnswers("not a notebook, or a damaged one") from None
    if not isinstance(cells, list):
        raise NotAnswers("not a notebook, or a damaged one")
    if len(cells) > MOST_CELLS:
        raise NotAnswers(f"{len(cells)} cells; at most {MOST_CELLS} are read")
    found = _Lines(_ANSWER)
    prints: dict[int, str] = {}
    for cell in cells:
        source = _source(cell)
        if source is None:
            raise NotAnswers("not a notebook, or a damaged one")
        if cell.get("cell_type") == "code":
            for line in lines(source):
                found.take(line)
        elif isinstance(name := cell.get("id"), str) and (question := _QUESTION.fullmatch(name)):
            prints[int(question[1])] = text_print(source)
    return found.answers(remarks, prints)


def _nothing(text: str) -> None:
    """Numbers of a notebook mean nothing here, and a long one is work."""


def _source(cell: Any) -> str | None:
    source = cell.get("source") if isinstance(cell, dict) else None
    if isinstance(source, list) and all(isinstance(each, str) for each in source):
        return "".join(source)
    return source if isinstance(source, str) else None


def lines(text: str) -> Iterator[str]:
    """The lines of a text, if there are not too many."""
    every = text.splitlines()
    if len(every) > MOST_LINES:
        raise NotAnswers(f"{len(every)} lines; at most {MOST_LINES} are read")
    yield from every


class _Lines:
    """Gathers `name = "text"` lines. Only one text between quotes counts, or words and figures without any."""

    def __init__(self, answer: re.Pattern[str]) -> None:
        self.answer = answer
        self.named: dict[str, str] = {}
        self.given: dict[int, str] = {}
        self.unread: dict[int, str] = {}
        self.remarks: list[str] = []

    def take(self, line: str) -> None:
        """Read one line; most are nothing."""
        line = line[:LONGEST_LINE]
        if named := _NAMED.fullmatch(line):
            value = _literal(named[2])
            if named[1] in self.named and self.named[named[1]] != (value or "")[:LONGEST_ANSWER]:
                self.remarks.append(f"{named[1]} stands there twice")
            self.named.setdefault(named[1], (value or "")[:LONGEST_ANSWER])
        elif numbered := self.answer.fullmatch(line):
            self.note(int(numbered[1]), _literal(numbered[2]))

    def note(self, n: int, text: str | None) -> None:
        """Keep the answer to a question; two that differ cancel each other."""
        if n > MOST_ANSWERS:
            self.remarks.append(f"there is no question {n}")
        elif text is None:
            self.given.pop(n, None)
            self.unread[n] = "not one text between quotes"
        elif text.strip() and n not in self.unread:
            if n in self.given and self.given[n] != text[:LONGEST_ANSWER]:
                del self.given[n]
                self.unread[n] = "two different answers stand there"
            else:
                self.given[n] = text[:LONGEST_ANSWER]

    def answers(self, remarks: tuple[str, ...], prints: Mapping[int, str] | None = None) -> Answers:
        """All of it."""
        return Answers(
            self.named.get("trainee", ""), self.named.get("variant", ""), dict(sorted(self.given.items())),
            dict(sorted(self.unread.items())), (*remarks, *dict.fromkeys(self.remarks))[:_MOST_REMARKS], self.named.get("class", ""),
            prints or {},
        )  # fmt: skip


def _literal(text: str) -> str | None:
    """The text that stands between quotes, or bare words and figures; None if it is anything more."""
    text = text.strip()
    if quoted := _QUOTED.fullmatch(text):
        return re.sub(r"\\([\\\"'])", r"\1", quoted[1][1:-1])
    if curly := _CURLY.fullmatch(text):
        return curly[1]
    bare = text.partition("#")[0].strip()
    return bare if _BARE.fullmatch(bare) else None
