"""A desk and an evening judged: what is short, which desk to carry, spares, minutes to doors, a patch with a fault."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from gigsums.gig import Desk, Gig, Inputs, Line, Outputs, Reason, Source
from gigsums.gig.desk import AboutDesk, DeskEffects, MixBuses
from gigsums.gig.policy import Minutes, Time
from gigsums.quantities import DURATION, show
from gigsums.sizing import Place, needs
from gigsums.sizing.ledgers import SKILLS, input_ledgers, output_ledgers

from .. import drawing, misread
from ..drawing import Draw
from ..marking import CARE, FITS, REFUSED
from ..problems import Part, Values
from ..topic import INSIDE, Counting, Wrong, all_facts, count_topic, draw_stage, house, ledgers, working
from ..wording import in_words, listed, monitor_facts
from .buses import heaps, kinds_needed, pairs

Count = Callable[[Gig], Any]
ONE_BUS_ONE_OUTPUT = (
    "Boxes counted, not mixes",
    "Boxes that play the same thing hang on one bus and one output.",
)


def _sockets(gig: Gig, desk: Desk) -> dict[str, Any]:
    """The ledgers of sockets, channels and outputs."""
    found = ledgers(gig, desk, input_ledgers, output_ledgers)
    return {"sockets": found["preamps"], "channels": found["strips"], "outputs": found["outputs"]}


NOTHING_SHORT = "nothing"
KINDS = ("sockets", "channels", "buses", "pairs", "outputs")
PAIRED = Desk(
    AboutDesk("the house desk", "digital", talkback="own input", stereo="takes two channels"),
    (Inputs(mic=96),),
    (Outputs(line=64),),
    (MixBuses(2, tap="pair"),),
    effects=INSIDE,
)
Taken = Mapping[str, int]


def _takes(gig: Gig) -> dict[str, int]:
    """What the gig takes, kind by kind."""
    need = kinds_needed(gig, PAIRED)
    sockets = {kind: int(row.need) for kind, row in _sockets(gig, PAIRED).items()}
    return {**sockets, "buses": need.total, "pairs": pairs(need)}


def _short(taken: Taken, have: Taken) -> Values | None:
    """What is short and how many are taken; None where more than one thing is.

    A desk with too few buses has too few pairs as well: then it is the buses that are short.
    """
    lacking = {kind: taken[kind] for kind in KINDS if taken[kind] > have[kind]}
    if "buses" in lacking:
        lacking.pop("pairs", None)
    return next(iter(lacking.items()), (NOTHING_SHORT, 0)) if len(lacking) < 2 else None


def _draw_short(draw: Draw, level: int, gig: Gig) -> tuple[Gig, dict[str, int]]:
    """A desk that has enough of everything, or of all but one thing."""
    # sockets twice: of these draws more are thrown back
    lacking = draw.pick((NOTHING_SHORT, NOTHING_SHORT, "sockets", *KINDS))
    for _ in range(21):
        gig = draw_stage(draw, level, gig, heard=3, effects=3)
        taken = _takes(gig)
        if lacking != "pairs" or taken["pairs"] > -(-taken["buses"] // 2):
            break  # else the pairs cannot be short unless the buses are
    spare = {1: (2, 8), 2: (1, 5), 3: (0, 3)}[level]
    have = {kind: taken[kind] + draw.whole(*spare) for kind in ("sockets", "channels", "outputs")}
    have["pairs"] = max(taken["pairs"], -(-taken["buses"] // 2)) + draw.whole(0, 1)
    if lacking == "buses":
        have["pairs"] = max(1, (taken["buses"] - 1) // 2 - draw.whole(0, 1))
    elif lacking == "pairs":
        have["pairs"] = max(-(-taken["buses"] // 2), taken["pairs"] - 1)
    elif lacking != NOTHING_SHORT:
        have[lacking] = max(1, taken[lacking] - draw.whole(1, 2 + level))
    have["buses"] = 2 * have["pairs"]
    return gig, have


def _short_workings(gig: Gig, have: Taken) -> Iterable[str]:
    taken, rows = _takes(gig), _sockets(gig, PAIRED)
    terms = (
        f"{share} for {number} {label}" for label, number, share in heaps(kinds_needed(gig, PAIRED)) if number
    )
    said = {kind: working(kind, taken[kind], *row.reasons).removesuffix(".") for kind, row in rows.items()}
    said["buses"] = f"Buses: {taken['buses']}. One for each channel of a mix and for each effect"
    said["pairs"] = f"Pairs: {taken['pairs']}. {' + '.join(terms)}"
    for kind in KINDS:
        over = taken[kind] - have[kind]
        yield f"{said[kind]}; of {have[kind]}{f', short by {over}' if over > 0 else ''}."
    what, many = _short(taken, have) or (NOTHING_SHORT, 0)
    yield f"Short of {what}: {many}."


def _short_misread(gig: Gig, have: Taken, count: Count) -> tuple[Wrong, ...]:
    taken = _takes(gig)
    lines = sum(source.channels for _, source in gig.sources if not source.at_mic_level)

    def but(**other: int) -> Values | None:
        return _short({**taken, **other}, have)

    return (
        *misread.miscounts(
            gig,
            count,
            boxes=ONE_BUS_ONE_OUTPUT,
            people=("People counted, not mixes", "Some of them share a mix."),
        ),
        misread.IN_EARS.slip(
            gig, count, "Left and right take two buses and two outputs.", name="In-ears counted as one"
        ),
        misread.EFFECTS.slip(gig, count),
        (
            "Buses halved for the pairs",
            but(pairs=-(-taken["buses"] // 2)),
            "Can one pair carry a monitor and an effects send here?",
        ),
        misread.STEREO.slip(gig, count),
        misread.SETS.slip(gig, count, "Each microphone of a set has a cable and a channel of its own."),
        (
            "Lines left out of the sockets",
            but(sockets=taken["sockets"] - lines),
            "What plays by itself is plugged in too.",
        ),
        (
            "Mains left out of the outputs",
            but(outputs=taken["outputs"] - 2),
            "What does the audience hear it through?",
        ),
    )


WHAT_IS_SHORT = Counting(
    drawn=_draw_short,
    scene=lambda gig, have: (
        f"The desk is digital: {have['sockets']} input sockets for microphones and lines alike, "
        f"{have['channels']} channels, of which a stereo source takes two, {have['buses']} buses and {have['outputs']} "
        "outputs. Talkback and the effects' returns have places of their own. The buses come in pairs, 1 with 2 and so "
        "on; the two of a pair share one switch, before or after the fader, and only they can be linked for stereo. "
        "Each effect is fed from a bus after the fader, monitors from buses before it. Mains are left and right."
    ),
    facts=lambda gig, have: all_facts(gig),
    question="What is this desk short of, and how many of that does the gig take? If it is short of nothing, type 0 "
    "for the number. If there are too few buses, name the buses and leave the pairs out.",
    parts=(Part("", choices=(NOTHING_SHORT, *KINDS), name="thing"), "taken"),
    count=lambda gig, have: _short(_takes(gig), have),
    workings=_short_workings,
    slips=_short_misread,
    nudge="Make five sums before you judge: sockets, channels, buses, pairs, outputs.",
)

NAMES = ("first", "second", "third", "fourth")
NONE = "none"
ASKED = ("sockets", "channels", "buses", "outputs")
BASE = Desk(
    AboutDesk("the house desk", "digital", channels=128, stereo="takes two channels"),
    (Inputs("desk", mic=96),),
    (Outputs("desk", line=64),),
    (MixBuses(48),),
    effects=DeskEffects(8),
)


@dataclass(frozen=True)
class Offer:
    """A desk that could be taken: how it works, what it has, what it weighs."""

    name: str
    works: Desk
    have: dict[str, int]
    weight_kg: int

    def takes(self, gig: Gig) -> dict[str, int]:
        """What the gig takes of a desk that works that way."""
        sockets = {kind: int(row.need) for kind, row in _sockets(gig, self.works).items()}
        return {**sockets, "buses": kinds_needed(gig, self.works).total}

    def lacks(self, gig: Gig) -> list[str]:
        """What this desk has too few of."""
        taken = self.takes(gig)
        return [kind for kind in ASKED if taken[kind] > self.have[kind]]

    def chosen(self, gig: Gig) -> Values:
        """The answer of somebody who takes it: its name, and the channels and buses taken there."""
        taken = self.takes(gig)
        return self.name, taken["channels"], taken["buses"]

    def working(self, **change: Any) -> Offer:
        """The same desk with its talkback or its effects working otherwise."""
        about = {name: change.pop(name) for name in ("talkback",) if name in change}
        works = self.works
        works = replace(works, about=replace(works.about, **about), effects=replace(works.effects, **change))
        return replace(self, works=works)


Offers = tuple[Offer, ...]


def _weight(offer: Offer) -> int:
    return offer.weight_kg


def _choose(gig: Gig, offers: Offers) -> Values:
    """The lightest that carries it, and the channels and buses taken there; none and noughts if none does."""
    able = [offer for offer in offers if not offer.lacks(gig)]
    return min(able, key=_weight).chosen(gig) if able else (NONE, 0, 0)


def _draw_offers(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Offers]:
    """Desks of different weights; the one wanted, or none, is the lightest that lacks nothing."""
    gig = replace(draw_stage(draw, level, gig, heard=2, effects=2), talkback=True)
    number = 2 + min(level, 2)
    weights = draw.some(range(9, 34), number)
    by_weight = sorted(range(number), key=lambda n: weights[n])
    wanted = draw.whole(0, number)  # a place among the desks, or none
    offers = []
    for n in range(number):
        send, returns = draw.pick(("own", "takes a bus")), draw.pick(("dedicated", "takes two channels"))
        talkback = draw.pick(("own input", "takes a channel"))
        offer = Offer(NAMES[n], BASE, {}, weights[n]).working(send=send, returns=returns, talkback=talkback)
        taken = offer.takes(gig)
        have = {kind: taken[kind] + draw.whole(0, 6) for kind in ASKED}
        too_small = wanted == number or by_weight.index(n) < by_weight.index(wanted)
        if too_small or (n != wanted and draw.yes(1, 3)):
            kind = draw.pick(ASKED)
            have[kind] = max(1, taken[kind] - draw.whole(1, 3))
        offers.append(replace(offer, have=have))
    return gig, tuple(offers)


def _offer_fact(offer: Offer) -> str:
    effects = offer.works.effects
    send = "are fed from buses" if effects.send == "takes a bus" else "have sends of their own"
    two = effects.returns == "takes two channels"
    back = "come back on two channels each" if two else "come back on returns of their own"
    own = offer.works.about.talkback == "own input"
    talk = "has an input of its own" if own else "takes a socket and a channel"
    sums = ", ".join(f"{offer.have[kind]} {kind}" for kind in ASKED)
    return f"The {offer.name} desk, {offer.weight_kg} kg: {sums}; effects {send} and {back}; talkback {talk}"


def _offer_workings(gig: Gig, offers: Offers) -> Iterable[str]:
    for offer in sorted(offers, key=_weight):
        taken, lacks = offer.takes(gig), offer.lacks(gig)
        sums = ", ".join(f"{taken[kind]} {kind} of {offer.have[kind]}" for kind in ASKED)
        state = f"too few {listed(lacks)}" if lacks else "it carries it"
        yield f"The {offer.name}, {offer.weight_kg} kg, takes {sums}; {state}"
    name, channels, buses = _choose(gig, offers)
    yield f"Channels: {channels}. On the desk that is taken."
    yield f"Buses: {buses}. The desk: {name}."


def _offers_misread(gig: Gig, offers: Offers, count: Count) -> tuple[Wrong, ...]:
    def as_if(**change: Any) -> Values:
        """The answer of somebody who sees every desk work in that way."""
        return _choose(gig, tuple(offer.working(**change) for offer in offers))

    able = [offer for offer in offers if not offer.lacks(gig)]
    return (
        (
            "Effects returns forgotten",
            as_if(returns="dedicated"),
            "Where do the effects come back on each desk?",
        ),
        ("Effects sends forgotten", as_if(send="own"), "What feeds the effects on each desk?"),
        (
            "Talkback forgotten",
            as_if(talkback="own input"),
            "Where is the talkback microphone plugged in on each desk?",
        ),
        misread.IN_EARS.slip(gig, count, "Left and right take two buses and two outputs."),
        *misread.miscounts(gig, count, boxes=ONE_BUS_ONE_OUTPUT),
        misread.STEREO.slip(gig, count),
        (
            "The lightest taken, whatever it has",
            min(offers, key=_weight).chosen(gig),
            "It is the lightest. Count all four things before you pick it up.",
        ),
        (
            "The heaviest that would do",
            max(able, key=_weight).chosen(gig) if len(able) > 1 else None,
            "It would do. Who carries it?",
        ),
    )


WHICH_DESK = Counting(
    drawn=_draw_offers,
    shown=lambda gig, offers: {"gig": gig, "offers": offers},
    scene=lambda gig, offers: (
        "Each of these desks is digital: an input socket for each signal, a stereo source takes two "
        "channels, a bus for each channel of a monitor mix, mains left and right on two outputs, effects made inside, "
        "in stereo. Talkback is wanted. Which can you take, and which do you want to carry up the stairs?"
    ),
    facts=lambda gig, offers: (*all_facts(gig), *map(_offer_fact, offers)),
    question="Which is the lightest desk that carries it, and how many channels and how many buses does the gig take "
    "there? If no desk does, type none, and 0 for both.",
    parts=lambda gig, offers: (
        Part("", choices=(*(offer.name for offer in offers), NONE), name="the desk"),
        "channels",
        "buses",
    ),
    count=_choose,
    workings=_offer_workings,
    slips=_offers_misread,
    nudge="Begin with the lightest. Count what the gig takes of that desk before you look at what it has.",
    caution="A desk is lifted by two, or wheeled. A light one is no promise that one back can carry it.",
)

VERDICTS = (FITS, CARE, REFUSED)
THE_VERDICT = Part("", choices=VERDICTS, name="the verdict")
Three = tuple[int, int, int]
ONE_BOX = Desk(
    AboutDesk("the house desk", "digital", channels=128, talkback="takes a channel"),
    (Inputs("desk", mic=96),),
    (Outputs("desk", line=64),),
    (MixBuses(48),),
    effects=INSIDE,
)


def _taken_and_spared(gig: Gig) -> tuple[Three, Three]:
    """Inputs, outputs and buses: taken, and with what the house wants left over."""
    rows, spares, buses = _sockets(gig, ONE_BOX), house().spares, needs(gig)["auxes"]
    kept = spares.buses if len(gig.mixes) >= spares.buses_from_mixes else 0
    inputs, outputs = rows["sockets"], rows["outputs"]
    spared = int(inputs.need + inputs.spare_wanted), int(outputs.need + outputs.spare_wanted), buses + kept
    return (int(inputs.need), int(outputs.need), buses), spared


def _enough(taken: Three, spared: Three, have: Three) -> str:
    """Whether that many inputs, outputs and buses carry it, and with every spare."""
    if any(t > h for t, h in zip(taken, have, strict=True)):
        return REFUSED
    return FITS if all(w <= h for w, h in zip(spared, have, strict=True)) else CARE


def _with_spares(gig: Gig, have: Three) -> Values:
    taken, spared = _taken_and_spared(gig)
    return *spared[:2], _enough(taken, spared, have)


def _draw_spares(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Three]:
    """Enough with the spares; enough without; or one thing short."""
    gig = replace(draw_stage(draw, level, gig, heard=2, effects=1), talkback=True)
    taken, spared = _taken_and_spared(gig)
    kind = draw.whole(0, 2)
    have = [w + draw.whole(0, 3) for w in spared]
    tight = draw.whole(0, 1)
    if kind == 1:
        have[tight] = draw.whole(taken[tight], spared[tight] - 1)
    elif kind == 2:
        have[tight] = taken[tight] - draw.whole(1, 2)
    return gig, (have[0], have[1], have[2])


def _spares_rule() -> str:
    spares = house().spares
    return (
        f"The house keeps {in_words(spares.small_gig_spare)} input free up to {in_words(spares.small_gig_inputs)} "
        f"taken; above that {spares.inputs_percent} % of those taken, rounded up, and never fewer than "
        f"{in_words(spares.inputs_least)}. It keeps one output free for every {in_words(spares.outputs_one_in)} "
        f"begun, and {in_words(spares.buses)} bus once there are {in_words(spares.buses_from_mixes)} monitor mixes."
    )


def _spares_workings(gig: Gig, have: Three) -> Iterable[str]:
    rows, (taken, spared) = _sockets(gig, ONE_BOX), _taken_and_spared(gig)
    reasons = {"Inputs": rows["sockets"].reasons, "Outputs": rows["outputs"].reasons, "Buses": ()}
    for (name, why), t, w, there in zip(reasons.items(), taken, spared, have, strict=True):
        because = f" ({'; '.join(each.text() for each in why)})" if why else ""
        yield f"{name}: {w}. {t} taken{because} and {w - t} to be left over; {there} there."
    said = _enough(taken, spared, have)
    what = {
        FITS: "all is there, the spares included",
        CARE: "all that is taken is there, and a spare is missing, which is a care and no more",
        REFUSED: "more is taken than there is",
    }[said]
    yield f"It {said}: {what}."


def _spares_misread(gig: Gig, have: Three, count: Count) -> tuple[Wrong, ...]:
    policy, (taken, spared) = house().spares, _taken_and_spared(gig)
    inputs, outputs, said = count(gig)
    kept_in, kept_out = inputs - taken[0], outputs - taken[1]

    def told(plugged: int, leaving: int, kept: tuple[int, int] | None = None) -> Values:
        """The answer of somebody who counts so many, and keeps so many or what the house keeps."""
        least, more = kept or (int(policy.inputs(plugged)), int(policy.outputs(leaving)))
        whole = plugged + least, leaving + more, spared[2]
        return *whole[:2], _enough((plugged, leaving, taken[2]), whole, have)

    rounded = max(policy.inputs_least, policy.inputs_percent * taken[0] // 100)
    down = rounded if taken[0] > policy.small_gig_inputs else policy.small_gig_spare
    at_least = down == policy.inputs_least  # then it is the tenth rounded down, and nobody could tell
    lines = sum(s.channels for _, s in gig.sources if not s.at_mic_level)
    in_ears = sum(mix.is_stereo for mix in gig.mixes if mix.through == "in-ears")
    return (
        ("Spares forgotten", told(*taken[:2], (0, 0)), "What if a socket dies at eight o'clock?"),
        (
            "The tenth rounded down",
            told(*taken[:2], (down, kept_out)),
            "Half a spare input does not exist: which way must one round to be safe?",
        ),
        (
            "Only full eights counted for the outputs",
            told(*taken[:2], (kept_in, taken[1] // policy.outputs_one_in)),
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
            told(taken[0], taken[1] - in_ears),
            "A stereo transmitter has two inputs.",
        ),
        *misread.miscounts(
            gig,
            lambda other: told(taken[0], 2 + needs(other)["monitor buses"]),
            boxes=("An output for each box", "Boxes that play the same thing are linked behind one output."),
            people=("An output for each listener", "Some of them share a mix: how many cables leave for it?"),
        ),
        (
            "The least number of spares taken for the rule",
            None if at_least else told(*taken[:2], (policy.inputs_least, kept_out)),
            "The least is for small counts. What does the share come to here?",
        ),
        (
            "A missing spare taken for a refusal",
            (inputs, outputs, REFUSED) if said == CARE else None,
            "The numbers are right. Would the evening take place if nothing broke?",
        ),
        (
            "A missing spare not mentioned",
            (inputs, outputs, FITS) if said == CARE else None,
            "The numbers are right. Is everything that the house asks for there?",
        ),
    )


SPARES = Counting(
    drawn=_draw_spares,
    shown=lambda gig, have: {"gig": gig, "inputs": have[0], "outputs": have[1], "buses": have[2]},
    scene=lambda gig, have: (
        f"The desk has {have[0]} input sockets, good for microphones and lines alike, one signal each, "
        f"{have[1]} outputs and {have[2]} buses. Talkback takes an input; the effects are made inside and come back on "
        f"returns of their own, each fed from a bus; mains are left and right. {_spares_rule()} There is "
        "enough of everything else."
    ),
    facts=lambda gig, have: all_facts(gig),
    question="How many inputs does this come to with the spares, how many outputs with theirs, and what is the "
    "verdict on this desk?",
    parts=("inputs", "outputs", THE_VERDICT),
    count=_with_spares,
    workings=_spares_workings,
    slips=_spares_misread,
    nudge="Three sums: what is taken, what is to be left over, what there is. Only the first can make it impossible.",
)

HOUR = 60  # minutes; a duration is kept in hours
SHARED = {
    "microphone": "microphones with stand and cable",
    "di": "DI boxes",
    "wedge": "wedges",
    "in_ear_pack": "in-ear packs",
    "pa_side": "sides of the mains",
    "patch_socket": "sockets to patch",
}
SERIAL = {
    "line_check": "lines to check",
    "gain_and_tone": "channels to set gain and tone",
    "gate": "gates to set",
    "effect": "effects to set",
    "ring_out": "wedges to ring out",
    "build_mix": "monitor mixes to build",
}
COUNTS = {
    "microphone": (6, 20), "di": (2, 6), "wedge": (2, 6), "in_ear_pack": (2, 4), "pa_side": (2, 2),
    "patch_socket": (12, 32), "line_check": (12, 30), "gain_and_tone": (10, 30), "gate": (2, 5), "effect": (2, 4),
    "ring_out": (2, 5), "build_mix": (2, 6),
}  # fmt: skip


@dataclass(frozen=True)
class Chore:
    """So many of one kind of work, and the minutes for one."""

    label: str
    count: int
    each: float

    @property
    def minutes(self) -> float:
        """Minutes for all of them, by one person [min]."""
        return self.count * self.each


Chores = tuple[Chore, ...]


@dataclass(frozen=True)
class SettingUp:
    """An evening's setting-up: what hands share, what follows one after another at the desk, and who is there."""

    shared: Chores
    serial: Chores
    crew: int
    skill: int
    time: Time

    @property
    def factor(self) -> float:
        """What the hands divide shared work by."""
        return self.time.crew_factor(self.crew)

    @property
    def alone(self) -> float:
        """Shared work, as one person would take for it [min]."""
        return sum(chore.minutes for chore in self.shared)

    @property
    def at_desk(self) -> float:
        """Work that follows one after another at the desk [min]."""
        return sum(chore.minutes for chore in self.serial)

    @property
    def minutes(self) -> float:
        """From load-in until all is ready [min]."""
        return self.alone / self.factor + self.at_desk

    def clock(self, minutes: float, have: float) -> Values:
        """What the clock says of so many minutes, and when all is ready [h]."""
        kept = self.time.contingency(minutes)
        said = FITS if minutes + kept <= have else REFUSED if minutes > have else CARE
        return said, minutes / HOUR


def _draw_chores(draw: Draw, table: Minutes, kinds: dict[str, str], count: int, skill: int) -> Chores:
    chosen = draw.some(list(kinds), count)
    return tuple(
        Chore(kinds[kind], draw.whole(*COUNTS[kind]), getattr(table, kind)[skill])
        for kind in kinds
        if kind in chosen
    )


def _draw_minutes(draw: Draw, level: int, gig: Gig) -> tuple[SettingUp, int]:
    """Work, and whole minutes, in fives, that are plenty, into the reserve, or too few; never within two of an edge."""
    policy, skill, crew = house(), draw.whole(0, 2), draw.whole(1, 1 + level)
    shared, serial = (
        _draw_chores(draw, policy.minutes, kinds, 1 + level, skill) for kinds in (SHARED, SERIAL)
    )
    work = SettingUp(shared, serial, crew, skill, policy.time)
    ready = work.minutes
    all_of_it = ready + policy.time.contingency(ready)
    roomy, tight = (all_of_it + 2, all_of_it + 60), (ready + 2, all_of_it - 2)
    least, most = draw.pick((roomy, tight, (max(10.0, ready * 0.7), ready - 2)))
    fives = [n for n in range(10, 1000, 5) if least <= n <= most]
    return work, draw.pick(fives) if fives else int(all_of_it) + 5


def _minutes_scene(work: SettingUp, have: int) -> str:
    time, many = work.time, in_words(work.crew).capitalize()
    alone = "One person sets up and works the desk"
    people = alone if work.crew == 1 else f"{many} people set up, and one of them works the desk"
    factors = ", ".join(
        f"{in_words(n)} {factor:g}" for n, factor in enumerate(time.crew_factors, start=1) if n > 1
    )
    return (
        f"{people}; their skill: {SKILLS[work.skill]}. "
        f"Shared work goes faster with more hands, by the house's factors: {factors} times; more people than that count "
        "as the last. What happens at the desk is done by one person, one thing after another. The house keeps back "
        f"{time.contingency_percent} % of the whole, and never less than {time.contingency_least:g} minutes. "
        f"From load-in to doors there are {have} minutes."
    )


def _minutes_facts(work: SettingUp, have: int) -> Iterable[str]:
    for heap, chores in (("Shared", work.shared), ("At the desk", work.serial)):
        yield from (f"{heap} - {chore.count} {chore.label}, {chore.each:g} min each" for chore in chores)


def _minutes_workings(work: SettingUp, have: int) -> tuple[str, ...]:
    def heap(name: str, chores: Chores, total: float) -> str:
        terms = tuple((f"{chore.count} × {chore.each:g} min", chore.minutes) for chore in chores)
        return working(name, total, Reason("count times minutes", (), terms, total))

    said, _ = work.clock(work.minutes, have)
    kept = work.time.contingency(work.minutes)
    return (
        heap("shared", work.shared, work.alone),
        f"Shared among {in_words(work.crew)}: {work.alone:g} / {work.factor:g} = {work.alone / work.factor:.1f} min.",
        heap("at the desk", work.serial, work.at_desk),
        f"Kept back: {kept:.1f} min. With them {work.minutes + kept:.1f}, and there are {have}: it {said}.",
        f"It {said}, ready after {show(work.minutes / HOUR, DURATION, 'min')}.",
    )


def _minutes_misread(work: SettingUp, have: int, count: Any) -> Iterable[Wrong]:
    alone, at_desk, factor = work.alone, work.at_desk, work.factor
    key = said, hours = count(work)
    kept = work.time.contingency(work.minutes)
    wrong = (
        (
            "Everything divided among the crew",
            work.clock((alone + at_desk) / factor, have),
            "Two people cannot listen to two channels at one desk.",
        ),
        (
            "Nothing divided",
            work.clock(alone + at_desk, have),
            "More hands carry more stands. Which work do they share?",
        ),
        (
            "Divided by heads, not by the factor",
            work.clock(alone / work.crew + at_desk, have),
            "Two people are not quite twice as fast. What does the house say?",
        ),
        (
            "The work at the desk forgotten",
            work.clock(alone / factor, have),
            "All is plugged in. Is it checked and set?",
        ),
        (
            "The shared work forgotten",
            work.clock(at_desk, have),
            "Before anything can be set at the desk, somebody has to carry and plug it.",
        ),
        (
            "The reserve counted as work",
            (said, (work.minutes + kept) / HOUR),
            "The question leaves the reserve out. It is for the verdict.",
        ),
        (
            "The reserve forgotten in the verdict",
            (FITS if work.minutes <= have else REFUSED, hours),
            "The minutes are right. What if one cable is faulty?",
        ),
        (
            "An eaten reserve taken for a refusal",
            (REFUSED if said == CARE else said, hours),
            "The minutes are right. Would they be ready if nothing went wrong?",
        ),
    )
    return (each for each in wrong if each[1] != key)  # with one pair of hands nothing is divided


MINUTES_TO_DOORS = Counting(
    drawn=_draw_minutes,
    shown=lambda work, have: {
        "shared": work.shared,
        "serial": work.serial,
        "crew": work.crew,
        "minutes": have,
    },
    scene=_minutes_scene,
    facts=_minutes_facts,
    question="What does the clock say: fits (ready with the reserve untouched), fits with care (ready, but into the "
    "reserve) or does not fit? And how many minutes until all is ready, the reserve not counted?",
    parts=(THE_VERDICT, Part(0.0, kind=DURATION, given_in="min", absolute=0.6 / HOUR, name="minutes")),
    count=lambda work, have: work.clock(work.minutes, have),
    workings=_minutes_workings,
    slips=_minutes_misread,
    nudge="Two heaps: what hands can share, and what waits for the one before it. Only one of them is divided.",
    caution="Never make up time on the power check, the limiters, the line check or the cables across a path.",
)

NOTHING, TWICE, KIND, PAIR, TAP, ABSENT = FAULTS = (
    "nothing",
    "socket twice",
    "wrong kind of socket",
    "not a pair",
    "wrong tap",
    "no such socket",
)
MIC, LINE, STEREO = "mic input", "line input", "stereo input"
SAID = {MIC: "microphone input", LINE: "line input", STEREO: "stereo input", "bus": "bus", "output": "output"}
PLURAL = {"bus": "buses"}
TAPS = {"pre": "before the fader", "post": "after the fader"}
TOLD = {
    NOTHING: "every line can stay as it is",
    TWICE: "two lines end in one socket; move the later one",
    KIND: "that socket is not made for what is plugged into it",
    PAIR: "left and right take an odd bus with the next even one",
    TAP: "monitors are taken before the fader, effects after it",
    ABSENT: "the desk has no socket of that number",
}


@dataclass(frozen=True)
class PatchLine:
    """One line of the patch: what it is, and everything it sits on."""

    item: str
    label: str
    places: tuple[Place, ...]

    def numbers(self, on: str) -> tuple[int, ...]:
        """The numbers it has of one kind."""
        return tuple(place.number for place in self.places if place.on == on)

    def told(self) -> str:
        """The line as it stands in the patch."""
        pieces = []
        for on, said in SAID.items():
            numbers = self.numbers(on)
            if numbers:
                word = said if len(numbers) == 1 else PLURAL.get(on, said + "s")
                tap = next((f" {TAPS[each.tap]}" for each in self.places if each.on == on and each.tap), "")
                pieces.append(f"{word} {listed([str(n) for n in numbers])}{tap}")
        return f"{self.label}: {', '.join(pieces)}"

    def moved(self, on: str, *numbers: int) -> PatchLine:
        """The line with its numbers of one kind put to others."""
        left = list(numbers)
        places = tuple(replace(p, number=left.pop(0)) if p.on == on else p for p in self.places)
        return replace(self, places=places)


Patch = tuple[PatchLine, ...]


@dataclass(frozen=True)
class Fault:
    """What is wrong: gig and desk of the patch, number of the line, its fault, and the line it quarrels with (0 if none)."""

    gig: Gig
    desk: Desk
    line: int
    kind: str
    also: int


def patch(gig: Gig) -> tuple[Patch, Desk]:
    """A patch in which everything is right, and a desk with a little to spare."""
    next_of = dict.fromkeys(SAID, 1)

    def take(item: str, on: str, number: int, tap: str = "") -> tuple[Place, ...]:
        first = next_of[on]
        next_of[on] += number
        at = "stage" if on in (MIC, "output") else "desk"
        return tuple(Place(item, on, at, first + n, tap) for n in range(number))

    rows = []
    for item, source in gig.sources:
        on = MIC if source.at_mic_level else STEREO if source.stereo else LINE
        rows.append(PatchLine(item, _label(source), take(item, on, 1 if on == STEREO else source.channels)))
    rows.append(PatchLine("mains", "Mains, left and right", take("mains", "output", 2)))
    told = zip(gig.mixes, monitor_facts(gig), strict=True)
    for mix, fact in sorted(told, key=lambda each: not each[0].is_stereo):
        item = f"mix.{mix.name}"
        held = (*take(item, "bus", mix.width, "pre"), *take(item, "output", mix.width))
        rows.append(PatchLine(item, fact.replace(":", ",", 1), held))
    for effect in gig.effects:
        item = f"effect.{effect.name}"
        rows.append(PatchLine(item, f"{effect.name}, made inside the desk", take(item, "bus", 1, "post")))
    used = {on: number - 1 for on, number in next_of.items()}
    desk = Desk(
        AboutDesk("the house desk", "digital", channels=96, talkback="own input"),
        (
            Inputs("stage", mic=used[MIC] + 3),
            Inputs("desk", line=used[LINE] + 2, stereo=used[STEREO] + 1),
        ),
        (Outputs("stage", line=used["output"] + 2),),
        (MixBuses(used["bus"] + used["bus"] % 2 + 4),),  # they end on a pair that is free
        effects=INSIDE,
    )
    return tuple(rows), desk


def units_unlisted(gig: Gig) -> list[Place]:
    """The effects units, which the patch does not list."""
    return [Place(f"effect.{e.name}", "effects unit", "desk", n) for n, e in enumerate(gig.effects, start=1)]


def _draw_fault(draw: Draw, level: int, gig: Gig) -> tuple[Patch, Fault]:
    players = drawing.with_sources(draw, level, drawing.draw_players(draw, min(level, 2)))
    mixes = tuple(mix for mix in drawing.draw_monitors(draw, min(level, 2), players) if not mix.sub_send)
    kind = draw.pick(FAULTS)
    if kind == PAIR and not any(mix.is_stereo for mix in mixes):
        mixes = (replace(mixes[0], through="in-ears", stereo=True, boxes=1), *mixes[1:])
    gig = replace(
        gig,
        performers=tuple(replace(p, sources=tuple(map(_on_the_stage, p.sources))) for p in players),
        lines=tuple(map(_near, drawing.draw_lines(draw, level))),
        mixes=mixes,
        effects=drawing.draw_effects(draw, min(level, 2)),
    )
    rows, desk = patch(gig)
    rows, wrong, also = _spoilt(draw, rows, desk, kind)
    return rows, Fault(gig, desk, wrong, kind if wrong else NOTHING, also)


def _on_the_stage(source: Source) -> Source:
    """A receiver stands at the stage box and gives microphone level."""
    return replace(source, level=None) if source.radio else source


def _near(line: Line) -> Line:
    """What comes through a DI box is plugged into the stage box, what comes at line level into the desk."""
    return replace(line, at="stage") if line.at_mic_level else line


def _label(source: Source) -> str:
    count = source.channels // source.width
    how = {"mic": "microphone", "DI": "DI"}.get(source.by, "line level")
    if source.stereo:
        return f"{source.name}, stereo, {how}"
    return f"{source.name}, {how}" if count == 1 else f"{source.name}, {count} {how}s"


def _spoilt(draw: Draw, rows: Patch, desk: Desk, kind: str) -> tuple[Patch, int, int]:
    """The patch with one line made wrong, that line's number, and the line it quarrels with (0 if none)."""

    def fits(row: PatchLine) -> bool:
        mics, buses = len(row.numbers(MIC)), len(row.numbers("bus"))
        if kind in (PAIR, TAP):
            return buses == 2 if kind == PAIR else buses > 0
        return mics == 1 or (kind == ABSENT and len(row.numbers("output")) == 1)

    able = [n for n, row in enumerate(rows, start=1) if fits(row)][kind == TWICE :]
    if kind == NOTHING or not able:
        return rows, 0, 0
    wrong, also = draw.pick(able), 0
    row = rows[wrong - 1]
    if kind == TWICE:
        also = draw.pick([n for n, other in enumerate(rows, start=1) if n < wrong and other.numbers(MIC)])
        row = row.moved(MIC, draw.pick(rows[also - 1].numbers(MIC)))
    elif kind == KIND:
        free = desk.inputs[1].line
        row = replace(row, places=tuple(replace(p, on=LINE, at="desk", number=free) for p in row.places))
    elif kind == PAIR:
        first = len(desk.buses()) - 2
        row = row.moved("bus", first, first + 1)
    elif kind == TAP:
        turned = {"pre": "post", "post": "pre"}
        row = replace(row, places=tuple(replace(p, tap=turned.get(p.tap, "")) for p in row.places))
    elif row.numbers(MIC):
        row = row.moved(MIC, desk.inputs[0].mic + draw.whole(1, 3))
    else:
        row = row.moved("output", desk.outputs[0].line + draw.whole(1, 3))
    return (*rows[: wrong - 1], row, *rows[wrong:]), wrong, also


def _fault_workings(rows: Patch, fault: Fault) -> Iterable[str]:
    for on, word in SAID.items():
        numbers = sorted(n for row in rows for n in row.numbers(on))
        if numbers:
            yield f"{PLURAL.get(on, word + 's').capitalize()} in use - {', '.join(map(str, numbers))}"
    clean = "Nothing is used twice, missing or crooked"
    yield f"In line {fault.line} stands - {rows[fault.line - 1].told()}" if fault.line else clean
    yield f"Line: {fault.line}. {fault.kind}: {TOLD[fault.kind]}."


def _fault_misread(rows: Patch, fault: Fault, count: Any) -> tuple[Wrong, ...]:
    def first(kind: str, fits: Callable[[PatchLine], Any]) -> Values | None:
        """The first other line like that, taken for a mistake of that kind."""
        able = (n for n, row in enumerate(rows, start=1) if n != fault.line and fits(row))
        return next(((n, kind) for n in able), None)

    return (
        (
            "A mono mix taken for half a pair",
            first(PAIR, lambda row: len(row.numbers("bus")) == 1 and row.numbers("bus")[0] % 2 == 0),
            "Only left and right need a pair. Is that line stereo?",
        ),
        (
            "The same number of another kind of socket taken for the same socket",
            first(TWICE, lambda row: row.numbers(LINE) or row.numbers(STEREO)),
            "Each kind is counted from 1. Are these two the same kind of socket?",
        ),
        (
            "An effect after the fader taken for a mistake",
            first(TAP, lambda row: row.item.startswith("effect")),
            "Should the reverb go when the voice goes?",
        ),
        (
            "A monitor before the fader taken for a mistake",
            first(TAP, lambda row: row.item.startswith("mix")),
            "Should the wedge move when the fader moves?",
        ),
        (
            "A stereo line taken for two signals in one socket",
            first(KIND, lambda row: row.numbers(STEREO)),
            "What is a stereo input made for?",
        ),
        (
            "The fault not seen",
            (0, NOTHING) if fault.line else None,
            "Somewhere a line cannot stay.",
        ),
        (
            "The earlier of the two lines",
            (fault.also, TWICE) if fault.also else None,
            "Read again which of two quarrelling lines to name.",
        ),
        (
            "The right line for another reason",
            (fault.line, ABSENT) if fault.line and fault.kind != ABSENT else None,
            "The line is right. Is the number too high?",
        ),
    )


def _fault_scene(rows: Patch, fault: Fault) -> str:
    desk, (stage, here) = fault.desk, fault.desk.inputs
    return (
        f"The stage box has {stage.mic} microphone inputs and {desk.outputs[0].line} outputs; at the desk "
        f"are {here.line} line inputs and {here.stereo} stereo inputs. There are {len(desk.buses())} buses, each with a "
        "tap of its own; an odd one and the next even one can be linked for stereo. Each kind of socket is numbered "
        "from 1. Somebody has filled in the patch, and at most one line of it is wrong:"
    )


FIND_THE_FAULT = Counting(
    drawn=_draw_fault,
    shown=lambda rows, fault: {"gig": fault.gig, "desk": fault.desk, "patch": rows},
    scene=_fault_scene,
    facts=lambda rows, fault: (f"{n}: {row.told()}" for n, row in enumerate(rows, start=1)),
    question="Which line cannot stay, and what is wrong with it? If two lines quarrel over a socket, name the later "
    "one. If all is right, type 0 and nothing.",
    parts=(Part(0), Part("", choices=FAULTS, name="the fault")),
    count=lambda rows, fault: (fault.line, fault.kind),
    workings=_fault_workings,
    slips=_fault_misread,
    nudge="Go through it kind by kind: all microphone inputs, then the lines, then buses, taps and outputs.",
    caution="Mute before you move a plug: a live input that is pulled can hurt ears and loudspeakers.",
)

TOPICS = (
    count_topic("what is short", WHAT_IS_SHORT, least_slips=1),
    count_topic("which desk", WHICH_DESK, least_slips=2),
    count_topic("spares", SPARES, least_slips=4),
    count_topic("minutes to doors", MINUTES_TO_DOORS, version=3, least_slips=3),
    count_topic("find the fault", FIND_THE_FAULT, least_slips=3),
)
