"""What every formula does to its arguments: read them as numbers, refuse what lies outside its validity."""

from __future__ import annotations

import math
import reprlib
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = float | NDArray[np.float64]


def number(
    name: str,
    value: Any,
    unit: str = "",
    least: float = -math.inf,
    most: float = math.inf,
    *,
    above: float | None = None,
    below: float | None = None,
    silence: bool = False,
    empty: bool = False,
    whole: bool = False,
) -> NDArray[np.float64]:
    """Read one argument as float64, or raise ValueError with its name, the value and the range.

    `least` and `most` are included in the range, `above` and `below` are not. `silence` lets -inf through
    (a level of no sound); `empty` lets an array with no elements through; `whole` refuses fractions.
    """
    try:
        array = np.asarray(value)
        if array.dtype.kind not in "iuf":
            raise TypeError
        array = array.astype(np.float64)
    except (TypeError, ValueError):
        raise ValueError(
            f"{name} is {reprlib.repr(value)}; a number or an array of numbers is wanted"
        ) from None
    if array.size == 0 and not empty:
        raise ValueError(f"{name} is empty; at least one value is wanted")
    low, high = (least if above is None else above), (most if below is None else below)
    fine = np.isfinite(array) & (array >= least) & (array <= most)
    if above is not None:
        fine &= array > above
    if below is not None:
        fine &= array < below
    if whole:
        fine &= np.floor(array) == array
    if silence:
        fine |= np.isneginf(array)
    if not fine.all():
        wrong = float(array[~fine].flat[0])
        allowed = ("a whole number, " if whole else "") + _span(low, high, above, below, unit)
        raise ValueError(f"{name} is {wrong:.10g}{_unit(unit)}; it may be {allowed}")
    return array


def _unit(unit: str) -> str:
    return f" {unit}" if unit else ""


def _span(low: float, high: float, above: float | None, below: float | None, unit: str) -> str:
    from_, to = ("above" if above is not None else "from"), ("below" if below is not None else "to")
    if math.isinf(low) and math.isinf(high):
        return "any finite number"
    if math.isinf(high):
        return f"{low:g}{_unit(unit)} or more" if above is None else f"above {low:g}{_unit(unit)}"
    if math.isinf(low):
        return f"{high:g}{_unit(unit)} or less" if below is None else f"below {high:g}{_unit(unit)}"
    return f"{from_} {low:g} {to} {high:g}{_unit(unit)}"


def same_shape(**arrays: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Broadcast the arguments against each other, or raise ValueError with their names and shapes."""
    try:
        return list(np.broadcast_arrays(*arrays.values()))
    except ValueError:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise ValueError(
            f"shapes do not go together: {shapes}; make them equal, or one of them a single value"
        ) from None


def single(
    name: str,
    value: Any,
    unit: str = "",
    least: float = -math.inf,
    most: float = math.inf,
    *,
    above: float | None = None,
    whole: bool = False,
) -> float:
    """Read an argument that must be one number."""
    array = number(name, value, unit, least, most, above=above, whole=whole)
    if array.ndim:
        raise ValueError(f"{name} has shape {array.shape}; a single number is wanted")
    return float(array)


def typed(value: float) -> Fraction:
    """The decimal that was typed, exactly: the shortest one that reads back as this float."""
    return Fraction(repr(float(value)))


def plain(result: Any) -> Any:
    """A float where the answer is a single number, the array otherwise."""
    array = np.asarray(result, dtype=np.float64)
    return float(array) if array.ndim == 0 else array
