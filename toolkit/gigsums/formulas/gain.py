"""Gain structure: what a microphone delivers, what the input does to it, and where the chain clips first.

Levels are averages (RMS) throughout. A voice peaks 12 to 15 dB above its average, which is what headroom is for; a
drum 20 and more, so drums are set by peak: 3 dB off a peak reading is the tone with that crest (habits: common
practice, no source). A change of gain on a live system can be loud and sudden: bring levels up from nothing, and
warn whoever wears in-ears.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape, single
from gigsums.formulas.decibels import MOST_DB, spl_to_pascals, subtract_level, sum_levels, volts_to_dbu
from gigsums.formulas.timing import KELVIN_AT_0_C

__all__ = [
    "gain_needed_db",
    "headroom_db",
    "loading_loss_db",
    "microphone_level_dbu",
    "microphone_noise_dbu",
    "sensitivity_dbv_per_pa",
    "sensitivity_mv_per_pa",
    "thermal_noise_dbu",
    "transformer_di_loss_db",
    "walk_gain",
]

_BOLTZMANN = 1.380649e-23  # J/K, exact since 2019


def gain_needed_db(level_dbu: ArrayLike, target_dbu: ArrayLike = 0) -> Numbers:
    """Gain that brings a level to the level wanted; below 0 it has to come down, which is what a pad is for.

    Parameters
    ----------
    level_dbu : array_like
        Level that arrives, -3000 to 3000 [dBu].
    target_dbu : array_like, optional
        Level wanted, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Gain [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> gain_needed_db(-35.8)
    35.8

    References
    ----------
    .. [1] Definition: gain is the level out less the level in.
    """
    level, target = same_shape(
        level_dbu=number("level_dbu", level_dbu, "dBu", -MOST_DB, MOST_DB),
        target_dbu=number("target_dbu", target_dbu, "dBu", -MOST_DB, MOST_DB),
    )
    return plain(target - level)


def headroom_db(level_dbu: ArrayLike, clip_dbu: ArrayLike) -> Numbers:
    """Room between a level and the level that clips; below 0 it clips already.

    Parameters
    ----------
    level_dbu : array_like
        Level, -3000 to 3000 [dBu].
    clip_dbu : array_like
        Highest level that passes unharmed, -3000 to 3000 [dBu].

    Returns
    -------
    float or ndarray
        Headroom [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> headroom_db(4, clip_dbu=22)
    18.0

    References
    ----------
    .. [1] Definition: highest level less the level. How much to keep, 15 to 20 dB over an average: common
       practice, no source.
    """
    level, clip = same_shape(
        level_dbu=number("level_dbu", level_dbu, "dBu", -MOST_DB, MOST_DB),
        clip_dbu=number("clip_dbu", clip_dbu, "dBu", -MOST_DB, MOST_DB),
    )
    return plain(clip - level)


def loading_loss_db(source_ohm: ArrayLike, load_ohm: ArrayLike) -> Numbers:
    """Change of level when a source is loaded, against the same source left open.

    Inputs in parallel load a source with less than either: work out the load they make first.

    Parameters
    ----------
    source_ohm : array_like
        Output impedance, 0 to 1e9 [ohm].
    load_ohm : array_like
        Input impedance, 0.001 to 1e9 [ohm].

    Returns
    -------
    float or ndarray
        Change of level, 0 or less [dB].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    Both impedances are taken as resistances.

    Examples
    --------
    >>> round(loading_loss_db(150, 1500), 1)
    -0.8

    References
    ----------
    .. [1] None found beyond circuit theory: the load and the source divide the voltage.
    """
    source, load = same_shape(
        source_ohm=number("source_ohm", source_ohm, "ohm", 0, 1e9),
        load_ohm=number("load_ohm", load_ohm, "ohm", 0.001, 1e9),
    )
    return plain(-20 * np.log10(1 + source / load))


def transformer_di_loss_db(turns_ratio: ArrayLike) -> Numbers:
    """Change of level through the transformer of a passive DI box.

    The impedance falls by the square of the turns ratio: 12:1 makes 14 kilohm look like 100 ohm.

    Parameters
    ----------
    turns_ratio : array_like
        Turns on the instrument side over turns on the desk side, 0.001 to 1000 [-].

    Returns
    -------
    float or ndarray
        Change of level, below 0 where the transformer steps down [dB].

    Raises
    ------
    ValueError
        If the ratio is not a number in that range.

    Notes
    -----
    An ideal transformer; a real one loses up to another decibel or two.

    Examples
    --------
    >>> round(transformer_di_loss_db(12), 1)
    -21.6

    References
    ----------
    .. [1] None found beyond circuit theory: voltages go as the turns.
    """
    return plain(-20 * np.log10(number("turns_ratio", turns_ratio, "", 0.001, 1000)))


def sensitivity_mv_per_pa(level_dbv_per_pa: ArrayLike) -> Numbers:
    """Sensitivity of a microphone in mV/Pa from one in dB.

    Parameters
    ----------
    level_dbv_per_pa : array_like
        Sensitivity against 1 V/Pa, -3000 to 3000; almost always -75 to -20 [dB re 1 V/Pa].

    Returns
    -------
    float or ndarray
        Sensitivity [mV/Pa].

    Raises
    ------
    ValueError
        If a level is not a number in that range.

    Examples
    --------
    >>> round(sensitivity_mv_per_pa(-54), 2)
    2.0

    References
    ----------
    .. [1] Definition: decibels against 1 V/Pa. Some data sheets count from 1 V/ubar, 20 dB lower.
    """
    level = number("level_dbv_per_pa", level_dbv_per_pa, "dB re 1 V/Pa", -MOST_DB, MOST_DB)
    return plain(1000 * 10 ** (level / 20))


def sensitivity_dbv_per_pa(level_mv_per_pa: ArrayLike) -> Numbers:
    """Sensitivity of a microphone in dB against 1 V/Pa from one in mV/Pa.

    Parameters
    ----------
    level_mv_per_pa : array_like
        Sensitivity, above 0 [mV/Pa].

    Returns
    -------
    float or ndarray
        Sensitivity [dB re 1 V/Pa].

    Raises
    ------
    ValueError
        If a sensitivity is not a number above 0.

    Examples
    --------
    >>> round(sensitivity_dbv_per_pa(2), 1)
    -54.0

    References
    ----------
    .. [1] Definition: decibels against 1 V/Pa. Some data sheets count from 1 V/ubar, 20 dB lower.
    """
    return plain(20 * np.log10(number("level_mv_per_pa", level_mv_per_pa, "mV/Pa", above=0)) - 60)


@dataclass(frozen=True)
class Stage:
    """One stage of a gain chain, seen at its output."""

    name: str
    level_dbu: float
    noise_dbu: float
    clip_dbu: float
    """Highest level it passes; infinite where it has no limit of its own."""

    @property
    def headroom_db(self) -> float:
        """Room up to clipping; below 0 the stage clips."""
        return self.clip_dbu - self.level_dbu

    @property
    def signal_to_noise_db(self) -> float:
        """Level above all the noise gathered so far."""
        return self.level_dbu - self.noise_dbu


@dataclass(frozen=True)
class GainWalk:
    """A gain chain, stage by stage: microphone, pad, preamp, converter."""

    spl_db: float
    full_scale_dbu: float
    stages: tuple[Stage, ...]

    @property
    def first_to_clip(self) -> Stage:
        """The stage with the least headroom, which clips first as the source gets louder."""
        return min(self.stages, key=lambda stage: stage.headroom_db)

    @property
    def clipping(self) -> tuple[str, ...]:
        """Names of the stages that clip already, in the order of the signal."""
        return tuple(stage.name for stage in self.stages if stage.headroom_db < 0)

    @property
    def level_dbfs(self) -> float:
        """What the desk's meter shows: level in the converter against full scale."""
        return self.stages[-1].level_dbu - self.full_scale_dbu


def microphone_level_dbu(spl_db: ArrayLike, sensitivity_mv_per_pa: ArrayLike) -> Numbers:
    """Level that a microphone delivers.

    Parameters
    ----------
    spl_db : array_like
        Sound pressure level at the microphone, -50 to 200 [dB].
    sensitivity_mv_per_pa : array_like
        Sensitivity, 0.001 to 10 000; dynamic about 1 to 3, condenser 5 to 30 [mV/Pa].

    Returns
    -------
    float or ndarray
        Level, open circuit [dBu].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(microphone_level_dbu(110, 2), 1)
    -35.7

    References
    ----------
    .. [1] Definition: pressure times sensitivity, 0 dB at 20 uPa (94 dB is 1.002 Pa, often taken as 1).
    """
    spl, sensitivity = same_shape(
        spl_db=number("spl_db", spl_db, "dB", -50, 200),
        sensitivity_mv_per_pa=number("sensitivity_mv_per_pa", sensitivity_mv_per_pa, "mV/Pa", 0.001, 1e4),
    )
    return volts_to_dbu(spl_to_pascals(spl) * (sensitivity / 1000))


def thermal_noise_dbu(
    resistance_ohm: ArrayLike, temperature_c: ArrayLike = 20, bandwidth_hz: ArrayLike = 20_000
) -> Numbers:
    r"""Thermal noise of a resistance: the floor no input can go below, :math:`\sqrt{4 k T R B}`.

    Parameters
    ----------
    resistance_ohm : array_like
        Resistance, 0.001 to 1e12 [ohm].
    temperature_c : array_like, optional
        Temperature, above -273.15 to 1000 [°C].
    bandwidth_hz : array_like, optional
        Bandwidth, 0.001 to 1e9 [Hz].

    Returns
    -------
    float or ndarray
        Noise, open circuit [dBu].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    >>> round(thermal_noise_dbu(150), 1)
    -130.9

    References
    ----------
    .. [1] Johnson-Nyquist noise; k is exact in the SI of 2019.
    """
    resistance, temperature, bandwidth = same_shape(
        resistance_ohm=number("resistance_ohm", resistance_ohm, "ohm", 0.001, 1e12),
        temperature_c=number("temperature_c", temperature_c, "°C", most=1000, above=-KELVIN_AT_0_C),
        bandwidth_hz=number("bandwidth_hz", bandwidth_hz, "Hz", 0.001, 1e9),
    )
    kelvin = temperature + KELVIN_AT_0_C
    return volts_to_dbu(np.sqrt(4 * _BOLTZMANN * kelvin * resistance * bandwidth))


def microphone_noise_dbu(
    sensitivity_mv_per_pa: ArrayLike, self_noise_db: ArrayLike | None = None, source_ohm: ArrayLike = 150
) -> Numbers:
    """Noise that a microphone brings of its own.

    A condenser's electronics hiss as a sound of its equivalent noise level would; that level holds everything the
    microphone makes, the thermal noise of its output too. A dynamic microphone has no electronics: its noise is
    the thermal noise of its coil, and more sensitivity then lifts the sound alone.

    Parameters
    ----------
    sensitivity_mv_per_pa : array_like
        Sensitivity, 0.001 to 10 000 [mV/Pa].
    self_noise_db : array_like, optional
        Equivalent noise level of the microphone, -50 to 200, mostly 10 to 30 and A-weighted; if left out, the
        thermal noise of `source_ohm` [dB].
    source_ohm : array_like, optional
        Resistance of the source, 0.001 to 1e12; counts only where no noise level is given [ohm].

    Returns
    -------
    float or ndarray
        Noise, open circuit [dBu].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Notes
    -----
    An A-weighted level gives A-weighted noise, and thermal noise is unweighted here: a resistance hisses 2 dB less
    by A-weighting, so side by side the condenser looks that much better than it is.

    Examples
    --------
    A condenser of 15 mV/Pa whose data sheet says 20 dBA:

    >>> round(microphone_noise_dbu(15, self_noise_db=20), 1)
    -108.2

    References
    ----------
    .. [1] Definition: the noise is that of a sound of the equivalent level. That 94 dB less the equivalent level is
       the signal-to-noise ratio of a data sheet: IEC 60268-4 (from memory).
    """
    own = 0 if self_noise_db is None else self_noise_db
    sensitivity, level, resistance = same_shape(
        sensitivity_mv_per_pa=number("sensitivity_mv_per_pa", sensitivity_mv_per_pa, "mV/Pa", 0.001, 1e4),
        self_noise_db=number("self_noise_db", own, "dB", -50, 200),
        source_ohm=number("source_ohm", source_ohm, "ohm", 0.001, 1e12),
    )
    return (
        thermal_noise_dbu(resistance) if self_noise_db is None else microphone_level_dbu(level, sensitivity)
    )


def walk_gain(
    spl_db: float,
    sensitivity_mv_per_pa: float,
    pad_db: float,
    gain_db: float,
    full_scale_dbu: float,
    *,
    microphone_limit_db: float | None = None,
    self_noise_db: float | None = None,
    source_ohm: float = 150,
    preamp_clip_dbu: float = 24,
    input_noise_dbu: float = -128,
    converter_noise_dbfs: float = -110,
) -> GainWalk:
    """Level, noise and headroom of a microphone channel, stage by stage, and which stage clips first.

    Parameters
    ----------
    spl_db : float
        Sound pressure level at the microphone, -50 to 200; an average, or 3 dB less than a peak reading, for a tone
        with that crest averages so much less [dB].
    sensitivity_mv_per_pa : float
        Sensitivity, 0.001 to 10 000 [mV/Pa].
    pad_db : float
        Pad between microphone and preamp, 0 to 80; 0 for none [dB].
    gain_db : float
        Gain of the preamp, -60 to 120 [dB].
    full_scale_dbu : float
        Line-up of the converter: analogue level of 0 dBFS, -20 to 40 [dBu].
    microphone_limit_db : float, optional
        Highest sound pressure level the microphone takes, -50 to 200; no limit if left out [dB].
    self_noise_db : float, optional
        Equivalent sound pressure level of the microphone's own noise, -50 to 200; if left out, the thermal
        noise of `source_ohm`, as in a dynamic microphone; see `microphone_noise_dbu` [dB].
    source_ohm : float, optional
        Resistance of the source, 1 to 1 000 000 [ohm].
    preamp_clip_dbu : float, optional
        Highest level out of the preamp, -20 to 60 [dBu].
    input_noise_dbu : float, optional
        Equivalent input noise of the preamp, as measured with `source_ohm` across it and that resistor's
        thermal noise within; above that noise to 0 [dBu].
    converter_noise_dbfs : float, optional
        Noise of the converter, -200 to 0 [dBFS].

    Returns
    -------
    GainWalk
        The stages "microphone", "pad", "preamp" and "converter", each with its level, noise, clipping level,
        headroom and signal-to-noise ratio; the stage that clips first; the level in the converter [dBu, dBFS].

    Raises
    ------
    ValueError
        If an argument is not a single number in its range.

    Notes
    -----
    Noise is unweighted over 20 kHz at 20 °C; a self-noise from a data sheet is A-weighted and flatters the
    microphone a little. The defaults are common practice, no source: a clean preamp and an
    ordinary converter.

    Examples
    --------
    A dynamic microphone at 130 dB, 20 dB of gain, converter lined up at +18 dBu:

    >>> walk = walk_gain(130, 2, pad_db=0, gain_db=20, full_scale_dbu=18)
    >>> round(walk.level_dbfs, 1), walk.first_to_clip.name
    (-13.7, 'converter')

    References
    ----------
    .. [1] None found for a whole chain. Noise of stages in a row and of a matched attenuator: H. T. Friis,
       "Noise figures of radio receivers", *Proc. IRE* 32(7), 1944 (from memory).
    """
    pad = single("pad_db", pad_db, "dB", 0, 80)
    gain = single("gain_db", gain_db, "dB", -60, 120)
    full_scale = single("full_scale_dbu", full_scale_dbu, "dBu", -20, 40)
    preamp_clip = single("preamp_clip_dbu", preamp_clip_dbu, "dBu", -20, 60)
    converter_noise = single("converter_noise_dbfs", converter_noise_dbfs, "dBFS", -200, 0)
    resistance = single("source_ohm", source_ohm, "ohm", 1, 1e6)
    thermal = float(thermal_noise_dbu(resistance))
    input_noise = single("input_noise_dbu", input_noise_dbu, "dBu", thermal, 0, above=thermal)
    sensitivity = single("sensitivity_mv_per_pa", sensitivity_mv_per_pa, "mV/Pa")

    def delivered(name: str, value: float) -> float:
        return float(microphone_level_dbu(single(name, value, "dB", -50, 200), sensitivity))

    level = delivered("spl_db", spl_db)
    own = None if self_noise_db is None else single("self_noise_db", self_noise_db, "dB", -50, 200)
    noise = float(microphone_noise_dbu(sensitivity, own, resistance))
    limit = math.inf if microphone_limit_db is None else delivered("microphone_limit_db", microphone_limit_db)
    stages = [Stage("microphone", level, noise, limit)]

    level -= pad
    # A matched pad lowers the noise that arrives and adds the thermal noise of its own resistance.
    passed = 10 ** (-pad / 10)
    noise = 10 * math.log10(passed * 10 ** (noise / 10) + (1 - passed) * 10 ** (thermal / 10))
    stages.append(Stage("pad", level, noise, math.inf))

    level += gain
    preamp_noise = float(subtract_level(input_noise, thermal))
    noise = float(sum_levels([noise, preamp_noise])) + gain
    stages.append(Stage("preamp", level, noise, preamp_clip))

    noise = float(sum_levels([noise, converter_noise + full_scale]))
    stages.append(Stage("converter", level, noise, full_scale))
    return GainWalk(float(spl_db), full_scale, tuple(stages))
