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

from .answers import GivenChange, NotPossible, item_named, items_of, things_of

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


def _refuse(*reasons: tuple[object, str]) -> None:
    """Refuse a change for the first of the reasons that holds."""
    for holds, why in reasons:
        if holds:
            raise NotPossible(why)


class _Bench:
    def __init__(self, gig: Gig, desk: Desk, at_hand: tuple[Desk, ...]) -> None:
        self.gig, self.desk, self.at_hand = gig, desk, at_hand
        self.policy = gig.policy or load_policy()
        self.items = items_of(gig)
        self.players = {f"performer.{p.name}": p for p in gig.performers}
        self.things: dict[str, Any] = {**dict(gig.sources), **dict(things_of(gig))}
        self.steps: dict[str, list[Step]] = defaultdict(list)
        self.used: Counter[str] = Counter()
        self.changes: list[Change] = []
        self.refused: list[str] = []

    def work(self, wanted: Sequence[GivenChange]) -> Applied:
        # what others hang on first, what hangs on others last
        ranks = {"another desk": 0, "sub-mixer": 0, "share": 2}
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
        source = self.things.get(path)
        if not isinstance(source, Source):
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
            _refuse((thing.keep == "must", f"{thing.name} is a “must” and stays"))
            kind = f"drop {thing.keep}"
        _refuse((kind not in KINDS, f"there is no such change; the changes are {listed(KINDS)}"))
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
        return item_named(text, self.items)

    def thing(self, path: str) -> Any:
        if path not in self.things:
            raise NotPossible(f"nothing about {self.items[path]} may be changed")
        return self.things[path]

    def swap(self, name: str) -> None:
        plain = name.casefold().replace("_", " ")
        desk = next((desk for desk in self.at_hand if desk.name.casefold() == plain), None)
        if desk is None:
            raise NotPossible(f"“{short(name)}” is not among the desks at hand")
        self.desk = desk
        self.pay("another desk", "desk", desk.name)

    def box(self, name: str) -> None:
        name = name.removeprefix("option.")
        for option in self.desk.options:
            path = f"option.{option.name}"
            if option.name.casefold() == name.casefold() and path not in self.steps:
                self.step("stage box", path, option.name)
                return
        raise NotPossible(f"the desk has no box “{short(name)}” that could be added")

    def kit(self, what: str, number: int) -> None:
        had, taken = getattr(self.gig.kit, what), self.used[what] + number
        _refuse((taken > had, f"the kit has {had} {what.replace('_', ' ')}, and {taken} would be taken"))
        self.used[what] = taken

    def sub_mixer(self, name: str) -> None:
        path = item_named(name, {path: player.name for path, player in self.players.items()})
        player = self.players[path]
        channels = sum(source.channels for source in player.sources if source.at_mic_level)
        _refuse(
            (channels < 3, f"{player.name} has fewer than three channels to mix together"),
            (self.steps[path], f"{player.name} is sub-mixed already"),
        )
        self.kit("sub_mixers", 1)
        self.step("sub-mixer", path)

    def on_source(self, path: str, source: Source, kind: str, to: str, count: int) -> None:
        mixed = (
            source.at_mic_level and path[:10] == "performer." and self.steps[path.partition(".sources.")[0]]
        )
        moved, dropped, others = (len(steps) for steps in self.sorted_out(path))
        taken = moved if kind == "relocate" else max(moved, others) if kind in DROPS else others
        there = most(source.count)
        _refuse(
            (mixed, f"{source.name} goes into the sub-mix"),
            (
                not 1 <= count <= there - dropped - taken,
                f"there are {there} of {source.name}, and more than that would be changed",
            ),
        )
        if kind == "relocate":
            self.place(to, {i.at for i in self.desk.inputs}, self.desk.input_place(source.at), source.name)
        elif kind in DROPS:
            self.may_drop(source, kind)
        elif kind == "line level":
            set_already = not (source.radio and source.at_mic_level)
            _refuse((set_already, f"{source.name} has no receiver that could be set to line level"))
        elif kind == "outboard preamp" and source.at_mic_level:
            self.kit("preamps", count * source.width)
        elif kind == "phantom blocker" and source.phantom == "forbidden" and source.at_mic_level:
            self.kit("phantom_blockers", count * source.width)
        else:
            raise NotPossible(f"that is nothing for {source.name}")
        for _ in range(count):
            self.step(kind, path, to if kind == "relocate" else "")

    def place(self, to: str, places: set[str], now: str, name: str) -> None:
        there = (
            f"there are no sockets for {name} at “{short(to)}”; there are some at {listed(sorted(places))}"
        )
        _refuse((to not in places, there), (to == now, f"{name} is at the {to} already"))

    def may_drop(self, thing: Any, kind: str) -> None:
        stays = " and stays" if thing.keep == "must" else ""
        _refuse((kind != f"drop {thing.keep}", f"{thing.name} is a “{thing.keep}”{stays}"))

    def allowed(self, path: str, thing: Any, kind: str, to: str) -> str:
        """Where the change leads, if it is one that this mix, effect, zone or feed allows."""
        group = path.split(".")[0]
        twice = any(kind == step.kind for step in self.steps[path])
        _refuse((twice, f"it stands there twice for {thing.name}"))
        if kind in DROPS:
            self.may_drop(thing, kind)
            return ""
        if kind == "mono" and group == "mix":
            agreed = thing.is_stereo and "mono" in thing.may
            _refuse((not agreed, f"nobody has agreed that the mix {thing.name} may be mono"))
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
            free = thing.fed_from != "matrix" or to not in ("mains", "bus", "group")
            own = f"{thing.name} has a mix of its own, and any other way would carry what it must not"
            any_way = f"{thing.name} may go any way that carries everything; nothing need be changed"
            _refuse((thing.own_mix, own), (free, any_way))
            return to
        raise NotPossible(f"that is nothing for {thing.name}")

    def reroute_zone(self, zone: Any, to: str) -> str:
        free = to == zone.fed_from or zone.fed_from in ("any", "mains")
        fixed = to in ("mains", "group") and not at_unity(zone)
        _refuse(
            (
                to not in ("mains", "matrix", "group", "bus"),
                f"say where {zone.name} is fed from: mains, matrix, group or bus",
            ),
            (free, f"{zone.name} may be fed so without any change"),
            (fixed, f"{zone.name} has a delay or a level of its own, which the {to} cannot give it"),
            (
                to == "mains" and zone.equaliser,
                f"{zone.name} has an equaliser of its own and cannot be linked through",
            ),
        )
        return to

    def share(self, path: str, mix: Any, to: str) -> None:
        _refuse((not isinstance(mix, Mix), f"{mix.name} is no mix, and only mixes are shared"))
        host = self.thing(item_named(to, {f"mix.{m.name}": m.name for m in self.gig.own_mixes}))
        both = f"{mix.name} and {host.name}"
        done = [step for steps in self.steps.values() for step in steps]
        hosts = {step.to for step in done if step.kind == "share"}
        gone = {step.item for step in done if step.kind in (*DROPS, "share")}
        mono = {step.item for step in done if step.kind == "mono"}
        stereo = [m.is_stereo and f"mix.{m.name}" not in mono for m in (mix, host)]
        elsewhere = (host.through, host.at) != (mix.through, mix.at) or host.fed_by != "bus"
        _refuse(
            *(
                ("share" not in one.may, f"nobody has agreed that the mix {one.name} may be shared")
                for one in (mix, host)
            ),
            (
                host is mix or f"mix.{host.name}" in gone or mix.name in hosts or path in gone,
                f"{both}: one of the two has to stay, and each can go only once",
            ),
            (elsewhere or host.sub_send or mix.sub_send, f"{both} do not hear through the same thing"),
            (
                stereo == [True, False],
                f"nobody has agreed to hear {mix.name} in mono, as {host.name} is",
            ),
        )
        self.step("share", path, host.name)
