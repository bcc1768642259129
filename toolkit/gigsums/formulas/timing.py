"""Time: speed of sound, delays and latency, echoes in time with the music, combing and phase."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

__all__ = [
    "comb_nulls_hz",
    "delay_drift_ms",
    "delay_ms",
    "fill_delay_ms",
    "latency_ms",
    "ms_to_samples",
    "phase_deg",
    "samples_to_ms",
    "speed_of_sound",
    "tempo_delay_ms",
    "wavelength_m",
]

KELVIN_AT_0_C = 273.15
_CARBON_DIOXIDE = 425e-6  # mole fraction
_MOST_M = 100_000.0
MOST_MS = 1e6
_RATES_HZ = (1.0, 1e6)


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
    return plain(331.3 * np.sqrt(1 + temperature / KELVIN_AT_0_C))


def delay_ms(distance_m: ArrayLike, temperature_c: ArrayLike = 20) -> Numbers:
    """Time that sound takes over a distance.

    Parameters
    ----------
    distance_m : array_like
        Distance, 0 to 100 000 [m].
    temperature_c : array_like, optional
        Air temperature, -20 to 50 [°C].

    Returns
    -------
    float or ndarray
        Delay [ms].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(delay_ms(25, temperature_c=20), 1)
    72.8

    References
    ----------
    .. [1] Definition: distance over `speed_of_sound`.
    """
    distance, speed = same_shape(  # a speed has the shape, and so the name, of its temperature
        distance_m=number("distance_m", distance_m, "m", 0, _MOST_M),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
    )
    return plain(1000 * distance / speed)


def fill_delay_ms(
    main_distance_m: ArrayLike,
    own_distance_m: ArrayLike,
    temperature_c: ArrayLike = 20,
    offset_ms: ArrayLike = 10,
) -> Numbers:
    """Delay to set on a fill or delay loudspeaker so that the main system is heard first.

    Both distances are to the same listener. The offset keeps the main ahead, so that the ear places the
    sound on the stage. Finish by measurement and by ear: processors and desks add latency of their own.

    Parameters
    ----------
    main_distance_m : array_like
        Main loudspeaker to the listener, 0 to 100 000 [m].
    own_distance_m : array_like
        This loudspeaker to the same listener, 0 to 100 000 [m].
    temperature_c : array_like, optional
        Air temperature, -20 to 50 [°C].
    offset_ms : array_like, optional
        How far the main is kept ahead, 0 to 100; in common practice 5 to 20 [ms].

    Returns
    -------
    float or ndarray
        Delay to set [ms].

    Raises
    ------
    ValueError
        If the answer would be below 0 (then the main has to wait, not this loudspeaker), an argument is not
        a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(fill_delay_ms(40, 8, temperature_c=20), 1)
    103.2

    References
    ----------
    .. [1] Geometry of the two paths. The offset: common practice, no source, within the 5 to 35 ms
       that F. A. Everest, *The Master Handbook of Acoustics*, figure 3-19, gives after Haas.
    """
    main, own, speed, offset = same_shape(
        main_distance_m=number("main_distance_m", main_distance_m, "m", 0, _MOST_M),
        own_distance_m=number("own_distance_m", own_distance_m, "m", 0, _MOST_M),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
        offset_ms=number("offset_ms", offset_ms, "ms", 0, 100),
    )
    result = 1000 * (main - own) / speed + offset
    if (result < 0).any():
        where = np.argmin(result)
        most = (main + offset * speed / 1000).flat[where]
        raise ValueError(
            f"own_distance_m is {own.flat[where]:g} m; it may be up to {most:.4g} m here, "
            "beyond that delay the main loudspeaker instead"
        )
    return plain(result)


def delay_drift_ms(
    distance_m: ArrayLike, temperature_c: ArrayLike, later_temperature_c: ArrayLike
) -> Numbers:
    """Change of the right delay as the air warms or cools; above 0 where it gets longer.

    Parameters
    ----------
    distance_m : array_like
        Path difference that the delay makes up for, 0 to 100 000 [m].
    temperature_c : array_like
        Air temperature when the delay was set, -20 to 50 [°C].
    later_temperature_c : array_like
        Air temperature now, -20 to 50 [°C].

    Returns
    -------
    float or ndarray
        Change of delay [ms].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(delay_drift_ms(35, 18, 8), 1)
    1.8

    References
    ----------
    .. [1] Definition: difference of two delays, each distance over `speed_of_sound`.
    """
    distance, before, after = same_shape(
        distance_m=number("distance_m", distance_m, "m", 0, _MOST_M),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
        later_temperature_c=number("later_temperature_c", later_temperature_c, "°C", -20, 50),
    )
    return plain(1000 * distance * (1 / speed_of_sound(after) - 1 / before))


def tempo_delay_ms(tempo_bpm: ArrayLike, beats: ArrayLike = 1) -> Numbers:
    """Echo time that keeps to the music.

    Parameters
    ----------
    tempo_bpm : array_like
        Tempo, 1 to 1000 [beats/min].
    beats : array_like, optional
        Beats from one repeat to the next, above 0 to 1000: 0.75 for a dotted eighth, 1/3 for an eighth
        triplet, where the beat is a quarter note [beat].

    Returns
    -------
    float or ndarray
        Echo time [ms].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> tempo_delay_ms(96)
    625.0

    References
    ----------
    .. [1] Definition: a minute over the beats in it.
    """
    tempo, count = same_shape(
        tempo_bpm=number("tempo_bpm", tempo_bpm, "beats/min", 1, 1000),
        beats=number("beats", beats, "", most=1000, above=0),
    )
    return plain(60_000 / tempo * count)


def comb_nulls_hz(
    path_difference_m: ArrayLike, temperature_c: ArrayLike = 20, count: int = 1
) -> NDArray[np.float64]:
    """Frequencies that go missing when a sound meets an equal copy of itself that came a longer way.

    The copy arrives late by the path difference; the nulls lie at odd multiples of half the inverse of
    that delay. A less than equal copy leaves dips there instead of nulls.

    Parameters
    ----------
    path_difference_m : array_like
        How much longer the way of the copy is, 1e-6 to 100 000 [m].
    temperature_c : array_like, optional
        Air temperature, -20 to 50 [°C].
    count : int, optional
        How many nulls, from the lowest up, 1 to 10 000 [-].

    Returns
    -------
    ndarray, shape of the arguments and one more axis of length `count`
        Null frequencies, lowest first [Hz].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> comb_nulls_hz(0.5, count=3).round().tolist()
    [343.0, 1030.0, 1716.0]

    References
    ----------
    .. [1] F. A. Everest, *The Master Handbook of Acoustics*, chapter on comb filters: nulls at n/(2t), n odd.
    """
    path, speed = same_shape(
        path_difference_m=number("path_difference_m", path_difference_m, "m", 1e-6, _MOST_M),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
    )
    wanted = number("count", count, "", 1, 10_000, whole=True)
    if wanted.ndim:
        raise ValueError(f"count is {count!r}; one whole number is wanted")
    odd = 2 * np.arange(int(wanted)) + 1
    return (speed / (2 * path))[..., np.newaxis] * odd


def phase_deg(time_ms: ArrayLike, frequency_hz: ArrayLike) -> Numbers:
    """Phase that a delay makes at a frequency, whole turns kept.

    A delay turns each frequency by a different angle; reversed polarity turns them all by half a turn.

    Parameters
    ----------
    time_ms : array_like
        Delay, -1 000 000 to 1 000 000 [ms].
    frequency_hz : array_like
        Frequency, 0 to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Phase [deg].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> phase_deg(2, 100)
    72.0

    References
    ----------
    .. [1] Definition: one period is 360 degrees.
    """
    time, frequency = same_shape(
        time_ms=number("time_ms", time_ms, "ms", -MOST_MS, MOST_MS),
        frequency_hz=number("frequency_hz", frequency_hz, "Hz", 0, 1e6),
    )
    return plain(0.36 * frequency * time)


def wavelength_m(frequency_hz: ArrayLike, temperature_c: ArrayLike = 20) -> Numbers:
    """Wavelength of a tone in air.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency, 0.1 to 1 000 000 [Hz].
    temperature_c : array_like, optional
        Air temperature, -20 to 50 [°C].

    Returns
    -------
    float or ndarray
        Wavelength [m].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(wavelength_m(63), 2)
    5.45

    References
    ----------
    .. [1] Definition: `speed_of_sound` over frequency.
    """
    frequency, speed = same_shape(
        frequency_hz=number("frequency_hz", frequency_hz, "Hz", 0.1, 1e6),
        temperature_c=np.asarray(speed_of_sound(temperature_c)),
    )
    return plain(speed / frequency)


def latency_ms(
    buffer_samples: ArrayLike,
    sample_rate_hz: ArrayLike = 48_000,
    converters_ms: ArrayLike = 0,
    network_ms: ArrayLike = 0,
    radio_ms: ArrayLike = 0,
) -> Numbers:
    """Time a signal spends in a chain of buffers, converters, network and radio.

    Parameters
    ----------
    buffer_samples : array_like
        Every buffer on the way, each 0 to 1e9; all are added [sample].
    sample_rate_hz : array_like, optional
        One sample rate for all, or one for each buffer, 1 to 1 000 000 [Hz].
    converters_ms, network_ms, radio_ms : array_like, optional
        What the converters, the network and the radio link add, each 0 to 1 000 000 [ms].

    Returns
    -------
    float or ndarray
        Latency; an array where converters, network or radio are arrays [ms].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    Two buffers of 64 samples:

    >>> round(latency_ms([64, 64]), 2)
    2.67

    References
    ----------
    .. [1] Definition: times in a chain add; a buffer takes its samples over the sample rate.
    """
    buffers, rates = same_shape(
        buffer_samples=number("buffer_samples", buffer_samples, "samples", 0, 1e9),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", *_RATES_HZ),
    )
    converters, network, radio = same_shape(
        converters_ms=number("converters_ms", converters_ms, "ms", 0, MOST_MS),
        network_ms=number("network_ms", network_ms, "ms", 0, MOST_MS),
        radio_ms=number("radio_ms", radio_ms, "ms", 0, MOST_MS),
    )
    return plain(1000 * (buffers / rates).sum() + converters + network + radio)


def samples_to_ms(samples: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Numbers:
    """Time that a number of samples lasts.

    Parameters
    ----------
    samples : array_like
        Number of samples, 0 to 1e12 [sample].
    sample_rate_hz : array_like, optional
        Sample rate, 1 to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Time [ms].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> samples_to_ms(48)
    1.0

    References
    ----------
    .. [1] Definition: samples over sample rate.
    """
    count, rate = same_shape(
        samples=number("samples", samples, "samples", 0, 1e12),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", *_RATES_HZ),
    )
    return plain(1000 * count / rate)


def ms_to_samples(time_ms: ArrayLike, sample_rate_hz: ArrayLike = 48_000) -> Numbers:
    """Number of samples that a time lasts, fractions kept.

    Parameters
    ----------
    time_ms : array_like
        Time, 0 to 1e12 [ms].
    sample_rate_hz : array_like, optional
        Sample rate, 1 to 1 000 000 [Hz].

    Returns
    -------
    float or ndarray
        Number of samples [sample].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> ms_to_samples(2.5)
    120.0

    References
    ----------
    .. [1] Definition: time times sample rate.
    """
    time, rate = same_shape(
        time_ms=number("time_ms", time_ms, "ms", 0, 1e12),
        sample_rate_hz=number("sample_rate_hz", sample_rate_hz, "Hz", *_RATES_HZ),
    )
    return plain(time * rate / 1000)


def _cramer(t: NDArray, humidity: NDArray, pressure_pa: NDArray) -> NDArray:
    kelvin = t + KELVIN_AT_0_C
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
