"""Speed of sound in air. Published as `timing`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

_KELVIN_AT_0_C = 273.15
_CARBON_DIOXIDE = 425e-6  # mole fraction


def speed_of_sound(
    temperature_c: ArrayLike = 20,
    humidity_percent: ArrayLike | None = None,
    pressure_kpa: ArrayLike = 101.325,
) -> Numbers:
    r"""Speed of sound in air.

    Without a humidity: :math:`c = 331.3 \sqrt{1 + T/273.15}`, dry air as an ideal gas, where the pressure
    makes no difference. This is the convention of every delay here. With a humidity: the polynomial of
    Cramer (1993), at 425 parts per million of carbon dioxide.

    Parameters
    ----------
    temperature_c : array_like, optional
        Air temperature, -20 to 50; with a humidity 0 to 30 [°C].
    humidity_percent : array_like, optional
        Relative humidity, 0 to 100 [%].
    pressure_kpa : array_like, optional
        Air pressure, 75 to 102 [kPa].

    Returns
    -------
    float or ndarray
        Speed of sound [m/s].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    For dry air at 20 °C sources print 343.2 to 343.4 m/s, an older handbook 345; this is 343.21. Damp air
    is faster, by 0.4 % at most at 20 °C and 0.7 % at 30 °C.

    Examples
    --------
    >>> round(speed_of_sound(20), 1)
    343.2
    >>> round(speed_of_sound(20, humidity_percent=50), 1)
    344.0

    References
    ----------
    .. [1] 331.3 m/s at 0 °C: practical formula for dry air; the library acoustica has the same, ISO 9613-1 331.29.
    .. [2] O. Cramer, *J. Acoust. Soc. Am.* 93(5), 2510-2516, 1993, coefficients on page 2514.
    """
    damp = humidity_percent is not None
    low, high = (0, 30) if damp else (-20, 50)
    temperature, humidity, pressure = same_shape(
        temperature_c=number("temperature_c", temperature_c, "°C", low, high),
        humidity_percent=number("humidity_percent", humidity_percent if damp else 0, "%", 0, 100),
        pressure_kpa=number("pressure_kpa", pressure_kpa, "kPa", 75, 102),
    )
    if damp:
        return plain(_cramer(temperature, humidity / 100, 1000 * pressure))
    return plain(331.3 * np.sqrt(1 + temperature / _KELVIN_AT_0_C))


def _cramer(t: NDArray, humidity: NDArray, pressure_pa: NDArray) -> NDArray:
    kelvin = t + _KELVIN_AT_0_C
    saturation_pa = np.exp(
        1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6.3536311e3 / kelvin
    )
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * t**2
    water = humidity * enhancement * saturation_pa / pressure_pa
    return (
        (331.5024 + 0.603055 * t - 0.000528 * t**2)
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * water
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * pressure_pa
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * _CARBON_DIOXIDE
        + (-2.835149 * water**2 - 2.15e-13 * pressure_pa**2 + 29.179762 * _CARBON_DIOXIDE**2)
        + 0.000486 * water * pressure_pa * _CARBON_DIOXIDE
    )
