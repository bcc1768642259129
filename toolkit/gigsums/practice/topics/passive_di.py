"""What a passive DI takes off."""

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "loss of a passive DI",
        "{who}'s bass goes through a passive DI box whose transformer has {turns_ratio} turns for each turn on the desk's "
        "side.",
        "By how much does it change the level? A loss has a minus sign.",
        {"turns_ratio": Range(4, 16, 1, 0.5)},
        "The voltage goes with the turns, and voltages with twenty times the logarithm.",
    ),
    "gain structure",
    version=2,
)
