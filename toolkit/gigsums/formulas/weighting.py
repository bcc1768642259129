"""Frequency weightings A and C, and the standard frequency bands.

An A-weighted level is how hearing limits are written, a C-weighted one shows the bass that A hides;
`gigsums.formulas.exposure` carries the limits and their caution.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain

__all__ = [
    "a_weighting_db",
    "c_weighting_db",
    "nearest_third_octave_hz",
    "octave_centres_hz",
    "third_octave_centres_hz",
]

# IEC 61672-1, annex E: C is 3 dB down at 10^1.5 and 10^3.9 Hz; A adds a high-pass at 10^2.45 Hz.
_LOW_HZ, _HIGH_HZ, _PASS_HZ, _REFERENCE_HZ = 10**1.5, 10**3.9, 10**2.45, 1000.0


def _outer_poles_hz() -> tuple[float, float]:
    half_power = math.sqrt(0.5)
    edges = _LOW_HZ**2 + _HIGH_HZ**2
    product = _LOW_HZ**2 * _HIGH_HZ**2
    b = (_REFERENCE_HZ**2 + product / _REFERENCE_HZ**2 - half_power * edges) / (1 - half_power)
    root = math.sqrt(b**2 - 4 * product)
    return math.sqrt((-b - root) / 2), math.sqrt((-b + root) / 2)


_F1_HZ, _F4_HZ = _outer_poles_hz()
_F2_HZ = (3 - math.sqrt(5)) / 2 * _PASS_HZ
_F3_HZ = (3 + math.sqrt(5)) / 2 * _PASS_HZ

_LEAST_BAND, _MOST_BAND = 10, 43  # 10 Hz and 20 kHz: a band's exact centre is 10^(band/10) Hz
_NOMINAL = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)


def a_weighting_db(frequency_hz: ArrayLike) -> Numbers:
    """Frequency weighting A: what a level in dBA adds to a tone of this frequency.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency, 1 to 100 000; the standard tables 10 to 20 000 [Hz].

    Returns
    -------
    float or ndarray
        Weighting, 0 at 1 kHz [dB].

    Raises
    ------
    ValueError
        If a frequency is not a number in that range.

    Examples
    --------
    >>> round(a_weighting_db(100), 1)
    -19.1

    References
    ----------
    .. [1] IEC 61672-1:2013, annex E, with its exact poles; table 3.
    """
    frequency = number("frequency_hz", frequency_hz, "Hz", 1, 1e5)
    return plain(_a_db(frequency) - _a_db(np.array(_REFERENCE_HZ)))


def c_weighting_db(frequency_hz: ArrayLike) -> Numbers:
    """Frequency weighting C: what a level in dBC adds to a tone of this frequency.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency, 1 to 100 000; the standard tables 10 to 20 000 [Hz].

    Returns
    -------
    float or ndarray
        Weighting, 0 at 1 kHz [dB].

    Raises
    ------
    ValueError
        If a frequency is not a number in that range.

    Examples
    --------
    >>> round(c_weighting_db(31.6), 1)
    -3.0

    References
    ----------
    .. [1] IEC 61672-1:2013, annex E, with its exact poles; table 3.
    """
    frequency = number("frequency_hz", frequency_hz, "Hz", 1, 1e5)
    return plain(_c_db(frequency) - _c_db(np.array(_REFERENCE_HZ)))


def third_octave_centres_hz(
    least_hz: float = 20, most_hz: float = 20_000, *, exact: bool = False
) -> NDArray[np.float64]:
    """Centres of the third-octave bands, the lowest first.

    Parameters
    ----------
    least_hz, most_hz : float, optional
        Nominal centres to begin and to end with, 10 to 20 000 [Hz].
    exact : bool, optional
        Exact base-10 centres, 1000 times 10^(n/10), in place of the nominal ones they are called by [-].

    Returns
    -------
    ndarray, one-dimensional
        Band centres from least to most; none where no band lies between [Hz].

    Raises
    ------
    ValueError
        If a limit is not a single number in that range, or they stand the wrong way round.

    Examples
    --------
    >>> third_octave_centres_hz(100, 200).tolist()
    [100.0, 125.0, 160.0, 200.0]
    >>> third_octave_centres_hz(125, 125, exact=True).round(2).tolist()
    [125.89]

    References
    ----------
    .. [1] IEC 61260-1:2014, clause 5 (exact); ISO 266:1997 (nominal).
    """
    return _centres(np.arange(_LEAST_BAND, _MOST_BAND + 1), least_hz, most_hz, exact)


def octave_centres_hz(
    least_hz: float = 31.5, most_hz: float = 16_000, *, exact: bool = False
) -> NDArray[np.float64]:
    """Centres of the octave bands, the lowest first.

    Parameters
    ----------
    least_hz, most_hz : float, optional
        Nominal centres to begin and to end with, 10 to 20 000 [Hz].
    exact : bool, optional
        Exact base-10 centres, 1000 times 10^(3n/10), in place of the nominal ones they are called by [-].

    Returns
    -------
    ndarray, one-dimensional
        Band centres from least to most; none where no band lies between [Hz].

    Raises
    ------
    ValueError
        If a limit is not a single number in that range, or they stand the wrong way round.

    Examples
    --------
    >>> octave_centres_hz(125, 4000).tolist()
    [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0]

    References
    ----------
    .. [1] IEC 61260-1:2014, clause 5 (exact); ISO 266:1997 (nominal).
    """
    return _centres(np.arange(12, _MOST_BAND + 1, 3), least_hz, most_hz, exact)


def nearest_third_octave_hz(frequency_hz: ArrayLike) -> Numbers:
    """Third-octave band that a frequency falls in, by its nominal centre.

    Nearest on a logarithmic scale, as ears and graphic equalisers go; nearest by subtraction names the
    band below for a frequency just above the edge.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency, 9 to 22 000 [Hz].

    Returns
    -------
    float or ndarray
        Nominal centre of the band; a frequency on the edge goes to the upper one [Hz].

    Raises
    ------
    ValueError
        If a frequency is not a number in that range.

    Examples
    --------
    >>> nearest_third_octave_hz(2822)
    3150.0

    References
    ----------
    .. [1] IEC 61260-1:2014, clause 5 (band edges); ISO 266:1997 (nominal centres).
    """
    frequency = number("frequency_hz", frequency_hz, "Hz", 9, 22_000)
    return plain(_nominal_hz(np.floor(10 * np.log10(frequency) + 0.5).astype(int)))


def _c_db(frequency: NDArray[np.float64]) -> NDArray[np.float64]:
    square = frequency**2
    return 20 * np.log10(_F4_HZ**2 * square / ((square + _F1_HZ**2) * (square + _F4_HZ**2)))


def _a_db(frequency: NDArray[np.float64]) -> NDArray[np.float64]:
    square = frequency**2
    return _c_db(frequency) + 10 * np.log10(square**2 / ((square + _F2_HZ**2) * (square + _F3_HZ**2)))


def _nominal_hz(bands: NDArray[np.int_]) -> NDArray[np.float64]:
    return np.array(_NOMINAL)[bands % 10] * 10.0 ** (bands // 10)


def _centres(bands: NDArray[np.int_], least_hz: float, most_hz: float, exact: bool) -> NDArray[np.float64]:
    least, most = number("least_hz", least_hz, "Hz", 10, 20_000), number("most_hz", most_hz, "Hz", 10, 20_000)
    for name, limit in {"least_hz": least, "most_hz": most}.items():
        if limit.ndim:
            raise ValueError(f"{name} has {limit.size} values; a single number is wanted")
    if most < least:
        raise ValueError(f"most_hz is {most:g} Hz; it may be from least_hz, {least:g} Hz, to 20000 Hz")
    nominal = _nominal_hz(bands)
    wanted = (nominal >= least) & (nominal <= most)
    return 10 ** (bands[wanted] / 10) if exact else nominal[wanted]
