"""What is wrong in a file, in the one sentence a person needs: where, what stood there, what is allowed."""

from __future__ import annotations

import datetime as dt
import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_type_hints

from pydantic import ValidationError

UNKNOWN_KEY = ("unexpected_keyword_argument", "extra_forbidden")
LONGEST_NAME = 200
Path = tuple[str | int, ...]
"""Keys, and places in lists counted from 0."""


def explain(error: ValidationError, table: Mapping[str, Any], kind: type) -> tuple[Path, str, str]:
    """The first thing wrong in a table: where, a sentence, and what to do.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    table : mapping
        The table as read.
    kind : type
        The dataclass it was to become.

    Returns
    -------
    tuple of (tuple, str, str)
        Keys and places, what is wrong and allowed there, and the advice, which may be empty.
    """
    found: list[tuple[Path, dict[str, Any]]] = [
        (_path_in(each["loc"], table, each["type"]), dict(each)) for each in error.errors(include_url=False)
    ]
    found.sort(key=lambda each: each[1]["type"] == "missing")
    path, first = found[0]
    if first["type"] in UNKNOWN_KEY:
        allowed = _keys_at(kind, path[:-1])
        return path, *unknown(str(path[-1]), allowed)
    return path, _sentence(first, [each for at, each in found if at[: len(path)] == path], path), ""


def _path_in(loc: Sequence[Any], table: Any, fault: str) -> Path:
    """What of a location stands in the table, and a last key that is missing; the rest names types that were tried."""
    path: list[str | int] = []
    here = table
    for n, part in enumerate(loc):
        there = inside(here, part)
        if there is not None:
            here = there
            path.append(part)
        elif (
            n == len(loc) - 1
            and (fault == "missing" or fault in UNKNOWN_KEY)
            and isinstance(here, Mapping | list)
            and isinstance(here, list) == isinstance(part, int)
        ):
            path.append(part)
    return tuple(path)


def inside(here: Any, part: str | int) -> Any:
    """What stands under a key or at a place; None where nothing does."""
    if isinstance(part, int):
        return here[part] if isinstance(here, list) and part < len(here) else None
    return here.get(part) if isinstance(here, Mapping) else None


def called(entry: Any, place: int) -> str:
    """What an entry of a list is called: its name, or its number."""
    name = entry.get("name") if isinstance(entry, Mapping) else None
    return name if isinstance(name, str) and 0 < len(name) <= LONGEST_NAME else f"number {place + 1}"


def named(table: Mapping[str, Any], path: Path) -> str:
    """Keys and places as a key path with names, such as ``"performer.Ada.sources.Kick.by"``."""
    here: Any = table
    words = []
    for part in path:
        here = inside(here, part)
        words.append((part or '""') if isinstance(part, str) else called(here, part))
    return ".".join(words)


def found(table: Mapping[str, Any], where: str) -> Path:
    """A key path with names as keys and places.

    Parameters
    ----------
    table : mapping
        The gig as plain values.
    where : str
        The key path.

    Returns
    -------
    tuple of str or int

    Raises
    ------
    ValueError
        If there is no such entry; the message lists those there are.
    """
    here: Any = table
    path: list[str | int] = []
    rest = where
    while rest:
        part: str | int
        if isinstance(here, list):
            names = {called(each, n): n for n, each in enumerate(here)}
            fits = [each for each in names if f"{rest}.".startswith(f"{each}.")]
            if not fits:
                listed = ", ".join(names) or "none yet"
                raise ValueError(f"there is no {where!r} in this gig; in that place there are: {listed}")
            name = max(fits, key=len)
            part = names[name]
        else:
            part = name = rest.split(".")[0]
        path.append(part)
        here = inside(here, part)
        rest = rest[len(name) + 1 :]
    return tuple(path)


def line_at(text: str, path: Path) -> int:
    """The line of a file on which a key stands, or what would hold it; 0 where that cannot be told.

    Each place that could be the key is given a name of its own, and what then stands in the table tells which it was.

    Parameters
    ----------
    text : str
        The file, in TOML.
    path : tuple of str or int
        Keys and places.

    Returns
    -------
    int
        Counted from 1.
    """
    try:
        here: Any = tomllib.loads(text)
        depth = 0
        while depth < len(path) and inside(here, path[depth]) is not None:
            here = inside(here, path[depth])
            depth += 1
        path = path[:depth]
        if path and isinstance(path[-1], int) and isinstance(here, dict) and here:
            path = (*path, next(iter(here)))
        while path and isinstance(path[-1], int):
            path = path[:-1]
        if not path:
            return 0
        key = re.escape(str(path[-1]))
        places = list(re.finditer(rf"""(?<![\w-])(?:{key}|"{key}"|'{key}')(?=[ \t]*[=.\]])""", text))
        ends = [0, *(place.end() for place in places)]
        marked = "".join(
            f"{text[end : place.start()]}line-{n}-of-a-key"
            for n, (end, place) in enumerate(zip(ends, places, strict=False))
        )
        here = tomllib.loads(marked + text[ends[-1] :])
        for part in path[:-1]:
            here = here[part]
        first = min(int(mark[1]) for each in here if (mark := re.fullmatch("line-([0-9]+)-of-a-key", each)))
    except (ValueError, RecursionError, KeyError, IndexError, TypeError):
        return 0
    return text.count("\n", 0, places[first].start()) + 1


_WANTED = {
    "int_type": "a whole number is wanted",
    "float_type": "a number is wanted",
    "bool_type": "true or false is wanted",
    "string_type": 'a text in "quotes" is wanted',
    "time_type": "a time such as 18:30:00 is wanted",
    "date_type": "a date such as 2027-09-18 is wanted",
    "tuple_type": "a list in [brackets] is wanted",
    "dataclass_type": "a table { key = value } is wanted",
    "finite_number": "a finite number is wanted",
    "string_too_short": "it may not be empty",
    "int_from_float": "a whole number is wanted",
}


def _sentence(first: dict[str, Any], same: list[dict[str, Any]], loc: Path) -> str:
    kind, context = first["type"], first.get("ctx") or {}
    if kind == "missing":
        return "it is missing and must be given."
    if kind == "string_too_long":
        return f"the text is too long; at most {context['max_length']} letters are read."
    stood = short(first["input"])
    if kind == "literal_error":
        allowed = re.sub(r"'([^']*)'", r'"\1"', str(context["expected"])).replace(" or ", ", ")
        return f"{stood} stands there; allowed: {allowed}."
    if kind == "tuple_type" and isinstance(first["input"], dict):
        if len(loc) == 1:
            return f"a single table stands there; begin each one with [[{loc[0]}]] in double brackets."
        return f"{stood} stands there; a list in [brackets] is wanted, even of one."
    limits = {"greater_than_equal": "ge", "less_than_equal": "le", "greater_than": "gt", "less_than": "lt"}
    if kind in limits:
        words = {"ge": "{} or more", "le": "{} or less", "gt": "more than {}", "lt": "less than {}"}[
            limits[kind]
        ]
        return f"{stood} stands there; {words.format(context[limits[kind]])} is allowed."
    if kind in ("too_short", "too_long") and "actual_length" in context:
        length = context.get("min_length", context.get("max_length"))
        return f"{context['actual_length']} values stand there; {length} are wanted."
    wanted = [_WANTED[e["type"]] for e in same if e["type"] in _WANTED]
    if len({e["type"] for e in same}) > 1 and "a whole number is wanted" in wanted:
        return f"{stood} stands there; a whole number, or {{ least = 1, most = 2 }} where it is not settled, is wanted."
    return f"{stood} stands there; {wanted[0] if wanted else first_lower(first['msg'])}."


def short(value: Any, quoted: bool = True) -> str:
    """A value as it would stand in a file, cut to what a message can hold; a text may go without its quotes."""
    shown = value if isinstance(value, str) and not quoted else _as_written(value)
    shown = "".join(each if each.isprintable() else " " for each in shown[:61])
    return shown if len(shown) <= 60 else shown[:57] + "..."


def _as_written(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        inside = ", ".join(f"{key} = {_as_written(each)}" for key, each in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_as_written, value))}]"
    return value.isoformat() if isinstance(value, dt.date | dt.time) else repr(value)


def first_lower(text: str) -> str:
    """The text with a small first letter."""
    return text[:1].lower() + text[1:]


def unknown(key: str, allowed: Sequence[str]) -> tuple[str, str]:
    """What to say of a key that is not known where it stands, and the advice."""
    near = meant(key, allowed)
    return (
        f"this key is not known here. {near}Allowed: {', '.join(allowed)}.",
        "Write it as it is meant, or take it out." if near else "Take it out, or write one of these.",
    )


def meant(word: str, known: Iterable[str]) -> str:
    """Which of the known words was meant, asked as a question with a space behind it; nothing where none is near."""
    by_small = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), by_small, 1)
    return f'Did you mean "{by_small[near[0]]}"? ' if near else ""


def _keys_at(kind: Any, loc: Path) -> list[str]:
    """The keys a file may hold at a place, under the names they have in the file."""
    for part in loc:
        if isinstance(part, str):
            kind = next((hint for name, hint in _file_keys(kind) if name == part), None)
        kind = next(
            (inner for inner in _hints_in(kind) if isinstance(inner, type) and is_dataclass(inner)), None
        )
        if kind is None:
            return []
    return [name for name, _ in _file_keys(kind)]


def _file_keys(kind: Any) -> Iterator[tuple[str, Any]]:
    hints = get_type_hints(kind, include_extras=True)
    for field in fields(kind):
        metadata = getattr(hints[field.name], "__metadata__", ())
        alias = next((m.alias for m in metadata if getattr(m, "alias", None)), None)
        yield alias or field.name, hints[field.name]


def _hints_in(hint: Any) -> Iterator[Any]:
    yield hint
    for argument in get_args(hint):
        yield from _hints_in(argument)


GENERAL = 'Texts stand in "quotes", times are written 18:30:00, lists in [brackets].'
QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')
CURLY = re.compile("[\u2018\u2019\u201a\u201c\u201d\u201e\u00ab\u00bb]")

_SLIPS = (
    (r"=\s*(True|False|TRUE|FALSE|Yes|No|YES|NO|yes|no)\b", "Write true or false, small and without quotes."),
    (r"=\s*\d{1,2}(:\d\d\s*$|([:.]\d\d)?\s*[ap]\.?m\b)", "A time is written with its seconds: 19:00:00."),
    (r"=\s*\d{1,4}[./]\d{1,2}[./]\d{1,4}", "A date is written 2027-09-18."),
    (r"[=,{\[]\s*\d+,\d+\b", "Write a point in a number, not a comma: 24.5."),
    (r";", "Put commas between, and every key on a line of its own; a spreadsheet's semicolons are not read."),
    (r"=\s*$", "Something has to stand behind the equals sign."),
    (r"^\s*\[?[\w ]+\]?\s*$", "A key has an equals sign behind it; the head of a table stands in [brackets]."),
    (r"=\s*[A-Za-z]", "A text stands in quotes: \"so\"."),
)  # fmt: skip


def not_toml(text: str, error: ValueError) -> tuple[int, str, str]:
    """Where a text is not TOML, what stands there, and what to do.

    Parameters
    ----------
    text : str
        The file as read.
    error : ValueError
        What the reader of TOML found.

    Returns
    -------
    tuple of (int, str, str)
        The line, counted from 1, 0 where it is not known; the problem; the advice.
    """
    if "\r" in text.replace("\r\n", ""):
        return (
            0,
            "this is not TOML: its lines end in a way that is not read.",
            "Save it with Unix or Windows line ends.",
        )
    what = first_lower(re.sub(r" \(at .*\)$", "", str(error)))
    found = re.search(r"at line (\d+)", str(error))
    if found is None:
        return 0, f"this is not TOML: {what} at the end of the file.", GENERAL
    number = int(found[1])
    line = ([*text.split("\n"), ""][number - 1]).strip()
    stood = short(line, quoted=False) or "nothing"
    return number, f"this is not TOML: {stood} stands there ({what}).", _advice(line, what)


def _advice(line: str, what: str) -> str:
    head = re.match(r"\[{1,2}\s*([\w.]+)", line)
    if head and ("overwrite" in what or "declare" in what):
        return f"Where there are several, each begins with [[{head[1]}]] in double brackets."
    if "overwrite" in what or "duplicate" in what:
        return "This key stands there twice: take one away, or begin a table of its own."
    if head and ("unclosed array" in what or "invalid value" in what):
        return "A list that is opened with [ above this line is not closed with ]."
    bare = QUOTED.sub('""', line)
    if CURLY.search(bare):
        return 'Type straight quotation marks, "so"; an editor for letters makes curly ones.'
    if bare.count('"') % 2:
        return "A quotation mark is missing on this line."
    if bare.count("{") > bare.count("}"):
        return "A table in { } begins and ends on one line."
    return next((advice for slip, advice in _SLIPS if re.search(slip, bare)), GENERAL)
