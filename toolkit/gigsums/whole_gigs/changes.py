"""Changes that somebody asks for, carried out on the gig and the desk: what is allowed is done, the rest named."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, islice, product
from typing import Any, cast, get_args

from gigsums.gig import Desk, Gig, Mix, Source, Step, apply, load_policy, most
from gigsums.gig.edits import Kind
from gigsums.practice.wording import listed, short
from gigsums.sizing import Change
from gigsums.sizing.changes import price
from gigsums.sizing.ledgers import at_unity

from .answers import GivenChange, NotPossible, item_named, items_of, kinds_of

KINDS: tuple[str, ...] = (*get_args(Kind), "another desk")
DROPS = ("drop nice", "drop want")
MOST_READINGS = 32
"""Ways to read changes of counted sources that are tried."""


@dataclass(frozen=True)
class Applied:
    """A gig and a desk with changes made.

    Attributes
    ----------
    gig, desk : Gig, Desk
        As they stand then.
    changes : tuple of Change
        What was done, at the house policy's prices.
    refused : tuple of str
        What was not done, and why.
    otherwise : tuple of Gig
        The gig where the same changes fall on other units of a counted source; a row does not say on which.
    """

    gig: Gig
    desk: Desk
    changes: tuple[Change, ...]
    refused: tuple[str, ...]
    otherwise: tuple[Gig, ...] = ()

    @property
    def points(self) -> int:
        """What the changes cost [points]."""
        return sum(change.points for change in self.changes)


def apply_changes(
    gig: Gig, desk: Desk, wanted: Sequence[GivenChange], at_hand: Sequence[Desk] = ()
) -> Applied:
    """Carry out changes, those that nobody may make left out.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk that is planned.
    wanted : sequence of GivenChange
        What is to be done.
    at_hand : sequence of Desk
        Other desks that could be taken instead.

    Returns
    -------
    Applied
    """
    return _Bench(gig, desk, tuple(at_hand)).work(wanted)


class _Bench:
    def __init__(self, gig: Gig, desk: Desk, at_hand: tuple[Desk, ...]) -> None:
        self.gig, self.desk, self.at_hand = gig, desk, at_hand
        self.policy = gig.policy or load_policy()
        self.items = items_of(gig) | {f"performer.{p.name}": p.name for p in gig.performers}
        self.steps: dict[str, list[Step]] = defaultdict(list)
        self.used: Counter[str] = Counter()
        self.changes: list[Change] = []
        self.refused: list[str] = []

    def work(self, wanted: Sequence[GivenChange]) -> Applied:
        ranks = {
            "another desk": 0,
            "sub-mixer": 0,
            "share": 2,
        }  # what others hang on first, what hangs on others last
        for one in sorted(wanted, key=lambda change: ranks.get(change.kind, 1)):
            try:
                self.take(one)
            except NotPossible as why:
                self.refused.append(f"{one.kind}: {why}")
        each = (list(self.on_units(path, steps)) for path, steps in self.steps.items())
        readings = [
            apply(self.gig, self.desk, chain(*steps)) for steps in islice(product(*each), MOST_READINGS)
        ]
        self.changes.sort(key=lambda change: (change.points, change.kind))
        others = tuple(edited.gig for edited in readings[1:])
        return Applied(readings[0].gig, readings[0].desk, tuple(self.changes), tuple(self.refused), others)

    def on_units(self, path: str, steps: list[Step]) -> Iterator[list[Step]]:
        """Which units a source's steps may fall on: what is moved comes first, what is left out last.

        Another level or a phantom blocker goes to those that are moved, or further on as far as there are others.
        """
        source = next((source for other, source in self.gig.sources if other == path), None)
        if source is None:
            yield steps
            return
        moved, dropped, others = self.sorted_out(path)
        last = most(source.count) - len(dropped)
        for first in range(min(len(moved), last - len(others)) + 1 if others else 1):
            starts = ((moved, 1), (others, first + 1), (dropped, last + 1))
            yield [replace(step, unit=n) for some, start in starts for n, step in enumerate(some, start)]

    def sorted_out(self, path: str) -> tuple[list[Step], list[Step], list[Step]]:
        """The steps that move units of a source, that leave some out, and the others."""
        steps = self.steps[path]
        moved = [step for step in steps if step.kind == "relocate"]
        dropped = [step for step in steps if step.kind in DROPS]
        return moved, dropped, [step for step in steps if step not in moved and step not in dropped]

    def take(self, one: GivenChange) -> None:
        kind = one.kind
        if kind == "drop":
            thing = self.thing(self.path(one.item))
            if thing.keep == "must":
                raise NotPossible(f"{thing.name} is a “must” and stays")
            kind = f"drop {thing.keep}"
        if kind not in KINDS:
            raise NotPossible(f"there is no such change; the changes are {listed(KINDS)}")
        if kind == "another desk":
            self.swap(one.to or one.item)
        elif kind == "stage box":
            self.box(one.to or one.item)
        elif kind == "sub-mixer":
            self.sub_mixer(one.item)
        else:
            path = self.path(one.item)
            thing = self.thing(path)
            if isinstance(thing, Source):
                self.on_source(path, thing, kind, one.to, one.count)
            elif kind == "share":
                self.share(path, thing, one.to)
            else:
                self.step(kind, path, self.allowed(path, thing, kind, one.to))

    def step(self, kind: str, path: str, to: str = "") -> None:
        self.steps[path].append(Step(cast(Kind, kind), to, path))
        self.pay(kind, path, to)

    def pay(self, kind: str, path: str, to: str) -> None:
        self.changes.append(price(self.policy, kind, path, to))

    def path(self, text: str) -> str:
        items = {
            path: name
            for path, name in self.items.items()
            if path.count(".") != 1 or path[:10] != "performer."
        }
        return item_named(text, items)

    def thing(self, path: str) -> Any:
        for source_path, source in self.gig.sources:
            if source_path == path:
                return source
        for kind, things in kinds_of(self.gig):
            for thing in things:
                if path == f"{kind}.{thing.name}":
                    return thing
        raise NotPossible(f"nothing about {self.items.get(path, short(path))} may be changed")

    def swap(self, name: str) -> None:
        plain = name.casefold().replace("_", " ")
        for desk in self.at_hand:
            if desk.name.casefold() == plain:
                self.desk = desk
                self.pay("another desk", "desk", desk.name)
                return
        raise NotPossible(f"“{short(name)}” is not among the desks at hand")

    def box(self, name: str) -> None:
        name = name.removeprefix("option.")
        for option in self.desk.options:
            path = f"option.{option.name}"
            if option.name.casefold() == name.casefold() and path not in self.steps:
                self.step("stage box", path, option.name)
                return
        raise NotPossible(f"the desk has no box “{short(name)}” that could be added")

    def kit(self, what: str, number: int) -> None:
        had = getattr(self.gig.kit, what)
        if self.used[what] + number > had:
            raise NotPossible(
                f"the kit has {had} {what.replace('_', ' ')}, and {self.used[what] + number} would be taken"
            )
        self.used[what] += number

    def sub_mixer(self, name: str) -> None:
        players = {f"performer.{p.name}": p.name for p in self.gig.performers}
        path = item_named(name, players)
        player = next(p for p in self.gig.performers if p.name == players[path])
        if sum(s.channels for s in player.sources if s.at_mic_level) < 3:
            raise NotPossible(f"{player.name} has fewer than three channels to mix together")
        if self.steps[path]:
            raise NotPossible(f"{player.name} is sub-mixed already")
        self.kit("sub_mixers", 1)
        self.step("sub-mixer", path)

    def on_source(self, path: str, source: Source, kind: str, to: str, count: int) -> None:
        if source.at_mic_level and path[:10] == "performer." and self.steps[path.partition(".sources.")[0]]:
            raise NotPossible(f"{source.name} goes into the sub-mix")
        moved, dropped, others = (len(steps) for steps in self.sorted_out(path))
        taken = moved if kind == "relocate" else max(moved, others) if kind in DROPS else others
        if not 1 <= count <= most(source.count) - dropped - taken:
            raise NotPossible(
                f"there are {most(source.count)} of {source.name}, and more than that would be changed"
            )
        if kind == "relocate":
            self.place(to, {i.at for i in self.desk.inputs}, self.desk.input_place(source.at), source.name)
        elif kind in DROPS:
            self.may_drop(source, kind)
        elif kind == "line level":
            if not (source.radio and source.at_mic_level):
                raise NotPossible(f"{source.name} has no receiver that could be set to line level")
        elif kind == "outboard preamp" and source.at_mic_level:
            self.kit("preamps", count * source.width)
        elif kind == "phantom blocker" and source.phantom == "forbidden" and source.at_mic_level:
            self.kit("phantom_blockers", count * source.width)
        else:
            raise NotPossible(f"that is nothing for {source.name}")
        for _ in range(count):
            self.step(kind, path, to if kind == "relocate" else "")

    def place(self, to: str, places: set[str], now: str, name: str) -> None:
        if to not in places:
            raise NotPossible(
                f"there are no sockets for {name} at “{short(to)}”; there are some at {listed(sorted(places))}"
            )
        if to == now:
            raise NotPossible(f"{name} is at the {to} already")

    def may_drop(self, thing: Any, kind: str) -> None:
        if kind != f"drop {thing.keep}":
            raise NotPossible(
                f"{thing.name} is a “{thing.keep}”" + (" and stays" if thing.keep == "must" else "")
            )

    def allowed(self, path: str, thing: Any, kind: str, to: str) -> str:
        """Where the change leads, if it is one that this mix, effect, zone or feed allows."""
        group = path.split(".")[0]
        if any(kind == step.kind for step in self.steps[path]):
            raise NotPossible(f"it stands there twice for {thing.name}")
        if kind in DROPS:
            self.may_drop(thing, kind)
            return ""
        if kind == "mono" and group == "mix":
            if not thing.is_stereo or "mono" not in thing.may:
                raise NotPossible(f"nobody has agreed that the mix {thing.name} may be mono")
            return ""
        if kind == "outboard effect" and group == "effect" and thing.by == "desk":
            return ""
        if kind == "outboard delay" and group == "zone" and thing.distance_m and thing.delay_by == "desk":
            return ""
        if kind == "relocate" and group in ("mix", "zone", "feed"):
            self.place(to, {o.at for o in self.desk.outputs}, self.desk.output_place(thing.at), thing.name)
            return to
        if kind == "reroute" and group == "zone":
            return self.reroute_zone(thing, to)
        if kind == "reroute" and group == "feed":
            if thing.own_mix:
                raise NotPossible(
                    f"{thing.name} has a mix of its own, and any other way would carry what it must not"
                )
            if thing.fed_from != "matrix" or to not in ("mains", "bus", "group"):
                raise NotPossible(
                    f"{thing.name} may go any way that carries everything; nothing need be changed"
                )
            return to
        raise NotPossible(f"that is nothing for {thing.name}")

    def reroute_zone(self, zone: Any, to: str) -> str:
        if to not in ("mains", "matrix", "group", "bus"):
            raise NotPossible(f"say where {zone.name} is fed from: mains, matrix, group or bus")
        if to == zone.fed_from or zone.fed_from in ("any", "mains"):
            raise NotPossible(f"{zone.name} may be fed so without any change")
        if to in ("mains", "group") and not at_unity(zone):
            raise NotPossible(f"{zone.name} has a delay or a level of its own, which the {to} cannot give it")
        if to == "mains" and zone.equaliser:
            raise NotPossible(f"{zone.name} has an equaliser of its own and cannot be linked through")
        return to

    def share(self, path: str, mix: Any, to: str) -> None:
        if not isinstance(mix, Mix):
            raise NotPossible(f"{mix.name} is no mix, and only mixes are shared")
        mixes = {f"mix.{m.name}": m.name for m in self.gig.own_mixes}
        host = self.thing(item_named(to, mixes))
        for one in (mix, host):
            if "share" not in one.may:
                raise NotPossible(f"nobody has agreed that the mix {one.name} may be shared")
        done = [step for steps in self.steps.values() for step in steps]
        hosts = {step.to for step in done if step.kind == "share"}
        gone = {step.item for step in done if step.kind in (*DROPS, "share")}
        if host is mix or f"mix.{host.name}" in gone or mix.name in hosts or path in gone:
            raise NotPossible(
                f"{mix.name} and {host.name}: one of the two has to stay, and each can go only once"
            )
        if (
            (host.through, host.at) != (mix.through, mix.at)
            or host.sub_send
            or mix.sub_send
            or host.fed_by != "bus"
        ):
            raise NotPossible(f"{mix.name} and {host.name} do not hear through the same thing")
        stereo = [
            m.is_stereo and "mono" not in {s.kind for s in self.steps[f"mix.{m.name}"]} for m in (mix, host)
        ]
        if stereo == [True, False]:
            raise NotPossible(f"nobody has agreed to hear {mix.name} in mono, as {host.name} is")
        self.step("share", path, host.name)
