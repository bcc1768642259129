"""How zones and feeds leave a desk: linked through, from the mains, by a matrix, or by a bus; and which need a delay."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from gigsums.gig import Desk, Feed, Gig, Reason, Zone
from gigsums.gig.desk import AboutDesk, Matrices, Outputs, Recording
from gigsums.gig.model import Distances
from gigsums.sizing.ledgers import routes

from .. import stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..topic import Topic

PARTIES = ("Remote caller", "Sign interpreter's studio")


@dataclass(frozen=True)
class Taken:
    """What zones and feeds take, each with the terms it is made of."""

    matrices: tuple[tuple[str, int], ...]
    buses: tuple[tuple[str, int], ...]
    delays: tuple[tuple[str, int], ...]

    @property
    def values(self) -> tuple[int, int, int]:
        """Matrices, buses and delays."""
        matrices, buses, delays = (
            sum(number for _, number in each) for each in (self.matrices, self.buses, self.delays)
        )
        return matrices, buses, delays


def desk_with(matrices: int) -> Desk:
    """A digital desk with so many matrices."""
    return Desk(
        AboutDesk("the house desk", "digital"),
        outputs=(Outputs("desk", 64, delay_up_to_ms=500),),
        matrices=Matrices(matrices),
        recording=Recording(2),
    )


def count(gig: Gig, desk: Desk) -> Taken:
    """What zones and feeds take on that desk, matrices first."""
    ways = routes(gig, desk)
    delays = tuple(
        (zone.name, zone.width) for zone in gig.zones if zone.distance_m is not None and zone.wants_own_path
    )
    matrices, buses = (
        tuple((label, number) for _, label, number in ways.taking(via)) for via in ("matrix", "bus")
    )
    return Taken(matrices, buses, delays)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    gig = Gig(evening, zones=_draw_zones(draw, level), feeds=_draw_feeds(draw, level))
    channels = sum(zone.width for zone in gig.zones if zone.wants_own_path)
    desk = desk_with(draw.whole(max(1, channels - 1 - level), channels + 2))
    there = desk.matrices.count
    made = "matrix" if there == 1 else "matrices"
    taken = count(gig, desk)
    key = taken.values
    names = ("matrices", "buses", "delays")
    rules = (
        "a zone with anything of its own takes a matrix for each channel while there are any",
        "what finds no matrix takes a bus for each channel, and so does every feed that leaves somebody out or carries "
        "speech alone",
        "a zone at a distance of its own takes a delay for each channel",
    )
    return Draft(
        shown={"gig": gig, "matrices": there},
        scene=f"{opening} The desk is digital. It has {there} {made}, made of the mains, and buses enough. Zones are "
        "served in the order of the list and get a matrix for each channel as long as that many are left; whoever finds "
        "none is fed from buses. A copy of the mains can leave by any output and takes neither. A mix that the mains do "
        "not hold needs buses. Any output has a delay.",
        facts=(*(_zone_fact(zone) for zone in gig.zones), *(_feed_fact(feed) for feed in gig.feeds)),
        question="How many matrices, how many buses and how many delays do these zones and feeds take?",
        answer=Answer(tuple(Part(value, name=name) for value, name in zip(key, names, strict=True))),
        workings=tuple(
            stages.working(name, value, Reason(rule, (), terms, value))
            for name, value, rule, terms in zip(
                names, key, rules, (taken.matrices, taken.buses, taken.delays), strict=True
            )
        ),
        slips=_slips(gig, desk),
        nudge="Ask of each line: is it the mains, only somewhere else? Or later, louder, or somebody missing?",
    )


def _draw_zones(draw: Draw, level: int) -> tuple[Zone, ...]:
    def delay(own: int) -> Distances:
        return Distances(float(own + draw.whole(8, 30)), float(own))

    stock = [
        Zone("Front fill", own_level=True, stereo=draw.yes(1, 4)),
        Zone("Bar", fed_from="mains"),
        Zone("Back of hall", distance_m=delay(draw.whole(4, 8)), stereo=draw.yes(1, 3)),
        Zone("Hearing loop", own_level=True, equaliser=True),
        Zone("Under the balcony", distance_m=delay(draw.whole(3, 6)), stereo=draw.yes(1, 2)),
        Zone("Foyer", own_level=True, stereo=draw.yes(1, 3)),
        Zone("Second pair on the stage front", fed_from="mains", stereo=True),
        Zone("Yard", distance_m=delay(draw.whole(5, 9)), stereo=draw.yes(1, 2)),
    ]
    return tuple(draw.some(stock, draw.whole(2, 3 + level)))


def _draw_feeds(draw: Draw, level: int) -> tuple[Feed, ...]:
    parties = 2 if level > 2 and draw.yes(1, 2) else 1
    stock = [
        Feed("Recording", stereo=True, recorded=draw.yes(1, 2)),
        Feed("Stream", stereo=True),
        Feed("Press", stereo=False),
        Feed("Interpreter's floor feed", carries="speech"),
        *(
            Feed(f"To the {name.casefold()}", without=(name,), stereo=draw.yes(1, 4))
            for name in PARTIES[:parties]
        ),
        Feed("Stream with a balance of its own", fed_from="own mix", stereo=True),
    ]
    return tuple(draw.some(stock, draw.whole(1, 1 + level)))


def _zone_fact(zone: Zone) -> str:
    width = "stereo" if zone.stereo else "mono"
    if not zone.wants_own_path:
        return f"{zone.name}: its amplifier is linked through from that of the mains"
    if zone.distance_m is not None:
        main, own = zone.distance_m.main, zone.distance_m.own
        return f"{zone.name}: {width}; the same listener is {own:g} m from it and {main:g} m from the mains"
    return f"{zone.name}: {width}, at a level of its own{', with an equaliser' if zone.equaliser else ''}"


def _feed_fact(feed: Feed) -> str:
    width = "stereo" if feed.stereo else "mono"
    if feed.without:
        return f"{feed.name}: {width}, everything but what comes from there"
    if feed.carries == "speech":
        return f"{feed.name}: {width}, speech and nothing else"
    if feed.fed_from == "own mix":
        return f"{feed.name}: {width}, not the balance of the hall"
    where = "kept inside the desk" if feed.recorded else "the balance of the hall"
    return f"{feed.name}: {width}, {where}"


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    matrices, buses, delays = count(gig, desk).values

    def seen(**change: Any) -> Values:
        return count(replace(gig, **change), desk).values

    def as_mains(feed: Feed) -> Feed:
        return replace(feed, without=(), carries="everything", fed_from=None)

    linked = sum(zone.width for zone in gig.zones if not zone.wants_own_path)
    copies = sum(f.width for f in gig.feeds if not f.own_mix and not f.recorded)
    minus = sum(f.width for f in gig.feeds if f.without)
    wrong = (
        (
            "Mono everywhere",
            seen(
                zones=tuple(replace(z, stereo=False) for z in gig.zones),
                feeds=tuple(replace(f, stereo=False) for f in gig.feeds),
            ),
            "Left and right are two signals here too.",
        ),
        (
            "A linked zone given a way of its own",
            seen(zones=tuple(replace(z, fed_from="any", own_level=True) for z in gig.zones)),
            "One of the zones follows another amplifier. Does the desk feed it?",
        ),
        (
            "Somebody left out of a copy of the mains",
            seen(feeds=tuple(as_mains(f) if f.without else f for f in gig.feeds)),
            "What does a caller hear who is sent the mains? Their own voice, a moment late.",
        ),
        (
            "Mixes that leave somebody out put on matrices",
            (matrices + minus, buses - minus, delays),
            "A matrix is made of the mains. Can it leave one voice out?",
        ),
        (
            "Every feed given a mix of its own",
            (matrices, buses + copies, delays),
            "What the hall hears is there already. Does a copy of it take a bus?",
        ),
        (
            "The matrices not counted down",
            (sum(z.width for z in gig.zones if z.wants_own_path), buses, delays),
            "How many matrices has this desk?",
        ),
        (
            "What finds no matrix left out",
            (matrices, sum(f.width for f in gig.feeds if f.own_mix), delays),
            "A zone that finds no matrix still has to sound. What feeds it?",
        ),
        (
            "A delay for every zone",
            (matrices, buses, sum(z.width for z in gig.zones if z.wants_own_path)),
            "Which zones are heard together with the mains by the same listener, and later?",
        ),
        (
            "A delay for the linked zones too",
            (matrices, buses, delays + linked),
            "A zone that is linked through has no path of its own. Where would its delay be?",
        ),
        ("Delays forgotten", (matrices, buses, 0), "Who hears two loudspeakers, and which arrives first?"),
        (
            "One delay for a stereo zone",
            (matrices, buses, sum(z.distance_m is not None and z.wants_own_path for z in gig.zones)),
            "A delay belongs to an output. How many outputs has a stereo zone?",
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("zones and feeds", "gig sizing", 2, build, least_slips=4)
