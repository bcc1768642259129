"""What a day of sound comes to over eight hours."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "a day's exposure",
        "{who}'s day at {place} has parts of {hours}, in that order at {exposure_dba}, and is quiet otherwise.",
        "What is the daily exposure over 8 hours, with an exchange of 3 dB?",
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
        ),
    ),
    "ears",
)
