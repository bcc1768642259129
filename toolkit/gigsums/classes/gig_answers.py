"""Answers to a whole gig as a trainee returns them: a TOML file, read as data and under limits like every other.

What it says is not kept while a class is marked, for it may be long: a file is looked at once to see whose it is, and read
again when its turn to be marked comes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile
from gigsums.gig.files import guarded
from gigsums.practice.wording import listed, short
from gigsums.whole_gigs.answers import LARGEST_BYTES, Given
from gigsums.whole_gigs.answers import read_answers as read_table

from .answers import (
    LONGEST_ANSWER,
    Answers,
    NotAnswers,
    lines,
    read_answers,
    read_plain,
    text_in,
)

MOST_QUESTION = 999
MOST_LEFT_OUT = 10
"""Lines that are no TOML and are left out; with more of them, or in a longer file, the whole is refused."""
_LONGEST_MENDED = 25_000
_ROW = re.compile(r"(\s*\{.*\})\s*")
_FRAME = re.compile(r"\s*(?:\[|\]|[A-Za-z]+\s*=\s*\[\s*$|\Z)")
_PARTS = re.compile(
    r"^[ \t]*\[(?:counts|verdict|changes|placement|inputs|safety)\][ \t]*(?:#.*)?\r?$", re.MULTILINE
)
_SHEET = re.compile(r"^[ \t]*\[answers\]", re.MULTILINE)


@dataclass(frozen=True)
class GigAnswers:
    """What one file says about itself; every text in it is from a stranger.

    Attributes
    ----------
    trainee, variant : str
        Whose it is and which sheet it answers, as the file states them; empty where it does not.
    class_name : str
        The class that the file states.
    question : int
        The question it answers; 0 where it does not say.
    print : str
        A fingerprint of what is answered, however it is laid out.
    blank : bool
        Whether nothing was answered.
    remarks : tuple of str
        What the tutor should know about the file.
    """

    trainee: str
    variant: str
    class_name: str
    question: int
    print: str
    blank: bool
    remarks: tuple[str, ...] = ()


def read_returned(path: Path) -> Answers | GigAnswers:
    """Read a returned file of either kind as data; `NotAnswers` if it is none."""
    try:
        raw = read_plain(path, LARGEST_BYTES) if path.suffix.casefold() == ".toml" else b""
    except NotAnswers:
        raw = b""
    return from_toml(raw)[0] if answers_a_gig(raw) else read_answers(path)


def read_again(path: Path, first: GigAnswers) -> Given:
    """What a file answers that was looked at before; `NotAnswers` if it says something else by now."""
    again, given = from_toml(read_plain(path, LARGEST_BYTES))
    if again != first:
        raise NotAnswers("it was changed while the class was marked; mark again")
    return given


def answers_a_gig(raw: bytes) -> bool:
    """Whether a file has the parts of an answer to a whole gig, and not those of a sheet."""
    try:
        text, _ = text_in(raw)
    except NotAnswers:
        return False
    return bool(_PARTS.search(text)) and not _SHEET.search(text)


def from_toml(raw: bytes) -> tuple[GigAnswers, Given]:
    """What a file says about itself, and what it answers; `NotAnswers` if it cannot be read as a whole."""
    text, remarks = text_in(raw)
    list(lines(text))  # refuses too many
    table, left_out = _table(text)
    given = read_table(table)
    blank = given == read_table({}) and not left_out
    if left_out:
        remarks = (*remarks, f"what is not TOML was left out: {'; '.join(left_out)}")
        given = replace(given, faults=(*left_out, *given.faults))
    named = {key: table.get(key) for key in ("trainee", "variant", "class")}
    stated = {
        key: each.strip()[:LONGEST_ANSWER] if isinstance(each, str) else "" for key, each in named.items()
    }
    odd = [key for key, each in named.items() if each is not None and not isinstance(each, str)]
    if odd:
        remarks = (*remarks, f"what stands under {listed(odd)} is no text")
    question = table.get("question")
    if isinstance(question, bool) or not isinstance(question, int) or not 0 < question <= MOST_QUESTION:
        question = 0
    answered = repr(replace(given, faults=()))
    return (
        GigAnswers(
            stated["trainee"], stated["variant"], stated["class"], question,
            sha256(answered.encode("utf-8", "replace")).hexdigest(), blank, remarks,
        ),
        given,
    )  # fmt: skip


def _table(text: str) -> tuple[dict[str, Any], list[str]]:
    """What a text says as TOML. A line that is none is left out and named, for a forgotten quote should not cost an hour."""
    every = text.replace("\r\n", "\n").split("\n")
    every = [f"{row[1]}," if (row := _ROW.fullmatch(line)) else line for line in every]
    left_out: list[str] = []
    while True:
        try:
            return guarded("\n".join(every), ""), left_out
        except BadFile as error:
            at = error.line - 1
            if (
                at < 0
                or _FRAME.match(every[at])
                or len(left_out) == MOST_LEFT_OUT
                or len(text) > _LONGEST_MENDED
            ):
                raise NotAnswers(
                    f"an answer to a whole gig that cannot be read: {short(error.problem.rstrip('.'), 90)}; mend it and mark again"
                ) from None
            left_out.append(f"line {at + 1}, “{short(every[at].strip())}”")
            every[at] = ""
