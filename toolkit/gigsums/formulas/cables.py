"""Cables: resistance, what a loudspeaker line loses, loads side by side, and lengths from stock.

Planning only. A cable that passes these sums can still be unfit: heat in a bundle or on a wound reel, worn
insulation and connectors are not in them. For anything that carries mains a competent person decides. A
100 V loudspeaker line gives a shock: treat it as such and follow the local code.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape, single, typed

__all__ = [
    "COPPER",
    "LINE_ALLOWANCE",
    "SLACK_M",
    "STOCK_LENGTHS_M",
    "conductor_resistance",
    "constant_voltage_watts",
    "damping_factor",
    "parallel_impedance",
    "speaker_cable_loss_db",
    "stock_length_m",
]

COPPER = 0.0175
"""Resistivity of copper wire at 20 °C, the trade's round figure [ohm mm2/m]."""
LINE_ALLOWANCE = 1.25
"""Amplifier power over the sum of the taps of a constant-voltage line (common practice) [-]."""
STOCK_LENGTHS_M = (3.0, 5.0, 10.0, 15.0, 20.0)
"""Lengths of cable carried (common practice) [m]."""
SLACK_M = 3.0
"""Length allowed for both ends of a run (common practice) [m]."""

_PER_KELVIN = 0.00393
_REFERENCE_C = 20.0


def conductor_resistance(
    length_m: ArrayLike, area_mm2: ArrayLike, temperature_c: ArrayLike = 20.0, resistivity: ArrayLike = COPPER
) -> Numbers:
    r"""Resistance of one copper conductor; a circuit goes out and back through two.

    :math:`R = \rho \, l / A \, (1 + 0.00393 (T - 20))`.

    Parameters
    ----------
    length_m : array_like
        Length of the cable, 0 to 10 000 [m].
    area_mm2 : array_like
        Cross-section of the conductor, 0.05 to 1000 [mm2].
    temperature_c : array_like, optional
        Temperature of the copper, -40 to 100 [°C].
    resistivity : array_like, optional
        Resistivity at 20 °C, 0.015 to 0.1 [ohm mm2/m].

    Returns
    -------
    float or ndarray
        Resistance, one way [ohm].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    0.0175 stands between the 0.01724 of annealed copper, which wire-gauge tables print, and the 0.018 behind
    the installation standard. IEC 60228 allows a flexible cable (class 5) of the same nominal area up to
    0.020, one seventh more: give `resistivity=0.020` to be on the safe side of every size to 70 mm2, or what
    the maker states in ohm per km times the area over 1000.

    Examples
    --------
    30 m of 2.5 mm2, one way:

    >>> round(conductor_resistance(30, 2.5), 2)
    0.21

    References
    ----------
    .. [1] IEC 60228, maximum resistance of conductors at 20 °C, and its temperature correction factors.
    .. [2] Georgia State University, Department of Physics and Astronomy, American Wire Gauge table.
    """
    length, area, temperature, rho = same_shape(
        length_m=number("length_m", length_m, "m", 0, 10_000),
        area_mm2=number("area_mm2", area_mm2, "mm2", 0.05, 1000),
        temperature_c=number("temperature_c", temperature_c, "°C", -40, 100),
        resistivity=number("resistivity", resistivity, "ohm mm2/m", 0.015, 0.1),
    )
    return plain(rho * length / area * (1 + _PER_KELVIN * (temperature - _REFERENCE_C)))


def speaker_cable_loss_db(
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    impedance_ohm: ArrayLike,
    temperature_c: ArrayLike = 20.0,
    resistivity: ArrayLike = COPPER,
) -> Numbers:
    r"""Change of level that a loudspeaker cable makes, both its conductors counted.

    :math:`L = 20 \log_{10} \frac{Z}{Z + 2R}`, taking the load as resistive.

    Parameters
    ----------
    length_m : array_like
        Length of the cable, 0 to 10 000 [m].
    area_mm2 : array_like
        Cross-section of each conductor, 0.05 to 1000 [mm2].
    impedance_ohm : array_like
        Impedance of all that hangs on the cable, 0.1 to 100 000 [ohm].
    temperature_c : array_like, optional
        Temperature of the copper, -40 to 100 [°C].
    resistivity : array_like, optional
        Resistivity at 20 °C, 0.015 to 0.1 [ohm mm2/m].

    Returns
    -------
    float or ndarray
        Level at the load against no cable at all; 0 or less [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    30 m of 2.5 mm2 into 4 ohm:

    >>> round(speaker_cable_loss_db(30, 2.5, 4), 2)
    -0.87

    References
    ----------
    .. [1] Circuit theory: cable and loudspeaker divide the voltage, as the library electricpy divides it.
    """
    load, cable = _load_and_loop(impedance_ohm, length_m, area_mm2, temperature_c, resistivity)
    return plain(-20 * np.log10(1 + cable / load))


def damping_factor(
    impedance_ohm: ArrayLike,
    output_ohm: ArrayLike,
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    temperature_c: ArrayLike = 20.0,
    resistivity: ArrayLike = COPPER,
) -> Numbers:
    r"""Damping factor at the loudspeaker: its impedance over all that stands before it.

    :math:`D = Z / (R_{out} + 2R)`. A length of 0 gives the damping factor of the amplifier alone.

    Parameters
    ----------
    impedance_ohm : array_like
        Impedance of the loudspeaker, 0.1 to 100 000 [ohm].
    output_ohm : array_like
        Output resistance of the amplifier, 0.0001 to 1000 [ohm].
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
        Damping factor [-].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    An amplifier of 400 at its terminals, after 10 m of 4 mm2:

    >>> round(damping_factor(8, 0.02, 10, 4))
    74

    References
    ----------
    .. [1] Definition: the load over the resistance in series with it.
    """
    load, cable = _load_and_loop(impedance_ohm, length_m, area_mm2, temperature_c, resistivity)
    output = number("output_ohm", output_ohm, "ohm", 0.0001, 1000)
    load, cable, output = same_shape(impedance_ohm=load, cable=cable, output_ohm=output)
    return plain(load / (output + cable))


def _load_and_loop(
    impedance_ohm: ArrayLike,
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    temperature_c: ArrayLike,
    rho: ArrayLike,
) -> list[NDArray[np.float64]]:
    """The load, and the cable out and back."""
    load = number("impedance_ohm", impedance_ohm, "ohm", 0.1, 100_000)
    one_way = np.asarray(conductor_resistance(length_m, area_mm2, temperature_c, rho))
    return same_shape(impedance_ohm=load, cable=2 * one_way)


def parallel_impedance(impedances_ohm: ArrayLike) -> float:
    r"""Impedance of loads side by side on one amplifier channel.

    :math:`1/Z = \sum_i 1/Z_i`. Below the least load that its maker allows, an amplifier does not fit.

    Parameters
    ----------
    impedances_ohm : array_like, any shape
        Each load, 0.01 to 10 000 000 [ohm].

    Returns
    -------
    float
        Impedance of them all [ohm].

    Raises
    ------
    ValueError
        If there is no load, or one is not a number in that range.

    Examples
    --------
    Three boxes of 8 ohm:

    >>> round(parallel_impedance([8, 8, 8]), 2)
    2.67

    References
    ----------
    .. [1] Circuit theory: conductances add, as the library electricpy adds them.
    """
    load = number("impedances_ohm", impedances_ohm, "ohm", 0.01, 10_000_000)
    return float(1 / np.sum(1 / load))


def constant_voltage_watts(taps_w: ArrayLike, allowance: float = LINE_ALLOWANCE) -> float:
    r"""Amplifier power for a constant-voltage (70.7 or 100 V) loudspeaker line.

    :math:`P = a \sum_i W_i`.

    Parameters
    ----------
    taps_w : array_like, any shape
        Power at which each loudspeaker is tapped, 0 to 20 000 [W].
    allowance : float, optional
        Amplifier power over the sum of the taps, 1 to 3 [-].

    Returns
    -------
    float
        Power of the amplifier [W].

    Raises
    ------
    ValueError
        If there is no tap, or an argument is not a number in its range.

    Examples
    --------
    Twelve ceiling loudspeakers at 10 W:

    >>> constant_voltage_watts([10] * 12)
    150.0

    References
    ----------
    .. [1] Definition: the sum of the taps. Allowance: common practice, no source.
    """
    taps = number("taps_w", taps_w, "W", 0, 20_000)
    return float(np.sum(taps)) * single("allowance", allowance, "", 1, 3)


def stock_length_m(
    dx_m: ArrayLike,
    dy_m: ArrayLike,
    stock_m: Sequence[float] = STOCK_LENGTHS_M,
    slack_m: float = SLACK_M,
) -> Numbers:
    r"""Length of cable from stock for a run laid along the edges of a stage, not across it.

    The run is :math:`|dx| + |dy|` and the slack, taken up to the next stock length. A run longer than the
    longest is joined from the fewest pieces, and of those from the shortest that reach. Worked on the
    decimals as typed, so that 4.2 + 2.8 + 3 m is a 10 m cable.

    Parameters
    ----------
    dx_m : array_like
        Distance across the stage, -1000 to 1000 [m].
    dy_m : array_like
        Distance up the stage, -1000 to 1000 [m].
    stock_m : sequence of float, optional
        Lengths that are carried, each 0.5 to 1000 [m].
    slack_m : float, optional
        Length allowed for both ends, 0 to 100 [m].

    Returns
    -------
    float or ndarray
        Length of the cable, or of the pieces joined [m].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    6 m across and 2 m up the stage is a run of 11 m:

    >>> stock_length_m(6, 2)
    15.0

    References
    ----------
    .. [1] Common practice, no source.
    """
    dx, dy = same_shape(
        dx_m=number("dx_m", dx_m, "m", -1000, 1000),
        dy_m=number("dy_m", dy_m, "m", -1000, 1000),
    )
    stock = sorted({typed(length) for length in number("stock_m", stock_m, "m", 0.5, 1000).flat})
    slack = typed(single("slack_m", slack_m, "m", 0, 100))
    runs = (abs(typed(x)) + abs(typed(y)) + slack for x, y in zip(dx.flat, dy.flat, strict=True))
    return plain(np.array([float(sum(_pieces(run, stock))) for run in runs]).reshape(dx.shape))


def _pieces(run: Fraction, stock: list[Fraction]) -> tuple[Fraction, ...]:
    """The fewest pieces that reach, of those the least length in all, longest pieces first."""
    longest = stock[-1]
    count = max(1, -(-run // longest))
    spare = count * longest - run
    drops = [longest - length for length in stock[:-1] if longest - length <= spare]
    saved: dict[Fraction, tuple[Fraction, ...]] = {Fraction(0): ()}  # shortened by so much: by these drops
    newest = saved
    for _ in range(count):
        newest = {
            total + drop: (*taken, drop)
            for total, taken in newest.items()
            for drop in drops
            if total + drop <= spare and total + drop not in saved
        }
        if not newest:
            break
        saved |= newest
    best = saved[max(saved)]
    return (longest,) * (count - len(best)) + tuple(longest - drop for drop in sorted(best))
