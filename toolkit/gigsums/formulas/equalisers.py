r"""Equalisers: second-order filters by the cookbook, what they do to each frequency, and Q against octaves.

Every design takes the frequency first, then the gain if it has one, then Q, then the sampling rate, and returns
``b, a``, which `response_db` and `scipy.signal.lfilter` take as they are. Boost costs headroom and, in a monitor
or the main loudspeakers, margin before feedback: cut first.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

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

Array = NDArray[np.float64]
Filter = tuple[Array, Array]
LEAST_Q, MOST_Q = 0.01, 1_000.0
LEAST_RATE_HZ, MOST_RATE_HZ = 1_000.0, 1_000_000.0
BUTTERWORTH = 0.5**0.5


def peaking(
    frequency_hz: ArrayLike, gain_db: ArrayLike, q: ArrayLike, sample_rate_hz: ArrayLike = 48_000
) -> Filter:
    """Bell: boost or cut around one frequency, as on a parametric equaliser.

    Parameters
    ----------
    frequency_hz : array_like
        Centre, 0.00002 to 0.499 of the sampling rate [Hz].
    gain_db : array_like
        Gain at the centre, -40 to 40 [dB].
    q : array_like
        Centre over bandwidth, the bandwidth taken where half the gain in decibels is left, 0.01 to 1000 [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    Sources disagree about Q: elsewhere the bandwidth is taken 3 dB below the peak, which makes the same number
    a different width. Taken at half the gain, a boost and a cut by the same figures cancel exactly.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = peaking(1000, gain_db=6, q=1.41)
    >>> round(response_db(b, a, 1000), 2), round(response_db(b, a, 500), 2)
    (6.0, 1.14)

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, peakingEQ.
    """
    w, alpha, amplitude = _angles(frequency_hz, q, sample_rate_hz, gain_db)
    middle = -2 * np.cos(w)
    return _biquad(
        (1 + alpha * amplitude, middle, 1 - alpha * amplitude),
        (1 + alpha / amplitude, middle, 1 - alpha / amplitude),
    )


def low_shelf(
    frequency_hz: ArrayLike,
    gain_db: ArrayLike,
    q: ArrayLike = BUTTERWORTH,
    sample_rate_hz: ArrayLike = 48_000,
) -> Filter:
    """Low shelf: lift or lower everything below a frequency, as the bass control does.

    Parameters
    ----------
    frequency_hz : array_like
        Where half the gain in decibels is reached, 0.00002 to 0.499 of the sampling rate [Hz].
    gain_db : array_like
        Gain far below, -40 to 40 [dB].
    q : array_like, optional
        Steepness, 0.01 to 1000; the default, 0.7071, is the steepest slope without a bump [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = low_shelf(100, gain_db=6)
    >>> round(response_db(b, a, 100), 2), round(response_db(b, a, 20), 2)
    (3.0, 5.99)

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, lowShelf.
    """
    w, alpha, amplitude = _angles(frequency_hz, q, sample_rate_hz, gain_db)
    return _biquad(*_shelf(np.cos(w), alpha, amplitude))


def high_shelf(
    frequency_hz: ArrayLike,
    gain_db: ArrayLike,
    q: ArrayLike = BUTTERWORTH,
    sample_rate_hz: ArrayLike = 48_000,
) -> Filter:
    """High shelf: lift or lower everything above a frequency, as the treble control does.

    Parameters
    ----------
    frequency_hz : array_like
        Where half the gain in decibels is reached, 0.00002 to 0.499 of the sampling rate [Hz].
    gain_db : array_like
        Gain far above, -40 to 40 [dB].
    q : array_like, optional
        Steepness, 0.01 to 1000; the default, 0.7071, is the steepest slope without a bump [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = high_shelf(8000, gain_db=6)
    >>> round(response_db(b, a, 8000), 2), round(response_db(b, a, 1000), 2)
    (3.0, 0.0)

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, highShelf.
    """
    w, alpha, amplitude = _angles(frequency_hz, q, sample_rate_hz, gain_db)
    # The low shelf seen in a mirror: frequencies counted from half the sampling rate down.
    (b0, b1, b2), (a0, a1, a2) = _shelf(-np.cos(w), alpha, amplitude)
    return _biquad((b0, -b1, b2), (a0, -a1, a2))


def low_pass(
    frequency_hz: ArrayLike, q: ArrayLike = BUTTERWORTH, sample_rate_hz: ArrayLike = 48_000
) -> Filter:
    """Low-pass: everything above a frequency falls away at 12 dB an octave.

    Parameters
    ----------
    frequency_hz : array_like
        Corner, 0.00002 to 0.499 of the sampling rate [Hz].
    q : array_like, optional
        Gain at the corner as a ratio, 0.01 to 1000; the default, 0.7071, is the flat (Butterworth) shape, -3 dB [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = low_pass(1000)
    >>> round(response_db(b, a, 1000), 2)
    -3.01

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, LPF.
    """
    w, alpha, _ = _angles(frequency_hz, q, sample_rate_hz)
    side = (1 - np.cos(w)) / 2
    return _biquad((side, 2 * side, side), _resonance(w, alpha))


def high_pass(
    frequency_hz: ArrayLike, q: ArrayLike = BUTTERWORTH, sample_rate_hz: ArrayLike = 48_000
) -> Filter:
    """High-pass: everything below a frequency falls away at 12 dB an octave.

    Parameters
    ----------
    frequency_hz : array_like
        Corner, 0.00002 to 0.499 of the sampling rate [Hz].
    q : array_like, optional
        Gain at the corner as a ratio, 0.01 to 1000; the default, 0.7071, is the flat (Butterworth) shape, -3 dB [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = high_pass(100)
    >>> round(response_db(b, a, 25), 1)
    -24.1

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, HPF.
    """
    w, alpha, _ = _angles(frequency_hz, q, sample_rate_hz)
    side = (1 + np.cos(w)) / 2
    return _biquad((side, -2 * side, side), _resonance(w, alpha))


def band_pass(frequency_hz: ArrayLike, q: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Filter:
    """Band-pass: only the surroundings of one frequency get through, 0 dB at the centre.

    Parameters
    ----------
    frequency_hz : array_like
        Centre, 0.00002 to 0.499 of the sampling rate [Hz].
    q : array_like
        Centre over the bandwidth between the -3 dB points, 0.01 to 1000 [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = band_pass(1000, q=2)
    >>> round(abs(response_db(b, a, 1000)), 6), round(response_db(b, a, 1280.8), 1)
    (0.0, -3.0)

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, BPF with a peak of 0 dB.
    """
    w, alpha, _ = _angles(frequency_hz, q, sample_rate_hz)
    return _biquad((alpha, np.zeros_like(alpha), -alpha), _resonance(w, alpha))


def notch(frequency_hz: ArrayLike, q: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Filter:
    """Notch: one frequency taken out altogether, its neighbours left alone.

    Parameters
    ----------
    frequency_hz : array_like
        Centre, 0.00002 to 0.499 of the sampling rate [Hz].
    q : array_like
        Centre over the bandwidth between the -3 dB points, 0.01 to 1000 [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = notch(1000, q=30)
    >>> response_db(b, a, 1000) < -150, round(response_db(b, a, 1100), 2)
    (True, -0.13)

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, notch.
    """
    w, alpha, _ = _angles(frequency_hz, q, sample_rate_hz)
    one = np.ones_like(alpha)
    return _biquad((one, -2 * np.cos(w), one), _resonance(w, alpha))


def all_pass(frequency_hz: ArrayLike, q: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Filter:
    """All-pass: every level unchanged, the phase turned through 360 degrees, half of it at one frequency.

    Parameters
    ----------
    frequency_hz : array_like
        Where the phase has turned by 180 degrees, 0.00002 to 0.499 of the sampling rate [Hz].
    q : array_like
        How suddenly it turns, 0.01 to 1000 [-].
    sample_rate_hz : array_like, optional
        Sampling rate, 1000 to 1 000 000 [Hz].

    Returns
    -------
    b, a : ndarray
        Coefficients, shape (..., 3), a[0] = 1 [-].

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from gigsums.formulas.equalisers import response_db
    >>> b, a = all_pass(1000, q=0.7071)
    >>> round(abs(response_db(b, a, 300)), 9)
    0.0

    References
    ----------
    .. [1] "Cookbook formulae for audio EQ biquad filter coefficients", W3C Audio WG Note, APF.
    """
    w, alpha, _ = _angles(frequency_hz, q, sample_rate_hz)
    a = _resonance(w, alpha)
    return _biquad(a[::-1], a)


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
    _check_in_band(frequency, rate, np.zeros_like(rate), rate / 2)
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


def _angles(
    frequency_hz: ArrayLike, q: ArrayLike, sample_rate_hz: ArrayLike, gain_db: ArrayLike = 0.0
) -> tuple[Array, Array, Array]:
    """The cookbook's w0, alpha and A, from arguments that have been looked at."""
    frequency, quality, rate, gain = same_shape(
        frequency_hz=number("frequency_hz", frequency_hz, "Hz"),
        q=number("q", q, least=LEAST_Q, most=MOST_Q),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", LEAST_RATE_HZ, MOST_RATE_HZ),
        gain_db=number("gain_db", gain_db, "dB", least=-40, most=40),
    )
    _check_in_band(frequency, rate, rate / 50_000, 0.499 * rate)  # lower, rounding shows in the response
    w = 2 * np.pi * frequency / rate
    return w, np.sin(w) / (2 * quality), 10 ** (gain / 40)


def _check_in_band(frequency: Array, rate: Array, least: Array, most: Array) -> None:
    """Refuse a frequency that is out of what its sampling rate allows."""
    wrong = (frequency < least) | (frequency > most)
    if wrong.any():
        asked, at, low, high = (array[wrong].flat[0] for array in (frequency, rate, least, most))
        raise ValueError(
            f"frequency_hz is {asked:.10g} Hz; at a sampling rate of {at:.10g} Hz it may be from {low:.10g} "
            f"to {high:.10g} Hz"
        )


def _resonance(w: Array, alpha: Array) -> tuple[Array, Array, Array]:
    return 1 + alpha, -2 * np.cos(w), 1 - alpha


def _shelf(cosine: Array, alpha: Array, amplitude: Array) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
    more, less, slope = amplitude + 1, amplitude - 1, 2 * np.sqrt(amplitude) * alpha
    b = (more - less * cosine + slope, 2 * (less - more * cosine), more - less * cosine - slope)
    a = (more + less * cosine + slope, -2 * (less + more * cosine), more + less * cosine - slope)
    return tuple(amplitude * part for part in b), a


def _biquad(b: tuple[Array, ...], a: tuple[Array, ...]) -> Filter:
    return np.stack([part / a[0] for part in b], axis=-1), np.stack([part / a[0] for part in a], axis=-1)


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
