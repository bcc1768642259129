"""Levels against a named reference: volts, watts, pascals and digital full scale. Published as `decibels`.

A sound pressure level bears on hearing; `gigsums.formulas.exposure` carries the limits and their caution.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

MOST_DB = 3000.0  # computed to +/- this many decibels, where double precision still holds the ratio

_DBV_AT_0_DBU = 10 * math.log10(0.6)  # 1 mW in 600 ohm is the square root of 0.6 V
_DBM_AT_1_W = 30
_PASCALS_AT_0_DB = 20e-6


def _db(name: str, level: ArrayLike, unit: str) -> NDArray[np.float64]:
    return number(name, level, unit, -MOST_DB, MOST_DB)


def dbu_to_volts(level_dbu: ArrayLike) -> Numbers:
    """Voltage of a level in dBu.

    Parameters
    ----------
    level_dbu : array_like
        Level, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Voltage, RMS [V].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(dbu_to_volts(4), 3)
    1.228

    References
    ----------
    .. [1] 0 dBu is the voltage of 1 mW in 600 ohm, 0.7746 V; 0.775 V in Rec. ITU-R BS.645-2, clause 1.
    """
    return plain(10 ** ((_db("level_dbu", level_dbu, "dBu") + _DBV_AT_0_DBU) / 20))


def volts_to_dbu(voltage_v: ArrayLike) -> Numbers:
    """Level in dBu of a voltage.

    Parameters
    ----------
    voltage_v : array_like
        Voltage, RMS, above 0 [V].

    Returns
    -------
    float or ndarray
        Level [dBu].

    Raises
    ------
    ValueError
        If a voltage is not a number above 0.

    Examples
    --------
    >>> round(volts_to_dbu(1.228), 1)
    4.0

    References
    ----------
    .. [1] 0 dBu is the voltage of 1 mW in 600 ohm, 0.7746 V; 0.775 V in Rec. ITU-R BS.645-2, clause 1.
    """
    return plain(20 * np.log10(number("voltage_v", voltage_v, "V", above=0)) - _DBV_AT_0_DBU)


def dbv_to_volts(level_dbv: ArrayLike) -> Numbers:
    """Voltage of a level in dBV.

    Parameters
    ----------
    level_dbv : array_like
        Level, -3000 to 3000 [dBV].

    Returns
    -------
    float or ndarray
        Voltage, RMS [V].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(dbv_to_volts(-10), 3)
    0.316

    References
    ----------
    .. [1] Definition: 0 dBV is 1 V RMS.
    """
    return plain(10 ** (_db("level_dbv", level_dbv, "dBV") / 20))


def volts_to_dbv(voltage_v: ArrayLike) -> Numbers:
    """Level in dBV of a voltage.

    Parameters
    ----------
    voltage_v : array_like
        Voltage, RMS, above 0 [V].

    Returns
    -------
    float or ndarray
        Level [dBV].

    Raises
    ------
    ValueError
        If a voltage is not a number above 0.

    Examples
    --------
    >>> round(volts_to_dbv(0.316), 1)
    -10.0

    References
    ----------
    .. [1] Definition: 0 dBV is 1 V RMS.
    """
    return plain(20 * np.log10(number("voltage_v", voltage_v, "V", above=0)))


def dbv_to_dbu(level_dbv: ArrayLike) -> Numbers:
    """Level in dBu of a level in dBV: 2.2 dB more, since 0 dBu is the smaller voltage.

    Parameters
    ----------
    level_dbv : array_like
        Level, -3000 to 3000 [dBV].

    Returns
    -------
    float or ndarray
        Level [dBu].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(dbv_to_dbu(-10), 1)
    -7.8

    References
    ----------
    .. [1] Definition: 0 dBV is 1 V RMS, 0 dBu the voltage of 1 mW in 600 ohm.
    """
    return plain(_db("level_dbv", level_dbv, "dBV") - _DBV_AT_0_DBU)


def dbu_to_dbv(level_dbu: ArrayLike) -> Numbers:
    """Level in dBV of a level in dBu: 2.2 dB less.

    Parameters
    ----------
    level_dbu : array_like
        Level, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Level [dBV].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(dbu_to_dbv(4), 2)
    1.78

    References
    ----------
    .. [1] Definition: 0 dBV is 1 V RMS, 0 dBu the voltage of 1 mW in 600 ohm.
    """
    return plain(_db("level_dbu", level_dbu, "dBu") + _DBV_AT_0_DBU)


def dbm_to_watts(level_dbm: ArrayLike) -> Numbers:
    """Power of a level in dBm.

    Parameters
    ----------
    level_dbm : array_like
        Level, -3000 to 3000 [dBm].

    Returns
    -------
    float or ndarray
        Power [W].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> dbm_to_watts(30)
    1.0

    References
    ----------
    .. [1] Definition: 0 dBm is 1 mW.
    """
    return plain(10 ** ((_db("level_dbm", level_dbm, "dBm") - _DBM_AT_1_W) / 10))


def watts_to_dbm(power_w: ArrayLike) -> Numbers:
    """Level in dBm of a power.

    Parameters
    ----------
    power_w : array_like
        Power, above 0 [W].

    Returns
    -------
    float or ndarray
        Level [dBm].

    Raises
    ------
    ValueError
        If a power is not a number above 0.

    Examples
    --------
    >>> watts_to_dbm(0.1)
    20.0

    References
    ----------
    .. [1] Definition: 0 dBm is 1 mW.
    """
    return plain(10 * np.log10(number("power_w", power_w, "W", above=0)) + _DBM_AT_1_W)


def pascals_to_spl(pressure_pa: ArrayLike) -> Numbers:
    """Sound pressure level of a pressure.

    Parameters
    ----------
    pressure_pa : array_like
        Sound pressure, RMS, above 0 [Pa].

    Returns
    -------
    float or ndarray
        Sound pressure level, unweighted [dB].

    Raises
    ------
    ValueError
        If a pressure is not a number above 0.

    Examples
    --------
    >>> round(pascals_to_spl(1), 1)
    94.0

    References
    ----------
    .. [1] Definition: 0 dB of sound pressure level in air is 20 uPa RMS.
    """
    pressure = number("pressure_pa", pressure_pa, "Pa", above=0)
    return plain(20 * np.log10(pressure) - 20 * math.log10(_PASCALS_AT_0_DB))


def spl_to_pascals(spl_db: ArrayLike) -> Numbers:
    """Sound pressure of a sound pressure level.

    Parameters
    ----------
    spl_db : array_like
        Sound pressure level, unweighted, -3000 to 3000 [dB].

    Returns
    -------
    float or ndarray
        Sound pressure, RMS [Pa].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(spl_to_pascals(94), 2)
    1.0

    References
    ----------
    .. [1] Definition: 0 dB of sound pressure level in air is 20 uPa RMS.
    """
    return plain(_PASCALS_AT_0_DB * 10 ** (_db("spl_db", spl_db, "dB") / 20))


def dbfs_to_dbu(level_dbfs: ArrayLike, full_scale_dbu: ArrayLike) -> Numbers:
    """Analogue level of a digital level on a desk whose line-up is known.

    Both sides are RMS with a full-scale sine at 0 dBFS, as AES17 has it: a sine that just fills the
    converter leaves it at `full_scale_dbu`. Desks differ; the line-up is in the manual, mostly +18 to +24.

    Parameters
    ----------
    level_dbfs : array_like
        Level, -3000 to 3000; below 0 unless the converter clips [dBFS].
    full_scale_dbu : array_like
        Analogue level of 0 dBFS, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Level [dBu].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> dbfs_to_dbu(-18, full_scale_dbu=18)
    0.0

    References
    ----------
    .. [1] EBU R68 (+18 dBu at full scale) and SMPTE RP 155 (+24 dBu); 0 dBFS of a sine as in AES17.
    """
    level, full_scale = same_shape(
        level_dbfs=_db("level_dbfs", level_dbfs, "dBFS"),
        full_scale_dbu=_db("full_scale_dbu", full_scale_dbu, "dBu"),
    )
    return plain(level + full_scale)


def dbu_to_dbfs(level_dbu: ArrayLike, full_scale_dbu: ArrayLike) -> Numbers:
    """Digital level of an analogue level on a desk whose line-up is known; above 0 the converter clips.

    Parameters
    ----------
    level_dbu : array_like
        Level, -3000 to 3000 [dBu].
    full_scale_dbu : array_like
        Analogue level of 0 dBFS, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Level [dBFS].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> dbu_to_dbfs(4, full_scale_dbu=24)
    -20.0

    References
    ----------
    .. [1] EBU R68 (+18 dBu at full scale) and SMPTE RP 155 (+24 dBu); 0 dBFS of a sine as in AES17.
    """
    level, full_scale = same_shape(
        level_dbu=_db("level_dbu", level_dbu, "dBu"),
        full_scale_dbu=_db("full_scale_dbu", full_scale_dbu, "dBu"),
    )
    return plain(level - full_scale)
