"""Places in a gig file, by names as its messages have them, and what is filled in there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .fields import LISTS, TABLES, TALKBACK, Group, Item
from .text import Place


@dataclass(frozen=True)
class Trouble:
    """Why the file cannot be counted: where, as a key path, and what is wrong in a sentence."""

    key: str
    said: str

    def __str__(self) -> str:
        return f"{self.key}: {self.said}" if self.key else self.said


def found(table: Mapping[str, Any], where: str) -> Place:
    """A key path with names as keys and places counted from 0.

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
        here = _inside(here, part)
        rest = rest[len(name) + 1 :]
    return tuple(path)


def named(table: Mapping[str, Any], path: Place) -> str:
    """Keys and places counted from 0 as a key path with names.

    Parameters
    ----------
    table : mapping
        The gig as plain values.
    path : sequence of str or int
        The keys and places.

    Returns
    -------
    str
    """
    here: Any = table
    words = []
    for part in path:
        here = _inside(here, part)
        words.append(part if isinstance(part, str) else called(here, part))
    return ".".join(words)


def called(entry: Any, place: int) -> str:
    """What an entry of a list is called: its name, or its number."""
    name = entry.get("name") if isinstance(entry, Mapping) else None
    return name if isinstance(name, str) and name else f"number {place + 1}"


def _inside(here: Any, part: str | int) -> Any:
    if isinstance(part, int):
        return here[part] if isinstance(here, list) and part < len(here) else None
    return here.get(part) if isinstance(here, Mapping) else None


def item_at(path: Place) -> Item:
    """What is filled in at a key; a key of the file that no field shows takes a value as it is.

    Parameters
    ----------
    path : sequence of str or int
        Keys, and places counted from 0.

    Returns
    -------
    Item
    """
    if tuple(path) == TALKBACK.path:
        return TALKBACK
    ends = [n for n, part in enumerate(path) if isinstance(part, int)]
    try:
        group = group_of(path[: ends[-1]]) if ends else TABLES[str(path[0])]
    except (ValueError, KeyError):
        return Item(str(path[-1]), str(path[-1]))
    key = ".".join(map(str, path[ends[-1] + 1 :] if ends else path[1:]))
    return next((item for item in group.items if item.key == key), Item(key, key))


def group_of(path: Place) -> Group:
    """What a list holds."""
    keys = [str(part) for part in path if not isinstance(part, int)]
    top = (LISTS | TABLES).get(keys[0]) if keys else None
    if top is not None and len(keys) == 1 and keys[0] in LISTS:
        return top
    if top is not None and len(keys) == 2 and top.inner is not None and top.inner.key == keys[1]:
        return top.inner
    lists = [*LISTS, *(f"{key}.{each.inner.key}" for key, each in TABLES.items() if each.inner)]
    raise ValueError(f"{'.'.join(map(str, path))!r} is no list of a gig; these are: {', '.join(lists)}")
