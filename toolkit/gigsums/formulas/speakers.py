"""Loudspeakers: level over distance and from power, what the air takes, coverage, and level over a floor.

Loudspeakers on a stage reach levels that harm hearing within minutes. These sums plan a system; a meter
decides, `gigsums.formulas.exposure` says how long is too long, and local law comes before either.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._absorption import air_absorption_db_per_m
from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas._floor import Speaker, level_over_floor

__all__ = [
    "Speaker",
    "air_absorption_db_per_m",
    "coverage_width_m",
    "down_tilt_deg",
    "level_at_distance",
    "level_from_power",
    "level_over_floor",
    "power_for_level",
]

_MOST_DB = 300


def level_at_distance(level_db: ArrayLike, distance_m: ArrayLike, reference_m: ArrayLike = 1) -> Numbers:
    r"""Level of a source further away, or nearer, than where it is known.

    In the open a small source loses 6 dB for each doubling of distance,
    :math:`L = L_r - 20 \log_{10}(d / d_r)`. Indoors that holds well inside the critical distance only
    (`gigsums.formulas.rooms.critical_distance_m`); near a tall array the loss is closer to 3 dB a doubling.

    Parameters
    ----------
    level_db : array_like
        Level at the known distance, -300 to 300 [dB].
    distance_m : array_like
        Distance asked about, 0.01 to 100 000 [m].
    reference_m : array_like, optional
        Distance at which the level is known, 0.01 to 100 000 [m].

    Returns
    -------
    float or ndarray
        Level at the distance asked about [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    A box of 112 dB at 1 m, heard at 20 m:

    >>> round(level_at_distance(112, 20), 1)
    86.0

    References
    ----------
    .. [1] ISO 9613-2:1996, equation 7 (geometrical divergence).
    """
    level, distance, reference = same_shape(
        level_db=number("level_db", level_db, "dB", -_MOST_DB, _MOST_DB),
        distance_m=_distance("distance_m", distance_m),
        reference_m=_distance("reference_m", reference_m),
    )
    return plain(level - 20 * np.log10(distance / reference))


def level_from_power(sensitivity_db: ArrayLike, power_w: ArrayLike, distance_m: ArrayLike) -> Numbers:
    r"""Level on the axis of a loudspeaker from the power that feeds it, in the open.

    :math:`L = S + 10 \log_{10} P - 20 \log_{10} d`. A box that works hard gives less: hot voice coils
    commonly cost about 3 dB, which this leaves to you.

    Parameters
    ----------
    sensitivity_db : array_like
        Level on axis at 1 m for 1 W, 0 to 200 [dB].
    power_w : array_like
        Electrical power, 1e-6 to 1e6 [W].
    distance_m : array_like
        Distance on axis, 0.01 to 100 000 [m].

    Returns
    -------
    float or ndarray
        Level at that distance [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    250 W into a box of 96 dB, heard at 10 m:

    >>> round(level_from_power(96, 250, 10), 1)
    100.0

    References
    ----------
    .. [1] Definition of sensitivity (1 W, 1 m), with ISO 9613-2:1996, equation 7 for the distance.
    """
    sensitivity, power, distance = same_shape(
        sensitivity_db=number("sensitivity_db", sensitivity_db, "dB", 0, 200),
        power_w=number("power_w", power_w, "W", 1e-6, 1e6),
        distance_m=_distance("distance_m", distance_m),
    )
    return plain(sensitivity + 10 * np.log10(power) - 20 * np.log10(distance))


def power_for_level(
    level_db: ArrayLike, sensitivity_db: ArrayLike, distance_m: ArrayLike, headroom_db: ArrayLike = 0
) -> Numbers:
    r"""Power that brings a loudspeaker to a level at a distance, with headroom for peaks.

    :math:`P = 10^{(L - S + 20 \log_{10} d + H)/10}`. More than the box is rated for means more boxes, not
    a larger amplifier.

    Parameters
    ----------
    level_db : array_like
        Level wanted at the distance, 0 to 200 [dB].
    sensitivity_db : array_like
        Level on axis at 1 m for 1 W, 0 to 200 [dB].
    distance_m : array_like
        Distance on axis, 0.01 to 100 000 [m].
    headroom_db : array_like, optional
        What peaks need above the level wanted, 0 to 40 [dB].

    Returns
    -------
    float or ndarray
        Power [W].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    95 dB at 12 m with 10 dB in hand, from a box of 99 dB:

    >>> round(power_for_level(95, 99, 12, headroom_db=10))
    573

    References
    ----------
    .. [1] Definition of sensitivity (1 W, 1 m), with ISO 9613-2:1996, equation 7 for the distance.
    """
    level, sensitivity, distance, headroom = same_shape(
        level_db=number("level_db", level_db, "dB", 0, 200),
        sensitivity_db=number("sensitivity_db", sensitivity_db, "dB", 0, 200),
        distance_m=_distance("distance_m", distance_m),
        headroom_db=number("headroom_db", headroom_db, "dB", 0, 40),
    )
    return plain(distance**2 * 10 ** ((level - sensitivity + headroom) / 10))


def coverage_width_m(distance_m: ArrayLike, angle_deg: ArrayLike) -> Numbers:
    r"""Width that a coverage angle spans square to the axis, :math:`w = 2 d \tan(\theta / 2)`.

    Parameters
    ----------
    distance_m : array_like
        Distance along the axis, 0.01 to 100 000 [m].
    angle_deg : array_like
        Whole coverage angle, edge to edge, 1 to 179 [°].

    Returns
    -------
    float or ndarray
        Width from edge to edge [m].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(coverage_width_m(8, 90), 1)
    16.0

    References
    ----------
    .. [1] Geometry: two right-angled triangles back to back.
    """
    distance, angle = same_shape(
        distance_m=_distance("distance_m", distance_m),
        angle_deg=number("angle_deg", angle_deg, "°", 1, 179),
    )
    return plain(2 * distance * np.tan(np.radians(angle / 2)))


def down_tilt_deg(height_m: ArrayLike, ear_height_m: ArrayLike, distance_m: ArrayLike) -> Numbers:
    r"""Angle below level at which a loudspeaker looks at an ear, :math:`\arctan((h - e) / d)`.

    Parameters
    ----------
    height_m : array_like
        Height of the loudspeaker, 0 to 1000 [m].
    ear_height_m : array_like
        Height of the ear above the same floor, 0 to 1000 [m].
    distance_m : array_like
        Distance along the floor, 0.01 to 100 000 [m].

    Returns
    -------
    float or ndarray
        Tilt; below 0 it is upwards [°].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    An angle on paper is no leave to hang a box at it. Loads overhead, and the hardware that tilts them,
    belong to a licensed rigger and to local rules.

    Examples
    --------
    >>> round(down_tilt_deg(4.2, 1.2, 15), 1)
    11.3

    References
    ----------
    .. [1] Geometry: one right-angled triangle.
    """
    height, ear, distance = same_shape(
        height_m=number("height_m", height_m, "m", 0, 1000),
        ear_height_m=number("ear_height_m", ear_height_m, "m", 0, 1000),
        distance_m=_distance("distance_m", distance_m),
    )
    return plain(np.degrees(np.arctan2(height - ear, distance)))


def _distance(name: str, value: ArrayLike) -> np.ndarray:
    return number(name, value, "m", 0.01, 100_000)
