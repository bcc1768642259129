"""Microphones and gain."""

from __future__ import annotations

from gigsums.formulas import cables, feedback, gain
from gigsums.quantities import (
    DBA,
    DBU,
    DECIBELS,
    GAIN,
    LINE_IMPEDANCE,
    MICROPHONES,
    NUMBER,
    PATH,
    SENSITIVITY,
    SPL,
)

from .declaration import Calculator, Input, Note, Result, Slip

_LOADS = ("load_1_ohm", "load_2_ohm", "load_3_ohm")
_BEFORE_RINGING = (
    "Ring out to an empty room: nobody in in-ears, stage clear, limiters in, slowly up; no hand or head near as it "
    "rises; five cuts at most."
)

CALCULATORS = (
    Calculator(
        key="gain for a microphone",
        question="How much gain for this microphone?",
        moment="line check",
        inputs=(
            Input("spl_db", "Sound at the microphone, on average", SPL, 110),
            Input("sensitivity_mv_per_pa", "Sensitivity", SENSITIVITY, 2),
            Input("target_dbu", "Level wanted in the desk", DBU, 0),
            Input("full_scale_dbu", "Level that fills the converter", DBU.within(0, 30), 18, behind=True),
            Input("source_ohm", "Source resistance", LINE_IMPEDANCE.within(10, 10_000), 150, behind=True),
            Input("self_noise_db", "Own noise of a condenser", DBA.within(0, 60), behind=True),
        ),
        results=(
            Result("level_dbu", "At the socket", DBU, gain.microphone_level_dbu),
            Result("gain_db", "Gain", GAIN, gain.gain_needed_db),
            Result(
                "headroom_db",
                "Room for peaks",
                DECIBELS,
                gain.headroom_db,
                takes={"level_dbu": "target_dbu", "clip_dbu": "full_scale_dbu"},
            ),
            Result("noise_dbu", "Its own noise", DBU, gain.microphone_noise_dbu),
        ),
        answer="gain_db",
        line="{spl_db} on average at {sensitivity_mv_per_pa} is {level_dbu}, to {target_dbu} = {gain_db}",
        slips=(
            Slip(
                "loudness left out",
                lambda sensitivity_mv_per_pa, target_dbu: gain.gain_needed_db(
                    gain.microphone_level_dbu(94, sensitivity_mv_per_pa), target_dbu
                ),
                "The sensitivity is what it gives at 94 dB SPL: add how much louder the source is.",
            ),
            Slip(
                "sign turned round",
                lambda gain_db: -gain_db,
                "The level is below the one wanted, so the gain that lifts it is above 0.",
            ),
            Slip(
                "millivolts taken as volts",
                lambda spl_db, sensitivity_mv_per_pa, target_dbu: (
                    gain.gain_needed_db(gain.microphone_level_dbu(spl_db, sensitivity_mv_per_pa), target_dbu)
                    - 60
                ),
                "2 mV is 0.002 V: taken as 2 V the level comes out 60 dB too high.",
            ),
        ),
        notes=(
            Note("The level has to come down: use a pad, or less sound.", lambda gain_db: gain_db < 0),
            Note(
                "That is much gain: move closer, or take a microphone of higher sensitivity.",
                lambda gain_db: gain_db > 60,
            ),
            Note(
                "A voice peaks 12 to 15 dB above its average: leave it at least 15 dB.",
                lambda headroom_db, spl_db: headroom_db < 15 and spl_db <= 120,
            ),
            Note(
                "So loud is mostly a drum, and drums go by peak: take 3 dB off a peak reading, and bring it to 10 dB "
                "below what fills the converter.",
                lambda spl_db: spl_db > 120,
            ),
            Note(
                "Quieter than its resistance allows: look up sensitivity and own noise again.",
                lambda noise_dbu, source_ohm: noise_dbu < gain.thermal_noise_dbu(source_ohm) - 3,
            ),
        ),
        caution="Raise gain from nothing with the channel muted, and warn whoever wears in-ears or headphones.",
        picture="gain chain",
        words="mic preamp preamplifier trim sensitivity dbu headroom pad self noise equivalent drum peak",
    ),
    Calculator(
        key="loss of a passive DI",
        question="How much level does a passive DI take?",
        moment="line check",
        inputs=(Input("turns_ratio", "Turns ratio", NUMBER.within(1, 100), 12),),
        results=(Result("loss_db", "Change of level", DECIBELS, gain.transformer_di_loss_db),),
        line="{turns_ratio} to 1: {loss_db}",
        slips=(
            Slip(
                "ratio of impedances used",
                lambda loss_db: 2 * loss_db,
                "The impedance falls by the square of the turns, the voltage by the turns.",
            ),
            Slip(
                "ten times the logarithm",
                lambda loss_db: loss_db / 2,
                "Voltages take 20 times the logarithm.",
            ),
            Slip("sign turned round", lambda loss_db: -loss_db, "It steps down: the level falls."),
        ),
        caution="Never meet a hum by lifting a protective earth: lift the signal earth on the DI.",
        words="di box transformer instrument bass turns",
    ),
    Calculator(
        key="loading a source",
        question="What does a split or a low input take?",
        moment="line check",
        inputs=(
            Input("source_ohm", "Source", LINE_IMPEDANCE, 150),
            Input("load_1_ohm", "First input", LINE_IMPEDANCE, 1500),
            Input("load_2_ohm", "Second input", LINE_IMPEDANCE, 1500),
            Input("load_3_ohm", "Third input", LINE_IMPEDANCE, behind=True),
        ),
        lists={"impedances_ohm": _LOADS},
        results=(
            Result("load_ohm", "Inputs together", LINE_IMPEDANCE, cables.parallel_impedance),
            Result("loss_db", "Change of level", DECIBELS, gain.loading_loss_db),
        ),
        answer="loss_db",
        line="{source_ohm} into {impedances_ohm:, } ({load_ohm}): {loss_db}",
        slips=(
            Slip(
                "half for each input",
                lambda impedances_ohm: -6.02 * max(len(impedances_ohm) - 1, 1),
                "A split halves nothing: the inputs only load the source a little more.",
            ),
            Slip(
                "first input alone",
                lambda source_ohm, impedances_ohm: gain.loading_loss_db(source_ohm, impedances_ohm[0]),
                "Side by side the inputs make a lower load than either.",
            ),
        ),
        caution="Only one input feeds phantom power; isolate the others with a transformer split.",
        words="split impedance bridging parallel input load",
    ),
    Calculator(
        key="open microphones",
        question="What do many open microphones cost?",
        moment="sound check",
        inputs=(Input("microphones", "Open at equal gain", MICROPHONES, 12),),
        results=(
            Result("loss_db", "Less gain before feedback", DECIBELS, feedback.open_microphones_loss_db),
        ),
        line="{microphones} open microphones: {loss_db} less",
        slips=(
            Slip(
                "twenty times the logarithm",
                lambda loss_db: 2 * loss_db,
                "Different sounds add in power: 10 times the logarithm.",
            ),
            Slip(
                "3 dB for each",
                lambda microphones: 3 * microphones,
                "3 dB for each doubling, not for each microphone.",
            ),
        ),
        caution="Mute what nobody uses, or mix automatically; never mute the announcement microphone.",
        words="nom feedback automatic mixing panel",
    ),
    Calculator(
        key="gain before feedback",
        question="Will it be loud enough before it rings?",
        moment="sound check",
        inputs=(
            Input("talker_to_microphone_m", "Talker to microphone", PATH, 0.3),
            Input("microphone_to_speaker_m", "Microphone to loudspeaker", PATH, 5),
            Input("microphones", "Open microphones", MICROPHONES, 4),
            Input("talker_to_listener_m", "Talker to far listener", PATH, 15, behind=True),
            Input("speaker_to_listener_m", "Loudspeaker to that listener", PATH, 12, behind=True),
            Input("equivalent_distance_m", "To sound as from", PATH, 3, behind=True),
            Input("margin_db", "Kept before ringing", DECIBELS.within(0, 40), 6, behind=True),
        ),
        results=(
            Result("potential_db", "Gain there is", DECIBELS, feedback.potential_acoustic_gain_db),
            Result("needed_db", "Gain needed", DECIBELS, feedback.needed_acoustic_gain_db),
        ),
        line="mic at {talker_to_microphone_m}, loudspeaker {microphone_to_speaker_m} from it, listener "
        "{speaker_to_listener_m} from that and {talker_to_listener_m} off, {microphones} open, {margin_db} kept: "
        "{potential_db}; as from {equivalent_distance_m}: {needed_db}",
        slips=(
            Slip(
                "margin left out",
                lambda potential_db, margin_db: potential_db + margin_db,
                "At its very limit a system already rings: keep a margin.",
            ),
            Slip(
                "open microphones left out",
                lambda potential_db, microphones: (
                    potential_db + feedback.open_microphones_loss_db(microphones)
                ),
                "Every doubling of open microphones costs 3 dB.",
            ),
        ),
        notes=(
            Note(
                "Not loud enough: bring the microphone closer, the loudspeaker further from it, or open fewer.",
                lambda potential_db, needed_db: potential_db < needed_db,
            ),
            Note(
                "Only just enough.",
                lambda potential_db, needed_db: needed_db <= potential_db < needed_db + 3,
            ),
        ),
        caution=_BEFORE_RINGING,
        picture="feedback distances",
        words="howl squeal feedback pag nag ring acoustic gain",
    ),
    Calculator(
        key="three to one",
        question="Is the next microphone far enough away?",
        moment="sound check",
        inputs=(
            Input("near_m", "To its own microphone", PATH, 0.3),
            Input("far_m", "To the other microphone", PATH, 0.9),
        ),
        results=(
            Result("less_db", "The other hears less by", DECIBELS, feedback.microphone_distance_ratio_db),
        ),
        line="{near_m} and {far_m}: {less_db} less",
        slips=(
            Slip(
                "ten times the logarithm",
                lambda less_db: less_db / 2,
                "Pressure falls with distance: 20 times the logarithm.",
            ),
        ),
        notes=(
            Note(
                "Less than the usual three to one: the two will colour each other.",
                lambda less_db: less_db < 9.5,
            ),
        ),
        caution="For equal sources at equal gains; a stereo pair is exempt.",
        picture="microphone spacing",
        words="3:1 spacing spill bleed choir",
    ),
)
