"""Converting and showing a quantity."""

from __future__ import annotations

import math

from .kind import Kind, Unit


def to_base(value: float, unit: Unit) -> float:
    """From a unit to the base unit of its kind."""
    return value * unit.factor + unit.offset


def from_base(value: float, unit: Unit) -> float:
    """From the base unit of a kind to a unit."""
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
    return from_base(to_base(value, kind.unit(given)), kind.unit(to))


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
    least, most = (
        _inward(from_base(kind.least, used), kind, used, 1),
        _inward(from_base(kind.most, used), kind, used, -1),
    )
    if math.isinf(kind.least) and math.isinf(kind.most):
        return ""
    if math.isinf(kind.most):
        return f"{show(to_base(least, used), kind, unit)} or more"
    if math.isinf(kind.least):
        return f"{show(to_base(most, used), kind, unit)} or less"
    return f"from {_digits(least, kind, used)} to {show(to_base(most, used), kind, unit)}"


def _inward(value: float, kind: Kind, unit: Unit, way: int) -> float:
    if math.isinf(value):
        return value
    step = 10.0 ** _places(value, kind, unit)
    nearest = round(value * step)
    if abs(nearest - value * step) > 1e-6 and (nearest - value * step) * way < 0:
        nearest += way
    return nearest / step


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


def show(value: float, kind: Kind, unit: str | None = None, comma: bool = False, bare: bool = False) -> str:
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
    bare : bool, optional
        Whether the unit is left out.

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
    over = value > kind.ceiling
    turned = from_base(kind.ceiling if over else value, used)
    digits = _digits(turned, kind, used)
    if comma:
        digits = digits.replace(".", ",")
    if over:
        digits = f"over {digits}"
    if bare:
        return digits
    return f"{digits}{'' if used.glued or not used.name else ' '}{used.name}"
