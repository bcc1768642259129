"""The room that a recording takes."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "size of a recording",
        "{act} are recorded at {place}: {channels} tracks for {duration_s}, at {sample_rate_hz} and {bits} a sample.",
        "How much room does it take?",
        {
            "channels": Range(8, 64, 8, 1),
            "duration_s": Range(0.5, 4, 0.5, 0.25),
            "sample_rate_hz": Options((44_100, 48_000, 96_000)),
            "bits": Options((16, 24)),
        },
        "Tracks times samples times bytes a sample.",
        slips=(
            Slip(
                "counted in GiB",
                lambda size_bytes: size_bytes * 1e9 / 2**30,
                "That is the number of GiB, 2³⁰ bytes each, which some computers call GB. Cards are sold in GB of 10⁹ bytes: "
                "say which you mean.",
            ),
        ),
        nudge="How many samples are there, and how many bytes make one?",
    ),
    "recording and radio",
    version=3,
)
