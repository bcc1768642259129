"""The lightest of several desks that carries a gig: the same gig takes more of one desk than of another."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gigsums.gig import Desk, Gig
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.sizing.ledgers import bus_need, input_ledgers, output_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts, monitor_facts
from ..topic import Topic
from ..wording import listed

NAMES = ("first", "second", "third", "fourth")
NONE = "none"
KINDS = ("sockets", "channels", "buses", "outputs")
BASE = Desk(
    AboutDesk("the house desk", "digital", channels=128, stereo="takes two channels"),
    (Inputs("desk", mic=96),),
    (Outputs("desk", line=64),),
    (MixBuses(48),),
    effects=DeskEffects(8),
)


@dataclass(frozen=True)
class Offer:
    """A desk that could be taken: how it works, what it has, what it weighs."""

    name: str
    works: Desk
    have: dict[str, int]
    weight_kg: int


def count(gig: Gig, works: Desk) -> dict[str, int]:
    """What the gig takes of a desk that works that way."""
    ways = routes(gig, works)
    rows = [
        *input_ledgers(gig, works, ways, stages.house()),
        *output_ledgers(gig, works, ways, stages.house()),
    ]
    by_key = {row.key: int(row.need) for row in rows}
    return {
        "sockets": by_key["preamps"],
        "channels": by_key["strips"],
        "buses": bus_need(gig, works, ways).total,
        "outputs": by_key["outputs"],
    }


def lacking(gig: Gig, offer: Offer) -> tuple[str, ...]:
    """What this desk has too few of."""
    taken = count(gig, offer.works)
    return tuple(kind for kind in KINDS if taken[kind] > offer.have[kind])


def choose(gig: Gig, offers: tuple[Offer, ...]) -> Values:
    """The lightest that carries it, and the channels and buses taken there; none and noughts if none does."""
    able = [offer for offer in offers if not lacking(gig, offer)]
    if not able:
        return NONE, 0, 0
    best = min(able, key=lambda offer: offer.weight_kg)
    taken = count(gig, best.works)
    return best.name, taken["channels"], taken["buses"]


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    gig = Gig(
        evening,
        performers=players,
        lines=stages.draw_lines(draw, level),
        mixes=monitors.draw_monitors(draw, min(level, 2), players),
        effects=monitors.draw_effects(draw, min(level, 2)),
        talkback=True,
    )
    offers = _draw_offers(draw, gig, 2 + min(level, 2))
    key = choose(gig, offers)
    units = [effect.name.casefold() for effect in gig.effects]
    return Draft(
        shown={"gig": gig, "offers": offers},
        scene=f"{opening} Each of these desks is digital: an input socket for each signal, a stereo source takes two "
        "channels, a bus for each channel of a monitor mix, mains left and right on two outputs, effects made inside, "
        "in stereo. Talkback is wanted. Which can you take, and which do you want to carry up the stairs?",
        facts=(
            *input_facts(gig),
            *(f"Monitors - {fact}" for fact in monitor_facts(gig)),
            f"Effects: {listed(units)}",
            *(_told(offer) for offer in offers),
        ),
        question="Which is the lightest desk that carries it, and how many channels and how many buses does the gig take "
        "there? If no desk does, type none, and 0 for both.",
        answer=Answer(
            (
                Part(key[0], choices=(*(offer.name for offer in offers), NONE), name="the desk"),
                Part(key[1], name="channels"),
                Part(key[2], name="buses"),
            )
        ),
        workings=_workings(gig, offers, key),
        slips=_slips(gig, offers, key),
        nudge="Begin with the lightest. Count what the gig takes of that desk before you look at what it has.",
        caution="A desk is lifted by two, or wheeled. A light one is no promise that one back can carry it.",
    )


def _draw_offers(draw: Draw, gig: Gig, number: int) -> tuple[Offer, ...]:
    """Desks of different weights; the one wanted, or none, is the lightest that lacks nothing."""
    weights = draw.some(range(9, 34), number)
    by_weight = sorted(range(number), key=lambda n: weights[n])
    wanted = draw.whole(0, number)  # a place among the desks, or none
    offers = []
    for n in range(number):
        works = _draw_ways(draw)
        taken = count(gig, works)
        have = {kind: taken[kind] + draw.whole(0, 6) for kind in KINDS}
        too_small = wanted == number or by_weight.index(n) < by_weight.index(wanted)
        if too_small or (n != wanted and draw.yes(1, 3)):
            kind = draw.pick(KINDS)
            have[kind] = max(1, taken[kind] - draw.whole(1, 3))
        offers.append(Offer(NAMES[n], works, have, weights[n]))
    return tuple(offers)


def _draw_ways(draw: Draw) -> Desk:
    effects = replace(
        BASE.effects,
        send=draw.pick(("own", "takes a bus")),
        returns=draw.pick(("dedicated", "takes two channels")),
    )
    return replace(
        BASE, about=replace(BASE.about, talkback=draw.pick(("own input", "takes a channel"))), effects=effects
    )


def _told(offer: Offer) -> str:
    have, effects = offer.have, offer.works.effects
    send = "are fed from buses" if effects.send == "takes a bus" else "have sends of their own"
    back = (
        "come back on two channels each"
        if effects.returns == "takes two channels"
        else "on returns of their own"
    )
    back = back if effects.returns == "takes two channels" else f"come back {back}"
    talk = (
        "has an input of its own"
        if offer.works.about.talkback == "own input"
        else "takes a socket and a channel"
    )
    return (
        f"The {offer.name} desk, {offer.weight_kg} kg: {have['sockets']} sockets, {have['channels']} channels, "
        f"{have['buses']} buses, {have['outputs']} outputs; effects {send} and {back}; talkback {talk}"
    )


def _workings(gig: Gig, offers: tuple[Offer, ...], key: Values) -> tuple[str, ...]:
    lines = []
    for offer in sorted(offers, key=lambda each: each.weight_kg):
        taken, short = count(gig, offer.works), lacking(gig, offer)
        sums = ", ".join(f"{taken[kind]} {kind} of {offer.have[kind]}" for kind in KINDS)
        state = f"too few {listed(short)}" if short else "it carries it"
        lines.append(f"The {offer.name}, {offer.weight_kg} kg, takes {sums}; {state}")
    return (
        *lines,
        f"Channels: {key[1]}. On the desk that is taken.",
        f"Buses: {key[2]}. The desk: {key[0]}.",
    )


def _slips(gig: Gig, offers: tuple[Offer, ...], key: Values) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return choose(other, offers)

    def as_if(**change: object) -> Values:
        """The answer of somebody who sees every desk work in that way."""
        about = {name: value for name, value in change.items() if name == "talkback"}
        effects = {name: value for name, value in change.items() if name != "talkback"}
        seen = tuple(
            replace(
                offer,
                works=replace(
                    offer.works,
                    about=replace(offer.works.about, **about),  # type: ignore[arg-type]
                    effects=replace(offer.works.effects, **effects),  # type: ignore[arg-type]
                ),
            )
            for offer in offers
        )
        return choose(gig, seen)

    able = [offer for offer in offers if not lacking(gig, offer)]
    lightest = min(offers, key=lambda offer: offer.weight_kg)
    light = count(gig, lightest.works)
    wrong = [
        (
            "Effects returns forgotten",
            as_if(returns="dedicated"),
            "Where do the effects come back on each desk?",
        ),
        ("Effects sends forgotten", as_if(send="own"), "What feeds the effects on each desk?"),
        (
            "Talkback forgotten",
            as_if(talkback="own input"),
            "Where is the talkback microphone plugged in on each desk?",
        ),
        misread.IN_EARS.slip(gig, told, "Left and right take two buses and two outputs."),
        *misread.miscounts(
            gig,
            told,
            boxes=(
                "Boxes counted, not mixes",
                "Boxes that play the same thing hang on one bus and one output.",
            ),
        ),
        misread.STEREO.slip(gig, told),
        (
            "The lightest taken, whatever it has",
            (lightest.name, light["channels"], light["buses"]),
            "It is the lightest. Count all four things before you pick it up.",
        ),
    ]
    if len(able) > 1:
        heavy = max(able, key=lambda offer: offer.weight_kg)
        taken = count(gig, heavy.works)
        wrong.append(
            (
                "The heaviest that would do",
                (heavy.name, taken["channels"], taken["buses"]),
                "It would do. Who carries it?",
            )
        )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("which desk", "gig sizing", 2, build, least_slips=2)
