"""What a stage wants to hear itself on, drawn: monitor mixes and effects units."""

from __future__ import annotations

from gigsums.gig import Effect, Mix, Performer

from .drawing import Draw
from .wording import listed


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
