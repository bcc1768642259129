"""Input sockets and channels of a digital desk: two counts that people take for one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from gigsums.gig import Desk, Gig
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import input_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts
from ..topic import Topic
from ..wording import listed

ALIKE = "Channels taken to be as many as sockets"
TALKBACK: dict[Literal["own input", "takes a channel", "none"], str] = {
    "own input": "talkback has an input of its own beside them",
    "takes a channel": "talkback takes a socket and a channel",
    "none": "there is no talkback, so a microphone with a switch takes a socket and a channel",
}
RETURNS: dict[Literal["dedicated", "takes two channels", "takes a channel"], str] = {
    "dedicated": "each effect comes back on a return of its own",
    "takes two channels": "each effect comes back on two channels",
    "takes a channel": "each effect comes back on one channel",
}
STEREO: dict[Literal["takes two channels", "takes one channel"], str] = {
    "takes two channels": "a stereo source takes two channels",
    "takes one channel": "a stereo source takes one channel that carries both sides",
}


def ledgers(gig: Gig, desk: Desk) -> tuple[Ledger, Ledger]:
    """The ledgers of sockets and of channels."""
    rows = input_ledgers(gig, desk, routes(gig, desk), stages.house())
    found = {row.key: row for row in rows}
    return found["preamps"], found["strips"]


def count(gig: Gig, desk: Desk) -> tuple[int, int]:
    """Sockets, and channels."""
    sockets, channels = ledgers(gig, desk)
    return int(sockets.need), int(channels.need)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    gig = Gig(
        evening,
        performers=stages.with_sources(draw, level, stages.draw_players(draw, level)),
        lines=stages.draw_lines(draw, level),
        effects=monitors.draw_effects(draw, level),
        talkback=True,
    )
    desk = _draw_desk(draw, level)
    sockets, channels = count(gig, desk)
    about, units = desk.about, [effect.name.casefold() for effect in gig.effects]
    return Draft(
        shown={"gig": gig, "desk": desk},
        scene=f"{opening} It is mixed on a digital desk. Its input sockets take microphones and lines alike, one signal "
        f"each; {TALKBACK[about.talkback]}; {STEREO[about.stereo or 'takes two channels']}. Effects are made inside: "
        f"{RETURNS[desk.effects.returns]}. This comes to it:",
        facts=(*input_facts(gig), f"Effects, in stereo: {listed(units)}", "Talkback: wanted"),
        question="How many input sockets are taken, and how many channels?",
        answer=Answer((Part(sockets, name="sockets"), Part(channels, name="channels"))),
        workings=tuple(
            stages.working(name, row.need, *row.reasons)
            for name, row in zip(("sockets", "channels"), ledgers(gig, desk), strict=True)
        ),
        slips=_slips(gig, desk),
        nudge="Count cables for the sockets. Then go through the list again for the channels: what is heard, and does "
        "it take one or two?",
    )


def _draw_desk(draw: Draw, level: int) -> Desk:
    stereo = draw.pick(tuple(STEREO)) if level > 2 else "takes two channels"
    ways = [way for way in RETURNS if way == "dedicated" or (way == "takes two channels") == (stereo == way)]
    returns = draw.pick(ways) if level > 1 else "takes two channels"
    about = AboutDesk("the house desk", "digital", talkback=draw.pick(tuple(TALKBACK)), stereo=stereo)
    return Desk(about, (Inputs(mic=96),), effects=DeskEffects(8, send="own", returns=returns))


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return count(other, desk)

    sockets, channels = count(gig, desk)

    def on(**change: Any) -> tuple[int, int]:
        about = {key: value for key, value in change.items() if key != "returns"}
        effects = replace(desk.effects, returns=change.get("returns", desk.effects.returns))
        return count(gig, replace(desk, about=replace(desk.about, **about), effects=effects))

    bare = count(replace(gig, effects=()), desk)
    width = "takes one channel" if desk.about.stereo == "takes two channels" else "takes two channels"
    wrong = (
        (
            "Effects returns forgotten",
            bare,
            "Reverb that nobody hears is of no use: where does each effect come back into the mix?",
        ),
        (
            "Effects returns counted though they have a place of their own"
            if desk.effects.returns == "dedicated"
            else "Two channels counted for a return that takes one",
            on(returns="takes two channels"),
            "Read again where the effects come back on this desk.",
        ),
        (
            "Effects returns counted as sockets",
            (sockets + channels - bare[1], channels),
            "These effects are inside the desk: is there a cable to plug in?",
        ),
        (
            ALIKE,
            (sockets, sockets),
            "A socket is where a cable ends, a channel is what is mixed. What is mixed that has no socket, or takes "
            "fewer channels than sockets?",
        ),
        misread.STEREO.slip(
            gig, told, "Left and right come down two cables. Where do they end?", name="Stereo counted as one"
        ),
        (
            "Stereo channels counted the wrong way",
            on(stereo=width),
            "The sockets are right. What does a stereo source take of the channels of this desk?",
        ),
        misread.SETS.slip(gig, told),
        (
            "Talkback forgotten",
            on(talkback="own input"),
            "One voice in the list never sings: where is it plugged in?",
        ),
        (
            "Talkback counted though it has an input of its own",
            on(talkback="takes a channel"),
            "Read again what talkback takes on this desk.",
        ),
        (
            "Lines left out of the sockets",
            (sockets - sum(s.channels for _, s in gig.sources if not s.at_mic_level), channels),
            "A line needs a socket as well. Does this desk have other sockets for it?",
        ),
    )
    doubled = sockets == bare[1]  # then leaving the returns out is the same as taking one count for the other
    return tuple(Slip(*each) for each in wrong if not (doubled and each[0] == ALIKE))


TOPIC = Topic("sockets and channels", "gig sizing", 2, build, least_slips=5)
