"""Where the room takes over from a loudspeaker."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "critical distance",
        "Inside {place} there are {volume_m3} of air, and it rings for {reverberation_s}. One loudspeaker with a directivity "
        "factor of {directivity} stands in it.",
        "At what distance is the room as loud as the loudspeaker?",
        {
            "volume_m3": Range(800, 6000, 200, 50, other=("ft³", 30_000, 200_000, 1000)),
            "reverberation_s": Range(0.8, 2.4, 0.2, 0.1),
            "directivity": Range(2, 15, 1, 0.5),
        },
        "0.057 times the root of directivity times volume over reverberation time, in metres.",
        slips=(
            Slip(
                "root left out",
                lambda critical_m: 0.057 * (critical_m / 0.057) ** 2,
                "Area goes with the square of a distance.",
            ),
        ),
    ),
    "rooms",
    version=2,
)
