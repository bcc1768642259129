"""The one way to change a gig or a desk: steps carried out. Whether anybody agreed to them is for others to say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from .desk import Desk, Inputs, Option, Outputs
from .model import Gig, Mix, Source, most

Kind = Literal[
    "reroute", "relocate", "drop nice", "drop want", "mono", "share", "line level", "phantom blocker",
    "outboard preamp", "outboard delay", "outboard effect", "sub-mixer", "stage box",
]  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One change to one thing.

    Parameters
    ----------
    kind : str
        What is done; the house policy has a price for each kind.
    to : str
        Where it goes, by what way it is fed, or whose mix is shared; empty where the kind asks for nothing.
    item : str
        Key path of what is changed.
    unit : int
        Which one of a counted source, from 1.
    """

    kind: Kind
    to: str = ""
    item: str = ""
    unit: int = 1


@dataclass(frozen=True)
class Edited:
    """A gig and a desk after steps.

    Parameters
    ----------
    gig : Gig
        The gig as changed.
    desk : Desk
        The desk, with any box that was added.
    names : mapping of (str, int) to str
        Key path there of everything that is left, by its key path and unit before.
    """

    gig: Gig
    desk: Desk
    names: Mapping[tuple[str, int], str]


def apply(gig: Gig, desk: Desk, steps: Iterable[Step]) -> Edited:
    """Carry out steps on a gig and a desk.

    Units of a source that are no longer alike become sources of their own, with a number behind the name. A name goes
    from every list once nothing of that name is left; whatever a source becomes is left out of a feed as it was.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    steps : iterable of Step
        What to do.

    Returns
    -------
    Edited

    Raises
    ------
    ValueError
        If a step is about something that the gig and the desk do not have.
    """
    taken: dict[tuple[str, int], list[Step]] = defaultdict(list)
    for step in steps:
        taken[step.item, step.unit].append(step)
    names = {(path, 1): path for path in ("mains", "desk.talkback")}
    became: dict[str, list[str]] = defaultdict(list)
    performers = tuple(
        replace(p, sources=_sources(f"performer.{p.name}", p.sources, taken, names, became))
        for p in gig.performers
    )
    lines = _sources("line", gig.lines, taken, names, became)
    mixes, hosts = _mixes(gig.mixes, taken, names)
    effects, zones, feeds = (
        _kept(kind, things, taken, names)
        for kind, things in (("effect", gig.effects), ("zone", gig.zones), ("feed", gig.feeds))
    )
    changed_desk = _with_boxes(desk, [o for o in desk.options if taken.pop((f"option.{o.name}", 1), ())])
    if taken:
        raise ValueError(f"there is no {' or '.join(path for path, _ in taken)} to change")

    players = {p.name for p in performers}
    places = {"mains"} | players | {t.name for things in (mixes, zones, feeds) for t in things}

    def heard(listed: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(name for name in (hosts.get(n, n) for n in listed) if name in places))

    def source(one: Any) -> Any:
        return one if one.heard_in is None else replace(one, heard_in=heard(one.heard_in))

    def without(listed: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(n for name in listed for n in [name] * (name in players) + became[name]))

    changed = replace(
        gig,
        talkback=gig.wants_talkback,  # whoever shares or loses a mix must still be spoken to
        performers=tuple(replace(p, sources=tuple(map(source, p.sources))) for p in performers),
        lines=tuple(map(source, lines)),
        mixes=mixes,
        effects=tuple(replace(e, heard_in=heard(e.heard_in)) for e in effects),
        zones=zones,
        feeds=tuple(replace(f, without=without(f.without)) for f in feeds),
    )
    return Edited(changed, changed_desk, names)


_Taken = dict[tuple[str, int], list[Step]]
_Names = dict[tuple[str, int], str]


def _drops(steps: Iterable[Step]) -> bool:
    return any(step.kind in ("drop nice", "drop want") for step in steps)


def _sources(
    owner: str, sources: Sequence[Any], taken: _Taken, names: _Names, became: dict[str, list[str]]
) -> tuple[Any, ...]:
    """A player's sources or the lines, split where units differ, and the player's sub-mix where one is made."""
    prefix = f"{owner}.sources." if owner != "line" else "line."
    made: list[Any] = []
    mixed = taken.pop((owner, 1), ())
    sub_mix = _free(f"{owner.partition('.')[2]}'s sub-mix", 1, sources)
    for source in sources:
        path = prefix + source.name
        if mixed and source.at_mic_level:
            became[source.name].append(sub_mix)
            continue
        alike: dict[tuple[tuple[Kind, str], ...], list[int]] = defaultdict(list)
        for unit in range(1, most(source.count) + 1):
            does = taken.pop((path, unit), [])
            if not _drops(does):
                alike[tuple(sorted((step.kind, step.to) for step in does))].append(unit)
        ordered = sorted(alike.items(), key=lambda group: (len(group[0]), group[0]))
        for number, (changes, units) in enumerate(ordered, start=1):
            name = source.name if number == 1 else _free(source.name, number, sources, made)
            count = source.count if len(units) == most(source.count) else len(units)
            made.append(_changed(replace(source, name=name, count=count), changes))
            became[source.name].append(name)
            names |= {(path, unit): prefix + name for unit in units}
    if mixed:
        made.append(Source(sub_mix, "line", stereo=True))
        names[owner, 1] = prefix + sub_mix
    return tuple(made)


def _changed(source: Any, changes: tuple[tuple[Kind, str], ...]) -> Any:
    for kind, to in changes:
        if kind == "relocate":
            source = replace(source, at=to)
        elif kind in ("line level", "outboard preamp"):
            source = replace(source, level="line", phantom="indifferent")
        elif kind == "phantom blocker":
            source = replace(source, phantom="indifferent")
    return source


def _free(name: str, number: int, *taken: Iterable[Any]) -> str:
    """The name with the number behind it, or the next that no source of the same player has; 1 is not shown."""
    have = {source.name for sources in taken for source in sources}
    while (numbered := name if number == 1 else f"{name} ({number})") in have:
        number += 1
    return numbered


def _mixes(mixes: Sequence[Mix], taken: _Taken, names: _Names) -> tuple[tuple[Mix, ...], dict[str, str]]:
    """The mixes that are left, and the host of each that is shared."""
    kept: dict[str, Mix] = {}
    hosts: dict[str, str] = {}
    for mix in mixes:
        steps = taken.pop((f"mix.{mix.name}", 1), [])
        does = {step.kind: step.to for step in steps}
        if "share" in does:
            hosts[mix.name] = does["share"]
        elif not _drops(steps):
            changes: dict[str, Any] = {"at": does.get("relocate", mix.at)}
            changes |= {"stereo": False} if "mono" in does else {}
            kept[mix.name] = replace(mix, **changes)
            names[f"mix.{mix.name}", 1] = f"mix.{mix.name}"
    for mix in mixes:
        if mix.name not in hosts:
            continue
        host = kept.get(hosts[mix.name])
        if host is None:
            raise ValueError(f"there is no mix {hosts[mix.name]} left that {mix.name} could share")
        listeners = tuple(dict.fromkeys((*host.listeners, *mix.listeners)))
        kept[host.name] = replace(host, listeners=listeners, boxes=host.boxes + mix.boxes)
    return tuple(kept.values()), hosts


def _kept(kind: str, things: Sequence[Any], taken: _Taken, names: _Names) -> tuple[Any, ...]:
    """The effects, zones or feeds that are left, changed."""
    kept = []
    for thing in things:
        path = f"{kind}.{thing.name}"
        steps = taken.pop((path, 1), [])
        if _drops(steps):
            continue
        for step in steps:
            edits: dict[str, dict[str, Any]] = {
                "reroute": {"fed_from": step.to if kind == "zone" else None},
                "relocate": {"at": step.to},
                "outboard delay": {"delay_by": "unit"},
                "outboard effect": {"by": "unit"},
            }
            thing = replace(thing, **edits[step.kind])
        kept.append(thing)
        names[path, 1] = path
    return tuple(kept)


def _with_boxes(desk: Desk, added: Sequence[Option]) -> Desk:
    """The desk with boxes; their outputs are like the best in that place."""
    inputs, outputs = list(desk.inputs), list(desk.outputs)
    for option in added:
        here = [o for o in desk.outputs if o.at == option.at]
        like = max(here, key=lambda o: o.delay_up_to_ms, default=Outputs())
        inputs += [Inputs(at=option.at, mic=option.mic)] if option.mic else []
        outputs += [replace(like, at=option.at, line=option.line_out, record=0)] if option.line_out else []
    left = tuple(o for o in desk.options if o not in added)
    return replace(desk, inputs=tuple(inputs), outputs=tuple(outputs), options=left)
