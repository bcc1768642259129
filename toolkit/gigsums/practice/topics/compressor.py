"""What comes out of a compressor."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "compressor",
        "A compressor with a hard knee: the threshold is at {threshold_db}, the ratio {ratio}. In comes a steady "
        "{level_db}. Nothing is added afterwards.",
        "At what level does it come out?",
        {
            "level_db": Range(-14, 0, 2, 1),
            "threshold_db": Range(-32, -16, 2, 1),
            "ratio": Range(2, 8, 1, 0.5),
        },
        "Only what lies above the threshold is divided by the ratio.",
        slips=(
            Slip(
                "what is taken off",
                lambda reduction_db: reduction_db,
                "That is how much is taken off. What is left?",
            ),
            Slip(
                "all of what is above taken off",
                lambda threshold_db: threshold_db,
                "That would be a limiter.",
            ),
        ),
    ),
    "dynamics",
)
