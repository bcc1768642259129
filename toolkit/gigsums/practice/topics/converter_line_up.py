"""The analogue level of a reading on a digital desk's meter."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "line-up of a converter",
        "The meters of the desk at {place} show {level_dbfs}. Full scale is {full_scale_dbu} at its outputs.",
        "What is the level at the output?",
        {"level_dbfs": Range(-40, -4, 2, 0.5), "full_scale_dbu": Range(15, 24, 3, 1)},
        "Full scale is the top; the meter says how far below it the signal is.",
        slips=(
            Slip(
                "added to full scale",
                lambda level_dbfs, full_scale_dbu: full_scale_dbu - level_dbfs,
                "Nothing is above full scale.",
            ),
        ),
    ),
    "gain structure",
    version=3,
)
