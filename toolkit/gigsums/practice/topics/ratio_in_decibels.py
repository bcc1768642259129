"""A ratio of voltages in decibels."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
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
)
