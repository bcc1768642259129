"""Levels added, taken away and averaged. Published as `decibels`.

A sum of sound pressure levels bears on hearing; `gigsums.formulas.exposure` carries the limits and their
caution, and local law comes before either.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas._levels import MOST_DB


def sum_levels(levels_db: ArrayLike, axis: int | None = None) -> Numbers:
    r"""Level of unrelated sources sounding together.

    Unrelated sources add in power, :math:`L = 10 \log_{10} \sum_i 10^{L_i/10}`.
    Two feeds of one signal add in pressure instead: `sum_levels_in_phase`.

    Parameters
    ----------
    levels_db : array_like, any shape
        Each source alone, same reference, same place, -3000 to 3000 [dB]. -inf is silence.
    axis : int, optional
        Axis to sum along; every axis if left out [-].

    Returns
    -------
    float or ndarray
        Level of the sum; -inf where all is silence [dB].

    Raises
    ------
    ValueError
        If there is nothing to sum, a level is not a number in that range, or there is no such axis.

    Examples
    --------
    Two wedges of 90 dB each:

    >>> round(sum_levels([90, 90]), 1)
    93.0

    References
    ----------
    .. [1] D. Davis and E. Patronis, *Sound System Engineering*, section 2.15.
    """
    return plain(_sum(*_levels(levels_db, axis), per_decade=10.0))


def sum_levels_in_phase(levels_db: ArrayLike, axis: int | None = None) -> Numbers:
    r"""Level of feeds of one signal that arrive together and in phase.

    Such feeds add in pressure, :math:`L = 20 \log_{10} \sum_i 10^{L_i/20}`: the most a sum can reach.

    Parameters
    ----------
    levels_db : array_like, any shape
        Each feed alone, same reference, same place, -3000 to 3000 [dB]. -inf is silence.
    axis : int, optional
        Axis to sum along; every axis if left out [-].

    Returns
    -------
    float or ndarray
        Level of the sum; -inf where all is silence [dB].

    Raises
    ------
    ValueError
        If there is nothing to sum, a level is not a number in that range, or there is no such axis.

    Examples
    --------
    Two subwoofers of 90 dB each, side by side:

    >>> round(sum_levels_in_phase([90, 90]), 1)
    96.0

    References
    ----------
    .. [1] A. Farina, University of Parma, lecture *Decibel values: sum and difference*, examples 4 and 5.
    """
    return plain(_sum(*_levels(levels_db, axis), per_decade=20.0))


def sum_two_tones(first_db: ArrayLike, second_db: ArrayLike, phase_deg: ArrayLike) -> Numbers:
    """Level of two tones of one frequency that meet with a phase between them.

    Parameters
    ----------
    first_db, second_db : array_like
        Each tone alone, -3000 to 3000 [dB].
    phase_deg : array_like
        Phase of one against the other, -1e9 to 1e9 [deg].

    Returns
    -------
    float or ndarray
        Level of the sum; -inf where equal tones cancel [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(sum_two_tones(90, 90, 120), 2)
    90.0

    References
    ----------
    .. [1] *Audio Engineering* (handbook by several authors), chapter 2, table 2.9.
    """
    first, second, phase = same_shape(
        first_db=number("first_db", first_db, "dB", -MOST_DB, MOST_DB),
        second_db=number("second_db", second_db, "dB", -MOST_DB, MOST_DB),
        phase_deg=number("phase_deg", phase_deg, "deg", -1e9, 1e9),
    )
    louder = np.maximum(first, second)
    ratio = 10 ** (-np.abs(first - second) / 20)
    from_opposition = np.deg2rad(np.mod(phase, 360.0) - 180.0)
    # (1 - r)^2 + 4 r sin^2(x/2) keeps its digits where 1 + r^2 - 2 r cos(x) loses them, near cancellation.
    power = (1 - ratio) ** 2 + 4 * ratio * np.sin(from_opposition / 2) ** 2
    with np.errstate(divide="ignore"):
        return plain(louder + 10 * np.log10(power))


def subtract_level(total_db: ArrayLike, part_db: ArrayLike) -> Numbers:
    """Level of what is left when one unrelated part of the sound is taken away.

    Parameters
    ----------
    total_db : array_like
        Everything together, -3000 to 3000 [dB].
    part_db : array_like
        The part alone, such as the noise of the room; below the total [dB]. -inf is silence.

    Returns
    -------
    float or ndarray
        Level of the rest [dB].

    Raises
    ------
    ValueError
        If the part is not below the total, an argument is not a number in its range, or the shapes do not
        go together.

    Notes
    -----
    Within about 3 dB of the total the rest hangs on small errors of either reading.

    Examples
    --------
    >>> round(subtract_level(85, 80), 1)
    83.3

    References
    ----------
    .. [1] A. Farina, University of Parma, lecture *Decibel values: sum and difference*, example 3.
    """
    total, part = same_shape(
        total_db=number("total_db", total_db, "dB", -MOST_DB, MOST_DB),
        part_db=number("part_db", part_db, "dB", -MOST_DB, MOST_DB, silence=True),
    )
    if not (part < total).all():
        where = np.argmax(~(part < total))
        raise ValueError(
            f"part_db is {part.flat[where]:g} dB; it may be anything below total_db, {total.flat[where]:g} dB"
        )
    return plain(total + 10 * np.log10(-np.expm1((part - total) * np.log(10) / 10)))


def average_level(
    levels_db: ArrayLike, durations: ArrayLike | None = None, axis: int | None = None
) -> Numbers:
    r"""Level of the mean power: the equivalent level, Leq, when the levels follow each other in time.

    :math:`L = 10 \log_{10} (\sum_i t_i 10^{L_i/10} / \sum_i t_i)`.

    Parameters
    ----------
    levels_db : array_like, any shape
        The levels, -3000 to 3000 [dB]. -inf is silence.
    durations : array_like, optional
        How long each lasted, 0 to 1e9 in any one unit of time; equal if left out [any].
    axis : int, optional
        Axis to average along; every axis if left out [-].

    Returns
    -------
    float or ndarray
        Level of the mean power; -inf where all is silence [dB].

    Raises
    ------
    ValueError
        If there is nothing to average, an argument is not a number in its range, the durations are all 0,
        the shapes do not go together, or there is no such axis.

    Examples
    --------
    An hour at 90 dB and an hour at 100 dB:

    >>> round(average_level([90, 100]), 1)
    97.4

    References
    ----------
    .. [1] ISO 9612:2009, annex D, energy averages of the samples of a task.
    """
    levels, _ = _levels(levels_db, axis)
    times = np.ones(()) if durations is None else number("durations", durations, "", 0, 1e9)
    levels, times = same_shape(levels_db=levels, durations=times)
    axis = _axis(levels, axis)
    total_time = times.sum(axis=axis)
    if not (total_time > 0).all():
        raise ValueError("durations is 0 throughout; at least one must be above 0")
    with np.errstate(divide="ignore"):
        return plain(_sum(levels + 10 * np.log10(times), axis, 10.0) - 10 * np.log10(total_time))


def _levels(levels_db: ArrayLike, axis: int | None) -> tuple[NDArray[np.float64], int | None]:
    levels = number("levels_db", levels_db, "dB", -MOST_DB, MOST_DB, silence=True)
    return levels, _axis(levels, axis)


def _axis(array: NDArray[np.float64], axis: int | None) -> int | None:
    if axis is None:
        return None
    whole = isinstance(axis, (int, np.integer)) and not isinstance(axis, bool)
    if not whole or not -array.ndim <= axis < array.ndim:
        raise ValueError(f"axis is {axis!r}; the levels have {array.ndim} axes, counted from 0")
    return int(axis)


def _sum(levels: NDArray[np.float64], axis: int | None, per_decade: float) -> NDArray[np.float64]:
    loudest = levels.max(axis=axis, keepdims=True)
    loudest = np.where(np.isneginf(loudest), 0.0, loudest)
    total = (10 ** ((levels - loudest) / per_decade)).sum(axis=axis, keepdims=True)
    with np.errstate(divide="ignore"):
        return (loudest + per_decade * np.log10(total)).squeeze(axis)
