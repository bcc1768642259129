"""Chance that is the same on every machine, and the invented names it draws from."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from decimal import Decimal
from typing import TypeVar

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
