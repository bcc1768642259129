"""What a gig takes of one desk: every ledger, inputs, buses, outputs, processing and minutes, and what asks for care."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, cast, get_args

from ..formulas.timing import fill_delay_ms
from ..gig import Desk, Effect, Feed, Gig, Inputs, Policy, Reason, Source, Zone, load_policy, most
from ..gig.model import Skill
from .buses import BusNeed, count_pairs
from .needs import EQUALISER_RULE, Term, equaliser_terms, mix_outputs, monitor_bus_terms, reason, unit_terms

State = Literal["met", "met without spare", "short"]
Via = Literal["linked", "mains", "record", "recorder", "direct", "matrix", "group", "bus"]
PLACES = ("stage", "desk", "remote")
SKILLS: tuple[Skill, ...] = get_args(Skill)

MIC_RULE = "microphones, DI outputs and receivers at microphone level each take a preamp"
TALKBACK_RULE = "talkback without an input of its own takes a preamp and a channel"
OVERFLOW_RULE = "lines beyond the line inputs take microphone channels, two for stereo"
STEREO_RULE = "a stereo line takes a stereo input"
RETURN_RULE = "an effects return with no dedicated return takes a stereo channel or two mono ones"
PHANTOM_RULE = "phantom switched for all of a bank may not reach a source that it would harm"
PAIR_RULE = "stereo takes an odd-even pair"
SHARED_TAP_RULE = "buses that switch their tap together carry only sends of one kind"
SEND_RULE = "an effect whose send is not its own takes a bus after the fader"
OUTPUT_RULE = "mains, every channel of a mix, every zone and feed of its own and every send to an outboard effect leave by an output"
DELAY_RULE = "main distance less own distance, in the coldest air, and the offset that keeps the mains first"
AFTER_FADER = "a monitor mix on a bus after the fader follows every fader move"


@dataclass(frozen=True)
class Ledger:
    """One kind of thing a desk must have enough of, in one place.

    Parameters
    ----------
    key : str
        What is counted: ``"preamps"``, ``"bus pairs"``, ``"outputs"`` and so on.
    where : str
        ``"stage"``, ``"desk"``, ``"remote"``, or ``"all"``.
    need, have, spare_wanted : float
        What the gig takes, what the desk (with the kit at hand) has, what the house wants left over.
    reasons : tuple of Reason
        Why the numbers are what they are.
    blocks : bool
        Whether being short keeps the gig off this desk, or is only a care (something to carry besides).
    """

    key: str
    where: str
    need: float
    have: float
    spare_wanted: float = 0
    reasons: tuple[Reason, ...] = ()
    blocks: bool = True

    @property
    def margin(self) -> float:
        """What is left over; negative when short."""
        return self.have - self.need

    @property
    def state(self) -> State:
        """How the need stands against what there is."""
        if self.margin < 0:
            return "short"
        return "met without spare" if self.margin < self.spare_wanted else "met"

    @property
    def label(self) -> str:
        """The key, with the place where there is more than one."""
        return self.key if self.where == "all" else f"{self.key} ({self.where})"


@dataclass(frozen=True)
class Demand:
    """What a gig takes of one desk, ledger by ledger.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ledgers : tuple of Ledger
        Every ledger the desk has or the gig needs.
    cares : tuple of Reason
        What one should take care of though it does not keep the gig off this desk.
    """

    gig: Gig
    desk: Desk
    ledgers: tuple[Ledger, ...]
    cares: tuple[Reason, ...]

    def ledger(self, key: str, where: str | None = None) -> Ledger:
        """One ledger by its key, and its place where there are several.

        Parameters
        ----------
        key : str
            The ledger's key.
        where : str, optional
            Its place; the first of that key if left out.

        Returns
        -------
        Ledger

        Raises
        ------
        KeyError
            If there is none; the message lists those there are.
        """
        for row in self.ledgers:
            if row.key == key and where in (None, row.where):
                return row
        raise KeyError(f"no ledger {key!r}; there are: {', '.join(r.label for r in self.ledgers)}")


def demand(gig: Gig, desk: Desk, ways: Routes | None = None) -> Demand:
    """What a gig takes of a desk: every ledger with its need, what there is, and why.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes, optional
        How zones, feeds and effects are carried; chosen as they are counted if left out.

    Returns
    -------
    Demand
        Ledgers in the order of the signal: inputs, channels, buses, outputs, processing, minutes.
    """
    policy, ways = gig.policy or load_policy(), ways or routes(gig, desk)
    rows = input_ledgers(gig, desk, ways, policy)
    buses, tap_cares = bus_ledgers(gig, desk, ways, policy)
    rows += buses + output_ledgers(gig, desk, ways, policy) + processing_ledgers(gig, desk, ways, policy)
    rows += minutes_ledgers(gig, desk, ways, policy)
    return Demand(gig, desk, tuple(rows), tuple(_cares(gig, desk, rows, tap_cares)))


def _cares(gig: Gig, desk: Desk, rows: list[Ledger], tap_cares: list[Reason]) -> list[Reason]:
    cares = [
        Reason(
            f"fewer spare {row.label} than the house wants",
            ("policy.time" if row.key == "minutes" else "policy.spares",),
            (("left over", row.margin), ("wanted", row.spare_wanted)),
            row.margin,
        )
        for row in rows
        if row.state == "met without spare"
    ]
    cares += [
        Reason(
            f"{row.key} to carry besides the desk, or do without",
            ("kit",),
            ((row.key, -row.margin),),
            -row.margin,
        )
        for row in rows
        if not row.blocks and row.state == "short"
    ]
    cares += tap_cares
    person, least = gig.crew.at_desk, desk.about.least_skill
    if person and not gig.crew.prepared_file and SKILLS.index(person.skill) < SKILLS.index(least):
        rule = f"{person.name} is {person.skill}; this desk asks for {least}, or a prepared file"
        cares.append(Reason(rule, ("crew.people", "desk.least_skill")))
    if takes_talkback_channel(gig, desk):
        rule = "talkback on a channel needs a mute switch, goes to the mixes only and never to the mains"
        cares.append(Reason(rule, ("desk.talkback",)))
    split = {
        "splitter": "only the desk on the direct side of the splitter can supply phantom: agree which one",
        "shared preamps": "two desks on shared preamps have one owner of the gain: agree who",
    }.get(gig.split.by)
    if gig.own_mixes != gig.mixes and split:
        cares.append(Reason(split, ("split.by",)))
    kept = [(path, s.name) for path, s in gig.sources if not s.to_mains]
    if kept:
        names = ", ".join(name for _, name in kept)
        rule = (
            f"{names}: never to the mains or a public feed; send it to named mixes only, and check every path"
        )
        cares.append(Reason(rule, tuple(path for path, _ in kept)))
    if gig.evening.minutes_to_doors is None:
        rule = "no load-in and doors are given, so the crew's minutes are not weighed"
        cares.append(Reason(rule, ("gig.load_in", "gig.doors")))
    for path, source in gig.sources:
        if not isinstance(source.count, int):
            span = f"{source.count.least} to {source.count.most}"
            rule = f"how many of {source.name} is not settled: {span}, counted as {source.count.most}"
            cares.append(Reason(rule, (f"{path}.count",)))
    return cares


def _total(terms: Iterable[tuple[str, Any, float]]) -> Any:
    return sum(number for _, _, number in terms)


def _ledger(
    key: str,
    have: float,
    rule: str,
    terms: Sequence[Term],
    *more: Reason,
    where: str = "all",
    blocks: bool = True,
) -> Ledger:
    """A ledger whose need is the sum of its terms, and nothing wanted to spare."""
    return Ledger(key, where, _total(terms), have, 0, (reason(rule, terms), *more), blocks)


# ---- How zones, feeds and effects are carried when they are only counted --------------------------------


@dataclass(frozen=True)
class Routes:
    """Which way each zone, feed and effect goes.

    Parameters
    ----------
    zones : tuple of (Zone, str)
        ``"linked"`` (through from the mains), ``"matrix"``, ``"group"`` or ``"bus"``.
    feeds : tuple of (Feed, str)
        ``"recorder"`` (inside the desk), ``"record"`` (sockets with a copy of the mains), ``"mains"``
        (a copy patched to any output of a digital desk), ``"direct"``, ``"matrix"``, ``"group"`` or ``"bus"``.
    inside, outboard : tuple of Effect
        Effects made by the desk, and by units beside it.
    """

    zones: tuple[tuple[Zone, Via], ...]
    feeds: tuple[tuple[Feed, Via], ...]
    inside: tuple[Effect, ...]
    outboard: tuple[Effect, ...]

    def taking(self, via: Via) -> list[tuple[str, str, int]]:
        """Key path, name and width of every zone and feed that goes that way [channels]."""
        zones = [(f"zone.{z.name}", z.name, z.width) for z, how in self.zones if how == via]
        return [*zones, *((f"feed.{f.name}", f.name, f.width) for f, how in self.feeds if how == via)]


def routes(gig: Gig, desk: Desk) -> Routes:
    """Choose a way for each: what insists on a matrix or a bus gets it, the rest takes what is left.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    Routes
    """
    left: dict[Via, int] = {
        "matrix": desk.matrices.count,
        "record": sum(o.record for o in desk.outputs),
        "group": sum(b.kind == "group" for b in desk.buses()),
    }

    def claim(thing: Zone | Feed, via: Via) -> Via:
        """Taken whether or not enough is left: a shortage is for the ledger to show."""
        left[via] = max(0, left.get(via, 0) - thing.width)
        return via

    def first(thing: Zone | Feed, vias: Iterable[Via], otherwise: Via) -> Via:
        return next((claim(thing, via) for via in vias if thing.width <= left[via]), otherwise)

    zones: dict[str, Via] = {}
    feeds: dict[str, Via] = {}
    for zone in gig.zones:
        if not zone.wants_own_path:
            zones[zone.name] = "linked"
        elif zone.fed_from in ("matrix", "group", "bus"):
            zones[zone.name] = claim(zone, zone.fed_from)
    for feed in gig.feeds:
        if feed.carries == "each source":
            feeds[feed.name] = _each_source_way(feed, gig, desk)
        elif feed.own_mix:
            feeds[feed.name] = "bus"
        elif feed.fed_from == "matrix":
            feeds[feed.name] = claim(feed, "matrix")
        elif feed.recorded and desk.recording.tracks:
            feeds[feed.name] = "recorder"
        elif feed.width <= left["record"]:
            feeds[feed.name] = claim(feed, "record")
        elif desk.digital:
            feeds[feed.name] = "mains"
    for zone in gig.zones:
        if zone.name not in zones:
            zones[zone.name] = first(zone, ("matrix", "group") if at_unity(zone) else ("matrix",), "bus")
    for feed in gig.feeds:
        if feed.name not in feeds:
            feeds[feed.name] = first(feed, ("matrix", "group"), "bus")
    inside = tuple(e for e in gig.effects if e.by == "desk")[: desk.effects.count]
    return Routes(
        tuple((z, zones[z.name]) for z in gig.zones),
        tuple((f, feeds[f.name]) for f in gig.feeds),
        inside,
        tuple(e for e in gig.effects if e not in inside),
    )


def routes_of(gig: Gig, ways: dict[str, str]) -> Routes:
    """The routes that a placement took.

    Parameters
    ----------
    gig : Gig
        The gig as placed.
    ways : dict of str to str
        The way of each zone, feed and effect, by key path.

    Returns
    -------
    Routes
    """
    return Routes(
        tuple((z, cast(Via, ways[f"zone.{z.name}"])) for z in gig.zones),
        tuple((f, cast(Via, ways[f"feed.{f.name}"])) for f in gig.feeds),
        tuple(e for e in gig.effects if ways[f"effect.{e.name}"] == "inside"),
        tuple(e for e in gig.effects if ways[f"effect.{e.name}"] == "outboard"),
    )


def _each_source_way(feed: Feed, gig: Gig, desk: Desk) -> Via:
    """Inside where the recorder has the tracks, else by direct outs where there are any."""
    inside = feed.recorded and desk.recording.tracks > 0
    number = each_source(gig)
    mixes = (f for f in gig.feeds if f.recorded and f.carries != "each source" and not f.own_mix)
    taken = number + sum(f.width for f in mixes)
    roomy = desk.recording.source == "channels" and desk.recording.tracks >= taken
    return "recorder" if inside and (roomy or desk.about.direct_outs < number) else "direct"


def at_unity(zone: Zone) -> bool:
    """Whether a group may feed the zone: it follows the mains, with no delay, trim or level of its own.

    Parameters
    ----------
    zone : Zone
        A zone of the gig.

    Returns
    -------
    bool
    """
    return zone.distance_m is None and zone.trim_db == 0 and not zone.own_level


def each_source(gig: Gig) -> int:
    """Tracks or direct outs that a feed of every source takes [channels].

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    int
    """
    return sum(source.channels for _, source in gig.sources)


# ---- Inputs and channels --------------------------------------------------------------------------------


@dataclass
class _Plugged:
    """What is plugged in one place, being counted."""

    at: str
    sets: tuple[Inputs, ...]
    mic: list[Term] = field(default_factory=list)
    stereo: list[Term] = field(default_factory=list)
    mono: list[Term] = field(default_factory=list)
    over: list[Term] = field(default_factory=list)
    returns: list[Term] = field(default_factory=list)
    two_track: list[Term] = field(default_factory=list)
    sources: list[tuple[str, Source]] = field(default_factory=list)

    def total(self, kind: str) -> int:
        return sum(getattr(s, kind) for s in self.sets)

    def mains_alone(self) -> set[str]:
        """Key paths of sources that need be heard nowhere beyond where the two-track returns go."""
        reach = {p for s in self.sets if s.two_track for p in s.two_track_to}
        return {path for path, s in self.sources if s.heard_in is not None and set(s.heard_in) <= reach}

    def on_mics(self) -> int:
        """Microphone inputs that are taken [channels]."""
        return int(_total((*self.mic, *self.over)))


def takes_talkback_channel(gig: Gig, desk: Desk) -> bool:
    """Whether talkback is wanted and has no input of its own on this desk."""
    return gig.wants_talkback and desk.about.talkback != "own input"


def returns_on_channels(gig: Gig, desk: Desk, ways: Routes) -> list[tuple[str, str, int]]:
    """Effects whose return takes channels: key path, name and width [channels].

    A dedicated return takes none, unless the effect must be heard where that return cannot go.
    """
    inside = [e for e in ways.inside if not desk.returns_alone(e.heard_in)]
    return [(f"effect.{e.name}", e.name, e.width) for e in (*ways.outboard, *inside)]


def input_ledgers(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> list[Ledger]:
    """Preamps, line inputs and stereo inputs in each place, and channels in all.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its effects are carried.
    policy : Policy
        For the spares.

    Returns
    -------
    list of Ledger
    """
    by_place = {
        at: _Plugged(at, tuple(i for i in desk.inputs if i.at == at))
        for at in [at for at in PLACES if any(i.at == at for i in desk.inputs)] or ["desk"]
    }
    for path, source in gig.sources:
        place = by_place[desk.input_place(source.at)]
        place.sources.append((path, source))
        if source.at_mic_level:
            place.mic.append((path, source.name, source.channels))
        elif source.stereo:
            place.stereo += [(path, source.name, 1)] * most(source.count)
        else:
            place.mono.append((path, source.name, source.channels))
    at_desk = desk.input_place("desk")
    if takes_talkback_channel(gig, desk):
        by_place[at_desk].mic.append(("desk.talkback", "talkback", 1))
    returns = returns_on_channels(gig, desk, ways)
    outboard = {f"effect.{e.name}" for e in ways.outboard}
    plugged = [r for r in returns if not desk.digital or r[0] in outboard]
    places = [_spread(p, plugged if p.at == at_desk else [], desk.digital) for p in by_place.values()]
    spares = [policy.spares.inputs(place.on_mics()) for place in places]
    rows = [row for place, spare in zip(places, spares, strict=True) for row in _place_ledgers(place, spare)]
    return [*rows, _strips(gig, desk, places, returns, outboard, sum(spares))]


def _spread(place: _Plugged, returns: list[tuple[str, str, int]], digital: bool) -> _Plugged:
    """The place with its lines and returns spread over its inputs.

    A two-track return saves a digital desk channels. On an analogue one it takes the channel from what is plugged
    there, so it serves only as many lines as it takes to find everything an input, and none where that fails.
    """
    able = sum(path in place.mains_alone() for path, _, _ in place.stereo)
    most_apart = min(able, place.total("two_track"))
    if digital:
        return _spread_with(place, returns, most_apart)
    spreads = [_spread_with(place, returns, apart) for apart in range(most_apart + 1)]
    return next((spread for spread in spreads if spread.on_mics() <= spread.total("mic")), spreads[0])


def _spread_with(whole: _Plugged, returns: list[tuple[str, str, int]], apart: int) -> _Plugged:
    """So many lines on two-track returns; the others go to line inputs first, and what is left over to microphones."""
    place = _Plugged(whole.at, whole.sets, [*whole.mic], sources=whole.sources)
    alone, stereo, line = whole.mains_alone(), whole.total("stereo"), whole.total("line")
    mono = [*whole.mono]
    for term in whole.stereo:
        if term[0] in alone and len(place.two_track) < apart:
            place.two_track.append(term)
        elif len(place.stereo) < stereo:
            place.stereo.append(term)
        else:
            mono.append((term[0], term[1], 2))
    free_mic = max(0, place.total("mic") - place.on_mics())
    for path, label, number in mono:
        on_line = min(int(number), line)
        rest = int(number) - on_line
        on_mic = min(rest, free_mic)
        on_stereo = min(rest - on_mic, stereo - len(place.stereo))
        line, free_mic = line - on_line, free_mic - on_mic
        place.stereo += [(path, f"{label} (one side)", 1)] * on_stereo
        if on_line:
            place.mono.append((path, label, on_line))
        if rest > on_stereo:
            place.over.append((path, label, rest - on_stereo))
    for path, label, width in sorted(returns, key=lambda r: -r[2]):
        if len(place.stereo) + len(place.returns) < stereo:
            place.returns.append((path, f"{label} return", 1))
        else:
            place.over.append((path, f"{label} return", width))
    return place


def _place_ledgers(place: _Plugged, spare: int) -> list[Ledger]:
    spoken = [t for t in place.mic if t[0] == "desk.talkback"]
    reasons = [reason(MIC_RULE, [t for t in place.mic if t not in spoken])]
    reasons += [reason(TALKBACK_RULE, spoken)] if spoken else []
    reasons += [reason(OVERFLOW_RULE, place.over)] if place.over else []
    need, have = place.on_mics(), place.total("mic")
    barred, why = _phantom(place)
    if barred:
        reasons.append(why)
        have = min(have, need - barred)
    rows = [Ledger("preamps", place.at, need, have, spare, tuple(reasons))]
    if place.mono or place.total("line"):
        rule = "each mono line takes one line input"
        rows.append(_ledger("line inputs", place.total("line"), rule, place.mono, where=place.at))
    if place.stereo or place.returns or place.total("stereo"):
        stereo = [reason(STEREO_RULE, place.stereo)]
        stereo += [reason(RETURN_RULE, place.returns)] if place.returns else []
        if place.two_track:
            stereo.append(reason("a two-track return serves playback for the mains alone", place.two_track))
        taken = len(place.stereo) + len(place.returns)
        rows.append(Ledger("stereo inputs", place.at, taken, place.total("stereo"), 0, tuple(stereo)))
    return rows


def _phantom(place: _Plugged) -> tuple[int, Reason]:
    """Sources that find no preamp because phantom would harm them, or none of the banks can supply it."""
    needed = sum(s.channels for _, s in place.sources if s.phantom == "needed")
    harmed = sum(s.channels for _, s in place.sources if s.phantom == "forbidden" and s.at_mic_level)
    each = sum(s.mic for s in place.sets if s.phantom == "each")
    bare = sum(s.mic for s in place.sets if s.phantom == "none")
    banks = [size for s in place.sets for size in s.bank_sizes]
    barred = min(
        max(0, needed - each - live) + max(0, harmed - bare - max(0, each - needed) - (sum(banks) - live))
        for live in {sum(banks[:k]) for k in range(len(banks) + 1)}
    )
    terms = (
        ("need phantom", float(needed)),
        ("may not have it", float(harmed)),
        ("left without a preamp", barred),
    )
    causes = tuple(f"{path}.phantom" for path, s in place.sources if s.phantom != "indifferent")
    return barred, Reason(PHANTOM_RULE, causes, terms, barred)


def _strips(
    gig: Gig,
    desk: Desk,
    places: list[_Plugged],
    returns: list[tuple[str, str, int]],
    outboard: set[str],
    spare: int,
) -> Ledger:
    if not desk.digital:
        terms = [t for p in places for t in (*p.mic, *p.over, *p.mono, *p.stereo, *p.returns)]
        return _ledger("strips", desk.channels, "each source and each effects return takes a channel", terms)
    wide = desk.stereo_takes
    apart = Counter(path for p in places for path, _, _ in p.two_track)
    terms = [
        (path, s.name, (most(s.count) - apart[path]) * (wide if s.stereo else 1)) for path, s in gig.sources
    ]
    reasons = [reason(f"each source takes a channel, a stereo one {wide}", terms)]
    if takes_talkback_channel(gig, desk):
        reasons.append(reason(TALKBACK_RULE, [("desk.talkback", "talkback", 1)]))
    back = [
        (path, f"{label} return", desk.return_channels(width, outboard=path in outboard))
        for path, label, width in returns
    ]
    if back:
        reasons.append(reason("an effects return with no dedicated return takes channels", back))
    return Ledger("strips", "all", sum(r.result for r in reasons), desk.channels, spare, tuple(reasons))


# ---- Buses ----------------------------------------------------------------------------------------------


def bus_need(gig: Gig, desk: Desk, ways: Routes) -> BusNeed:
    """The bus channels a gig takes on a desk, by kind.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.

    Returns
    -------
    BusNeed
    """
    by_bus = [m for m in gig.mixes if m.fed_by == "bus"]
    posts = [width for _, _, width in ways.taking("bus")]
    inside = len(_sends_inside(desk, ways))
    restricted = any(b.feeds_effects for b in desk.buses())
    centre = int(gig.mains.width == 3)
    return BusNeed(
        stereo_pre=sum(m.is_stereo for m in by_bus),
        mono_pre=sum(m.width for m in by_bus if not m.is_stereo),
        stereo_post=posts.count(2),
        mono_post=posts.count(1) + len(ways.outboard) + centre + (0 if restricted else inside),
        sends=inside if restricted else 0,
    )


def _sends_inside(desk: Desk, ways: Routes) -> list[Term]:
    return [] if desk.effects.send == "own" else [(f"effect.{e.name}", e.name, 1) for e in ways.inside]


def bus_ledgers(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> tuple[list[Ledger], list[Reason]]:
    """The ledgers of buses and of bus pairs, and the cares about taps.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the spare bus.

    Returns
    -------
    tuple of (list of Ledger, list of Reason)
    """
    need = bus_need(gig, desk, ways)
    buses = [b for b in desk.buses() if b.kind == "aux"]
    count = count_pairs(need, buses)
    spare = policy.spares.buses if len(gig.own_mixes) >= policy.spares.buses_from_mixes else 0
    rule = "a mono mix takes one bus, a stereo mix two, whatever boxes play it"
    reasons = [reason(rule, monitor_bus_terms(gig))]
    sends = [*_sends_inside(desk, ways), *((f"effect.{e.name}", e.name, 1) for e in ways.outboard)]
    if sends:
        reasons.append(reason(SEND_RULE, sends))
    if ways.taking("bus"):
        rule = "a zone or feed with a mix of its own takes a bus for each channel"
        reasons.append(reason(rule, ways.taking("bus")))
    if gig.mains.width == 3:
        reasons.append(reason("the centre of the mains takes a mono bus", [("mains.outputs", "centre", 1)]))
    have = len(buses) if count.carried == need.total else count.carried
    if have < len(buses) and need.total:
        terms = (("buses that can carry what is asked", have), ("buses in all", len(buses)))
        reasons.append(Reason("a fixed tap carries only its own kind of send", ("mix_buses",), terms, have))
    after = [("mix_buses", "mixes after the fader", count.after_fader)]
    cares = [reason(AFTER_FADER, after)] if count.after_fader else []
    wanted = 0
    if spare and count.taken <= count.have:
        wanted = count_pairs(replace(need, mono_pre=need.mono_pre + spare), buses).taken - count.taken
    pairs = Ledger(
        "bus pairs", "all", count.taken, count.have, wanted, tuple(_pair_reasons(need, buses, count.taken))
    )
    return [Ledger("buses", "all", need.total, have, spare, tuple(reasons)), pairs], cares


def _pair_reasons(need: BusNeed, buses: list[Any], taken: int) -> Iterable[Reason]:
    stereo = (("stereo before the fader", need.stereo_pre), ("stereo after the fader", need.stereo_post))
    both = need.stereo_pre + need.stereo_post
    yield Reason(PAIR_RULE, ("mix_buses.stereo",), tuple(t for t in stereo if t[1]), both)
    kinds = [("mono before the fader", need.mono_pre), ("mono after the fader", need.mono_post + need.sends)]
    words = " and ".join(f"{number} {label}" for label, number in kinds if number)
    if words:
        switched = any(b.tap == "pair" for b in buses)
        rule = SHARED_TAP_RULE if switched else "single buses fill what is left of the pairs"
        yield reason(f"{rule} ({words})", [("mix_buses.tap", "pairs", max(0, taken - both))])


# ---- Outputs --------------------------------------------------------------------------------------------


def output_ledgers(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> list[Ledger]:
    """Outputs in each place, in all where there are several places, and matrices.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the spares.

    Returns
    -------
    list of Ledger
    """
    leaving: list[tuple[str, Term]] = [(gig.mains.at, ("mains", "mains", gig.mains.width))]
    leaving += [(m.at, (f"mix.{m.name}", m.name, mix_outputs(m))) for m in gig.own_mixes]
    leaving += [(z.at, (f"zone.{z.name}", z.name, z.width)) for z, way in ways.zones if way != "linked"]
    inside = ("record", "recorder", "direct")
    leaving += [(f.at, (f"feed.{f.name}", f.name, f.width)) for f, way in ways.feeds if way not in inside]
    leaving += [("desk", (f"effect.{e.name}", f"{e.name} send", 1)) for e in ways.outboard]
    have = Counter({at: 0 for at in PLACES if any(o.at == at for o in desk.outputs)} or {"desk": 0})
    for outputs in desk.outputs:
        have[outputs.at] += outputs.line
    have[desk.output_place("desk")] += _direct_sockets(gig, desk)
    rows = []
    for where in (*have, *(["all"] if len(have) > 1 else [])):
        terms = [term for at, term in leaving if where in ("all", desk.output_place(at))]
        used, there = int(_total(terms)), have.total() if where == "all" else have[where]
        spare = policy.spares.outputs(used)
        rows.append(Ledger("outputs", where, used, there, spare, (reason(OUTPUT_RULE, terms),)))
    matrix, groups = ways.taking("matrix"), ways.taking("group")
    if matrix or desk.matrices.count:
        rule = "a zone takes one matrix for each channel"
        rows.append(_ledger("matrices", desk.matrices.count, rule, matrix))
    if groups:
        rule = "a group may feed a zone at the level of the mains, or a recorder"
        rows.append(_ledger("groups", sum(b.kind == "group" for b in desk.buses()), rule, groups))
    return rows


def _direct_sockets(gig: Gig, desk: Desk) -> int:
    """Direct outs of an analogue desk that feed personal mixers: each has a socket of its own."""
    wanted = sum(m.personal_feeds for m in gig.mixes if m.fed_by == "personal mixer")
    return 0 if desk.digital else min(desk.about.direct_outs, wanted)


# ---- Processing, delays, tracks, talkback ---------------------------------------------------------------


def processing_ledgers(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> list[Ledger]:
    """Equalisers, compressors, gates, inserts, delays, effects, tracks, direct outs and talkback.

    Equalisers and dynamics can be carried and put in line, so being short of them is a care;
    a delay, an effect, a track or a direct out that is missing keeps the gig off the desk.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the delay offset and the coldest air.

    Returns
    -------
    list of Ledger
    """
    kit, about = gig.kit, desk.about
    built_in = sum(o.line for o in desk.outputs if o.equaliser)
    strips = desk.channels
    inserted = [
        (path, s.name, s.channels)
        for path, s in gig.sources
        if (s.compressor and not about.channel_compressors) or (s.gate and not about.channel_gates)
    ]
    units: list[Term] = [(f"effect.{e.name}", e.name, 1) for e in gig.effects if e.by == "desk"]
    rows = [
        _besides("equalisers", built_in, EQUALISER_RULE, equaliser_terms(gig), kit.equalisers),
        _besides(
            "compressors",
            strips if about.channel_compressors else 0,
            "one compressor for each channel marked for it",
            unit_terms(gig, "compressor"),
            kit.compressors,
        ),
        _besides(
            "gates",
            strips if about.channel_gates else 0,
            "one gate for each channel marked for it",
            unit_terms(gig, "gate"),
            kit.gates,
        ),
        _besides(  # a compressor and a gate on one channel share its insert
            "inserts",
            sum(i.inserts for i in desk.inputs),
            "an outboard compressor or gate takes the channel's insert, both together one",
            inserted,
        ),
        _delays(gig, desk, policy),
        _ledger("effects", desk.effects.count, "each effect takes a unit inside the desk", units),
        _tracks(gig, desk, ways),
        _direct_outs(gig, desk, ways),
        _talkback(gig, desk),
    ]
    return [row for row in rows if row.need or row.have]


def zone_delay_ms(zone: Zone, gig: Gig, policy: Policy) -> float:
    """The setting a delayed zone needs in the coldest air expected [ms].

    Parameters
    ----------
    zone : Zone
        A zone with distances.
    gig : Gig
        For the venue's temperature.
    policy : Policy
        For the offset, and the temperature where the gig gives none.

    Returns
    -------
    float
        Delay [ms].

    Raises
    ------
    ValueError
        If the zone has no distances.
    """
    if zone.distance_m is None:
        raise ValueError(f"zone {zone.name!r} has no distances, so it needs no delay")
    cold = gig.venue.coldest_c if gig.venue.coldest_c is not None else policy.delay.coldest_c
    return float(fill_delay_ms(zone.distance_m.main, zone.distance_m.own, cold, policy.delay.offset_ms))


def _besides(key: str, have: int, rule: str, terms: Sequence[Term], kit: int = 0) -> Ledger:
    """A ledger of what can be carried and put in line: being short of it is only a care."""
    carried = reason(f"{key.removesuffix('s')} carried besides the desk", [("kit", "in the kit", kit)])
    return _ledger(key, have + kit, rule, terms, *([carried] if kit else []), blocks=False)


def _delays(gig: Gig, desk: Desk, policy: Policy) -> Ledger:
    delayed = [z for z in gig.zones if z.distance_m is not None and z.wants_own_path and z.delay_by == "desk"]
    terms = [(f"zone.{z.name}", z.name, z.width) for z in delayed]
    reasons = []
    within = 0
    for zone in delayed:
        setting = zone_delay_ms(zone, gig, policy)
        here = [o.delay_up_to_ms for o in desk.outputs if o.at == desk.output_place(zone.at)]
        within += zone.width if max(here, default=0.0) >= setting else 0
        shown = (f"zone.{zone.name}.distance_m", f"{zone.name} delay in ms", round(setting, 1))
        reasons.append(reason(DELAY_RULE, [shown]))
    if delayed:
        reach = max((o.delay_up_to_ms for o in desk.outputs), default=0.0)
        rule = "the longest delay an output of this desk gives, in ms"
        reasons.append(Reason(rule, ("outputs.delay_up_to_ms",), (), reach))
    have = within if delayed else sum(o.line for o in desk.outputs if o.delay_up_to_ms)
    rule = "a zone at a distance of its own takes a delay for each channel"
    return _ledger("delays", have, rule, terms, *reasons)


def _tracks(gig: Gig, desk: Desk, ways: Routes) -> Ledger:
    feeds = [feed for feed, way in ways.feeds if way == "recorder"]
    apart = [feed for feed in feeds if feed.carries == "each source"]
    terms = [
        (f"feed.{f.name}", f"{f.name}, every source on its own", each_source(gig))
        if f in apart
        else (f"feed.{f.name}", f.name, f.width)
        for f in feeds
    ]
    have = desk.recording.tracks
    rule = "a recording takes a track for each channel"
    if not apart or desk.recording.source == "channels":
        return _ledger("tracks", have, rule, terms)
    no = "the recorder of this desk takes the mains alone, so it keeps no source apart"
    return _ledger("tracks", 0, rule, terms, Reason(no, ("recording.from",), (("its tracks", have),), 0))


def _direct_outs(gig: Gig, desk: Desk, ways: Routes) -> Ledger:
    """Direct outs, where every source leaves by one; on an analogue desk personal mixers take theirs from the same."""
    feeds: list[Term] = [
        (f"feed.{f.name}", f.name, each_source(gig)) for f, way in ways.feeds if way == "direct"
    ]
    mixes = [] if desk.digital else [m for m in gig.own_mixes if m.fed_by == "personal mixer"]
    personal: list[Term] = [(f"mix.{m.name}", m.name, m.personal_feeds) for m in mixes]
    rules = (
        ("a feed of every source takes a direct out for each channel", feeds),
        ("a personal mixer takes a direct out for each of its feeds", personal),
    )
    have = desk.about.direct_outs if feeds or personal else 0
    reasons = tuple(reason(rule, terms) for rule, terms in rules if terms)
    return Ledger("direct outs", "all", _total([*feeds, *personal]), have, 0, reasons)


def _talkback(gig: Gig, desk: Desk) -> Ledger:
    need = int(gig.wants_talkback)
    how = {
        "own input": "this desk has a talkback input of its own",
        "takes a channel": "this desk's talkback takes a preamp and a channel",
        "none": "this desk has no talkback, so a microphone with a switch takes a channel",
    }[desk.about.talkback]
    why = Reason(how, ("desk.talkback", "mix"), (("talkback", need),), need)
    return Ledger("talkback", "all", need, 1, 0, (why,))


# ---- Minutes --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class SetUp:
    """Set-up work in minutes: shared among the crew, and one after another at the desk.

    Parameters
    ----------
    shared, serial : tuple of (str, float, float)
        Item, how many, minutes for all of them at the crew's (shared) or the operator's (serial) skill.
    crew : int
        People who share the work.
    factor : float
        How much faster they are than one.
    """

    shared: tuple[tuple[str, float, float], ...]
    serial: tuple[tuple[str, float, float], ...]
    crew: int
    factor: float

    @property
    def minutes(self) -> float:
        """Minutes from load-in to ready [min]."""
        return _total(self.shared) / self.factor + _total(self.serial)


def set_up(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> SetUp:
    """Count the set-up work.

    Parameters
    ----------
    gig : Gig
        The gig; its crew's skills choose the minutes, "intermediate" where nobody is named.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        Minutes for each item, and the crew factors.

    Returns
    -------
    SetUp
    """
    people = [p.skill for p in gig.crew.people] or ["intermediate"]
    operator = [gig.crew.at_desk.skill if gig.crew.at_desk else "intermediate"]

    def work(skills: list[Any], *items: tuple[str, str, float]) -> tuple[tuple[str, float, float], ...]:
        """Each item with its minutes, the mean of those skills."""
        return tuple(
            (
                label,
                count,
                count * sum(getattr(policy.minutes, key)[SKILLS.index(s)] for s in skills) / len(skills),
            )
            for label, key, count in items
            if count
        )

    stage = [s for _, s in gig.sources if s.at != "desk"]
    lines_in = sum(s.channels for s in stage)
    outputs = [r for r in output_ledgers(gig, desk, ways, policy) if r.key == "outputs" and r.where != "all"]
    sockets = lines_in + sum(int(row.need) for row in outputs) - len(ways.outboard)
    in_ears = [m for m in gig.mixes if m.through == "in-ears"]
    comps, gates = (_total(unit_terms(gig, flag)) for flag in ("compressor", "gate"))
    inserts = 0 if any(o.equaliser for o in desk.outputs) else _total(equaliser_terms(gig))
    inserts += (0 if desk.about.channel_compressors else comps) + (0 if desk.about.channel_gates else gates)
    music = any(p.plays and p.plays != "speech" for p in gig.performers)
    shared = work(
        people,
        (
            "microphones with stand and cable",
            "microphone",
            sum(s.channels for s in stage if s.by == "mic" and not s.radio),
        ),
        ("radio microphones", "radio_microphone", sum(s.channels for s in stage if s.radio)),
        ("DI boxes", "di", sum(s.channels for s in stage if s.by == "DI")),
        (
            "monitor boxes",
            "wedge",
            sum(m.boxes for m in gig.mixes if m.through not in ("in-ears", "cue")),
        ),
        ("in-ear packs", "in_ear_pack", sum(max(1, len(m.listeners)) for m in in_ears)),
        ("main speaker sides", "pa_side", min(2, gig.mains.width)),
        ("desk, multicore and power", "desk_and_power", 1),
        ("sockets to patch", "patch_socket", sockets),
        ("labels", "label", sockets),
        ("inserts to patch", "insert_patch", inserts),
    )
    serial = work(
        operator,
        (
            "channels to lay out in a blank file",
            "blank_file_channel",
            lines_in if desk.digital and not gig.crew.prepared_file else 0,
        ),
        ("lines to check", "line_check", lines_in),
        ("channels to set gain and tone", "gain_and_tone", lines_in),
        ("compressors to set", "compressor", comps),
        ("gates to set", "gate", gates),
        ("effects to set", "effect", len(gig.effects)),
        ("main speakers to tune", "main_tuning", 1),
        ("delayed zones to align", "delay_zone", sum(z.distance_m is not None for z in gig.zones)),
        (
            "floor mixes to ring out",
            "ring_out",
            sum(m.through not in ("in-ears", "cue", "shaker") for m in gig.own_mixes),
        ),
        ("monitor mixes to build", "build_mix", len(gig.own_mixes)),
        ("songs with the full band", "full_band_song", int(music)),
    )
    return SetUp(shared, serial, len(people), policy.time.crew_factor(len(people)))


def minutes_ledgers(gig: Gig, desk: Desk, ways: Routes, policy: Policy) -> list[Ledger]:
    """The minutes from load-in to doors against the work; none where the gig gives no clock.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ways : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        Minutes, crew factors, contingency.

    Returns
    -------
    list of Ledger
    """
    have = gig.evening.minutes_to_doors
    if have is None:
        return []
    work = set_up(gig, desk, ways, policy)
    kept = round(policy.time.contingency(work.minutes), 1)
    alone, at_desk = round(_total(work.shared), 1), round(_total(work.serial), 1)
    together = round(alone / work.factor, 1)
    reasons = (
        Reason(f"work shared by {work.crew} ({alone:g} min for one, {work.factor:g} times as fast together)",
               ("crew.people",), (("minutes", together),), together),
        Reason("work that follows one after another at the desk", ("crew.people",),
               tuple((f"{label} ({count:g})", round(m, 1)) for label, count, m in work.serial), at_desk),
        Reason("minutes kept back for what goes wrong", ("policy.time",), (("kept back", kept),), kept),
    )  # fmt: skip
    return [Ledger("minutes", "all", round(work.minutes, 1), have, kept, reasons)]
