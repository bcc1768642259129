"""A gig that can be moved about, one choice at a time, and is counted again after each move. Plain values, no widgets."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from types import MappingProxyType
from typing import ClassVar, NamedTuple

from gigsums.gig import Desk, Gig
from gigsums.gig.plain import listed
from gigsums.sizing import Demand, Ledger, Need, demand

DESK = "desk"
WIDTH = 70  # characters: with a label before it, what a tablet shows of a notebook without breaking it
WORDS = {"met": "ok", "met without spare": "no spare", "short": "short"}


class Field(NamedTuple):
    """One thing that can be moved: what stands there, and what may."""

    value: str
    options: tuple[str, ...]


class MovedGig:
    """A gig with choices in it, on one of several desks.

    A kind of it says what can be chosen (`_options`), what gig the choices make (`_made`) and which counts and
    ledgers are shown.

    Parameters
    ----------
    gig : Gig
        The gig as it was asked for.
    *desks : Desk
        The desks to try it on; the first is in use.

    Attributes
    ----------
    asked : Gig
        The gig as it was asked for.
    desk : Desk
        The desk in use.

    Raises
    ------
    ValueError
        If no desk is given, or two have the same name.
    """

    question: ClassVar[str]
    caption: ClassVar[str]
    caution: ClassVar[str]
    shown: ClassVar[tuple[str, ...]]

    def __init__(self, gig: Gig, *desks: Desk) -> None:
        if not desks:
            raise ValueError("desks is empty; name at least one desk to try the gig on")
        self.asked = gig
        self.desks = {desk.name: desk for desk in desks}
        if len(self.desks) < len(desks):
            raise ValueError(f"two of these desks have the same name: {', '.join(d.name for d in desks)}")
        self.desk = desks[0]
        self._asked = self._choices()
        self.back()

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.asked.name!r})"

    def _choices(self) -> dict[str, str]:
        """What is chosen for each thing as it was asked for."""
        raise NotImplementedError

    def _options(self, name: str) -> tuple[str, ...]:
        """What may be chosen for that thing."""
        raise NotImplementedError

    def _made(self) -> Gig:
        """The gig that the choices make."""
        raise NotImplementedError

    @property
    def headline(self) -> tuple[int, str]:
        """The first count, and what is counted."""
        raise NotImplementedError

    @property
    def takes(self) -> tuple[Need, ...]:
        """The counts beside it."""
        raise NotImplementedError

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers come from."""
        raise NotImplementedError

    def back(self) -> str:
        """Put everything back as it was asked for; the desk in use stays.

        Returns
        -------
        str
            The answer.
        """
        self._chosen = dict(self._asked)
        return self._count()

    @property
    def choices(self) -> Mapping[str, str]:
        """What is chosen for each thing."""
        return MappingProxyType(self._chosen)

    @property
    def gig(self) -> Gig:
        """The gig as it stands now."""
        return self._gig

    @property
    def demand(self) -> Demand:
        """What the gig as it stands now takes of the desk in use."""
        return self._demand

    @property
    def rows(self) -> tuple[Ledger, ...]:
        """The ledgers that the choices move, place by place where there are several."""
        return tuple(row for key in self.shown for row in ledgers_of(self._demand, key))

    @property
    def verdict(self) -> str:
        """How the ledgers shown stand: they are what the choices can move, not the whole desk."""
        return verdict_of(self.rows)

    @property
    def line(self) -> str:
        """The answer as a sentence or two, broken where a narrow window would break it badly."""
        shown = [f"{table_label(row, self.rows)} {row.need:g} of {row.have:g}" for row in self._told()]
        number, counted = self.headline
        takes = "takes" if number == 1 else "take"
        said = f"{number} {counted.removeprefix('monitor ')} {takes} {', '.join(shown) or 'nothing'}"
        return f"{folded(f'{self.desk.name}: {said}.')}\n{folded('  ' + self.verdict)}"

    def _told(self) -> list[Ledger]:
        """The ledgers that the line names."""
        return [row for row in self.rows if row.need]

    @property
    def fields(self) -> dict[str, Field]:
        """Everything that can be moved and, where there are several, the desk."""
        found = {name: Field(value, self._options(name)) for name, value in self._chosen.items()}
        if len(self.desks) > 1:
            found[DESK] = Field(self.desk.name, tuple(self.desks))
        return found

    def move(self, what: str, to: str | int) -> str:
        """Move one thing and count again.

        Parameters
        ----------
        what : str
            One of `fields`, or ``"desk"``.
        to : str or int
            One of its options, or the name of a desk.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such thing to move, or it cannot be moved there; then nothing has changed.
        """
        fields = {**self.fields, DESK: Field(self.desk.name, tuple(self.desks))}
        name = among(what, tuple(fields), "what", "to move")
        value = among(to, fields[name].options, f"to, for {name},", "to choose")
        if name == DESK:
            self.desk = self.desks[value]
        else:
            self._choose(name, value)
        return self._count()

    def _choose(self, name: str, value: str) -> None:
        self._chosen[name] = value

    def _count(self) -> str:
        self._gig = self._made()
        self._demand = demand(self._gig, self.desk)
        return self.line


def ledgers_of(counted: Demand, key: str) -> list[Ledger]:
    """The rows of one key, place by place where there are several."""
    rows = [row for row in counted.ledgers if row.key == key]
    return [row for row in rows if row.where != "all"] or rows


def verdict_of(rows: tuple[Ledger, ...]) -> str:
    """How the ledgers shown stand, in a sentence."""
    found = []
    for state, said in (("short", "short of"), ("no spare", "no spare"), ("bring more", "bring more")):
        names = [table_label(row, rows) for row in rows if state_in_words(row) == state]
        found += [f"{said} {listed(names)}"] if names else []
    words = "; ".join(found) or "enough of everything here"
    return f"{words[0].upper()}{words[1:]}."


def state_in_words(row: Ledger) -> str:
    """How a ledger stands: ok, no spare, short, or bring more where it can be carried besides."""
    return "bring more" if row.state == "short" and not row.blocks else WORDS[row.state]


def table_label(row: Ledger, rows: tuple[Ledger, ...]) -> str:
    """The key of a row, with its place where there are several."""
    return row.key if sum(other.key == row.key for other in rows) == 1 else row.label


def folded(text: str) -> str:
    """Text in lines that a narrow notebook does not break again."""
    return textwrap.fill(text, WIDTH, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def among(given: object, allowed: tuple[str, ...], name: str, verb: str) -> str:
    """The one of `allowed` that was given, however it is written."""
    for each in allowed:
        if str(given).strip().casefold() == each.casefold():
            return each
    raise ValueError(
        f"{name} is {str(given)[:60]!r}, which there is not {verb}; these are: {', '.join(allowed)}"
    )
