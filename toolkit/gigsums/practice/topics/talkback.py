"""Whether anybody must be spoken to through the desk, and what the talkback microphone takes and where it goes."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from gigsums.gig import Desk, Gig, Mix
from gigsums.gig.desk import AboutDesk, Inputs
from gigsums.sizing import Ledger, needs
from gigsums.sizing.ledgers import input_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts, monitor_facts
from ..topic import Topic
from ..wording import listed

WANTED = ("wanted", "not wanted")
Talkback = Literal["own input", "takes a channel", "none"]
INPUT: dict[Talkback, str] = {
    "own input": "The desk's talkback has an input of its own",
    "takes a channel": "The desk's talkback is plugged into one of the microphone inputs",
    "none": "The desk has no talkback: whoever wants it plugs a microphone with a switch into one of the inputs",
}


def desk_with(talkback: Talkback) -> Desk:
    """A desk with that talkback and inputs of every kind to spare."""
    about = AboutDesk("the house desk", "digital", talkback=talkback)
    return Desk(about, (Inputs("desk", mic=64, line=32, stereo=32),))


def preamps(gig: Gig, desk: Desk) -> Ledger:
    """The ledger of microphone inputs."""
    rows = input_ledgers(gig, desk, routes(gig, desk), stages.house())
    return next(row for row in rows if row.key == "preamps")


def count(gig: Gig, desk: Desk) -> tuple[str, int, int]:
    """Whether it is wanted, the microphone inputs taken in all, and the buses that it goes to."""
    wanted = gig.wants_talkback
    buses = needs(gig)["monitor buses"] if wanted else 0
    return WANTED[not wanted], int(preamps(gig, desk).need), buses


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    gig = Gig(
        evening, performers=players, lines=stages.draw_lines(draw, level), mixes=_mixes(draw, level, players)
    )
    desk = desk_with(draw.pick(tuple(INPUT)))
    key = count(gig, desk)
    why = (
        "somebody is in in-ears"
        if any(m.through == "in-ears" for m in gig.mixes)
        else "there are two mixes or more"
    )
    return Draft(
        shown={"gig": gig, "desk": desk},
        scene=f"{opening} Nobody has said a word about talkback, but the rule of the house is to have it as soon as "
        "anybody is in in-ears, or two monitor mixes leave the desk. Talkback goes to every monitor bus, and never to the "
        f"mains. {INPUT[desk.about.talkback]}. There are line inputs for everything at line level.",
        facts=(*input_facts(gig), *(f"Monitors - {fact}" for fact in monitor_facts(gig))),
        question="Is talkback wanted here, how many microphone inputs are taken in all, and to how many buses does the "
        "talkback go? If it is not wanted, type 0 for the buses.",
        answer=Answer(
            (
                Part(key[0], choices=WANTED, name="the verdict"),
                Part(key[1], name="inputs"),
                Part(key[2], name="buses"),
            )
        ),
        workings=(
            stages.working("inputs", key[1], *preamps(gig, desk).reasons),
            stages.working(
                "buses of the monitors", needs(gig)["monitor buses"], needs(gig).row("monitor buses").reason
            ),
            f"Buses: {key[2]}. Talkback is {key[0]}: "
            + (f"{why}." if gig.wants_talkback else "nobody is in in-ears, and there is no second mix."),
        ),
        slips=_slips(gig, desk, key),
        nudge="First the people: who could not hear a shout? Then the sockets, and then the buses.",
    )


def _mixes(draw: Draw, level: int, players: tuple) -> tuple[Mix, ...]:
    """Monitors for all, or one wedge, or one mix for all the wedges."""
    if draw.yes(1, 4):
        heard = players[: draw.whole(1, min(level, len(players)))]
        names = tuple(player.name for player in heard)
        return (Mix(listed(names), names, "wedge", boxes=max(len(names), draw.whole(1, 2))),)
    return monitors.draw_monitors(draw, level, players)


def _slips(gig: Gig, desk: Desk, key: tuple[str, int, int]) -> tuple[Slip, ...]:
    wanted, inputs, buses = key
    hint = "Read again where the talkback microphone is plugged in on this desk."
    if desk.about.talkback == "own input":
        name = "Talkback given an input though it has its own"
        plugged = (name, (wanted, int(preamps(gig, desk_with("takes a channel")).need), buses), hint)
    else:
        plugged = ("The talkback microphone left out of the inputs", (wanted, inputs - 1, buses), hint)
    without = int(preamps(replace(gig, talkback=False), desk).need)
    if wanted == WANTED[1]:
        always = count(replace(gig, talkback=True), desk)
        boxed = needs(misread.BOXES.seen(gig))["monitor buses"]
        wrong: tuple[tuple[str, Values, str], ...] = (
            ("Talkback taken for granted", always, "Read the rule of the house again. Who here needs it?"),
            (
                "A box counted as a mix",
                (always[0], always[1], boxed),
                "How many different balances are there, whatever the number of boxes?",
            ),
        )
    else:
        wrong = (
            (
                "Talkback forgotten",
                (WANTED[1], without, 0),
                "How do you tell a player in in-ears that you heard them?",
            ),
            plugged,
            (
                "Talkback sent to one bus",
                (wanted, inputs, 1),
                "It is no use to whoever does not hear it. Who has to?",
            ),
            (
                "Talkback sent to mixes, not buses",
                (wanted, inputs, needs(gig)["monitor mixes"]),
                "A player who hears you in one ear only will ask what you said. What is a stereo mix made of?",
            ),
            *misread.miscounts(
                gig,
                lambda other: (wanted, inputs, needs(other)["monitor buses"]),
                boxes=("Boxes counted, not mixes", "Boxes that play the same thing hang on one bus."),
            ),
        )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("talkback", "gig sizing", 2, build, least_slips=1)
