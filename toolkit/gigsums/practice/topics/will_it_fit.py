"""Whether the buses of a desk carry a stage, and the least that the players must give up if they do not."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Gig, Mix, Reason
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.sizing import needs

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import monitor_facts
from ..topic import Topic
from ..wording import listed

VERDICTS = ("fits", "fits with changes", "does not fit")


def desk_with(buses: int) -> Desk:
    """A digital desk with so many buses, each with a tap of its own, and enough of everything else."""
    return Desk(
        AboutDesk("the house desk", "digital", talkback="own input"),
        (Inputs(mic=64),),
        (Outputs(line=64),),
        (MixBuses(buses),),
        effects=DeskEffects(8, send="takes a bus", returns="dedicated"),
    )


def verdict(gig: Gig, have: int) -> Values:
    """The verdict, the mixes that go mono, and the buses taken in the end (as asked, if it cannot be done)."""
    asked = needs(gig)["auxes"]
    over = asked - have
    if over <= 0:
        return VERDICTS[0], 0, asked
    willing = len(_willing(gig))
    return (VERDICTS[1], over, have) if over <= willing else (VERDICTS[2], 0, asked)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.draw_players(draw, level)
    mixes = monitors.draw_monitors(draw, level, players)
    mixes = tuple(replace(mix, may=("mono",)) if mix.is_stereo and draw.yes(2, 3) else mix for mix in mixes)
    gig = Gig(evening, performers=players, mixes=mixes, effects=monitors.draw_effects(draw, level))
    have = _draw_buses(draw, gig)
    key = verdict(gig, have)
    units = [effect.name.casefold() for effect in gig.effects]
    facts = [
        f"{fact}; {'mono would do' if mix.may else 'it must stay so'}" if mix.is_stereo else fact
        for mix, fact in zip(mixes, monitor_facts(gig), strict=True)
    ]
    return Draft(
        shown={"gig": gig, "buses": have},
        scene=f"{opening} The desk has {have} buses. The tap of each is set on its own, odd and even neighbours can be "
        "linked for stereo, and each effect is fed from one bus. There is enough of everything else. Nobody will share a "
        "mix that is not shared already, and nothing may be left out:",
        facts=(*facts, f"Effects: {listed(units)}"),
        question="Does it fit, at the least how many mixes must go mono, and how many buses are taken in the end? If no "
        "change makes it fit, type 0 for the mixes and the buses as they were asked for.",
        answer=Answer(
            (
                Part(key[0], choices=VERDICTS, name="the verdict"),
                Part(key[1], name="mixes to go mono"),
                Part(key[2], name="buses"),
            )
        ),
        workings=_workings(gig, have, key),
        slips=_slips(gig, have),
        nudge="Count the buses as asked first. Then: who may give one back?",
    )  # fmt: skip


def _draw_buses(draw: Draw, gig: Gig) -> int:
    """An even number of buses: enough, few enough that something must change, or too few."""
    asked = needs(gig)["auxes"]
    willing = len(_willing(gig))
    mended = [asked - over for over in range(1, willing + 1) if (asked - over) % 2 == 0 and asked - over > 1]
    wanted = draw.whole(1, 4)
    if wanted > 2 and mended:
        return draw.pick(mended)
    too_few = [asked - willing - over for over in (1, 2) if (asked - willing - over) % 2 == 0]
    if wanted == 2 and too_few[0] > 1:
        return too_few[0]
    return asked + asked % 2 + 2 * draw.whole(0, 1)


def _willing(gig: Gig) -> list[Mix]:
    return [mix for mix in gig.mixes if mix.is_stereo and "mono" in mix.may]


def _workings(gig: Gig, have: int, key: Values) -> tuple[str, ...]:
    counted = needs(gig)
    willing = _willing(gig)
    given = Reason(
        "each goes from two buses to one", (), tuple((mix.name, 1) for mix in willing), len(willing)
    )
    over = max(0, counted["auxes"] - have)
    return (
        stages.working("buses as asked", counted["auxes"], counted.row("auxes").reason),
        f"Too many: {over}. {counted['auxes']} asked for, {have} on the desk.",
        stages.working("mixes that may go mono", len(willing), given),
        f"Mixes to go mono: {key[1]}. One bus comes back from each.",
        f"Buses in the end: {key[2]}. It {key[0]}.",
    )


def _slips(gig: Gig, have: int) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return verdict(other, have)

    anyone = replace(gig, mixes=tuple(replace(mix, may=("mono",)) for mix in gig.mixes))
    nobody = replace(gig, mixes=tuple(replace(mix, may=()) for mix in gig.mixes))
    _, changed, buses = verdict(gig, have)
    asked, willing = needs(gig)["auxes"], len(_willing(gig))
    eager = (VERDICTS[1] if asked - willing <= have else VERDICTS[2], willing, asked - willing)
    wrong = (
        (
            "Somebody made mono who must stay stereo",
            verdict(anyone, have),
            "Read again who would do with mono and who would not.",
        ),
        (
            "Given up though something could change",
            verdict(nobody, have),
            "Is there nobody who could give back a bus?",
        ),
        (
            "Everybody who would go mono made mono",
            eager,
            "What is given up must be needed, and must help. Is it, and does it?",
        ),
        (
            "The wrong word for these numbers",
            (VERDICTS[0], changed, buses),
            "The numbers are right. Put the buses asked for beside those of the desk, and name it again.",
        ),
        misread.EFFECTS.slip(gig, told),
        misread.IN_EARS.slip(gig, told, "Left and right are two signals, as long as nobody has changed them."),
        *misread.miscounts(
            gig,
            told,
            boxes=("Boxes counted, not mixes", "Boxes that play the same thing are linked."),
            people=("People counted, not mixes", "Some of them share already."),
        ),
    )  # fmt: skip
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("will it fit", "gig sizing", 2, build, least_slips=3)
