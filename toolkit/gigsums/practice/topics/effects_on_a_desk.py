"""What effects take of a desk: buses to feed them, channels to bring them back, sockets for units beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from gigsums.gig import Desk, Effect, Gig, Reason
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses
from gigsums.sizing.ledgers import RETURN_RULE, SEND_RULE, bus_need, returns_on_channels, routes
from gigsums.sizing.needs import reason

from .. import stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..topic import Topic
from ..wording import in_words

UNITS = (
    "Reverb",
    "Delay",
    "Second reverb",
    "Chorus",
    "Plate reverb",
    "Slapback",
    "Long delay",
    "Choir reverb",
)
NAMES = ("buses", "channels", "outputs")
SENDS: dict[Literal["own", "takes a bus"], str] = {
    "own": "has a send of its own beside the buses",
    "takes a bus": "is fed from one of the buses",
}
RETURNS: dict[Literal["dedicated", "takes two channels"], str] = {
    "dedicated": "comes back on a return of its own",
    "takes two channels": "comes back on channels, two if it is stereo",
}


def reasons(gig: Gig, desk: Desk) -> tuple[Reason, ...]:
    """Why so many buses, channels and outputs are taken."""
    ways = routes(gig, desk)
    beside = [(f"effect.{each.name}", each.name, 1) for each in ways.outboard]
    inside = [(f"effect.{each.name}", each.name, 1) for each in ways.inside]
    fed = reason(SEND_RULE, [*(inside if desk.effects.send == "takes a bus" else []), *beside])
    assert fed.result == bus_need(gig, desk, ways).total
    return (
        fed,
        reason(RETURN_RULE, returns_on_channels(gig, desk, ways)),
        reason("a unit beside the desk is fed by an output", beside),
    )


def count(gig: Gig, desk: Desk) -> tuple[int, ...]:
    """Buses, channels, outputs."""
    return tuple(int(each.result) for each in reasons(gig, desk))


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    desk = _draw_desk(draw, level)
    wide = level > 2 and desk.effects.return_to == "mains"
    effects = tuple(
        Effect(
            name,
            ("mains", "in-ears") if wide and draw.yes(1, 2) else ("mains",),
            stereo=level == 1 or draw.yes(2, 3),
        )
        for name in UNITS[: draw.whole(level, 2 * level + 2)]
    )
    gig = Gig(evening, effects=effects)
    counts = count(gig, desk)
    return Draft(
        shown={"gig": gig, "desk": desk},
        scene=f"{opening} {_desk_in_words(desk)}",
        facts=tuple(_fact(each) for each in effects),
        question="What do the effects take altogether: how many buses, how many channels, how many outputs?",
        answer=Answer(tuple(Part(value, name=name) for value, name in zip(counts, NAMES, strict=True))),
        workings=tuple(
            stages.working(name, value, why)
            for name, value, why in zip(NAMES, counts, reasons(gig, desk), strict=True)
        ),
        slips=_slips(gig, desk),
        nudge="Follow the sound of each effect there and back: what carries it in, what brings it home?",
    )


def _draw_desk(draw: Draw, level: int) -> Desk:
    effects = DeskEffects(
        draw.whole(level - 1, level + 2),
        send=draw.pick(tuple(SENDS)) if level > 1 else "takes a bus",
        returns=draw.pick(tuple(RETURNS)),
        return_to="mains" if level > 2 and draw.yes(1, 2) else "everything",
    )
    return Desk(
        AboutDesk("the house desk", "digital"), (Inputs(mic=32),), mix_buses=(MixBuses(24),), effects=effects
    )


def _desk_in_words(desk: Desk) -> str:
    made = desk.effects
    beside = "fed from a bus by an output, and back on channels, two if it is stereo"
    if not made.count:
        return f"The desk makes no effects itself. Each of these is a unit beside it, {beside}:"
    back = RETURNS["dedicated" if made.returns == "dedicated" else "takes two channels"]
    if made.returns == "dedicated" and made.return_to == "mains":
        back += ", which reaches the mains and nothing else"
    few = "the first" if made.count == 1 else f"the first {in_words(made.count)}"
    return (
        f"Of the effects below, the desk makes {few} itself: each {SENDS[made.send]} and {back}. "
        f"Any other is a unit beside it, {beside}:"
    )


def _fact(effect: Effect) -> str:
    where = ", in the mains and in somebody's ears" if len(effect.heard_in) > 1 else ", in the mains"
    return f"{effect.name}: {'stereo' if effect.stereo else 'mono'}{where}"


def _slips(gig: Gig, desk: Desk) -> tuple[Slip, ...]:
    buses, channels, outputs = count(gig, desk)

    def on(**change: Any) -> tuple[int, ...]:
        return count(gig, replace(desk, effects=replace(desk.effects, **change)))

    inside = routes(gig, desk).inside
    other_send = "own" if desk.effects.send == "takes a bus" else "takes a bus"
    other_return = "dedicated" if desk.effects.returns == "takes two channels" else "takes two channels"
    wrong = (
        ("Nothing counted for the way back", (buses, 0, outputs), "And how does it come back into the mix?"),
        (
            "Sends of effects inside counted wrongly",
            on(send=other_send),
            "Read again how the effects that the desk makes are fed.",
        ),
        (
            "Returns of effects inside counted wrongly",
            on(returns=other_return),
            "Read again where the effects that the desk makes come back.",
        ),
        (
            "Every effect taken to be inside the desk",
            on(count=len(gig.effects)),
            "How many can this desk make? The rest stand beside it.",
        ),
        (
            "Every effect taken to be beside the desk",
            on(count=0),
            "The desk makes some of them itself.",
        ),
        (
            "Effects inside given outputs",
            (buses, channels, outputs + len(inside)),
            "What is made inside needs no cable.",
        ),
        (
            "Every return counted as one channel",
            count(replace(gig, effects=tuple(replace(each, stereo=False) for each in gig.effects)), desk),
            "Left and right come back on two.",
        ),
        (
            "Every return counted as stereo",
            count(replace(gig, effects=tuple(replace(each, stereo=True) for each in gig.effects)), desk),
            "Some of them are mono.",
        ),
        (
            "A stereo effect fed in stereo",
            (buses + sum(each.stereo for each in gig.effects), channels, outputs),
            "Here each effect is fed by a single send, whatever comes out of it.",
        ),
        (
            "Returns that cannot reach the ears left where they are",
            on(return_to="everything"),
            "Somebody wants an effect in their ears. Can a return that reaches the mains alone bring it there?",
        ),
    )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("effects on a desk", "gig sizing", 2, build, least_slips=3)
