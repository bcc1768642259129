"""Topics made of calculators: a declaration of the catalogue, ranges to draw from, and a scene to set it in."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from gigsums import catalogue
from gigsums.catalogue import CATALOGUE, Calculator, Choice
from gigsums.catalogue.declaration import call
from gigsums.quantities import Kind, convert, read, show

from .bank import ACTS, GROUNDS, PEOPLE, PLACES
from .draws import Draw
from .problems import Answer, Draft, Note, Part, Slip, Values
from .topic import Topic
from .wording import listed, sentence

DECIBELS = 0.2
ABSOLUTE = {"m/s": 0.3, "MHz": 0.05}
SHARE = 0.02
"""Tolerances: absolute for levels, speeds and radio frequencies, a share of the value for the rest."""
BARE = {
    "ft": ("Feet taken as metres", "Not every length is given in metres. What does the formula want?"),
    "ft³": (
        "Cubic feet taken as cubic metres",
        "The volume is not in cubic metres. What does the formula want?",
    ),
}
"""Units of the hardest level, and the slip of putting the bare number into a formula made for another unit."""
FAHRENHEIT = "Degrees Fahrenheit taken as Celsius"
"""The same slip with a temperature. Topics declare it, as no formula takes air of so many degrees; it counts where °F is shown."""


@dataclass(frozen=True)
class Range:
    """What an input is drawn from, in the unit that the calculator shows it in.

    `coarse` is the step of the easiest level, `fine` the step of the others. At the hardest level half the
    draws are in the `other` unit: its name, and least, most and step in it. `many` is for a list of inputs:
    how many of them, least and most, at each level. `since` is the level from which it is asked at all. `never`
    are two values between which nothing is drawn, because there it would not show what was done with it, or a hint would tell [base
    unit].
    """

    least: float
    most: float
    coarse: float
    fine: float
    other: tuple[str, float, float, float] | None = None
    many: tuple[tuple[int, int], ...] = ()
    since: int = 1
    never: tuple[float, float] | None = None

    def draw(self, draw: Draw, level: int, kind: Kind | Choice, unit: str) -> tuple[str, str]:
        """A quantity as it is shown, and the unit it is shown in."""
        assert isinstance(kind, Kind)
        least, most, step = self.least, self.most, self.coarse if level == 1 else self.fine
        if self.other and level > 2 and draw.yes(1, 2):
            unit, least, most, step = self.other
        while True:
            value = convert(draw.step(least, most, step), kind, given=unit)
            if self.never is None or not self.never[0] < value < self.never[1]:
                return show(value, kind, unit), unit


@dataclass(frozen=True)
class Options:
    """Values of which an input is one: words, or numbers in the unit that the calculator shows it in."""

    values: tuple[float | str, ...]
    many: tuple[tuple[int, int], ...] = ()
    since: int = 1

    def draw(self, draw: Draw, level: int, kind: Kind | Choice, unit: str) -> tuple[str, str]:
        """One of them as it is shown, and the unit it is shown in."""
        value = draw.pick(self.values)
        if isinstance(value, str) or not isinstance(kind, Kind):
            return str(value), ""
        return show(convert(value, kind, given=unit), kind, unit), unit


@dataclass(frozen=True)
class SumStep:
    """A line of the workings before the last: words, and what is worked from what is known, a text or a quantity."""

    text: str
    value: Callable[..., Any]
    kind: Kind | None = None

    def line(self, known: Mapping[str, Any], words: Mapping[str, str]) -> str:
        """The line for these values."""
        value = call(self.value, known)
        return f"{self.text.format_map(words)}: {show(float(value), self.kind) if self.kind else value}"


@dataclass(frozen=True)
class Approximation:
    """A value that the trade lives with, and a word about what it leaves out."""

    name: str
    value: Callable[..., float]
    text: str


@dataclass(frozen=True)
class Sum:
    """How a calculator is asked as a problem.

    Templates take `{name}` of an input or a list, `{who}`, `{act}`, `{place}` under a roof and `{ground}` under the
    sky, and `{told}`, what `told` makes of the inputs as they are shown. `way` says in words how it is done.
    To what slips and approximations are made of, the answer itself is `value`.
    `within` is the tolerance where the usual one is too wide to tell mistakes apart [base unit], and `share` the
    same as a share of the value.
    """

    calculator: str
    scene: str
    question: str
    drawn: Mapping[str, Range | Options]
    way: str
    steps: tuple[SumStep, ...] = ()
    approximations: tuple[Approximation, ...] = ()
    slips: tuple[catalogue.Slip, ...] = ()
    nudge: str = ""
    within: float = 0.0
    share: float = 0.0
    told: Callable[[Mapping[str, str]], str] | None = None

    def build(self, draw: Draw, level: int) -> Draft:
        """A draft of a draw."""
        calculator = CATALOGUE[self.calculator]
        words = {"who": draw.pick(PEOPLE), "act": draw.pick(ACTS)}
        words |= {"place": draw.pick(PLACES), "ground": draw.pick(GROUNDS)}
        shown, units = self._draw(draw, level, calculator)
        known = calculator.work(values_of(calculator, shown))
        known["value"] = known[calculator.main.name]
        words |= {**_in_words(calculator, shown), "told": self.told(shown) if self.told else ""}
        part = part_of(calculator, known, self.within, self.share)
        line = calculator.say(known, {each.name: each.unit for each in calculator.named if each.unit} | units)
        answer = f"{calculator.main.label}: {part.show(part.value)}"
        notes = [
            Note(each.name, (value,), each.text)
            for each in self.approximations
            if math.isfinite(value := float(call(each.value, known)))
        ]
        declared = slips_of(calculator, known, self.slips, fahrenheit="°F" in units.values())
        slips = (*declared, *_bare_numbers(calculator, shown, units))
        return Draft(
            shown=shown,
            scene=self.scene.format_map(words),
            question=self.question.format_map(words),
            answer=Answer((part,)),
            workings=(self.way, *(step.line(known, words) for step in self.steps), line, answer),
            slips=(
                *slips,
                *_sign_turned(part, (*(each.values for each in slips), *(each.values for each in notes))),
            ),
            notes=tuple(notes),
            nudge=self.nudge or self.way,
            caution=calculator.caution,
        )

    def _draw(self, draw: Draw, level: int, calculator: Calculator) -> tuple[dict[str, str], dict[str, str]]:
        inputs = {each.name: each for each in calculator.inputs}
        shown: dict[str, str] = {}
        units: dict[str, str] = {}
        for name, span in self.drawn.items():
            count = draw.whole(*span.many[level - 1]) if span.many else 1
            for member in calculator.lists.get(name, (name,))[:count] if level >= span.since else ():
                asked = inputs[member]
                base = asked.kind.base.name if isinstance(asked.kind, Kind) else ""
                shown[member], units[member] = span.draw(draw, level, asked.kind, asked.unit or base)
        return shown, {name: unit for name, unit in units.items() if unit}


def sum_topic(asked: Sum, skill: str, version: int = 1, least_slips: int = 2, name: str = "") -> Topic:
    """The topic of a calculator."""
    return Topic(name or asked.calculator, skill, version, asked.build, least_slips)


def part_of(
    calculator: Calculator, known: Mapping[str, Any], within: float = 0.0, share: float = 0.0
) -> Part:
    """The answer of a calculator, with the tolerance of its kind or a narrower one."""
    main = calculator.main
    kind, value = main.kind, known[main.name]
    if kind.whole:
        return Part(round(value), name=main.label.partition(" of ")[0].casefold())
    unit = kind.base.name
    absolute = within or (DECIBELS if unit.startswith("dB") else ABSOLUTE.get(unit, 0.0))
    if absolute:
        return Part(value, kind, absolute=absolute, given_in=main.unit)
    kind = replace(kind, figures=max(3, kind.figures))  # as many as are asked for
    return Part(value, kind, share=share or SHARE, given_in=main.unit)


def slips_of(
    calculator: Calculator,
    known: Mapping[str, Any],
    more: tuple[catalogue.Slip, ...] = (),
    fahrenheit: bool = False,
) -> tuple[Slip, ...]:
    """The slips that the catalogue declares, and `more`, at these values; what is not finite is left out."""
    values = [(slip, float(call(slip.value, known))) for slip in (*calculator.slips, *more)]
    return tuple(
        Slip(sentence(slip.name), (_as(calculator, value),), slip.hint)
        for slip, value in values
        if math.isfinite(value) and (fahrenheit or sentence(slip.name) != FAHRENHEIT)
    )


def _bare_numbers(
    calculator: Calculator, shown: Mapping[str, str], units: Mapping[str, str]
) -> tuple[Slip, ...]:
    """The slips of putting a number into the formula as if it stood in the formula's own unit."""
    found = []
    for unit, (name, hint) in BARE.items():
        bare = {
            each.name: convert(read(shown[each.name], each.kind), each.kind, to=unit)
            for each in calculator.inputs
            if units.get(each.name) == unit and isinstance(each.kind, Kind)
        }
        if bare:
            known = calculator.work(values_of(calculator, shown) | bare)
            found.append(Slip(name, (known[calculator.main.name],), hint))
    return tuple(found)


def _sign_turned(part: Part, taken: Iterable[Values]) -> tuple[Slip, ...]:
    """The slip of a sign left out, or of one too many, where the answer may have either and no other slip is it."""
    if part.kind is None or isinstance(part.value, str):
        return ()
    if part.kind.least >= 0 or not part.unit.startswith("dB"):
        return ()
    if any(part.near(-part.value, value) for values in taken for value in values):
        return ()
    return (Slip("Sign turned round", (-part.value,), "The figures are right. Above nought, or below?"),)


def _as(calculator: Calculator, value: float) -> float | int:
    whole = calculator.main.kind.whole and float(value).is_integer()
    return int(value) if whole else float(value)


def values_of(calculator: Calculator, shown: Mapping[str, str]) -> dict[str, Any]:
    """What is typed into the calculator: the numbers as shown, nothing finer; its own defaults where none is."""
    kinds = {each.name: each.kind for each in calculator.inputs}
    typed = {
        name: read(text, kind) if isinstance(kind := kinds[name], Kind) else text
        for name, text in shown.items()
    }
    return {name: calculator.defaults[name] for name in calculator.needed} | typed


def _in_words(calculator: Calculator, shown: Mapping[str, str]) -> dict[str, str]:
    words = dict(shown)
    for name, members in calculator.lists.items():
        words[name] = listed([shown[member] for member in members if member in shown])
    return words
