"""What leaves a desk: outputs by place, zones and feeds, equalisers on the way out, and effects out and home."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, Literal

from gigsums.gig import Desk, Effect, Feed, Gig, Inputs, Outputs, Reason, Zone
from gigsums.gig.desk import AboutDesk, DeskEffects, Matrices, MixBuses, Recording
from gigsums.gig.model import Distances, Kit, Mains
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import (
    RETURN_RULE,
    SEND_RULE,
    bus_need,
    output_ledgers,
    processing_ledgers,
    returns_on_channels,
    routes,
)
from gigsums.sizing.needs import Term, reason

from .. import drawing, misread
from ..drawing import Draw
from ..topic import Counting, Wrong, count_topic, draw_stage, ledgers, working
from ..wording import in_words, monitor_facts

Count = Callable[[Gig], Any]
MAINS: tuple[Literal["mono", "left and right", "left, centre and right"], ...] = (
    "mono",
    "left and right",
    "left, centre and right",
)
NEAR: dict[Literal["stage", "desk"], str] = {"stage": "on the stage", "desk": "at the desk"}
LINKED = "its amplifier is linked through from that of the mains"


def _width(thing: Zone | Feed | Effect) -> str:
    return "stereo" if thing.stereo else "mono"


def _in_mono(things: Iterable[Any]) -> tuple[Any, ...]:
    return tuple(replace(each, stereo=False) for each in things)


def _own_paths(gig: Gig) -> list[Zone]:
    return [zone for zone in gig.zones if zone.wants_own_path]


def _linked(gig: Gig) -> int:
    return sum(zone.width for zone in gig.zones if not zone.wants_own_path)


def _draw_outputs(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    gig = draw_stage(draw, level, gig, picked_up=False, heard=3)
    mains = Mains(draw.pick(MAINS) if level > 1 else "left and right")
    effects = drawing.draw_effects(draw, min(level, 2))
    zones = (
        Zone("Front fill", own_level=True) if draw.yes(1, 2) else None,
        Zone("Foyer", own_level=True, at="desk", stereo=level > 2 and draw.yes(1, 2))
        if level > 1 and draw.yes(1, 2)
        else None,
        Zone("Bar", fed_from="mains") if level > 1 and draw.yes(1, 2) else None,
        Zone("Hearing loop", own_level=True, equaliser=True, at=draw.pick(tuple(NEAR)))
        if level > 2 and draw.yes(1, 2)
        else None,
    )
    feeds = (
        Feed("Recording", stereo=True, recorded=level > 1 and draw.yes(1, 2)),
        Feed("Stream", stereo=True) if level > 1 and draw.yes(1, 2) else None,
        Feed("Press", stereo=False) if level > 2 and draw.yes(1, 2) else None,
    )
    inside = max(0, len(effects) - (draw.whole(0, 2) if level > 2 else 0))
    desk = Desk(
        AboutDesk("the house desk", "digital"),
        outputs=(Outputs("stage", 48), Outputs("desk", 48)),
        matrices=Matrices(12),
        effects=DeskEffects(inside),
        recording=Recording(2),
    )
    gig = replace(gig, zones=tuple(filter(None, zones)), feeds=tuple(filter(None, feeds)))
    return replace(gig, mains=mains, effects=effects), desk


def _output_facts(gig: Gig, desk: Desk) -> Iterable[str]:
    yield f"Mains: {gig.mains.outputs}"
    yield from monitor_facts(gig)
    for zone in gig.zones:
        own = f"{_width(zone)}, at a level of its own, the amplifier stands {NEAR['stage' if zone.at == 'stage' else 'desk']}"
        yield f"{zone.name}: {own if zone.wants_own_path else LINKED}"
    for feed in gig.feeds:
        where = "kept inside the desk" if feed.recorded else "on a machine beside the desk"
        yield f"{feed.name}: {_width(feed)}, {where}"
    for place, effect in enumerate(gig.effects):
        inside = place < desk.effects.count
        yield f"{effect.name}: {'made inside the desk' if inside else 'in a unit beside the desk, fed in mono'}"


def _outputs_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    stage, here = count(gig)
    inside = min(len(gig.effects), desk.effects.count)
    return (
        ("Everything taken from the stage", (stage + here, 0), "Some of these boxes stand beside the desk."),
        (
            "The two places swapped",
            (here, stage),
            "Mind the order, and where the monitors' amplifiers are.",
        ),
        (
            "Mains forgotten",
            (stage - gig.mains.width, here),
            "What the audience hears leaves by an output too.",
        ),
        (
            "A linked zone given an output",
            (stage + _linked(gig), here),
            "One of the zones follows another amplifier. Does the desk feed it?",
        ),
        (
            "A recording inside the desk given outputs",
            replace(gig, feeds=tuple(replace(feed, recorded=False) for feed in gig.feeds)),
            "What stays inside the desk needs no socket.",
        ),
        (
            "Effects inside the desk given outputs",
            (stage, here + inside),
            "What is made inside the desk needs no socket.",
        ),
        (
            "Sends to units beside the desk forgotten",
            (stage, here - (len(gig.effects) - inside)),
            "How does the sound get into an effect that the desk does not make itself?",
        ),
        (
            "Stereo feeds counted as one",
            replace(gig, feeds=_in_mono(gig.feeds)),
            "Left and right leave by two sockets.",
        ),
        misread.IN_EARS.slip(
            gig, count, "A stereo transmitter has two inputs.", name="In-ears counted as one output each"
        ),
        *misread.miscounts(
            gig,
            count,
            boxes=("An output for each box", "Boxes that play the same thing are linked behind one output."),
            people=("An output for each listener", "Some of them share a mix: how many cables leave for it?"),
        ),
    )


OUTPUTS_BY_PLACE = Counting(
    drawn=_draw_outputs,
    scene=lambda gig, desk: (
        "The desk is digital, with a stage box. Amplifiers and transmitters for the mains and the monitors are on the "
        "stage. This is what leaves it:"
    ),
    facts=_output_facts,
    question="How many output sockets are taken on the stage, and how many at the desk?",
    parts=("stage outputs", "desk outputs"),
    counted=(output_ledgers,),
    ledgers={"stage outputs": "outputs stage", "desk outputs": "outputs desk"},
    slips=_outputs_misread,
    nudge="One line at a time: does it need a cable of its own, one or two, and where does that cable begin?",
)

PARTIES = ("Remote caller", "Sign interpreter's studio")
LEAVING = ("matrices", "buses", "delays")
WHY_TAKEN = (
    "a zone with anything of its own takes a matrix for each channel while there are any",
    "what finds no matrix takes a bus for each channel, and so does every feed that leaves somebody out or carries "
    "speech alone",
    "a zone at a distance of its own takes a delay for each channel",
)


def _draw_leaving(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    def delay(own: int) -> Distances:
        return Distances(float(own + draw.whole(8, 30)), float(own))

    zones = [
        Zone("Front fill", own_level=True, stereo=draw.yes(1, 4)),
        Zone("Bar", fed_from="mains"),
        Zone("Back of hall", distance_m=delay(draw.whole(4, 8)), stereo=draw.yes(1, 3)),
        Zone("Hearing loop", own_level=True, equaliser=True),
        Zone("Under the balcony", distance_m=delay(draw.whole(3, 6)), stereo=draw.yes(1, 2)),
        Zone("Foyer", own_level=True, stereo=draw.yes(1, 3)),
        Zone("Second pair on the stage front", fed_from="mains", stereo=True),
        Zone("Yard", distance_m=delay(draw.whole(5, 9)), stereo=draw.yes(1, 2)),
    ]
    gig = replace(gig, zones=tuple(draw.some(zones, draw.whole(2, 3 + level))))
    parties = 2 if level > 2 and draw.yes(1, 2) else 1
    feeds = [
        Feed("Recording", stereo=True, recorded=draw.yes(1, 2)),
        Feed("Stream", stereo=True),
        Feed("Press", stereo=False),
        Feed("Interpreter's floor feed", carries="speech"),
        *(
            Feed(f"To the {name.casefold()}", without=(name,), stereo=draw.yes(1, 4))
            for name in PARTIES[:parties]
        ),
        Feed("Stream with a balance of its own", fed_from="own mix", stereo=True),
    ]
    gig = replace(gig, feeds=tuple(draw.some(feeds, draw.whole(1, 1 + level))))
    channels = sum(zone.width for zone in _own_paths(gig))
    desk = Desk(
        AboutDesk("the house desk", "digital"),
        outputs=(Outputs("desk", 64, delay_up_to_ms=500),),
        matrices=Matrices(draw.whole(max(1, channels - 1 - level), channels + 2)),
        recording=Recording(2),
    )
    return gig, desk


def _leaving_facts(gig: Gig, desk: Desk) -> Iterable[str]:
    for zone in gig.zones:
        told = f"{_width(zone)}, at a level of its own{', with an equaliser' if zone.equaliser else ''}"
        if zone.distance_m is not None:
            main, own = zone.distance_m.main, zone.distance_m.own
            told = f"{_width(zone)}; the same listener is {own:g} m from it and {main:g} m from the mains"
        yield f"{zone.name}: {told if zone.wants_own_path else LINKED}"
    for feed in gig.feeds:
        what = "kept inside the desk" if feed.recorded else "the balance of the hall"
        if feed.without:
            what = "everything but what comes from there"
        elif feed.carries == "speech":
            what = "speech and nothing else"
        elif feed.fed_from == "own mix":
            what = "not the balance of the hall"
        yield f"{feed.name}: {_width(feed)}, {what}"


def _taken(gig: Gig, desk: Desk) -> tuple[Reason, ...]:
    """Why zones and feeds take so many matrices, buses and delays on that desk."""
    ways = routes(gig, desk)
    delays = [("", zone.name, zone.width) for zone in _own_paths(gig) if zone.distance_m is not None]
    kinds = (ways.taking("matrix"), ways.taking("bus"), delays)
    return tuple(reason(rule, terms) for rule, terms in zip(WHY_TAKEN, kinds, strict=True))


def _leaving_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    matrices, buses, delays = count(gig)
    own = sum(zone.width for zone in _own_paths(gig))
    minus = sum(feed.width for feed in gig.feeds if feed.without)

    def as_mains(feed: Feed) -> Feed:
        return replace(feed, without=(), carries="everything", fed_from=None)

    return (
        (
            "Mono everywhere",
            replace(gig, zones=_in_mono(gig.zones), feeds=_in_mono(gig.feeds)),
            "Left and right are two signals here too.",
        ),
        (
            "A linked zone given a way of its own",
            replace(gig, zones=tuple(replace(z, fed_from="any", own_level=True) for z in gig.zones)),
            "One of the zones follows another amplifier. Does the desk feed it?",
        ),
        (
            "Somebody left out of a copy of the mains",
            replace(gig, feeds=tuple(as_mains(f) if f.without else f for f in gig.feeds)),
            "What does a caller hear who is sent the mains? Their own voice, a moment late.",
        ),
        (
            "Mixes that leave somebody out put on matrices",
            (matrices + minus, buses - minus, delays),
            "A matrix is made of the mains. Can it leave one voice out?",
        ),
        (
            "Every feed given a mix of its own",
            (matrices, buses + sum(f.width for f in gig.feeds if not f.own_mix and not f.recorded), delays),
            "What the hall hears is there already. Does a copy of it take a bus?",
        ),
        ("The matrices not counted down", (own, buses, delays), "How many matrices has this desk?"),
        (
            "What finds no matrix left out",
            (matrices, sum(f.width for f in gig.feeds if f.own_mix), delays),
            "A zone that finds no matrix still has to sound. What feeds it?",
        ),
        (
            "A delay for every zone",
            (matrices, buses, own),
            "Which zones are heard together with the mains by the same listener, and later?",
        ),
        (
            "A delay for the linked zones too",
            (matrices, buses, delays + _linked(gig)),
            "A zone that is linked through has no path of its own. Where would its delay be?",
        ),
        ("Delays forgotten", (matrices, buses, 0), "Who hears two loudspeakers, and which arrives first?"),
        (
            "One delay for a stereo zone",
            (matrices, buses, sum(zone.distance_m is not None for zone in _own_paths(gig))),
            "A delay belongs to an output. How many outputs has a stereo zone?",
        ),
    )


ZONES_AND_FEEDS = Counting(
    drawn=_draw_leaving,
    shown=lambda gig, desk: {"gig": gig, "matrices": desk.matrices.count},
    scene=lambda gig, desk: (
        f"The desk is digital. It has {desk.matrices.count} {'matrix' if desk.matrices.count == 1 else 'matrices'}, made "
        "of the mains, and buses enough. Zones are served in the order of the list and get a matrix for each channel as "
        "long as that many are left; whoever finds none is fed from buses. A copy of the mains can leave by any output "
        "and takes neither. A mix that the mains do not hold needs buses. Any output has a delay."
    ),
    facts=_leaving_facts,
    question="How many matrices, how many buses and how many delays do these zones and feeds take?",
    parts=LEAVING,
    reasons=_taken,
    slips=_leaving_misread,
    nudge="Ask of each line: is it the mains, only somewhere else? Or later, louder, or somebody missing?",
)


def _draw_equalised(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    players = drawing.draw_players(draw, level)
    own = draw.whole(0, 3) * 2
    mixes = drawing.draw_monitors(draw, level, players)
    zones = (
        Zone("Front fill", own_level=True, equaliser=draw.yes(2, 3))
        if level > 1 and draw.yes(1, 2)
        else None,
        Zone("Balcony", own_level=True, equaliser=draw.yes(2, 3), stereo=draw.yes(1, 2))
        if level > 2 and draw.yes(1, 2)
        else None,
    )
    inside = draw.whole(1, 4) * 2 if level > 1 and draw.yes(2, 3) else 0
    desk = Desk(
        AboutDesk("the house desk", "analogue"),
        outputs=(Outputs(line=inside, equaliser=True), Outputs(line=32)),
    )
    gig = replace(gig, mains=Mains("left and right"), zones=tuple(filter(None, zones)))
    return replace(gig, performers=players, mixes=mixes, kit=Kit(equalisers=own)), desk


def _equalisers(gig: Gig, desk: Desk) -> Ledger:
    return ledgers(gig, desk, processing_ledgers)["equalisers"]


def _to_find(gig: Gig, desk: Desk) -> tuple[int, int]:
    """Channels wanted, and channels to be brought."""
    row = _equalisers(gig, desk)
    return int(row.need), int(max(0, -row.margin))


def _equalised_workings(gig: Gig, desk: Desk) -> tuple[str, ...]:
    row = _equalisers(gig, desk)
    return (
        working("wanted", row.need, row.reasons[0]),
        f"To find: {max(0, -row.margin):g}. {row.need:g} wanted, {row.have:g} at hand in the desk and the van.",
    )


def _at_hand(gig: Gig, desk: Desk) -> str:
    inside, own = desk.outputs[0].line, gig.kit.equalisers
    have = (
        f"{inside} of the desk's outputs have an equaliser" if inside else "The desk has no output equalisers"
    )
    return f"{have}; {f'{own} channels of equaliser are in the van' if own else 'none is in the van'}"


def _equalised_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    wanted, _ = count(gig)
    have = int(_equalisers(gig, desk).have)
    bare = wanted - gig.mains.width
    return (
        *misread.miscounts(
            gig,
            count,
            boxes=(
                "An equaliser for each box",
                "Boxes that play the same thing hang on one output: where would the second equaliser go?",
            ),
            people=("An equaliser for each listener", "Some of them share a mix."),
        ),
        misread.IN_EARS.slip(
            gig,
            count,
            "Left and right pass through two channels of equaliser.",
            name="In-ears given one channel",
        ),
        ("Mains forgotten", (bare, max(0, bare - have)), "What does the audience listen to?"),
        (
            "Mains given one channel",
            (bare + 1, max(0, bare + 1 - have)),
            "Left and right are two signals.",
        ),
        (
            "Every zone equalised",
            replace(gig, zones=tuple(replace(zone, equaliser=True) for zone in gig.zones)),
            "Not every zone asks for it.",
        ),
        (
            "What is at hand left out",
            (wanted, wanted),
            "The first number is right. What do the desk and the van have already?",
        ),
        (
            "Only the van counted",
            (wanted, max(0, wanted - gig.kit.equalisers)),
            "The first number is right. Has the desk none of its own?",
        ),
    )


EQUALISER_CHANNELS = Counting(
    drawn=_draw_equalised,
    scene=lambda gig, desk: (
        "Every monitor mix and the mains are to be equalised on their way out, and so is any zone that asks for it. "
        f"{_at_hand(gig, desk)}."
    ),
    facts=lambda gig, desk: (
        "Mains: left and right",
        *monitor_facts(gig),
        *(
            f"{zone.name}: {_width(zone)}, {'to be equalised' if zone.equaliser else 'good as it is, without an equaliser'}"
            for zone in gig.zones
        ),
    ),
    question="How many equaliser channels are wanted, and how many must still be found?",
    parts=("wanted", "to find"),
    count=_to_find,
    workings=_equalised_workings,
    slips=_equalised_misread,
    nudge="An equaliser works on one signal. How many different signals leave for amplifiers?",
)

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
IN_EARS_TOO = " and in somebody's ears"
SENDS: dict[Literal["own", "takes a bus"], str] = {
    "own": "has a send of its own beside the buses",
    "takes a bus": "is fed from one of the buses",
}
RETURNS: dict[Literal["dedicated", "takes two channels"], str] = {
    "dedicated": "comes back on a return of its own",
    "takes two channels": "comes back on channels, two if it is stereo",
}


def _there_and_back(gig: Gig, desk: Desk) -> tuple[Reason, ...]:
    """Why so many buses, channels and outputs are taken."""
    ways = routes(gig, desk)
    beside: list[Term] = [(f"effect.{each.name}", each.name, 1) for each in ways.outboard]
    inside: list[Term] = [(f"effect.{each.name}", each.name, 1) for each in ways.inside]
    fed = reason(SEND_RULE, [*(inside if desk.effects.send == "takes a bus" else []), *beside])
    assert fed.result == bus_need(gig, desk, ways).total
    return (
        fed,
        reason(RETURN_RULE, returns_on_channels(gig, desk, ways)),
        reason("a unit beside the desk is fed by an output", beside),
    )


def _draw_effects(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    inside = DeskEffects(
        draw.whole(level - 1, level + 2),
        send=draw.pick(tuple(SENDS)) if level > 1 else "takes a bus",
        returns=draw.pick(tuple(RETURNS)),
        return_to="mains" if level > 2 and draw.yes(1, 2) else "everything",
    )
    about = AboutDesk("the house desk", "digital")
    wide = level > 2 and inside.return_to == "mains"
    effects = tuple(
        Effect(
            name,
            ("mains", "in-ears") if wide and draw.yes(1, 2) else ("mains",),
            stereo=level == 1 or draw.yes(2, 3),
        )
        for name in UNITS[: draw.whole(level, 2 * level + 2)]
    )
    desk = Desk(about, (Inputs(mic=32),), mix_buses=(MixBuses(24),), effects=inside)
    return replace(gig, effects=effects), desk


def _desk_in_words(gig: Gig, desk: Desk) -> str:
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


def _effects_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    buses, channels, outputs = count(gig)

    def on(**change: Any) -> Desk:
        return replace(desk, effects=replace(desk.effects, **change))

    other_send = "own" if desk.effects.send == "takes a bus" else "takes a bus"
    other_return = "dedicated" if desk.effects.returns == "takes two channels" else "takes two channels"
    return (
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
            (buses, channels, outputs + len(routes(gig, desk).inside)),
            "What is made inside needs no cable.",
        ),
        (
            "Every return counted as one channel",
            replace(gig, effects=_in_mono(gig.effects)),
            "Left and right come back on two.",
        ),
        (
            "Every return counted as stereo",
            replace(gig, effects=tuple(replace(each, stereo=True) for each in gig.effects)),
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


EFFECTS_ON_A_DESK = Counting(
    drawn=_draw_effects,
    scene=_desk_in_words,
    facts=lambda gig, desk: (
        f"{each.name}: {_width(each)}, in the mains{IN_EARS_TOO if len(each.heard_in) > 1 else ''}"
        for each in gig.effects
    ),
    question="What do the effects take altogether: how many buses, how many channels, how many outputs?",
    parts=("buses", "channels", "outputs"),
    reasons=_there_and_back,
    slips=_effects_misread,
    nudge="Follow the sound of each effect there and back: what carries it in, what brings it home?",
)

TOPICS = (
    count_topic("outputs by place", OUTPUTS_BY_PLACE, least_slips=5),
    count_topic("zones and feeds", ZONES_AND_FEEDS, least_slips=4),
    count_topic("equaliser channels", EQUALISER_CHANNELS, least_slips=4),
    count_topic("effects on a desk", EFFECTS_ON_A_DESK, least_slips=3),
)
