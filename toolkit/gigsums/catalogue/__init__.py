"""The calculators, each declared once as data. Add one by adding a declaration to the file of its topic."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from . import data, exposure, level, loads, microphones, rooms, time, tone
from .declaration import MOMENTS, Calculator, Choice, Input, Note, Result, Slip

__all__ = ["CATALOGUE", "MOMENTS", "Calculator", "Choice", "Input", "Note", "Result", "Slip", "find"]

_TOPICS = (time, level, microphones, tone, rooms, loads, exposure, data)
_ALL = tuple(each for topic in _TOPICS for each in topic.CALCULATORS)

CATALOGUE: Mapping[str, Calculator] = MappingProxyType({each.key: each for each in _ALL})


def find(text: str) -> list[Calculator]:
    """Calculators that a few typed letters point to.

    Parameters
    ----------
    text : str
        Letters of the key, the question or its other words; all of them for nothing typed.

    Returns
    -------
    list of Calculator
        Those in which every typed word begins some word, names that begin so first.

    Examples
    --------
    >>> [each.key for each in find("add lev")]
    ['adding levels']
    """
    typed = text.casefold().replace("-", " ").split()

    def begins(words: str) -> bool:
        there = words.casefold().replace("-", " ").split()
        return all(any(word.startswith(start) for word in there) for start in typed)

    matching = [each for each in _ALL if begins(f"{each.key} {each.question} {each.moment} {each.words}")]
    return sorted(matching, key=lambda each: not begins(each.key))
