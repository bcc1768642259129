"""What a trainee is told about a whole gig: its marks part by part, and the way to what went wrong."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ..whole_gigs.marking import SectionMark, WholeMarking
from ..whole_gigs.problem import WholeGig
from ..whole_gigs.sheet import Block
from .overview import Marked

_WIDTH = 78
_DEEP = "    "


def gig_feedback(n: int, job: WholeGig, marked: Marked, said: object) -> list[str]:
    """One question that is a whole gig, line by line."""
    lines = wrapped(f"{job.title}, a whole gig", f"{n:2}. ")
    if not isinstance(said, WholeMarking):
        lines += wrapped(f"{said}", _DEEP) if said else [f"{_DEEP}You wrote nothing."]
        return [*lines, *_way(job, None)]
    cap = f", capped; without the cap {said.earned:g}" if said.earned > said.total else ""
    lines += wrapped(f"{said.total:g} of {said.out_of:g} marks{cap}.", _DEEP)
    if said.flags:
        lines += wrapped("A person has to look at this before the marks stand:", _DEEP)
        lines += _each([flag.text() for flag in said.flags])
    if said.malformed:
        lines += [f"{_DEEP}Not read:", *_each(said.malformed)]
    for section in said.sections:
        if section.out_of or section.messages:
            lines += wrapped(f"{section.heading()}.", _DEEP)
            lines += _each(section.messages)
    return [*lines, *_way(job, said)]


def _each(texts: tuple[str, ...] | list[str]) -> list[str]:
    return [line for text in texts for line in wrapped(text, f"{_DEEP}- ")]


def _way(job: WholeGig, said: WholeMarking | None) -> Iterator[str]:
    """The key, for the parts that did not earn everything."""
    parts = list(_missed(job, said))
    if parts:
        yield f"{_DEEP}The way:"
    for block in parts:
        yield from wrapped(f"{block.title}{f': {block.answer}' if block.answer else ''}.", f"{_DEEP}  ")
        yield from _each(block.lines)
        yield from _each([_row(row) for row in block.rows])


def _missed(job: WholeGig, said: WholeMarking | None) -> Iterator[Block]:
    lost = {section.name for section in said.sections if _lost(section)} if said else set(SHOWN.values())
    for block in job.key_blocks():
        if SHOWN.get(block.title.partition(":")[0]) in lost:
            yield _counts(block, said) if block.title == "Counts" else block


SHOWN = {
    "Counts": "counts",
    "Verdict": "verdict",
    "Changes": "remedies",
    "Placement": "allocation",
    "Input list": "document",
    "Safe working": "document",
}
"""The section that each block of a key belongs to."""


def _lost(section: SectionMark) -> bool:
    return section.out_of > 0 and section.marks < section.out_of


def _counts(block: Block, said: WholeMarking | None) -> Block:
    """Only the counts that were not right, each with its reason and its number."""
    wrong = [one.label for one in said.counts if not one.good] if said else [row[0] for row in block.rows]
    lines = tuple(line for line in block.lines if line.partition(": ")[0] in wrong)
    told = {line.partition(": ")[0] for line in lines}
    rest = tuple(f"{row[0]}: {row[1]}" for row in block.rows if row[0] in wrong and row[0] not in told)
    return Block("Counts", lines=(*lines, *rest))


def _row(row: tuple[str, ...]) -> str:
    first, *others = row
    return f"{first}: {', '.join(cell for cell in others if cell)}"


def wrapped(text: str, first: str) -> list[str]:
    """A text in lines that fit a terminal, the first of them begun with something."""
    plain = " ".join("".join(each if each.isprintable() else " " for each in text).split())
    return textwrap.wrap(plain, _WIDTH, initial_indent=first, subsequent_indent=" " * len(first)) or [first]
