"""The one thing that a desk has too few of, and how many the gig takes: every ledger counted, none forgotten."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gigsums.gig import Desk, Gig
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import bus_need, input_ledgers, output_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts, monitor_facts
from ..topic import Topic
from ..wording import listed
from .bus_pairs import heaps, pairs

NOTHING = "nothing"
KINDS = ("sockets", "channels", "buses", "pairs", "outputs")
DESK = Desk(
    AboutDesk("the house desk", "digital", talkback="own input", stereo="takes two channels"),
    (Inputs(mic=96),),
    (Outputs(line=64),),
    (MixBuses(2, tap="pair"),),
    effects=DeskEffects(8, send="takes a bus", returns="dedicated"),
)


def ledgers(gig: Gig) -> dict[str, Ledger]:
    """The ledgers of sockets, channels and outputs."""
    ways = routes(gig, DESK)
    rows = [*input_ledgers(gig, DESK, ways, stages.house()), *output_ledgers(gig, DESK, ways, stages.house())]
    by_key = {row.key: row for row in rows}
    return {"sockets": by_key["preamps"], "channels": by_key["strips"], "outputs": by_key["outputs"]}


def count(gig: Gig) -> dict[str, int]:
    """What the gig takes, kind by kind."""
    found = {key: int(row.need) for key, row in ledgers(gig).items()}
    need = bus_need(gig, DESK, routes(gig, DESK))
    return {**found, "buses": need.total, "pairs": pairs(need)}


def short(taken: Mapping[str, int], have: Mapping[str, int]) -> Values | None:
    """What is short and how many are taken; None where more than one thing is.

    A desk with too few buses has too few pairs as well: then it is the buses that are short.
    """
    lacking = {kind: taken[kind] for kind in KINDS if taken[kind] > have[kind]}
    if "buses" in lacking:
        lacking.pop("pairs", None)
    if len(lacking) > 1:
        return None
    return next(iter(lacking.items()), (NOTHING, 0))


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    lacking = draw.pick(
        (NOTHING, NOTHING, "sockets", *KINDS)
    )  # sockets twice: of these draws more are thrown back
    gig = _draw_gig(draw, level, Gig(evening))
    for _ in range(20):
        taken = count(gig)
        if lacking != "pairs" or taken["pairs"] > -(-taken["buses"] // 2):
            break  # else the pairs cannot be short unless the buses are
        gig = _draw_gig(draw, level, gig)
    taken = count(gig)
    have = _draw_desk(draw, level, taken, lacking)
    key = short(taken, have)
    assert key is not None
    units = [effect.name.casefold() for effect in gig.effects]
    return Draft(
        shown={"gig": gig, "desk": have},
        scene=f"{opening} The desk is digital: {have['sockets']} input sockets for microphones and lines alike, "
        f"{have['channels']} channels, of which a stereo source takes two, {have['buses']} buses and {have['outputs']} "
        "outputs. Talkback and the effects' returns have places of their own. The buses come in pairs, 1 with 2 and so "
        "on; the two of a pair share one switch, before or after the fader, and only they can be linked for stereo. "
        "Each effect is fed from a bus after the fader, monitors from buses before it. Mains are left and right.",
        facts=(
            *input_facts(gig),
            *(f"Monitors - {fact}" for fact in monitor_facts(gig)),
            f"Effects: {listed(units)}",
        ),
        question="What is this desk short of, and how many of that does the gig take? If it is short of nothing, type 0 "
        "for the number. If there are too few buses, name the buses and leave the pairs out.",
        answer=Answer((Part(key[0], choices=(NOTHING, *KINDS), name="thing"), Part(key[1], name="taken"))),
        workings=_workings(gig, taken, have, key),
        slips=_slips(gig, have),
        nudge="Make five sums before you judge: sockets, channels, buses, pairs, outputs.",
    )


def _draw_gig(draw: Draw, level: int, gig: Gig) -> Gig:
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    return replace(
        gig,
        performers=players,
        lines=stages.draw_lines(draw, level),
        mixes=monitors.draw_monitors(draw, level, players),
        effects=monitors.draw_effects(draw, level),
    )


def _draw_desk(draw: Draw, level: int, taken: Mapping[str, int], lacking: str) -> dict[str, int]:
    """A desk that has enough of everything, or of all but one thing."""
    spare = {1: (2, 8), 2: (1, 5), 3: (0, 3)}[level]
    have = {kind: taken[kind] + draw.whole(*spare) for kind in ("sockets", "channels", "outputs")}
    have["pairs"] = max(taken["pairs"], -(-taken["buses"] // 2)) + draw.whole(0, 1)
    if lacking == "buses":
        have["pairs"] = max(1, (taken["buses"] - 1) // 2 - draw.whole(0, 1))
    elif lacking == "pairs":
        have["pairs"] = max(-(-taken["buses"] // 2), taken["pairs"] - 1)
    elif lacking != NOTHING:
        have[lacking] = max(1, taken[lacking] - draw.whole(1, 2 + level))
    have["buses"] = 2 * have["pairs"]
    return have


def _workings(gig: Gig, taken: Mapping[str, int], have: Mapping[str, int], key: Values) -> tuple[str, ...]:
    found = ledgers(gig)
    need = bus_need(gig, DESK, routes(gig, DESK))
    lines = []
    for kind in KINDS:
        state = (
            f"of {have[kind]}"
            if taken[kind] <= have[kind]
            else f"of {have[kind]}, short by {taken[kind] - have[kind]}"
        )
        if kind in found:
            lines.append(
                stages.working(kind, taken[kind], *found[kind].reasons).removesuffix(".") + f"; {state}."
            )
        elif kind == "buses":
            lines.append(f"Buses: {need.total}. One for each channel of a mix and for each effect; {state}.")
        else:
            terms = " + ".join(
                f"{share} for {number} {label}" for label, number, share in heaps(need) if number
            )
            lines.append(f"Pairs: {taken[kind]}. {terms}; {state}.")
    return (*lines, f"Short of {key[0]}: {key[1]}.")


def _slips(gig: Gig, have: Mapping[str, int]) -> tuple[Slip, ...]:
    def told(other: Gig, **other_counts: int) -> Values | None:
        return short({**count(other), **other_counts}, have)

    buses = count(gig)["buses"]
    lines = sum(source.channels for _, source in gig.sources if not source.at_mic_level)
    wrong: tuple[tuple[str, Values | None, str], ...] = (
        *misread.miscounts(
            gig,
            told,
            boxes=(
                "Boxes counted, not mixes",
                "Boxes that play the same thing hang on one bus and one output.",
            ),
            people=("People counted, not mixes", "Some of them share a mix."),
        ),
        misread.IN_EARS.slip(
            gig, told, "Left and right take two buses and two outputs.", name="In-ears counted as one"
        ),
        misread.EFFECTS.slip(gig, told),
        (
            "Buses halved for the pairs",
            told(gig, pairs=-(-buses // 2)),
            "Can one pair carry a monitor and an effects send here?",
        ),
        misread.STEREO.slip(gig, told),
        misread.SETS.slip(gig, told, "Each microphone of a set has a cable and a channel of its own."),
        (
            "Lines left out of the sockets",
            told(gig, sockets=count(gig)["sockets"] - lines),
            "What plays by itself is plugged in too.",
        ),
        (
            "Mains left out of the outputs",
            told(gig, outputs=count(gig)["outputs"] - 2),
            "What does the audience hear it through?",
        ),
    )
    return tuple(Slip(name, values, hint) for name, values, hint in wrong if values is not None)


TOPIC = Topic("what is short", "gig sizing", 2, build, least_slips=1)
