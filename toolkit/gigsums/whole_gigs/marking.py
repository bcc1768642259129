"""A whole-gig problem marked: sections, what was carried forward, what is dangerous, and the cap that goes with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gigsums.practice.safety import dangers_in
from gigsums.practice.wording import as_markdown, bullets, short

from .answers import Given, read_answers
from .counts import BLANK, CARRIED, RIGHT, WRONG, CountMark, carried_note, mark_counts, unknown_labels
from .dangers import Flag, dangers
from .document import mark_inputs, mark_safety
from .parts import Part, Slipped, mark_changes, mark_placement, mark_verdict
from .rules import SECTIONS

if TYPE_CHECKING:
    from .problem import WholeGig

NOTHING = "nothing to answer here, so its marks went to the others"
MOST_SAID = 60
"""Lines of one kind that an answer is told."""
UNSEEN = "A person has to look at this before the marks stand"


@dataclass(frozen=True)
class SectionMark:
    """One section as it was marked.

    Attributes
    ----------
    name : str
        ``"counts"``, ``"allocation"``, ``"verdict"``, ``"remedies"`` or ``"document"``.
    marks, out_of : float
        What it earned, and what it could; 0 out of 0 where the problem has nothing to ask there.
    messages : tuple of str
        What to tell whoever answered.
    carried : bool
        Whether part of it is right only by what was counted before.
    """

    name: str
    marks: float
    out_of: float
    messages: tuple[str, ...] = ()
    carried: bool = False

    def heading(self) -> str:
        """The section's name with its marks."""
        marks = f"{self.marks:g} of {self.out_of:g}" if self.out_of else NOTHING
        return f"{SECTIONS[self.name]}: {marks}"


@dataclass(frozen=True, repr=False)
class WholeMarking:
    """What the answer to a whole-gig problem is worth, and what to say about it.

    Attributes
    ----------
    title : str
        The problem's title.
    sections : tuple of SectionMark
        Marks section by section.
    counts : tuple of CountMark
        Every count as it was marked.
    flags : tuple of Flag
        What a person has to look at.
    malformed : tuple of str
        What could not be read; the rest was marked all the same.
    earned : float
        The marks of all sections together, before any cap.
    cap : float or None
        The most that may be given until a person has looked; None where nothing is dangerous.
    slips : tuple of Slipped
        Where it went wrong, in words that are the same for everybody who went wrong there.
    """

    title: str
    sections: tuple[SectionMark, ...]
    counts: tuple[CountMark, ...]
    flags: tuple[Flag, ...]
    malformed: tuple[str, ...]
    earned: float
    cap: float | None
    slips: tuple[Slipped, ...] = ()

    @property
    def total(self) -> float:
        """The marks given."""
        return self.earned if self.cap is None else min(self.earned, self.cap)

    @property
    def out_of(self) -> float:
        """The marks that could be earned."""
        return round(sum(section.out_of for section in self.sections), 1)

    @property
    def capped(self) -> bool:
        """Whether something dangerous was answered, so that the marks are capped until a person has looked."""
        return self.cap is not None

    @property
    def needs_review(self) -> bool:
        """Whether a person has to look at it."""
        return bool(self.flags)

    @property
    def carried(self) -> tuple[str, ...]:
        """What is right only by what was counted before."""
        named = tuple(one.label for one in self.counts if one.state == CARRIED)
        return (
            *named,
            *(section.name for section in self.sections if section.carried and section.name != "counts"),
        )

    @property
    def messages(self) -> tuple[str, ...]:
        """Everything to tell whoever answered, section by section."""
        said = [f"{SECTIONS[section.name]}: {line}" for section in self.sections for line in section.messages]
        return (*(f"Not read: {fault}" for fault in self.malformed), *said)

    def section(self, name: str) -> SectionMark:
        """One section by its name.

        Parameters
        ----------
        name : str
            The name.

        Returns
        -------
        SectionMark

        Raises
        ------
        KeyError
            If there is none of that name.
        """
        for section in self.sections:
            if section.name == name:
                return section
        raise KeyError(f"no section {name!r}; there are {', '.join(s.name for s in self.sections)}")

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON, with ``"format": 1``.

        Returns
        -------
        dict
        """
        return {
            "format": 1,
            "title": self.title,
            "total": self.total,
            "out_of": self.out_of,
            "earned": self.earned,
            "capped": self.capped,
            "needs_review": self.needs_review,
            "sections": [vars(section) | {"messages": list(section.messages)} for section in self.sections],
            "counts": [dict(vars(count)) for count in self.counts],
            "carried": list(self.carried),
            "flags": [dict(vars(flag)) for flag in self.flags],
            "malformed": list(self.malformed),
            "slips": [dict(vars(slip)) for slip in self.slips],
        }

    def text(self) -> str:
        """The marking as plain text."""
        return "\n".join([self.title, f"  {self._sum()}", *self._flagged(), *self._lines()])

    def _sum(self) -> str:
        cap = f" (earned {self.earned:g}, capped)" if self.cap is not None and self.earned > self.cap else ""
        return f"{self.total:g} of {self.out_of:g} marks{cap}"

    def _flagged(self) -> list[str]:
        if not self.flags:
            return []
        most = f"; until then at most {self.cap:g}" if self.cap is not None else ""
        return [f"  {UNSEEN}{most}:", *(f"    - {flag.text()}" for flag in self.flags)]

    def _lines(self) -> Iterator[str]:
        yield from (f"  Not read: {fault}" for fault in self.malformed)
        for section in self.sections:
            yield f"  {section.heading()}"
            yield from (f"    - {line}" for line in section.messages)

    def __str__(self) -> str:
        return self.text()

    __repr__ = __str__

    def _repr_markdown_(self) -> str:
        parts = [f"**{as_markdown(self._sum())}**"]
        if self.flags:
            parts.append(
                f"**{as_markdown(self._flagged()[0].strip())}**\n\n{bullets(tuple(f.text() for f in self.flags))}"
            )
        if self.malformed:
            parts.append(f"Not read:\n\n{bullets(self.malformed)}")
        for section in self.sections:
            parts.append("\n\n".join(filter(None, (f"**{section.heading()}**", bullets(section.messages)))))
        return "\n\n".join(parts)


def mark_whole(problem: WholeGig, answers: Mapping[str, Any] | str | Path) -> WholeMarking:
    """Mark the answer to a whole-gig problem.

    Parameters
    ----------
    problem : WholeGig
        The problem answered.
    answers : mapping, str or Path
        The answer file, or its table. It is read as data; a part that cannot be read is named and the rest is
        marked.

    Returns
    -------
    WholeMarking

    Raises
    ------
    BadFile
        If the file as a whole cannot be read.
    """
    return mark_given(problem, read_answers(answers))


def mark_given(problem: WholeGig, given: Given) -> WholeMarking:
    """Mark an answer that has been read already.

    Parameters
    ----------
    problem : WholeGig
        The problem answered.
    given : Given
        What was answered.

    Returns
    -------
    WholeMarking
    """
    key, marks = problem.solution, problem.marks
    counts = mark_counts(problem.gig, key, given.counts, marks)
    changes, done = mark_changes(key, given, problem.gig, problem.desk, problem.at_hand, marks)
    placement = mark_placement(key, given, done, marks)
    inputs, safely = mark_inputs(given, problem.gig, done), mark_safety(given, problem.safety)
    parts = {
        "counts": _counted(problem, counts),
        "allocation": placement,
        "verdict": mark_verdict(key, given, counts, marks),
        "remedies": changes,
        "document": _together(inputs, safely, marks.safety / 100 if problem.safety else 0.0),
    }
    flags = dangers(problem.gig, given, problem.safety, dangers_in(*problem.files.safety))
    sections, earned = _worth(parts, {name: getattr(marks, name) for name in SECTIONS})
    cap = round(marks.danger / 100 * marks.total, 1) if any(flag.caps for flag in flags) else None
    return WholeMarking(
        problem.title, sections, counts, flags, _malformed(problem, given, counts), round(earned, 1), cap,
        tuple(slip for part in parts.values() for slip in part.slips),
    )  # fmt: skip


def _together(inputs: Part, safely: Part, part: float) -> Part:
    share = (1 - part) * inputs.share + part * safely.share
    said = (*inputs.messages, *safely.messages)
    return Part(share, said, slips=(*inputs.slips, *safely.slips))


def _counted(problem: WholeGig, counts: tuple[CountMark, ...]) -> Part:
    good = sum(one.good for one in counts)
    said = [
        f"{one.label}: {one.state if one.state != RIGHT else 'right, with a note'}{f'; {one.note}' if one.note else ''}."
        for one in counts
        if one.state not in (RIGHT, CARRIED, BLANK) or (one.state == RIGHT and one.note)
    ]
    blank = sum(one.state == BLANK for one in counts)
    said += [f"{blank} not answered."] if blank else []
    said += [carried_note(counts)] if carried_note(counts) else []
    carried = any(one.state == CARRIED for one in counts)
    rules = {row.label: row.reasons[0].rule for row in problem.solution.rows if row.reasons}
    slips = [
        Slipped(f"{one.label}: {one.note or 'counted otherwise'}", rules.get(one.label, ""))
        for one in counts
        if one.state == WRONG
    ]
    return Part(good / len(counts), tuple(said), True, carried, tuple(slips))


def _worth(parts: Mapping[str, Part], marks: Mapping[str, int]) -> tuple[tuple[SectionMark, ...], float]:
    """Marks for each section; those of a section with nothing to ask are spread over the others."""
    whole = sum(marks.values())
    asked = sum(marks[name] for name, part in parts.items() if part.counted)
    sections, earned = [], 0.0
    for name, part in parts.items():
        out_of = marks[name] * whole / asked if part.counted else 0.0
        earned += part.share * out_of
        sections.append(
            SectionMark(
                name, round(part.share * out_of, 1), round(out_of, 1), _first(part.messages), part.carried
            )
        )
    return tuple(sections), earned


def _malformed(problem: WholeGig, given: Given, counts: tuple[CountMark, ...]) -> tuple[str, ...]:
    strange = [
        f"counts: “{short(label)}” is not asked for here"
        for label in unknown_labels(problem.solution, given.counts)
    ]
    unread = [f"counts, {one.label}: {one.note}" for one in counts if one.state == "not read"]
    return _first((*given.faults, *strange, *unread))


def _first(lines: tuple[str, ...]) -> tuple[str, ...]:
    """As many lines as somebody reads, and how many more there are."""
    if len(lines) <= MOST_SAID:
        return lines
    return (*lines[:MOST_SAID], f"And {len(lines) - MOST_SAID} more.")
