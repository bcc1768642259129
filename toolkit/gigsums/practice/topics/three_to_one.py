"""How much less of a source its neighbour's microphone picks up."""

from gigsums.catalogue import Slip

from ..sums import Approximation, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "three to one",
        "{who} sings {near_m} from a microphone; the neighbour's is {far_m} from the same mouth, at the same gain.",
        "How much less of that voice comes through the neighbour's microphone?",
        {"near_m": Range(0.1, 0.4, 0.1, 0.05), "far_m": Range(0.6, 2, 0.1, 0.05)},
        "The level falls with distance: twenty times the logarithm of the ratio of the two.",
        approximations=(
            Approximation(
                "said as a change",
                lambda less_db: -less_db,
                "A change with a minus sign says the same. Asked was how much less, and that has no sign.",
            ),
        ),
        slips=(
            Slip(
                "the ratio taken for decibels",
                lambda near_m, far_m: far_m / near_m,
                "A ratio is not yet decibels.",
            ),
        ),
    ),
    "microphones and feedback",
    version=2,
)
