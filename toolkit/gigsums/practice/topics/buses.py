"""What a stage takes of a desk's buses: mixes counted, pairs filled, talkback sent, and the least change that gets it on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, Literal

from gigsums.gig import Desk, Effect, Feed, Gig, Inputs, Mix, Outputs, Reason, Zone
from gigsums.gig.desk import AboutDesk, MixBuses
from gigsums.sizing import needs
from gigsums.sizing.buses import BusNeed
from gigsums.sizing.ledgers import bus_need, input_ledgers, routes

from .. import drawing, misread
from ..drawing import Draw
from ..marking import CHANGES, FITS, REFUSED
from ..problems import Part, Values
from ..topic import INSIDE, Counting, Wrong, count_topic, draw_stage, house, ledgers, units, working
from ..wording import in_words, input_facts, listed, monitor_facts, sentence

Count = Callable[[Gig], Any]


def _need_lines(gig: Gig, *named: tuple[str, str]) -> Iterable[str]:
    """A line of the workings for each need: what it is called, and its key."""
    counted = needs(gig)
    return (working(name, counted[key], counted.row(key).reason) for name, key in named)


def _draw_mixes(draw: Draw, level: int, gig: Gig) -> tuple[Gig, int]:
    gig = draw_stage(draw, level, gig, picked_up=False, heard=3, effects=3)
    return gig, draw.whole(1, level) if level > 1 and draw.yes(1, 2) else 0


def _mix_facts(gig: Gig, groups: int) -> Iterable[str]:
    yield from monitor_facts(gig)
    alone = len(gig.effects) == 1
    send = "which is sent from a bus of its own" if alone else "each sent from a bus of its own"
    yield f"Effects: {units(gig)}, {send}"
    if groups:
        faders = "fader" if groups == 1 else "faders"
        yield f"{sentence(in_words(groups))} group {faders} at the desk, for the mains"


def _mixes_misread(gig: Gig, groups: int, count: Count) -> tuple[Wrong, ...]:
    mixes, buses = count(gig)
    sends = len(gig.effects)
    return (
        *misread.miscounts(gig, count),
        misread.IN_EARS.slip(gig, count),
        misread.SIDE_FILLS.slip(gig, count),
        (
            "The sub's own send forgotten",
            replace(gig, mixes=tuple(replace(mix, sub_send=False) for mix in gig.mixes)),
            "Read the drum fill again: what feeds the sub?",
        ),
        (
            "Effects sends forgotten",
            (mixes, buses - sends),
            "Something else in the list is fed from a bus besides the monitors.",
        ),
        (
            "Effects counted as mixes",
            (mixes + sends, buses),
            "An effects unit takes a bus, but nobody stands in front of it.",
        ),
        (
            "Every mix counted as stereo",
            (mixes, 2 * mixes + sends),
            "A mix that nobody asked for in stereo has one side only.",
        ),
        (
            "Group faders counted",
            (mixes + groups, buses + groups),
            "A group fader sets the level of what goes to the mains. Can it give the stage a balance of its own?",
        ),
        (
            "The two numbers swapped",
            (buses, mixes),
            "Mind the order: which of the two was asked for first?",
        ),
    )


MONITOR_MIXES = Counting(
    drawn=_draw_mixes,
    shown=lambda gig, groups: {"gig": gig, "group faders": groups},
    scene=lambda gig, groups: "This is what they want to hear themselves on:",
    facts=_mix_facts,
    question="How many monitor mixes is that, and how many buses do the mixes and the effects take together?",
    parts=("mixes", "buses"),
    count=lambda gig, groups: (needs(gig)["monitor mixes"], needs(gig)["auxes"]),
    workings=lambda gig, groups: _need_lines(
        gig,
        *((key, key) for key in ("monitor mixes", "monitor buses", "effects sends")),
        ("buses in all", "auxes"),
    ),
    slips=_mixes_misread,
    nudge="Take the list one line at a time: is this one balance or several, and is it mono or stereo?",
)

PAIRED = Desk(AboutDesk("the house desk", "analogue"), mix_buses=(MixBuses(2, tap="pair"),), effects=INSIDE)


def kinds_needed(gig: Gig, desk: Desk = PAIRED) -> BusNeed:
    """Bus channels by kind: stereo and mono, before and after the fader."""
    return bus_need(gig, desk, routes(gig, desk))


def heaps(need: BusNeed) -> tuple[tuple[str, int, int], ...]:
    """What is to be carried, kind by kind: its name, how many, and the pairs it takes."""
    return (
        ("stereo before the fader", need.stereo_pre, need.stereo_pre),
        ("mono before the fader", need.mono_pre, -(-need.mono_pre // 2)),
        ("stereo after the fader", need.stereo_post, need.stereo_post),
        ("mono after the fader", need.mono_post, -(-need.mono_post // 2)),
    )


def pairs(need: BusNeed) -> int:
    """Pairs taken where both buses of a pair share their tap: no kind shares a pair with another."""
    return sum(taken for _, _, taken in heaps(need))


def more_wedges(need: BusNeed, have: int) -> int:
    """How many further mono sends before the fader a desk with so many pairs can take."""
    return max(0, 2 * (have - pairs(need)) + need.mono_pre % 2)


def _draw_pairs(draw: Draw, level: int, gig: Gig) -> tuple[Gig, int]:
    for tried in range(4):  # most draws are such that the pairs matter
        if tried and 2 * pairs(need := kinds_needed(gig)) > need.total + 1:
            break
        gig = draw_stage(draw, level, gig, picked_up=False, heard=3, effects=3)
        gig = replace(
            gig,
            zones=(Zone("Subs", fed_from="bus"),) if level > 1 and draw.yes(1, 2) else (),
            feeds=(Feed("Stream", stereo=True, fed_from="own mix"),) if level > 2 and draw.yes(1, 2) else (),
        )
    return gig, pairs(kinds_needed(gig)) + draw.whole(0, 2 + level)


def _pairs_and_wedges(gig: Gig, have: int) -> tuple[int, int]:
    """Pairs taken, and wedges that a desk with so many pairs can still feed."""
    need = kinds_needed(gig)
    return pairs(need), more_wedges(need, have)


def _pair_workings(gig: Gig, have: int) -> Iterable[str]:
    need = kinds_needed(gig)
    taken, more = _pairs_and_wedges(gig, have)
    terms = tuple((f"for {number} {label}", share) for label, number, share in heaps(need) if number)
    after = [("Effects", len(gig.effects)), *((zone.name, zone.width) for zone in gig.zones)]
    after += [(feed.name, feed.width) for feed in gig.feeds]
    total = sum(number for _, number in after)
    half = need.mono_pre % 2
    left = (("both buses of each free pair", more - half), ("the free half of a pair before the fader", half))
    rule = "stereo takes a pair; mono shares a pair only with its own side of the fader, and half a pair counts as one"
    return (
        *_need_lines(gig, ("monitor buses, before the fader", "monitor buses")),
        working("buses after the fader", total, Reason("one for each channel", (), tuple(after), total)),
        working("pairs", taken, Reason(rule, (), terms, taken)),
        working("more wedges", more, Reason(f"pairs still free: {have - taken}", (), left, more)),
    )


def _pairs_misread(gig: Gig, have: int, count: Count) -> tuple[Wrong, ...]:
    need, (taken, _) = kinds_needed(gig), count(gig)
    each = len(gig.mixes) + len(gig.effects) + len(gig.zones) + len(gig.feeds)
    return (
        (
            "Buses halved, whatever they carry",
            (-(-need.total // 2), 2 * have - need.total),
            "Can one pair carry a monitor and an effects send, when one switch sets the tap of both?",
        ),
        (
            "Free buses counted, whatever their tap",
            (taken, 2 * have - need.total),
            "The pairs are right. But which of the free buses can still be set before the fader?",
        ),
        (
            "A pair for everything",
            (each, max(0, have - each)),
            "Two mono sends on the same side of the fader can share a pair.",
        ),
        (
            "Half a pair overlooked",
            (taken, 2 * (have - taken)),
            "The pairs are right. Is one of them only half taken, and on the monitors' side of the fader?",
        ),
        (
            "A wedge counted as a pair",
            (taken, have - taken),
            "The pairs are right. How many mono wedges does a free pair feed?",
        ),
        misread.IN_EARS.slip(gig, count),
        *misread.miscounts(gig, count),
        misread.EFFECTS.slip(
            gig, count, "Something in the list is fed from buses though nobody stands in front of it."
        ),
        (
            "Only the monitors counted",
            replace(gig, effects=(), zones=(), feeds=()),
            "Monitors are not all that is fed from buses tonight.",
        ),
    )


BUS_PAIRS = Counting(
    drawn=_draw_pairs,
    shown=lambda gig, have: {"gig": gig, "pairs": have},
    scene=lambda gig, have: (
        f"The desk has {2 * have} buses in pairs, 1 with 2, 3 with 4 and so on. One switch sets both buses of "
        "a pair before or after the fader, and only the two buses of a pair can be linked for stereo. Monitors are "
        "taken before the fader. This is what it has to feed:"
    ),
    facts=lambda gig, have: (
        *monitor_facts(gig),
        f"Effects: {units(gig)}, a bus after the fader for each",
        *(f"{zone.name}: fed from a bus after the fader" for zone in gig.zones),
        *(f"{feed.name}: a stereo mix of its own, on buses after the fader" for feed in gig.feeds),
    ),
    question="How many pairs are taken, in whole or in part, and how many more mono wedges, each with a mix of its "
    "own, could the desk still feed?",
    parts=("pairs", "wedges"),
    count=_pairs_and_wedges,
    workings=_pair_workings,
    slips=_pairs_misread,
    nudge="Sort the sends into four heaps first: stereo and mono, before the fader and after it.",
)

WANTED = ("wanted", "not wanted")
Talkback = Literal["own input", "takes a channel", "none"]
PLUGGED: dict[Talkback, str] = {
    "own input": "The desk's talkback has an input of its own",
    "takes a channel": "The desk's talkback is plugged into one of the microphone inputs",
    "none": "The desk has no talkback: whoever wants it plugs a microphone with a switch into one of the inputs",
}


def _draw_talkback(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    """Monitors for all, or one wedge, or one mix for all the wedges."""
    gig = draw_stage(draw, level, gig)
    if draw.yes(1, 4):
        heard = gig.performers[: draw.whole(1, min(level, len(gig.performers)))]
        names = tuple(player.name for player in heard)
        mixes: tuple[Mix, ...] = (
            Mix(listed(names), names, "wedge", boxes=max(len(names), draw.whole(1, 2))),
        )
    else:
        mixes = drawing.draw_monitors(draw, level, gig.performers)
    about = AboutDesk("the house desk", "digital", talkback=draw.pick(tuple(PLUGGED)))
    return replace(gig, mixes=mixes), Desk(about, (Inputs("desk", mic=64, line=32, stereo=32),))


def _spoken_to(gig: Gig, desk: Desk) -> tuple[str, int, int]:
    """Whether it is wanted, the microphone inputs taken in all, and the buses that it goes to."""
    wanted = gig.wants_talkback
    preamps = ledgers(gig, desk, input_ledgers)["preamps"]
    return WANTED[not wanted], int(preamps.need), needs(gig)["monitor buses"] if wanted else 0


def _talkback_workings(gig: Gig, desk: Desk) -> Iterable[str]:
    wanted, inputs, buses = _spoken_to(gig, desk)
    why = "nobody is in in-ears, and there is no second mix"
    if gig.wants_talkback:
        in_ears = any(mix.through == "in-ears" for mix in gig.mixes)
        why = "somebody is in in-ears" if in_ears else "there are two mixes or more"
    return (
        working("inputs", inputs, *ledgers(gig, desk, input_ledgers)["preamps"].reasons),
        *_need_lines(gig, ("buses of the monitors", "monitor buses")),
        f"Buses: {buses}. Talkback is {wanted}: {why}.",
    )


def _talkback_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    wanted, inputs, buses = count(gig)
    if wanted == WANTED[1]:
        always = count(replace(gig, talkback=True))
        return (
            ("Talkback taken for granted", always, "Read the rule of the house again. Who here needs it?"),
            (
                "A box counted as a mix",
                (*always[:2], needs(misread.BOXES.seen(gig))["monitor buses"]),
                "How many different balances are there, whatever the number of boxes?",
            ),
        )
    plugged, name = inputs - 1, "The talkback microphone left out of the inputs"
    if desk.about.talkback == "own input":
        other = replace(desk, about=replace(desk.about, talkback="takes a channel"))
        plugged, name = _spoken_to(gig, other)[1], "Talkback given an input though it has its own"
    return (
        (
            "Talkback forgotten",
            count(replace(gig, talkback=False)),
            "How do you tell a player in in-ears that you heard them?",
        ),
        (
            name,
            (wanted, plugged, buses),
            "Read again where the talkback microphone is plugged in on this desk.",
        ),
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


TALKBACK = Counting(
    drawn=_draw_talkback,
    scene=lambda gig, desk: (
        "Nobody has said a word about talkback, but the rule of the house is to have it as soon as anybody is in "
        "in-ears, or two monitor mixes leave the desk. Talkback goes to every monitor bus, and never to the mains. "
        f"{PLUGGED[desk.about.talkback]}. There are line inputs for everything at line level."
    ),
    facts=lambda gig, desk: (*input_facts(gig), *(f"Monitors - {fact}" for fact in monitor_facts(gig))),
    question="Is talkback wanted here, how many microphone inputs are taken in all, and to how many buses does the "
    "talkback go? If it is not wanted, type 0 for the buses.",
    parts=(Part("", choices=WANTED, name="the verdict"), "inputs", "buses"),
    count=_spoken_to,
    workings=_talkback_workings,
    slips=_talkback_misread,
    nudge="First the people: who could not hear a shout? Then the sockets, and then the buses.",
)

VERDICTS = (FITS, CHANGES, REFUSED)
THE_VERDICT = Part("", choices=VERDICTS, name="the verdict")
Change = tuple[str, int]
"""What may be changed to give back one bus, and its points."""


def desk_with(buses: int) -> Desk:
    """A digital desk with so many buses, each with a tap of its own, and enough of everything else."""
    return Desk(
        AboutDesk("the house desk", "digital", talkback="own input"),
        (Inputs(mic=64),),
        (Outputs(line=64),),
        (MixBuses(buses),),
        effects=INSIDE,
    )


def _settled(gig: Gig, have: int, may: Sequence[Change]) -> Any:
    """The verdict, the points of the first changes that make it fit, and the buses taken in the end."""
    asked = needs(gig)["auxes"]
    over = max(0, asked - have)
    if 0 < over <= len(may):
        return CHANGES, sum(points for _, points in may[:over]), have
    return REFUSED if over else FITS, 0, asked


def _draw_buses(draw: Draw, gig: Gig, can: int, chances: int) -> int:
    """An even number of buses: enough, few enough that something must change, or too few."""
    asked = needs(gig)["auxes"]
    wanted = draw.whole(1, chances)
    mended = [asked - over for over in range(1, can + 1) if (asked - over) % 2 == 0 and asked - over > 1]
    if wanted > 2 and mended:
        return draw.pick(mended)
    few = next(asked - can - over for over in (1, 2) if (asked - can - over) % 2 == 0)
    if wanted == 2 and few > 1:
        return few
    return asked + asked % 2 + 2 * draw.whole(0, 1)


def _asked_and_too_many(gig: Gig, have: int) -> Iterable[str]:
    asked = needs(gig)["auxes"]
    yield from _need_lines(gig, ("buses as asked", "auxes"))
    yield f"Too many: {max(0, asked - have)}. {asked} asked for, {have} on the desk."


def to_mono(gig: Gig) -> list[Change]:
    """The mixes that would do in mono, at a point each."""
    return [(mix.name, 1) for mix in gig.mixes if mix.is_stereo and "mono" in mix.may]


def _draw_fit(draw: Draw, level: int, gig: Gig) -> tuple[Gig, int]:
    gig = draw_stage(draw, level, gig, picked_up=False, heard=3)
    mixes = tuple(
        replace(mix, may=("mono",)) if mix.is_stereo and draw.yes(2, 3) else mix for mix in gig.mixes
    )
    gig = replace(gig, mixes=mixes, effects=drawing.draw_effects(draw, level))
    return gig, _draw_buses(draw, gig, len(to_mono(gig)), 4)


def _fit_facts(gig: Gig, have: int) -> Iterable[str]:
    for mix, fact in zip(gig.mixes, monitor_facts(gig), strict=True):
        yield f"{fact}; {'mono would do' if mix.may else 'it must stay so'}" if mix.is_stereo else fact
    yield f"Effects: {units(gig)}"


def _fit_workings(gig: Gig, have: int) -> Iterable[str]:
    word, changed, buses = _settled(gig, have, may := to_mono(gig))
    yield from _asked_and_too_many(gig, have)
    given = Reason("each goes from two buses to one", (), tuple(may), len(may))
    yield working("mixes that may go mono", len(may), given)
    yield f"Mixes to go mono: {changed}. One bus comes back from each."
    yield f"Buses in the end: {buses}. It {word}."


def _fit_misread(gig: Gig, have: int, count: Count) -> tuple[Wrong, ...]:
    _, changed, buses = count(gig)
    asked, willing = needs(gig)["auxes"], len(to_mono(gig))
    return (
        (
            "Somebody made mono who must stay stereo",
            replace(gig, mixes=tuple(replace(mix, may=("mono",)) for mix in gig.mixes)),
            "Read again who would do with mono and who would not.",
        ),
        (
            "Given up though something could change",
            replace(gig, mixes=tuple(replace(mix, may=()) for mix in gig.mixes)),
            "Is there nobody who could give back a bus?",
        ),
        (
            "Everybody who would go mono made mono",
            (CHANGES if asked - willing <= have else REFUSED, willing, asked - willing),
            "What is given up must be needed, and must help. Is it, and does it?",
        ),
        (
            "The wrong word for these numbers",
            (FITS, changed, buses),
            "The numbers are right. Put the buses asked for beside those of the desk, and name it again.",
        ),
        misread.EFFECTS.slip(gig, count),
        misread.IN_EARS.slip(
            gig, count, "Left and right are two signals, as long as nobody has changed them."
        ),
        *misread.miscounts(
            gig,
            count,
            boxes=("Boxes counted, not mixes", "Boxes that play the same thing are linked."),
            people=("People counted, not mixes", "Some of them share already."),
        ),
    )


WILL_IT_FIT = Counting(
    drawn=_draw_fit,
    shown=lambda gig, have: {"gig": gig, "buses": have},
    scene=lambda gig, have: (
        f"The desk has {have} buses. The tap of each is set on its own, odd and even neighbours can be "
        "linked for stereo, and each effect is fed from one bus. There is enough of everything else. Nobody will share a "
        "mix that is not shared already, and nothing may be left out:"
    ),
    facts=_fit_facts,
    question="Does it fit, at the least how many mixes must go mono, and how many buses are taken in the end? If no "
    "change makes it fit, type 0 for the mixes and the buses as they were asked for.",
    parts=(THE_VERDICT, "mixes to go mono", "buses"),
    count=lambda gig, have: _settled(gig, have, to_mono(gig)),
    workings=_fit_workings,
    slips=_fit_misread,
    nudge="Count the buses as asked first. Then: who may give one back?",
)

UNITS = ("Reverb", "Delay", "Second reverb", "Chorus")
KEEP: dict[Literal["must", "want", "nice"], str] = {
    "must": "must be there",
    "want": "is wanted",
    "nice": "would be nice",
}


def may_change(gig: Gig) -> list[Change]:
    """Everything the players and the house allow, cheapest first; of the wedges that would share one stays."""
    price = house().changes
    kept = {"nice": ("nice", price.drop_nice.points), "want": ("wanted", price.drop_want.points)}
    mono = [(f"{name} in mono", price.mono.points) for name, _ in to_mono(gig)]
    sharing = [mix.name for mix in gig.mixes if "share" in mix.may]
    shared = [(f"{name} on the mix of {sharing[0]}", price.share.points) for name in sharing[1:]]
    dropped = [
        (f"no {effect.name.casefold()} ({kept[effect.keep][0]})", kept[effect.keep][1])
        for effect in gig.effects
        if effect.keep in kept
    ]
    return sorted([*mono, *shared, *dropped], key=lambda change: change[1])


def draw_change(draw: Draw, level: int, gig: Gig) -> tuple[Gig, int]:
    """A mix for each player: in-ears that may go mono or not, wedges that would share or not; and so many buses."""
    players, mixes = drawing.draw_players(draw, level), []
    for player in players:
        if draw.yes(2, 5):
            mixes.append(Mix(player.name, (player.name,), "in-ears", may=("mono",) if draw.yes(1, 2) else ()))
        else:
            boxes = 2 if level > 1 and draw.yes(1, 4) else 1
            may: tuple[Literal["share"], ...] = ("share",) if draw.yes(1, 2) else ()
            mixes.append(Mix(player.name, (player.name,), "wedge", boxes=boxes, may=may))
    effects = tuple(Effect(name, keep=draw.pick(tuple(KEEP))) for name in UNITS[: draw.whole(1, 1 + level)])
    gig = replace(gig, performers=players, mixes=tuple(mixes), effects=effects)
    return gig, _draw_buses(draw, gig, len(may_change(gig)), 5)


def least(gig: Gig, have: int) -> Values:
    """The verdict, the points of the cheapest changes, and the buses taken in the end."""
    settled: Values = _settled(gig, have, may_change(gig))
    return settled


def _change_scene(gig: Gig, have: int) -> str:
    price = house().changes
    return (
        f"The desk has {have} buses, each with a tap of its own, and odd and even neighbours can be "
        "linked for stereo. Each effect is fed from one bus. There is enough of everything else. Where the players allow "
        f"it the house reckons in points: {price.drop_nice.points} to leave out what would only be nice, "
        f"{price.mono.points} to make a stereo mix mono, {price.share.points} for each wedge that gives up its mix and "
        f"shares another, {price.drop_want.points} to leave out what is wanted. Fewer points are better."
    )


def _change_facts(gig: Gig, have: int) -> Iterable[str]:
    would = {
        "wedge": ("keeps a mix of their own", "would share with another who would"),
        "in-ears": ("it must stay so", "mono would do"),
    }
    for mix, fact in zip(gig.mixes, monitor_facts(gig), strict=True):
        yield f"{fact}; {would[mix.through][bool(mix.may)]}"
    yield from (f"{effect.name}: {KEEP[effect.keep]}" for effect in gig.effects)


def _change_workings(gig: Gig, have: int) -> Iterable[str]:
    may = may_change(gig)
    word, points, buses = _settled(gig, have, may)
    yield from _asked_and_too_many(gig, have)
    each = ", ".join(f"{text} ({price})" for text, price in may) or "nothing"
    yield f"May be changed, one bus each: {len(may)}. {each}."
    terms = tuple(may[: needs(gig)["auxes"] - have]) if word == CHANGES else ()
    yield working("points", points, Reason("the cheapest, until it fits", (), terms, points))
    yield f"Buses: {buses}. It {word}."


def _change_misread(gig: Gig, have: int, count: Count) -> tuple[Wrong, ...]:
    word, points, buses = count(gig)
    asked, prices = needs(gig)["auxes"], [price for _, price in may_change(gig)]
    over, some = asked - have, word == CHANGES
    anyone = tuple(replace(m, may=("mono",) if m.is_stereo else ("share",)) for m in gig.mixes)
    return (
        (
            "Somebody changed who has not agreed",
            replace(gig, mixes=anyone),
            "Read again who would and who would not.",
        ),
        misread.EFFECTS.slip(gig, count),
        misread.IN_EARS.slip(
            gig, count, "Left and right are two signals, as long as nobody has changed them."
        ),
        misread.BOXES.slip(gig, count, "Boxes that play the same thing are linked."),
        (
            "Given up though something could change",
            (REFUSED if over > 0 else word, 0, asked),
            "Is there nobody who could give back a bus?",
        ),
        (
            "The dearest changes first",
            (word, sum(prices[-over:]), buses) if some else None,
            "It would work. Is there a cheaper way?",
        ),
        (
            "Changes counted, not points",
            (word, over, buses) if some else None,
            "How much does each of them cost by the house's list?",
        ),
        (
            "Everything changed that may be",
            (word, sum(prices), asked - len(prices)) if some else None,
            "Stop as soon as it fits.",
        ),
        (
            "The wrong word for these numbers",
            (FITS, points, buses) if some else None,
            "The numbers are right. Does it fit as it was asked for?",
        ),
    )


LEAST_CHANGE = Counting(
    drawn=draw_change,
    shown=lambda gig, have: {"gig": gig, "buses": have},
    scene=_change_scene,
    facts=_change_facts,
    question="What is the verdict, how many points do the cheapest changes come to, and how many buses are taken in "
    "the end? If nothing has to change, or no change helps, type 0 for the points and the buses as they were asked "
    "for.",
    parts=(THE_VERDICT, "points", "buses"),
    count=least,
    workings=_change_workings,
    slips=_change_misread,
    nudge="Count the buses as asked. Then list what may be changed, the cheapest first, and stop as soon as it fits.",
)

TOPICS = (
    count_topic("monitor mixes", MONITOR_MIXES, least_slips=5),
    count_topic("bus pairs", BUS_PAIRS, least_slips=4),
    count_topic("talkback", TALKBACK, least_slips=1),
    count_topic("will it fit", WILL_IT_FIT, least_slips=3),
    count_topic("least change", LEAST_CHANGE, least_slips=2),
)
