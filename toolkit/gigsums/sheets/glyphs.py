"""Which characters the font that travels with the package can print, and what is printed for the others."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

FONTS = Path(__file__).parent / "fonts"
FAMILY = "Source Sans 3"

LONGEST_WORD = 24
"""A longer word than this may be broken between any two characters, so that it stays in its box."""
MOST_NAMED = 50
"""Of the characters that the font lacks, so many are named in full, with where they stood."""
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[^\s\d]{1,4}(?:[\s.,;:)]|$))")


@cache
def printable() -> frozenset[str]:
    """Characters that every weight of the font has and that show: none that hides or turns the text about it."""
    from fontTools.ttLib import TTFont

    weights = [set(TTFont(path, lazy=True).getBestCmap()) for path in sorted(FONTS.glob("*.otf"))]
    both = map(chr, set.intersection(*weights))
    return frozenset(one for one in both if unicodedata.category(one) not in ("Cc", "Cf")) | {"\n"}


def named(character: str) -> str:
    """A character by its Unicode name, or by its number if it has no name."""
    return unicodedata.name(character, f"U+{ord(character):04X}")


def fit_to_print(data: Any) -> tuple[Any, tuple[str, ...]]:
    """The same data with every text fit to print, and what the font lacked.

    Parameters
    ----------
    data : mapping, sequence, str, number, bool or None
        What a template is given.

    Returns
    -------
    data
        A character that the font lacks stands as its name in brackets; a very long word can be broken, a
        number and its unit cannot be parted.
    tuple of str
        Each such character with its number and where it stood first, in the order of the data.
    """
    missing: dict[str, str] = {}
    done = _walk(data, "", missing)
    lines = [
        f"U+{ord(one):04X} {unicodedata.name(one, 'without a name')} in {at}" for one, at in missing.items()
    ]
    if len(lines) > MOST_NAMED:
        lines = [*lines[:MOST_NAMED], f"and {len(lines) - MOST_NAMED} other characters"]
    return done, tuple(lines)


def _walk(data: Any, where: str, missing: dict[str, str]) -> Any:
    if isinstance(data, str):
        return _text(data, where or "the text", missing)
    if isinstance(data, Mapping):
        return {
            key: _walk(each, f"{where}.{key}" if where else str(key), missing) for key, each in data.items()
        }
    if isinstance(data, Sequence):
        return [_walk(each, f"{where} {n}", missing) for n, each in enumerate(data, start=1)]
    return data


def _text(text: str, where: str, missing: dict[str, str]) -> str:
    plain = unicodedata.normalize("NFC", text).replace("\t", " ").replace("\r\n", "\n")
    if lacking := set(plain) - printable():
        for one in sorted(lacking, key=plain.index):
            missing.setdefault(one, where)
        plain = "".join(f"[{named(one)}]" if one in lacking else one for one in plain)
    plain = _NUMBER_AND_UNIT.sub("\u00a0", plain)
    if len(plain) <= LONGEST_WORD:
        return plain
    return " ".join("\u200b".join(word) if len(word) > LONGEST_WORD else word for word in plain.split(" "))
