"""What a trainee is told about a whole gig: its marks part by part, and the way to what went wrong."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from gigsums.whole_gigs.marking import WholeMarking
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import Block

from .overview import Marked

_WIDTH = 78
_DEEP = "    "


def gig_feedback(n: int, job: WholeGig, marked: Marked, said: object) -> list[str]:
    """One question that is a whole gig, line by line."""
    lines = wrapped(f"{job.title}, a whole gig", f"{n:2}. ")
    if marked.worth is None:
        return [*lines, *held_back(marked)]
    if not isinstance(said, WholeMarking):
        return [*lines, f"{_DEEP}You wrote nothing.", *_way(job, None)]
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


def held_back(marked: Marked) -> list[str]:
    """What is told of an answer that has no mark yet: why, and nothing of what is right."""
    return wrapped(f"Pending: {marked.why}. It has no mark yet; the way to it is told with the mark.", _DEEP)


def _each(texts: Iterable[str], deep: str = _DEEP) -> list[str]:
    return [line for text in texts for line in wrapped(text, f"{deep}- ")]


def _way(job: WholeGig, said: WholeMarking | None) -> Iterator[str]:
    """The key, for what did not earn everything."""
    parts = list(_missed(job, said))
    if parts:
        yield f"{_DEEP}The way:"
    for block in parts:
        yield from wrapped(f"{block.title}{f': {block.answer}' if block.answer else ''}.", f"{_DEEP}  ")
        yield from _each((*block.lines, *_rows(block)), f"{_DEEP}  ")


def _missed(job: WholeGig, said: WholeMarking | None) -> Iterator[Block]:
    """The blocks of the key that somebody has to read who answered so; all of them where nothing was answered."""
    for block in job.key_blocks():
        if said is None:
            yield block
        elif block.title == "Counts":
            if wrong := [one.label for one in said.counts if not one.good]:
                yield _counts(block, wrong)
        elif any(message.startswith(_begins(block)) for message in _document(said)) or _lost(block, said):
            yield block


def _counts(block: Block, wrong: Sequence[str]) -> Block:
    """Only the counts that were not right, each with its reason and its number."""
    lines = tuple(line for line in block.lines if line.partition(": ")[0] in wrong)
    told = {line.partition(": ")[0] for line in lines}
    rest = tuple(f"{row[0]}: {row[1]}" for row in block.rows if row[0] in wrong and row[0] not in told)
    return Block("Counts", lines=(*lines, *rest))


def _document(said: WholeMarking) -> tuple[str, ...]:
    return said.section("document").messages


def _begins(block: Block) -> tuple[str, ...]:
    """How what is said about a block of the document begins."""
    if block.title == "Input list":
        return ("Input list", "The input list")
    kind, _, key = block.title.partition(": ")
    return (f"{kind}, {key}:",) if key else ("\0",)


def _lost(block: Block, said: WholeMarking) -> bool:
    name = {"Verdict": "verdict", "Changes": "remedies", "Placement": "allocation"}.get(block.title)
    return name is not None and said.section(name).marks < said.section(name).out_of


def _rows(block: Block) -> Iterator[str]:
    """The rows of a table as an engineer would say them."""
    for row in block.rows:
        if block.title == "Placement":
            what, on, at, number, tap = row
            yield f"{what}: {on} {number} at the {at}{f', {tap}' if tap else ''}"
        elif block.title == "Input list":
            channel, source, by, phantom, at = row
            yield f"{channel}: {source}, {by}, {'phantom' if phantom == 'yes' else 'no phantom'}, {at}"


def wrapped(text: str, first: str) -> list[str]:
    """A text in lines that fit a terminal, the first of them begun with something."""
    plain = " ".join("".join(each if each.isprintable() else " " for each in text).split())
    return textwrap.wrap(plain, _WIDTH, initial_indent=first, subsequent_indent=" " * len(first)) or [first]
