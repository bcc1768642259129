"""A level in dBV as dBu."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "dBu from dBV",
        "A music player at {place} puts out {level_dbv}.",
        "What is that in dBu?",
        {"level_dbv": Range(-30, 6, 2, 0.5, never=(-0.4, 0.4))},
        "The two count from different voltages, 1 V and 0.775 V: the same voltage is the larger number in dBu.",
        slips=(
            Slip(
                "the 11.8 dB between the usual levels added",
                lambda level_dbv: level_dbv + 11.8,
                "11.8 dB lie between −10 dBV and +4 dBu, which are two different voltages.",
            ),
        ),
    ),
    "gain structure",
    version=2,
)
