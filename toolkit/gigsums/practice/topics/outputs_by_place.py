"""Output sockets on the stage and at the desk: a total that fits proves nothing about either."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from gigsums.gig import Desk, Feed, Gig, Zone
from gigsums.gig.desk import AboutDesk, DeskEffects, Matrices, Outputs, Recording
from gigsums.gig.model import Mains
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import output_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..story import monitor_facts
from ..topic import Topic

MAINS: dict[Literal["mono", "left and right", "left, centre and right"], int] = {
    "mono": 1,
    "left and right": 2,
    "left, centre and right": 3,
}
NEAR: dict[Literal["stage", "desk"], str] = {"stage": "on the stage", "desk": "at the desk"}


def ledgers(gig: Gig, desk: Desk) -> tuple[Ledger, Ledger]:
    """The ledgers of outputs on the stage and at the desk."""
    rows = output_ledgers(gig, desk, routes(gig, desk), stages.house())
    found = {row.where: row for row in rows if row.key == "outputs"}
    return found["stage"], found["desk"]


def count(gig: Gig, desk: Desk) -> tuple[int, int]:
    """Outputs on the stage, and at the desk."""
    stage, here = ledgers(gig, desk)
    return int(stage.need), int(here.need)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.draw_players(draw, level)
    gig = Gig(
        evening,
        performers=players,
        mixes=monitors.draw_monitors(draw, level, players),
        mains=Mains(draw.pick(tuple(MAINS)) if level > 1 else "left and right"),
        effects=monitors.draw_effects(draw, min(level, 2)),
        zones=_draw_zones(draw, level),
        feeds=_draw_feeds(draw, level),
    )
    inside = max(0, len(gig.effects) - (draw.whole(0, 2) if level > 2 else 0))
    desk = Desk(
        AboutDesk("the house desk", "digital"),
        outputs=(Outputs("stage", 48), Outputs("desk", 48)),
        matrices=Matrices(12),
        effects=DeskEffects(inside),
        recording=Recording(2),
    )
    stage, here = count(gig, desk)
    names = ("stage outputs", "desk outputs")
    return Draft(
        shown={"gig": gig, "desk": desk},
        scene=f"{opening} The desk is digital, with a stage box. Amplifiers and transmitters for the mains and the "
        "monitors are on the stage. This is what leaves it:",
        facts=_facts(gig, inside),
        question="How many output sockets are taken on the stage, and how many at the desk?",
        answer=Answer((Part(stage, name=names[0]), Part(here, name=names[1]))),
        workings=tuple(
            stages.working(name, row.need, *row.reasons)
            for name, row in zip(names, ledgers(gig, desk), strict=True)
        ),
        slips=_slips(gig, desk),
        nudge="One line at a time: does it need a cable of its own, one or two, and where does that cable begin?",
    )


def _draw_zones(draw: Draw, level: int) -> tuple[Zone, ...]:
    zones = []
    if draw.yes(1, 2):
        zones.append(Zone("Front fill", own_level=True))
    if level > 1 and draw.yes(1, 2):
        zones.append(Zone("Foyer", own_level=True, at="desk", stereo=level > 2 and draw.yes(1, 2)))
    if level > 1 and draw.yes(1, 2):
        zones.append(Zone("Bar", fed_from="mains"))
    if level > 2 and draw.yes(1, 2):
        zones.append(Zone("Hearing loop", own_level=True, equaliser=True, at=draw.pick(tuple(NEAR))))
    return tuple(zones)


def _draw_feeds(draw: Draw, level: int) -> tuple[Feed, ...]:
    feeds = [Feed("Recording", stereo=True, recorded=level > 1 and draw.yes(1, 2))]
    if level > 1 and draw.yes(1, 2):
        feeds.append(Feed("Stream", stereo=True))
    if level > 2 and draw.yes(1, 2):
        feeds.append(Feed("Press", stereo=False))
    return tuple(feeds)


def _facts(gig: Gig, inside: int) -> tuple[str, ...]:
    facts = [f"Mains: {gig.mains.outputs}", *monitor_facts(gig)]
    for zone in gig.zones:
        if zone.wants_own_path:
            width = "stereo" if zone.stereo else "mono"
            facts.append(
                f"{zone.name}: {width}, at a level of its own, the amplifier stands {NEAR[_near(zone.at)]}"
            )
        else:
            facts.append(f"{zone.name}: its amplifier is linked through from that of the mains")
    for feed in gig.feeds:
        where = "kept inside the desk" if feed.recorded else "on a machine beside the desk"
        facts.append(f"{feed.name}: {'stereo' if feed.stereo else 'mono'}, {where}")
    for place, effect in enumerate(gig.effects):
        where = "made inside the desk" if place < inside else "in a unit beside the desk, fed in mono"
        facts.append(f"{effect.name}: {where}")
    return tuple(facts)


def _near(at: str) -> Literal["stage", "desk"]:
    return "stage" if at == "stage" else "desk"


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    stage, here = count(gig, desk)

    def seen(**change: Any) -> tuple[int, int]:
        return count(replace(gig, **change), desk)

    def told(other: Gig) -> tuple[int, int]:
        return count(other, desk)

    linked = sum(zone.width for zone in gig.zones if not zone.wants_own_path)
    inside = min(len(gig.effects), desk.effects.count)
    wrong = (
        ("Everything taken from the stage", (stage + here, 0), "Some of these boxes stand beside the desk."),
        (
            "The two places swapped",
            (here, stage),
            "Mind the order, and where the monitors' amplifiers are.",
        ),
        (
            "Mains forgotten",
            (stage - gig.mains.width, here),
            "What the audience hears leaves by an output too.",
        ),
        (
            "A linked zone given an output",
            (stage + linked, here),
            "One of the zones follows another amplifier. Does the desk feed it?",
        ),
        (
            "A recording inside the desk given outputs",
            seen(feeds=tuple(replace(feed, recorded=False) for feed in gig.feeds)),
            "What stays inside the desk needs no socket.",
        ),
        (
            "Effects inside the desk given outputs",
            (stage, here + inside),
            "What is made inside the desk needs no socket.",
        ),
        (
            "Sends to units beside the desk forgotten",
            (stage, here - (len(gig.effects) - inside)),
            "How does the sound get into an effect that the desk does not make itself?",
        ),
        (
            "Stereo feeds counted as one",
            seen(feeds=tuple(replace(feed, stereo=False) for feed in gig.feeds)),
            "Left and right leave by two sockets.",
        ),
        misread.IN_EARS.slip(
            gig, told, "A stereo transmitter has two inputs.", name="In-ears counted as one output each"
        ),
        *misread.miscounts(
            gig,
            told,
            boxes=("An output for each box", "Boxes that play the same thing are linked behind one output."),
            people=("An output for each listener", "Some of them share a mix: how many cables leave for it?"),
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("outputs by place", "gig sizing", 2, build, least_slips=5)
