"""How many monitor mixes a line-up wants, and how many buses they and the effects take."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Gig
from gigsums.sizing import needs

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..story import monitor_facts
from ..topic import Topic
from ..wording import in_words, listed, sentence


def count(gig: Gig) -> tuple[int, int]:
    """Mixes, and the buses of mixes and effects."""
    counted = needs(gig)
    return counted["monitor mixes"], counted["auxes"]


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.draw_players(draw, level)
    gig = Gig(
        evening,
        performers=players,
        mixes=monitors.draw_monitors(draw, level, players),
        effects=monitors.draw_effects(draw, level),
    )
    groups = draw.whole(1, level) if level > 1 and draw.yes(1, 2) else 0
    units = [effect.name.casefold() for effect in gig.effects]
    send = "which is sent from a bus of its own" if len(units) == 1 else "each sent from a bus of its own"
    facts = [*monitor_facts(gig), f"Effects: {listed(units)}, {send}"]
    if groups:
        faders = "fader" if groups == 1 else "faders"
        facts.append(f"{sentence(in_words(groups))} group {faders} at the desk, for the mains")
    mixes, buses = count(gig)
    return Draft(
        shown={"gig": gig, "group faders": groups},
        scene=f"{opening} This is what they want to hear themselves on:",
        facts=tuple(facts),
        question="How many monitor mixes is that, and how many buses do the mixes and the effects take together?",
        answer=Answer((Part(mixes, name="mixes"), Part(buses, name="buses"))),
        workings=_workings(gig),
        slips=_slips(gig, groups),
        nudge="Take the list one line at a time: is this one balance or several, and is it mono or stereo?",
    )


def _workings(gig: Gig) -> tuple[str, ...]:
    counted = needs(gig)
    keys = ("monitor mixes", "monitor buses", "effects sends")
    each = [stages.working(key, counted[key], counted.row(key).reason) for key in keys]
    return (*each, stages.working("buses in all", counted["auxes"], counted.row("auxes").reason))


def _slips(gig: Gig, groups: int) -> tuple[Slip, ...]:
    mixes, buses = count(gig)
    sends = len(gig.effects)
    wrong = (
        *misread.miscounts(gig, count),
        misread.IN_EARS.slip(gig, count),
        misread.SIDE_FILLS.slip(gig, count),
        (
            "The sub's own send forgotten",
            count(replace(gig, mixes=tuple(replace(mix, sub_send=False) for mix in gig.mixes))),
            "Read the drum fill again: what feeds the sub?",
        ),
        ("Effects sends forgotten", (mixes, buses - sends), "Something else in the list is fed from a bus besides the monitors."),
        ("Effects counted as mixes", (mixes + sends, buses), "An effects unit takes a bus, but nobody stands in front of it."),
        ("Every mix counted as stereo", (mixes, 2 * mixes + sends), "A mix that nobody asked for in stereo has one side only."),
        (
            "Group faders counted",
            (mixes + groups, buses + groups),
            "A group fader sets the level of what goes to the mains. Can it give the stage a balance of its own?",
        ),
        ("The two numbers swapped", (buses, mixes), "Mind the order: which of the two was asked for first?"),
    )  # fmt: skip
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("monitor mixes", "gig sizing", 2, build, least_slips=5)
