"""What things in a gig are called by those who answer: by their path, or by their name where it is the only one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, get_args, get_type_hints

from gigsums.gig import Gig, Mix
from gigsums.practice.wording import listed, short

from .cells import plain

THROUGH = get_args(get_type_hints(Mix)["through"])
_REMARK = re.compile(r"\s*\([^()]*\)\s*$")


class Refused(ValueError):
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
    Refused
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
        raise Refused(f"“{short(text)}” may be {listed(same)}: write which")
    raise Refused(f"“{short(text)}” is nothing that is in this gig")


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
    for kind, things in kinds_of(gig):
        items |= {f"{kind}.{thing.name}": thing.name for thing in things}
    return items


def kinds_of(gig: Gig) -> tuple[tuple[str, tuple[Any, ...]], ...]:
    """The mixes, effects, zones and feeds of a gig, each list with its kind.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    tuple of (str, tuple)
    """
    return ("mix", gig.own_mixes), ("effect", gig.effects), ("zone", gig.zones), ("feed", gig.feeds)


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
    alone = Counter(name.casefold() for name in items.values())
    labels = {}
    for path, name in items.items():
        kind = f"{path.split('.')[0]} {name}"
        if alone[name.casefold()] == 1:
            labels[path] = name
        elif sum(f"{p.split('.')[0]} {n}".casefold() == kind.casefold() for p, n in items.items()) == 1:
            labels[path] = kind
        else:
            labels[path] = path
    return labels
