"""Sound exposure: how long, how much of a day's share, and the day as one level, by named schemes.

Caution. These are planning sums for people at work, reached from levels that are themselves estimates. A
time given here is a reference, not a permission: some ears are hurt by less, and ringing or dulled hearing
after a show is damage whatever the sum says. The law differs from place to place and so do the schemes;
the local rule decides, and audience limits are set apart from workers' ones. Hearing protection counts only
against the European limit of 87 dBA at the ear, never against an action value. A limiter protects no ear.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import Numbers, number, plain, same_shape
from gigsums.formulas.decibels import average_level

__all__ = [
    "SCHEMES",
    "Scheme",
    "allowed_hours",
    "daily_exposure_level",
    "dose_percent",
    "time_weighted_average",
]

_WORKING_DAY_H = 8.0
_DAY_H = 24.0
_LOUDEST_DBA = 150.0


@dataclass(frozen=True)
class Scheme:
    """What one body counts as a full share of sound.

    Attributes
    ----------
    name : str
        What it is called here, and its key in `SCHEMES`.
    criterion_dba : float
        Level that makes a full share when it lasts `hours` [dBA].
    hours : float
        Time over which that level is meant [h].
    exchange_db : float or None
        Rise in level that halves the time [dB]; None where the scheme caps a level and shares out no time.
    threshold_dba : float
        Levels below it count for nothing in a dose [dBA].
    slope_db : float or None
        Rise of the time-weighted average for ten times the dose, as the source prints it [dB].
    peak_dbc : float or None
        Peak level that goes with it [dBC]; None where none is given here.
    ceiling_dba : float or None
        Level above which no time at all is allowed [dBA]; None where none is given here.
    source : str
        Where the figures are published.
    cautions : tuple of str
        What to say wherever a figure of the scheme is shown.
    """

    name: str
    criterion_dba: float
    hours: float
    exchange_db: float | None
    threshold_dba: float
    slope_db: float | None
    peak_dbc: float | None
    ceiling_dba: float | None
    source: str
    cautions: tuple[str, ...]


_REFERENCE = "A time is a reference to plan by, not a permission; the local rule decides where it differs."
_WORKERS = "This is a scheme for people at work; limits for an audience are local and set apart from it."
_DIRECTIVE = "Directive 2003/10/EC, article 3"


def _european(name: str, criterion_dba: float, peak_dbc: float, caution: str) -> Scheme:
    cautions = (_REFERENCE, _WORKERS, caution)
    return Scheme(name, criterion_dba, _WORKING_DAY_H, 3.0, 0.0, 10.0, peak_dbc, None, _DIRECTIVE, cautions)


def _american(name: str, threshold_dba: float, caution: str) -> Scheme:
    source = "29 CFR 1910.95 and its appendix A"
    ceiling = "Steady sound above 115 dBA is not allowed for any time."
    cautions = (_REFERENCE, _WORKERS, caution, ceiling)
    return Scheme(name, 90.0, _WORKING_DAY_H, 5.0, threshold_dba, 16.61, None, 115.0, source, cautions)


SCHEMES: Mapping[str, Scheme] = MappingProxyType(
    {
        scheme.name: scheme
        for scheme in (
            Scheme(
                name="NIOSH",
                criterion_dba=85.0,
                hours=_WORKING_DAY_H,
                exchange_db=3.0,
                threshold_dba=80.0,
                slope_db=10.0,
                peak_dbc=None,
                ceiling_dba=115.0,
                source="NIOSH publication 98-126 (1998); the threshold of 80 dBA from memory",
                cautions=(
                    _REFERENCE,
                    _WORKERS,
                    "It is a recommendation, stricter than the law of the country it comes from.",
                    "No exposure above 115 dBA, however short.",
                ),
            ),
            _american(
                "OSHA hearing conservation",
                80.0,
                "It decides when a hearing programme must start (at half of a full dose); it counts from "
                "80 dBA. The compliance dose of the same day is smaller: never quote one for the other.",
            ),
            _american(
                "OSHA compliance",
                90.0,
                "It is the legal limit and counts from 90 dBA only, so a loud evening below that shows as "
                "nothing. The hearing-conservation dose of the same day is larger.",
            ),
            _european(
                "EU lower action",
                80.0,
                135.0,
                "From here people are told of the risk and offered protection; wearing it does not lower "
                "the value that is compared.",
            ),
            _european(
                "EU upper action",
                85.0,
                137.0,
                "From here protection is worn and the exposure is brought down; wearing it does not lower "
                "the value that is compared.",
            ),
            _european(
                "EU limit",
                87.0,
                140.0,
                "Not to be exceeded at the ear. Only here does the protection that is worn count, and only "
                "as it is worn, not as it is labelled.",
            ),
            Scheme(
                name="WHO venue",
                criterion_dba=100.0,
                hours=0.25,
                exchange_db=None,
                threshold_dba=0.0,
                slope_db=None,
                peak_dbc=None,
                ceiling_dba=None,
                source="WHO global standard for safe listening venues and events (2022), feature 1",
                cautions=(
                    "It caps the level averaged over any 15 min for an audience; it shares out no time, and "
                    "staff need a scheme for people at work.",
                    "It is advice: a licence or a local rule may ask for less, and children need less.",
                ),
            ),
        )
    }
)
"""The schemes by name. "EU upper action" is also the usual 8-hour reference of 85 dBA (LEX,8h)."""


def _scheme(name: str) -> Scheme:
    try:
        return SCHEMES[name]
    except (KeyError, TypeError):
        raise ValueError(f"scheme is {name!r}; it may be one of: {', '.join(SCHEMES)}") from None


def _sharing(name: str) -> tuple[Scheme, float, float]:
    """The scheme, its exchange rate and its slope, refused where it shares out no time."""
    scheme = _scheme(name)
    if scheme.exchange_db is None or scheme.slope_db is None:
        others = ", ".join(key for key, other in SCHEMES.items() if other.exchange_db is not None)
        raise ValueError(
            f"scheme is {name!r}, which caps the level averaged over {60 * scheme.hours:g} min and gives no "
            f"time or dose; compare the level with its {scheme.criterion_dba:g} dBA, or take one of: {others}"
        )
    return scheme, scheme.exchange_db, scheme.slope_db


def _level(exposure_dba: ArrayLike) -> NDArray[np.float64]:
    return number("exposure_dba", exposure_dba, "dBA", 0, _LOUDEST_DBA)


def _parts_of_a_day(exposure_dba: ArrayLike, hours: ArrayLike) -> list[NDArray[np.float64]]:
    level, time = same_shape(
        exposure_dba=_level(exposure_dba),
        hours=number("hours", hours, "h", 0, _DAY_H),
    )
    total = math.fsum(time.flat)
    if total > _DAY_H * (1 + 1e-9):
        raise ValueError(f"hours add up to {total:g} h; a day has {_DAY_H:g} h")
    return [level, time]


def allowed_hours(exposure_dba: ArrayLike, scheme: str) -> Numbers:
    r"""Time in which a steady level uses up one full share of a scheme.

    :math:`T = 8 / 2^{(L - L_c)/q}` hours, with the criterion level and the exchange rate of the scheme. It
    is a reference, not a permission.

    Parameters
    ----------
    exposure_dba : array_like
        Steady A-weighted level at the ear, 0 to 150 [dBA].
    scheme : str
        A name from `SCHEMES` that shares out time.

    Returns
    -------
    float or ndarray
        Time [h]. It may be longer than a day: then the level alone does not use up the share.

    Raises
    ------
    ValueError
        If a level is not a number in that range, or the scheme is not one that shares out time.

    Notes
    -----
    The doubling is taken as exactly 3 dB, as the tables print it, not as the 3.01 dB of equal energy. The
    NIOSH table prints 18 min 59 s at 99 dBA; its own formula gives 18 min 54 s, and the formula is followed.
    OSHA prints two tables: G-16A is followed, from which G-16 is rounded down to quarter hours (6 h for
    6.1 h at 92 dBA). A threshold bears on a dose only, so a time is given for levels below it as well, and
    the tables give times above a ceiling that nobody may be exposed to.

    Examples
    --------
    Minutes at 98 dBA before the 8-hour reference of 85 dBA is reached:

    >>> round(60 * allowed_hours(98, "EU upper action"), 1)
    23.8

    References
    ----------
    .. [1] NIOSH, *Criteria for a Recommended Standard: Occupational Noise Exposure*, publication 98-126,
       table 1-1.
    .. [2] 29 CFR 1910.95, table G-16, and its appendix A, table G-16A.
    .. [3] SCENIHR, *Potential health risks of exposure to noise from personal music players* (2008), table 3.
    """
    level = _level(exposure_dba)
    rule, exchange_db, _ = _sharing(scheme)
    return plain(rule.hours / 2 ** ((level - rule.criterion_dba) / exchange_db))


def dose_percent(exposure_dba: ArrayLike, hours: ArrayLike, scheme: str) -> float:
    r"""Share of a full day's exposure that the parts of one day add up to.

    :math:`D = 100 \sum_i C_i / T_i`: the time spent at each level over the time allowed there. Levels below
    the threshold of the scheme count for nothing; a level at the threshold counts.

    Parameters
    ----------
    exposure_dba : array_like, any shape
        Steady A-weighted level in each part of the day, 0 to 150 [dBA].
    hours : array_like
        How long each part lasted, 0 to 24, no more than 24 in all [h].
    scheme : str
        A name from `SCHEMES` that shares out time.

    Returns
    -------
    float
        Dose of the day [%].

    Raises
    ------
    ValueError
        If a level or a time is not a number in its range, the times add up to more than a day, the shapes
        do not go together, or the scheme is not one that shares out time.

    Notes
    -----
    Where OSHA's digest divides by a time rounded to 6.1 h (131 % for 8 h at 92 dBA), the unrounded time is
    used here (132 %).

    Examples
    --------
    One day by the two thresholds of OSHA:

    >>> round(dose_percent([90, 95, 85], [4, 2, 2], "OSHA hearing conservation"), 1)
    112.5
    >>> round(dose_percent([90, 95, 85], [4, 2, 2], "OSHA compliance"), 1)
    100.0

    References
    ----------
    .. [1] 29 CFR 1910.95, appendix A, part I.
    .. [2] NIOSH, *Criteria for a Recommended Standard: Occupational Noise Exposure*, publication 98-126.
    """
    level, time = _parts_of_a_day(exposure_dba, hours)
    counts = level >= _sharing(scheme)[0].threshold_dba
    return float(100 * np.sum(np.where(counts, time, 0) / allowed_hours(level, scheme)))


def daily_exposure_level(exposure_dba: ArrayLike, hours: ArrayLike) -> float:
    r"""Daily noise exposure level LEX,8h: the steady level that gives the same energy in 8 hours.

    :math:`L_{EX,8h} = L_{eq} + 10 \log_{10}(T / 8)`, where the equivalent level is that of
    `decibels.average_level` over the T hours given. What is left out of the day counts as silence.

    Parameters
    ----------
    exposure_dba : array_like, any shape
        Equivalent A-weighted level in each part of the day, 0 to 150 [dBA].
    hours : array_like
        How long each part lasted, 0 to 24, no more than 24 in all [h].

    Returns
    -------
    float
        Level to compare with the action values of 80 and 85 and, at the ear, the limit of 87 [dBA].

    Raises
    ------
    ValueError
        If a level or a time is not a number in its range, the times are all 0 or add up to more than a day,
        or the shapes do not go together.

    Notes
    -----
    Energy halves in 3.01 dB, not in 3, so a day of exactly 100 % by "EU upper action" comes to 85 dBA only
    within 0.1 dB (up to 110 dBA). Workers' values: protection counts only against 87 dBA, and the local
    rule decides.

    Examples
    --------
    A support act, a headline set and the encore:

    >>> round(daily_exposure_level([85, 98, 102], [1, 1.5, 0.5]), 1)
    93.5

    References
    ----------
    .. [1] ISO 9612:2009, annexes D, E and F.
    .. [2] Directive 2003/10/EC, articles 2 and 3.
    """
    level, time = _parts_of_a_day(exposure_dba, hours)
    if not time.any():
        raise ValueError("hours add up to 0 h; a day needs some time to have a level")
    longer = math.log10(math.fsum(time.flat)) - math.log10(_WORKING_DAY_H)
    return float(average_level(level, time)) + 10 * longer


def time_weighted_average(dose_percent: ArrayLike, scheme: str) -> Numbers:
    r"""Steady level that would give the same dose in 8 hours.

    :math:`L_{TWA} = k \log_{10}(D/100) + L_c`, with the slope as the source prints it: 16.61 for OSHA, 10
    for NIOSH and the European values.

    Parameters
    ----------
    dose_percent : array_like
        Dose of the day by the same scheme, 1e-6 to 1e12 [%].
    scheme : str
        A name from `SCHEMES` that shares out time.

    Returns
    -------
    float or ndarray
        Time-weighted average [dBA].

    Raises
    ------
    ValueError
        If a dose is not a number in that range, or the scheme is not one that shares out time.

    Notes
    -----
    The slopes as printed do not quite undo `allowed_hours`: 3 / lg 2 is 9.966, 5 / lg 2 is 16.6096. Eight
    hours at one level come back within 0.0104 dB for every 3 dB above or below the criterion.

    Examples
    --------
    >>> round(time_weighted_average(50, "OSHA hearing conservation"), 1)
    85.0

    References
    ----------
    .. [1] 29 CFR 1910.95, appendix A, part II.
    .. [2] NIOSH, *Criteria for a Recommended Standard: Occupational Noise Exposure*, publication 98-126.
    """
    dose = number("dose_percent", dose_percent, "%", 1e-6, 1e12)
    rule, _, slope_db = _sharing(scheme)
    return plain(rule.criterion_dba + slope_db * np.log10(dose / 100))
