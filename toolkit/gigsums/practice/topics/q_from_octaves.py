"""The Q of a bandwidth."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "Q from octaves",
        "{who} wants a cut that is {octaves} wide, but the equaliser at {place} is marked in Q.",
        "What Q is that?",
        {"octaves": Range(0.2, 3, 0.2, 0.05, never=(0.95, 1.05))},
        "Q is the centre frequency over the width in hertz; the edges lie half the octaves below and above.",
        slips=(Slip("turned over", lambda q: 1 / q, "A narrow band has a high Q."),),
        nudge="Where do the edges lie if the centre is at 1? How far apart are they?",
    ),
    "equalisers",
    version=3,
)
