"""Rooms: reverberation, critical distance, level in a room, modes, and how much of speech is understood.

Statistical sums for rooms whose sound is well mixed: no side much longer than the others, absorption spread
about, and frequencies above the few lowest modes. Levels in a room add to what ears take in a day; see
`gigsums.formulas.exposure`, and local law before either.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas.timing import speed_of_sound

__all__ = [
    "articulation_loss_percent",
    "critical_distance_m",
    "reverberation_time_eyring",
    "reverberation_time_sabine",
    "room_level_db",
    "room_mode_hz",
    "speech_transmission_index",
]

_DB_PER_NEPER_OF_POWER = 10 / math.log(10)
BANDS = 7  # octaves, 125 Hz to 8 kHz
MODULATION_HZ = np.array([0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5])
WEIGHT = np.array([0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173])
REDUNDANCY = np.array([0.085, 0.078, 0.065, 0.011, 0.047, 0.095])


def reverberation_time_sabine(
    volume_m3: ArrayLike,
    absorption_m2: ArrayLike,
    air_db_per_m: ArrayLike = 0,
    speed_m_s: ArrayLike = 343.2,
) -> Numbers:
    r"""Reverberation time after Sabine, :math:`T = \frac{24 \ln 10}{c} \frac{V}{A + 4 m V}`.

    Parameters
    ----------
    volume_m3 : array_like
        Volume of the room, 1 to 1e7 [m³].
    absorption_m2 : array_like
        Absorption area: every surface times its absorption coefficient, added up; 1e-3 to 1e6 [m²].
    air_db_per_m : array_like, optional
        What the air takes, 0 to 10, from `gigsums.formulas.speakers.air_absorption_db_per_m` [dB/m].
    speed_m_s : array_like, optional
        Speed of sound, 250 to 400 [m/s].

    Returns
    -------
    float or ndarray
        Time for a decay of 60 dB [s].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds for rooms that absorb little: a mean absorption coefficient up to about 0.2. Beyond, Eyring's
    formula is closer. Handbooks round the constant to 0.161 in metres and 0.049 in feet; here it is exactly
    :math:`24 \ln 10 / c`, 0.16102 at 343.2 m/s, and `speed_m_s` meets any other convention.

    Examples
    --------
    >>> round(reverberation_time_sabine(1800, 220), 2)
    1.32

    References
    ----------
    .. [1] F. A. Everest, *The Master Handbook of Acoustics*, worked reverberation examples, p. 163.
    .. [2] Constant 24 ln 10 / c, as in the libraries pyrato and pyroomacoustics; the handbooks' 0.161 s/m.
    """
    volume, absorption, air, speed = same_shape(
        volume_m3=_volume(volume_m3),
        absorption_m2=number("absorption_m2", absorption_m2, "m²", 1e-3, 1e6),
        air_db_per_m=_air(air_db_per_m),
        speed_m_s=_speed(speed_m_s),
    )
    return plain(_decay_s(volume, absorption, air, speed))


def reverberation_time_eyring(
    volume_m3: ArrayLike,
    absorption_m2: ArrayLike,
    surface_m2: ArrayLike,
    air_db_per_m: ArrayLike = 0,
    speed_m_s: ArrayLike = 343.2,
) -> Numbers:
    r"""Reverberation time after Eyring, Sabine's with :math:`-S \ln(1 - A/S)` in place of :math:`A`.

    Parameters
    ----------
    volume_m3 : array_like
        Volume of the room, 1 to 1e7 [m³].
    absorption_m2 : array_like
        Absorption area: every surface times its absorption coefficient, added up; 1e-3 to 1e6 [m²].
    surface_m2 : array_like
        Area of all surfaces, 1 to 1e7 and larger than the absorption area [m²].
    air_db_per_m : array_like, optional
        What the air takes, 0 to 10, from `gigsums.formulas.speakers.air_absorption_db_per_m` [dB/m].
    speed_m_s : array_like, optional
        Speed of sound, 250 to 400 [m/s].

    Returns
    -------
    float or ndarray
        Time for a decay of 60 dB [s].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, a room absorbs more than its surface, or the shapes do
        not go together.

    Notes
    -----
    Holds for absorption that is spread evenly, up to a mean coefficient near 1, where Sabine's formula would
    give a room without walls a reverberation. Absorption all on one surface decays more slowly than either.

    Examples
    --------
    >>> round(reverberation_time_eyring(1800, 220, 1000), 2)
    1.17

    References
    ----------
    .. [1] C. F. Eyring, *J. Acoust. Soc. Am.* 1, 217, 1930 (from memory); numbers from python-acoustics,
       tests/test_room.py, and pyroomacoustics.
    """
    volume, absorption, surface, air, speed = same_shape(
        volume_m3=_volume(volume_m3),
        absorption_m2=number("absorption_m2", absorption_m2, "m²", 1e-3, 1e6),
        surface_m2=number("surface_m2", surface_m2, "m²", 1, 1e7),
        air_db_per_m=_air(air_db_per_m),
        speed_m_s=_speed(speed_m_s),
    )
    if (absorption >= surface).any():
        which = absorption >= surface
        raise ValueError(
            f"absorption_m2 is {absorption[which].flat[0]:g} m² of surface_m2 {surface[which].flat[0]:g} m²;"
            " it may be anything below the surface: check the coefficients"
        )
    return plain(_decay_s(volume, -surface * np.log1p(-absorption / surface), air, speed))


def critical_distance_m(
    volume_m3: ArrayLike, reverberation_s: ArrayLike, directivity: ArrayLike = 1
) -> Numbers:
    r"""Distance at which direct and reverberant sound are equally loud, :math:`0.057 \sqrt{Q V / T}`.

    Parameters
    ----------
    volume_m3 : array_like
        Volume of the room, 1 to 1e7 [m³].
    reverberation_s : array_like
        Reverberation time, 0.05 to 30 [s].
    directivity : array_like, optional
        Directivity factor of the source towards the listener, 0.01 to 1000; 1 radiates evenly [-].

    Returns
    -------
    float or ndarray
        Critical distance [m].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds where Sabine's formula does. 0.057 is the handbooks' constant and the one followed here;
    :math:`\sqrt{24 \ln 10 / (16 \pi c)}` is 0.0566 at 343.2 m/s, 0.7 % less, and differs by
    less than anyone can measure.

    Examples
    --------
    >>> round(critical_distance_m(1800, 1.3, directivity=8), 1)
    6.0

    References
    ----------
    .. [1] H. Kuttruff, *Room Acoustics*, 4th ed., as quoted by pyrato.
    """
    volume, time, q = same_shape(
        volume_m3=_volume(volume_m3), reverberation_s=_time(reverberation_s), directivity=_q(directivity)
    )
    return plain(_critical_m(volume, time, q))


def room_level_db(
    power_level_db: ArrayLike, distance_m: ArrayLike, room_constant_m2: ArrayLike, directivity: ArrayLike = 1
) -> Numbers:
    r"""Level in a room, direct and reverberant sound together (Hopkins and Stryker).

    :math:`L = L_W + 10 \log_{10} \left( \frac{Q}{4 \pi r^2} + \frac{4}{R} \right)`.

    Parameters
    ----------
    power_level_db : array_like
        Sound power level of the source, -300 to 300 [dB re 1 pW].
    distance_m : array_like
        Distance from the source, 0.01 to 10 000 [m].
    room_constant_m2 : array_like
        Absorption area over one less the mean absorption coefficient, 1e-3 to 1e9 [m²].
    directivity : array_like, optional
        Directivity factor of the source towards the listener, 0.01 to 1000; 1 radiates evenly [-].

    Returns
    -------
    float or ndarray
        Sound pressure level [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds for well mixed rooms, not for long, low or partitioned ones. A printed example (90 dB, even
    radiation, 2 m, 15.3 m²) gives 84.8 dB, but the formula printed beside it gives 84.49: this follows the
    formula.

    Examples
    --------
    >>> round(room_level_db(105, 12, 260, directivity=8), 1)
    88.0

    References
    ----------
    .. [1] T. E. Vigran, *Building Acoustics*, equation 4.49.
    """
    level, distance, room, q = same_shape(
        power_level_db=number("power_level_db", power_level_db, "dB", -300, 300),
        distance_m=number("distance_m", distance_m, "m", 0.01, 10_000),
        room_constant_m2=number("room_constant_m2", room_constant_m2, "m²", 1e-3, 1e9),
        directivity=_q(directivity),
    )
    return plain(level + 10 * np.log10(q / (4 * np.pi * distance**2) + 4 / room))


def room_mode_hz(length_m: ArrayLike, order: ArrayLike = 1, temperature_c: ArrayLike = 20) -> Numbers:
    r"""Frequency at which sound stands between two parallel walls, :math:`n c / (2 L)`.

    Parameters
    ----------
    length_m : array_like
        Distance between the walls, 0.1 to 10 000 [m].
    order : array_like of whole numbers, optional
        Half waves that fit between them, 1 to 1000 [-].
    temperature_c : array_like, optional
        Air temperature, -20 to 50 [°C].

    Returns
    -------
    float or ndarray
        Frequency of the axial mode [Hz].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Rigid parallel walls; soft or slanted ones shift and blur a mode. Modes between two or three pairs of
    walls lie above these.

    Examples
    --------
    >>> round(room_mode_hz(8), 1)
    21.5

    References
    ----------
    .. [1] Geometry: half waves between two walls.
    """
    length, count, speed = same_shape(
        length_m=number("length_m", length_m, "m", 0.1, 10_000),
        order=number("order", order, "", 1, 1000, whole=True),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
    )
    return plain(count * speed / (2 * length))


def articulation_loss_percent(
    distance_m: ArrayLike,
    reverberation_s: ArrayLike,
    volume_m3: ArrayLike,
    directivity: ArrayLike = 1,
    loudspeakers: ArrayLike = 1,
) -> Numbers:
    r"""Share of consonants lost to reverberation (Peutz); 15 % is the usual most for speech.

    :math:`200 D^2 T^2 N / (V Q)` up to 3.16 critical distances, :math:`9 T` beyond. Each further equally
    loud loudspeaker that sends this listener nothing direct shortens the critical distance by
    :math:`\sqrt N`.

    Parameters
    ----------
    distance_m : array_like
        Listener to the nearest loudspeaker, 0.01 to 10 000 [m].
    reverberation_s : array_like
        Reverberation time of the octave of 2 kHz, 0.05 to 10 [s].
    volume_m3 : array_like
        Volume of the room, 1 to 1e7 [m³].
    directivity : array_like, optional
        Directivity factor of a loudspeaker towards the listener, 0.01 to 1000 [-].
    loudspeakers : array_like of whole numbers, optional
        Equally loud loudspeakers in the room, this one included, 1 to 1000 [-].

    Returns
    -------
    float or ndarray
        Articulation loss of consonants [%].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds without noise to speak of (speech some 25 dB above it) and without echoes. The two forms do not
    meet: the first reaches 6.5 T where the second starts at 9 T. They stand here as published.

    Examples
    --------
    >>> round(articulation_loss_percent(14, 1.4, 1800, directivity=8), 1)
    5.3

    References
    ----------
    .. [1] None found with a worked number. The form is that of V. M. A. Peutz, *J. Audio Eng. Soc.* 19, 1971,
       and of Davis and Patronis, *Sound System Engineering*, both from memory.
    .. [2] The limit of 15 %: Peutz, from memory.
    """
    distance, time, volume, q, count = same_shape(
        distance_m=number("distance_m", distance_m, "m", 0.01, 10_000),
        reverberation_s=number("reverberation_s", reverberation_s, "s", 0.05, 10),
        volume_m3=_volume(volume_m3),
        directivity=_q(directivity),
        loudspeakers=number("loudspeakers", loudspeakers, "", 1, 1000, whole=True),
    )
    near = 200 * distance**2 * time**2 * count / (volume * q)
    return plain(np.where(distance <= 3.16 * _critical_m(volume, time, q / count), near, 9 * time))


def speech_transmission_index(
    modulation: ArrayLike | None = None,
    *,
    reverberation_s: ArrayLike | None = None,
    signal_to_noise_db: ArrayLike | None = None,
) -> Numbers:
    r"""How much of speech gets through, 0 to 1, from measured modulation or from reverberation and noise.

    Give either the modulation transfer matrix, or what is known of the room: reverberation, noise, or both.
    From those two the modulation left is
    :math:`m(F) = \left[1 + (2\pi F T / 13.8)^2\right]^{-1/2} \left[1 + 10^{-S/10}\right]^{-1}`, an even
    exponential decay with steady noise.

    Parameters
    ----------
    modulation : array_like, shape (..., 7, 14), optional
        Modulation left, 0 to 1: seven octaves from 125 Hz to 8 kHz, by fourteen modulation frequencies in
        third octaves from 0.63 to 12.5 Hz [-].
    reverberation_s : array_like, optional
        Reverberation time, 0 to 30: one number for every octave, or seven along the last axis [s].
    signal_to_noise_db : array_like, optional
        Level of speech above the noise, -100 to 100: one number, or seven along the last axis [dB].

    Returns
    -------
    float or ndarray
        Speech transmission index [-]. Above 0.6 speech is commonly called good, below 0.45 poor.

    Raises
    ------
    ValueError
        If nothing is given or both ways are, if a number is out of its range, or a shape does not fit.

    Notes
    -----
    The weights are those for male speech, the only set in the edition of 2020; the edition of 2011 had one
    for female speech besides. As the standard prescribes, the apparent signal-to-noise ratio counts from
    -15 to +15 dB only, and a result above 1 is reported as 1.

    Masking of one octave by the next, and the threshold of hearing, both of which need absolute levels, are
    left out: this is fair for speech at comfortable levels, too kind for speech that is very loud or faint.
    It holds without strong echoes, distortion or compression. Modulation measured above 1 is noise or a
    fault in the measurement: repeat it.

    Examples
    --------
    A hall of 1.2 s with speech 12 dB above its noise:

    >>> round(speech_transmission_index(reverberation_s=1.2, signal_to_noise_db=12), 2)
    0.51

    References
    ----------
    .. [1] IEC 60268-16:2020, clause A.2 and table A.1; 13.8 is its rounding of 6 ln 10.
    """
    from_room = reverberation_s is not None or signal_to_noise_db is not None
    if (modulation is not None) == from_room:
        wrong = "is given beside reverberation_s or signal_to_noise_db" if from_room else "is not given"
        raise ValueError(
            f"modulation {wrong}; give either modulation, or reverberation_s, signal_to_noise_db or both"
        )
    if from_room:
        left = _modulation_left(reverberation_s, signal_to_noise_db)
    else:
        left = number("modulation", modulation, "", 0, 1)
        if left.shape[-2:] != (BANDS, MODULATION_HZ.size):
            raise ValueError(f"modulation has shape {left.shape}; its last two axes must be 7 octaves by 14")
    with np.errstate(divide="ignore"):
        apparent_db = np.clip(10 * (np.log10(left) - np.log10(1 - left)), -15, 15)
    octaves = ((apparent_db + 15) / 30).mean(axis=-1)
    shared = np.sqrt(octaves[..., :-1] * octaves[..., 1:])
    return plain(np.minimum(octaves @ WEIGHT - shared @ REDUNDANCY, 1))


def _decay_s(volume: NDArray, absorption: NDArray, air_db_per_m: NDArray, speed: NDArray) -> NDArray:
    in_air = 4 * air_db_per_m / _DB_PER_NEPER_OF_POWER * volume
    return 24 * math.log(10) / speed * volume / (absorption + in_air)


def _critical_m(volume: NDArray, time: NDArray, q: NDArray) -> NDArray:
    return 0.057 * np.sqrt(q * volume / time)


def _volume(value: ArrayLike) -> NDArray:
    return number("volume_m3", value, "m³", 1, 1e7)


def _time(value: ArrayLike) -> NDArray:
    return number("reverberation_s", value, "s", 0.05, 30)


def _q(value: ArrayLike) -> NDArray:
    return number("directivity", value, "", 0.01, 1000)


def _air(value: ArrayLike) -> NDArray:
    return number("air_db_per_m", value, "dB/m", 0, 10)


def _speed(value: ArrayLike) -> NDArray:
    return number("speed_m_s", value, "m/s", 250, 400)


def _modulation_left(reverberation_s: ArrayLike | None, signal_to_noise_db: ArrayLike | None) -> NDArray:
    noisy = signal_to_noise_db is not None
    time, clear_db = same_shape(
        reverberation_s=_by_octave("reverberation_s", reverberation_s, "s", 0, 30),
        signal_to_noise_db=_by_octave("signal_to_noise_db", signal_to_noise_db, "dB", -100, 100),
    )
    kept = 1 / np.sqrt(1 + (2 * np.pi * MODULATION_HZ * time[..., None] / 13.8) ** 2)
    noise = 10 ** (-clear_db[..., None] / 10) if noisy else 0
    return np.ones((BANDS, 1)) * kept / (1 + noise)


def _by_octave(name: str, value: ArrayLike | None, unit: str, least: float, most: float) -> NDArray:
    values = number(name, 0 if value is None else value, unit, least, most)
    if values.ndim and values.shape[-1] != BANDS:
        raise ValueError(f"{name} has shape {values.shape}; one number, or 7 octaves along its last axis")
    return values
