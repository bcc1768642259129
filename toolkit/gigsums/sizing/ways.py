"""Every way each thing could be carried: the socket, bus or channel it would take, and what would have to change.

Things that are alike form a class, and only how many go which way is decided; particular sockets are matched
afterwards. A way's `takes` are amounts against the desk's stocks; a negative amount gives.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from ..gig import Desk, Effect, Feed, Gig, Mix, Option, Policy, Source, Step, Zone, most
from .buses import BUS_KINDS, BusKind
from .ledgers import at_unity, each_source, takes_talkback_channel, zone_delay_ms

PhantomKind = Literal["needs", "harmed", "each", "bare"]
"""Inputs that need phantom or are harmed by it; those that switch it one by one, and those without any."""
StockKind = (
    BusKind
    | PhantomKind
    | Literal[
        "mic", "line", "stereo", "two_track", "out", "record", "channels", "matrix", "group", "effects",
        "tracks", "direct", "kit", "sub", "hosts", "stereo hosts", "still heard", "mains alone",
    ]
)  # fmt: skip


@dataclass(frozen=True)
class Stock:
    """Something that there is only so much of.

    Parameters
    ----------
    kind : str
        What it is.
    at : str
        Where the desk has it, for sockets.
    of : str
        Whose it is: the feed that may use so many tracks or direct outs, the player who is sub-mixed, the things that
        share a mix, the effect that is heard there, or what of the kit.
    delay_ms : float
        Of outputs, those alone that delay so long [ms].
    """

    kind: StockKind
    at: str = ""
    of: str = ""
    delay_ms: float = 0.0


Takes = dict[Stock, float]
Sits = tuple[tuple[str, str, int], ...]  # on what, where, how many
CHANNELS = Stock("channels")
HAVE_ROWS = (*BUS_KINDS, "needs", "harmed", "each", "bare")
"""Buses and phantom are no plain stocks: the programme has rows of their own for them."""


@dataclass(frozen=True)
class Way:
    """One way to carry a thing: what it takes, which steps it needs, and which sockets it ends on."""

    takes: tuple[tuple[Stock, float], ...]
    steps: tuple[Step, ...] = ()
    sits: Sits = ()
    route: str = ""


@dataclass(frozen=True)
class Things:
    """A class of things that are alike: their key paths (one for each unit) and their ways."""

    paths: tuple[str, ...]
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Ways:
    """A gig on a desk as classes of things, and stocks to take from."""

    gig: Gig
    desk: Desk
    policy: Policy
    classes: tuple[Things, ...]
    stocks: Takes


def ways_of(gig: Gig, desk: Desk, policy: Policy) -> Ways:
    """Everything a gig asks of a desk, as classes of like things with their ways.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    policy : Policy
        For the delay settings.

    Returns
    -------
    Ways
    """
    site = _site(gig, desk, policy)
    groups: dict[Hashable, tuple[list[str], Iterable[Way]]] = {}
    for things in (_sources, _mixes, _effects, _zones, _feeds, _rest):
        for signature, paths, ways in things(site):
            groups.setdefault(signature, ([], ways))[0].extend(paths)
    classes = [Things(tuple(paths), tuple(dict.fromkeys(ways))) for paths, ways in groups.values()]
    stocks = {stock: 0.0 for c in classes for w in c.ways for stock, _ in w.takes} | site.stocks
    given = {stock for c in classes for w in c.ways for stock, amount in w.takes if amount < 0}
    nothing = {s for s, amount in stocks.items() if not amount and s not in given and s.kind not in HAVE_ROWS}
    usable = (
        replace(c, ways=tuple(w for w in c.ways if not any(s in nothing and a > 0 for s, a in w.takes)))
        for c in classes
    )
    return Ways(gig, desk, policy, tuple(usable), stocks)


# ---- What there is --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Site:
    """A gig on a desk with all that its ways ask about.

    `delays` are the settings that outputs must reach, `apart` the feeds that keep every source apart. Where effects
    return to the mains alone, `leaving` says how many things have to be left out before nobody else hears an effect,
    and `hushes` which effects each of them is heard in.
    """

    gig: Gig
    desk: Desk
    policy: Policy
    stocks: Takes
    delays: tuple[float, ...]
    apart: tuple[Feed, ...]
    ins: tuple[str, ...]
    outs: tuple[str, ...]
    leaving: dict[str, int]
    hushes: dict[str, tuple[str, ...]]


Class = tuple[Hashable, list[str], Iterator[Way]]


def _site(gig: Gig, desk: Desk, policy: Policy) -> _Site:
    ins = tuple(sorted({i.at for i in desk.inputs})) or ("desk",)
    outs = tuple(sorted({o.at for o in desk.outputs})) or ("desk",)
    delays = {zone_delay_ms(z, gig, policy) for z in gig.zones if z.distance_m and z.delay_by == "desk"}
    apart = tuple(f for f in gig.feeds if f.carries == "each source")
    stocks: Takes = {}
    for at in ins:
        here = [i for i in desk.inputs if i.at == at]
        kinds: tuple[Any, ...] = ("mic", "line", "stereo", "two_track")
        stocks |= {Stock(kind, at): sum(getattr(i, kind) for i in here) for kind in kinds}
        stocks[Stock("each", at)] = sum(i.mic for i in here if i.phantom == "each")
        stocks[Stock("bare", at)] = sum(i.mic for i in here if i.phantom == "none")
    for at in outs:
        there = [o for o in desk.outputs if o.at == at]
        stocks[Stock("out", at)] = sum(o.line for o in there)
        stocks[Stock("record", at)] = sum(o.record for o in there)
        for delay in sorted(delays):
            stocks[Stock("out", at, delay_ms=delay)] = sum(o.line for o in there if o.delay_up_to_ms >= delay)
    stocks[CHANNELS] = desk.channels
    stocks[Stock("matrix")] = desk.matrices.count
    stocks[Stock("group")] = sum(b.kind == "group" for b in desk.buses())
    stocks[Stock("effects")] = desk.effects.count
    stocks[Stock("tracks")] = desk.recording.tracks
    stocks[Stock("direct")] = desk.about.direct_outs
    for kind in ("tracks", "direct"):
        stocks |= {Stock(kind, of=feed.name): stocks[Stock(kind)] for feed in apart}
    for name in ("preamps", "delays", "effects", "sub_mixers", "phantom_blockers"):
        stocks[Stock("kit", of=name)] = getattr(gig.kit, name)
    leaving, hushes = _heard_beyond_the_mains(gig, desk)
    stocks |= {Stock("still heard", of=name): number for name, number in leaving.items()}
    return _Site(gig, desk, policy, stocks, tuple(sorted(delays)), apart, ins, outs, leaving, hushes)


def _heard_beyond_the_mains(gig: Gig, desk: Desk) -> tuple[dict[str, int], dict[str, tuple[str, ...]]]:
    """How many things to leave out until an effect is in the mains alone, and the effects heard in each thing."""
    leaving: dict[str, int] = {}
    hushes: dict[str, tuple[str, ...]] = {}
    if desk.effects.returns != "dedicated" or desk.effects.return_to != "mains":
        return leaving, hushes
    stay = {p.name for p in gig.performers} | {m.name for m in gig.mixes if m.fed_by == "monitor desk"}
    stay |= {z.name for z in gig.zones if not z.wants_own_path}
    for effect in gig.effects:
        beyond = set(effect.heard_in) - {"mains"}
        places = ((path, thing) for path, thing in gig.things if not isinstance(thing, Effect))
        things = [(path, thing.keep) for path, thing in places if thing.name in beyond]
        if effect.by == "unit" or not things or beyond & stay or any(keep == "must" for _, keep in things):
            continue
        leaving[effect.name] = len(things)
        for path, _ in things:
            hushes[path] = (*hushes.get(path, ()), effect.name)
    return leaving, hushes


def _left_out(site: _Site, path: str, keep: str, takes: Takes | None = None) -> Iterator[Way]:
    """The way of leaving a thing out, where it may be."""
    if keep == "must":
        return
    takes = dict(takes or {})
    for effect in site.hushes.get(path, ()):
        takes |= {Stock("still heard", of=effect): 1, Stock("mains alone", of=effect): -1}
    yield Way(tuple(takes.items()), (Step("drop want" if keep == "want" else "drop nice"),))


def _kept_apart(site: _Site, kind: Literal["tracks", "direct"], number: float) -> Takes:
    """What `number` channels take of the tracks or direct outs that each feed of every source may use.

    A feed that goes another way gives so many back that these no longer bind.
    """
    return {Stock(kind, of=feed.name): number for feed in site.apart}


# ---- Ways into the desk ---------------------------------------------------------------------------------


def _sources(site: _Site) -> Iterator[Class]:
    gig, desk = site.gig, site.desk
    at_mic = {p.name: [s for s in p.sources if s.at_mic_level] for p in gig.performers if gig.kit.sub_mixers}
    mixable = {name: sources for name, sources in at_mic.items() if sum(s.channels for s in sources) >= 3}
    owners = {f"performer.{p.name}.sources.{s.name}": p.name for p in gig.performers for s in p.sources}
    for path, source in gig.sources:
        owner = owners.get(path, "") if source.at_mic_level else ""
        owner = owner if owner in mixable else ""
        signature = ("source", source.width, source.at_mic_level, source.phantom, source.radio, source.keep,
                     desk.input_place(source.at), source.heard_in, owner)  # fmt: skip
        yield signature, [path] * most(source.count), _source_ways(site, path, source, owner)
    for owner, sources in mixable.items():
        members = sum(most(s.count) for s in sources)
        yield ("sub-mixer", owner), [f"performer.{owner}"], _sub_mixer_ways(site, owner, members)
    if takes_talkback_channel(gig, desk):
        at = desk.input_place("desk")
        way = Way(((Stock("mic", at), 1), (CHANNELS, 1)), (), (("mic input", at, 1),))
        yield "talkback", ["desk.talkback"], iter([way])


def _source_ways(site: _Site, path: str, source: Source, owner: str) -> Iterator[Way]:
    home = site.desk.input_place(source.at)
    for at in site.ins:
        moved = (Step("relocate", at),) if at != home else ()
        for way in _level_ways(site, source, at, moved):
            yield replace(way, takes=(*way.takes, *_mixed(site, source.width)))
    if owner:
        yield Way(((Stock("sub", of=owner), 1),), route="sub")
    yield from _left_out(site, path, source.keep)


def _mixed(site: _Site, width: int) -> Iterator[tuple[Stock, float]]:
    """What a source that is mixed takes of the feeds that keep every source apart."""
    yield from _kept_apart(site, "tracks", width).items()
    yield from _kept_apart(site, "direct", width).items()


def _level_ways(site: _Site, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
    if not source.at_mic_level:
        yield from _line_ways(site, source, at, moved)
        return
    sockets = (("mic input", at, source.width),)
    takes: Takes = {Stock("mic", at): source.width, CHANNELS: _strips(site, source, source.width)}
    phantom: Takes = {}
    if source.phantom != "indifferent":
        phantom = {Stock("needs" if source.phantom == "needed" else "harmed", at): source.width}
    yield Way((*takes.items(), *phantom.items()), moved, sockets)
    if source.phantom == "forbidden":
        takes[Stock("kit", of="phantom_blockers")] = source.width
        yield Way(tuple(takes.items()), (*moved, Step("phantom blocker")), sockets)
    line = replace(source, level="line", phantom="indifferent")
    if source.radio:
        for way in _line_ways(site, line, at, moved):
            yield replace(way, steps=(*way.steps, Step("line level")))
    if site.gig.kit.preamps:
        for way in _line_ways(site, line, at, moved):
            extra = (*way.takes, (Stock("kit", of="preamps"), float(source.width)))
            yield replace(way, takes=extra, steps=(*way.steps, Step("outboard preamp")))


def _line_ways(site: _Site, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
    stereo, line, mic = Stock("stereo", at), Stock("line", at), Stock("mic", at)
    single, double = _strips(site, source, 1), _strips(site, source, source.width)
    stereo_input = Way(((stereo, 1), (CHANNELS, single)), moved, (("stereo input", at, 1),))
    reach = {place for i in site.desk.inputs if i.at == at and i.two_track for place in i.two_track_to}
    two_track = []
    if source.stereo and source.heard_in is not None and set(source.heard_in) <= reach:
        two_track = [Way(((Stock("two_track", at), 1),), moved, (("two-track return", at, 1),))]
    if site.desk.digital:  # there a two-track return saves channels; elsewhere a channel is worth more
        yield from two_track
    if source.stereo:
        yield stereo_input
    for socket, on in ((line, "line input"), (mic, "mic input")):
        yield Way(((socket, source.width), (CHANNELS, double)), moved, ((on, at, source.width),))
    if not source.stereo:
        yield stereo_input
    if source.stereo and site.stocks[line] and site.stocks[mic]:
        both = (("line input", at, 1), ("mic input", at, 1))
        yield Way(((line, 1), (mic, 1), (CHANNELS, double)), moved, both)
    if not site.desk.digital:
        yield from two_track


def _strips(site: _Site, source: Source | Effect, sockets: int) -> int:
    """Channels: one a socket on an analogue desk; on a digital one what the desk asks for stereo."""
    if not site.desk.digital:
        return sockets
    return site.desk.stereo_takes if source.stereo else 1


def _sub_mixer_ways(site: _Site, owner: str, members: int) -> Iterator[Way]:
    yield Way((), route="none")
    made = Source(f"{owner}'s sub-mix", "line", stereo=True)
    freed = ((Stock("sub", of=owner), -float(members)), (Stock("kit", of="sub_mixers"), 1.0))
    for way in _line_ways(site, made, site.desk.input_place("stage"), ()):
        yield replace(way, takes=(*way.takes, *_mixed(site, 2), *freed), steps=(Step("sub-mixer"),))


def _return_ways(site: _Site, effect: Effect) -> Iterator[Way]:
    at = site.desk.input_place("desk")
    stereo = ((Stock("stereo", at), 1), (CHANNELS, _strips(site, effect, 1)))
    yield Way(stereo, (), (("stereo input", at, 1),))
    mono = ((Stock("mic", at), effect.width), (CHANNELS, _strips(site, effect, effect.width)))
    yield Way(mono, (), (("mic input", at, effect.width),))


# ---- Ways through and out of it -------------------------------------------------------------------------


def _mixes(site: _Site) -> Iterator[Class]:
    for mix in site.gig.own_mixes:
        path = f"mix.{mix.name}"
        signature = ("mix", mix.through, mix.width, mix.is_stereo, mix.fed_by, mix.personal_feeds, mix.keep,
                     frozenset(mix.may), site.desk.output_place(mix.at), mix.at, site.hushes.get(path))  # fmt: skip
        yield signature, [path], _mix_ways(site, path, mix)


def _mix_ways(site: _Site, path: str, mix: Mix) -> Iterator[Way]:
    yield from _left_out(site, path, mix.keep)
    if mix.fed_by == "personal mixer":
        yield from _personal_ways(site, mix)
        return
    alike = f"{mix.through} {mix.at}"
    hosts, stereo_hosts = Stock("hosts", of=alike), Stock("stereo hosts", of=alike)
    many = len(site.gig.mixes)
    widths: list[tuple[int, tuple[Step, ...]]] = [(mix.width, ())]
    if mix.is_stereo and "mono" in mix.may:
        widths.append((1, (Step("mono"),)))
    for width, steps in widths:
        stereo = mix.is_stereo and width == 2
        shares = "share" in mix.may and not mix.sub_send
        for at, moved in _places(site, mix.at):
            takes: Takes = {Stock("stereo_pre"): 1} if stereo else {Stock("mono_pre"): width}
            takes[Stock("out", at)] = width
            if shares:
                takes |= {hosts: -1, stereo_hosts: -many} if stereo else {hosts: -1}
            yield Way(tuple(takes.items()), (*steps, *moved), (("output", at, width),))
        if shares:
            kept = {hosts: 1 / many, stereo_hosts: 1} if stereo else {hosts: 1 / many}
            yield Way(tuple(kept.items()), (*steps, Step("share", alike)), route="shared")


def _personal_ways(site: _Site, mix: Mix) -> Iterator[Way]:
    """By outputs of a digital desk, in their place; by direct outs of an analogue one, which has them once."""
    number = mix.personal_feeds
    if not site.desk.digital:
        yield Way(((Stock("direct"), number), *_kept_apart(site, "direct", number).items()))
        return
    for at, moved in _places(site, mix.at):
        yield Way(((Stock("out", at), number),), moved, (("output", at, number),))


def _places(site: _Site, wanted: str) -> Iterator[tuple[str, tuple[Step, ...]]]:
    """Everywhere an output could be taken, with the step that leads there."""
    home = site.desk.output_place(wanted)
    for at in site.outs:
        yield at, (() if at == home else (Step("relocate", at),))


def _effects(site: _Site) -> Iterator[Class]:
    for e in site.gig.effects:
        signature = ("effect", e.heard_in, e.stereo, e.keep, e.by)
        yield signature, [f"effect.{e.name}"], _effect_ways(site, e)


def _effect_ways(site: _Site, effect: Effect) -> Iterator[Way]:
    desk = site.desk
    yield from _left_out(site, f"effect.{effect.name}", effect.keep)
    if effect.by == "desk":
        send: Takes = {Stock("effects"): 1}
        if desk.effects.send != "own":
            send[Stock("sends" if any(b.feeds_effects for b in desk.buses()) else "mono_post")] = 1
        alone = Way(tuple(send.items()), route="inside")
        beyond = site.leaving.get(effect.name)
        if beyond:
            yield replace(alone, takes=(*alone.takes, (Stock("mains alone", of=effect.name), beyond)))
            send[Stock("still heard", of=effect.name)] = 1
        if desk.returns_alone(effect.heard_in):
            yield alone
        elif desk.digital:
            send[CHANNELS] = desk.return_channels(effect.width)
            yield Way(tuple(send.items()), route="inside")
        else:
            for way in _return_ways(site, effect):
                yield replace(way, takes=(*send.items(), *way.takes), route="inside")
    at = desk.output_place("desk")
    unit = ((Stock("mono_post"), 1), (Stock("out", at), 1), (Stock("kit", of="effects"), 1))
    steps = (Step("outboard effect"),) if effect.by == "desk" else ()
    for way in _return_ways(site, effect):
        yield Way((*unit, *way.takes), steps, (*way.sits, ("output", at, 1)), "outboard")


def _zones(site: _Site) -> Iterator[Class]:
    for zone in site.gig.zones:
        path = f"zone.{zone.name}"
        delay = zone_delay_ms(zone, site.gig, site.policy) if zone.distance_m else 0
        signature = ("zone", zone.width, delay, at_unity(zone), zone.equaliser, zone.fed_from, zone.at, zone.keep,
                     zone.delay_by, site.hushes.get(path))  # fmt: skip
        yield signature, [path], _zone_ways(site, path, zone)


def _zone_ways(site: _Site, path: str, zone: Zone) -> Iterator[Way]:
    if not zone.wants_own_path:
        yield Way((), route="linked")
        return
    yield from _left_out(site, path, zone.keep)
    if zone.fed_from in ("bus", "group", "matrix") and at_unity(zone) and not zone.equaliser:
        yield Way((), (Step("reroute", "mains"),), route="linked")
    for route, carrier in _carriers(zone.width, at_unity(zone)):
        steps = () if zone.fed_from in ("any", route) else (Step("reroute", route),)
        for at, moved in _places(site, zone.at):
            yield from _delayed(site, zone, Way((carrier,), (*steps, *moved), route=route), at)


def _delayed(site: _Site, zone: Zone, way: Way, at: str) -> Iterator[Way]:
    """The zone by that way, with its outputs and what delays it."""
    way = replace(way, sits=(("output", at, zone.width),))
    plain = (*way.takes, (Stock("out", at), float(zone.width)))
    beside = (*plain, (Stock("kit", of="delays"), float(zone.width)))
    if zone.distance_m is None:
        yield replace(way, takes=plain)
    elif zone.delay_by == "unit":
        yield replace(way, takes=beside)
    else:
        setting = zone_delay_ms(zone, site.gig, site.policy)
        able = ((Stock("out", at, delay_ms=d), float(zone.width)) for d in site.delays if d <= setting)
        yield replace(way, takes=(*plain, *able))
        yield replace(way, takes=beside, steps=(*way.steps, Step("outboard delay")))


def _carriers(width: int, unity: bool) -> Iterator[tuple[str, tuple[Stock, float]]]:
    yield "matrix", (Stock("matrix"), width)
    if unity:
        yield "group", (Stock("group"), width)
    yield "bus", (Stock("stereo_post" if width == 2 else "mono_post"), 1)


def _feeds(site: _Site) -> Iterator[Class]:
    for f in site.gig.feeds:
        path = f"feed.{f.name}"
        each = each_source(site.gig) if f.carries == "each source" else 0
        signature = (
            "feed",
            f.width,
            f.own_mix,
            f.fed_from,
            f.recorded,
            f.at,
            f.keep,
            each,
            site.hushes.get(path),
        )
        yield signature, [path], _feed_ways(site, path, f)


def _feed_ways(site: _Site, path: str, feed: Feed) -> Iterator[Way]:
    desk = site.desk
    if feed.carries == "each source":
        yield from _each_source_ways(site, path, feed)
        return
    yield from _left_out(site, path, feed.keep)
    insists = feed.fed_from == "matrix"
    if feed.recorded and desk.recording.tracks and not feed.own_mix and not insists:
        tracks: Takes = {Stock("tracks"): feed.width} | _kept_apart(site, "tracks", feed.width)
        yield Way(tuple(tracks.items()), route="recorder")
    for at, moved in _places(site, feed.at):
        out, sits = (Stock("out", at), float(feed.width)), (("output", at, feed.width),)
        if not feed.own_mix:
            steps = (Step("reroute", "mains"), *moved) if insists else moved
            record = (("record output", at, feed.width),)
            yield Way(((Stock("record", at), feed.width),), steps, record, "record")
            if desk.digital:
                yield Way((out,), steps, sits, "mains")
        for route, carrier in _carriers(feed.width, not feed.own_mix):
            if feed.own_mix and route != "bus":
                continue
            steps = (Step("reroute", route), *moved) if insists and route != "matrix" else moved
            yield Way((carrier, out), steps, sits, route)


def _each_source_ways(site: _Site, path: str, feed: Feed) -> Iterator[Way]:
    """On tracks inside where the recorder takes channels, else by direct outs; the sources take them."""
    number = each_source(site.gig)
    all_of_them = float(number + sum(m.personal_feeds for m in site.gig.mixes))
    all_of_them += sum(number if f in site.apart else f.width for f in site.gig.feeds)
    no_tracks: Takes = {Stock("tracks", of=feed.name): -all_of_them}
    no_outs: Takes = {Stock("direct", of=feed.name): -all_of_them}
    others = [f.name for f in site.apart if f is not feed]
    yield from _left_out(site, path, feed.keep, no_tracks | no_outs)
    if feed.recorded and site.desk.recording.source == "channels":
        taken = {Stock("tracks", of=name): float(number) for name in others}
        yield Way((*no_outs.items(), *taken.items()), route="recorder")
    taken = {Stock("direct", of=name): float(number) for name in others}
    yield Way((*no_tracks.items(), *taken.items()), route="direct")


def _rest(site: _Site) -> Iterator[Class]:
    """The mains, always there, and the boxes that may be added."""
    width, at = site.gig.mains.width, site.desk.output_place(site.gig.mains.at)
    centre = ((Stock("mono_post"), 1),) if width == 3 else ()
    way = Way(((Stock("out", at), width), *centre), (), (("output", at, width),))
    yield "mains", ["mains"], iter([way])
    for option in site.desk.options:
        yield ("option", option.name), [f"option.{option.name}"], _option_ways(site, option)


def _option_ways(site: _Site, option: Option) -> Iterator[Way]:
    yield Way((), route="none")
    at, takes = option.at, dict[Stock, float]()
    if option.mic:
        takes |= {Stock("mic", at): -option.mic, Stock("each", at): -option.mic}
        if site.desk.about.channels is None:  # a channel for each input, the added ones too
            takes[CHANNELS] = -option.mic
    if option.line_out:
        takes[Stock("out", at)] = -option.line_out
        like = max((o.delay_up_to_ms for o in site.desk.outputs if o.at == at), default=0.0)
        takes |= {Stock("out", at, delay_ms=d): -option.line_out for d in site.delays if d <= like}
    yield Way(tuple(takes.items()), (Step("stage box", option.name),))
