"""What a calculator is: plain data, from which the view, the problems and the tests are all made."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Any

from gigsums.quantities import Kind, show

MOMENTS = ("advance", "load-in", "line check", "sound check", "show")
Value = float | str
Nothing: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class Choice:
    """An input that is one of a few named things rather than a number."""

    name: str
    options: tuple[str, ...]


@dataclass(frozen=True)
class Input:
    """One thing to type: its name in the formula, its label, its kind, and what stands there at first.

    A default of None means that the field may stay empty. `behind` puts it behind the line, out of sight; `unit`
    is the one it is shown in at first, the base unit if empty.
    """

    name: str
    label: str
    kind: Kind | Choice
    default: Value | None = None
    behind: bool = False
    unit: str = ""


@dataclass(frozen=True)
class Result:
    """One answer: a formula and where it takes its arguments from.

    Arguments are taken by name from the inputs, the lists and the results before this one. `takes` gives
    another name for an argument and `fixed` a constant. Of an answer of several numbers `pick` takes one and
    `many` keeps them all; `times` multiplies. `unit` is the one it is shown in at first, the base unit if empty.
    """

    name: str
    label: str
    kind: Kind
    formula: Callable[..., Any]
    takes: Mapping[str, str] = field(default_factory=lambda: Nothing)
    fixed: Mapping[str, Any] = field(default_factory=lambda: Nothing)
    pick: int | None = None
    many: bool = False
    times: float = 1.0
    unit: str = ""


@dataclass(frozen=True)
class Slip:
    """A mistake people really make: what it comes to, as a sum of the same inputs, and the hint that mends it.

    With values at which nobody makes it, it comes to nan.
    """

    name: str
    value: Callable[..., Any]
    hint: str


@dataclass(frozen=True)
class Note:
    """Something to say beside the answer when it holds for the values at hand."""

    text: str
    when: Callable[..., bool]


@dataclass(frozen=True)
class Calculator:
    """One sum of the trade, declared once.

    Parameters
    ----------
    key : str
        What it is called, in plain words.
    question : str
        The question it answers.
    moment : str
        When in the job it is wanted; one of `MOMENTS`.
    inputs : tuple of Input
        What is typed, in order; at most three are not `behind`.
    results : tuple of Result
        The answers, worked in order; the first one is *the* answer unless `answer` names another.
    line : str
        The answer as one line with what it assumes; `{name}` is an input, a list or a result with its unit, and
        `{name:, }` a list with that between its members, otherwise " + ".
    slips : tuple of Slip
        Mistakes, each leading to a wrong value of the answer.
    caution : str
        What to take care of, and who decides.
    lists : mapping of str to tuple of str
        Inputs that go to a formula together; those left empty are left out. `"a*b"` stands for a as many times
        as b says; with the one the other has to be given.
    notes : tuple of Note
        Things to say when they hold.
    answer : str
        Name of the result that is the answer.
    picture : str
        Name of the picture that shows it; empty for none.
    words : str
        Further words to find it by.
    """

    key: str
    question: str
    moment: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    line: str
    slips: tuple[Slip, ...]
    caution: str
    lists: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: Nothing)
    notes: tuple[Note, ...] = ()
    answer: str = ""
    picture: str = ""
    words: str = ""

    @property
    def main(self) -> Result:
        """The result that is the answer."""
        return next((each for each in self.results if each.name == self.answer), self.results[0])

    @property
    def named(self) -> tuple[Input | Result, ...]:
        """Everything that has a name: the inputs, then the results."""
        return (*self.inputs, *self.results)

    @property
    def defaults(self) -> dict[str, Value]:
        """What stands in the fields at first [base units]; fields left empty are not in it."""
        return {each.name: each.default for each in self.inputs if each.default is not None}

    @property
    def needed(self) -> frozenset[str]:
        """Inputs that may not stay empty: those with a default that are no member of a list."""
        members = {part for names in self.lists.values() for each in names for part in each.split("*")}
        return frozenset(self.defaults) - members

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the formulas come from, as their docstrings say."""
        found = [line for result in self.results for line in references(result.formula)]
        return tuple(dict.fromkeys(found))

    def work(self, values: Mapping[str, Value]) -> dict[str, Any]:
        """Work the sum.

        Parameters
        ----------
        values : mapping of str to float or str
            Inputs by name [base units]; one that may stay empty may be left out.

        Returns
        -------
        dict of str
            The inputs given, the lists made of them, and every result [base units].

        Raises
        ------
        ValueError
            If an input is missing, or a formula refuses what it gets; the message names the input by its label.
        """
        wanted = self.needed | self._other_halves(values)
        missing = [each.label for each in self.inputs if each.name in wanted - set(values)]
        if missing:
            raise ValueError(f"nothing is given for: {', '.join(missing)}")
        known: dict[str, Any] = dict(values)
        for name, members in self.lists.items():
            known[name] = [value for each in members for value in _repeated(each, values)]
        for result in self.results:
            try:
                worked = call(result.formula, known, result.takes, result.fixed)
            except ValueError as refused:
                raise ValueError(self._in_words(str(refused), result)) from None
            if result.many:
                known[result.name] = [float(each) * result.times for each in worked]
            else:
                known[result.name] = (
                    float(worked if result.pick is None else worked[result.pick]) * result.times
                )
        return known

    def _other_halves(self, values: Mapping[str, Value]) -> frozenset[str]:
        """What has to be given because what goes with it is: watts and how many of them, a level and how long."""
        pairs = [each.split("*") for names in self.lists.values() for each in names if "*" in each]
        if len(self.lists) > 1:  # lists beside each other go together member by member
            pairs += [list(row) for row in zip(*self.lists.values(), strict=True)]
        return frozenset(name for pair in pairs if set(pair) & set(values) for name in pair)

    def _in_words(self, message: str, result: Result) -> str:
        labels = {each.name: each.label.lower() for each in self.named}
        for argument, name in (*result.takes.items(), *((name, name) for name in labels)):
            if name in labels:
                message = re.sub(rf"\b{re.escape(argument)}\b", labels[name], message)
        return message

    def say(self, known: Mapping[str, Any], units: Mapping[str, str] = Nothing, comma: bool = False) -> str:
        """The answer as one plain line.

        Parameters
        ----------
        known : mapping of str
            What `work` returned [base units].
        units : mapping of str to str, optional
            Units to show inputs and results in, by name; base units where left out.
        comma : bool, optional
            Whether the decimal mark is a comma.

        Returns
        -------
        str
            The line.
        """
        words: dict[str, Any] = {
            each.name: shown(known[each.name], each.kind, units.get(each.name), comma)
            for each in self.named
            if each.name in known
        }
        for name, members in self.lists.items():
            words[name] = _Row(
                _times(each, words) for each in members if set(each.split("*")) <= words.keys()
            )
        return self.line.format_map(words)

    def slip_values(self, known: Mapping[str, Any]) -> dict[str, float]:
        """What each slip comes to.

        Parameters
        ----------
        known : mapping of str
            What `work` returned [base units].

        Returns
        -------
        dict of str to float
            The wrong answer, by the name of the slip [base unit of the answer].
        """
        return {slip.name: float(call(slip.value, known)) for slip in self.slips}

    def said_now(self, known: Mapping[str, Any]) -> tuple[str, ...]:
        """The notes that hold.

        Parameters
        ----------
        known : mapping of str
            What `work` returned [base units].

        Returns
        -------
        tuple of str
            What to say.
        """
        return tuple(note.text for note in self.notes if call(note.when, known))


class _Row(tuple[str, ...]):
    """Several quantities in words; a format such as `{levels_db:, }` says what stands between them."""

    def __format__(self, between: str) -> str:
        return (between or " + ").join(self)


def shown(value: Any, kind: Kind | Choice, unit: str | None = None, comma: bool = False) -> str:
    """A value of a calculator as a person would write it, several of them in a row."""
    if isinstance(kind, Choice):
        return str(value)
    if isinstance(value, list):
        return "; ".join(dict.fromkeys(show(each, kind, unit, comma) for each in value))
    return show(value, kind, unit, comma)


def _times(member: str, words: Mapping[str, str]) -> str:
    """A member of a list in words, one that is repeated as "12 × 10 W"."""
    name, _, count = member.partition("*")
    return f"{words[count]} × {words[name]}" if count else words[name]


def _repeated(member: str, values: Mapping[str, Value]) -> list[Value]:
    name, _, count = member.partition("*")
    if name not in values:
        return []
    return [values[name]] * (int(values[count]) if count else 1)


@cache
def arguments(function: Callable[..., Any]) -> Mapping[str, bool]:
    """Argument names of a function, and whether each must be given."""
    parameters = inspect.signature(function).parameters.values()
    return {each.name: each.default is each.empty for each in parameters}


@cache
def references(function: Callable[..., Any]) -> tuple[str, ...]:
    """The numbered entries under References in a function's docstring, each on one line."""
    text = inspect.getdoc(function) or ""
    _, _, tail = text.partition("References\n----------\n")
    entries = re.split(r"^\.\. \[\d+\] ", tail, flags=re.MULTILINE)[1:]
    return tuple(" ".join(entry.replace("*", "").replace("`", "").split()) for entry in entries)


def call(
    function: Callable[..., Any],
    known: Mapping[str, Any],
    takes: Mapping[str, str] = Nothing,
    fixed: Mapping[str, Any] = Nothing,
) -> Any:
    """Call a function with those of the known values that its arguments name."""
    given = dict(fixed)
    for name in arguments(function):
        source = takes.get(name, name)
        if name not in given and source in known:
            given[name] = known[source]
    return function(**given)


IN_EARS_MS, WEDGES_MS = 5, 10  # common practice
FIRST_DECIDES_MS = 5  # to 35: F. A. Everest, "The Master Handbook of Acoustics", figure 3-19, after Haas
LIGHTING_PART, USUAL_PART = 0.03, 0.05  # of the supply, lost along a cable: common practice

HEARING = (
    "Loud sound harms hearing for good. Limits are set by local law and the venue's licence; a measured level "
    "counts, not a sum."
)
MAINS = (
    "For planning only: a competent person decides, by local rules. Never lift a protective earth; use tested "
    "30 mA RCDs, and unwind reels."
)
OVERHEAD = "No leave to hang anything: loads overhead belong to a licensed rigger and to local rules."
PLAN = "A plan, not a measurement: check it in the room."
