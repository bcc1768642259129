"""Pairs taken and wedges still to be had: stereo wants a pair, and neighbours share one switch of their tap."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Feed, Gig, Reason, Zone
from gigsums.gig.desk import AboutDesk, DeskEffects, MixBuses
from gigsums.sizing import needs
from gigsums.sizing.buses import BusNeed
from gigsums.sizing.ledgers import bus_need, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import monitor_facts
from ..topic import Topic
from ..wording import listed

DESK = Desk(
    AboutDesk("the house desk", "analogue"),
    mix_buses=(MixBuses(2, tap="pair"),),
    effects=DeskEffects(8, send="takes a bus"),
)


def wanted(gig: Gig) -> BusNeed:
    """Bus channels by kind: stereo and mono, before and after the fader."""
    return bus_need(gig, DESK, routes(gig, DESK))


def heaps(need: BusNeed) -> tuple[tuple[str, int, int], ...]:
    """What is to be carried, kind by kind: its name, how many, and the pairs it takes."""
    return (
        ("stereo before the fader", need.stereo_pre, need.stereo_pre),
        ("mono before the fader", need.mono_pre, -(-need.mono_pre // 2)),
        ("stereo after the fader", need.stereo_post, need.stereo_post),
        ("mono after the fader", need.mono_post, -(-need.mono_post // 2)),
    )


def pairs(need: BusNeed) -> int:
    """Pairs taken where both buses of a pair share their tap: no kind shares a pair with another."""
    return sum(taken for _, _, taken in heaps(need))


def more_wedges(need: BusNeed, have: int) -> int:
    """How many further mono sends before the fader a desk with so many pairs can take."""
    return max(0, 2 * (have - pairs(need)) + need.mono_pre % 2)


def count(gig: Gig, have: int) -> tuple[int, int]:
    """Pairs taken, and wedges that a desk with so many pairs can still feed."""
    need = wanted(gig)
    return pairs(need), more_wedges(need, have)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    gig = _draw_gig(draw, level, Gig(evening))
    for _ in range(3):  # most draws are such that the pairs matter
        need = wanted(gig)
        if 2 * pairs(need) > need.total + 1:
            break
        gig = _draw_gig(draw, level, gig)
    have = pairs(wanted(gig)) + draw.whole(0, 2 + level)
    units = [effect.name.casefold() for effect in gig.effects]
    facts = (
        *monitor_facts(gig),
        f"Effects: {listed(units)}, a bus after the fader for each",
        *(f"{zone.name}: fed from a bus after the fader" for zone in gig.zones),
        *(f"{feed.name}: a stereo mix of its own, on buses after the fader" for feed in gig.feeds),
    )
    taken, more = count(gig, have)
    return Draft(
        shown={"gig": gig, "pairs": have},
        scene=f"{opening} The desk has {2 * have} buses in pairs, 1 with 2, 3 with 4 and so on. One switch sets both buses of "
        "a pair before or after the fader, and only the two buses of a pair can be linked for stereo. Monitors are "
        "taken before the fader. This is what it has to feed:",
        facts=facts,
        question="How many pairs are taken, in whole or in part, and how many more mono wedges, each with a mix of its "
        "own, could the desk still feed?",
        answer=Answer((Part(taken, name="pairs"), Part(more, name="wedges"))),
        workings=_workings(gig, have),
        slips=_slips(gig, have),
        nudge="Sort the sends into four heaps first: stereo and mono, before the fader and after it.",
    )


def _draw_gig(draw: Draw, level: int, gig: Gig) -> Gig:
    players = stages.draw_players(draw, level)
    return replace(
        gig,
        performers=players,
        mixes=monitors.draw_monitors(draw, level, players),
        effects=monitors.draw_effects(draw, level),
        zones=(Zone("Subs", fed_from="bus"),) if level > 1 and draw.yes(1, 2) else (),
        feeds=(Feed("Stream", stereo=True, fed_from="own mix"),) if level > 2 and draw.yes(1, 2) else (),
    )


def _workings(gig: Gig, have: int) -> tuple[str, ...]:
    need = wanted(gig)
    taken, more = count(gig, have)
    terms = tuple((f"for {number} {label}", share) for label, number, share in heaps(need) if number)
    monitor = needs(gig).row("monitor buses")
    after = [("Effects", len(gig.effects)), *((zone.name, zone.width) for zone in gig.zones)]
    after += [(feed.name, feed.width) for feed in gig.feeds]
    total = sum(number for _, number in after)
    half = need.mono_pre % 2
    left = (("both buses of each free pair", more - half), ("the free half of a pair before the fader", half))
    rule = "stereo takes a pair; mono shares a pair only with its own side of the fader, and half a pair counts as one"
    return (
        stages.working("monitor buses, before the fader", monitor.count, monitor.reason),
        stages.working(
            "buses after the fader", total, Reason("one for each channel", (), tuple(after), total)
        ),
        stages.working("pairs", taken, Reason(rule, (), terms, taken)),
        stages.working("more wedges", more, Reason(f"pairs still free: {have - taken}", (), left, more)),
    )


def _slips(gig: Gig, have: int) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return count(other, have)

    need = wanted(gig)
    bare = replace(gig, effects=())
    all_pairs = len(gig.mixes) + len(gig.effects) + len(gig.zones) + len(gig.feeds)
    free = max(0, have - all_pairs)
    wrong = (
        (
            "Buses halved, whatever they carry",
            (-(-need.total // 2), 2 * have - need.total),
            "Can one pair carry a monitor and an effects send, when one switch sets the tap of both?",
        ),
        (
            "Free buses counted, whatever their tap",
            (pairs(need), 2 * have - need.total),
            "The pairs are right. But which of the free buses can still be set before the fader?",
        ),
        (
            "A pair for everything",
            (all_pairs, free),
            "Two mono sends on the same side of the fader can share a pair.",
        ),
        (
            "Half a pair overlooked",
            (pairs(need), 2 * (have - pairs(need))),
            "The pairs are right. Is one of them only half taken, and on the monitors' side of the fader?",
        ),
        (
            "A wedge counted as a pair",
            (pairs(need), have - pairs(need)),
            "The pairs are right. How many mono wedges does a free pair feed?",
        ),
        misread.IN_EARS.slip(gig, told),
        *misread.miscounts(gig, told),
        misread.EFFECTS.slip(
            gig, told, "Something in the list is fed from buses though nobody stands in front of it."
        ),
        (
            "Only the monitors counted",
            count(replace(bare, zones=(), feeds=()), have),
            "Monitors are not all that is fed from buses tonight.",
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("bus pairs", "gig sizing", 2, build, least_slips=4)
