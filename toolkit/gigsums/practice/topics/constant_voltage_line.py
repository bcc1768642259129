"""The amplifier of a 70 or 100 V line."""

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "constant-voltage line",
        "{count} small speakers hang on a 100 V line at {place}, each tapped at {tap_w}. The amplifier is to have "
        "{allowance} times what they take.",
        "How many watts must the amplifier have?",
        {
            "count": Range(4, 40, 2, 1),
            "tap_w": Options((2.5, 5, 6, 7.5, 10, 12, 15, 20, 30)),
            "allowance": Options((1.2, 1.25, 1.3)),
        },
        "Add the taps of all of them, and keep something over for transformers and cable.",
    ),
    "power and cables",
)
