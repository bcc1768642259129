"""What a problem is: plain frozen values, so that it can be shown, printed, kept and marked anywhere."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from gigsums.quantities import Kind, show

from .wording import singular

Value = int | float | str
Values = tuple[Value, ...]


@dataclass(frozen=True)
class Part:
    """One thing asked for: a count, one of some choices, or a quantity.

    Attributes
    ----------
    value : int, float or str
        What is right [base unit of the kind].
    kind : Kind or None
        How a quantity is typed and shown; None for a count or a choice.
    name : str
        What the number counts ("mixes"); it may be typed beside the number.
    given_in : str
        Unit of a bare number, and the one it is shown in; the base unit if left out.
    absolute, share : float
        The tolerance: so much either way [base unit], or so much of the value, whichever is more. Where a share is
        set, three figures are asked for, and what is rounded to them is within the tolerance too.
    choices : tuple of str
        What may be typed where one of several words is wanted.
    """

    value: Value
    kind: Kind | None = None
    name: str = ""
    absolute: float = 0.0
    share: float = 0.0
    choices: tuple[str, ...] = ()
    given_in: str = ""

    @property
    def unit(self) -> str:
        """Unit of the value and of the tolerance; a count's is what it counts."""
        return self.kind.base.name if self.kind else self.name

    @property
    def typed_in(self) -> str:
        """Unit of a bare number."""
        return self.given_in or self.unit

    @property
    def tolerance(self) -> float:
        """How far off the value is still right [unit of the value]."""
        return self.tolerance_at(self.value)

    def tolerance_at(self, value: Value) -> float:
        """The tolerance round another value, such as the one a slip leads to [unit of the value]."""
        if isinstance(value, str):
            return 0.0
        return max(self.absolute, self.share * abs(value), self.step_at(value) / 2 if self.share else 0.0)

    def step_at(self, value: Value) -> float:
        """How finely a value has to be told [unit of the value]: a step that rounds within the tolerance, 0 for counts."""
        if self.share and value and not isinstance(value, str):
            return 10.0 ** (math.floor(math.log10(abs(value))) - 2)
        if not self.absolute:
            return 0.0
        factor = self.kind.unit(self.given_in or None).factor if self.kind else 1.0
        return factor * 10.0 ** math.floor(math.log10(2.001 * self.absolute / factor))

    def rounded(self, value: Value) -> Value:
        """A value as somebody tells it who rounds to what is asked for."""
        step = self.step_at(value)
        return value if isinstance(value, str) or not step else step * round(value / step)

    def near(self, given: Value, value: Value, times: float = 1.0) -> bool:
        """Whether `given` lies within so many tolerances of `value`."""
        if isinstance(given, str) or isinstance(value, str):
            return given == value
        return abs(given - value) <= times * self.tolerance_at(value) * (1 + 1e-9)

    def show(self, value: Value) -> str:
        """A value of this part as a person would write it."""
        if self.kind and not isinstance(value, str):
            return show(value, self.kind, self.given_in or None)
        if self.choices:
            return str(value)
        return f"{value} {singular(self.name) if value == 1 else self.name}".strip()


@dataclass(frozen=True)
class RightAnswer:
    """What is right, in one part or in several."""

    parts: tuple[Part, ...]

    @property
    def values(self) -> Values:
        """The value of each part."""
        return tuple(part.value for part in self.parts)

    @property
    def value(self) -> Value | Values:
        """The value; a tuple of them where the answer has several parts."""
        return self.values if len(self.parts) > 1 else self.values[0]

    @property
    def unit(self) -> str:
        """The unit; the parts' units with commas between where there are several."""
        return ", ".join(part.unit for part in self.parts)

    @property
    def tolerance(self) -> float | tuple[float, ...]:
        """How far off is still right [unit of the value]; a tuple where there are several parts."""
        each = tuple(part.tolerance for part in self.parts)
        return each if len(each) > 1 else each[0]

    def near(self, given: Values, values: Values, times: float = 1.0) -> bool:
        """Whether every part of `given` lies within so many tolerances of `values`."""
        return all(part.near(g, v, times) for part, g, v in zip(self.parts, given, values, strict=True))

    def reaches(self, noted: Values, given: Values) -> bool:
        """Whether `given` is as good as an approximation: near it, or between it and what is right.

        One across nought says the same with the other sign; between the two lies nothing that is right.
        """
        if self.near(given, noted):
            return True
        between = zip(self.values, given, noted, strict=True)
        return all(
            not isinstance(right, str) and not isinstance(value, str) and not isinstance(far, str)
            and right * far > 0 and min(right, far) <= value <= max(right, far)
            for right, value, far in between
        )  # fmt: skip

    def rounded(self, values: Values) -> Values:
        """Values as somebody tells them who rounds to what is asked for."""
        return tuple(part.rounded(value) for part, value in zip(self.parts, values, strict=True))

    def passes(self, given: Values, notes: Iterable[Accepted] = ()) -> bool:
        """Whether `given` is right, with or without one of the notes."""
        return self.near(given, self.values) or any(self.reaches(note.values, given) for note in notes)

    def show(self, values: Values | None = None) -> str:
        """The answer, or other values in its place, as a person would type it."""
        each = self.values if values is None else values
        between = "; " if any(part.kind or part.choices for part in self.parts) else ", "
        return between.join(part.show(value) for part, value in zip(self.parts, each, strict=True))

    def __str__(self) -> str:
        return self.show()


@dataclass(frozen=True)
class NamedSlip:
    """A mistake people really make, the value that it leads to, and a hint at the mistake, not at the answer."""

    name: str
    values: Values
    hint: str


@dataclass(frozen=True)
class Accepted:
    """An approximation that can be defended: right, with a word about what it leaves out, and so is all that is nearer."""

    name: str
    values: Values
    text: str


@dataclass(frozen=True, kw_only=True)
class Draft:
    """What a topic makes of a draw: everything about a problem but which one it is.

    What is `shown` may still hold a gig or a desk here; a problem has it as plain values.
    """

    shown: Mapping[str, Any]
    scene: str
    question: str
    answer: RightAnswer
    workings: tuple[str, ...]
    slips: tuple[NamedSlip, ...]
    facts: tuple[str, ...] = ()
    notes: tuple[Accepted, ...] = ()
    nudge: str = ""
    caution: str = ""


@dataclass(frozen=True, kw_only=True)
class Problem(Draft):
    """One problem to solve.

    Attributes
    ----------
    topic, version, seed, level
        Which problem it is: topic and its version, the seed it was drawn from, difficulty 1 to 3.
    shown : mapping
        The values shown, rounded as shown; the answer is computed from these.
    scene, facts, question : str, tuple of str, str
        What the trainee reads: where and what, the facts one by one, what is asked.
    answer : RightAnswer
        The value with its unit and tolerance.
    workings : tuple of str
        The way to the answer, line by line; the last line ends at the answer.
    slips : tuple of NamedSlip
        Named mistakes, each far enough from the answer and from the others to be told apart.
    notes : tuple of Accepted
        Values that are right with a note.
    nudge : str
        Said when the answer is wrong in no known way.
    caution : str
        Said beside the problem where the real thing can hurt.
    """

    topic: str
    version: int
    seed: str
    level: int
    wanted: str = field(default="")

    @property
    def id(self) -> str:
        """Names this very problem: topic, version, level and seed."""
        return f"{self.topic} v{self.version} level {self.level} seed {self.seed}"

    def text(self) -> str:
        """The problem as plain text."""
        lines = [self.scene, *(f"- {fact}" for fact in self.facts), self.question, f"Type {self.wanted}."]
        return "\n".join([*lines, *([self.caution] if self.caution else [])])

    def __str__(self) -> str:
        return self.text()


def clear_slips(draft: Draft) -> tuple[NamedSlip, ...]:
    """The slips that can be told apart: farther than twice the tolerance from what is right and from each other.

    Of two slips that lead to much the same value both go, as nobody could say which one was made.
    """
    answer, near = draft.answer, draft.answer.near
    settled = [answer.values, *(note.values for note in draft.notes)]

    def alike(one: Values, other: Values) -> bool:
        return near(one, other, 2) or near(other, one, 2)

    apart = [
        slip
        for slip in draft.slips
        if not answer.passes(slip.values, draft.notes)
        and not any(alike(slip.values, value) for value in settled)
    ]
    return tuple(
        slip
        for slip in apart
        if not any(other is not slip and alike(slip.values, other.values) for other in apart)
    )


def passing_slips(draft: Draft) -> int:
    """How many slips would be taken for right, as they are or rounded to what is asked for."""
    answer = draft.answer
    return sum(
        any(answer.passes(values, draft.notes) for values in (slip.values, answer.rounded(slip.values)))
        for slip in draft.slips
    )
