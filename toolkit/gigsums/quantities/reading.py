"""Reading what a person typed.

A decimal point and a decimal comma are both taken. A space may stand between groups of three digits; a
point or a comma never does, so one of them is always the decimal mark, and a number that could be meant
both ways ("3,177 W") is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from .kind import ALIKE, Kind, Unit, names, spelt
from .showing import span, to_base

LONGEST = 60
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


def _wanted(kind: Kind, unit: Unit) -> str:
    what = "a whole number" if kind.whole else f"a number in {names(kind)}" if names(kind) else "a number"
    between = ", " if len(kind.units) > 1 else " "  # "in m, ft or in, from 1 to 9 m"
    return f"{kind.name} wants {what}{between}{span(kind, unit.name)}".rstrip(", ")


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
    clean = text.translate(ALIKE).strip()
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
    used = bare if not rest else spelt(rest, kind)
    if used is None and kind.fractions and re.fullmatch(r"/ ?[1-9][0-9]{0,3}", rest):
        value = to_base(_plain(sign, digits) / int(rest[1:]), bare)
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
    value = to_base(_plain(sign, digits), used)
    readings = [value]
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        readings.append(to_base(_plain(sign, digits.replace(",", "")), used))
    return value, readings


def _plain(sign: str, digits: str) -> float:
    return float(sign + digits.replace(" ", "").replace(",", "."))


def _sum_of_parts(text: str, kind: Kind) -> float | None:
    total, at, coarser = 0.0, 0, math.inf
    while at < len(text):
        part = _PART.match(text, at)
        used = spelt(part.group(2).strip(), kind) if part else None
        if part is None or used is None or used.offset or used.factor >= coarser:
            return None
        size = _plain("", part.group(1)) * used.factor
        if size >= coarser:  # "6 ft 14 in"
            return None
        total, at, coarser = total + size, part.end(), used.factor
    return total
