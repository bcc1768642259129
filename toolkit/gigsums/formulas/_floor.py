"""Level over a floor from several loudspeakers. Published as `speakers`, which carries its caution."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._absorption import air_absorption_db_per_m
from gigsums.formulas._check import number, same_shape, single
from gigsums.formulas.rooms import reverberation_time_sabine
from gigsums.formulas.timing import speed_of_sound

REAR = 10**-2.5  # power behind a box against power on its axis: 25 dB down
EDGE = 10**-0.6  # power at the edge of the coverage angle: 6 dB down
NEAREST_M = 0.1
REACH_M = 500
OCTAVES_HZ = 1000 * 10 ** (0.3 * np.arange(-5, 5))
_DB = math.log(10) / 10  # natural logarithm of the power ratio that 1 dB stands for
_CHUNK = 2**16  # numbers in one working array: small enough for a processor's own memory

Array = NDArray[np.float64]


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
