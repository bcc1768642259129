"""How long a room rings."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "reverberation time",
        "Inside {place} there are {volume_m3} of air and as much absorption as {absorption_m2} of open window.",
        "How long does it ring, by Sabine?",
        {
            "volume_m3": Range(800, 6000, 200, 20, other=("ft³", 30_000, 200_000, 1000)),
            "absorption_m2": Range(100, 600, 20, 5),
        },
        "0.161 times the volume over the absorption, in metres.",
        slips=(
            Slip(
                "a decay of 30 dB given",
                lambda reverberation_s: reverberation_s / 2,
                "It is the time for 60 dB.",
            ),
        ),
        nudge="A large room rings longer, a soft one shorter. The constant is for metres.",
    ),
    "rooms",
)
