"""What the house wants left over, and that a missing spare is a reason for care and not a reason to say no."""

from __future__ import annotations

from dataclasses import dataclass

from gigsums.gig import Desk, Gig
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.gig.policy import Spares
from gigsums.sizing import Ledger, needs
from gigsums.sizing.ledgers import input_ledgers, output_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts, monitor_facts
from ..topic import Topic
from ..wording import in_words, listed

VERDICTS = ("fits", "fits with care", "does not fit")


@dataclass(frozen=True)
class Counted:
    """Inputs, outputs and buses: taken, and wanted besides."""

    inputs: Ledger
    outputs: Ledger
    buses: int
    bus_spare: int

    def with_spares(self) -> tuple[int, int, int]:
        """Inputs, outputs and buses with what is wanted left over."""
        sockets = (int(row.need + row.spare_wanted) for row in (self.inputs, self.outputs))
        inputs, outputs = sockets
        return inputs, outputs, self.buses + self.bus_spare


def desk_with(inputs: int = 96, buses: int = 48, outputs: int = 64) -> Desk:
    """A digital desk with one stage box for all sockets."""
    return Desk(
        AboutDesk("the house desk", "digital", channels=128, talkback="takes a channel"),
        (Inputs("desk", mic=inputs),),
        (Outputs("desk", line=outputs),),
        (MixBuses(buses),),
        effects=DeskEffects(8, send="takes a bus", returns="dedicated"),
    )


def count(gig: Gig) -> Counted:
    """Everything taken and wanted, by the house policy that comes with the workbook."""
    desk, policy = desk_with(), stages.house()
    ways = routes(gig, desk)
    inputs = next(row for row in input_ledgers(gig, desk, ways, policy) if row.key == "preamps")
    outputs = next(row for row in output_ledgers(gig, desk, ways, policy) if row.key == "outputs")
    kept = policy.spares.buses if len(gig.mixes) >= policy.spares.buses_from_mixes else 0
    return Counted(inputs, outputs, needs(gig)["auxes"], kept)


def verdict(counted: Counted, have: tuple[int, int, int]) -> str:
    """Whether that many inputs, outputs and buses carry it, and with every spare."""
    taken = int(counted.inputs.need), int(counted.outputs.need), counted.buses
    if any(t > h for t, h in zip(taken, have, strict=True)):
        return VERDICTS[2]
    spared = all(w <= h for w, h in zip(counted.with_spares(), have, strict=True))
    return VERDICTS[0] if spared else VERDICTS[1]


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    gig = Gig(
        evening,
        performers=players,
        lines=stages.draw_lines(draw, level),
        mixes=monitors.draw_monitors(draw, min(level, 2), players),
        effects=monitors.draw_effects(draw, 1),
        talkback=True,
    )
    counted = count(gig)
    have = _draw_desk(draw, counted)
    units = [effect.name.casefold() for effect in gig.effects]
    key = (*counted.with_spares()[:2], verdict(counted, have))
    return Draft(
        shown={"gig": gig, "inputs": have[0], "outputs": have[1], "buses": have[2]},
        scene=f"{opening} The desk has {have[0]} input sockets, good for microphones and lines alike, one signal each, "
        f"{have[1]} outputs and {have[2]} buses. Talkback takes an input; the effects are made inside and come back on "
        f"returns of their own, each fed from a bus; mains are left and right. {_rule(stages.house().spares)} There is "
        "enough of everything else.",
        facts=(
            *input_facts(gig),
            *(f"Monitors - {fact}" for fact in monitor_facts(gig)),
            f"Effects: {listed(units)}",
        ),
        question="How many inputs does this come to with the spares, how many outputs with theirs, and what is the "
        "verdict on this desk?",
        answer=Answer(
            (
                Part(key[0], name="inputs"),
                Part(key[1], name="outputs"),
                Part(key[2], choices=VERDICTS, name="the verdict"),
            )
        ),
        workings=_workings(counted, have, key),
        slips=_slips(gig, counted, have, key),
        nudge="Three sums: what is taken, what is to be left over, what there is. Only the first can make it impossible.",
    )


def _rule(spares: Spares) -> str:
    return (
        f"The house keeps {in_words(spares.small_gig_spare)} input free up to {in_words(spares.small_gig_inputs)} "
        f"taken; above that {spares.inputs_percent} % of those taken, rounded up, and never fewer than "
        f"{in_words(spares.inputs_least)}. It keeps one output free for every {in_words(spares.outputs_one_in)} "
        f"begun, and {in_words(spares.buses)} bus once there are {in_words(spares.buses_from_mixes)} monitor mixes."
    )


def _draw_desk(draw: Draw, counted: Counted) -> tuple[int, int, int]:
    """Enough with the spares; enough without; or one thing short."""
    taken = int(counted.inputs.need), int(counted.outputs.need), counted.buses
    wanted = counted.with_spares()
    kind = draw.whole(0, 2)
    have = [w + draw.whole(0, 3) for w in wanted]
    tight = draw.whole(0, 1)
    if kind == 1:
        have[tight] = draw.whole(taken[tight], wanted[tight] - 1)
    elif kind == 2:
        have[tight] = taken[tight] - draw.whole(1, 2)
    return have[0], have[1], have[2]


def _workings(counted: Counted, have: tuple[int, int, int], key: Values) -> tuple[str, ...]:
    names = ("inputs", "outputs")
    rows = (counted.inputs, counted.outputs)
    sockets = tuple(
        f"{name.capitalize()}: {row.need + row.spare_wanted:g}. {row.need:g} taken "
        f"({'; '.join(each.text() for each in row.reasons)}) and {row.spare_wanted:g} to be left over; {there} there."
        for name, row, there in zip(names, rows, have, strict=False)
    )
    buses = f"Buses: {counted.buses + counted.bus_spare}. {counted.buses} taken and {counted.bus_spare} to be left over; {have[2]} there."
    why = {
        VERDICTS[0]: "all is there, the spares included",
        VERDICTS[1]: "all that is taken is there, and a spare is missing, which is a care and no more",
        VERDICTS[2]: "more is taken than there is",
    }[str(key[2])]
    return (*sockets, buses, f"It {key[2]}: {why}.")


def _slips(gig: Gig, counted: Counted, have: tuple[int, int, int], key: Values) -> tuple[Slip, ...]:
    inputs, outputs, _ = counted.with_spares()
    said = key[2]
    taken = int(counted.inputs.need), int(counted.outputs.need)

    def told(plugged: int, leaving: int, kept: tuple[int, int] | None = None) -> Values:
        """The answer of somebody who counts so many, and keeps so many or what the house keeps."""
        least, more = kept or (int(policy.inputs(plugged)), int(policy.outputs(leaving)))
        short = plugged > have[0] or leaving > have[1] or counted.buses > have[2]
        spared = (plugged + least, leaving + more, counted.buses + counted.bus_spare)
        enough = all(w <= h for w, h in zip(spared, have, strict=True))
        return plugged + least, leaving + more, VERDICTS[2] if short else VERDICTS[0 if enough else 1]

    policy = stages.house().spares
    rounded = max(policy.inputs_least, policy.inputs_percent * taken[0] // 100)
    down = rounded if taken[0] > policy.small_gig_inputs else policy.small_gig_spare
    lines = sum(s.channels for _, s in gig.sources if not s.at_mic_level)
    wrong: list[tuple[str, Values, str]] = [
        ("Spares forgotten", told(*taken, (0, 0)), "What if a socket dies at eight o'clock?"),
        (
            "The tenth rounded down",
            told(*taken, (down, outputs - taken[1])),
            "Half a spare input does not exist: which way must one round to be safe?",
        ),
        (
            "Only full eights counted for the outputs",
            told(*taken, (inputs - taken[0], taken[1] // policy.outputs_one_in)),
            "One for every eight begun: has another eight been begun?",
        ),
        (
            "Talkback forgotten",
            told(taken[0] - 1, taken[1]),
            "One voice in the list never sings: where is it plugged in?",
        ),
        (
            "Lines left out of the inputs",
            told(taken[0] - lines, taken[1]),
            "What plays by itself is plugged in too, and its socket can die like any other.",
        ),
        (
            "Mains left out of the outputs",
            told(taken[0], taken[1] - 2),
            "What does the audience hear it through?",
        ),
        (
            "In-ears given one output each",
            told(taken[0], taken[1] - sum(mix.is_stereo for mix in gig.mixes if mix.through == "in-ears")),
            "A stereo transmitter has two inputs.",
        ),
        *misread.miscounts(
            gig,
            lambda other: told(taken[0], 2 + needs(other)["monitor buses"]),
            boxes=("An output for each box", "Boxes that play the same thing are linked behind one output."),
            people=("An output for each listener", "Some of them share a mix: how many cables leave for it?"),
        ),
    ]
    if down != policy.inputs_least:  # else it is the tenth rounded down, and nobody could tell
        wrong.append(
            (
                "The least number of spares taken for the rule",
                told(*taken, (policy.inputs_least, outputs - taken[1])),
                "The least is for small counts. What does the share come to here?",
            )
        )
    if said == VERDICTS[1]:
        wrong.append(
            (
                "A missing spare taken for a refusal",
                (inputs, outputs, VERDICTS[2]),
                "The numbers are right. Would the evening take place if nothing broke?",
            )
        )
        wrong.append(
            (
                "A missing spare not mentioned",
                (inputs, outputs, VERDICTS[0]),
                "The numbers are right. Is everything that the house asks for there?",
            )
        )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("spares", "gig sizing", 2, build, least_slips=4)
