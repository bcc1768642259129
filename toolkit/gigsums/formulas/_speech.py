"""Speech transmission index. Published as `rooms.speech_transmission_index`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

BANDS = 7  # octaves, 125 Hz to 8 kHz
MODULATION_HZ = np.array([0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5])
WEIGHT = np.array([0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173])
REDUNDANCY = np.array([0.085, 0.078, 0.065, 0.011, 0.047, 0.095])


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
