"""The gain that geometry allows before it rings."""

import math

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "gain before feedback",
        "{who} speaks at {place}, {talker_to_microphone_m} from the microphone; {microphones} are open. The loudspeaker is "
        "{microphone_to_speaker_m} from the microphone and {speaker_to_listener_m} from the last row, which is "
        "{talker_to_listener_m} from the talker and is to hear as if {equivalent_distance_m} away. Keep {margin_db} in hand.",
        "How much acoustic gain is there before feedback, with that kept in hand?",
        {
            "talker_to_microphone_m": Range(0.1, 0.6, 0.1, 0.05),
            "microphone_to_speaker_m": Range(4, 8, 1, 0.5),
            "microphones": Range(2, 8, 2, 1),
            "talker_to_listener_m": Range(10, 14, 2, 1),
            "speaker_to_listener_m": Range(10, 14, 2, 1),
            "equivalent_distance_m": Range(2, 5, 1, 1),
            "margin_db": Options((6,)),
        },
        "Multiply the talker's way to the last row by the microphone's to the loudspeaker, divide by the other two ways; "
        "take open microphones and the margin off the decibels.",
        slips=(
            Slip(
                "ten times the logarithm",
                lambda potential_db, margin_db, microphones: (
                    (potential_db - margin_db - 10 * math.log10(microphones)) / 2
                ),
                "Distances go with twenty times the logarithm.",
            ),
            Slip(
                "gain needed given for the gain there is",
                lambda needed_db: needed_db,
                "That is what the last row needs. How much is there?",
            ),
        ),
        nudge="Four distances: two of them help when they are long, two when they are short.",
    ),
    "microphones and feedback",
    version=3,
)
