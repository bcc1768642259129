"""Gain from the source to the loudspeaker, and what microphones and feedback leave of it."""

import math

from gigsums.catalogue import Slip
from gigsums.quantities import DBU

from ..sums import Approximation, Calculation, Options, Range, SumStep, sum_topic

TOPICS = (
    # The analogue level of a reading on a digital desk's meter
    sum_topic(
        Calculation(
            "line-up of a converter",
            "The meters of the desk at {place} show {level_dbfs}. Full scale is {full_scale_dbu} at its outputs.",
            "What is the level at the output?",
            {"level_dbfs": Range(-40, -4, 2, 0.5), "full_scale_dbu": Range(15, 24, 3, 1)},
            "Full scale is the top; the meter says how far below it the signal is.",
            slips=(
                Slip(
                    "added to full scale",
                    lambda level_dbfs, full_scale_dbu: full_scale_dbu - level_dbfs,
                    "Nothing is above full scale.",
                ),
            ),
        ),
        "gain structure",
        version=3,
    ),
    # A level in dBV as dBu
    sum_topic(
        Calculation(
            "dBu from dBV",
            "A music player at {place} puts out {level_dbv}.",
            "What is that in dBu?",
            {"level_dbv": Range(-30, 6, 2, 0.5, never=(-0.4, 0.4))},
            "The two count from different voltages, 1 V and 0.775 V: the same voltage is the larger number in dBu.",
            slips=(
                Slip(
                    "the 11.8 dB between the usual levels added",
                    lambda level_dbv: level_dbv + 11.8,
                    "11.8 dB lie between −10 dBV and +4 dBu, which are two different voltages.",
                ),
            ),
        ),
        "gain structure",
        version=2,
    ),
    # A voltage as dBu
    sum_topic(
        Calculation(
            "dBu from volts",
            "{who} measures {voltage_v} RMS at an output at {place}.",
            "What is that in dBu?",
            {"voltage_v": Range(0.1, 9, 0.1, 0.05)},
            "Twenty times the logarithm of the voltage over 0.775 V.",
            slips=(
                Slip(
                    "ten times the logarithm",
                    lambda voltage_v: 10 * math.log10(voltage_v / math.sqrt(0.6)),
                    "Voltages go with twenty times the logarithm.",
                ),
                Slip(
                    "sign turned round",
                    lambda level_dbu: -level_dbu,
                    "Is that more than 0.775 V, or less?",
                ),
            ),
        ),
        "gain structure",
        version=3,
    ),
    # What it costs to feed one source to several inputs
    sum_topic(
        Calculation(
            "loading a source",
            "A source of {source_ohm} at {place} feeds inputs of {impedances_ohm}, side by side.",
            "By how much does that change its level? A loss has a minus sign.",
            {
                "source_ohm": Range(100, 600, 50, 10),
                "impedances_ohm": Options(
                    (600, 1000, 1200, 1500, 2000, 2400, 3000), many=((2, 2), (2, 3), (3, 3))
                ),
            },
            "Inputs side by side make one smaller load; source and load divide the voltage.",
            slips=(
                Slip("sign turned round", lambda loss_db: -loss_db, "The source is loaded: its level falls."),
                Slip(
                    "taken as power",
                    lambda loss_db: loss_db / 2,
                    "It is a voltage that is divided: twenty times the logarithm.",
                ),
            ),
            within=0.1,
        ),
        "gain structure",
        version=3,
    ),
    # The gain that a microphone wants
    sum_topic(
        Calculation(
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
    ),
    # What a passive DI takes off
    sum_topic(
        Calculation(
            "loss of a passive DI",
            "{who}'s bass goes through a passive DI box whose transformer has {turns_ratio} turns for each turn on the desk's "
            "side.",
            "By how much does it change the level? A loss has a minus sign.",
            {"turns_ratio": Range(4, 16, 1, 0.5)},
            "The voltage goes with the turns, and voltages with twenty times the logarithm.",
        ),
        "gain structure",
        version=2,
    ),
    # A level in dBu as a voltage
    sum_topic(
        Calculation(
            "volts from dBu",
            "The desk at {place} puts out {level_dbu}.",
            "What is that in volts, RMS?",
            {"level_dbu": Range(-20, 24, 2, 1, never=(-0.5, 0.5))},
            "0 dBu is 0.775 V; twenty decibels are ten times the voltage.",
            slips=(
                Slip("peak given for RMS", lambda voltage_v: math.sqrt(2) * voltage_v, "RMS was asked for."),
            ),
        ),
        "gain structure",
        version=2,
    ),
    # The gain that geometry allows before it rings
    sum_topic(
        Calculation(
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
    ),
    # What open microphones cost before feedback
    sum_topic(
        Calculation(
            "open microphones",
            "A panel at {place}, with {microphones} microphones open at once, all alike and each equally far from its talker.",
            "How much less gain is there before feedback than with one of them open?",
            {"microphones": Range(4, 24, 2, 1)},
            "The gains of open microphones add in power: ten times the logarithm of their number.",
            approximations=(
                Approximation(
                    "said as a change",
                    lambda loss_db: -loss_db,
                    "A change with a minus sign says the same. Asked was how much less, and that has no sign.",
                ),
            ),
            nudge="Each doubling of the open microphones costs 3 dB. How often is one doubled?",
        ),
        "microphones and feedback",
        version=2,
    ),
    # How much less of a source its neighbour's microphone picks up
    sum_topic(
        Calculation(
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
    ),
)
