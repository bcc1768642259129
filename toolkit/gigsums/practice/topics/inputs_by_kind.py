"""How many inputs of each kind a line-up takes: microphone, mono line, stereo line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

from gigsums.gig import Desk, Gig, Source
from gigsums.gig.desk import AboutDesk, Inputs
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import input_ledgers, routes

from .. import misread, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts
from ..topic import Topic

KINDS = ("preamps", "line inputs", "stereo inputs")
TALKBACK: dict[Literal["own input", "takes a channel", "none"], str] = {
    "own input": "Talkback: wanted, and the desk has an input of its own for it",
    "takes a channel": "Talkback: wanted, and on this desk it takes a microphone input",
    "none": "Talkback: wanted, and as the desk has none, by a microphone with a switch",
}


def ledgers(gig: Gig, desk: Desk) -> list[Ledger]:
    """The three input ledgers on a desk that has more than enough of each."""
    rows = input_ledgers(gig, desk, routes(gig, desk), stages.house())
    return [next(row for row in rows if row.key == kind) for kind in KINDS]


def count(gig: Gig, desk: Desk) -> tuple[int, ...]:
    """Microphone inputs, mono line inputs, stereo line inputs."""
    return tuple(int(row.need) for row in ledgers(gig, desk))


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    gig = Gig(
        evening,
        performers=players,
        lines=stages.draw_lines(draw, level),
        talkback=level > 1 or draw.yes(1, 2),
    )
    how = draw.pick(tuple(TALKBACK)) if gig.talkback else "own input"
    desk = Desk(AboutDesk("the house desk", "analogue", talkback=how), (Inputs(mic=96, line=12, stereo=12),))
    spoken = TALKBACK[how] if gig.talkback else "Talkback: not wanted tonight"
    counts = count(gig, desk)
    names = ("microphone inputs", "mono line inputs", "stereo line inputs")
    return Draft(
        shown={"gig": gig, "talkback": how},
        scene=f"{opening} The desk has three kinds of input: for microphones, for mono lines and for stereo lines. "
        "This comes to it:",
        facts=(*input_facts(gig), spoken),
        question="How many inputs of each kind are taken?",
        answer=Answer(tuple(Part(value, name=name) for value, name in zip(counts, names, strict=True))),
        workings=tuple(
            stages.working(name, row.need, *row.reasons)
            for name, row in zip(names, ledgers(gig, desk), strict=True)
        ),
        slips=_slips(gig, desk),
        nudge="Take one line at a time and ask twice: how many signals are these, and at what level do they arrive?",
    )


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return count(other, desk)

    mics, lines, stereo = count(gig, desk)

    def seen(**change: Callable[[Source], Any]) -> tuple[int, ...]:
        return count(misread.with_each_source(gig, **change), desk)

    talkback = int(bool(gig.talkback) and desk.about.talkback != "own input")
    receivers = sum(s.radio and not s.at_mic_level for _, s in gig.sources)
    wrong = (
        misread.DI_BOXES.slip(gig, told),
        (
            "Stereo microphones and DI boxes counted as one",
            seen(stereo=lambda s: s.stereo and not s.at_mic_level),
            "Left and right come down two cables. How many microphone inputs do they end in?",
        ),
        misread.SETS.slip(gig, told),
        (
            "Talkback forgotten",
            (mics - talkback, lines, stereo),
            "One voice in the list never sings: where is it plugged in?",
        ),
        (
            "Talkback given a microphone input it does not take",
            (mics + 1 - talkback, lines, stereo),
            "Read the last line of the list again: what does talkback take here, if anything?",
        ),
        (
            "Receivers at line level counted as microphones",
            (mics + receivers, lines - receivers, stereo),
            "A radio receiver can give microphone or line level: which is it set to?",
        ),
        (
            "Stereo lines counted as two inputs each",
            (mics, lines, 2 * stereo),
            "A stereo input of this desk takes left and right together.",
        ),
        (
            "Stereo lines put into microphone inputs",
            (mics + 2 * stereo, lines, 0),
            "They would work there, but the desk has inputs made for them.",
        ),
        (
            "Players counted, not what they bring",
            (len(gig.performers), lines, stereo),
            "Count cables, not people.",
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("inputs by kind", "gig sizing", 2, build, least_slips=5)
