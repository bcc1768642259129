"""Calculators as problems: declared with ranges to draw from and a scene, or with the numbers somebody has printed."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from gigsums import catalogue
from gigsums.catalogue import CATALOGUE, Calculator, Choice
from gigsums.catalogue.declaration import call
from gigsums.quantities import Kind, convert, read, show

from .drawing import ACTS, GROUNDS, PEOPLE, PLACES, Draw
from .marking import wanted
from .problems import Accepted, Draft, NamedSlip, Part, Problem, RightAnswer, Values, clear_slips
from .questions import Question
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
class Calculation:
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
            Accepted(each.name, (value,), each.text)
            for each in self.approximations
            if math.isfinite(value := float(call(each.value, known)))
        ]
        declared = slips_of(calculator, known, self.slips, fahrenheit="°F" in units.values())
        slips = (*declared, *_bare_numbers(calculator, shown, units))
        return Draft(
            shown=shown,
            scene=self.scene.format_map(words),
            question=self.question.format_map(words),
            answer=RightAnswer((part,)),
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


def sum_topic(
    asked: Calculation, skill: str, version: int = 1, least_slips: int = 2, name: str = ""
) -> Topic:
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
) -> tuple[NamedSlip, ...]:
    """The slips that the catalogue declares, and `more`, at these values; what is not finite is left out."""
    values = [(slip, float(call(slip.value, known))) for slip in (*calculator.slips, *more)]
    return tuple(
        NamedSlip(sentence(slip.name), (_as(calculator, value),), slip.hint)
        for slip, value in values
        if math.isfinite(value) and (fahrenheit or sentence(slip.name) != FAHRENHEIT)
    )


def _bare_numbers(
    calculator: Calculator, shown: Mapping[str, str], units: Mapping[str, str]
) -> tuple[NamedSlip, ...]:
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
            found.append(NamedSlip(name, (known[calculator.main.name],), hint))
    return tuple(found)


def _sign_turned(part: Part, taken: Iterable[Values]) -> tuple[NamedSlip, ...]:
    """The slip of a sign left out, or of one too many, where the answer may have either and no other slip is it."""
    if part.kind is None or isinstance(part.value, str):
        return ()
    if part.kind.least >= 0 or not part.unit.startswith("dB"):
        return ()
    if any(part.near(-part.value, value) for values in taken for value in values):
        return ()
    return (NamedSlip("Sign turned round", (-part.value,), "The figures are right. Above nought, or below?"),)


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


_DAY = "ISO 9612:2009, Annex D, the day of three tasks"
_HANDBOOK = "F. A. Everest, The Master Handbook of Acoustics, page 163, reverberation example 2"
_SUMS = "D. Davis and E. Patronis, Sound System Engineering, section 2.15"
_LECTURE = "A. Farina, University of Parma, lecture Decibel values: sum and difference"


@dataclass(frozen=True)
class WorkedValue:
    """One worked value as its source prints it.

    Attributes
    ----------
    calculator : str
        The sum of the catalogue that it is.
    given : mapping of str to str
        Inputs by name, as they are printed; those the source leaves open stand at what it implies.
    answer : str
        The answer as printed.
    half_step : float
        Half the last printed step, or the rounding that the source is known for [unit of the answer].
    source : str
        Where it is printed.
    remark : str
        Why the last figure differs from the toolkit's, where it does.
    """

    calculator: str
    given: Mapping[str, str]
    answer: str
    half_step: float
    source: str
    remark: str = field(default="")


PUBLISHED: Mapping[str, WorkedValue] = MappingProxyType(
    {
        "two equal sources": WorkedValue(
            "adding levels", {"level_1_db": "90 dB", "level_2_db": "90 dB"}, "93 dB", 0.05, _SUMS
        ),
        "two unequal sources": WorkedValue(
            "adding levels", {"level_1_db": "90 dB", "level_2_db": "96 dB"}, "96.97 dB", 0.005, _SUMS
        ),
        "five decibels apart": WorkedValue(
            "adding levels", {"level_1_db": "80 dB", "level_2_db": "85 dB"}, "86.2 dB", 0.05, _LECTURE
        ),
        "a room in feet, 1 kHz": WorkedValue(
            "reverberation time",
            {"volume_m3": "3728 ft³", "absorption_m2": "339.5 ft²"},
            "0.54 s",
            0.005,
            _HANDBOOK,
            "The handbook works in feet with 0.049 for the constant; the units are turned into metres here.",
        ),
        "a room in feet, 125 Hz": WorkedValue(
            "reverberation time",
            {"volume_m3": "3728 ft³", "absorption_m2": "370.4 ft²"},
            "0.49 s",
            0.005,
            _HANDBOOK,
            "The handbook works in feet with 0.049 for the constant; the units are turned into metres here.",
        ),
        "four distances": WorkedValue(
            "gain before feedback",
            {
                "talker_to_microphone_m": "1 m",
                "microphone_to_speaker_m": "4 m",
                "talker_to_listener_m": "7 m",
                "speaker_to_listener_m": "6 m",
                "microphones": "1",
                "margin_db": "0 dB",
            },
            "13.5 dB",
            0.15,
            "The concept of acoustical gain, chapter 4 of a sound-system design manual, page 4-2, after Boner and Boner",
            "The manual rounds each level before it adds; unrounded, the sum is 13.4 dB.",
        ),
        "twenty microphones": WorkedValue(
            "open microphones",
            {"microphones": "20"},
            "13 dB",
            0.05,
            "A magazine column on potential and needed acoustic gain; the issue could not be made out",
        ),
        "three tasks in a day": WorkedValue(
            "a day's exposure",
            {
                "scheme": "EU upper action",
                "level_1_dba": "70.0 dBA",
                "time_1_h": "1.5 h",
                "level_2_dba": "80.8 dBA",
                "time_2_h": "5 h",
                "level_3_dba": "90.1 dBA",
                "time_3_h": "1.5 h",
            },
            "84.3 dBA",
            0.05,
            _DAY,
        ),
        "eighty-eight decibels, NIOSH": WorkedValue(
            "time at a level",
            {"exposure_dba": "88 dBA", "scheme": "NIOSH"},
            "4 h",
            0.004,
            "NIOSH, page of the sound level meter app: 85 dBA for 8 h, halved for each 3 dB",
        ),
        "ninety-five decibels, OSHA": WorkedValue(
            "time at a level",
            {"exposure_dba": "95 dBA", "scheme": "OSHA compliance"},
            "4 h",
            0.004,
            "29 CFR 1910.95(b), Table G-16",
        ),
        "ninety-two decibels, OSHA": WorkedValue(
            "time at a level",
            {"exposure_dba": "92 dBA", "scheme": "OSHA compliance"},
            "6 h",
            0.07,
            "29 CFR 1910.95(b), Table G-16",
            "The table rounds to half hours; by its own rule the time is 6 h 4 min.",
        ),
        "eighty-six decibels, EU lower": WorkedValue(
            "time at a level",
            {"exposure_dba": "86 dBA", "scheme": "EU lower action"},
            "2 h",
            0.004,
            "SCENIHR, Potential health risks of exposure to noise from personal music players, 2008, Table 3",
        ),
        "four octaves wide": WorkedValue(
            "Q from octaves",
            {"octaves": "4"},
            "0.267",
            0.0005,
            "Cookbook formulae for audio EQ biquad filter coefficients, W3C Audio WG Note, the analogue band-pass",
            "The note prints the rule, 1/Q = 2 sinh(ln(2)/2 × octaves); the number is the rule worked out.",
        ),
        "European line-up": WorkedValue(
            "line-up of a converter",
            {"level_dbfs": "−18 dBFS", "full_scale_dbu": "18 dBu"},
            "0 dBu",
            0.01,
            "EBU R68: −18 dBFS is 0.775 V",
        ),
    }
)  # fmt: skip


def published(name: str) -> Question:
    """A worked value of somebody else's, as a question.

    Parameters
    ----------
    name : str
        One of `PUBLISHED`.

    Returns
    -------
    Question

    Raises
    ------
    ValueError
        If there is none of that name; the message says which there are.
    """
    return Question(published_problem(name))


def published_problem(name: str) -> Problem:
    """A worked value of somebody else's, as a problem; its answer is worked here and not copied.

    Parameters
    ----------
    name : str
        One of `PUBLISHED`.

    Returns
    -------
    Problem

    Raises
    ------
    ValueError
        If there is none of that name; the message says which there are.
    """
    if name not in PUBLISHED:
        near = difflib.get_close_matches(str(name), PUBLISHED, n=2)
        these = f"did you mean {' or '.join(near)}?" if near else f"these are: {', '.join(PUBLISHED)}"
        raise ValueError(f"name is {str(name)[:60]!r}, which is not among the published values; {these}")
    draft = _draft(PUBLISHED[name])
    parts = vars(draft) | {"slips": clear_slips(draft)}
    return Problem(
        **parts, topic=f"published: {name}", version=1, seed=name, level=1, wanted=wanted(draft.answer)
    )


def _draft(printed: WorkedValue) -> Draft:
    calculator = CATALOGUE[printed.calculator]
    known = calculator.work(values_of(calculator, printed.given))
    part = part_of(calculator, known)
    answer = RightAnswer((part,))
    labels = {each.name: each.label for each in calculator.inputs}
    remark = (printed.remark,) if printed.remark else ()
    return Draft(
        shown=dict(printed.given),
        scene=f"This one is in print. {printed.source}.",
        facts=tuple(f"{labels[name]}: {text}" for name, text in printed.given.items()),
        question=f"{calculator.question} Wanted: {calculator.main.label[:1].lower()}{calculator.main.label[1:]}.",
        answer=answer,
        workings=(
            calculator.say(known, _units(printed)),
            f"In print: {printed.answer}",
            *remark,
            f"{calculator.main.label}: {answer.show()}",
        ),
        slips=slips_of(calculator, known),
        nudge="Take the numbers as they are printed, units included, and work the sum of that name.",
        caution=calculator.caution,
    )


def _units(printed: WorkedValue) -> dict[str, str]:
    """The units the source prints its numbers in."""
    found = {}
    for each in CATALOGUE[printed.calculator].inputs:
        text = printed.given.get(each.name, "")
        if isinstance(each.kind, Choice) or not text:
            continue
        assert isinstance(each.kind, Kind)
        names = [unit.name for unit in each.kind.units if unit.name and text.endswith(unit.name)]
        if names and read(text, each.kind) is not None:
            found[each.name] = max(names, key=len)
    return found
