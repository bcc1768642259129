"""What the air takes from a travelling sound. Published as `speakers.air_absorption_db_per_m`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape

_ZERO_C = 273.15
_TRIPLE_POINT_K = 273.16
_REFERENCE_K = 293.15
_REFERENCE_KPA = 101.325


def air_absorption_db_per_m(
    frequency_hz: ArrayLike,
    temperature_c: ArrayLike = 20,
    humidity_percent: ArrayLike = 50,
    pressure_kpa: ArrayLike = 101.325,
) -> Numbers:
    r"""Level that a pure tone loses to the air itself, on top of spreading out.

    Three losses add up: friction and heat conduction, and the lag of oxygen and of nitrogen molecules,
    each of which peaks at a frequency that moves with water vapour. Hot dry air can therefore be kinder
    or crueller than cool damp air; look it up rather than guess.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency of the tone, 10 to 100 000; for an octave band its exact midband, 1000·10^(3n/10) [Hz].
    temperature_c : array_like, optional
        Air temperature, -73 to 50 [°C].
    humidity_percent : array_like, optional
        Relative humidity, 0 to 100 [%].
    pressure_kpa : array_like, optional
        Air pressure, 10 to 200 [kPa].

    Returns
    -------
    float or ndarray
        Loss for every metre travelled [dB/m].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    The standard claims an accuracy of ±10 % from -20 to 50 °C with 0.05 to 5 % of the air's molecules being
    water and 0.0004 to 10 Hz per pascal (about 40 Hz upwards at sea level), ±20 % in drier or wetter air,
    ±50 % in colder air. Below 40 Hz no accuracy is claimed; from -20 °C and 10 % humidity upwards the loss
    there is under 1 dB in a kilometre. A whole octave band loses less over long paths than its midband tone.

    The standard's own formula gives 4.15 dB/km at 15 °C, 80 % and 1 kHz, where ISO 9613-2 prints 4.1: this
    follows the formula. Libraries differ away from sea level: here, as in annex B, water vapour is a share
    of the pressure of the day, so thinner air of one humidity holds a larger share of it.

    Examples
    --------
    A hundred metres of summer air at 8 kHz:

    >>> round(100 * air_absorption_db_per_m(8000, temperature_c=25, humidity_percent=40), 1)
    10.6

    References
    ----------
    .. [1] ISO 9613-1:1993, clause 6 (equations 3 to 5) and annex B.
    """
    frequency, celsius, humidity, kpa = same_shape(
        frequency_hz=number("frequency_hz", frequency_hz, "Hz", 10, 100_000),
        temperature_c=number("temperature_c", temperature_c, "°C", -73, 50),
        humidity_percent=number("humidity_percent", humidity_percent, "%", 0, 100),
        pressure_kpa=number("pressure_kpa", pressure_kpa, "kPa", 10, 200),
    )
    kelvin = celsius + _ZERO_C
    warmth = kelvin / _REFERENCE_K
    pressure = kpa / _REFERENCE_KPA
    saturation = 10 ** (4.6151 - 6.8346 * (_TRIPLE_POINT_K / kelvin) ** 1.261)
    water = humidity * saturation / pressure
    oxygen_hz = pressure * (24 + 4.04e4 * water * (0.02 + water) / (0.391 + water))
    nitrogen_hz = pressure / np.sqrt(warmth) * (9 + 280 * water * np.exp(-4.170 * (warmth ** (-1 / 3) - 1)))
    friction = 1.84e-11 / pressure * np.sqrt(warmth)
    oxygen = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen_hz + frequency**2 / oxygen_hz)
    nitrogen = 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen_hz + frequency**2 / nitrogen_hz)
    return plain(8.686 * frequency**2 * (friction + warmth**-2.5 * (oxygen + nitrogen)))
