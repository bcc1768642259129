"""How soon a level uses up a day's share of sound."""

import math
from functools import partial

from gigsums.catalogue import Slip
from gigsums.formulas.exposure import SCHEMES

from ..sums import Options, Range, Sum, sum_topic

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


TOPIC = sum_topic(
    Sum(
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
)
