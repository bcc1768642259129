"""Decibels: ratios, adding and taking away levels, levels against a reference, and what a recording weighs.

A sum of sound pressure levels bears on hearing; `gigsums.formulas.exposure` carries the limits and their
caution, and local law comes before either.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas._levels import (
    MOST_DB,
    dbfs_to_dbu,
    dbm_to_watts,
    dbu_to_dbfs,
    dbu_to_dbv,
    dbu_to_volts,
    dbv_to_dbu,
    dbv_to_volts,
    pascals_to_spl,
    spl_to_pascals,
    volts_to_dbu,
    volts_to_dbv,
    watts_to_dbm,
)
from gigsums.formulas._sums import (
    average_level,
    subtract_level,
    sum_levels,
    sum_levels_in_phase,
    sum_two_tones,
)

__all__ = [
    "amplitude_to_db",
    "average_level",
    "db_to_amplitude",
    "db_to_power",
    "dbfs_to_dbu",
    "dbm_to_watts",
    "dbu_to_dbfs",
    "dbu_to_dbv",
    "dbu_to_volts",
    "dbv_to_dbu",
    "dbv_to_volts",
    "pascals_to_spl",
    "power_to_db",
    "recording_bytes",
    "spl_to_pascals",
    "subtract_level",
    "sum_levels",
    "sum_levels_in_phase",
    "sum_two_tones",
    "volts_to_dbu",
    "volts_to_dbv",
    "watts_to_dbm",
]

_SAMPLE_BITS = (8, 16, 24, 32, 64)


def power_to_db(ratio: ArrayLike) -> Numbers:
    """Decibels of a ratio of powers.

    Parameters
    ----------
    ratio : array_like
        One power over the other, above 0 [-].

    Returns
    -------
    float or ndarray
        The ratio in decibels [dB].

    Raises
    ------
    ValueError
        If a ratio is not a number above 0.

    Examples
    --------
    >>> round(power_to_db(2), 2)
    3.01

    References
    ----------
    .. [1] Definition: ten times the common logarithm of a ratio of powers.
    """
    return plain(10 * np.log10(number("ratio", ratio, above=0)))


def db_to_power(level_db: ArrayLike) -> Numbers:
    """Ratio of powers that a number of decibels stands for.

    Parameters
    ----------
    level_db : array_like
        Decibels, -3000 to 3000 [dB].

    Returns
    -------
    float or ndarray
        Ratio of powers [-].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(db_to_power(3), 2)
    2.0

    References
    ----------
    .. [1] Definition: ten times the common logarithm of a ratio of powers.
    """
    return plain(10 ** (number("level_db", level_db, "dB", -MOST_DB, MOST_DB) / 10))


def amplitude_to_db(ratio: ArrayLike) -> Numbers:
    """Decibels of a ratio of voltages, pressures or currents.

    Parameters
    ----------
    ratio : array_like
        One amplitude over the other, above 0 [-].

    Returns
    -------
    float or ndarray
        The ratio in decibels [dB].

    Raises
    ------
    ValueError
        If a ratio is not a number above 0.

    Examples
    --------
    >>> round(amplitude_to_db(2), 2)
    6.02

    References
    ----------
    .. [1] Definition: twenty times the common logarithm of a ratio of amplitudes.
    """
    return plain(20 * np.log10(number("ratio", ratio, above=0)))


def db_to_amplitude(level_db: ArrayLike) -> Numbers:
    """Ratio of voltages, pressures or currents that a number of decibels stands for.

    Parameters
    ----------
    level_db : array_like
        Decibels, -3000 to 3000 [dB].

    Returns
    -------
    float or ndarray
        Ratio of amplitudes [-].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(db_to_amplitude(6), 2)
    2.0

    References
    ----------
    .. [1] Definition: twenty times the common logarithm of a ratio of amplitudes.
    """
    return plain(10 ** (number("level_db", level_db, "dB", -MOST_DB, MOST_DB) / 20))


def recording_bytes(
    duration_s: ArrayLike, channels: ArrayLike, sample_rate_hz: ArrayLike = 48_000, bits: ArrayLike = 24
) -> int | NDArray[np.int64]:
    """Bytes that an uncompressed recording takes, headers apart, counted exactly.

    Parameters
    ----------
    duration_s : array_like
        Length, 0 to 10 000 000; taken to the nearest whole sample [s].
    channels : array_like of whole numbers
        Channels recorded, 1 to 1024 [-].
    sample_rate_hz : array_like of whole numbers, optional
        Sample rate, 1 to 1 000 000 [Hz].
    bits : array_like of whole numbers, optional
        Bits a sample takes in the file: 8, 16, 24, 32 or 64 [-].

    Returns
    -------
    int or ndarray of int
        Size; 10^9 bytes are a gigabyte (GB), 2^30 a gibibyte (GiB) [byte].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    32 channels for two hours:

    >>> recording_bytes(2 * 3600, 32) / 1e9
    33.1776

    References
    ----------
    .. [1] Definition: a count of samples times the bytes that each takes.
    """
    seconds, count, rate, depth = same_shape(
        duration_s=number("duration_s", duration_s, "s", 0, 1e7),
        channels=number("channels", channels, "", 1, 1024, whole=True),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", 1, 1e6, whole=True),
        bits=number("bits", bits),
    )
    if not np.isin(depth, _SAMPLE_BITS).all():
        wrong = depth[~np.isin(depth, _SAMPLE_BITS)].flat[0]
        raise ValueError(f"bits is {wrong:g}; it may be 8, 16, 24, 32 or 64")
    samples = np.rint(seconds * rate).astype(np.int64)
    size = samples * count.astype(np.int64) * (depth.astype(np.int64) // 8)
    return int(size) if size.ndim == 0 else size
