"""A gig rewritten by steps that are known to be allowed, thing by thing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from gigsums.gig import Gig, Source, most

Step = tuple[str, str]
"""What kind of change, and where it leads."""


class Edits:
    """Rewrites a gig by what happens to each of its things.

    Parameters
    ----------
    given : Gig
        The gig as asked.
    sources : mapping of str to Counter
        How many of each source take which steps, by key path.
    steps : mapping of str to sequence
        The steps of every mix, effect, zone, feed and sub-mixed player, by key path.
    """

    def __init__(
        self, given: Gig, sources: Mapping[str, Counter[Step]], steps: Mapping[str, Sequence[Step]]
    ) -> None:
        self.given, self.sources, self.steps = given, sources, steps

    def gig(self) -> Gig:
        """The gig as the steps leave it."""
        gig = self.given
        renamed: dict[str, str | None] = {}
        performers = []
        for player in gig.performers:
            mixed = bool(self.steps.get(f"performer.{player.name}"))
            kept = [s for s in player.sources if not (mixed and s.at_mic_level)]
            if mixed:
                renamed |= {s.name: None for s in player.sources if s.at_mic_level}
            made = self._made(f"performer.{player.name}.sources.", kept, renamed)
            made += [Source(f"{player.name}'s sub-mix", "line", stereo=True)] if mixed else []
            performers.append(replace(player, sources=tuple(made)))
        edited = replace(
            gig,
            talkback=gig.wants_talkback,  # whoever shares or loses a mix must still be spoken to
            performers=tuple(performers),
            lines=tuple(self._made("line.", gig.lines, renamed)),
            mixes=self._mixes(renamed),
            effects=tuple(self._kept("effect.", gig.effects, renamed)),
            zones=tuple(self._kept("zone.", gig.zones, renamed)),
            feeds=tuple(self._kept("feed.", gig.feeds, renamed)),
        )
        return _heard_again(edited, renamed) if renamed else edited

    def _made(self, prefix: str, sources: Sequence[Any], renamed: dict[str, str | None]) -> list[Any]:
        """Sources with their changes; those of one name that differ now get names of their own."""
        made = []
        for source in sources:
            steps = self.sources.get(prefix + source.name)
            if not steps:
                made.append(source)
                continue
            each = Counter(
                tuple(step for step, number in steps.items() if number > n) for n in range(most(source.count))
            )
            left = [
                (taken, n) for taken, n in each.items() if not any(kind[:4] == "drop" for kind, _ in taken)
            ]
            left.sort(key=lambda entry: len(entry[0]))
            for k, (taken, number) in enumerate(left, start=1):
                name = source.name if k == 1 else f"{source.name} ({k})"
                count = source.count if number == most(source.count) else number
                made.append(_changed(replace(source, name=name, count=count), taken))
            if not left:
                renamed[source.name] = None
        return made

    def _mixes(self, renamed: dict[str, str | None]) -> tuple[Any, ...]:
        kept = {}
        for mix in self.given.mixes:
            steps = dict(self.steps.get(f"mix.{mix.name}", ()))
            if any(kind[:4] == "drop" for kind in steps):
                renamed[mix.name] = None
            elif "share" not in steps:
                mono = replace(mix, stereo=False) if "mono" in steps else mix
                kept[mix.name] = replace(mono, at=steps.get("relocate", mix.at))  # type: ignore[arg-type]
        for mix in self.given.mixes:
            host = dict(self.steps.get(f"mix.{mix.name}", ())).get("share")
            if host:
                found = kept[host]
                kept[host] = replace(
                    found, listeners=(*found.listeners, *mix.listeners), boxes=found.boxes + mix.boxes
                )
                renamed[mix.name] = host
        return tuple(kept.values())

    def _kept(self, prefix: str, things: Sequence[Any], renamed: dict[str, str | None]) -> list[Any]:
        kept = []
        for thing in things:
            steps = dict(self.steps.get(prefix + thing.name, ()))
            if any(kind[:4] == "drop" for kind in steps):
                renamed[thing.name] = None
                continue
            edits: dict[str, dict[str, Any]] = {
                "reroute": {"fed_from": steps.get("reroute") if prefix == "zone." else None},
                "relocate": {"at": steps.get("relocate")},
                "outboard delay": {"delay_by": "unit"},
                "outboard effect": {"by": "unit"},
            }
            for kind in steps:
                thing = replace(thing, **edits[kind])
            kept.append(thing)
        return kept


def _changed(source: Any, steps: tuple[Step, ...]) -> Any:
    for kind, to in steps:
        if kind == "relocate":
            source = replace(source, at=to)
        if kind in ("line level", "outboard preamp"):
            source = replace(source, level="line", phantom="indifferent")
        if kind == "phantom blocker":
            source = replace(source, phantom="indifferent")
    return source


def _heard_again(gig: Gig, renamed: dict[str, str | None]) -> Gig:
    """Names that went or were merged, put right wherever something is heard."""

    def heard(names: tuple[str, ...]) -> tuple[str, ...]:
        now = (renamed.get(name, name) for name in names)
        return tuple(dict.fromkeys(name for name in now if name is not None))

    def source(one: Any) -> Any:
        return one if one.heard_in is None else replace(one, heard_in=heard(one.heard_in))

    return replace(
        gig,
        performers=tuple(replace(p, sources=tuple(source(s) for s in p.sources)) for p in gig.performers),
        lines=tuple(source(s) for s in gig.lines),
        effects=tuple(replace(e, heard_in=heard(e.heard_in)) for e in gig.effects),
        feeds=tuple(replace(f, without=heard(f.without)) for f in gig.feeds),
    )
