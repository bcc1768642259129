r"""Equalisers: second-order filters by the cookbook, what they do to each frequency, and Q against octaves.

Every design takes the frequency first, then the gain if it has one, then Q, then the sampling rate, and returns
``b, a``, which `response_db` and `scipy.signal.lfilter` take as they are. Boost costs headroom and, in a monitor
or the main loudspeakers, margin before feedback: cut first.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._biquads import (
    LEAST_Q,
    LEAST_RATE_HZ,
    MOST_Q,
    MOST_RATE_HZ,
    Array,
    all_pass,
    band_pass,
    check_in_band,
    high_pass,
    high_shelf,
    low_pass,
    low_shelf,
    notch,
    peaking,
)
from gigsums.formulas._check import Numbers, number, plain, same_shape

__all__ = [
    "all_pass",
    "band_pass",
    "centre_frequency_hz",
    "high_pass",
    "high_shelf",
    "low_pass",
    "low_shelf",
    "notch",
    "octaves_from_q",
    "peaking",
    "q_from_octaves",
    "response_db",
]


def response_db(
    b: ArrayLike, a: ArrayLike, frequency_hz: ArrayLike, sample_rate_hz: ArrayLike = 48_000
) -> Numbers:
    r"""Gain of a second-order filter at a frequency.

    :math:`20 \log_{10} |H(e^{j\omega})|`. Filters in a row add: sum the answers over them.

    Parameters
    ----------
    b, a : array_like, shape (..., 3)
        Coefficients as the designs here return them, with a[0] = 1, of a filter that is stable [-].
    frequency_hz : array_like
        Where to look, 0 to half the sampling rate; goes together with the shape before the last axis [Hz].
    sample_rate_hz : array_like, optional
        Sampling rate that the filter was made for, 1000 to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Gain [dB]; -inf where nothing at all gets through.

    Raises
    ------
    ValueError
        If b or a is not three coefficients, a[0] is not 1, the filter is not stable, or a frequency or the rate
        lies outside its range.

    Examples
    --------
    >>> b, a = peaking(1000, gain_db=6, q=1.41)
    >>> response_db(b, a, [500, 1000, 2000]).round(2).tolist()
    [1.14, 6.0, 1.13]

    References
    ----------
    .. [1] Definition: a level is 20 lg of a ratio of amplitudes, here of the transfer function's.
    """
    top, bottom = same_shape(b=_three("b", b), a=_three("a", a))
    _check_stable(bottom)
    b0, b1, b2 = np.moveaxis(top, -1, 0)
    a0, a1, a2 = np.moveaxis(bottom, -1, 0)
    frequency, rate, _ = same_shape(
        frequency_hz=number("frequency_hz", frequency_hz, "Hz"),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", LEAST_RATE_HZ, MOST_RATE_HZ),
        filters=b0,
    )
    check_in_band(frequency, rate, np.zeros_like(rate), rate / 2)
    back = np.exp(-2j * np.pi * frequency / rate)
    with np.errstate(divide="ignore"):  # -inf is the answer at the bottom of a notch
        return plain(20 * np.log10(np.abs((b0 + b1 * back + b2 * back**2) / (a0 + a1 * back + a2 * back**2))))


def q_from_octaves(octaves: ArrayLike) -> Numbers:
    r"""Q of a bandwidth in octaves, :math:`Q = 2^{N/2} / (2^N - 1)`.

    Parameters
    ----------
    octaves : array_like
        Bandwidth, 0.002 to 13: between the -3 dB points of a band-pass or notch, between the points of half the
        gain of a bell [octave].

    Returns
    -------
    float or ndarray
        Q [-].

    Raises
    ------
    ValueError
        If the bandwidth lies outside its range.

    Notes
    -----
    This is the analogue relation. A digital filter whose frequency is a large part of the sampling rate comes
    out narrower: at 48 kHz, a Q of 1.41 makes an octave at 1 kHz, but 1.16 is wanted for one at 8 kHz.

    Examples
    --------
    A third-octave equaliser:

    >>> round(q_from_octaves(1 / 3), 2)
    4.32

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, bandwidth of the analogue prototype.
    """
    width = number("octaves", octaves, "octave", least=0.002, most=13)
    return plain(2 ** (width / 2) / (2**width - 1))


def octaves_from_q(q: ArrayLike) -> Numbers:
    r"""Bandwidth of a Q in octaves, :math:`N = \frac{2}{\ln 2} \sinh^{-1} \frac{1}{2Q}`.

    Parameters
    ----------
    q : array_like
        Q, 0.01 to 1000 [-].

    Returns
    -------
    float or ndarray
        Bandwidth, between the points that `q_from_octaves` names [octave].

    Raises
    ------
    ValueError
        If Q lies outside its range.

    Examples
    --------
    >>> round(octaves_from_q(1.41), 2)
    1.0

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, bandwidth of the analogue prototype.
    """
    return plain(2 / np.log(2) * np.arcsinh(1 / (2 * number("q", q, least=LEAST_Q, most=MOST_Q))))


def centre_frequency_hz(lower_hz: ArrayLike, upper_hz: ArrayLike) -> Numbers:
    r"""Centre of a band as the ear and the equaliser count it, :math:`\sqrt{f_1 f_2}`.

    Parameters
    ----------
    lower_hz : array_like
        Lower edge, 0.001 to 1 000 000 [Hz].
    upper_hz : array_like
        Upper edge, from the lower edge to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Centre, as many octaves from one edge as from the other [Hz].

    Raises
    ------
    ValueError
        If an edge lies outside its range or the upper one lies under the lower one.

    Examples
    --------
    >>> round(centre_frequency_hz(250, 500))
    354

    References
    ----------
    .. [1] Definition: the geometric mean of the edges.
    """
    lower, upper = same_shape(
        lower_hz=number("lower_hz", lower_hz, "Hz", least=0.001, most=1e6),
        upper_hz=number("upper_hz", upper_hz, "Hz", least=0.001, most=1e6),
    )
    wrong = upper < lower
    if wrong.any():
        low, high = lower[wrong].flat[0], upper[wrong].flat[0]
        raise ValueError(
            f"upper_hz is {high:.10g} Hz; with lower_hz {low:.10g} Hz it may be from there to 1000000 Hz"
        )
    return plain(np.sqrt(lower * upper))


def _three(name: str, value: ArrayLike) -> Array:
    coefficients = number(name, value, least=-1e6, most=1e6)
    if coefficients.shape[-1:] != (3,):
        raise ValueError(f"{name} has shape {coefficients.shape}; the last axis must be 3 coefficients long")
    return coefficients


def _check_stable(a: Array) -> None:
    first, a1, a2 = np.moveaxis(a, -1, 0)
    if (first != 1).any():
        raise ValueError(f"a[0] is {first[first != 1].flat[0]:.10g}; it must be 1, so divide b and a by it")
    if not ((np.abs(a2) < 1) & (np.abs(a1) < 1 + a2)).all():
        raise ValueError("a is of a filter that is not stable; |a[2]| < 1 and |a[1]| < 1 + a[2] are wanted")
