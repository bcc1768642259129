"""What open microphones cost before feedback."""

from ..sums import Approximation, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "open microphones",
        "A panel at {place}, with {microphones} microphones open at once, all alike and each equally far from its talker.",
        "How much less gain is there before feedback than with one of them open?",
        {"microphones": Range(4, 24, 2, 1)},
        "The gains of open microphones add in power: ten times the logarithm of their number.",
        approximations=(
            Approximation(
                "said as a change",
                lambda loss_db: -loss_db,
                "A change with a minus sign says the same. Asked was how much less, and that has no sign.",
            ),
        ),
        nudge="Each doubling of the open microphones costs 3 dB. How often is one doubled?",
    ),
    "microphones and feedback",
    version=2,
)
