"""Every way each thing could be carried: the socket, bus or channel it would take, and what would have to change.

Things that are alike form a class, and only how many go which way is decided; particular sockets are matched
afterwards. A way's `takes` are amounts against the desk's stocks; a negative amount gives.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from ..gig import Desk, Effect, Feed, Gig, Mix, Policy, Source, Zone, most
from .inputs import takes_talkback_channel
from .processing import zone_delay_ms
from .routes import at_unity

Takes = dict[str, float]


BUS_KINDS = ("stereo_pre", "mono_pre", "stereo_post", "mono_post", "sends")
PHANTOM = ("needs", "harmed", "each", "bare")


@dataclass(frozen=True)
class Step:
    """One change to one thing: what kind, and where or how to."""

    kind: str
    to: str = ""


@dataclass(frozen=True)
class Way:
    """One way to carry a thing: what it takes, which steps it needs, and which sockets it ends on."""

    takes: tuple[tuple[str, float], ...]
    steps: tuple[Step, ...] = ()
    sits: tuple[tuple[str, str, int], ...] = ()
    route: str = ""
    tap: str = ""


@dataclass(frozen=True)
class Things:
    """A class of things that are alike: their key paths (one for each unit) and their ways."""

    paths: tuple[str, ...]
    ways: tuple[Way, ...]
    thing: Any


@dataclass(frozen=True)
class Problem:
    """A gig on a desk as classes of things and stocks to take from."""

    gig: Gig
    desk: Desk
    policy: Policy
    classes: tuple[Things, ...]
    stocks: dict[str, float]
    balances: frozenset[str]


class _Writer:
    """Collects classes while the stocks are known."""

    def __init__(self, gig: Gig, desk: Desk, policy: Policy) -> None:
        self.gig, self.desk, self.policy = gig, desk, policy
        self.stocks: dict[str, float] = {}
        self.groups: dict[Hashable, tuple[list[str], Any]] = {}
        self.delays = sorted({self._delay(z) for z in gig.zones if z.distance_m and z.delay_by == "desk"})

    def _delay(self, zone: Zone) -> float:
        return zone_delay_ms(zone, self.gig, self.policy)

    def in_places(self) -> list[str]:
        return sorted({i.at for i in self.desk.inputs}) or ["desk"]

    def out_places(self) -> list[str]:
        return sorted({o.at for o in self.desk.outputs}) or ["desk"]

    # Stocks -----------------------------------------------------------------------------------------

    def fill(self) -> None:
        desk, kit, stocks = self.desk, self.gig.kit, self.stocks
        for at in self.in_places():
            here = [i for i in desk.inputs if i.at == at]
            for kind in ("mic", "line", "stereo", "two_track"):
                stocks[f"{kind}:{at}"] = sum(getattr(i, kind) for i in here)
            stocks[f"each:{at}"] = sum(i.mic for i in here if i.phantom == "each")
            stocks[f"bare:{at}"] = sum(i.mic for i in here if i.phantom == "none")
        for at in self.out_places():
            stocks[f"out:{at}"] = sum(o.line for o in desk.outputs if o.at == at)
            stocks[f"record:{at}"] = sum(o.record for o in desk.outputs if o.at == at)
            for delay in self.delays:
                able = sum(o.line for o in desk.outputs if o.at == at and o.delay_up_to_ms >= delay)
                stocks[f"out {delay:.6f}:{at}"] = able
        stocks["channels"] = desk.channels
        stocks["matrix"] = desk.matrices.count
        stocks["group"] = sum(b.kind == "group" for b in desk.buses())
        stocks["effects"] = desk.effects.count
        stocks["tracks"] = desk.recording.tracks
        stocks["direct"] = desk.about.direct_outs
        for name in ("preamps", "delays", "effects", "sub_mixers", "phantom_blockers"):
            stocks[f"kit {name}"] = getattr(kit, name)

    # Sources ----------------------------------------------------------------------------------------

    def sources(self) -> None:
        owners = {
            f"performer.{p.name}.sources.{s.name}": p.name for p in self.gig.performers for s in p.sources
        }
        mixable = self._sub_mixable()
        for path, source in self.gig.sources:
            owner = owners.get(path, "")
            owner = owner if owner in mixable and source.at_mic_level else ""
            signature = ("source", source.width, source.at_mic_level, source.phantom, source.radio, source.keep,
                         self.desk.input_place(source.at), source.heard_in, owner)  # fmt: skip
            self._add(signature, [path] * most(source.count), (source, owner))
        for owner in mixable:
            self._add(("sub-mixer", owner), [f"performer.{owner}"], ("sub-mixer", owner))
        if takes_talkback_channel(self.gig, self.desk):
            self._add(("talkback",), ["desk.talkback"], ("talkback", ""))

    def _sub_mixable(self) -> list[str]:
        if not self.gig.kit.sub_mixers:
            return []
        return [
            p.name for p in self.gig.performers if sum(s.channels for s in p.sources if s.at_mic_level) >= 3
        ]

    def source_ways(self, source: Source, owner: str) -> Iterator[Way]:
        home = self.desk.input_place(source.at)
        for at in self.in_places():
            moved = (Step("relocate", at),) if at != home else ()
            yield from self._level_ways(source, at, moved)
        if owner:
            yield Way(((f"sub {owner}", 1),), (), route="sub")
        if source.keep != "must":
            yield Way((), (Step(f"drop {source.keep}"),))

    def _level_ways(self, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
        if not source.at_mic_level:
            yield from self.line_ways(source, at, moved)
            return
        phantom: Takes = {}
        if source.phantom == "needed":
            phantom = {f"needs:{at}": source.width}
        elif source.phantom == "forbidden":
            phantom = {f"harmed:{at}": source.width}
        sockets = (("mic input", at, source.width),)
        takes = {f"mic:{at}": source.width, "channels": self._cost(source, source.width), **phantom}
        yield Way(tuple(takes.items()), moved, sockets)
        if source.phantom == "forbidden":
            bare = {k: v for k, v in takes.items() if k not in phantom} | {
                "kit phantom_blockers": source.width
            }
            yield Way(tuple(bare.items()), (*moved, Step("phantom blocker")), sockets)
        line = replace(source, level="line", phantom="indifferent")
        if source.radio:
            for way in self.line_ways(line, at, moved):
                yield replace(way, steps=(*way.steps, Step("line level")))
        if self.gig.kit.preamps:
            for way in self.line_ways(line, at, moved):
                extra = (*way.takes, ("kit preamps", float(source.width)))
                yield replace(way, takes=extra, steps=(*way.steps, Step("outboard preamp")))

    def line_ways(self, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
        single, double = self._cost(source, 1), self._cost(source, source.width)
        stereo_input = Way(((f"stereo:{at}", 1), ("channels", single)), moved, (("stereo input", at, 1),))
        if source.stereo:
            yield stereo_input
        for kind, on in (("line", "line input"), ("mic", "mic input")):
            takes = ((f"{kind}:{at}", source.width), ("channels", double))
            yield Way(takes, moved, ((on, at, source.width),))
        if not source.stereo:
            yield stereo_input
        if source.stereo and self.stocks[f"line:{at}"] and self.stocks[f"mic:{at}"]:
            mixed = ((f"line:{at}", 1), (f"mic:{at}", 1), ("channels", double))
            yield Way(mixed, moved, (("line input", at, 1), ("mic input", at, 1)))
        reach = {place for i in self.desk.inputs if i.at == at and i.two_track for place in i.two_track_to}
        if source.stereo and source.heard_in is not None and set(source.heard_in) <= reach:
            yield Way(((f"two_track:{at}", 1),), moved, (("two-track return", at, 1),))

    def _cost(self, source: Source | Effect, sockets: int) -> int:
        """Channels: one a socket on an analogue desk; on a digital one what the desk asks for stereo."""
        if not self.desk.digital:
            return sockets
        return self.desk.stereo_takes if source.stereo else 1

    def sub_mixer_ways(self, owner: str, members: int) -> Iterator[Way]:
        yield Way((), route="none")
        made = Source(f"{owner}'s sub-mix", "line", stereo=True)
        for at in [self.desk.input_place("stage")]:
            for way in self.line_ways(made, at, ()):
                takes = (*way.takes, (f"sub {owner}", -float(members)), ("kit sub_mixers", 1.0))
                yield replace(way, takes=takes, steps=(Step("sub-mixer"),))

    def talkback_ways(self) -> Iterator[Way]:
        at = self.desk.input_place("desk")
        yield Way(((f"mic:{at}", 1), ("channels", 1)), (), (("mic input", at, 1),))

    # Mixes ------------------------------------------------------------------------------------------

    def mixes(self) -> None:
        for mix in self.gig.mixes:
            signature = ("mix", mix.through, mix.width, mix.is_stereo, mix.fed_by, mix.personal_feeds, mix.keep,
                         frozenset(mix.may), self.desk.output_place(mix.at), mix.at)  # fmt: skip
            self._add(signature, [f"mix.{mix.name}"], mix)

    def mix_ways(self, mix: Mix) -> Iterator[Way]:
        if mix.keep != "must":
            yield Way((), (Step(f"drop {mix.keep}"),))
        for width, steps in self._widths(mix):
            for at, moved in self._outs(mix.at):
                if mix.fed_by == "personal mixer":
                    stock = f"out:{at}" if self.desk.digital else "direct"
                    on = "output" if self.desk.digital else "direct out"
                    number = mix.personal_feeds
                    yield Way(((stock, number),), moved, ((on, at, number),))
                    continue
                demand = "stereo_pre" if width == 2 and mix.is_stereo else "mono_pre"
                amount = 1 if demand == "stereo_pre" else width
                takes: Takes = {demand: amount, f"out:{at}": width}
                if "share" in mix.may and not mix.sub_send:
                    takes[f"hosts {self._share(mix)}"] = -1
                    if demand == "stereo_pre":
                        takes[f"stereo hosts {self._share(mix)}"] = -len(self.gig.mixes)
                yield Way(tuple(takes.items()), (*steps, *moved), (("output", at, width),), tap="pre")
            if "share" in mix.may and mix.fed_by == "bus" and not mix.sub_send:
                kept: Takes = {f"hosts {self._share(mix)}": 1 / len(self.gig.mixes)}
                if width == 2 and mix.is_stereo:
                    kept[f"stereo hosts {self._share(mix)}"] = 1
                yield Way(tuple(kept.items()), (*steps, Step("share", self._share(mix))), route="shared")

    def _share(self, mix: Mix) -> str:
        return f"{mix.through} {mix.at}"

    def _widths(self, mix: Mix) -> Iterator[tuple[int, tuple[Step, ...]]]:
        yield mix.width, ()
        if mix.is_stereo and "mono" in mix.may:
            yield 1, (Step("mono"),)

    def _outs(self, wanted: str) -> Iterator[tuple[str, tuple[Step, ...]]]:
        home = self.desk.output_place(wanted)
        for at in self.out_places():
            yield at, (() if at == home else (Step("relocate", at),))

    # Effects, zones, feeds --------------------------------------------------------------------------

    def effects(self) -> None:
        for effect in self.gig.effects:
            signature = (
                "effect",
                effect.heard_in == ("mains",),
                effect.heard_in,
                effect.stereo,
                effect.keep,
                effect.by,
            )
            self._add(signature, [f"effect.{effect.name}"], effect)

    def effect_ways(self, effect: Effect) -> Iterator[Way]:
        desk = self.desk
        if effect.keep != "must":
            yield Way((), (Step(f"drop {effect.keep}"),))
        if effect.by == "desk":
            send: Takes = {"effects": 1}
            if desk.effects.send != "own":
                send["sends" if any(b.feeds_effects for b in desk.buses()) else "mono_post"] = 1
            reaches = desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
            if desk.effects.returns == "dedicated" and reaches:
                yield Way(tuple(send.items()), route="inside", tap="post")
            elif desk.digital:
                taken = 1 if desk.effects.returns == "takes a channel" else desk.stereo_takes
                send["channels"] = min(effect.width, taken)
                yield Way(tuple(send.items()), route="inside", tap="post")
            else:
                for way in self._return_ways(effect):
                    yield replace(way, takes=(*send.items(), *way.takes), route="inside", tap="post")
        at = desk.output_place("desk")
        unit: Takes = {"mono_post": 1, f"out:{at}": 1, "kit effects": 1}
        steps = (Step("outboard effect"),) if effect.by == "desk" else ()
        for way in self._return_ways(effect):
            sits = (*way.sits, ("output", at, 1))
            yield Way((*unit.items(), *way.takes), steps, sits, "outboard", "post")

    def _return_ways(self, effect: Effect) -> Iterator[Way]:
        at = self.desk.input_place("desk")
        yield Way(((f"stereo:{at}", 1), ("channels", self._cost(effect, 1))), (), (("stereo input", at, 1),))
        takes = ((f"mic:{at}", effect.width), ("channels", self._cost(effect, effect.width)))
        yield Way(takes, (), (("mic input", at, effect.width),))

    def zones(self) -> None:
        for zone in self.gig.zones:
            delay = self._delay(zone) if zone.distance_m else 0
            signature = ("zone", zone.width, delay, at_unity(zone), zone.equaliser, zone.fed_from, zone.at, zone.keep,
                         zone.delay_by)  # fmt: skip
            self._add(signature, [f"zone.{zone.name}"], zone)

    def zone_ways(self, zone: Zone) -> Iterator[Way]:
        if not zone.wants_own_path:
            yield Way((), route="linked")
            return
        if zone.keep != "must":
            yield Way((), (Step(f"drop {zone.keep}"),))
        if zone.fed_from in ("bus", "matrix") and at_unity(zone) and not zone.equaliser:
            yield Way((), (Step("reroute", "mains"),), route="linked")
        for route, demand in self._carriers(zone.width, at_unity(zone)):
            asked = zone.fed_from in ("any", route)
            steps = () if asked else (Step("reroute", route),)
            for at, moved in self._outs(zone.at):
                yield from self._delayed(
                    zone, Way(tuple(demand.items()), (*steps, *moved), (), route, "post"), at
                )

    def _delayed(self, zone: Zone, way: Way, at: str) -> Iterator[Way]:
        sits = (("output", at, zone.width),)
        out: Takes = {f"out:{at}": zone.width}
        if zone.distance_m is None or zone.delay_by == "unit":
            unit = {"kit delays": zone.width} if zone.distance_m is not None else {}
            yield replace(way, takes=(*way.takes, *out.items(), *unit.items()), sits=sits)
            return
        setting = self._delay(zone)
        for delay in self.delays:
            if delay <= setting:
                out[f"out {delay:.6f}:{at}"] = zone.width
        yield replace(way, takes=(*way.takes, *out.items()), sits=sits)
        plain = ((f"out:{at}", float(zone.width)), ("kit delays", float(zone.width)))
        yield replace(way, takes=(*way.takes, *plain), steps=(*way.steps, Step("outboard delay")), sits=sits)

    def _carriers(self, width: int, unity: bool) -> Iterator[tuple[str, Takes]]:
        yield "matrix", {"matrix": width}
        if unity:
            yield "group", {"group": width}
        yield "bus", {"stereo_post": 1} if width == 2 else {"mono_post": 1}

    def feeds(self) -> None:
        for feed in self.gig.feeds:
            each = sum(s.channels for _, s in self.gig.sources) if feed.carries == "each source" else 0
            signature = (
                "feed",
                feed.width,
                feed.own_mix,
                feed.fed_from,
                feed.recorded,
                feed.at,
                feed.keep,
                each,
            )
            self._add(signature, [f"feed.{feed.name}"], feed)

    def feed_ways(self, feed: Feed) -> Iterator[Way]:
        desk = self.desk
        if feed.keep != "must":
            yield Way((), (Step(f"drop {feed.keep}"),))
        if feed.carries == "each source":
            number = sum(s.channels for _, s in self.gig.sources)
            if feed.recorded and desk.recording.tracks:
                if desk.recording.source == "channels":
                    yield Way((("tracks", number),), route="recorder")
            else:
                yield Way(
                    (("direct", number),), (), (("direct out", desk.output_place("desk"), number),), "direct"
                )
            return
        if feed.recorded and desk.recording.tracks and not feed.own_mix and feed.fed_from != "matrix":
            yield Way((("tracks", feed.width),), route="recorder")
        for at, moved in self._outs(feed.at):
            if not feed.own_mix:
                asked = feed.fed_from != "matrix"
                steps = (*(() if asked else (Step("reroute", "mains"),)), *moved)
                yield Way(
                    ((f"record:{at}", feed.width),), steps, (("record output", at, feed.width),), "record"
                )
                if desk.digital:
                    yield Way(((f"out:{at}", feed.width),), steps, (("output", at, feed.width),), "mains")
            for route, demand in self._carriers(feed.width, not feed.own_mix):
                if feed.own_mix and route != "bus":
                    continue
                asked = feed.fed_from != "matrix" or route == "matrix"
                steps = (*(() if asked else (Step("reroute", route),)), *moved)
                takes = (*demand.items(), (f"out:{at}", float(feed.width)))
                yield Way(takes, steps, (("output", at, feed.width),), route, "post")

    def rest(self) -> None:
        """The mains, always there, and the boxes that may be added."""
        at = self.desk.output_place(self.gig.mains.at)
        takes: Takes = {f"out:{at}": self.gig.mains.width}
        if self.gig.mains.width == 3:
            takes["mono_post"] = 1
        self._add(
            ("mains",),
            ["mains"],
            Way(tuple(takes.items()), (), (("output", at, self.gig.mains.width),), tap="post"),
        )
        for option in self.desk.options:
            self._add(("option", option.name), [f"option.{option.name}"], option)

    def option_ways(self, option: Any) -> Iterator[Way]:
        yield Way((), route="none")
        takes: Takes = {}
        if option.mic:
            takes[f"mic:{option.at}"] = takes[f"each:{option.at}"] = -option.mic
        if option.line_out:
            takes[f"out:{option.at}"] = -option.line_out
            like = max((o.delay_up_to_ms for o in self.desk.outputs if o.at == option.at), default=0.0)
            for delay in self.delays:
                if delay <= like:
                    takes[f"out {delay:.6f}:{option.at}"] = -option.line_out
        yield Way(tuple(takes.items()), (Step("stage box", option.name),))

    # ------------------------------------------------------------------------------------------------

    def _add(self, signature: Hashable, paths: list[str], thing: Any) -> None:
        self.groups.setdefault(signature, ([], thing))[0].extend(paths)

    def ways(self, thing: Any, number: int) -> Iterator[Way]:
        if isinstance(thing, Way):
            yield thing
        elif isinstance(thing, Mix):
            yield from self.mix_ways(thing)
        elif isinstance(thing, Effect):
            yield from self.effect_ways(thing)
        elif isinstance(thing, Zone):
            yield from self.zone_ways(thing)
        elif isinstance(thing, Feed):
            yield from self.feed_ways(thing)
        elif isinstance(thing, tuple):
            first, owner = thing
            if first == "talkback":
                yield from self.talkback_ways()
            elif first == "sub-mixer":
                members = sum(
                    most(s.count)
                    for p in self.gig.performers
                    if p.name == owner
                    for s in p.sources
                    if s.at_mic_level
                )
                yield from self.sub_mixer_ways(owner, members)
            else:
                yield from self.source_ways(first, owner)
        else:
            yield from self.option_ways(thing)


def problem(gig: Gig, desk: Desk, policy: Policy, *, changes: bool = True) -> Problem:
    """Everything a gig asks of a desk, as classes of like things with their ways.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    policy : Policy
        For the delay settings.
    changes : bool
        Whether ways that need a change are offered.

    Returns
    -------
    Problem
    """
    writer = _Writer(gig, desk, policy)
    writer.fill()
    for write in (writer.sources, writer.mixes, writer.effects, writer.zones, writer.feeds, writer.rest):
        write()
    classes = []
    for paths, thing in writer.groups.values():
        ways = [_summed(w) for w in writer.ways(thing, len(paths)) if changes or not w.steps]
        classes.append(Things(tuple(paths), tuple(dict.fromkeys(ways)), thing))
    stocks = {stock: 0.0 for c in classes for w in c.ways for stock, _ in w.takes} | writer.stocks
    given = {stock for c in classes for w in c.ways for stock, amount in w.takes if amount < 0}
    nothing = {
        name
        for name, amount in stocks.items()
        if amount == 0 and name not in given and not _counted_elsewhere(name)
    }
    usable = [
        replace(c, ways=tuple(w for w in c.ways if not any(s in nothing and a > 0 for s, a in w.takes)))
        for c in classes
    ]
    balances = frozenset(name for name in stocks if name.startswith("sub "))
    return Problem(gig, desk, policy, tuple(usable), stocks, balances)


def _counted_elsewhere(stock: str) -> bool:
    """Buses and phantom have rows of their own."""
    return stock in BUS_KINDS or stock.split(":")[0] in PHANTOM


def _summed(way: Way) -> Way:
    total: dict[str, float] = defaultdict(float)
    for stock, amount in way.takes:
        total[stock] += amount
    return replace(way, takes=tuple(total.items()))
