"""What one cell of an answer to a whole gig may hold: a text, a name of several, a place, whole numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from gigsums.practice.marking import as_usual, in_figures
from gigsums.practice.wording import listed, short

MOST_ROWS = 2000
LONGEST = 200
MOST = 9999
MOST_NUMBERS = 256
"""Numbers that one cell may hold."""

ON = {
    "mic input": ("mic", "microphone input", "preamp", "mic inputs"),
    "line input": ("line", "line inputs"),
    "stereo input": ("stereo", "stereo inputs", "stereo channel"),
    "two-track return": ("two-track", "two track return"),
    "bus": ("aux", "buses"),
    "group": ("groups",),
    "matrix": ("matrices",),
    "output": ("outputs", "line output"),
    "record output": ("record", "record outputs"),
    "direct out": ("direct outs", "direct output"),
    "effects unit": ("effect", "effects", "effects units"),
    "track": ("tracks",),
}
TAPS = {
    "pre": ("before", "before the fader", "pre-fader"),
    "post": ("after", "after the fader", "post-fader"),
}
AT = ("stage", "desk", "remote")


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """The words of a text alone, in small letters: neither case nor punctuation tells two names apart."""
    return " ".join(re.findall(r"\w+", as_usual(text).casefold().replace("'", "")))


class Unreadable(ValueError):
    """One part that cannot be read, and why."""


def only(row: Mapping[str, Any], known: tuple[str, ...]) -> None:
    """Refuse a row that has a key besides the known ones."""
    for key in row:
        if key not in known:
            raise Unreadable(f"“{short(str(key))}” is not known here; known are {listed(known)}")


def text_of(value: Any) -> str:
    """A text, or a number as a text."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise Unreadable(f"{short(repr(value))} stands there; a text or a number is wanted")
    if isinstance(value, int) and abs(value) >= 10**LONGEST:
        raise Unreadable(f"a number of more than {LONGEST} digits stands there")
    text = value if isinstance(value, str) else f"{value:.15g}" if isinstance(value, float) else str(value)
    if len(text) > LONGEST:
        raise Unreadable(f"{len(text)} characters stand there; at most {LONGEST} are read")
    return text.strip()


def wanted(row: Mapping[str, Any], key: str) -> str:
    """The text of a cell that may not be empty."""
    text = text_of(row.get(key, ""))
    if not text:
        raise Unreadable(f"{key} is missing")
    return text


def names_in(value: Any) -> list[str]:
    """Texts in a list, or with commas between them."""
    if isinstance(value, str):
        value = [part for part in re.split(r"[,;\n]", value[: LONGEST * 10]) if part.strip()]
    if not isinstance(value, (list, tuple)) or len(value) > MOST_ROWS:
        raise Unreadable(f'{short(repr(value))} stands there; a list such as ["preamps (stage)"] is wanted')
    return [text for text in (text_of(one) for one in value) if text]


def place_of(row: Mapping[str, Any]) -> str:
    """Where something is; empty where nothing is said."""
    at = text_of(row.get("at", ""))
    return (
        one_of(
            at, {each: (f"on {each}", f"the {each}", f"on the {each}", f"at the {each}") for each in AT}, "at"
        )
        if at
        else ""
    )


def one_of(text: str, known: Mapping[str, tuple[str, ...]], key: str) -> str:
    """The one of several names that is meant."""
    for name, others in known.items():
        if plain(text) in map(plain, (name, *others)):
            return name
    raise Unreadable(f"{key}: “{short(text)}” stands there; allowed are {', '.join(known)}")


def numbers_of(value: Any, key: str) -> tuple[int, ...]:
    """Whole numbers: 3, [3, 4], "3, 4", "3 and 4" or "3-6"."""
    found: list[int] = []
    if isinstance(value, (list, tuple)):
        for one in value:
            _add(found, numbers_of(one, key), key)
        return tuple(found)
    if isinstance(value, bool) or not isinstance(value, (str, int)):
        raise Unreadable(f"{key}: {short(repr(value))} stands there; whole numbers in figures are wanted")
    if isinstance(value, int):
        value = str(value) if abs(value) <= MOST else "a long one"
    text = in_figures(as_usual(value).casefold().strip(" ."))
    if not text:
        return ()
    for piece in re.split(r"\s*(?:,|;|\band\b|\s)\s*", re.sub(r"\s*(?:-|–|\bto\b)\s*", "-", text[:LONGEST])):
        span = re.fullmatch(r"([0-9]{1,4})(?:-([0-9]{1,4}))?", piece, re.ASCII)
        if span is None:
            raise Unreadable(
                f"{key}: “{short(text)}” stands there; whole numbers in figures up to {MOST} are wanted"
            )
        first, last = int(span[1]), int(span[2] or span[1])
        if not first <= last < first + MOST_NUMBERS:
            raise Unreadable(f"{key}: “{short(text)}” counts backwards or too far")
        _add(found, range(first, last + 1), key)
    return tuple(found)


def _add(found: list[int], more: Sequence[int], key: str) -> None:
    if len(found) + len(more) > MOST_NUMBERS:
        raise Unreadable(f"{key}: more than {MOST_NUMBERS} numbers stand there")
    found += more
