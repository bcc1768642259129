"""The echo that keeps to a tempo."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "echo in time with the music",
        "{act} play at {tempo_bpm}. The echo on {who}'s voice is to come {beats} after the word.",
        "What is to be set on the delay?",
        {
            "tempo_bpm": Range(60, 180, 5, 1),
            "beats": Options((0.25, 0.5, 0.75, 1.5, 2)),
        },
        "A minute is 60 seconds: divide it by the beats in it, and take as many as are wanted.",
        slips=(
            Slip(
                "sixty left out",
                lambda tempo_bpm, beats: 1000 * beats / tempo_bpm,
                "The tempo counts beats a minute, not beats a second.",
            ),
            Slip(
                "one beat for whatever was asked",
                lambda tempo_bpm: 60_000 / tempo_bpm,
                "That is one beat. How many were asked for?",
            ),
        ),
    ),
    "time and distance",
    version=2,
)
