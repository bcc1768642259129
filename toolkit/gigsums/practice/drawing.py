"""Everything that is drawn by chance, the same on every machine: names, players, what is picked up and what they hear themselves on."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from gigsums.gig import Effect, Line, Mix, Performer, Source
from gigsums.gig.model import Evening

from .wording import listed

T = TypeVar("T")

LONGEST_SEED = 200
_SPAN = 1 << 64


class Draw:
    """A stream of draws that depends on its key and on nothing else.

    SHA-256 of the key and a counter gives the bits, whole numbers are made from them here. So a seed gives
    the same problem on every platform, in every Python and beside any other use of chance; the standard
    library's generators promise as much for `random()` only, and numpy's for no distribution at all.

    Parameters
    ----------
    *key : str or int
        What the stream is for: topic, version, seed, level.

    Examples
    --------
    >>> draw = Draw("example", 1)
    >>> [draw.whole(1, 6) for _ in range(8)] == [Draw("example", 1).whole(1, 6)] * 8
    False
    >>> Draw("example", 1).whole(1, 6) == Draw("example", 1).whole(1, 6)
    True
    """

    def __init__(self, *key: str | int) -> None:
        text = "\x1f".join(str(part) for part in key)
        self._key = hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
        self._block = 0
        self._bits: list[int] = []

    def _next(self) -> int:
        if not self._bits:
            block = hashlib.sha256(self._key + self._block.to_bytes(8, "big")).digest()
            self._bits = [int.from_bytes(block[i : i + 8], "big") for i in range(0, 32, 8)]
            self._block += 1
        return self._bits.pop(0)

    def whole(self, least: int, most: int) -> int:
        """A whole number from `least` to `most`, both included, each as likely as the next."""
        if most < least:
            raise ValueError(f"most is {most}; it may be {least} or more, as least is {least}")
        width = most - least + 1
        fair = _SPAN - _SPAN % width
        while (bits := self._next()) >= fair:
            pass
        return least + bits % width

    def step(self, least: float, most: float, step: float) -> float:
        """One of `least`, `least + step`, ... up to `most`, as the decimal number a person would write."""
        first, size = Decimal(str(least)), Decimal(str(step))
        return float(first + self.whole(0, int((Decimal(str(most)) - first) / size)) * size)

    def yes(self, chances: int, of: int) -> bool:
        """True in `chances` of `of` cases."""
        return self.whole(1, of) <= chances

    def pick(self, options: Sequence[T]) -> T:
        """One of the options."""
        return options[self.whole(0, len(options) - 1)]

    def some(self, options: Sequence[T], count: int) -> list[T]:
        """`count` different ones of the options, in an order of chance."""
        if count > len(options):
            raise ValueError(f"count is {count}; it may be {len(options)} or less, the number of options")
        left = list(options)
        return [left.pop(self.whole(0, len(left) - 1)) for _ in range(count)]


def seed_text(seed: object) -> str:
    """A seed as text; `11` and `"11"` are one seed, so that a seed can be typed at a command line."""
    if isinstance(seed, bool) or not isinstance(seed, (int, str)):
        raise ValueError(f"seed is {seed!r}; a whole number or a word is wanted")
    if isinstance(seed, int) and seed.bit_length() > 3 * LONGEST_SEED:
        raise ValueError(f"seed has more than {LONGEST_SEED} digits; it may have {LONGEST_SEED}")
    text = str(seed).strip()
    if not 0 < len(text) <= LONGEST_SEED:
        raise ValueError(f"seed has {len(text)} characters; it may have 1 to {LONGEST_SEED}")
    return text


PEOPLE = (
    "Abel", "Bettany", "Cass", "Delphy", "Edda", "Fenn", "Gwil", "Hesper", "Ilar", "Jenna", "Kerra", "Lune",
    "Merrin", "Nell", "Osric", "Pasco", "Quenby", "Rosen", "Sorrel", "Talan", "Una", "Verity", "Wyn", "Yara",
    "Zeb", "Ansel", "Bryn", "Corin", "Dorrie", "Elowen",
)  # fmt: skip

ACTS = (
    "The Damp Ledgers", "Ferrule and Wick", "Nine Hen Yard", "The Gatepost Committee", "Slow Turnip Club",
    "Marrow Lane Irregulars", "Half a Ladder", "The Unpaid Bells", "Bracket & Daughter", "Soft Hinges",
    "The Thursday Kettles", "Plumb Bob Union", "Mostly Wicker", "The Borrowed Vans", "Tin Pantry",
    "Left Boot Assembly",
)  # fmt: skip

PLACES = (
    "the Old Dye House", "Pattern Street Hall", "the Ropewalk Barn", "Hobbin Fold village hall",
    "the Lower Granary", "the Wharf Rooms", "the Hatmakers' Institute", "the Mill Loft",
    "the Beamhouse", "Cooper's Loft", "the Salt Office", "the Pavilion at Withy Green",
    "the Drill Shed", "Brindlow school hall", "the Bobbin Rooms", "Weir End sports hall",
)  # fmt: skip
"""All under a roof: rooms ring and have walls."""

GROUNDS = (
    "Tarrow Wharf", "Fennick Mill yard", "Withy fairground", "the Weir End meadow", "the Salt Office courtyard",
    "Hobbin Fold common", "Brindlow rectory garden", "the Ropewalk quay",
)  # fmt: skip
"""All under the sky: nothing reflects, and evenings grow cold."""

EVENINGS = (
    "a harvest supper", "a wedding party", "a benefit night", "a winter ceilidh", "an album launch",
    "a street party moved indoors", "a school reunion", "a club night", "a summer fair", "a birthday dance",
)  # fmt: skip


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
    picked_up = _PICKED_UP.get(player.plays)
    found = picked_up(draw, level) if picked_up else [Source("", "mic")]
    if player.plays not in BUSY_MOUTHS and draw.yes(level, 6):
        found.append(Source("vocal", "mic"))
    own = [replace(s, name=s.name or player.plays) for s in found]
    return tuple(own if player.plays == "drums" else [replace(s, name=_of(player, s)) for s in own])


def _of(player: Performer, source: Source) -> str:
    return f"{player.name}'s {source.name}"


def _drums(draw: Draw, level: int) -> list[Source]:
    kit = [Source("kick", "mic"), Source("snare", "mic")]
    if level > 1:
        kit += [Source("hat", "mic")] * draw.whole(0, 1)
        kit += [Source("toms", "mic", count=draw.whole(2, level + 1))]
    return [*kit, Source("overheads", "mic", stereo=True)]


def _voice(draw: Draw, level: int) -> list[Source]:
    radio = level > 1 and draw.yes(1, 3)
    return [Source("vocal", "mic", radio=radio, level=draw.pick(("mic", "line")) if radio else None)]


_PICKED_UP: dict[str, Callable[[Draw, int], list[Source]]] = {
    "voice": _voice,
    "drums": _drums,
    "bass": lambda draw, level: [
        Source("bass", "DI"),
        *([Source("bass amplifier", "mic")] if level > 1 and draw.yes(1, 3) else []),
    ],
    "double bass": lambda draw, level: [Source("", "DI")],
    "keys": lambda draw, level: [Source("keys", "DI", stereo=draw.yes(2, 3))],
    "electric guitar": lambda draw, level: [
        Source("amplifier", "mic", count=2 if level > 2 and draw.yes(1, 3) else 1)
    ],
    "acoustic guitar": lambda draw, level: [Source("", "DI")],
    "accordion": lambda draw, level: [Source("", "mic", stereo=draw.yes(1, 2))],
    "percussion": lambda draw, level: [
        Source("hand drums", "mic", count=draw.whole(2, level + 1)),
        Source("shakers", "mic"),
    ],
}
"""What is picked up from each; one microphone from anything else."""


def draw_lines(draw: Draw, level: int) -> tuple[Line, ...]:
    """What plays without a player."""
    lines = (
        Line("Walk-in music", "line", stereo=True),
        Line("Backing tracks", "DI", stereo=True) if level > 1 and draw.yes(1, 2) else None,
        Line("Film sound", "line", stereo=draw.yes(1, 2)) if level > 1 and draw.yes(1, 2) else None,
        Line("Announcement player", "line") if level > 2 and draw.yes(1, 2) else None,
    )
    return tuple(filter(None, lines))


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
    mixes = (
        Mix("Side fills", (), "side fill", stereo=draw.yes(1, 2), boxes=2) if draw.yes(1, 2) else None,
        Mix("Shaker", (drummers[0].name,), "shaker") if drummers and draw.yes(1, 3) else None,
        Mix("Cue", (), "cue") if draw.yes(1, 3) else None,
    )
    return list(filter(None, mixes))


def draw_effects(draw: Draw, level: int) -> tuple[Effect, ...]:
    """The effects units in use."""
    names = ("Reverb", "Delay", "Second reverb", "Chorus")
    return tuple(Effect(name) for name in names[: draw.whole(1, level + 1)])
