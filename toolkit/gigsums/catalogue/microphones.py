"""Microphones and gain."""

from __future__ import annotations

from gigsums.formulas import gain
from gigsums.quantities import DBU, DECIBELS, GAIN, LINE_IMPEDANCE, SENSITIVITY, SPL

from .declaration import Calculator, Input, Note, Result, Slip

CALCULATORS = (
    Calculator(
        key="gain for a microphone",
        question="How much gain for this microphone?",
        moment="line check",
        inputs=(
            Input("spl_db", "Sound at the microphone", SPL, 110),
            Input("sensitivity_mv_per_pa", "Sensitivity", SENSITIVITY, 2),
            Input("target_dbu", "Level wanted in the desk", DBU, 0),
            Input("full_scale_dbu", "Level that fills the converter", DBU.within(0, 30), 18, behind=True),
            Input("source_ohm", "Source resistance", LINE_IMPEDANCE.within(10, 10_000), 150, behind=True),
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
            Result(
                "noise_dbu",
                "Least noise",
                DBU,
                gain.thermal_noise_dbu,
                takes={"resistance_ohm": "source_ohm"},
            ),
        ),
        answer="gain_db",
        line="{spl_db} at {sensitivity_mv_per_pa} is {level_dbu}, to {target_dbu} = {gain_db}",
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
                "Peaks run 12 to 20 dB above this level: leave them at least 12 dB.",
                lambda headroom_db: headroom_db < 12,
            ),
        ),
        caution="Raise gain from nothing with the channel muted, and warn whoever wears in-ears or headphones.",
        picture="gain chain",
        words="mic preamp preamplifier trim sensitivity dbu headroom pad",
    ),
)
