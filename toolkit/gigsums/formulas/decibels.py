"""Decibels: ratios, adding and taking away levels, levels against a reference, and what a recording weighs.

A sum of sound pressure levels bears on hearing; `gigsums.formulas.exposure` carries the limits and their
caution, and local law comes before either.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

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
MOST_DB = 3000.0  # computed to +/- this many decibels, where double precision still holds the ratio
_DBV_AT_0_DBU = 10 * math.log10(0.6)  # 1 mW in 600 ohm is the square root of 0.6 V
_DBM_AT_1_W = 30
_PASCALS_AT_0_DB = 20e-6


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
    return plain(10 ** (_db("level_db", level_db, "dB") / 10))


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
    return plain(10 ** (_db("level_db", level_db, "dB") / 20))


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
        first_db=_db("first_db", first_db, "dB"),
        second_db=_db("second_db", second_db, "dB"),
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
        total_db=_db("total_db", total_db, "dB"),
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


def _db(name: str, level: ArrayLike, unit: str) -> NDArray[np.float64]:
    return number(name, level, unit, -MOST_DB, MOST_DB)
