"""Levels: of several sources, of loudspeakers near and far, and how long ears may take them."""

import math
from collections.abc import Mapping
from functools import partial

from gigsums.catalogue import Slip
from gigsums.formulas.exposure import SCHEMES
from gigsums.quantities import DECIBELS

from ..sums import Calculation, Options, Range, SumStep, sum_topic
from ..wording import listed


def _powers(levels_db: list[float]) -> list[float]:
    return [10 ** ((level - max(levels_db)) / 10) for level in levels_db]


def _added(levels_db: list[float]) -> str:
    shares = _powers(levels_db)
    return f"{' + '.join(f'{share:.3f}' for share in shares)} = {sum(shares):.3f}"


def _parts(shown: Mapping[str, str]) -> str:
    numbers = [number for number in range(1, 5) if f"level_{number}_dba" in shown]
    return listed([f"{shown[f'time_{number}_h']} at {shown[f'level_{number}_dba']}" for number in numbers])


def _with_5_db(exposure_dba: list[float], hours: list[float]) -> float:
    share = sum(time / 8 * 2 ** (level / 5) for level, time in zip(exposure_dba, hours, strict=True))
    return 5 * math.log2(share)


def _without_the_least(exposure_dba: list[float], hours: list[float]) -> float:
    energies = sorted(time / 8 * 10 ** (level / 10) for level, time in zip(exposure_dba, hours, strict=True))
    return 10 * math.log10(sum(energies[1:]))


_OTHER: dict[float | None, float] = {3: 5, 5: 3}


def _hours(exposure_dba: float, scheme: str, criterion_dba: float = 0, exchange_db: float = 0) -> float:
    """The time by a scheme of which one figure is taken from another [h]."""
    its = SCHEMES[scheme]
    over = exposure_dba - (criterion_dba or its.criterion_dba)
    return its.hours / 2 ** (over / (exchange_db or its.exchange_db or 3))


def _from(start_dba: float, exposure_dba: float, scheme: str) -> float:
    """Nothing where the scheme does start there."""
    its_own = start_dba == SCHEMES[scheme].criterion_dba
    return math.nan if its_own else _hours(exposure_dba, scheme, criterion_dba=start_dba)


TOPICS = (
    # The level of several sources together
    sum_topic(
        Calculation(
            "adding levels",
            "{who} stands at the desk at {place} and measures one source after the other, each alone: {levels_db}. They "
            "play nothing in common, an amplifier and a drum kit for example.",
            "What does the meter show when all of them sound together?",
            {"levels_db": Range(84, 98, 2, 0.5, many=((2, 2), (3, 3), (4, 6)))},
            "Sources that have nothing to do with each other add in power: turn the levels into powers, and the sum back.",
            steps=(
                SumStep("Powers, with the loudest as 1", _added),
                SumStep(
                    "That many times the loudest, in decibels",
                    lambda levels_db: 10 * math.log10(sum(_powers(levels_db))),
                    DECIBELS,
                ),
            ),
            slips=(
                Slip(
                    "3 dB put on the loudest",
                    lambda levels_db: (
                        math.nan  # of two alike it is right
                        if len(levels_db) == 2 and min(levels_db) == max(levels_db)
                        else max(levels_db) + 3 * (len(levels_db) - 1)
                    ),
                    "3 dB is what two of the same level make. Are these the same?",
                ),
            ),
        ),
        "level",
        version=3,
    ),
    # The level that a loudspeaker gives at a distance
    sum_topic(
        Calculation(
            "level from a box",
            "A loudspeaker at {ground} gives {sensitivity_db} with 1 W at 1 m. It is driven with {power_w}.",
            "How loud is it at {distance_m} in the open?",
            {
                "sensitivity_db": Range(88, 106, 2, 1),
                "power_w": Range(100, 1000, 100, 10),
                "distance_m": Range(4, 50, 2, 1, other=("ft", 15, 160, 5)),
            },
            "Add ten times the logarithm of the watts, take off twenty times the logarithm of the metres.",
            slips=(
                Slip(
                    "power left out",
                    lambda sensitivity_db, distance_m: sensitivity_db - 20 * math.log10(distance_m),
                    "The sensitivity is for one watt.",
                ),
                Slip(
                    "distance taken ten times",
                    lambda level_db, distance_m: level_db + 10 * math.log10(distance_m),
                    "Power goes with ten times the logarithm, distance with twenty.",
                ),
            ),
            nudge="Two steps: from one watt to these watts, and from one metre to this distance.",
        ),
        "level",
        version=2,
    ),
    # The level of a small source further away
    sum_topic(
        Calculation(
            "level over distance",
            "In the open at {ground} a small speaker gives {level_db} at {reference_m}. Nothing reflects.",
            "What is left of it at {distance_m}?",
            {
                "level_db": Range(85, 115, 5, 1),
                "reference_m": Range(1, 4, 1, 0.5),
                "distance_m": Range(8, 80, 4, 1, other=("ft", 30, 250, 5)),
            },
            "The pressure falls as the distance grows: take twenty times the logarithm of the ratio of the distances off.",
            slips=(
                Slip(
                    "counted from one metre",
                    lambda level_db, distance_m: level_db - 20 * math.log10(distance_m),
                    "The level was not measured at one metre.",
                ),
                Slip(
                    "gained instead of lost",
                    lambda level_db, there_db: 2 * level_db - there_db,
                    "Further away it is softer.",
                ),
            ),
            nudge="Twice as far is 6 dB less. How often is the distance doubled?",
        ),
        "level",
        version=3,
    ),
    # The watts that a level at a distance wants
    sum_topic(
        Calculation(
            "power for a level",
            "{act} want {level_db} of direct sound in the last row at {place}, {distance_m} away, and {headroom_db} above that for peaks. "
            "The loudspeaker gives {sensitivity_db} with 1 W at 1 m.",
            "How many watts must the amplifier deliver?",
            {
                "level_db": Range(90, 98, 2, 1),
                "headroom_db": Range(3, 9, 3, 1),
                "distance_m": Range(8, 24, 4, 1, other=("ft", 25, 80, 5)),
                "sensitivity_db": Range(96, 104, 2, 1),
            },
            "How many decibels are missing to the level, the distance and the peaks counted? Ten decibels are ten times the "
            "power.",
            slips=(
                Slip(
                    "distance left out",
                    lambda power_w, distance_m: power_w / distance_m**2,
                    "The sensitivity is for one metre.",
                ),
                Slip(
                    "distance counted once",
                    lambda power_w, distance_m: power_w / distance_m,
                    "Twice as far wants four times the power.",
                ),
            ),
        ),
        "level",
        version=2,
    ),
    # A ratio of voltages in decibels
    sum_topic(
        Calculation(
            "a ratio in decibels",
            "{who} turns up a fader at {place}, and the voltage at the output becomes {ratio} times what it was.",
            "How many decibels are that?",
            {"ratio": Range(2, 20, 1, 0.1)},
            "Voltages go with twenty times the logarithm of their ratio.",
            slips=(
                Slip(
                    "the ratio taken for decibels",
                    lambda ratio: ratio,
                    "A ratio is not yet decibels: which function is missing?",
                ),
                Slip("taken as a loss", lambda amplitude_db: -amplitude_db, "It became more."),
            ),
        ),
        "level",
        version=2,
    ),
    # What a day of sound comes to over eight hours
    sum_topic(
        Calculation(
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
    ),
    # How soon a level uses up a day's share of sound
    sum_topic(
        Calculation(
            "time at a level",
            "{who} works at the side of the stage at {place}, where the meter shows {exposure_dba} at the ear all evening. "
            "The sum is made by the scheme called {scheme}.",
            "How soon is a whole day's share used up?",
            {
                "exposure_dba": Range(88, 104, 2, 1),
                "scheme": Options(("EU upper action", "EU lower action", "NIOSH", "OSHA compliance")),
            },
            "Eight hours at the level the scheme starts from, and half the time for each step of its exchange rate above it.",
            slips=(
                Slip(
                    "3 dB exchange counted from 85",
                    lambda exposure_dba, scheme: (
                        8 / 2 ** ((exposure_dba - 85) / 3) if SCHEMES[scheme].exchange_db == 5 else math.nan
                    ),
                    "That is another scheme, not a wrong sum: say which one you use.",
                ),
                Slip(
                    "the other exchange rate",
                    lambda exposure_dba, scheme: _hours(
                        exposure_dba, scheme, exchange_db=_OTHER[SCHEMES[scheme].exchange_db]
                    ),
                    "By how many decibels may it be louder, in this scheme, for half the time?",
                ),
                *(
                    Slip(
                        f"counted from {start} dBA",
                        partial(_from, start),
                        "At which level does this scheme allow eight hours?",
                    )
                    for start in (80, 85, 90)
                ),
            ),
            nudge="At which level does this scheme allow eight hours, and what halves the time: 3 dB or 5 dB?",
        ),
        "ears",
        version=3,
    ),
)
