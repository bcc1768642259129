"""Answers to a whole gig, read as data: what cannot be read is named, and the rest still counts."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache, partial
from pathlib import Path
from typing import Any, TypeVar, get_args, get_type_hints

from gigsums.gig import BadFile, Effect, Feed, Gig, Mix, Zone
from gigsums.gig.files import guarded
from gigsums.practice.marking import VERDICTS, as_usual, in_figures, verdict_in
from gigsums.practice.wording import listed, short

MOST_ROWS = 2000
LONGEST = 200
MOST = 9999
MOST_NUMBERS = 256
"""Numbers that one cell may hold."""

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
AT = ("stage", "desk", "remote")


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """The words of a text alone, in small letters: neither case nor punctuation tells two names apart."""
    return " ".join(re.findall(r"\w+", as_usual(text).casefold().replace("'", "")))


class Unreadable(ValueError):
    """One part that cannot be read, and why."""


def only(row: Mapping[str, Any], known: tuple[str, ...]) -> None:
    """Refuse a row that has a key besides the known ones."""
    for key in row:
        if key not in known:
            raise Unreadable(f"“{short(str(key))}” is not known here; known are {listed(known)}")


def text_of(value: Any) -> str:
    """A text, or a number as a text."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise Unreadable(f"{short(repr(value))} stands there; a text or a number is wanted")
    if isinstance(value, int) and abs(value) >= 10**LONGEST:
        raise Unreadable(f"a number of more than {LONGEST} digits stands there")
    text = value if isinstance(value, str) else f"{value:.15g}" if isinstance(value, float) else str(value)
    if len(text) > LONGEST:
        raise Unreadable(f"{len(text)} characters stand there; at most {LONGEST} are read")
    return text.strip()


def wanted(row: Mapping[str, Any], key: str) -> str:
    """The text of a cell that may not be empty."""
    text = text_of(row.get(key, ""))
    if not text:
        raise Unreadable(f"{key} is missing")
    return text


def names_in(value: Any) -> list[str]:
    """Texts in a list, or with commas between them."""
    if isinstance(value, str):
        value = [part for part in re.split(r"[,;\n]", value[: LONGEST * 10]) if part.strip()]
    if not isinstance(value, (list, tuple)) or len(value) > MOST_ROWS:
        raise Unreadable(f'{short(repr(value))} stands there; a list such as ["preamps (stage)"] is wanted')
    return [text for text in (text_of(one) for one in value) if text]


def place_of(row: Mapping[str, Any]) -> str:
    """Where something is; empty where nothing is said."""
    at = text_of(row.get("at", ""))
    known = {each: (f"on {each}", f"the {each}", f"on the {each}", f"at the {each}") for each in AT}
    return one_of(at, known, "at") if at else ""


def one_of(text: str, known: Mapping[str, tuple[str, ...]], key: str) -> str:
    """The one of several names that is meant."""
    for name, others in known.items():
        if plain(text) in map(plain, (name, *others)):
            return name
    raise Unreadable(f"{key}: “{short(text)}” stands there; allowed are {', '.join(known)}")


def numbers_of(value: Any, key: str) -> tuple[int, ...]:
    """Whole numbers: 3, [3, 4], "3, 4", "3 and 4" or "3-6"."""
    found: list[int] = []
    if isinstance(value, (list, tuple)):
        for one in value:
            _add(found, numbers_of(one, key), key)
        return tuple(found)
    if isinstance(value, bool) or not isinstance(value, (str, int)):
        raise Unreadable(f"{key}: {short(repr(value))} stands there; whole numbers in figures are wanted")
    if isinstance(value, int):
        value = str(value) if abs(value) <= MOST else "a long one"
    text = in_figures(as_usual(value).casefold().strip(" ."))
    if not text:
        return ()
    for piece in re.split(r"\s*(?:,|;|\band\b|\s)\s*", re.sub(r"\s*(?:-|–|\bto\b)\s*", "-", text[:LONGEST])):
        span = re.fullmatch(r"([0-9]{1,4})(?:-([0-9]{1,4}))?", piece, re.ASCII)
        if span is None:
            raise Unreadable(
                f"{key}: “{short(text)}” stands there; whole numbers in figures up to {MOST} are wanted"
            )
        first, last = int(span[1]), int(span[2] or span[1])
        if not first <= last < first + MOST_NUMBERS:
            raise Unreadable(f"{key}: “{short(text)}” counts backwards or too far")
        _add(found, range(first, last + 1), key)
    return tuple(found)


def _add(found: list[int], more: Sequence[int], key: str) -> None:
    if len(found) + len(more) > MOST_NUMBERS:
        raise Unreadable(f"{key}: more than {MOST_NUMBERS} numbers stand there")
    found += more


THROUGH = get_args(get_type_hints(Mix)["through"])
_REMARK = re.compile(r"\s*\([^()]*\)\s*$")


class NotPossible(ValueError):
    """A change that nobody has agreed to, or that this gig or desk does not offer."""


def item_named(text: str, items: Mapping[str, str]) -> str:
    """The key path of what somebody named, by its path or by its name alone.

    Parameters
    ----------
    text : str
        What was written.
    items : dict of str to str
        The name of each item by its key path.

    Returns
    -------
    str
        The key path.

    Raises
    ------
    NotPossible
        If there is no such item, or several of that name.
    """
    if text in items:
        return text
    by_case = " ".join(text.casefold().split())
    same: list[str] = []
    for typed, folded in (
        (by_case, str.casefold),
        (plain(text), plain),
        (plain(_REMARK.sub("", text)), plain),
    ):
        if typed and not same:
            same = [path for path, name in items.items() if typed in map(folded, _called(path, name))]
    if len(same) == 1:
        return same[0]
    if same:
        raise NotPossible(f"“{short(text)}” may be {listed(same)}: write which")
    raise NotPossible(f"“{short(text)}” is nothing that is in this gig")


def _called(path: str, name: str) -> Iterator[str]:
    """What an item may be called: its path, its name, and its name with its kind or with whoever plays it."""
    kind, *rest = path.split(".")
    beside = (*THROUGH, "mix") if kind == "mix" else (kind, *rest[:1])
    yield from (name, path, f"{kind} {name}")
    yield from (f"{name} ({each})" for each in beside if each != name)


def items_of(gig: Gig) -> dict[str, str]:
    """Everything in a gig that sits somewhere on a desk: its name by its key path.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    dict of str to str
    """
    items = {"mains": "mains"} | {path: source.name for path, source in gig.sources}
    if gig.wants_talkback:
        items["desk.talkback"] = "talkback"
    return items | {path: thing.name for path, thing in things_of(gig)}


def things_of(gig: Gig) -> tuple[tuple[str, Mix | Effect | Zone | Feed], ...]:
    """The mixes that the desk itself makes, the effects, zones and feeds of a gig, each with its key path.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    tuple of (str, Mix, Effect, Zone or Feed)
    """
    own = {f"mix.{mix.name}" for mix in gig.own_mixes}
    return tuple((path, thing) for path, thing in gig.things if path[:4] != "mix." or path in own)


def labels_of(gig: Gig) -> dict[str, str]:
    """The shortest way to name each thing that nothing else shares: its name, its kind with it, or its path.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    dict of str to str
        By key path.
    """
    items = items_of(gig)
    kinds = {path: f"{path.split('.')[0]} {name}" for path, name in items.items()}
    named, of_kind = (Counter(map(str.casefold, names.values())) for names in (items, kinds))

    def label(path: str) -> str:
        if named[items[path].casefold()] == 1:
            return items[path]
        return kinds[path] if of_kind[kinds[path].casefold()] == 1 else path

    return {path: label(path) for path in items}


LARGEST_BYTES = 200_000
MOST_IN_ALL = 10_000
"""Numbers that all cells together may hold."""
MOST_FAULTS = 50
LONGEST_NOTES = 4000

T = TypeVar("T")


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
        return guarded(raw.decode("utf-8-sig"), file)
    except UnicodeDecodeError:
        raise BadFile(file, "", "this is not UTF-8 text.", "Save the file as UTF-8 in your editor.") from None


class _Reader:
    """Reads part by part; each fault costs that part alone."""

    KNOWN = (
        *("format", "class", "trainee", "variant", "question", "problem", "name", "notes"),
        *("counts", "verdict", "changes", "placement", "inputs", "safety"),
    )
    LISTS = ("short", "no_spare", "bring", "ask")

    def __init__(self) -> None:
        self.faults: list[str] = []
        self.numbers = 0

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
            lists={key: self.names(verdict, key) for key in self.LISTS},
            changes=tuple(self.rows(table, "changes", self.change)),
            places=tuple(self.rows(table, "placement", self.place)),
            inputs=tuple(self.rows(table, "inputs", self.input)),
            safety=self.texts(table, "safety"),
            notes=notes[:LONGEST_NOTES],
            faults=tuple(self.faults),
        )

    def fault(self, text: str) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(text)
        elif len(self.faults) == MOST_FAULTS:
            self.faults.append("and more that cannot be read")

    def part(self, table: Mapping[str, Any], key: str, kind: type, otherwise: Any) -> Any:
        found = table.get(key, otherwise)
        if isinstance(found, kind):
            return found
        wanted = 'a text in "quotes"' if kind is str else f"a table [{key}]"
        self.fault(f"{key}: {short(repr(found))} stands there; {wanted} is wanted")
        return otherwise

    def tried(self, where: str, read: Callable[[Any], T], value: Any, otherwise: T) -> T:
        """What a part says, or a fault and what stands for it."""
        try:
            return read(value)
        except Unreadable as why:
            self.fault(f"{where}: {why}")
            return otherwise

    def texts(self, table: Mapping[str, Any], key: str) -> dict[str, str]:
        cells = self.part(table, key, Mapping, {}).items()
        read = {name: self.tried(f"{key}, {short(str(name))}", text_of, value, "") for name, value in cells}
        return {str(name)[:LONGEST]: text for name, text in read.items() if text}

    def word(self, verdict: Mapping[str, Any]) -> str:
        for key in verdict:
            if key not in ("word", *self.LISTS):
                self.fault(f"verdict: “{short(str(key))}” is not known here")
        said = self.tried("verdict, word", text_of, verdict.get("word", ""), "")
        word = verdict_in(said)
        if said and not word:
            self.fault(f"verdict, word: “{short(said)}” is none of {', '.join(VERDICTS)}")
        return word

    def names(self, verdict: Mapping[str, Any], key: str) -> tuple[str, ...]:
        return tuple(
            dict.fromkeys(self.tried(f"verdict, {key}", names_in, verdict.get(key, []), list[str]()))
        )

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
            named = row.get("item", row.get("source", ""))
            name = f" ({short(named)})" if isinstance(named, str) and named else ""
            one = self.tried(f"{key}, row {n}{name}", partial(read, n), row, None)
            if one is not None:
                yield one

    def place(self, n: int, row: Mapping[str, Any]) -> GivenPlace | None:
        only(row, ("item", "on", "at", "number", "tap"))
        on, numbers = text_of(row.get("on", "")), self.counted(row, "number")
        if not on and not numbers:
            return None
        if not on or not numbers:
            raise Unreadable("both on and number are wanted")
        tap = text_of(row.get("tap", ""))
        return GivenPlace(
            n, wanted(row, "item"), one_of(on, ON, "on"), place_of(row),
            numbers, one_of(tap, TAPS, "tap") if tap else "",
        )  # fmt: skip

    def counted(self, row: Mapping[str, Any], key: str) -> tuple[int, ...]:
        numbers = numbers_of(row.get(key, ""), key)
        self.numbers += len(numbers)
        if self.numbers > MOST_IN_ALL:
            raise Unreadable(f"more than {MOST_IN_ALL} numbers stand in the file")
        return numbers

    def change(self, n: int, row: Mapping[str, Any]) -> GivenChange | None:
        only(row, ("kind", "item", "to", "count"))
        kind = " ".join(text_of(row.get("kind", "")).casefold().split())
        if not kind and not text_of(row.get("item", "")):
            return None
        if not kind:
            raise Unreadable("kind is missing")
        count = numbers_of(row.get("count", 1), "count")
        if len(count) != 1:
            raise Unreadable("count: one whole number is wanted")
        return GivenChange(n, kind, text_of(row.get("item", "")), text_of(row.get("to", "")), count[0])

    def input(self, n: int, row: Mapping[str, Any]) -> GivenInput | None:
        only(row, ("channel", "source", "by", "phantom", "at", "to"))
        channels = self.counted(row, "channel")
        by, phantom = text_of(row.get("by", "")), row.get("phantom", "")
        if not channels and not by:
            return None
        known = {"mic": ("microphone",), "DI": ("di", "di box"), "line": (), "return": ("effects return",)}
        if isinstance(phantom, str):
            plain = phantom.strip().casefold()
            yes_no = {"": None, "yes": True, "no": False, "on": True, "off": False}
            if plain not in yes_no:
                raise Unreadable(f"phantom: “{short(phantom)}” stands there; true or false is wanted")
            phantom = yes_no[plain]
        elif not isinstance(phantom, bool):
            raise Unreadable(f"phantom: {short(repr(phantom))} stands there; true or false is wanted")
        return GivenInput(
            n, wanted(row, "source"), channels, one_of(by, known, "by") if by else "", phantom,
            place_of(row), tuple(names_in(row.get("to", []))),
        )  # fmt: skip
