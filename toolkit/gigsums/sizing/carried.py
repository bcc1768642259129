"""The gig and the desk as they stand once a solution's changes are made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from ..gig import Desk, Gig, Inputs, Mix, Outputs, Source
from .change import Change, price
from .exact import Solution
from .places import units
from .ways import Problem, Step, Way

T = TypeVar("T")


@dataclass(frozen=True)
class Changed:
    """A gig and a desk after changes, and what each placed unit is called there.

    Parameters
    ----------
    gig : Gig
        The gig as changed.
    desk : Desk
        The desk, with any box that was added.
    changes : tuple of Change
        What was changed.
    names : dict of int to str
        Key path in the changed gig of each unit that is still placed, by its position in `units`.
    routes : dict of str to str
        Which way each zone, feed and effect goes, by key path.
    """

    gig: Gig
    desk: Desk
    changes: tuple[Change, ...]
    names: dict[int, str]
    routes: dict[str, str]


def carry_out(problem: Problem, solution: Solution) -> Changed:
    """The gig and the desk as a solution changes them.

    Parameters
    ----------
    problem : Problem
        What was solved.
    solution : Solution
        Its answer.

    Returns
    -------
    Changed
    """
    listed = units(problem, solution)
    editor = _Editor(problem, listed)
    gig = editor.gig()
    changes = []
    for path, way in listed:
        for step in way.steps:
            to = editor.hosts.get(path, step.to) if step.kind == "share" else step.to
            changes.append(price(problem.policy, step.kind, path, to))
    changes.sort(key=lambda c: (c.points, c.kind))
    routes = {path: way.route for path, way in listed if way.route}
    return Changed(gig, editor.desk(), tuple(changes), editor.names, routes)


class _Editor:
    """Rewrites a gig by what happens to each of its units."""

    def __init__(self, problem: Problem, listed: list[tuple[str, Way]]) -> None:
        self.problem = problem
        self.listed = listed
        self.names: dict[int, str] = {}
        self.gone: set[str] = set()
        self.merged: dict[str, str] = {}
        self.hosts: dict[str, str] = {}
        self.added = {path for path, way in listed if any(s.kind == "stage box" for s in way.steps)}
        self.by_path: dict[str, list[tuple[int, Way]]] = defaultdict(list)
        for n, (path, way) in enumerate(listed):
            self.by_path[path].append((n, way))

    def gig(self) -> Gig:
        gig = self.problem.gig
        for path in ("mains", "desk.talkback"):
            for n, _ in self.by_path.get(path, []):
                self.names[n] = path
        mixes = self._mixes(gig)
        changed = replace(
            gig,
            talkback=gig.wants_talkback,  # whoever shares or loses a mix must still be spoken to
            performers=tuple(
                replace(
                    p,
                    sources=(
                        *self._sources(f"performer.{p.name}.sources.", p.sources),
                        *self._sub_mix(p.name, p.sources),
                    ),
                )
                for p in gig.performers
            ),
            lines=self._sources("line.", gig.lines),
            mixes=mixes,
            effects=self._simple("effect.", gig.effects, self._effect),
            zones=self._simple("zone.", gig.zones, self._zone),
            feeds=self._simple("feed.", gig.feeds, self._feed),
        )
        return self._renamed(changed)

    def desk(self) -> Desk:
        desk = self.problem.desk
        inputs, outputs = list(desk.inputs), list(desk.outputs)
        for option in desk.options:
            if f"option.{option.name}" not in self.added:
                continue
            like = max(
                (o for o in desk.outputs if o.at == option.at),
                key=lambda o: o.delay_up_to_ms,
                default=Outputs(),
            )
            inputs += [Inputs(at=option.at, mic=option.mic)] if option.mic else []
            outputs += (
                [replace(like, at=option.at, line=option.line_out, record=0)] if option.line_out else []
            )
        left = tuple(o for o in desk.options if f"option.{o.name}" not in self.added)
        return replace(desk, inputs=tuple(inputs), outputs=tuple(outputs), options=left)

    def _sources(self, prefix: str, sources: tuple[T, ...]) -> tuple[T, ...]:
        made: list[Any] = []
        for source in sources:
            assert isinstance(source, Source)
            groups: dict[tuple[Step, ...], list[int]] = defaultdict(list)
            for n, way in self.by_path[prefix + source.name]:
                if way.route != "sub" and not any(s.kind.startswith("drop") for s in way.steps):
                    groups[way.steps].append(n)
            for k, (steps, members) in enumerate(groups.items(), start=1):
                name = source.name if k == 1 else _free(source.name, k, sources, made)
                count = (
                    source.count
                    if len(groups) == 1 and len(members) == len(self.by_path[prefix + source.name])
                    else len(members)
                )
                made.append(_changed_source(replace(source, name=name, count=count), steps))
                for n in members:
                    self.names[n] = prefix + name
            if not groups:
                self.gone.add(source.name)
        return tuple(made)

    def _sub_mix(self, owner: str, sources: tuple[Source, ...]) -> list[Source]:
        for n, way in self.by_path.get(f"performer.{owner}", []):
            if way.steps:
                name = _free(f"{owner}'s sub-mix", 1, sources)
                self.names[n] = f"performer.{owner}.sources.{name}"
                return [Source(name, "line", stereo=True)]
        return []

    def _mixes(self, gig: Gig) -> tuple[Mix, ...]:
        kept: list[Mix] = []
        merged: list[tuple[Mix, bool]] = []
        for mix in gig.mixes:
            if mix not in gig.own_mixes:
                kept.append(mix)
                continue
            n, way = self.by_path[f"mix.{mix.name}"][0]
            steps = {s.kind: s.to for s in way.steps}
            if any(kind.startswith("drop") for kind in steps):
                self.gone.add(mix.name)
                continue
            mono = replace(mix, stereo=False) if "mono" in steps else mix
            if "share" in steps:
                merged.append((mono, mono.is_stereo))
                continue
            kept.append(replace(mono, at=steps.get("relocate", mix.at)))  # type: ignore[arg-type]
            self.names[n] = f"mix.{mix.name}"
        for mix, stereo in sorted(merged, key=lambda entry: -entry[1]):
            host = next(
                k for k, h in enumerate(kept)
                if "share" in h.may and not h.sub_send and h.fed_by == "bus"
                and (h.through, self._was_at(gig, h)) == (mix.through, mix.at) and h.is_stereo >= stereo
            )  # fmt: skip
            found = kept[host]
            kept[host] = replace(
                found, listeners=(*found.listeners, *mix.listeners), boxes=found.boxes + mix.boxes
            )
            self.merged[mix.name] = found.name
            self.hosts[f"mix.{mix.name}"] = found.name
        return tuple(kept)

    def _was_at(self, gig: Gig, mix: Mix) -> str:
        return next(m.at for m in gig.mixes if m.name == mix.name)

    def _simple(self, prefix: str, things: tuple[T, ...], change: Callable[[Any, Way], Any]) -> tuple[T, ...]:
        made = []
        for thing in things:
            name = getattr(thing, "name")  # noqa: B009
            n, way = self.by_path[prefix + name][0]
            if any(s.kind.startswith("drop") for s in way.steps):
                self.gone.add(name)
                continue
            self.names[n] = prefix + name
            made.append(change(thing, way))
        return tuple(made)

    def _effect(self, effect: Any, way: Way) -> Any:
        return replace(effect, by="unit") if any(s.kind == "outboard effect" for s in way.steps) else effect

    def _zone(self, zone: Any, way: Way) -> Any:
        for step in way.steps:
            if step.kind == "reroute":
                zone = replace(zone, fed_from=step.to)
            if step.kind == "relocate":
                zone = replace(zone, at=step.to)
            if step.kind == "outboard delay":
                zone = replace(zone, delay_by="unit")
        return zone

    def _feed(self, feed: Any, way: Way) -> Any:
        for step in way.steps:
            if step.kind == "reroute":
                feed = replace(feed, fed_from=None)
            if step.kind == "relocate":
                feed = replace(feed, at=step.to)
        return feed

    def _renamed(self, gig: Gig) -> Gig:
        """Names that went or were merged, put right wherever something is heard or left out."""
        if not self.gone and not self.merged:
            return gig
        kinds: tuple[tuple[Any, ...], ...] = (gig.mixes, gig.performers, gig.zones, gig.feeds)
        places = {thing.name for things in kinds for thing in things}
        players = {p.name for p in gig.performers} | {s.name for _, s in gig.sources}

        def heard(names: tuple[str, ...]) -> tuple[str, ...]:
            now = (self.merged.get(name, name) for name in names)
            return tuple(dict.fromkeys(name for name in now if name in places or name not in self.gone))

        def source(one: T) -> T:
            assert isinstance(one, Source)
            return one if one.heard_in is None else replace(one, heard_in=heard(one.heard_in))

        return replace(
            gig,
            performers=tuple(replace(p, sources=tuple(source(s) for s in p.sources)) for p in gig.performers),
            lines=tuple(source(s) for s in gig.lines),
            effects=tuple(replace(e, heard_in=heard(e.heard_in)) for e in gig.effects),
            feeds=tuple(
                replace(f, without=tuple(n for n in f.without if n in players or n not in self.gone))
                for f in gig.feeds
            ),
        )


def _free(name: str, number: int, *taken: Iterable[Any]) -> str:
    """The name with the number behind it, or the next that no source of the same player has; 1 is not shown."""
    names = {source.name for sources in taken for source in sources}
    while (numbered := name if number == 1 else f"{name} ({number})") in names:
        number += 1
    return numbered


def _changed_source(source: Source, steps: tuple[Step, ...]) -> Source:
    for step in steps:
        if step.kind == "relocate":
            source = replace(source, at=step.to)  # type: ignore[arg-type]
        if step.kind in ("line level", "outboard preamp"):
            source = replace(source, level="line", phantom="indifferent")
        if step.kind == "phantom blocker":
            source = replace(source, phantom="indifferent")
    return source
