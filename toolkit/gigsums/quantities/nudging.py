"""Moving a quantity by small steps."""

from __future__ import annotations

import math

from .kind import Kind
from .showing import convert

_PREFERRED = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)  # ISO 3, series R10


def nudge(value: float, kind: Kind, unit: str | None = None, by: int = 1) -> float:
    """The next round value up or down.

    Parameters
    ----------
    value : float
        Where the quantity stands [base unit of the kind].
    kind : Kind
        What kind of quantity it is; its `step` says how far to go.
    unit : str, optional
        Unit in which the values are round; the base unit if left out.
    by : int, optional
        How many steps, down if below 0.

    Returns
    -------
    float
        The new value; as far as the range goes where a step would leave it [base unit of the kind].

    Raises
    ------
    ValueError
        If the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import DISTANCE, FREQUENCY
    >>> nudge(25.4, DISTANCE), nudge(1000, FREQUENCY, by=-1)
    (26.0, 800.0)
    """
    shown = convert(value, kind, unit)
    for _ in range(abs(by)):
        shown = _preferred(shown, by > 0) if kind.step == 0 else _multiple(shown, kind.step, by > 0)
    moved = convert(shown, kind, given=unit)
    return min(max(moved, kind.least), kind.most)


def _multiple(value: float, step: float, up: bool) -> float:
    at = round(value / step, 6)
    to = math.floor(at) + 1 if up else math.ceil(at) - 1
    return round(to * step, 9)


def _preferred(value: float, up: bool) -> float:
    if value <= 0:
        return value
    decade = math.floor(math.log10(value))
    near = sorted(float(f"{n * 10.0**d:.12g}") for n in _PREFERRED for d in (decade - 1, decade, decade + 1))
    if up:
        return next(each for each in near if each > value * (1 + 1e-9))
    return next(each for each in reversed(near) if each < value * (1 - 1e-9))
