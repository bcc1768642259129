"""Invented gigs for the sizing topics, drawn as the same frozen values that a gig file is read into."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Effect, Gig, Line, Mix, Performer, Source
from gigsums.gig.model import Evening
from gigsums.sizing.ledger import Need

from .bank import ACTS, EVENINGS, PEOPLE, PLACES
from .draws import Draw
from .wording import in_words, listed

PLAYERS = {1: (3, 5), 2: (4, 7), 3: (6, 12)}
"""Least and most players on the stage at each level."""

MOST_OF = {
    "voice": 3, "drums": 1, "bass": 1, "electric guitar": 2, "acoustic guitar": 2, "keys": 2, "fiddle": 2,
    "accordion": 1, "trumpet": 2, "saxophone": 2, "trombone": 1, "percussion": 1, "flute": 1,
}  # fmt: skip


def draw_players(draw: Draw, level: int) -> tuple[Performer, ...]:
    """Who is on the stage: a voice first, then a line-up of chance, most often with drums and bass."""
    count = draw.whole(*PLAYERS[level])
    stock = [plays for plays, most in MOST_OF.items() for _ in range(most)]
    stock.remove("voice")
    chosen = ["voice"]
    for plays in ("drums", "bass"):
        if draw.yes(3, 4):
            chosen.append(draw.pick(("bass", "bass", "double bass")) if plays == "bass" else plays)
            stock.remove(plays)
    chosen += draw.some(stock, count - len(chosen))
    names = draw.some(PEOPLE, count)
    return tuple(
        Performer(name, plays, sources=draw_sources(draw, level, plays))
        for name, plays in zip(names, chosen, strict=True)
    )


def draw_sources(draw: Draw, level: int, plays: str) -> tuple[Source, ...]:
    """What is picked up from one player."""
    sources = (
        _INSTRUMENTS[plays](draw, level) if plays in _INSTRUMENTS else [Source(plays.capitalize(), "mic")]
    )
    if plays not in ("voice", "drums", "trumpet", "saxophone", "trombone", "flute") and draw.yes(level, 6):
        sources = [*sources, Source("Vocal", "mic")]
    return tuple(sources)


def _voice(draw: Draw, level: int) -> list[Source]:
    return [Source("Vocal", "mic", radio=level > 1 and draw.yes(1, 4))]


def _drums(draw: Draw, level: int) -> list[Source]:
    kit = [Source("Kick", "mic"), Source("Snare", "mic")]
    if level > 1:
        kit += [Source("Hat", "mic")] * draw.whole(0, 1)
        kit += [Source("Toms", "mic", count=draw.whole(2, level + 1))]
    return [*kit, Source("Overheads", "mic", stereo=True)]


def _bass(draw: Draw, level: int) -> list[Source]:
    both = level > 1 and draw.yes(1, 3)
    return [Source("Bass", "DI"), *([Source("Bass amplifier", "mic")] if both else [])]


def _keys(draw: Draw, level: int) -> list[Source]:
    return [Source("Keys", "DI", stereo=draw.yes(2, 3))]


def _guitar(draw: Draw, level: int) -> list[Source]:
    return [Source("Guitar amplifier", "mic", count=2 if level > 2 and draw.yes(1, 3) else 1)]


def _one_di(draw: Draw, level: int) -> list[Source]:
    return [Source("Pickup", "DI")]


def _accordion(draw: Draw, level: int) -> list[Source]:
    return [Source("Accordion", "mic", stereo=draw.yes(1, 2))]


def _percussion(draw: Draw, level: int) -> list[Source]:
    return [Source("Hand drums", "mic", count=draw.whole(2, level + 1)), Source("Shakers", "mic")]


_INSTRUMENTS = {
    "voice": _voice, "drums": _drums, "bass": _bass, "keys": _keys, "electric guitar": _guitar,
    "acoustic guitar": _one_di, "double bass": _one_di, "accordion": _accordion, "percussion": _percussion,
}  # fmt: skip


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


def draw_lines(draw: Draw, level: int) -> tuple[Line, ...]:
    """What plays without a player."""
    lines = [Line("Walk-in music", stereo=True)]
    if level > 1 and draw.yes(1, 2):
        lines.append(Line("Laptop", stereo=True, by=draw.pick(("DI", "line")), at="stage"))
    if level > 2:
        lines += [Line("Film sound", stereo=draw.yes(1, 2))] * draw.whole(0, 1)
        lines += [Line("Click", by="DI", at="stage", to_mains=False)] * draw.whole(0, 1)
    return tuple(lines)


def draw_evening(draw: Draw) -> tuple[Evening, str]:
    """The name of the gig, and a sentence that sets the scene."""
    act, place = draw.pick(ACTS), draw.pick(PLACES)
    return Evening(name=f"{act} at {place}"), f"{act} play {draw.pick(EVENINGS)} at {place}."


def monitor_facts(gig: Gig) -> tuple[str, ...]:
    """Each monitor mix in a line, as a band would describe it: people and boxes, not mixes and buses."""
    plays = {player.name: player.plays for player in gig.performers}
    return tuple(_monitor_fact(mix, plays) for mix in gig.mixes)


def _monitor_fact(mix: Mix, plays: dict[str, str]) -> str:
    who = listed([f"{name} ({plays[name]})" for name in mix.listeners])
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
        return "A cue wedge for the engineer, with a mix of its own"
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


def in_mono(gig: Gig, *through: str) -> Gig:
    """The gig with those mixes in mono."""
    mixes = tuple(replace(mix, stereo=False) if mix.through in through else mix for mix in gig.mixes)
    return replace(gig, mixes=mixes)


def working(row: Need) -> str:
    """One line of workings: what is counted, by which rule, from what."""
    return f"{row.key.capitalize()} - {row.reason.text()}"
