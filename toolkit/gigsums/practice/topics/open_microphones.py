"""What open microphones cost before feedback."""

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "open microphones",
        "A panel at {place}, with {microphones} microphones open at once, all alike and each equally far from its talker.",
        "How much less gain is there before feedback than with one of them open?",
        {"microphones": Range(2, 40, 2, 1)},
        "The gains of open microphones add in power: ten times the logarithm of their number.",
        nudge="Each doubling of the open microphones costs 3 dB. How often is one doubled?",
    ),
    "microphones and feedback",
)
