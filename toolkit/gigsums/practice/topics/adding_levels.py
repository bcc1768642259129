"""The level of several sources together."""

import math

from gigsums.catalogue import Slip
from gigsums.quantities import DECIBELS

from ..sums import Range, Sum, SumStep, sum_topic


def _powers(levels_db: list[float]) -> list[float]:
    return [10 ** ((level - max(levels_db)) / 10) for level in levels_db]


def _added(levels_db: list[float]) -> str:
    shares = _powers(levels_db)
    return f"{' + '.join(f'{share:.3f}' for share in shares)} = {sum(shares):.3f}"


TOPIC = sum_topic(
    Sum(
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
)
