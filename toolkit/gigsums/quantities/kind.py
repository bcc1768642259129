"""Units and kinds: what a quantity is."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f\t", " "),
        **dict.fromkeys("\u2212\u2010\u2011\u2013\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2032\u2019\u2018", "'"),
        **dict.fromkeys("\u2033\u201d\u201c", '"'),
        "\u2126": "\u03a9",
        "\u00b5": "\u03bc",
        "\u00ba": "\u00b0",
    }
)


@dataclass(frozen=True)
class Unit:
    """A unit of a kind: `base = typed * factor + offset`."""

    name: str
    factor: float = 1.0
    offset: float = 0.0
    also: tuple[str, ...] = ()
    decimals: int | None = None
    glued: bool = False


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its units (the first is the base), its range and how it is shown.

    Parameters
    ----------
    name : str
        The trade's word for it, used in messages.
    units : tuple of Unit
        Base unit first; every range and every value that is passed on is in the base unit.
    least, most : float
        The range of what may be typed, ends included [base unit].
    decimals : int
        Decimals shown.
    figures : int
        Small values get further decimals until they show this many figures; 0 is never.
    whole : bool
        Only whole numbers are taken.
    parts : bool
        "6 ft 3 in" and "1 h 30 min" are taken.
    fractions : bool
        "1/3" is taken.
    other : str
        The unit to offer beside the base unit; empty for none.
    ceiling : float
        Above this only "over" it is shown [base unit].
    step : float
        How far one nudge goes, in the unit in use; 0 goes along the preferred numbers of ISO 3 (R10).
    """

    name: str
    units: tuple[Unit, ...]
    least: float = -math.inf
    most: float = math.inf
    decimals: int = 1
    figures: int = 0
    whole: bool = False
    parts: bool = False
    fractions: bool = False
    other: str = ""
    ceiling: float = math.inf
    step: float = 1.0

    @property
    def base(self) -> Unit:
        """The base unit."""
        return self.units[0]

    def within(self, least: float | None = None, most: float | None = None) -> Kind:
        """The same kind with another range.

        Parameters
        ----------
        least, most : float, optional
            Ends of the range, as before where left out [base unit].

        Returns
        -------
        Kind
            The narrower or wider kind.
        """
        return replace(
            self, least=self.least if least is None else least, most=self.most if most is None else most
        )

    def shown_to(self, decimals: int, figures: int = 0) -> Kind:
        """The same kind shown to other decimals, in every unit.

        Parameters
        ----------
        decimals : int
            Decimals shown [-].
        figures : int, optional
            Figures that small values are shown to [-].

        Returns
        -------
        Kind
            The kind, shown so.
        """
        units = tuple(replace(unit, decimals=None) for unit in self.units)
        return replace(self, units=units, decimals=decimals, figures=figures)

    def unit(self, name: str | None = None) -> Unit:
        """The unit of that name or spelling.

        Parameters
        ----------
        name : str, optional
            Name or other spelling; the base unit if left out.

        Returns
        -------
        Unit
            The unit.

        Raises
        ------
        ValueError
            If the kind has no such unit.
        """
        if name is None:
            return self.base
        found = spelt(name.translate(ALIKE).strip(), self)
        if found is None:
            raise ValueError(f"{name!r} is not a unit of {self.name}; these are: {names(self)}")
        return found


def spelt(text: str, kind: Kind) -> Unit | None:
    """The unit of a kind that a spelling stands for; None if there is none."""
    for fold in (False, True):
        for unit in kind.units:
            for spelling in (unit.name.translate(ALIKE), *unit.also):
                if text == spelling:
                    return unit
                # m and M are milli and mega, so their case is never overlooked
                alike = text.casefold() == spelling.casefold()
                if fold and alike and (text[:1] not in "mM" or text[:1] == spelling[:1]):
                    return unit
    return None


def names(kind: Kind) -> str:
    """The units of a kind, in words."""
    listed = [unit.name for unit in kind.units if unit.name]
    return " or ".join([", ".join(listed[:-1]), listed[-1]]) if len(listed) > 1 else "".join(listed)
