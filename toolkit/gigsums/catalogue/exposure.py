"""Sound exposure."""

from __future__ import annotations

import math

from gigsums.formulas import decibels, exposure
from gigsums.formulas.exposure import SCHEMES
from gigsums.quantities import DBA, DURATION, PERCENT

from .declaration import Calculator, Choice, Input, Note, Result, Slip

_SHARING = Choice("scheme", tuple(name for name, scheme in SCHEMES.items() if scheme.exchange_db is not None))
_SCHEME = "EU upper action"
_PARTS = range(1, 5)
_CAUTION = (
    "For people at work, and no permission; limits for an audience are local. Measure, rest your ears, wear "
    "protection."
)

CALCULATORS = (
    Calculator(
        key="time at a level",
        question="How soon does this level use up a day's share?",
        moment="show",
        inputs=(
            Input("exposure_dba", "Level at the ear", DBA, 98),
            Input("scheme", "Scheme", _SHARING, _SCHEME),
        ),
        results=(Result("time_h", "Time", DURATION, exposure.allowed_hours, unit="min"),),
        line="{exposure_dba}, {scheme}: {time_h}",
        slips=(
            Slip(
                "5 dB exchange counted from 90",
                lambda exposure_dba, scheme: (
                    math.nan
                    if scheme == "OSHA compliance"
                    else exposure.allowed_hours(exposure_dba, "OSHA compliance")
                ),
                "That is another scheme, not a wrong sum: say which one you use.",
            ),
            Slip(
                "halved for every 10 dB",
                lambda exposure_dba, scheme: (
                    SCHEMES[scheme].hours / 2 ** ((exposure_dba - SCHEMES[scheme].criterion_dba) / 10)
                ),
                "10 dB sounds about twice as loud; the energy doubles every 3 dB.",
            ),
        ),
        notes=(
            Note("Above 115 dBA: some schemes allow none of it.", lambda exposure_dba: exposure_dba > 115),
        ),
        caution=_CAUTION,
        picture="times at levels",
        words="exposure hearing dose lex leq allowed minutes protection noise",
    ),
    Calculator(
        key="a day's exposure",
        question="What does the whole day come to?",
        moment="show",
        inputs=(
            Input("level_1_dba", "Level, first part", DBA, 85),
            Input("time_1_h", "For", DURATION, 1, unit="min"),
            Input("scheme", "Scheme", _SHARING, _SCHEME, behind=True),
            *(
                each
                for part, level, time, word in (
                    (2, 98, 1.5, "second"),
                    (3, 102, 0.5, "third"),
                    (4, None, None, "fourth"),
                )
                for each in (
                    Input(f"level_{part}_dba", f"Level, {word} part", DBA, level, behind=True),
                    Input(f"time_{part}_h", f"For, {word} part", DURATION, time, behind=True, unit="min"),
                )
            ),
        ),
        lists={
            "exposure_dba": tuple(f"level_{part}_dba" for part in _PARTS),
            "hours": tuple(f"time_{part}_h" for part in _PARTS),
        },
        results=(
            Result("daily_dba", "Over 8 h", DBA, exposure.daily_exposure_level),
            Result(
                "mean_dba",
                "Mean level while it lasts",
                DBA,
                decibels.average_level,
                takes={"levels_db": "exposure_dba", "durations": "hours"},
            ),
            Result("dose_percent", "Dose", PERCENT.shown_to(0), exposure.dose_percent),
        ),
        line="{exposure_dba:, } for {hours:, }: {daily_dba} over 8 h, {dose_percent} of {scheme}",
        slips=(
            Slip(
                "mean of the decibels",
                lambda exposure_dba, hours: (
                    sum(level * time for level, time in zip(exposure_dba, hours, strict=True)) / sum(hours)
                ),
                "Loud parts count far more than quiet ones: take the mean of the energy.",
            ),
            Slip(
                "not brought to 8 hours",
                lambda mean_dba: mean_dba,
                "A day's value is spread over 8 hours, however long the day was.",
            ),
        ),
        notes=(Note("More than a day's share.", lambda dose_percent: dose_percent > 100),),
        caution=_CAUTION,
        picture="dose",
        words="lex leq dose exposure hearing rest protection noise",
    ),
)
