"""How long a room rings."""

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "reverberation time",
        "Inside {place} there are {volume_m3} of air and as much absorption as {absorption_m2} of open window.",
        "How long does it ring, by Sabine?",
        {
            "volume_m3": Range(1200, 4000, 200, 20, other=("ft³", 42_000, 140_000, 1000)),
            "absorption_m2": Range(200, 500, 20, 5),
        },
        "0.161 times the volume over the absorption, in metres.",
        nudge="A large room rings longer, a soft one shorter. The constant is for metres.",
    ),
    "rooms",
    version=2,
)
