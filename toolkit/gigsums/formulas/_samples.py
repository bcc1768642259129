"""Time counted in samples, and the latency of a chain. Published as `timing`."""

from __future__ import annotations

from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape

MOST_MS = 1e6
_RATES_HZ = (1.0, 1e6)


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
