"""A calculator being used: what is typed, in which units, and what that comes to. Plain values, no widgets."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from gigsums.catalogue import CATALOGUE, Calculator, Choice, Input
from gigsums.catalogue.declaration import shown
from gigsums.quantities import Kind, NotUnderstood, nudge, read, show

_COMMA = re.compile(r"[0-9],[0-9]")


@dataclass(frozen=True)
class FormAnswer:
    """What a form comes to, in words.

    Attributes
    ----------
    label, number, unit : str
        The answer itself, in three parts.
    line : str
        The answer as one plain line with what it assumes.
    rest : tuple of (str, str)
        The other results, each a label and a quantity.
    notes : tuple of str
        What to say beside it.
    slips : tuple of (str, str, str)
        Wrong answers that real mistakes lead to: what was done, the value, the hint.
    """

    label: str
    number: str
    unit: str
    line: str
    rest: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    slips: tuple[tuple[str, str, str], ...]


@dataclass
class _Field:
    text: str
    unit: str
    value: float | str | None = None
    wrong: str = ""
    typed: tuple[str, str] = field(default=("", ""))


class Form:
    """One calculator being used.

    The text in a field is kept as it was typed, even if it cannot be read; then the last good answer stays,
    marked as old. A change of unit converts the value that is there.

    Parameters
    ----------
    calculator : Calculator or str
        A declaration, or the key of one.

    Attributes
    ----------
    answer : FormAnswer
        The last good answer.
    values : dict of str
        Inputs and results behind that answer [base units].
    trouble : str
        Why the sum cannot be worked although every field can be read; empty if it can.
    """

    def __init__(self, calculator: Calculator | str) -> None:
        self.calculator = _declared(calculator)
        self._inputs = {each.name: each for each in self.calculator.inputs}
        self._fields = {name: _Field(*_first(each)) for name, each in self._inputs.items()}
        self._result_units = {each.name: each.unit or each.kind.base.name for each in self.calculator.results}
        self.trouble = ""
        self.values: dict[str, Any] = {}
        for name in self._fields:
            self._read(name)
        self._work()

    @property
    def texts(self) -> dict[str, str]:
        """What stands in each field."""
        return {name: each.text for name, each in self._fields.items()}

    @property
    def units(self) -> dict[str, str]:
        """The unit of each field and each result."""
        return {name: each.unit for name, each in self._fields.items()} | self._result_units

    @property
    def errors(self) -> dict[str, str]:
        """What is wrong, by field; fields that can be read are not in it."""
        return {name: each.wrong for name, each in self._fields.items() if each.wrong}

    @property
    def old(self) -> bool:
        """Whether the answer is older than what stands in the fields."""
        return bool(self.errors or self.trouble)

    @property
    def line(self) -> str:
        """The answer as one line; one that is old says so, with what is wrong."""
        if not self.old:
            return self.answer.line
        wrong = [f"{self._inputs[name].label}: {why}" for name, why in self.errors.items()]
        return f"old answer: {self.answer.line} ({'; '.join(wrong) or self.trouble})"

    @property
    def comma(self) -> bool:
        """Whether numbers are typed, and so shown, with a decimal comma."""
        return any(_COMMA.search(each.text) for each in self._fields.values())

    @property
    def chosen_units(self) -> dict[str, str]:
        """The unit in use instead of each base unit that has another: the first field's, else the answer's."""
        chosen: dict[str, str] = {}
        for each in self.calculator.named:
            if isinstance(each.kind, Kind) and each.kind.other:
                chosen.setdefault(each.kind.base.name, self.units[each.name])
        return chosen

    def type(self, name: str, text: str) -> None:
        """Type something into a field.

        Parameters
        ----------
        name : str
            Name of the input.
        text : str
            What is typed.

        Raises
        ------
        ValueError
            If the calculator has no such input.
        """
        self.fill(texts={name: text})

    def use(self, name: str, unit: str) -> None:
        """Change the unit of a field or a result; the value that is there is converted.

        Parameters
        ----------
        name : str
            Name of the input or result.
        unit : str
            The unit.

        Raises
        ------
        ValueError
            If the calculator has no such input or result, or its kind has no such unit.
        """
        self.fill(units={name: unit})

    def nudge(self, name: str, by: int = 1) -> None:
        """Move a field to the next round value, up or down.

        Parameters
        ----------
        name : str
            Name of the input.
        by : int, optional
            How many steps, down if below 0.

        Raises
        ------
        ValueError
            If the calculator has no such input.
        """
        self.fill(nudges={name: by})

    def fill(
        self,
        texts: Mapping[str, str] | None = None,
        units: Mapping[str, str] | None = None,
        nudges: Mapping[str, int] | None = None,
    ) -> None:
        """Type, change units and nudge, in that order, and work the sum once.

        Parameters
        ----------
        texts : mapping of str to str, optional
            What stands in fields, by name.
        units : mapping of str to str, optional
            Units of fields and results, by name.
        nudges : mapping of str to int, optional
            Steps by which fields are moved, by name.

        Raises
        ------
        ValueError
            If there is no such field or unit; then nothing has changed.
        """
        texts, units, nudges = texts or {}, units or {}, nudges or {}
        self._refuse_strangers(texts, units, nudges)
        for name, text in texts.items():
            if text != self._fields[name].text:
                self._fields[name].text = text
                self._read(name)
        for name, unit in units.items():
            self._turn(name, unit)
        for name, by in nudges.items():
            self._move(name, by)
        self._work()

    def _refuse_strangers(
        self, texts: Mapping[str, str], units: Mapping[str, str], nudges: Mapping[str, int]
    ) -> None:
        kinds = {each.name: each.kind for each in self.calculator.named}
        for name in (*texts, *nudges, *units):
            if name not in (kinds if name in units else self._fields):
                raise ValueError(
                    f"{self.calculator.key!r} has no input {name!r}; these are: {', '.join(self._fields)}"
                )
        for name, unit in units.items():
            kind = kinds[name]
            if isinstance(kind, Kind):
                kind.unit(unit)
            elif unit:
                raise ValueError(f"{name} is a choice and has no unit {unit!r}")

    def _read(self, name: str) -> None:
        field, given = self._fields[name], self._inputs[name]
        field.wrong, field.value = "", None
        field.typed = (field.text, field.unit)
        if not field.text.strip() and name not in self.calculator.needed:
            return
        if isinstance(given.kind, Choice):
            if field.text in given.kind.options:
                field.value = field.text
            else:
                field.wrong = f"one of these is wanted: {', '.join(given.kind.options)}"
            return
        try:
            field.value = read(field.text, given.kind, field.unit)
        except NotUnderstood as refused:
            field.wrong = f"{refused.why}; type {refused.wanted.removeprefix(f'{given.kind.name} wants ')}"

    def _turn(self, name: str, unit: str) -> None:
        if name not in self._fields:
            self._result_units[name] = unit
            return
        field, given = self._fields[name], self._inputs[name]
        if unit == field.unit or isinstance(given.kind, Choice):
            return
        comma, field.unit = self.comma, unit
        if not isinstance(field.value, float):
            self._read(name)
        elif unit == field.typed[1]:
            field.text = field.typed[0]
        else:
            field.text = show(field.value, given.kind, unit, comma, bare=True)

    def _move(self, name: str, by: int) -> None:
        field, given = self._fields[name], self._inputs[name]
        if isinstance(given.kind, Choice) or not by:
            return
        start = field.value if isinstance(field.value, float) else self._beside(name)
        if start is None:
            return
        moved = nudge(start, given.kind, field.unit, by) if field.value is not None else start
        comma = self.comma
        field.text = show(moved, given.kind, field.unit, comma, bare=True)
        self._read(name)
        if field.wrong:  # an end of the range that has more decimals than are shown
            field.wrong, field.value = "", moved

    def _beside(self, name: str) -> float | None:
        """Where an empty field starts to move: at the value of the field before it of the same kind."""
        kind, found = self._inputs[name].kind, None
        for other, given in self._inputs.items():
            if other == name:
                return found
            value = self._fields[other].value
            if given.kind == kind and isinstance(value, float):
                found = value
        return found

    def _work(self) -> None:
        self.trouble = ""
        if self.errors:
            return
        given = {name: each.value for name, each in self._fields.items() if each.value is not None}
        try:
            self.values = self.calculator.work(given)
        except ValueError as refused:
            self.trouble = str(refused)
            if not self.values:
                raise
            return
        self._follow_units()
        self.answer = self._said()

    def _follow_units(self) -> None:
        """A result that could be shown in a unit chosen for an input of its sort is shown in it."""
        for result in self.calculator.results:
            offered = (result.kind.base.name, result.kind.other)
            for name, given in self._inputs.items():
                if isinstance(given.kind, Kind) and given.kind.other and given.kind.other == offered[1]:
                    self._result_units[result.name] = self._fields[name].unit
                    break

    def _said(self) -> FormAnswer:
        known, units, comma, main = self.values, self.units, self.comma, self.calculator.main

        number = show(known[main.name], main.kind, units[main.name], comma, bare=True)
        whole = shown(known[main.name], main.kind, units[main.name], comma)
        slips, told = [], {whole}
        for slip, value in zip(
            self.calculator.slips, self.calculator.slip_values(known).values(), strict=True
        ):
            if math.isnan(value):  # a slip that nobody makes with these values
                continue
            text = show(value, main.kind, units[main.name], comma)
            if text not in told:
                told.add(text)
                slips.append((slip.name, text, slip.hint))
        return FormAnswer(
            label=main.label,
            number=number,
            unit=whole.removeprefix(number).strip(),
            line=self.calculator.say(known, units, comma),
            rest=tuple(
                (each.label, shown(known[each.name], each.kind, units[each.name], comma))
                for each in self.calculator.results
                if each is not main
            ),
            notes=self.calculator.said_now(known),
            slips=tuple(slips),
        )


def _declared(calculator: Calculator | str) -> Calculator:
    if isinstance(calculator, Calculator):
        return calculator
    if calculator not in CATALOGUE:
        raise ValueError(f"no calculator is called {calculator!r}; these are: {', '.join(CATALOGUE)}")
    return CATALOGUE[calculator]


def _first(given: Input) -> tuple[str, str]:
    if isinstance(given.kind, Choice):
        return str(given.default or given.kind.options[0]), ""
    if given.default is None:
        return "", given.unit or given.kind.base.name
    unit = given.unit or given.kind.base.name
    return show(float(given.default), given.kind, unit, bare=True), unit
