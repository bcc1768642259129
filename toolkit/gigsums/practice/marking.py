"""Marking one answer. What was typed is read as text and compared; nothing in it is ever run."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from numbers import Integral, Real

from gigsums.quantities import NotUnderstood, convert, read, show
from gigsums.quantities.kind import ALIKE

from .problems import Answer, Part, Problem, Value, Values
from .wording import as_markdown, bullets, in_words, sentence, short, singular

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

LONGEST = 200
EXAMPLE = 90
_DIGITS = 6
_TOKENS = re.compile(r"(?P<number>[0-9]+)|(?P<word>[a-z]+(?:[ -][a-z]+)*)|(?P<gap>[\s,;:/=&]+)")


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
    answer = problem.answer
    typed = _as_text(text)
    try:
        values = _read(typed, answer)
    except NotUnderstood as error:
        return Marking(MALFORMED, short(typed), None, f"{sentence(error.why)}. Type {problem.wanted}.")
    outcome, slip, message = _compare(problem, values)
    workings = problem.workings if outcome in (RIGHT, NOTED) else ()
    return Marking(outcome, short(typed), values, message, slip, workings)


def _compare(problem: Problem, values: Values) -> tuple[str, str, str]:
    answer = problem.answer
    if answer.alike(values, answer.values):
        return RIGHT, "", f"Yes: {answer.show()}."
    for note in problem.notes:
        if answer.alike(values, note.values):
            return NOTED, note.name, note.text
    for alike in (answer.near, answer.alike):  # two slips may be shown alike: the nearer goes first
        for slip in problem.slips:
            if alike(values, slip.values):
                return SLIP, slip.name, f"{slip.name}. {slip.hint}"
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


def _read(text: str, answer: Answer) -> Values:
    typed = as_usual(text)
    if len(typed) > LONGEST:
        raise NotUnderstood("", f"{len(typed)} characters are too many for an answer", "")
    if not typed.strip():
        raise NotUnderstood("", "Nothing is typed yet", "")
    if all(part.kind is None and not part.choices for part in answer.parts):
        return _counts(typed, answer.parts)
    between = r"[;\n]" if any(part.kind for part in answer.parts) else r"\s*[;,\n]\s*|\s+(?=[0-9])"
    pieces = [typed] if len(answer.parts) == 1 else re.split(between, typed.strip())
    if len(pieces) != len(answer.parts):
        raise NotUnderstood("", _too_few(len(pieces), len(answer.parts)), "")
    return tuple(_one(piece, part) for piece, part in zip(pieces, answer.parts, strict=True))


def _one(piece: str, part: Part) -> Value:
    if part.choices:
        plain = " ".join(piece.casefold().split()).strip(" .")
        for choice in part.choices:
            if plain == choice.casefold():
                return choice
        raise NotUnderstood("", f"“{short(piece.strip())}” is none of the choices", "")
    if part.kind is None:
        return _counts(piece, (part,))[0]
    try:
        return read(without_stop(piece), part.kind, part.given_in or None, check=False)
    except NotUnderstood as error:
        stood = f"“{error.stood}”: " if error.stood else ""
        raise NotUnderstood("", f"{stood}{error.why}", "") from None


def as_usual(text: str) -> str:
    """The text with the spaces and signs of an ordinary keyboard."""
    return text.translate(ALIKE)


def without_stop(text: str) -> str:
    """The text without the full stop that ends a sentence."""
    plain = text.strip()
    return plain[:-1].rstrip() if re.search(r"[^.,]\.$", plain) else plain


def _counts(typed: str, parts: tuple[Part, ...]) -> Values:
    """Whole numbers in the order of the parts, or each with the name of its part before or behind it."""
    numbers: list[int] = []
    names: list[str] = []
    at, plain = 0, typed.strip().casefold().removesuffix(".")
    while at < len(plain):
        token = _TOKENS.match(plain, at)
        if token is None:
            raise NotUnderstood("", f"“{short(typed.strip())}” is not made of whole numbers alone", "")
        if token["number"]:
            if len(token["number"]) > _DIGITS:
                raise NotUnderstood("", f"a number of {len(token['number'])} digits is too long", "")
            numbers.append(int(token["number"]))
        elif token["word"]:
            names.extend(_names(token["word"], parts))
        at = token.end()
    if len(numbers) != len(parts):
        raise NotUnderstood("", _too_few(len(numbers), len(parts)), "")
    if len(parts) == 1 or not names:
        return tuple(numbers)
    if sorted(names) != sorted(part.name for part in parts):
        raise NotUnderstood("", "name each of the numbers once, or none", "")
    said = dict(zip(names, numbers, strict=True))
    return tuple(said[part.name] for part in parts)


def _names(words: str, parts: tuple[Part, ...]) -> list[str]:
    words = re.sub(r"(^| )and( |$)", " ", words).strip()
    if not words:
        return []
    for part in parts:
        if words in (part.name, singular(part.name)):
            return [part.name]
    raise NotUnderstood("", f"“{short(words)}” is not a whole number in figures", "")


def _too_few(found: int, asked: int) -> str:
    there = {0: "there is no number", 1: "there is one number"}.get(found, f"there are {found} numbers")
    return f"{there}, and {'one is' if asked == 1 else f'{asked} are'} wanted"


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
    each = ", then ".join(_wanted(part) for part in answer.parts)
    example = "; ".join(_example(part) for part in answer.parts)
    return f"{in_words(len(answer.parts))} things with a semicolon between: {each}; for example {example}"


def _wanted(part: Part) -> str:
    if part.choices:
        return f"one of the words {', '.join(part.choices)}"
    if part.kind is None:
        return "a whole number in figures"
    if not part.typed_in:
        return "a number"
    several = len([unit for unit in part.kind.units if unit.name]) > 1
    return f"a number in {part.typed_in}{', or with another unit' if several else ''}"


def _example(part: Part) -> str:
    if part.choices:
        return part.choices[0]
    if part.kind is None:
        return str(EXAMPLE)
    unit = part.given_in or None
    return show(convert(EXAMPLE, part.kind, given=unit), part.kind, unit)
