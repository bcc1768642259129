"""Loudspeakers: level over distance and from power, what the air takes, coverage, and level over a floor.

Loudspeakers on a stage reach levels that harm hearing within minutes. These sums plan a system; a meter
decides, `gigsums.formulas.exposure` says how long is too long, and local law comes before either.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape, single
from gigsums.formulas.rooms import reverberation_time_sabine
from gigsums.formulas.timing import KELVIN_AT_0_C, speed_of_sound

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
_TRIPLE_POINT_K = 273.16
_REFERENCE_K = 293.15
_REFERENCE_KPA = 101.325
REAR = 10**-2.5  # power behind a box against power on its axis: 25 dB down
EDGE = 10**-0.6  # power at the edge of the coverage angle: 6 dB down
NEAREST_M = 0.1
REACH_M = 500
OCTAVES_HZ = 1000 * 10 ** (0.3 * np.arange(-5, 5))
_DB = math.log(10) / 10  # natural logarithm of the power ratio that 1 dB stands for
_CHUNK = 2**16  # numbers in one working array: small enough for a processor's own memory
Array = NDArray[np.float64]


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
    kelvin = celsius + KELVIN_AT_0_C
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


@dataclass(frozen=True)
class Speaker:
    r"""A loudspeaker over a floor: where it stands, where it looks, how loud and how wide it is.

    Directivity is a stated model, not a measurement. With :math:`\theta` the angle off the axis and
    :math:`\varphi` the angle around it, the power radiated in a direction against that on the axis is
    :math:`b + (1 - b) \left(\frac{1 + \cos\theta}{2}\right)^{k}` with
    :math:`k = k_h \cos^2\varphi + k_v \sin^2\varphi`. The exponents put -6 dB at half the horizontal angle
    to either side and at half the vertical angle up and down; :math:`b` leaves -25 dB behind. An angle of
    360° radiates evenly in its plane. It is smooth, falls steadily, and its directivity factor is known
    exactly, :math:`1/Q = b + (1 - b)/\sqrt{(k_h + 1)(k_v + 1)}`; it has no side lobes, no cabinet edges, no
    crossover and no near field of a tall array. A maker's measured data beats it wherever there is any.

    Parameters
    ----------
    at_m : sequence of three floats
        Where it stands: across, out into the audience, up, each -500 to 500 [m].
    aim_m : sequence of three floats
        A point that its axis passes through, at least 1 mm away [m]. The box is not rolled about its axis.
    level_db : float or sequence of float
        Level on the axis at 1 m, -100 to 200, or one value a band; -inf is silence [dB].
    horizontal_deg : float or sequence of float, optional
        Whole horizontal coverage to -6 dB, 5 to 360, or one value a band [°].
    vertical_deg : float or sequence of float, optional
        Whole vertical coverage to -6 dB, 5 to 360, or one value a band [°].
    delay_ms : float, optional
        Delay set on its feed, 0 to 10 000; heard in a coherent sum only [ms].

    Raises
    ------
    ValueError
        If a field is not what it should be, with its name, the value and the range.

    Examples
    --------
    >>> left = Speaker(at_m=(-4, 0, 3.2), aim_m=(-2, 10, 1.2), level_db=118)

    References
    ----------
    .. [1] Definition: the model is this toolkit's own, and its limits are the ones stated above.
    """

    at_m: Sequence[float]
    aim_m: Sequence[float]
    level_db: float | Sequence[float]
    horizontal_deg: float | Sequence[float] = 90
    vertical_deg: float | Sequence[float] = 60
    delay_ms: float = 0

    def __post_init__(self) -> None:
        """Read every field as numbers, so that a wrong one is named here and not over the floor."""
        for name in ("at_m", "aim_m"):
            point = number(name, getattr(self, name), "m", -REACH_M, REACH_M)
            if point.shape != (3,):
                raise ValueError(f"{name} has shape {point.shape}; three numbers are wanted: across, out, up")
            object.__setattr__(self, name, tuple(point.tolist()))
        if math.dist(self.at_m, self.aim_m) < 0.001:
            raise ValueError(
                f"aim_m is {self.aim_m}, where the loudspeaker stands; aim at a point away from it"
            )
        self._bands("level_db", "dB", -100, 200, silence=True)
        self._bands("horizontal_deg", "°", 5, 360)
        self._bands("vertical_deg", "°", 5, 360)
        delay = number("delay_ms", self.delay_ms, "ms", 0, 10_000)
        if delay.ndim:
            raise ValueError(f"delay_ms has shape {delay.shape}; one number is wanted, for every band alike")
        object.__setattr__(self, "delay_ms", float(delay))

    def _bands(self, name: str, unit: str, least: float, most: float, silence: bool = False) -> None:
        values = number(name, getattr(self, name), unit, least, most, silence=silence)
        if values.ndim > 1:
            raise ValueError(f"{name} has shape {values.shape}; one number or one a band is wanted")
        object.__setattr__(self, name, tuple(values.tolist()) if values.ndim else float(values))


def level_over_floor(
    speakers: Sequence[Speaker],
    x_m: ArrayLike,
    y_m: ArrayLike,
    ear_height_m: ArrayLike = 1.2,
    *,
    bands_hz: ArrayLike | None = None,
    volume_m3: float | None = None,
    reverberation_s: ArrayLike | None = None,
    temperature_c: float = 20,
    humidity_percent: float = 50,
    pressure_kpa: float = 101.325,
    coherent: bool = False,
) -> Array:
    r"""Level in each band at listening points over a floor, from several loudspeakers at once.

    Direct sound spreads from each loudspeaker as from a point, shaped by its directivity and thinned by the
    air. In a room the reverberant sound of Hopkins and Stryker is added, :math:`4 W / A` from each box's
    radiated power :math:`W` and the absorption :math:`A` that Sabine's formula reads out of the
    reverberation time; it is the same everywhere and has no phase.

    Parameters
    ----------
    speakers : sequence of Speaker
        The loudspeakers, at least one.
    x_m, y_m : array_like
        Listening points, across and out into the audience, -500 to 500 [m]. They broadcast:
        a row of one against a column of the other makes a map.
    ear_height_m : array_like, optional
        Height of the ears, -500 to 500; an array makes a rake or a balcony [m].
    bands_hz : array_like, optional
        Midband frequencies, 20 to 20 000; the ten octaves from 31.5 Hz to 16 kHz if left out [Hz].
    volume_m3 : float, optional
        Volume of the room, 1 to 1e7; left out together with `reverberation_s` in the open [m³].
    reverberation_s : array_like, optional
        Reverberation time, 0.05 to 30, one or one a band, air included as a measured one is [s].
    temperature_c : float, optional
        Air temperature, -20 to 50 [°C].
    humidity_percent : float, optional
        Relative humidity, 0 to 100 [%].
    pressure_kpa : float, optional
        Air pressure, 50 to 200 [kPa].
    coherent : bool, optional
        Add the direct sound as one tone at each midband, with its phase, where all boxes carry one signal.
        If left out, boxes add in power, which is what a whole band of music comes to on average.

    Returns
    -------
    ndarray, bands first, then the shape of the points
        Level [dB]. It is -inf only where every loudspeaker is silent or a null is perfect.

    Raises
    ------
    ValueError
        If an argument is not what it should be, the shapes do not go together, or a point lies within
        0.1 m of a loudspeaker.

    Notes
    -----
    Valid where a box looks small from the ear: a few metres away, further for tall arrays and low bands.
    No reflections apart from the even reverberant field, no shadows, no wind, no ground. A coherent sum holds
    at its one tone; a band as a whole is smoother.

    Examples
    --------
    Two boxes at the stage edge, heard in the middle, 12 m out, at 1 kHz:

    >>> pair = [Speaker((side, 0, 3), (side, 12, 1.2), level_db=115) for side in (-4, 4)]
    >>> level_over_floor(pair, 0, 12, bands_hz=[1000]).round(1)
    array([94.9])

    References
    ----------
    .. [1] ISO 9613-2:1996, equation 7, for the spreading and ISO 9613-1:1993 for the air.
    .. [2] Hopkins and Stryker's sum of direct and reverberant sound, as in
       `gigsums.formulas.rooms.room_level_db`.
    """
    boxes = _boxes(speakers)
    x, y, ear = same_shape(
        x_m=number("x_m", x_m, "m", -REACH_M, REACH_M),
        y_m=number("y_m", y_m, "m", -REACH_M, REACH_M),
        ear_height_m=number("ear_height_m", ear_height_m, "m", -REACH_M, REACH_M),
    )
    bands = number("bands_hz", OCTAVES_HZ if bands_hz is None else bands_hz, "Hz", 20, 20_000)
    if bands.ndim != 1:
        raise ValueError(f"bands_hz has shape {bands.shape}; a row of frequencies is wanted")
    if coherent is not True and coherent is not False:
        raise ValueError(f"coherent is {coherent!r}; it may be True or False")
    celsius = single("temperature_c", temperature_c, "°C", -20, 50)
    air = np.asarray(
        air_absorption_db_per_m(
            bands,
            celsius,
            single("humidity_percent", humidity_percent, "%", 0, 100),
            single("pressure_kpa", pressure_kpa, "kPa", 50, 200),
        )
    )
    layout = _Layout(boxes, bands, air)
    reverberant = layout.radiated * _reverberant(bands, volume_m3, reverberation_s)
    speed_m_s = float(speed_of_sound(celsius)) if coherent else None
    flat = np.stack([x.ravel(), y.ravel(), ear.ravel()])
    levels = np.empty((bands.size, flat.shape[1]))
    step = _CHUNK // (2 * bands.size) + 1
    for start in range(0, flat.shape[1], step):
        part = slice(start, start + step)
        direct = _direct(layout, flat[:, part], bands, speed_m_s)
        with np.errstate(divide="ignore"):
            levels[:, part] = 10 * np.log10(direct + reverberant[:, None])
    return levels.reshape(bands.size, *x.shape)


def _distance(name: str, value: ArrayLike) -> np.ndarray:
    return number(name, value, "m", 0.01, 100_000)


class _Layout:
    """The loudspeakers in numbers, stacked: where they stand, their axes, what each band needs of each."""

    def __init__(self, boxes: list[Speaker], bands: Array, air_db_per_m: Array) -> None:
        self.delays_s = [box.delay_ms / 1000 for box in boxes]
        self.at = np.array([box.at_m for box in boxes])[..., None]
        self.axes = np.stack([_axes(np.array(box.aim_m) - np.array(box.at_m)) for box in boxes])
        level, wide, tall = (
            np.stack([_per_band(index, name, box, bands.size) for index, box in enumerate(boxes)])
            for name in ("level_db", "horizontal_deg", "vertical_deg")
        )
        k_h, k_v = _exponent(wide), _exponent(tall)
        even = REAR + (1 - REAR) / np.sqrt((k_h + 1) * (k_v + 1))
        self.radiated = (10 ** (level / 10) * 4 * np.pi * even).sum(axis=0)
        lost, none = np.broadcast_to(-_DB * air_db_per_m, level.shape), np.zeros(level.shape)
        spread = none - 2
        shaped = [k_h, k_v, lost, spread, _DB * level + math.log1p(-REAR)]
        even_behind = [none, none, lost, spread, _DB * level + math.log(REAR)]
        self.terms = np.concatenate([np.stack(shaped, axis=2), np.stack(even_behind, axis=2)], axis=1)

    def powers(self, points: Array) -> Iterator[tuple[Array, Array]]:
        """For each box its power in each band at each point (1 is 0 dB), and its distances.

        Everything a band does is linear in five things known of a point, so one matrix product gives the
        logarithms of both terms of the directivity, and one exponential each gives the power.
        """
        ahead, aside, above = np.moveaxis(self.axes @ (points - self.at), 1, 0)
        off_axis = aside**2 + above**2
        distance = np.sqrt(ahead**2 + off_axis)
        if distance.min() < NEAREST_M:
            _too_near(points, distance)
        falling = np.log(np.maximum((1 + ahead / distance) / 2, 1e-30)) / np.maximum(off_axis, 1e-30)
        known = np.stack(
            [falling * aside**2, falling * above**2, distance, np.log(distance), np.ones_like(distance)],
            axis=1,
        )
        both = np.empty((self.terms.shape[1], points.shape[1]))
        power, behind = np.split(both, 2)
        for terms, seen, away in zip(self.terms, known, distance, strict=True):
            np.matmul(terms, seen, out=both)
            np.exp(both, out=both)
            power += behind
            yield power, away


def _too_near(points: Array, distance: Array) -> None:
    box, point = np.unravel_index(distance.argmin(), distance.shape)
    x, y, z = points[:, point]
    raise ValueError(
        f"x_m, y_m, ear_height_m: the point ({x:g}, {y:g}, {z:g}) is {distance.min():.3g} m from"
        f" speakers[{box}]; it may be {NEAREST_M:g} m or more away: move the point or the loudspeaker"
    )


def _direct(layout: _Layout, points: Array, bands: Array, speed_m_s: float | None) -> Array:
    """Power of all boxes together at each point: added as power, or with phase where a speed is given."""
    total, quadrature = np.zeros((2, bands.size, points.shape[1]))
    for (power, distance), delay_s in zip(layout.powers(points), layout.delays_s, strict=True):
        if speed_m_s is None:
            total += power
            continue
        angle = np.outer(2 * np.pi * bands, distance / speed_m_s + delay_s)
        pressure = np.sqrt(power)
        total += pressure * np.cos(angle)
        quadrature += pressure * np.sin(angle)
    return total if speed_m_s is None else total**2 + quadrature**2


def _reverberant(bands: Array, volume_m3: Any, reverberation_s: Any) -> Array:
    """Power of the reverberant sound for each watt radiated, in each band; none in the open."""
    if volume_m3 is None and reverberation_s is None:
        return np.zeros(bands.size)
    if volume_m3 is None or reverberation_s is None:
        raise ValueError(
            f"volume_m3 is {volume_m3} and reverberation_s is {reverberation_s};"
            " give both for a room, neither in the open"
        )
    volume = single("volume_m3", volume_m3, "m³", 1, 1e7)
    time = number("reverberation_s", reverberation_s, "s", 0.05, 30)
    if time.shape not in ((), bands.shape):
        raise ValueError(
            f"reverberation_s has shape {time.shape}; one number or one for each of {bands.size} bands"
        )
    absorption = np.asarray(reverberation_time_sabine(volume, time))  # T = k V / A is its own inverse
    return 4 / np.broadcast_to(absorption, bands.shape)


def _axes(aim: Array) -> Array:
    """Unit vectors ahead, aside and above, as rows; a box that looks straight up or down has its side along x."""
    ahead = aim / np.linalg.norm(aim)
    level = math.hypot(ahead[0], ahead[1])
    aside = np.array([ahead[1] / level, -ahead[0] / level, 0]) if level > 1e-9 else np.array([1.0, 0, 0])
    return np.stack([ahead, aside, np.cross(aside, ahead)])


def _exponent(coverage_deg: Array) -> Array:
    """Exponent that puts the edge of the coverage 6 dB down; 0 where it covers all around."""
    edge = np.cos(np.radians(coverage_deg) / 4) ** 2
    return np.where(coverage_deg >= 360, 0, math.log((EDGE - REAR) / (1 - REAR)) / np.log(edge))


def _boxes(speakers: Any) -> list[Speaker]:
    if isinstance(speakers, Speaker) or not isinstance(speakers, Sequence | np.ndarray):
        raise ValueError(f"speakers is {speakers!r}; a list of Speaker is wanted, even for one")
    boxes = list(speakers)
    if not boxes:
        raise ValueError("speakers is empty; at least one Speaker is wanted")
    for index, box in enumerate(boxes):
        if not isinstance(box, Speaker):
            raise ValueError(f"speakers[{index}] is {box!r}; a Speaker is wanted")
    return boxes


def _per_band(index: int, name: str, box: Speaker, count: int) -> Array:
    values = np.asarray(getattr(box, name), dtype=np.float64)
    if values.shape not in ((), (count,)):
        raise ValueError(
            f"speakers[{index}].{name} has {values.size} values; one, or one for each of {count} bands"
        )
    return np.broadcast_to(values, (count,))
