"""The cheapest set of changes that gets a stage onto the buses of a desk, by the points of the house."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from gigsums.gig import Desk, Effect, Gig, Mix, Performer, Reason
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.sizing import needs

from .. import misread, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import monitor_facts
from ..topic import Topic

VERDICTS = ("fits", "fits with changes", "does not fit")
UNITS = ("Reverb", "Delay", "Second reverb", "Chorus")
KEEP: dict[Literal["must", "want", "nice"], str] = {
    "must": "must be there",
    "want": "is wanted",
    "nice": "would be nice",
}


@dataclass(frozen=True)
class Option:
    """One thing that may be changed: what, its points, and one bus that it gives back."""

    text: str
    points: int


def desk_with(buses: int) -> Desk:
    """A digital desk with so many buses, each with a tap of its own, and enough of everything else."""
    return Desk(
        AboutDesk("the house desk", "digital", talkback="own input"),
        (Inputs(mic=64),),
        (Outputs(line=64),),
        (MixBuses(buses),),
        effects=DeskEffects(8, send="takes a bus", returns="dedicated"),
    )


def options(gig: Gig) -> tuple[Option, ...]:
    """Everything the players and the house allow, cheapest first; of the wedges that would share one stays."""
    price = stages.house().changes
    found = [
        Option(f"{mix.name} in mono", price.mono.points)
        for mix in gig.mixes
        if mix.is_stereo and "mono" in mix.may
    ]
    sharing = [mix for mix in gig.mixes if "share" in mix.may]
    found += [
        Option(f"{mix.name} on the mix of {sharing[0].name}", price.share.points) for mix in sharing[1:]
    ]
    for effect in gig.effects:
        if effect.keep == "nice":
            found.append(Option(f"no {effect.name.casefold()} (nice)", price.drop_nice.points))
        elif effect.keep == "want":
            found.append(Option(f"no {effect.name.casefold()} (wanted)", price.drop_want.points))
    return tuple(sorted(found, key=lambda option: option.points))


def least(gig: Gig, have: int) -> Values:
    """The verdict, the points of the cheapest changes, and the buses taken in the end."""
    asked = needs(gig)["auxes"]
    over, found = asked - have, options(gig)
    if over <= 0:
        return VERDICTS[0], 0, asked
    if over > len(found):
        return VERDICTS[2], 0, asked
    return VERDICTS[1], sum(option.points for option in found[:over]), have


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.draw_players(draw, level)
    gig = Gig(
        evening,
        performers=players,
        mixes=_draw_mixes(draw, level, players),
        effects=_draw_effects(draw, level),
    )
    have = _draw_buses(draw, gig)
    key = least(gig, have)
    price = stages.house().changes
    return Draft(
        shown={"gig": gig, "buses": have},
        scene=f"{opening} The desk has {have} buses, each with a tap of its own, and odd and even neighbours can be "
        "linked for stereo. Each effect is fed from one bus. There is enough of everything else. Where the players allow "
        f"it the house reckons in points: {price.drop_nice.points} to leave out what would only be nice, "
        f"{price.mono.points} to make a stereo mix mono, {price.share.points} for each wedge that gives up its mix and "
        f"shares another, {price.drop_want.points} to leave out what is wanted. Fewer points are better.",
        facts=(
            *(_told(mix, fact) for mix, fact in zip(gig.mixes, monitor_facts(gig), strict=True)),
            *(f"{effect.name}: {KEEP[effect.keep]}" for effect in gig.effects),
        ),
        question="What is the verdict, how many points do the cheapest changes come to, and how many buses are taken in "
        "the end? If nothing has to change, or no change helps, type 0 for the points and the buses as they were asked "
        "for.",
        answer=Answer(
            (
                Part(key[0], choices=VERDICTS, name="the verdict"),
                Part(key[1], name="points"),
                Part(key[2], name="buses"),
            )
        ),
        workings=_workings(gig, have, key),
        slips=_slips(gig, have),
        nudge="Count the buses as asked. Then list what may be changed, the cheapest first, and stop as soon as it fits.",
    )


def _draw_mixes(draw: Draw, level: int, players: tuple[Performer, ...]) -> tuple[Mix, ...]:
    """A mix for each player: in-ears that may go mono or not, wedges that would share or not."""
    mixes: list[Mix] = []
    for player in players:
        if draw.yes(2, 5):
            mixes.append(Mix(player.name, (player.name,), "in-ears", may=("mono",) if draw.yes(1, 2) else ()))
        else:
            boxes = 2 if level > 1 and draw.yes(1, 4) else 1
            may: tuple[Literal["share"], ...] = ("share",) if draw.yes(1, 2) else ()
            mixes.append(Mix(player.name, (player.name,), "wedge", boxes=boxes, may=may))
    return tuple(mixes)


def _draw_effects(draw: Draw, level: int) -> tuple[Effect, ...]:
    kept = tuple(KEEP)
    return tuple(Effect(name, keep=draw.pick(kept)) for name in UNITS[: draw.whole(1, 1 + level)])


def _draw_buses(draw: Draw, gig: Gig) -> int:
    """An even number of buses: enough, few enough that something must change, or too few."""
    asked, can = needs(gig)["auxes"], len(options(gig))
    wanted = draw.whole(1, 5)
    mended = [asked - over for over in range(1, can + 1) if (asked - over) % 2 == 0 and asked - over > 1]
    if wanted > 2 and mended:
        return draw.pick(mended)
    few = [asked - can - over for over in (1, 2) if (asked - can - over) % 2 == 0]
    if wanted == 2 and few[0] > 1:
        return few[0]
    return asked + asked % 2 + 2 * draw.whole(0, 1)


def _told(mix: Mix, fact: str) -> str:
    if mix.through == "wedge":
        return f"{fact}; {'would share with another who would' if mix.may else 'keeps a mix of their own'}"
    return f"{fact}; {'mono would do' if mix.may else 'it must stay so'}"


def _workings(gig: Gig, have: int, key: Values) -> tuple[str, ...]:
    counted, found = needs(gig), options(gig)
    over = max(0, counted["auxes"] - have)
    terms = tuple((option.text, option.points) for option in found[:over]) if key[0] == VERDICTS[1] else ()
    may = ", ".join(f"{option.text} ({option.points})" for option in found) or "nothing"
    return (
        stages.working("buses as asked", counted["auxes"], counted.row("auxes").reason),
        f"Too many: {over}. {counted['auxes']} asked for, {have} on the desk.",
        f"May be changed, one bus each: {len(found)}. {may}.",
        stages.working("points", key[1], Reason("the cheapest, until it fits", (), terms, key[1])),  # type: ignore[arg-type]
        f"Buses: {key[2]}. It {key[0]}.",
    )


def _slips(gig: Gig, have: int) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return least(other, have)

    word, points, buses = least(gig, have)
    asked, found = needs(gig)["auxes"], options(gig)
    over = asked - have

    def allowed(gig: Gig) -> Gig:
        anyone = tuple(replace(m, may=("mono",) if m.is_stereo else ("share",)) for m in gig.mixes)
        return replace(gig, mixes=anyone)

    wrong = [
        (
            "Somebody changed who has not agreed",
            least(allowed(gig), have),
            "Read again who would and who would not.",
        ),
        misread.EFFECTS.slip(gig, told),
        misread.IN_EARS.slip(
            gig, told, "Left and right are two signals, as long as nobody has changed them."
        ),
        misread.BOXES.slip(gig, told, "Boxes that play the same thing are linked."),
        (
            "Given up though something could change",
            (VERDICTS[2] if over > 0 else word, 0, asked),
            "Is there nobody who could give back a bus?",
        ),
    ]
    if word == VERDICTS[1]:
        assert isinstance(buses, int)
        dear = sum(option.points for option in found[-over:])
        wrong += [
            ("The dearest changes first", (word, dear, buses), "It would work. Is there a cheaper way?"),
            (
                "Changes counted, not points",
                (word, over, buses),
                "How much does each of them cost by the house's list?",
            ),
            (
                "Everything changed that may be",
                (word, sum(option.points for option in found), asked - len(found)),
                "Stop as soon as it fits.",
            ),
            (
                "The wrong word for these numbers",
                (VERDICTS[0], points, buses),
                "The numbers are right. Does it fit as it was asked for?",
            ),
        ]
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("least change", "gig sizing", 2, build, least_slips=2)
