"""Reading, converting and showing a quantity.

A decimal point and a decimal comma are both taken. A space may stand between groups of three digits; a
point or a comma never does, so one of them is always the decimal mark, and a number that could be meant
both ways ("3,177 W") is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

LONGEST = 60
_ALIKE = str.maketrans(
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
_NUMBER = re.compile(r"([+-]?) ?((?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]*)(?:[.,][0-9]*)?)")
_PART = re.compile(r" ?([0-9]+(?:[.,][0-9]+)?) ?([^0-9.,+-]+)")


class NotUnderstood(ValueError):
    """What was typed is not the quantity wanted; the message is one line.

    Attributes
    ----------
    stood : str
        What was typed, shortened.
    why : str
        What is wrong with it.
    wanted : str
        What may be typed, with the range.
    """

    def __init__(self, stood: str, why: str, wanted: str) -> None:
        super().__init__(f"{stood!r}: {why}; {wanted}" if stood else f"{why}; {wanted}")
        self.stood, self.why, self.wanted = stood, why, wanted


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

    @property
    def base(self) -> Unit:
        """The base unit."""
        return self.units[0]

    def within(self, least: float | None = None, most: float | None = None) -> Kind:
        """The same kind with another range [base unit]."""
        return replace(
            self, least=self.least if least is None else least, most=self.most if most is None else most
        )

    def shown_to(self, decimals: int, figures: int = 0) -> Kind:
        """The same kind shown to other decimals in every unit."""
        units = tuple(replace(unit, decimals=None) for unit in self.units)
        return replace(self, units=units, decimals=decimals, figures=figures)

    def unit(self, name: str | None = None) -> Unit:
        """The unit of that name or spelling; the base unit for None.

        Raises
        ------
        ValueError
            If the kind has no such unit.
        """
        if name is None:
            return self.base
        found = _spelt(name.translate(_ALIKE).strip(), self)
        if found is None:
            raise ValueError(f"{name!r} is not a unit of {self.name}; these are: {_names(self)}")
        return found


def _spelt(text: str, kind: Kind) -> Unit | None:
    for fold in (False, True):
        for unit in kind.units:
            for spelling in (unit.name.translate(_ALIKE), *unit.also):
                if text == spelling:
                    return unit
                # m and M are milli and mega, so their case is never overlooked
                alike = text.casefold() == spelling.casefold()
                if fold and alike and (text[:1] not in "mM" or text[:1] == spelling[:1]):
                    return unit
    return None


def _names(kind: Kind) -> str:
    names = [unit.name for unit in kind.units if unit.name]
    return " or ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def _from(value: float, unit: Unit) -> float:
    return value * unit.factor + unit.offset


def _to(value: float, unit: Unit) -> float:
    return (value - unit.offset) / unit.factor


def convert(value: float, kind: Kind, to: str | None = None, given: str | None = None) -> float:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float
        The quantity [unit `given`].
    kind : Kind
        What kind of quantity it is.
    to : str, optional
        Unit wanted; the base unit if left out.
    given : str, optional
        Unit of `value`; the base unit if left out.

    Returns
    -------
    float
        The quantity [unit `to`].

    Raises
    ------
    ValueError
        If the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import TEMPERATURE
    >>> convert(68, TEMPERATURE, given="°F")
    20.0
    """
    return _to(_from(value, kind.unit(given)), kind.unit(to))


def span(kind: Kind, unit: str | None = None) -> str:
    """The range of a kind in words, each end rounded inwards so that it may be typed as it stands.

    Parameters
    ----------
    kind : Kind
        What kind of quantity it is.
    unit : str, optional
        Unit to say it in; the base unit if left out.

    Returns
    -------
    str
        For example "from 0.1 to 300 m"; empty where there is no range.
    """
    used = kind.unit(unit)
    least, most = _inward(_to(kind.least, used), kind, used, 1), _inward(_to(kind.most, used), kind, used, -1)
    if math.isinf(kind.least) and math.isinf(kind.most):
        return ""
    if math.isinf(kind.most):
        return f"{show(_from(least, used), kind, unit)} or more"
    if math.isinf(kind.least):
        return f"{show(_from(most, used), kind, unit)} or less"
    return f"from {_digits(least, kind, used)} to {show(_from(most, used), kind, unit)}"


def _inward(value: float, kind: Kind, unit: Unit, way: int) -> float:
    if math.isinf(value):
        return value
    step = 10.0 ** _places(value, kind, unit)
    nearest = round(value * step)
    if abs(nearest - value * step) > 1e-6 and (nearest - value * step) * way < 0:
        nearest += way
    return nearest / step


def _wanted(kind: Kind, unit: Unit) -> str:
    what = "a whole number" if kind.whole else f"a number in {_names(kind)}" if _names(kind) else "a number"
    return f"{kind.name} wants {what} {span(kind, unit.name)}".rstrip()


def read(text: str, kind: Kind, unit: str | None = None, check: bool = True) -> float:
    """Read what a person typed.

    Parameters
    ----------
    text : str
        A number, with or without a unit: "12 ft", "74,8 ms", "−10", "1.5k".
    kind : Kind
        What kind of quantity is wanted.
    unit : str, optional
        Unit of a bare number; the base unit if left out.
    check : bool, optional
        Whether the range of the kind applies.

    Returns
    -------
    float
        The quantity [base unit of the kind].

    Raises
    ------
    NotUnderstood
        If that is not one such quantity within the range.

    Examples
    --------
    >>> from gigsums.quantities import DELAY, DISTANCE
    >>> round(read("12 ft", DISTANCE), 4)
    3.6576
    >>> read("74,8 ms", DELAY)
    74.8
    """
    bare = kind.unit(unit)
    clean = text.translate(_ALIKE).strip()
    stood = clean if len(clean) <= 24 else clean[:23] + "…"

    def refuse(why: str) -> NotUnderstood:
        return NotUnderstood(stood, why, _wanted(kind, bare))

    if not clean:
        raise refuse("nothing was typed")
    if len(clean) > LONGEST:
        raise refuse(f"{len(clean)} characters are too many for one number")
    value, readings = _quantity(clean, kind, bare, refuse)
    if len(readings) > 1 and (not check or all(_inside(each, kind) for each in readings)):
        raise refuse(
            "the comma could be a decimal mark or stand between thousands, so type a point or no comma"
        )
    if not math.isfinite(value):
        raise refuse("that is not a finite number")
    if kind.whole and value != round(value):
        raise refuse("that is not a whole number")
    if check and not _inside(value, kind):
        raise refuse("that is out of range")
    # 122 °F is 50.00000000000001 °C: an end of the range, not beyond it
    return min(max(value, kind.least), kind.most) if check else value


def _inside(value: float, kind: Kind) -> bool:
    slack = 1e-12 * abs(value)
    return kind.least - slack <= value <= kind.most + slack


def _quantity(
    text: str, kind: Kind, bare: Unit, refuse: Callable[[str], NotUnderstood]
) -> tuple[float, list[float]]:
    found = _NUMBER.match(text)
    sign, digits = found.groups() if found else ("", "")
    rest = text[found.end() :].strip() if found else text
    if not re.search("[0-9]", digits):
        raise refuse("that is not a number")
    if rest[:1] in (".", ",") and re.match(r"[.,][0-9]", rest):
        raise refuse("a number has one decimal mark, so leave the other out")
    used = bare if not rest else _spelt(rest, kind)
    if used is None and kind.fractions and re.fullmatch(r"/ ?[1-9][0-9]{0,3}", rest):
        value = _from(_plain(sign, digits) / int(rest[1:]), bare)
        return value, [value]
    if used is None and kind.parts:
        total = _sum_of_parts(text, kind)
        if total is not None:
            return total, [total]
    if used is None:
        if re.match("[0-9]", rest):
            raise refuse("one number is wanted")
        shown = rest if len(rest) <= 24 else rest[:23] + "…"
        raise refuse(
            f"{shown!r} is not a unit of {kind.name}" if kind.base.name else f"{shown!r} is too much"
        )
    value = _from(_plain(sign, digits), used)
    readings = [value]
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        readings.append(_from(_plain(sign, digits.replace(",", "")), used))
    return value, readings


def _plain(sign: str, digits: str) -> float:
    return float(sign + digits.replace(" ", "").replace(",", "."))


def _sum_of_parts(text: str, kind: Kind) -> float | None:
    total, at, coarser = 0.0, 0, math.inf
    while at < len(text):
        part = _PART.match(text, at)
        used = _spelt(part.group(2).strip(), kind) if part else None
        if part is None or used is None or used.offset or used.factor >= coarser:
            return None
        size = _plain("", part.group(1)) * used.factor
        if size >= coarser:  # "6 ft 14 in"
            return None
        total, at, coarser = total + size, part.end(), used.factor
    return total


def _places(value: float, kind: Kind, unit: Unit) -> int:
    places = kind.decimals if unit.decimals is None else unit.decimals
    if kind.figures and value and math.isfinite(value):
        places = max(places, kind.figures - 1 - math.floor(math.log10(abs(value))))
    return min(places, 12)


def _digits(value: float, kind: Kind, unit: Unit) -> str:
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    text = f"{value:.{_places(value, kind, unit)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def show(value: float, kind: Kind, unit: str | None = None, comma: bool = False) -> str:
    """Write a quantity as a person would, rounded and with its unit.

    Parameters
    ----------
    value : float
        The quantity [base unit of the kind]; it is not checked against the range.
    kind : Kind
        What kind of quantity it is.
    unit : str, optional
        Unit to show it in; the base unit if left out.
    comma : bool, optional
        Whether the decimal mark is a comma.

    Returns
    -------
    str
        Number and unit.

    Raises
    ------
    ValueError
        If the value is not a number, or the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import DELAY, DISTANCE
    >>> show(74.81, DELAY)
    '74.8 ms'
    >>> show(3.6576, DISTANCE, "ft", comma=True)
    '12 ft'
    """
    if math.isnan(value):
        raise ValueError(f"{kind.name} is nan; a number is wanted")
    used = kind.unit(unit)
    turned = _to(value, used)
    digits = _digits(turned, kind, used)
    if comma:
        digits = digits.replace(".", ",")
    return f"{digits}{'' if used.glued or not used.name else ' '}{used.name}"
