"""Turns what a validator found into the one sentence a person needs: where, what stood there, what is allowed."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_type_hints

from pydantic import ValidationError

UNKNOWN_KEY = ("unexpected_keyword_argument", "extra_forbidden")


def explain(error: ValidationError, table: dict[str, Any], kind: type) -> tuple[str, str]:
    """The first thing wrong in a table, as a key path with names, and a sentence.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    table : dict
        The table as read.
    kind : type
        The dataclass it was to become.

    Returns
    -------
    tuple of (str, str)
        Key path such as ``"performer.Ada.sources.Kick.by"``, and what is wrong and allowed there.
    """
    found: list[dict[str, Any]] = [dict(e) for e in error.errors(include_url=False)]
    found.sort(key=lambda e: e["type"] == "missing")
    first = found[0]
    loc = [part for part in first["loc"] if _is_key(part)]
    same = [e for e in found if [p for p in e["loc"] if _is_key(p)][: len(loc)] == loc]
    if first["type"] in UNKNOWN_KEY:
        return _key_path(loc, table), _unknown(str(loc[-1]), _keys_at(kind, loc[:-1]))
    return _key_path(loc, table), _sentence(first, same, loc)


def _is_key(part: Any) -> bool:
    """Pydantic puts the tried type's name into a location; only indices and TOML keys are kept."""
    return (
        isinstance(part, int)
        or (part[:1].islower() and "[" not in part and "-" not in part)
        or part == "in-ears"
    )


def _key_path(loc: list[Any], table: Any) -> str:
    words: list[str] = []
    here = table
    for part in loc:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(part, int):
            name = here.get("name") if isinstance(here, dict) else None
            named = isinstance(name, str) and name
            words.append(short(name, quoted=False) if named else f"number {part + 1}")
        else:
            words.append(part)
    return ".".join(words)


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


def _sentence(first: dict[str, Any], same: list[dict[str, Any]], loc: list[Any]) -> str:
    kind, context = first["type"], first.get("ctx") or {}
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        return (
            'this key is not known here. Check its spelling against "gigsums new gig" or "gigsums new desk".'
        )
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


def _unknown(key: str, allowed: list[str]) -> str:
    return f"this key is not known here. {meant(key, allowed)}Allowed: {', '.join(allowed)}."


def meant(word: str, known: Iterable[str]) -> str:
    """Which of the known words was meant, asked as a question with a space behind it; nothing where none is near."""
    by_small = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), by_small, 1)
    return f'Did you mean "{by_small[near[0]]}"? ' if near else ""


def _keys_at(kind: Any, loc: list[Any]) -> list[str]:
    """The keys a file may hold at a place, under the names they have in the file."""
    for part in loc:
        if isinstance(part, str):
            kind = next((hint for name, hint in _file_keys(kind) if name == part), None)
        kind = next(
            (inner for inner in _inside(kind) if isinstance(inner, type) and is_dataclass(inner)), None
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


def _inside(hint: Any) -> Iterator[Any]:
    yield hint
    for argument in get_args(hint):
        yield from _inside(argument)
