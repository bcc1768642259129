"""Feedback: how much louder a system can make a talker before it rings, and what open microphones cost.

Ringing can leap to the loudest the system can do within a second. Ring out in one order: everyone warned, nobody in
in-ears, stage clear, limiters in; everything down; one microphone on its stand; slowly up, a hand on the fader; the
level down before a hand or a hat goes near, and up again only when whoever held it has stepped back.
`gigsums.formulas.exposure` says how long a level may be heard, and local law comes before it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape

__all__ = [
    "microphone_distance_ratio_db",
    "needed_acoustic_gain_db",
    "open_microphones_loss_db",
    "potential_acoustic_gain_db",
]


def open_microphones_loss_db(microphones: ArrayLike) -> Numbers:
    r"""Gain before feedback that several open microphones cost, :math:`10 \log_{10} N`: 3 dB a doubling.

    Parameters
    ----------
    microphones : array_like of whole numbers
        Microphones open at equal gain, 1 to 1000 [-].

    Returns
    -------
    float or ndarray
        Loss against one microphone [dB].

    Raises
    ------
    ValueError
        If a count is not a whole number in its range.

    Examples
    --------
    >>> round(open_microphones_loss_db(8), 1)
    9.0

    References
    ----------
    .. [1] A magazine column on acoustic gain, its issue not made out: 20 open microphones cost 13 dB.
    """
    return plain(10 * np.log10(_microphones(microphones)))


def potential_acoustic_gain_db(
    talker_to_listener_m: ArrayLike,
    microphone_to_speaker_m: ArrayLike,
    speaker_to_listener_m: ArrayLike,
    talker_to_microphone_m: ArrayLike,
    microphones: ArrayLike = 1,
    margin_db: ArrayLike = 6,
) -> Numbers:
    r"""Most that a system can lift a talker at the listener before it rings, less a margin.

    :math:`20 \log_{10} \frac{D_0 D_1}{D_2 D_s} - 10 \log_{10} N - M`, distances in the order of the
    arguments.

    Parameters
    ----------
    talker_to_listener_m : array_like
        Talker to the furthest listener, 0.01 to 10 000 [m].
    microphone_to_speaker_m : array_like
        Microphone to the nearest loudspeaker that carries it, 0.01 to 10 000 [m].
    speaker_to_listener_m : array_like
        That loudspeaker to the listener, 0.01 to 10 000 [m].
    talker_to_microphone_m : array_like
        Talker's mouth to the microphone, 0.01 to 10 000 [m].
    microphones : array_like of whole numbers, optional
        Microphones open at equal gain, 1 to 1000 [-].
    margin_db : array_like, optional
        Kept between working gain and ringing, 0 to 40 [dB].

    Returns
    -------
    float or ndarray
        Potential acoustic gain [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds for microphone and loudspeaker that hear and radiate evenly, in direct sound: in a room, keep the
    distances within the critical distance. Aimed apart, real ones do better; a reflection does worse.

    Sources differ in two ways. Many add the margin of 6 dB afterwards: set `margin_db=0` to compare. A
    printed example (7, 4, 6 and 1 m) reaches 13.5 dB from rounded steps; the exact 13.38 is kept here.

    Examples
    --------
    A talker 0.2 m from one of two open microphones:

    >>> round(potential_acoustic_gain_db(12, 4, 10, 0.2, microphones=2), 1)
    18.6

    References
    ----------
    .. [1] C. P. and R. E. Boner's acoustical gain, in a sound-system design reference manual, ch. 4, p. 4-2.
    .. [2] Margin of 6 dB: Davis and Patronis, *Sound System Engineering* (from memory).
    """
    listener, feeding, hearing, talking, count, margin = same_shape(
        talker_to_listener_m=_distance("talker_to_listener_m", talker_to_listener_m),
        microphone_to_speaker_m=_distance("microphone_to_speaker_m", microphone_to_speaker_m),
        speaker_to_listener_m=_distance("speaker_to_listener_m", speaker_to_listener_m),
        talker_to_microphone_m=_distance("talker_to_microphone_m", talker_to_microphone_m),
        microphones=_microphones(microphones),
        margin_db=number("margin_db", margin_db, "dB", 0, 40),
    )
    ratio = listener * feeding / (hearing * talking)
    return plain(20 * np.log10(ratio) - open_microphones_loss_db(count) - margin)


def needed_acoustic_gain_db(talker_to_listener_m: ArrayLike, equivalent_distance_m: ArrayLike) -> Numbers:
    r"""Gain that makes a far listener hear the talker as if from near, :math:`20 \log_{10}(D_0 / E)`.

    Parameters
    ----------
    talker_to_listener_m : array_like
        Talker to the furthest listener, 0.01 to 10 000 [m].
    equivalent_distance_m : array_like
        Distance from which the talker shall seem to be heard, 0.01 to 10 000 [m].

    Returns
    -------
    float or ndarray
        Needed acoustic gain; below 0 no system is needed [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Holds in direct sound. It must not exceed the potential acoustic gain.

    Examples
    --------
    >>> round(needed_acoustic_gain_db(24, 3), 1)
    18.1

    References
    ----------
    .. [1] Davis and Patronis, *Sound System Engineering*; Ballou, *Handbook for Sound Engineers* (from
       memory).
    """
    listener, near = same_shape(
        talker_to_listener_m=_distance("talker_to_listener_m", talker_to_listener_m),
        equivalent_distance_m=_distance("equivalent_distance_m", equivalent_distance_m),
    )
    return plain(20 * np.log10(listener / near))


def microphone_distance_ratio_db(far_m: ArrayLike, near_m: ArrayLike) -> Numbers:
    r"""How much less a far microphone picks up than a near one, :math:`20 \log_{10}(d_f / d_n)`.

    Parameters
    ----------
    far_m : array_like
        Source to the other microphone, 0.01 to 10 000 [m].
    near_m : array_like
        Source to its own microphone, 0.01 to 10 000 [m].

    Returns
    -------
    float or ndarray
        Difference at equal gains; below 0 where `far_m` is the nearer [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Three times the distance gives 9.5 dB. That is often said to leave a ripple of 1 dB; two copies 9.5 dB
    apart leave +2.5 and -3.5 dB. Microphones must be alike and evenly open; a stereo pair is exempt.

    Examples
    --------
    >>> round(microphone_distance_ratio_db(0.9, 0.3), 1)
    9.5

    References
    ----------
    .. [1] F. A. Everest, *The Master Handbook of Acoustics*: three to one, "at least 9 dB".
    """
    far, near = same_shape(far_m=_distance("far_m", far_m), near_m=_distance("near_m", near_m))
    return plain(20 * np.log10(far / near))


def _distance(name: str, value: ArrayLike) -> NDArray:
    return number(name, value, "m", 0.01, 10_000)


def _microphones(value: ArrayLike) -> NDArray:
    return number("microphones", value, "", 1, 1000, whole=True)
