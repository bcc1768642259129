"""How zones, feeds and effects are carried on a given desk when they are only counted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from ..gig import Desk, Effect, Feed, Gig, Zone

Via = Literal["linked", "mains", "record", "recorder", "direct", "matrix", "group", "bus"]


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
        return zones + [(f"feed.{f.name}", f.name, f.width) for f, how in self.feeds if how == via]


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
    matrices = _Stock(desk.matrices.count)
    record = _Stock(sum(o.record for o in desk.outputs))
    groups = _Stock(sum(b.kind == "group" for b in desk.buses()))
    ways: dict[str, Via] = {}
    for zone in gig.zones:
        if not zone.wants_own_path:
            ways[f"zone.{zone.name}"] = "linked"
        elif zone.fed_from == "matrix":
            ways[f"zone.{zone.name}"] = matrices.claim(zone.width, "matrix")
        elif zone.fed_from == "group":
            ways[f"zone.{zone.name}"] = groups.claim(zone.width, "group")
        elif zone.fed_from == "bus":
            ways[f"zone.{zone.name}"] = "bus"
    for feed in gig.feeds:
        way = _each_source_way(feed, gig, desk) or _feed_way(feed, desk, record)
        if way is not None:
            ways[f"feed.{feed.name}"] = matrices.claim(feed.width, way) if way == "matrix" else way
    for zone in gig.zones:
        if f"zone.{zone.name}" not in ways:
            ways[f"zone.{zone.name}"] = (
                matrices.take(zone.width, "matrix")
                or (groups.take(zone.width, "group") if at_unity(zone) else None)
                or "bus"
            )
    for feed in gig.feeds:
        if f"feed.{feed.name}" not in ways:
            ways[f"feed.{feed.name}"] = (
                matrices.take(feed.width, "matrix") or groups.take(feed.width, "group") or "bus"
            )
    inside = tuple(e for e in gig.effects if e.by == "desk")[: desk.effects.count]
    return Routes(
        tuple((z, ways[f"zone.{z.name}"]) for z in gig.zones),
        tuple((f, ways[f"feed.{f.name}"]) for f in gig.feeds),
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


def _each_source_way(feed: Feed, gig: Gig, desk: Desk) -> Via | None:
    """Inside where the recorder has the tracks, else by direct outs where there are any; None for other feeds."""
    if feed.carries != "each source":
        return None
    inside = feed.recorded and desk.recording.tracks > 0
    number = each_source(gig)
    taken = number + sum(
        f.width for f in gig.feeds if f.recorded and f.carries != "each source" and not f.own_mix
    )
    roomy = desk.recording.source == "channels" and desk.recording.tracks >= taken
    outs = desk.about.direct_outs
    return "recorder" if inside and (roomy or outs < number) else "direct"


def _feed_way(feed: Feed, desk: Desk, record: _Stock) -> Via | None:
    """The way a feed must go; None where it may take a matrix, a group or a bus."""
    if feed.own_mix:
        return "bus"
    if feed.fed_from == "matrix":
        return "matrix"
    if feed.recorded and desk.recording.tracks:
        return "recorder"
    return record.take(feed.width, "record") or ("mains" if desk.digital else None)


class _Stock:
    """So many of a thing, handed out until none is left."""

    def __init__(self, left: int) -> None:
        self.left = left

    def take(self, count: int, via: Via) -> Via | None:
        if count > self.left:
            return None
        self.left -= count
        return via

    def claim(self, count: int, via: Via) -> Via:
        """Taken whether or not enough is left: a shortage is for the ledger to show."""
        self.left = max(0, self.left - count)
        return via
