"""What a stage wants to hear itself on: monitor mixes drawn, told in words, and miscounted as people do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from gigsums.gig import Effect, Gig, Mix, Performer

from .drawing import Draw
from .problems import Values
from .wording import in_words, listed

Miscount = tuple[str, Values, str]
BOXES = (
    "Boxes counted, not mixes",
    "Boxes that play the same thing are linked: look again at who has more than one box.",
)
PEOPLE = (
    "People counted, not mixes",
    "Some of them share. What one mix plays, any number of people may hear.",
)
SHARED = (
    "Shared wedges counted as a mix each",
    "Those who share wedges are content with one balance. How many mixes is that, whatever the number of wedges?",
)
EITHER = (
    "Boxes or people counted, not mixes",
    "What one mix plays, any number of boxes may play and any number of people may hear.",
)


def draw_monitors(draw: Draw, level: int, players: tuple[Performer, ...]) -> tuple[Mix, ...]:
    """Monitor mixes for every player: of their own or shared, on wedges, in ears or from a drum fill."""
    waiting, mixes = list(players), []
    while waiting:
        share = 1
        if level > 1 and len(waiting) > 1 and draw.yes(1, 3):
            share = draw.whole(2, min(3, len(waiting)))
        group, waiting = waiting[:share], waiting[share:]
        mixes.append(_mix_for(draw, level, group))
    if level > 2:
        mixes += _stage_mixes(draw, [player for player in players if player.plays == "drums"])
    return tuple(mixes)


def _mix_for(draw: Draw, level: int, group: list[Performer]) -> Mix:
    names = tuple(player.name for player in group)
    name = listed(names)
    if level > 1 and len(group) == 1 and group[0].plays == "drums" and draw.yes(1, 2):
        return Mix(name, names, "drum fill", boxes=2, sub_send=level > 2 and draw.yes(1, 2))
    if draw.yes(2, 5):
        return Mix(name, names, "in-ears", stereo=draw.yes(3, 4) if level > 1 else True)
    boxes = max(len(group), draw.whole(1, 2)) if len(group) > 1 or draw.yes(1, 2) else 1
    return Mix(name, names, "wedge", boxes=boxes)


def _stage_mixes(draw: Draw, drummers: list[Performer]) -> list[Mix]:
    mixes = []
    if draw.yes(1, 2):
        mixes.append(Mix("Side fills", (), "side fill", stereo=draw.yes(1, 2), boxes=2))
    if drummers and draw.yes(1, 3):
        mixes.append(Mix("Shaker", (drummers[0].name,), "shaker"))
    if draw.yes(1, 3):
        mixes.append(Mix("Cue", (), "cue"))
    return mixes


def draw_effects(draw: Draw, level: int) -> tuple[Effect, ...]:
    """The effects units in use."""
    names = ("Reverb", "Delay", "Second reverb", "Chorus")
    return tuple(Effect(name) for name in names[: draw.whole(1, level + 1)])


def monitor_facts(gig: Gig) -> tuple[str, ...]:
    """Each monitor mix in a line, as a band would describe it: people and boxes, not mixes and buses."""
    plays = {one.name: "crew" for one in gig.crew.people}
    plays |= {player.name: player.plays for player in gig.performers}
    return tuple(_monitor_fact(mix, plays) for mix in gig.mixes)


def _monitor_fact(mix: Mix, plays: dict[str, str]) -> str:
    who = listed([f"{name} ({plays[name]})" if plays.get(name) else name for name in mix.listeners])
    together = len(mix.listeners) > 1
    boxes = in_words(mix.boxes)
    if mix.through == "in-ears":
        packs = f"{in_words(len(mix.listeners))} packs on one mix, " if together else ""
        return f"{who}: in-ears, {packs}in {'stereo' if mix.is_stereo else 'mono'}"
    if mix.through == "drum fill":
        sends = (
            "each with a send of its own"
            if mix.sub_send
            else "one send for both, split by the fill's own crossover"
        )
        return f"{who}: a drum fill of a top and a sub, {sends}"
    if mix.through == "side fill":
        return f"Side fills, {boxes} boxes, {'in stereo' if mix.is_stereo else 'both playing the same'}"
    if mix.through == "shaker":
        return f"{who}: a shaker under the stool as well, with a mix of its own"
    if mix.through == "cue":
        return "A cue wedge at the side of the stage, with a mix of its own"
    if together:
        all_ = "both" if len(mix.listeners) == 2 else "all"
        return f"{who}: {boxes} wedges between them, {all_} content with the same mix"
    return f"{who}: {boxes} wedge{'s' if mix.boxes > 1 else ''}"


def boxes_as_mixes(gig: Gig) -> Gig:
    """The gig of somebody who counts boxes: each box a mono mix of its own."""
    mixes: list[Mix] = []
    for mix in gig.mixes:
        if mix.boxes == 1:
            mixes.append(mix)
            continue
        single = replace(mix, boxes=1, stereo=False, sub_send=False)
        mixes += [replace(single, name=f"{mix.name}, box {n}") for n in range(1, mix.boxes + 1)]
    return replace(gig, mixes=tuple(mixes))


def people_as_mixes(gig: Gig) -> Gig:
    """The gig of somebody who gives everyone who shares a mix one of their own."""
    mixes: list[Mix] = []
    for mix in gig.mixes:
        if len(mix.listeners) < 2:
            mixes.append(mix)
        else:
            mixes += [replace(mix, name=name, listeners=(name,), boxes=1) for name in mix.listeners]
    return replace(gig, mixes=tuple(mixes))


def shared_wedges_as_mixes(gig: Gig) -> Gig:
    """The gig of somebody who gives everyone who shares wedges, but not packs, a mix of their own."""
    mixes: list[Mix] = []
    for mix in gig.mixes:
        if len(mix.listeners) < 2 or mix.through != "wedge":
            mixes.append(mix)
        else:
            mixes += [replace(mix, name=name, listeners=(name,), boxes=1) for name in mix.listeners]
    return replace(gig, mixes=tuple(mixes))


def miscounts(
    gig: Gig,
    count: Callable[[Gig], Values | None],
    boxes: tuple[str, str] = BOXES,
    people: tuple[str, str] = PEOPLE,
) -> tuple[Miscount, ...]:
    """The ways of counting boxes or people for mixes: name, what it comes to by `count`, hint.

    Where two of them come to the same it is one slip, under the name that fits what is on this stage: one slip
    for shared wedges, where these are all that could be miscounted.
    """
    by_box, by_head = count(boxes_as_mixes(gig)), count(people_as_mixes(gig))
    by_wedge = count(shared_wedges_as_mixes(gig)) if shared_wedges_as_mixes(gig) != gig else None
    found: list[tuple[tuple[str, str], Values | None]] = [(SHARED, by_wedge)]
    if by_box == by_head != by_wedge:
        found.append((EITHER, by_box))
    else:
        found += [(each, came) for each, came in ((boxes, by_box), (people, by_head)) if came != by_wedge]
    return tuple((name, came, hint) for (name, hint), came in found if came is not None)


def in_mono(gig: Gig, *through: str) -> Gig:
    """The gig with those mixes in mono."""
    mixes = tuple(replace(mix, stereo=False) if mix.through in through else mix for mix in gig.mixes)
    return replace(gig, mixes=mixes)
