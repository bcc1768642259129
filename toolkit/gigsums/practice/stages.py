"""Invented acts on invented stages: who plays, what is picked up from them, and what they hear themselves on."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Effect, Line, Mix, Performer, Source
from gigsums.gig.model import Evening

from .drawing import ACTS, EVENINGS, PEOPLE, PLACES, Draw
from .wording import listed

PLAYERS = {1: (3, 5), 2: (4, 7), 3: (6, 12)}
"""Least and most players on the stage at each level."""

MOST_OF = {
    "voice": 3, "drums": 1, "bass": 1, "electric guitar": 2, "acoustic guitar": 2, "keys": 2, "fiddle": 2,
    "accordion": 1, "trumpet": 2, "saxophone": 2, "trombone": 1, "percussion": 1, "flute": 1,
}  # fmt: skip
BUSY_MOUTHS = ("voice", "drums", "trumpet", "saxophone", "trombone", "flute")


def draw_evening(draw: Draw) -> tuple[Evening, str]:
    """The name of the gig, and a sentence that sets the scene."""
    act, place = draw.pick(ACTS), draw.pick(PLACES)
    return Evening(name=f"{act} at {place}"), f"{act} play {draw.pick(EVENINGS)} at {place}."


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
    return tuple(Performer(*each) for each in zip(draw.some(PEOPLE, count), chosen, strict=True))


def with_sources(draw: Draw, level: int, players: tuple[Performer, ...]) -> tuple[Performer, ...]:
    """The players with what is picked up from each."""
    return tuple(replace(player, sources=_sources(draw, level, player)) for player in players)


def _sources(draw: Draw, level: int, player: Performer) -> tuple[Source, ...]:
    found = _INSTRUMENTS.get(player.plays, _one_mic)(draw, level)
    if player.plays not in BUSY_MOUTHS and draw.yes(level, 6):
        found.append(Source("vocal", "mic"))
    own = [replace(s, name=s.name or player.plays) for s in found]
    return tuple(own if player.plays == "drums" else [replace(s, name=_of(player, s)) for s in own])


def _of(player: Performer, source: Source) -> str:
    return f"{player.name}'s {source.name}"


def _one_mic(draw: Draw, level: int) -> list[Source]:
    return [Source("", "mic")]


def _voice(draw: Draw, level: int) -> list[Source]:
    radio = level > 1 and draw.yes(1, 3)
    return [Source("vocal", "mic", radio=radio, level=draw.pick(("mic", "line")) if radio else None)]


def _drums(draw: Draw, level: int) -> list[Source]:
    kit = [Source("kick", "mic"), Source("snare", "mic")]
    if level > 1:
        kit += [Source("hat", "mic")] * draw.whole(0, 1)
        kit += [Source("toms", "mic", count=draw.whole(2, level + 1))]
    return [*kit, Source("overheads", "mic", stereo=True)]


def _bass(draw: Draw, level: int) -> list[Source]:
    both = level > 1 and draw.yes(1, 3)
    return [Source("bass", "DI"), *([Source("bass amplifier", "mic")] if both else [])]


def _keys(draw: Draw, level: int) -> list[Source]:
    return [Source("keys", "DI", stereo=draw.yes(2, 3))]


def _guitar(draw: Draw, level: int) -> list[Source]:
    return [Source("amplifier", "mic", count=2 if level > 2 and draw.yes(1, 3) else 1)]


def _one_di(draw: Draw, level: int) -> list[Source]:
    return [Source("", "DI")]


def _accordion(draw: Draw, level: int) -> list[Source]:
    return [Source("", "mic", stereo=draw.yes(1, 2))]


def _percussion(draw: Draw, level: int) -> list[Source]:
    return [Source("hand drums", "mic", count=draw.whole(2, level + 1)), Source("shakers", "mic")]


_INSTRUMENTS = {
    "voice": _voice, "drums": _drums, "bass": _bass, "keys": _keys, "electric guitar": _guitar,
    "acoustic guitar": _one_di, "double bass": _one_di, "accordion": _accordion, "percussion": _percussion,
}  # fmt: skip


def draw_lines(draw: Draw, level: int) -> tuple[Line, ...]:
    """What plays without a player."""
    lines = [Line("Walk-in music", "line", stereo=True)]
    if level > 1 and draw.yes(1, 2):
        lines.append(Line("Backing tracks", "DI", stereo=True))
    if level > 1 and draw.yes(1, 2):
        lines.append(Line("Film sound", "line", stereo=draw.yes(1, 2)))
    if level > 2 and draw.yes(1, 2):
        lines.append(Line("Announcement player", "line"))
    return tuple(lines)


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
