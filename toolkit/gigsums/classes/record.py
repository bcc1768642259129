"""The tutor's record: what was issued to whom, whole, so that marking needs neither seed nor the topic as it is today.

One JSON value a line. The first is the head: the class and what was asked. Then comes each whole gig that was asked: the
texts of all its files, and the key as it was worked out that day. Each of the other lines is one trainee's sheet with its
problems: values drawn, topic and version, answer, tolerance, slips, notes and workings.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

from gigsums.gig.files import BadFile
from gigsums.practice.marking import NOTED, RIGHT, Marking, mark
from gigsums.practice.problems import Answer, Note, Part, Problem, Slip
from gigsums.practice.wording import short
from gigsums.quantities import Kind, Unit
from gigsums.whole_gigs.answers import Given
from gigsums.whole_gigs.files import Files
from gigsums.whole_gigs.marking import WholeMarking, mark_given
from gigsums.whole_gigs.problem import WholeGig, made_of

from .answers import text_print
from .chance import PSEUDONYM, VARIANT

FORMAT = 1
LONGEST_LINE = 8_000_000
_GIG_LINE = re.compile(r'\s*\{\s*"whole_gig"\s*:')


@dataclass(frozen=True)
class Form:
    """How one form of question is kept in the record, brought back, and marked.

    Attributes
    ----------
    kind : type
        What is kept.
    keep, restore : callable
        To plain values and back; the way back is given the whole gigs of the record.
    mark : callable
        Marks what was answered.
    worth : callable
        What a marking is worth, 0 to 1.
    solved : callable
        What is asked, the answer as text, and the way to it.
    key : callable
        The answer, if others can be compared with it.
    """

    kind: type
    keep: Callable[[Any], dict[str, Any]]
    restore: Callable[[Mapping[str, Any], Mapping[str, WholeGig]], Any]
    mark: Callable[[Any, Any], Any]
    worth: Callable[[Any], float]
    solved: Callable[[Any], tuple[str, str, tuple[str, ...]]]
    key: Callable[[Any], Answer | None]


@dataclass(frozen=True)
class Head:
    """What was issued, in general: the class, the sheet, and topic, level and skill of each question."""

    name: str
    title: str
    paper: str
    minutes: int
    about: str
    trainees: int
    questions: tuple[Mapping[str, Any], ...]

    @property
    def skills(self) -> tuple[str, ...]:
        """Every skill asked for, in the order of the sheet."""
        return tuple(dict.fromkeys(each["skill"] for each in self.questions))

    @property
    def whole_gigs(self) -> dict[int, str]:
        """Number of each question that is a whole gig, with the name that the record gives its texts."""
        return {n: each["whole_gig"] for n, each in enumerate(self.questions, start=1) if "whole_gig" in each}

    @property
    def topics(self) -> bool:
        """Whether there are questions besides whole gigs."""
        return len(self.whole_gigs) < len(self.questions)


@dataclass(frozen=True)
class Issued:
    """One trainee's sheet as it was issued."""

    trainee: str
    variant: str
    problems: tuple[Any, ...]
    forms: tuple[str, ...]
    texts: tuple[str, ...] = ()

    @property
    def whole_gigs(self) -> list[int]:
        """Numbers of the questions that are whole gigs."""
        return [n for n, each in enumerate(self.problems, start=1) if isinstance(each, WholeGig)]

    def solved(self, n: int) -> tuple[str, str, tuple[str, ...]]:
        """What one question asks, counted from 1, its answer, and the way to it."""
        return FORMS[self.forms[n - 1]].solved(self.problems[n - 1])

    def key(self, n: int) -> Answer | None:
        """The answer that other trainees' answers to a question can be compared with; None if it has no such answer."""
        return FORMS[self.forms[n - 1]].key(self.problems[n - 1])

    def mark(self, n: int, text: str) -> tuple[Marking, float]:
        """Mark the answer to one question, counted from 1, and say what that is worth, 0 to 1."""
        return self._marked(n, text)

    def mark_gig(self, n: int, given: Given) -> tuple[WholeMarking, float]:
        """The same for the answer to a whole gig."""
        return self._marked(n, given)

    def _marked(self, n: int, answer: Any) -> tuple[Any, float]:
        form = FORMS[self.forms[n - 1]]
        marking = form.mark(self.problems[n - 1], answer)
        return marking, form.worth(marking)

    def altered(self, prints: Mapping[int, str]) -> tuple[int, ...]:
        """Questions whose text in a returned notebook is not the one that was issued."""
        return tuple(n for n, issued in enumerate(self.texts, start=1) if prints.get(n, issued) != issued)


def keep_problem(problem: Problem) -> dict[str, Any]:
    """A problem as plain values; what stands at its default is left out."""
    return _plain(problem)


def restore_problem(kept: Mapping[str, Any]) -> Problem:
    """The problem of plain values."""
    parts = tuple(_part(each) for each in kept["answer"]["parts"])
    return Problem(
        **{
            key: kept[key]
            for key in ("shown", "scene", "question", "topic", "version", "seed", "level", "wanted")
        },
        **{key: kept.get(key, "") for key in ("nudge", "caution")},
        answer=Answer(parts),
        workings=tuple(kept["workings"]),
        facts=tuple(kept.get("facts", ())),
        slips=tuple(Slip(each["name"], tuple(each["values"]), each["hint"]) for each in kept["slips"]),
        notes=tuple(
            Note(each["name"], tuple(each["values"]), each["text"]) for each in kept.get("notes", ())
        ),
    )


def _part(kept: Mapping[str, Any]) -> Part:
    kind = kept.get("kind")
    if kind is not None:
        units = tuple(Unit(**unit | {"also": tuple(unit.get("also", ()))}) for unit in kind["units"])
        kind = Kind(**kind | {"units": units})
    return Part(**{**kept, "kind": kind, "choices": tuple(kept.get("choices", ()))})


def _plain(value: Any) -> Any:
    if isinstance(value, (tuple, list)):
        return [_plain(each) for each in value]
    if isinstance(value, (str, int, float)) or not is_dataclass(value):
        return value  # what is shown is plain already
    each = ((name, default, getattr(value, name)) for name, default in _fields(value.__class__))
    return {
        name: _plain(here)
        for name, default, here in each
        if type(here) is not type(default) or here != default
    }


@cache
def _fields(kind: Any) -> tuple[tuple[str, Any], ...]:
    """Name and default of each field of a dataclass."""
    return tuple((field.name, field.default) for field in fields(kind))


FORMS: dict[str, Form] = {
    "drawn": Form(
        Problem,
        keep_problem,
        lambda kept, gigs: restore_problem(kept),
        mark,
        lambda marking: 1.0 if marking.outcome in (RIGHT, NOTED) else 0.0,
        lambda problem: (problem.question, str(problem.answer), problem.workings),
        lambda problem: problem.answer,
    ),
    "whole gig": Form(
        WholeGig,
        lambda job: {"whole_gig": job.files.id},
        lambda kept, gigs: gigs[kept["whole_gig"]],
        mark_given,
        lambda marking: round(min(1.0, marking.total / marking.out_of), 4),
        lambda job: (f"{job.title}, a whole gig", job.solution.word, ()),
        lambda job: None,
    ),
}
"""Forms of question by the name that the record gives them."""


def head_line(head: Head) -> str:
    """The record's first line."""
    return _line({"format": FORMAT, **vars(head), "questions": list(head.questions)})


def gig_line(job: WholeGig) -> str:
    """The record's line for a whole gig: its files' texts, and the key of that day to hold a later one against."""
    return _line({"whole_gig": job.files.id, "files": job.files.as_json(), "key": in_short(job)})


def in_short(job: WholeGig) -> dict[str, Any]:
    """What of a whole gig's key decides marks: counts, verdict, and what the cheapest way costs."""
    key = job.solution
    return {
        "counts": {row.label: row.shown() for row in key.rows},
        "verdict": {"word": key.word, **{name: list(each) for name, each in key.lists.items()}},
        "points": key.answers[0].points if key.answers else None,
    }


def issued_line(trainee: str, variant: str, problems: Sequence[Any], texts: Sequence[str]) -> str:
    """The record's line for one sheet, with the text that each question was shown as."""
    kept = []
    for each in problems:
        name, form = next((name, form) for name, form in FORMS.items() if isinstance(each, form.kind))
        kept.append({"form": name, **form.keep(each)})
    prints = [text_print(text) for text in texts]
    return _line({"trainee": trainee, "variant": variant, "texts": prints, "problems": kept})


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n"


class Record:
    """A tutor's record on disk, read line by line.

    Parameters
    ----------
    path : str or Path
        The file.

    Raises
    ------
    BadFile
        If it is missing, or is no record that this version reads.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self.gigs: dict[str, WholeGig] = {}
        self.keys: dict[str, dict[str, Any]] = {}
        for first in self._lines():
            self.head = self._head(first)
            return
        raise BadFile(self.path.name, "", "the record is empty.", "Use the copy that handout wrote.")

    def _lines(self) -> Iterator[str]:
        try:
            with open(self.path, encoding="utf-8", newline="\n") as lines:
                while line := lines.readline(LONGEST_LINE):
                    yield line
        except FileNotFoundError:
            raise BadFile(
                str(self.path), "", "there is no such record.",
                "Say where the tutor's record is, with --record FILE; handout wrote it as tutor/record.jsonl.",
            ) from None  # fmt: skip
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise BadFile(short(str(self.path), 100), "", f"the record cannot be read ({why}).") from None

    def _head(self, line: str) -> Head:
        try:
            read = json.loads(line)
            stated = read.pop("format")
            if stated > FORMAT:
                raise BadFile(
                    self.path.name, "format", f"{stated} is newer than this workbook reads (up to {FORMAT}).",
                    "Update gigsums and try again.",
                )  # fmt: skip
            return Head(**read | {"questions": tuple(read["questions"])})
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            if isinstance(error, BadFile):
                raise
            raise BadFile(
                self.path.name,
                "line 1",
                "this is no record of what was issued.",
                "Use the file that handout wrote.",
            ) from None

    def __iter__(self) -> Iterator[Issued]:
        """Every sheet in the order it was issued.

        Raises
        ------
        BadFile
            If a line is damaged; it says which. If the record has another head by now, or ends too early.
        """
        sheets = 0
        for number, line in enumerate(self._lines(), start=1):
            if number == 1 and self._head(line) != self.head:
                raise BadFile(
                    str(self.path), "", "the class was handed out again in the meantime.", "Mark again."
                )
            if number > 1 and not self._takes_gig(number, line):
                yield self._issued(number, line)
                sheets += 1
        if sheets != self.head.trainees:
            raise BadFile(
                self.path.name, "", f"{sheets} sheets are in the record of {self.head.trainees} that were issued.",
                "Use an undamaged copy.",
            )  # fmt: skip

    def _takes_gig(self, number: int, line: str) -> bool:
        """Whether a line keeps a whole gig; it is made once and then known."""
        if not _GIG_LINE.match(line):
            return False
        try:
            read = json.loads(line)
            files = Files.from_json(read["files"])
            if files.id != read["whole_gig"]:
                raise ValueError
            self.gigs[files.id] = made_of(files)
            self.keys[files.id] = dict(read["key"])
        except BadFile as error:
            raise BadFile(
                self.path.name, f"line {number}", f"the whole gig that is kept there cannot be used any more ({error}).",
                "Mark it with the version of gigsums that handed it out.",
            ) from None  # fmt: skip
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise self._damaged(number) from None
        return True

    @property
    def whole_gigs(self) -> dict[int, WholeGig]:
        """Each whole gig by the number of its question, once the record has been read."""
        return {n: self.gigs[id_] for n, id_ in self.head.whole_gigs.items() if id_ in self.gigs}

    def changed(self) -> tuple[int, ...]:
        """Questions whose key is worked out otherwise today than on the day they were handed out."""
        return tuple(n for n, job in self.whole_gigs.items() if in_short(job) != self.keys[job.files.id])

    def _damaged(self, number: int) -> BadFile:
        return BadFile(
            self.path.name,
            f"line {number}",
            "this line of the record is damaged.",
            "Use an undamaged copy.",
        )

    def _issued(self, number: int, line: str) -> Issued:
        try:
            read = json.loads(line)
            forms = tuple(each.pop("form") for each in read["problems"])
            problems = tuple(
                FORMS[form].restore(each, self.gigs)
                for form, each in zip(forms, read["problems"], strict=True)
            )
            issued = Issued(read["trainee"], read["variant"], problems, forms, tuple(read["texts"]))
            whole = PSEUDONYM.fullmatch(issued.trainee) and VARIANT.fullmatch(issued.variant)
            if not whole or len(problems) != len(self.head.questions):
                raise ValueError
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise self._damaged(number) from None
        return issued
