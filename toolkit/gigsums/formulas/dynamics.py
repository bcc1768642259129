"""Dynamics: what a compressor, an expander and a limiter make of a level, and how fast they move.

The curves are static: the level that comes out once the gain has settled, before any make-up gain. Levels may
be in any decibels as long as the threshold is in the same. A limiter guards equipment and helps the crew to
keep to a limit; it is not hearing protection.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape

__all__ = [
    "compressed_level_db",
    "expanded_level_db",
    "gain_reduction_db",
    "limited_level_db",
    "smoothing_coefficient",
]


def compressed_level_db(
    level_db: ArrayLike, threshold_db: ArrayLike, ratio: ArrayLike, knee_db: ArrayLike = 0.0
) -> Numbers:
    r"""Level out of a compressor for a steady level in.

    Below the knee the level passes as it is. Above it, every `ratio` decibels more at the input are one more at
    the output, :math:`y = T + (x - T)/R`. Inside the knee the two lines are joined by a curve.

    Parameters
    ----------
    level_db : array_like
        Level in, -1000 to 1000, or -inf for silence [dB].
    threshold_db : array_like
        Threshold, -1000 to 1000, in the same decibels [dB].
    ratio : array_like
        Ratio, from 1 (no compression) to 1 000 000 [dB in per dB out].
    knee_db : array_like, optional
        Whole width of the knee, half of it below the threshold, 0 (hard knee) to 1000 [dB].

    Returns
    -------
    float or ndarray
        Level out, without make-up gain [dB].

    Raises
    ------
    ValueError
        If a level, the threshold, the ratio or the knee lies outside its range.

    See Also
    --------
    gain_reduction_db : how much was taken off; the knee is explained there.

    Examples
    --------
    A shout 12 dB over the threshold, at 4:1:

    >>> compressed_level_db(-8, threshold_db=-20, ratio=4)
    -17.0

    References
    ----------
    .. [1] D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range compressor design: a tutorial and
       analysis", J. Audio Eng. Soc. 60(6), 399-408 (2012), eq. (4).
    """
    level, reduction = same_shape(
        level_db=_level("level_db", level_db, silence=True),
        reduction=np.asarray(gain_reduction_db(level_db, threshold_db, ratio, knee_db)),
    )
    return plain(level - reduction)


def gain_reduction_db(
    level_db: ArrayLike, threshold_db: ArrayLike, ratio: ArrayLike, knee_db: ArrayLike = 0.0
) -> Numbers:
    r"""Decibels that a compressor takes off a steady level: what its meter shows.

    Above the knee :math:`(x - T)(1 - 1/R)`, below it nothing, and inside it
    :math:`(1 - 1/R)(x - T + W/2)^2 / 2W`, which meets both without a corner.

    Parameters
    ----------
    level_db : array_like
        Level in, -1000 to 1000, or -inf for silence [dB].
    threshold_db : array_like
        Threshold, -1000 to 1000, in the same decibels [dB].
    ratio : array_like
        Ratio, from 1 (no compression) to 1 000 000 [dB in per dB out].
    knee_db : array_like, optional
        Whole width of the knee, half of it below the threshold, 0 (hard knee) to 1000 [dB].

    Returns
    -------
    float or ndarray
        Gain reduction, 0 or more [dB].

    Raises
    ------
    ValueError
        If a level, the threshold, the ratio or the knee lies outside its range.

    Notes
    -----
    Sources disagree about the knee. Here it is centred on the threshold, as in [1]_, so that a level at the
    threshold is already turned down a little. The Web Audio standard [2]_ starts its knee at the threshold.

    Examples
    --------
    >>> gain_reduction_db(-8, threshold_db=-20, ratio=4)
    9.0

    At the threshold itself, with a knee 10 dB wide:

    >>> gain_reduction_db(-20, threshold_db=-20, ratio=4, knee_db=10)
    0.9375

    References
    ----------
    .. [1] D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range compressor design: a tutorial and
       analysis", J. Audio Eng. Soc. 60(6), 399-408 (2012), eq. (4).
    .. [2] W3C, "Web Audio API", DynamicsCompressorNode.
    """
    level, threshold, slope, knee = same_shape(
        level_db=_level("level_db", level_db, silence=True),
        threshold_db=_level("threshold_db", threshold_db),
        ratio=_ratio(ratio),
        knee_db=number("knee_db", knee_db, "dB", least=0, most=1000),
    )
    over = level - threshold
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # a hard knee has no inside
        inside = (over + knee / 2) ** 2 / (2 * knee)
    return plain((1 - 1 / slope) * np.where(2 * np.abs(over) < knee, inside, np.maximum(over, 0)))


def expanded_level_db(level_db: ArrayLike, threshold_db: ArrayLike, ratio: ArrayLike) -> Numbers:
    r"""Level out of a downward expander for a steady level in.

    Above the threshold the level passes as it is. Below it, every decibel less at the input is `ratio` decibels
    less at the output, :math:`y = T + R (x - T)`. A gate is an expander with a large ratio, here without the
    floor (the range) that a gate may be given.

    Parameters
    ----------
    level_db : array_like
        Level in, -1000 to 1000, or -inf for silence [dB].
    threshold_db : array_like
        Threshold, -1000 to 1000, in the same decibels [dB].
    ratio : array_like
        Ratio, from 1 (no expansion) to 1 000 000 [dB out per dB in].

    Returns
    -------
    float or ndarray
        Level out [dB].

    Raises
    ------
    ValueError
        If a level, the threshold or the ratio lies outside its range.

    Examples
    --------
    Spill 6 dB under the threshold, at 2:1:

    >>> expanded_level_db(-46, threshold_db=-40, ratio=2)
    -52.0

    References
    ----------
    .. [1] U. Zoelzer (ed.), *DAFX: Digital Audio Effects*, 2nd ed., section 4.2 (from memory).
    """
    level, threshold, slope = same_shape(
        level_db=_level("level_db", level_db, silence=True),
        threshold_db=_level("threshold_db", threshold_db),
        ratio=_ratio(ratio),
    )
    return plain(np.minimum(level, threshold + slope * (level - threshold)))


def limited_level_db(level_db: ArrayLike, threshold_db: ArrayLike) -> Numbers:
    """Level out of a limiter for a steady level in: never above the threshold.

    This is the compressor with a hard knee and a ratio without end. A real limiter lets the first milliseconds
    past unless it looks ahead.

    Parameters
    ----------
    level_db : array_like
        Level in, -1000 to 1000, or -inf for silence [dB].
    threshold_db : array_like
        Highest level let out, -1000 to 1000, in the same decibels [dB].

    Returns
    -------
    float or ndarray
        Level out [dB].

    Raises
    ------
    ValueError
        If a level or the threshold lies outside its range.

    Notes
    -----
    A limiter is not hearing protection: it does not know how loud the loudspeaker or the earpiece is, nor for
    how long.

    Examples
    --------
    >>> limited_level_db([-14, -3], threshold_db=-6).tolist()
    [-14.0, -6.0]

    References
    ----------
    .. [1] D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range compressor design: a tutorial and
       analysis", J. Audio Eng. Soc. 60(6), 399-408 (2012), eq. (4) with an infinite ratio.
    """
    return plain(
        np.minimum(
            *same_shape(
                level_db=_level("level_db", level_db, silence=True),
                threshold_db=_level("threshold_db", threshold_db),
            )
        )
    )


def smoothing_coefficient(time_ms: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Numbers:
    r"""Coefficient of the one-pole smoother behind an attack, a release or a meter.

    With :math:`\alpha = e^{-1/(\tau f_s)}`, each new value is
    :math:`y_n = \alpha\,y_{n-1} + (1 - \alpha)\,x_n`, and after `time_ms` a step has gone 63 % of its way.

    Parameters
    ----------
    time_ms : array_like
        Time constant, 0.001 to 100 000 [ms].
    sample_rate_hz : array_like, optional
        Sampling rate, 1 to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Share of the old value kept at each sample, from 0 (no smoothing) to just under 1 [-].

    Raises
    ------
    ValueError
        If the time or the rate lies outside its range.

    Notes
    -----
    What "attack time" means differs. Here, as in [1]_, it is the time constant: 63 % of the way, 90 % after 2.3
    times as long. The Web Audio standard [2]_ counts the time for 10 dB of change.

    Examples
    --------
    >>> round(smoothing_coefficient(10), 6)
    0.997919

    References
    ----------
    .. [1] D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range compressor design: a tutorial and
       analysis", J. Audio Eng. Soc. 60(6), 399-408 (2012), eq. (7).
    .. [2] W3C, "Web Audio API", DynamicsCompressorNode.
    """
    time, rate = same_shape(
        time_ms=number("time_ms", time_ms, "ms", least=0.001, most=100_000),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", least=1, most=1_000_000),
    )
    return plain(np.exp(-1000 / (time * rate)))


def _level(name: str, value: ArrayLike, silence: bool = False) -> np.ndarray:
    return number(name, value, "dB", least=-1000, most=1000, silence=silence)


def _ratio(value: ArrayLike) -> np.ndarray:
    return number("ratio", value, least=1, most=1_000_000)
