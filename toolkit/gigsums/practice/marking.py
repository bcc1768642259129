"""Marking one answer. What was typed is read as text and compared; nothing in it is ever run."""

from __future__ import annotations

import math
from dataclasses import dataclass
from numbers import Integral, Real

from gigsums.quantities import NotUnderstood, convert, show

from .problems import Answer, Part, Problem, Values
from .typed import COMMA, readings
from .typed import LONGEST as LONGEST
from .typed import as_usual as as_usual
from .typed import without_stop as without_stop
from .wording import as_markdown, bullets, in_words, sentence, short

MALFORMED, RIGHT, NOTED = "malformed", "right", "right with a note"
SLIP, WRONG = "named slip", "wrong"
OUTCOMES = (MALFORMED, RIGHT, NOTED, SLIP, WRONG)
_SAID = {
    MALFORMED: "Not an answer yet",
    RIGHT: "Right",
    NOTED: "Right, with a note",
    SLIP: "Not yet, and this is a slip many make",
    WRONG: "Not yet",
}

EXAMPLE = 90
NEARLY = 3
"""So many tolerances off, an answer is told that it is near."""
_BEST = (RIGHT, NOTED, SLIP, WRONG)


@dataclass(frozen=True, repr=False)
class Marking:
    """What an answer is worth, and what to say about it.

    Attributes
    ----------
    outcome : str
        One of `OUTCOMES`: malformed, right, right with a note, named slip, wrong.
    typed : str
        What was typed, shortened; treat it as text from a stranger.
    values : tuple or None
        What it was read as [the parts' units]; None where it is malformed.
    message : str
        What to tell whoever typed it.
    slip : str
        Name of the slip or of the approximation, empty for other outcomes.
    workings : tuple of str
        The way to the answer, given once it has been found.
    """

    outcome: str
    typed: str
    values: Values | None
    message: str
    slip: str = ""
    workings: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """Whether it is right, with or without a note."""
        return self.outcome in (RIGHT, NOTED)

    def __str__(self) -> str:
        return f"{self.outcome}: {self.message}"

    __repr__ = __str__

    def _repr_markdown_(self) -> str:
        said = f"**{_SAID[self.outcome]}.** {as_markdown(self.message)}"
        return f"{said}\n\n{bullets(self.workings)}" if self.workings else said


def mark(problem: Problem, text: str | float) -> Marking:
    """Mark one answer to a problem.

    Parameters
    ----------
    problem : Problem
        The problem answered.
    text : str or number
        What was typed: "74,8 ms", "12 ft", "4 mixes, 6 buses". A bare number is in the unit asked for.

    Returns
    -------
    Marking
        Outcome and message. Whatever the text is, it is read as text: malformed at worst, never an error.

    Examples
    --------
    >>> from gigsums.practice import problem
    >>> str(mark(problem("monitor mixes", 11), "plenty")).split(":")[0]
    'malformed'
    """
    typed = _as_text(text)
    try:
        each = readings(typed, problem.answer)
    except NotUnderstood as error:
        return Marking(MALFORMED, short(typed), None, f"{sentence(error.why)}. Type {problem.wanted}.")
    compared = [(values, *_compare(problem, values)) for values in each]
    values, outcome, slip, message = min(compared, key=lambda one: _BEST.index(one[1]))
    if outcome == WRONG and len(each) > 1:
        return Marking(MALFORMED, short(typed), None, f"{sentence(COMMA)}. Type {problem.wanted}.")
    workings = problem.workings if outcome in (RIGHT, NOTED) else ()
    return Marking(outcome, short(typed), values, message, slip, workings)


def _compare(problem: Problem, values: Values) -> tuple[str, str, str]:
    """What values are worth, whatever way they were typed: 85 and 85.0 are one answer."""
    answer = problem.answer
    if answer.near(values, answer.values):
        return RIGHT, "", f"Yes: {answer.show()}."
    for note in problem.notes:
        if answer.reaches(note.values, values):
            return NOTED, note.name, note.text
    for slip in problem.slips:
        if answer.near(values, slip.values):
            return SLIP, slip.name, f"{slip.name}. {slip.hint}"
    return _wrong(problem, values)


def _wrong(problem: Problem, values: Values) -> tuple[str, str, str]:
    answer = problem.answer
    if len(answer.parts) == 1 and answer.parts[0].kind and answer.near(values, answer.values, NEARLY):
        return WRONG, "", "Near, but not near enough: was something rounded on the way, or a little left out?"
    good = [
        part.name or "the number"
        for part, value in zip(answer.parts, values, strict=True)
        if part.near(value, part.value)
    ]
    half = f"Right so far: {' and '.join(good)}. The rest is not. " if good else ""
    return WRONG, "", f"{half}{problem.nudge or 'Go through it again, one step at a time.'}"


def _as_text(text: object) -> str:
    if isinstance(text, str):
        return text
    if isinstance(text, bool) or not isinstance(text, Real):
        return f"<{type(text).__name__}>"
    if isinstance(text, Integral):
        return str(int(text)) if abs(int(text)) < 10**LONGEST else "9" * (LONGEST + 1)
    value = float(text)
    if not math.isfinite(value) or abs(value) >= 1e15:
        return str(value)
    return f"{value:.9f}".rstrip("0").rstrip(".")


def wanted(answer: Answer) -> str:
    """What to type for an answer, in words and with an example.

    The example is the same whatever the answer is: one that avoided the answer would tell something about it.
    """
    if len(answer.parts) == 1:
        return f"{_wanted(answer.parts[0])}; for example {_example(answer.parts[0])}"
    names = ", then ".join(part.name for part in answer.parts)
    if all(part.kind is None and not part.choices for part in answer.parts):
        example = ", ".join(str(EXAMPLE + k) for k in range(len(answer.parts)))
        return f"{in_words(len(answer.parts))} whole numbers in figures: {names}; for example {example}"
    each = ", then ".join(
        f"{part.name} ({_wanted(part)})" if part.name else _wanted(part) for part in answer.parts
    )
    example = "; ".join(_example(part) for part in answer.parts)
    return f"{in_words(len(answer.parts))} things with a semicolon between: {each}; for example {example}"


def _wanted(part: Part) -> str:
    if part.choices:
        what = "letters" if all(len(each) == 1 for each in part.choices) else "words"
        return f"one of the {what} {', '.join(part.choices)}"
    if part.kind is None:
        return "a whole number in figures"
    asked = f"a number in {part.typed_in}" if part.typed_in else "a number"
    several = part.kind is not None and len([unit for unit in part.kind.units if unit.name]) > 1
    return f"{asked}{_how_near(part)}{', or with another unit' if several else ''}"


def _how_near(part: Part) -> str:
    """How finely it has to be told: a step that rounds within the tolerance."""
    if part.kind is None or not (part.absolute or part.share):
        return ""
    if not part.absolute:
        return ", to three figures"
    step = part.step_at(0.0) / part.kind.unit(part.given_in or None).factor
    return f", to {step:g} {part.typed_in}".rstrip()


def _example(part: Part) -> str:
    if part.choices:
        return part.choices[0]
    if part.kind is None:
        return str(EXAMPLE)
    unit = part.given_in or None
    return show(convert(EXAMPLE, part.kind, given=unit), part.kind, unit)
