"""The tutor's record: what was issued to whom, whole, so that marking needs neither seed nor the topic as it is today.

One JSON value a line. The first is the head: the class and what was asked. Each of the others is one trainee's sheet
with its problems: values drawn, topic and version, answer, tolerance, slips, notes and workings.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

from gigsums.gig.files import BadFile
from gigsums.quantities import Kind, Unit

from ..marking import NOTED, RIGHT, Marking, mark
from ..problems import Answer, Note, Part, Problem, Slip
from .answers import text_print
from .chance import PSEUDONYM, VARIANT

FORMAT = 1
LONGEST_LINE = 8_000_000


@dataclass(frozen=True)
class Form:
    """How one form of question is kept in the record, brought back, and marked.

    Attributes
    ----------
    kind : type
        What is kept.
    keep, restore : callable
        To plain values and back.
    mark : callable
        Marks a text.
    worth : callable
        What a marking is worth, 0 to 1.
    solved : callable
        What is asked, the answer as text, and the way to it.
    key : callable
        The answer, if others can be compared with it.
    """

    kind: type
    keep: Callable[[Any], dict[str, Any]]
    restore: Callable[[Mapping[str, Any]], Any]
    mark: Callable[[Any, str], Marking]
    worth: Callable[[Marking], float]
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


@dataclass(frozen=True)
class Issued:
    """One trainee's sheet as it was issued."""

    trainee: str
    variant: str
    problems: tuple[Any, ...]
    forms: tuple[str, ...]
    texts: tuple[str, ...] = ()

    def solved(self, n: int) -> tuple[str, str, tuple[str, ...]]:
        """What one question asks, counted from 1, its answer, and the way to it."""
        return FORMS[self.forms[n - 1]].solved(self.problems[n - 1])

    def key(self, n: int) -> Answer | None:
        """The answer that other trainees' answers to a question can be compared with; None if it has no such answer."""
        return FORMS[self.forms[n - 1]].key(self.problems[n - 1])

    def mark(self, n: int, text: str) -> tuple[Marking, float]:
        """Mark the answer to one question, counted from 1, and say what that is worth, 0 to 1."""
        form = FORMS[self.forms[n - 1]]
        marking = form.mark(self.problems[n - 1], text)
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
        restore_problem,
        mark,
        lambda marking: 1.0 if marking.outcome in (RIGHT, NOTED) else 0.0,
        lambda problem: (problem.question, str(problem.answer), problem.workings),
        lambda problem: problem.answer,
    ),
}
"""Forms of question by the name that the record gives them."""


def head_line(head: Head) -> str:
    """The record's first line."""
    return _line({"format": FORMAT, **vars(head), "questions": list(head.questions)})


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
        except (OSError, UnicodeDecodeError) as error:
            raise BadFile(str(self.path), "", f"the record cannot be read ({error}).") from None

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
            If a line is damaged; it says which.
        """
        for number, line in enumerate(self._lines(), start=1):
            if number > 1:
                yield self._issued(number, line)

    def _issued(self, number: int, line: str) -> Issued:
        try:
            read = json.loads(line)
            forms = tuple(each.pop("form") for each in read["problems"])
            problems = tuple(
                FORMS[form].restore(each) for form, each in zip(forms, read["problems"], strict=True)
            )
            issued = Issued(read["trainee"], read["variant"], problems, forms, tuple(read["texts"]))
            whole = PSEUDONYM.fullmatch(issued.trainee) and VARIANT.fullmatch(issued.variant)
            if not whole or len(problems) != len(self.head.questions):
                raise ValueError
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise BadFile(
                self.path.name,
                f"line {number}",
                "this line of the record is damaged.",
                "Use an undamaged copy.",
            ) from None
        return issued
