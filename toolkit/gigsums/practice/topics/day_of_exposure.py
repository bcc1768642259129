"""What a day of sound comes to over eight hours."""

import math
from collections.abc import Mapping

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic
from ..wording import listed


def _parts(shown: Mapping[str, str]) -> str:
    numbers = [number for number in range(1, 5) if f"level_{number}_dba" in shown]
    return listed([f"{shown[f'time_{number}_h']} at {shown[f'level_{number}_dba']}" for number in numbers])


def _with_5_db(exposure_dba: list[float], hours: list[float]) -> float:
    share = sum(time / 8 * 2 ** (level / 5) for level, time in zip(exposure_dba, hours, strict=True))
    return 5 * math.log2(share)


def _without_the_least(exposure_dba: list[float], hours: list[float]) -> float:
    energies = sorted(time / 8 * 10 ** (level / 10) for level, time in zip(exposure_dba, hours, strict=True))
    return 10 * math.log10(sum(energies[1:]))


TOPIC = sum_topic(
    Sum(
        "a day's exposure",
        "{who}'s day at {place}: {told}. The rest of it is quiet.",
        "What is the daily exposure over 8 hours, with an exchange rate of 3 dB?",
        {
            "level_1_dba": Range(80, 94, 2, 1),
            "time_1_h": Range(30, 240, 30, 15),
            "level_2_dba": Range(88, 100, 2, 1),
            "time_2_h": Range(30, 120, 30, 15),
            "level_3_dba": Range(96, 104, 2, 1, since=2),
            "time_3_h": Range(15, 60, 15, 5, since=2),
        },
        "Add the energy of the parts, each as long as it lasts, spread it over eight hours, and turn it into decibels.",
        slips=(
            Slip(
                "loudest part taken for the day",
                lambda exposure_dba: max(exposure_dba),
                "The loudest part did not last eight hours.",
            ),
            Slip(
                "the part that counts least left out",
                lambda exposure_dba, hours: _without_the_least(exposure_dba, hours),
                "It is part of the day too.",
            ),
            Slip(
                "exchange rate of 5 dB",
                lambda exposure_dba, hours: _with_5_db(exposure_dba, hours),
                "By how many decibels may it be louder for half the time?",
            ),
        ),
        told=_parts,
    ),
    "ears",
    version=3,
)
