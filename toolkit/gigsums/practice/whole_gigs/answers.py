"""Answers to a whole-gig problem, read as data: what cannot be read is named, and the rest still counts."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from gigsums.gig import BadFile

from ..wording import listed, short

LARGEST_BYTES = 200_000
MOST_ROWS = 2000
LONGEST = 200
LONGEST_NOTES = 4000
MOST = 9999

ON = {
    "mic input": ("mic", "microphone input", "preamp", "mic inputs"),
    "line input": ("line", "line inputs"),
    "stereo input": ("stereo", "stereo inputs", "stereo channel"),
    "two-track return": ("two-track", "two track return"),
    "bus": ("aux", "buses"),
    "group": ("groups",),
    "matrix": ("matrices",),
    "output": ("outputs", "line output"),
    "record output": ("record", "record outputs"),
    "direct out": ("direct outs", "direct output"),
    "effects unit": ("effect", "effects", "effects units"),
    "track": ("tracks",),
}
TAPS = {
    "pre": ("before", "before the fader", "pre-fader"),
    "post": ("after", "after the fader", "post-fader"),
}
T = TypeVar("T")
AT = ("stage", "desk", "remote")
WORDS = ("fits", "fits with care", "fits with changes", "does not fit")


@dataclass(frozen=True)
class GivenPlace:
    """One row of the placement: an item as it was named, and the sockets or buses it was given."""

    row: int
    item: str
    on: str
    at: str
    numbers: tuple[int, ...]
    tap: str


@dataclass(frozen=True)
class GivenChange:
    """One change as it was asked for, and to how many of a counted source."""

    row: int
    kind: str
    item: str
    to: str
    count: int = 1


@dataclass(frozen=True)
class GivenInput:
    """One line of the input list."""

    row: int
    source: str
    channels: tuple[int, ...]
    by: str
    phantom: bool | None
    at: str
    to: tuple[str, ...]


@dataclass(frozen=True)
class Given:
    """Everything that was answered, as far as it could be read.

    Attributes
    ----------
    counts : mapping of str to str
        What was typed for each count.
    word : str
        The verdict's word; empty where none was given.
    lists : mapping of str to tuple of str
        The ledgers named under "short", "no_spare" and "bring", and what would be asked.
    changes, places, inputs : tuple
        The rows of the three tables.
    safety : mapping of str to str
        What was chosen for each question about safe working.
    notes : str
        Whatever else was written.
    faults : tuple of str
        What could not be read, and why.
    """

    counts: Mapping[str, str] = field(default_factory=dict)
    word: str = ""
    lists: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    changes: tuple[GivenChange, ...] = ()
    places: tuple[GivenPlace, ...] = ()
    inputs: tuple[GivenInput, ...] = ()
    safety: Mapping[str, str] = field(default_factory=dict)
    notes: str = ""
    faults: tuple[str, ...] = ()


def read_answers(answers: Mapping[str, Any] | str | Path) -> Given:
    """Read an answer file, or the same as a mapping.

    Parameters
    ----------
    answers : mapping, str or Path
        The file, or its table. Nothing in it is run.

    Returns
    -------
    Given
        A part that cannot be read is left out and named in `faults`.

    Raises
    ------
    BadFile
        If the file as a whole cannot be read.
    """
    return _Reader().read(answers if isinstance(answers, Mapping) else _table(Path(answers)))


def _table(path: Path) -> Mapping[str, Any]:
    file = path.name
    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise BadFile(
            str(path), "", f"it cannot be read ({error.strerror or error}).", "Check the name."
        ) from None
    if len(raw) > LARGEST_BYTES:
        raise BadFile(
            file, "", f"more than {LARGEST_BYTES // 1000} kB stand in it.", "Check that it is the right file."
        )
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise BadFile(file, "", "this is not UTF-8 text.", "Save the file as UTF-8 in your editor.") from None
    except (ValueError, RecursionError) as error:
        said = (
            "brackets are nested too deeply" if isinstance(error, RecursionError) else short(str(error), 90)
        )
        raise BadFile(
            file, "", f"this is not TOML: {said}.", 'Texts stand in "quotes", lists in [brackets].'
        ) from None


class _Unreadable(ValueError):
    """One part that cannot be read, and why."""


class _Reader:
    """Reads part by part; each fault costs that part alone."""

    KNOWN = (
        "format",
        "problem",
        "name",
        "notes",
        "counts",
        "verdict",
        "changes",
        "placement",
        "inputs",
        "safety",
    )

    def __init__(self) -> None:
        self.faults: list[str] = []

    def read(self, table: Mapping[str, Any]) -> Given:
        for key in table:
            if key not in self.KNOWN:
                self.fault(f"“{short(str(key))}” is not known here; known are {listed(self.KNOWN)}")
        if table.get("format", 1) != 1:
            self.fault(f"format is {short(str(table['format']))}; 1 is wanted, and it was read as that")
        verdict = self.part(table, "verdict", Mapping, {})
        notes = self.part(table, "notes", str, "")
        if len(notes) > LONGEST_NOTES:
            self.fault(f"notes: only the first {LONGEST_NOTES} characters were read")
        return Given(
            counts=self.texts(table, "counts"),
            word=self.word(verdict),
            lists={key: self.names(verdict, key) for key in ("short", "no_spare", "bring", "ask")},
            changes=tuple(self.rows(table, "changes", self.change)),
            places=tuple(self.rows(table, "placement", self.place)),
            inputs=tuple(self.rows(table, "inputs", self.input)),
            safety=self.texts(table, "safety"),
            notes=notes[:LONGEST_NOTES],
            faults=tuple(self.faults),
        )

    def fault(self, text: str) -> None:
        self.faults.append(text)

    def part(self, table: Mapping[str, Any], key: str, kind: type, otherwise: Any) -> Any:
        found = table.get(key, otherwise)
        if isinstance(found, kind):
            return found
        wanted = 'a text in "quotes"' if kind is str else f"a table [{key}]"
        self.fault(f"{key}: {short(repr(found))} stands there; {wanted} is wanted")
        return otherwise

    def texts(self, table: Mapping[str, Any], key: str) -> dict[str, str]:
        found = {}
        for name, value in self.part(table, key, Mapping, {}).items():
            try:
                text = _text(value)
            except _Unreadable as why:
                self.fault(f"{key}, {short(str(name))}: {why}")
                continue
            if text:
                found[str(name)[:LONGEST]] = text
        return found

    def word(self, verdict: Mapping[str, Any]) -> str:
        for key in verdict:
            if key not in ("word", "short", "no_spare", "bring", "ask"):
                self.fault(f"verdict: “{short(str(key))}” is not known here")
        try:
            said = " ".join(_text(verdict.get("word", "")).casefold().split()).strip(" .")
        except _Unreadable as why:
            self.fault(f"verdict, word: {why}")
            return ""
        if said and said not in WORDS:
            self.fault(f"verdict, word: “{short(said)}” is none of {', '.join(WORDS)}")
            return ""
        return said

    def names(self, verdict: Mapping[str, Any], key: str) -> tuple[str, ...]:
        try:
            return tuple(dict.fromkeys(_names(verdict.get(key, []))))
        except _Unreadable as why:
            self.fault(f"verdict, {key}: {why}")
            return ()

    def rows(
        self, table: Mapping[str, Any], key: str, read: Callable[[int, Mapping[str, Any]], T | None]
    ) -> Iterator[T]:
        part = self.part(table, key, Mapping, {})
        for other in part:
            if other != "rows":
                self.fault(f"{key}: “{short(str(other))}” is not known here; the rows stand under “rows”")
        found = part.get("rows", [])
        if not isinstance(found, (list, tuple)):
            self.fault(f"{key}: {short(repr(found))} stands there; rows = [...] is wanted")
            return
        if len(found) > MOST_ROWS:
            self.fault(f"{key}: {len(found)} rows stand there; the first {MOST_ROWS} were read")
        for n, row in enumerate(found[:MOST_ROWS], start=1):
            if not isinstance(row, Mapping):
                self.fault(f"{key}, row {n}: {short(repr(row))} stands there; a table is wanted")
                continue
            try:
                one = read(n, row)
            except _Unreadable as why:
                named = row.get("item", row.get("source", ""))
                name = f" ({short(named)})" if isinstance(named, str) and named else ""
                self.fault(f"{key}, row {n}{name}: {why}")
                continue
            if one is not None:
                yield one

    def place(self, n: int, row: Mapping[str, Any]) -> GivenPlace | None:
        _only(row, ("item", "on", "at", "number", "tap"))
        on, numbers = _text(row.get("on", "")), _numbers(row.get("number", ""), "number")
        if not on and not numbers:
            return None
        if not on or not numbers:
            raise _Unreadable("both on and number are wanted")
        tap = _text(row.get("tap", ""))
        return GivenPlace(
            n, _wanted(row, "item"), _one_of(on, ON, "on"), _place(row),
            numbers, _one_of(tap, TAPS, "tap") if tap else "",
        )  # fmt: skip

    def change(self, n: int, row: Mapping[str, Any]) -> GivenChange | None:
        _only(row, ("kind", "item", "to", "count"))
        kind = " ".join(_text(row.get("kind", "")).casefold().split())
        if not kind and not _text(row.get("item", "")):
            return None
        if not kind:
            raise _Unreadable("kind is missing")
        count = _numbers(row.get("count", 1), "count")
        if len(count) != 1:
            raise _Unreadable("count: one whole number is wanted")
        return GivenChange(n, kind, _text(row.get("item", "")), _text(row.get("to", "")), count[0])

    def input(self, n: int, row: Mapping[str, Any]) -> GivenInput | None:
        _only(row, ("channel", "source", "by", "phantom", "at", "to"))
        channels = _numbers(row.get("channel", ""), "channel")
        by, phantom = _text(row.get("by", "")), row.get("phantom", "")
        if not channels and not by:
            return None
        known = {"mic": ("microphone",), "DI": ("di", "di box"), "line": (), "return": ("effects return",)}
        if isinstance(phantom, str):
            plain = phantom.strip().casefold()
            yes_no = {"": None, "yes": True, "no": False, "on": True, "off": False}
            if plain not in yes_no:
                raise _Unreadable(f"phantom: “{short(phantom)}” stands there; true or false is wanted")
            phantom = yes_no[plain]
        elif not isinstance(phantom, bool):
            raise _Unreadable(f"phantom: {short(repr(phantom))} stands there; true or false is wanted")
        return GivenInput(
            n, _wanted(row, "source"), channels, _one_of(by, known, "by") if by else "", phantom,
            _place(row), tuple(_names(row.get("to", []))),
        )  # fmt: skip


def _only(row: Mapping[str, Any], known: tuple[str, ...]) -> None:
    for key in row:
        if key not in known:
            raise _Unreadable(f"“{short(str(key))}” is not known here; known are {listed(known)}")


def _text(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise _Unreadable(f"{short(repr(value))} stands there; a text or a number is wanted")
    if isinstance(value, int) and abs(value) >= 10**LONGEST:
        raise _Unreadable(f"a number of more than {LONGEST} digits stands there")
    text = value if isinstance(value, str) else f"{value:.15g}" if isinstance(value, float) else str(value)
    if len(text) > LONGEST:
        raise _Unreadable(f"{len(text)} characters stand there; at most {LONGEST} are read")
    return text.strip()


def _wanted(row: Mapping[str, Any], key: str) -> str:
    text = _text(row.get(key, ""))
    if not text:
        raise _Unreadable(f"{key} is missing")
    return text


def _names(value: Any) -> list[str]:
    if isinstance(value, str):
        value = [part.strip() for part in value[: LONGEST * 10].split(",") if part.strip()]
    if not isinstance(value, (list, tuple)) or len(value) > MOST_ROWS:
        raise _Unreadable(f'{short(repr(value))} stands there; a list such as ["preamps (stage)"] is wanted')
    return [text for text in (_text(one) for one in value) if text]


def _place(row: Mapping[str, Any]) -> str:
    at = _text(row.get("at", "")).casefold()
    if at and at not in AT:
        raise _Unreadable(f"at: “{short(at)}” stands there; allowed are {', '.join(AT)}")
    return at


def _one_of(text: str, known: Mapping[str, tuple[str, ...]], key: str) -> str:
    plain = " ".join(text.casefold().split())
    for name, others in known.items():
        if plain == name.casefold() or plain in others:
            return name
    raise _Unreadable(f"{key}: “{short(text)}” stands there; allowed are {', '.join(known)}")


def _numbers(value: Any, key: str) -> tuple[int, ...]:
    """Whole numbers: 3, [3, 4], "3, 4", "3 and 4" or "3-6"."""
    if isinstance(value, (list, tuple)):
        if len(value) > MOST_ROWS:
            raise _Unreadable(f"{key}: {len(value)} numbers are too many")
        return tuple(number for one in value for number in _numbers(one, key))
    if isinstance(value, bool) or not isinstance(value, (str, int)):
        raise _Unreadable(f"{key}: {short(repr(value))} stands there; whole numbers in figures are wanted")
    if isinstance(value, int):
        value = str(value) if abs(value) <= MOST else "a long one"
    text = value.strip()
    if not text:
        return ()
    found: list[int] = []
    for piece in re.split(r"\s*(?:,|;|\band\b|\s)\s*", re.sub(r"\s*(?:-|–|\bto\b)\s*", "-", text[:LONGEST])):
        span = re.fullmatch(r"([0-9]{1,4})(?:-([0-9]{1,4}))?", piece, re.ASCII)
        if span is None:
            raise _Unreadable(
                f"{key}: “{short(text)}” stands there; whole numbers in figures up to {MOST} are wanted"
            )
        first, last = int(span[1]), int(span[2] or span[1])
        if not first <= last <= first + MOST_ROWS:
            raise _Unreadable(f"{key}: “{short(text)}” counts backwards or too far")
        found += range(first, last + 1)
    return tuple(found)
