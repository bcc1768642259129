"""Gain structure: what a microphone delivers, what the input does to it, and where the chain clips first.

Levels are RMS throughout; music peaks 12 to 20 dB above, which is what headroom is for. A change of gain on
a live system can be loud and sudden: bring levels up from nothing, and warn whoever wears in-ears.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas._gain_walk import microphone_level_dbu, thermal_noise_dbu, walk_gain
from gigsums.formulas._levels import MOST_DB

__all__ = [
    "gain_needed_db",
    "headroom_db",
    "loading_loss_db",
    "microphone_level_dbu",
    "sensitivity_dbv_per_pa",
    "sensitivity_mv_per_pa",
    "thermal_noise_dbu",
    "transformer_di_loss_db",
    "walk_gain",
]


def gain_needed_db(level_dbu: ArrayLike, target_dbu: ArrayLike = 0) -> Numbers:
    """Gain that brings a level to the level wanted; below 0 it has to come down, which is what a pad is for.

    Parameters
    ----------
    level_dbu : array_like
        Level that arrives, -3000 to 3000 [dBu].
    target_dbu : array_like, optional
        Level wanted, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Gain [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> gain_needed_db(-35.8)
    35.8

    References
    ----------
    .. [1] Definition: gain is the level out less the level in.
    """
    level, target = same_shape(
        level_dbu=number("level_dbu", level_dbu, "dBu", -MOST_DB, MOST_DB),
        target_dbu=number("target_dbu", target_dbu, "dBu", -MOST_DB, MOST_DB),
    )
    return plain(target - level)


def headroom_db(level_dbu: ArrayLike, clip_dbu: ArrayLike) -> Numbers:
    """Room between a level and the level that clips; below 0 it clips already.

    Parameters
    ----------
    level_dbu : array_like
        Level, -3000 to 3000 [dBu].
    clip_dbu : array_like
        Highest level that passes unharmed, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Headroom [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> headroom_db(4, clip_dbu=22)
    18.0

    References
    ----------
    .. [1] Definition: highest level less the level. How much to keep, 12 to 20 dB: common practice, no
       source.
    """
    level, clip = same_shape(
        level_dbu=number("level_dbu", level_dbu, "dBu", -MOST_DB, MOST_DB),
        clip_dbu=number("clip_dbu", clip_dbu, "dBu", -MOST_DB, MOST_DB),
    )
    return plain(clip - level)


def loading_loss_db(source_ohm: ArrayLike, load_ohm: ArrayLike) -> Numbers:
    """Change of level when a source is loaded, against the same source left open.

    Inputs in parallel load a source with less than either: work out the load they make first.

    Parameters
    ----------
    source_ohm : array_like
        Output impedance, 0 to 1e9 [ohm].
    load_ohm : array_like
        Input impedance, 0.001 to 1e9 [ohm].

    Returns
    -------
    float or ndarray
        Change of level, 0 or less [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Both impedances are taken as resistances.

    Examples
    --------
    >>> round(loading_loss_db(150, 1500), 1)
    -0.8

    References
    ----------
    .. [1] None found beyond circuit theory: the load and the source divide the voltage.
    """
    source, load = same_shape(
        source_ohm=number("source_ohm", source_ohm, "ohm", 0, 1e9),
        load_ohm=number("load_ohm", load_ohm, "ohm", 0.001, 1e9),
    )
    return plain(-20 * np.log10(1 + source / load))


def transformer_di_loss_db(turns_ratio: ArrayLike) -> Numbers:
    """Change of level through the transformer of a passive DI box.

    The impedance falls by the square of the turns ratio: 12:1 makes 14 kilohm look like 100 ohm.

    Parameters
    ----------
    turns_ratio : array_like
        Turns on the instrument side over turns on the desk side, 0.001 to 1000 [-].

    Returns
    -------
    float or ndarray
        Change of level, below 0 where the transformer steps down [dB].

    Raises
    ------
    ValueError
        If the ratio is not a number in that range.

    Notes
    -----
    An ideal transformer; a real one loses up to another decibel or two.

    Examples
    --------
    >>> round(transformer_di_loss_db(12), 1)
    -21.6

    References
    ----------
    .. [1] None found beyond circuit theory: voltages go as the turns.
    """
    return plain(-20 * np.log10(number("turns_ratio", turns_ratio, "", 0.001, 1000)))


def sensitivity_mv_per_pa(level_dbv_per_pa: ArrayLike) -> Numbers:
    """Sensitivity of a microphone in mV/Pa from one in dB.

    Parameters
    ----------
    level_dbv_per_pa : array_like
        Sensitivity against 1 V/Pa, -3000 to 3000; almost always -75 to -20 [dB re 1 V/Pa].

    Returns
    -------
    float or ndarray
        Sensitivity [mV/Pa].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(sensitivity_mv_per_pa(-54), 2)
    2.0

    References
    ----------
    .. [1] Definition: decibels against 1 V/Pa. Some data sheets count from 1 V/ubar, 20 dB lower.
    """
    level = number("level_dbv_per_pa", level_dbv_per_pa, "dB re 1 V/Pa", -MOST_DB, MOST_DB)
    return plain(1000 * 10 ** (level / 20))


def sensitivity_dbv_per_pa(level_mv_per_pa: ArrayLike) -> Numbers:
    """Sensitivity of a microphone in dB against 1 V/Pa from one in mV/Pa.

    Parameters
    ----------
    level_mv_per_pa : array_like
        Sensitivity, above 0 [mV/Pa].

    Returns
    -------
    float or ndarray
        Sensitivity [dB re 1 V/Pa].

    Raises
    ------
    ValueError
        If a sensitivity is not a number above 0.

    Examples
    --------
    >>> round(sensitivity_dbv_per_pa(2), 1)
    -54.0

    References
    ----------
    .. [1] Definition: decibels against 1 V/Pa. Some data sheets count from 1 V/ubar, 20 dB lower.
    """
    return plain(20 * np.log10(number("level_mv_per_pa", level_mv_per_pa, "mV/Pa", above=0)) - 60)
