"""Mains: current, what to plan on a circuit, volt drop, size of a generator.

Planning only: a competent person decides what is connected, and the local code comes first. These sums say
nothing about protection, disconnection times, earthing, inrush or the heat of a wound reel, and a circuit that
passes them is not thereby safe. Never lift a protective earth; never join on to a supply yourself.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas.cables import COPPER, conductor_resistance

__all__ = [
    "GENERATOR_LOADING",
    "PLANNING_FRACTION",
    "circuit_load",
    "generator_kva",
    "line_current",
    "voltage_drop",
]

PLANNING_FRACTION = 0.8
"""Share of a circuit's rating that is planned for (common practice) [-]."""
GENERATOR_LOADING = 0.75
"""Share of a generator's rating that is planned for (common practice) [-]."""

_MOST_V = 1000


def line_current(
    power_w: ArrayLike, voltage_v: ArrayLike, power_factor: ArrayLike, phases: int = 1
) -> Numbers:
    r"""Current that a load draws in each line.

    :math:`I = P / (V \cos\varphi)`, and over a further :math:`\sqrt 3` on three balanced phases, where V is
    between two lines.

    Parameters
    ----------
    power_w : array_like
        Power drawn from the mains (not the audio power of an amplifier), 0 to 1 000 000 [W].
    voltage_v : array_like
        Supply, between lines if there are three phases, 1 to 1000 [V].
    power_factor : array_like
        Power factor of the load, 0.1 to 1 [-].
    phases : int, optional
        1 or 3 [-].

    Returns
    -------
    float or ndarray
        Current [A].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, phases is not 1 or 3, or the shapes do not go together.

    Examples
    --------
    3 kW at 230 V with a power factor of 0.9:

    >>> round(line_current(3000, 230, 0.9), 2)
    14.49

    References
    ----------
    .. [1] Definition of active power; the currents are those of a load flow by the library pandapower.
    """
    power, voltage, factor = same_shape(
        power_w=number("power_w", power_w, "W", 0, 1_000_000),
        voltage_v=number("voltage_v", voltage_v, "V", 1, _MOST_V),
        power_factor=number("power_factor", power_factor, "", 0.1, 1),
    )
    return plain(power / (_lines(phases) * voltage * factor))


def circuit_load(
    rating_a: ArrayLike,
    voltage_v: ArrayLike,
    power_factor: ArrayLike = 1.0,
    planning_fraction: ArrayLike = PLANNING_FRACTION,
    phases: int = 1,
) -> Numbers:
    r"""Load to plan on one circuit, in watts; with a power factor of 1 that is also its volt-amperes.

    :math:`P = f \, I \, V \cos\varphi`, and times :math:`\sqrt 3` on three balanced phases.

    Parameters
    ----------
    rating_a : array_like
        Rating of the circuit's breaker or fuse, 0.1 to 5000 [A].
    voltage_v : array_like
        Supply, between lines if there are three phases, 1 to 1000 [V].
    power_factor : array_like, optional
        Power factor of the load, 0.1 to 1 [-].
    planning_fraction : array_like, optional
        Share of the rating to plan for, 0.01 to 1 [-].
    phases : int, optional
        1 or 3 [-].

    Returns
    -------
    float or ndarray
        Load [W].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, phases is not 1 or 3, or the shapes do not go together.

    Examples
    --------
    What a 16 A circuit of 230 V is planned for, in VA and in W at a power factor of 0.8:

    >>> round(circuit_load(16, 230)), round(circuit_load(16, 230, 0.8))
    (2944, 2355)

    References
    ----------
    .. [1] Definition of active power, as in `line_current`. Planning fraction: common practice, no source.
    """
    rating, voltage, factor, fraction = same_shape(
        rating_a=number("rating_a", rating_a, "A", 0.1, 5000),
        voltage_v=number("voltage_v", voltage_v, "V", 1, _MOST_V),
        power_factor=number("power_factor", power_factor, "", 0.1, 1),
        planning_fraction=number("planning_fraction", planning_fraction, "", 0.01, 1),
    )
    return plain(fraction * _lines(phases) * rating * voltage * factor)


def voltage_drop(
    current_a: ArrayLike,
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    temperature_c: ArrayLike = 20.0,
    resistivity: ArrayLike = COPPER,
) -> Numbers:
    r"""Voltage lost along a single-phase cable, both its conductors counted.

    :math:`U = 2 I R`: resistance only, the load taken at a power factor of 1. The copper is cold unless a
    temperature is given; at 70 °C it loses a fifth more.

    Parameters
    ----------
    current_a : array_like
        Current, 0 to 5000 [A].
    length_m : array_like
        Length of the cable, 0 to 10 000 [m].
    area_mm2 : array_like
        Cross-section of each conductor, 0.05 to 1000 [mm2].
    temperature_c : array_like, optional
        Temperature of the copper, -40 to 100 [°C].
    resistivity : array_like, optional
        Resistivity at 20 °C, 0.015 to 0.1 [ohm mm2/m].

    Returns
    -------
    float or ndarray
        Voltage lost [V].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    How much may be lost is a local setting, and keeping to it says nothing about protection or disconnection.
    IEC 60364-5-52 reckons copper in service at 0.0225 ohm mm2/m, which stands for the heat already: give that
    as `resistivity` with the temperature left at 20 °C. `cables.conductor_resistance` says what flexible
    cable may have.

    Examples
    --------
    50 m of 1.5 mm2 at 10 A, cold and hot:

    >>> round(voltage_drop(10, 50, 1.5), 1), round(voltage_drop(10, 50, 1.5, temperature_c=70), 1)
    (11.7, 14.0)

    References
    ----------
    .. [1] IEC 60364-5-52:2009, annex G.
    .. [2] A load flow by the library pandapower, the load at the end of the cable out and back.
    """
    current, one_way = same_shape(
        current_a=number("current_a", current_a, "A", 0, 5000),
        cable=np.asarray(conductor_resistance(length_m, area_mm2, temperature_c, resistivity)),
    )
    return plain(2 * current * one_way)


def generator_kva(
    load_kw: ArrayLike, power_factor: ArrayLike, loading: ArrayLike = GENERATOR_LOADING
) -> Numbers:
    r"""Rating of a generator that carries a steady load with room to spare.

    :math:`S = P / (\cos\varphi \, l)`. Inrush, altitude and heat come on top: ask the supplier.

    Parameters
    ----------
    load_kw : array_like
        Power of all that it feeds, 0 to 10 000 [kW].
    power_factor : array_like
        Power factor of that load, 0.1 to 1 [-].
    loading : array_like, optional
        Share of the rating to plan for, 0.1 to 1 [-].

    Returns
    -------
    float or ndarray
        Rating [kVA].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(generator_kva(3.6, 0.8), 1)
    6.0

    References
    ----------
    .. [1] Common practice, no source.
    """
    load, factor, share = same_shape(
        load_kw=number("load_kw", load_kw, "kW", 0, 10_000),
        power_factor=number("power_factor", power_factor, "", 0.1, 1),
        loading=number("loading", loading, "", 0.1, 1),
    )
    return plain(load / factor / share)


def _lines(phases: int) -> float:
    """Volt-amperes for each ampere and volt: 1 on a single phase, root 3 between the lines of three."""
    if isinstance(phases, (int, np.integer)) and not isinstance(phases, bool) and phases in (1, 3):
        return math.sqrt(phases)
    raise ValueError(f"phases is {phases!r}; it may be 1 or 3")
