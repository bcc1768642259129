"""The gain that a microphone wants."""

from gigsums.catalogue import Slip
from gigsums.quantities import DBU

from ..sums import Range, Sum, SumStep, sum_topic

TOPIC = sum_topic(
    Sum(
        "gain for a microphone",
        "{who} of {act} gives {spl_db} at the microphone, whose sensitivity is {sensitivity_mv_per_pa}. In the desk "
        "the level is to be {target_dbu}.",
        "How much gain does the input need?",
        {
            "spl_db": Range(85, 115, 5, 1),
            "sensitivity_mv_per_pa": Range(1, 20, 1, 0.5),
            "target_dbu": Range(-6, 2, 2, 1),
        },
        "First the voltage: the sensitivity is for 94 dB SPL, this source is louder or softer. Then its level in dBu. "
        "What is missing to the level wanted?",
        steps=(SumStep("Level at the socket", lambda level_dbu: level_dbu, DBU),),
        slips=(
            Slip(
                "difference to 94 dB the wrong way",
                lambda gain_db, spl_db: gain_db + 2 * (spl_db - 94),
                "Does a louder source give more at the socket, or less?",
            ),
        ),
    ),
    "gain structure",
    version=3,
)
