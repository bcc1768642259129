"""Turns what a validator found into the one sentence a person needs: where, what stood there, what is allowed."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
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
    return _key_path(loc, table), _sentence(first, same)


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
            words.append(name if isinstance(name, str) and name else f"number {part + 1}")
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


def _sentence(first: dict[str, Any], same: list[dict[str, Any]]) -> str:
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
        return f"{stood} stands there; allowed: {str(context['expected']).replace(' or ', ', ')}."
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


def short(value: Any) -> str:
    """A value as it would stand in a file, cut to what a message can hold."""
    shown = (
        f'"{value}"'
        if isinstance(value, str)
        else {True: "true", False: "false"}.get(value, repr(value))
        if isinstance(value, bool)
        else repr(value)
    )
    return shown if len(shown) <= 60 else shown[:57] + "..."


def first_lower(text: str) -> str:
    """The text with a small first letter."""
    return text[:1].lower() + text[1:]


def _unknown(key: str, allowed: list[str]) -> str:
    near = difflib.get_close_matches(key, allowed, 1)
    meant = f' Did you mean "{near[0]}"?' if near else ""
    return f"this key is not known here.{meant} Allowed: {', '.join(allowed)}."


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
