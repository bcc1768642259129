"""Equaliser channels for outputs: for each channel of a mix, whatever boxes it plays through."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Gig, Zone
from gigsums.gig.desk import AboutDesk, Outputs
from gigsums.gig.model import Kit, Mains
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import processing_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import monitor_facts
from ..topic import Topic


def ledger(gig: Gig, desk: Desk) -> Ledger:
    """The ledger of equalisers."""
    rows = processing_ledgers(gig, desk, routes(gig, desk), stages.house())
    return next(row for row in rows if row.key == "equalisers")


def count(gig: Gig, desk: Desk) -> tuple[int, int]:
    """Channels wanted, and channels to be brought."""
    row = ledger(gig, desk)
    return int(row.need), int(max(0, -row.margin))


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.draw_players(draw, level)
    own = draw.whole(0, 3) * 2
    gig = Gig(
        evening,
        performers=players,
        mixes=monitors.draw_monitors(draw, level, players),
        mains=Mains("left and right"),
        zones=_draw_zones(draw, level),
        kit=Kit(equalisers=own),
    )
    inside = draw.whole(1, 4) * 2 if level > 1 and draw.yes(2, 3) else 0
    desk = Desk(
        AboutDesk("the house desk", "analogue"),
        outputs=(Outputs(line=inside, equaliser=True), Outputs(line=32)),
    )
    wanted, bring = count(gig, desk)
    have = (
        f"{inside} of the desk's outputs have an equaliser" if inside else "The desk has no output equalisers"
    )
    return Draft(
        shown={"gig": gig, "desk": desk},
        scene=f"{opening} Every monitor mix and the mains are to be equalised on their way out, and so is any zone that "
        f"asks for it. {have}; {f'{own} channels of equaliser are in the van' if own else 'none is in the van'}.",
        facts=("Mains: left and right", *monitor_facts(gig), *(_zone(zone) for zone in gig.zones)),
        question="How many equaliser channels are wanted, and how many must still be found?",
        answer=Answer((Part(wanted, name="wanted"), Part(bring, name="to find"))),
        workings=_workings(gig, desk),
        slips=_slips(gig, desk),
        nudge="An equaliser works on one signal. How many different signals leave for amplifiers?",
    )  # fmt: skip


def _draw_zones(draw: Draw, level: int) -> tuple[Zone, ...]:
    zones = []
    if level > 1 and draw.yes(1, 2):
        zones.append(Zone("Front fill", own_level=True, equaliser=draw.yes(2, 3)))
    if level > 2 and draw.yes(1, 2):
        zones.append(Zone("Balcony", own_level=True, equaliser=draw.yes(2, 3), stereo=draw.yes(1, 2)))
    return tuple(zones)


def _zone(zone: Zone) -> str:
    asks = "to be equalised" if zone.equaliser else "good as it is, without an equaliser"
    return f"{zone.name}: {'stereo' if zone.stereo else 'mono'}, {asks}"


def _workings(gig: Gig, desk: Desk) -> tuple[str, ...]:
    row = ledger(gig, desk)
    _, bring = count(gig, desk)
    return (
        stages.working("wanted", row.need, row.reasons[0]),
        f"To find: {bring}. {row.need:g} wanted, {row.have:g} at hand in the desk and the van.",
    )


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return count(other, desk)

    wanted, _ = count(gig, desk)
    have = int(ledger(gig, desk).have)
    mains = gig.mains.width
    wrong = (
        *misread.miscounts(
            gig,
            told,
            boxes=(
                "An equaliser for each box",
                "Boxes that play the same thing hang on one output: where would the second equaliser go?",
            ),
            people=("An equaliser for each listener", "Some of them share a mix."),
        ),
        misread.IN_EARS.slip(
            gig,
            told,
            "Left and right pass through two channels of equaliser.",
            name="In-ears given one channel",
        ),
        (
            "Mains forgotten",
            (wanted - mains, max(0, wanted - mains - have)),
            "What does the audience listen to?",
        ),
        (
            "Mains given one channel",
            (wanted - mains + 1, max(0, wanted - mains + 1 - have)),
            "Left and right are two signals.",
        ),
        (
            "Every zone equalised",
            count(replace(gig, zones=tuple(replace(zone, equaliser=True) for zone in gig.zones)), desk),
            "Not every zone asks for it.",
        ),
        (
            "What is at hand left out",
            (wanted, wanted),
            "The first number is right. What do the desk and the van have already?",
        ),
        (
            "Only the van counted",
            (wanted, max(0, wanted - gig.kit.equalisers)),
            "The first number is right. Has the desk none of its own?",
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("equaliser channels", "gig sizing", 2, build, least_slips=4)
