"""Level."""

from __future__ import annotations

from gigsums.formulas import decibels, speakers
from gigsums.quantities import (
    DBFS,
    DBU,
    DBV,
    DECIBELS,
    DISTANCE,
    LEVEL,
    NUMBER,
    POWER,
    SPEAKER_SENSITIVITY,
    VOLTAGE,
)

from .declaration import HEARING, PLAN, Calculator, Input, Note, Result, Slip

_LEVELS = tuple(f"level_{number}_db" for number in range(1, 7))
_RATIO = DECIBELS.shown_to(2)

CALCULATORS = (
    Calculator(
        key="level over distance",
        question="How loud is it further away?",
        moment="advance",
        inputs=(
            Input("level_db", "Level", LEVEL, 100),
            Input("reference_m", "At", DISTANCE, 2),
            Input("distance_m", "Asked for at", DISTANCE, 32),
        ),
        results=(Result("there_db", "Level there", LEVEL, speakers.level_at_distance),),
        line="{level_db} at {reference_m} is {there_db} at {distance_m} in the open",
        slips=(
            Slip(
                "ten times the logarithm",
                lambda level_db, there_db: (level_db + there_db) / 2,
                "Pressure falls with distance, so it is 20 times the logarithm: 6 dB a doubling.",
            ),
            Slip(
                "decibels divided",
                lambda level_db, distance_m, reference_m: level_db * reference_m / distance_m,
                "Decibels are taken away, never divided: turn the ratio of distances into decibels first.",
            ),
        ),
        caution=f"A small source in the open; a tall array loses less nearby, a room adds its own. {HEARING}",
        picture="level over distance",
        words="throw far inverse square doubling spl metres",
    ),
    Calculator(
        key="level from a box",
        question="How loud is this loudspeaker out there?",
        moment="advance",
        inputs=(
            Input("sensitivity_db", "Sensitivity (1 W, 1 m)", SPEAKER_SENSITIVITY, 98),
            Input("power_w", "Power", POWER, 400),
            Input("distance_m", "Distance", DISTANCE, 16),
        ),
        results=(Result("level_db", "Level", LEVEL, speakers.level_from_power),),
        line="{sensitivity_db} (1 W, 1 m) with {power_w} at {distance_m} = {level_db}",
        slips=(
            Slip(
                "power taken twenty times",
                lambda level_db, power_w: level_db + decibels.power_to_db(power_w),
                "Power is 10 times the logarithm: ten times the watts are 10 dB.",
            ),
            Slip(
                "distance left out",
                lambda sensitivity_db, power_w: sensitivity_db + decibels.power_to_db(power_w),
                "That is the level at 1 m; every doubling of distance takes 6 dB off.",
            ),
        ),
        caution=f"Hot voice coils lose about 3 dB at full power. {PLAN} {HEARING}",
        picture="level over the floor",
        words="spl watts sensitivity loudspeaker speaker amplifier",
    ),
    Calculator(
        key="power for a level",
        question="How many watts for this level out there?",
        moment="advance",
        inputs=(
            Input("level_db", "Level wanted", LEVEL, 100),
            Input("sensitivity_db", "Sensitivity (1 W, 1 m)", SPEAKER_SENSITIVITY, 97),
            Input("distance_m", "Distance", DISTANCE, 20),
            Input("headroom_db", "Room for peaks", DECIBELS.within(0, 40), 6, behind=True),
        ),
        results=(Result("power_w", "Power", POWER, speakers.power_for_level),),
        line="{level_db} + {headroom_db} at {distance_m} from {sensitivity_db} (1 W, 1 m) = {power_w}",
        slips=(
            Slip(
                "peaks left out",
                lambda power_w, headroom_db: power_w / decibels.db_to_power(headroom_db),
                "Music peaks well above its mean level: keep room for them.",
            ),
            Slip(
                "6 dB taken as twice the power",
                lambda power_w, headroom_db: (
                    power_w / decibels.db_to_power(headroom_db) * 2 ** (headroom_db / 6)
                ),
                "Twice the power is 3 dB; 6 dB is four times.",
            ),
        ),
        notes=(
            Note(
                "More than one box takes: add boxes, not a larger amplifier.", lambda power_w: power_w > 2000
            ),
        ),
        caution=f"Direct sound; a room adds its own. Never above the rating of the box. {PLAN} {HEARING}",
        words="watts amplifier target loudspeaker speaker",
    ),
    Calculator(
        key="adding levels",
        question="How loud are they together?",
        moment="sound check",
        inputs=tuple(
            Input(name, f"Source {number}", LEVEL, {1: 90, 2: 90, 3: 84}.get(number), behind=number > 3)
            for number, name in enumerate(_LEVELS, start=1)
        ),
        lists={"levels_db": _LEVELS},
        results=(
            Result("total_db", "Together", LEVEL, decibels.sum_levels),
            Result(
                "in_phase_db",
                "At most, if all carry one signal in phase",
                LEVEL,
                decibels.sum_levels_in_phase,
            ),
        ),
        line="{levels_db} = {total_db}",
        slips=(
            Slip(
                "decibels added as numbers",
                lambda levels_db: sum(levels_db),
                "Decibels are ratios: turn each into a power, add the powers, and turn the sum back.",
            ),
            Slip(
                "mean taken",
                lambda levels_db: sum(levels_db) / len(levels_db),
                "A second source can only add: the sum is never below the loudest of them.",
            ),
            Slip(
                "quietest left out",
                lambda levels_db: decibels.sum_levels(sorted(levels_db)[1:] or levels_db),
                "A quiet source adds little, but it adds: 6 dB below an equal pair still makes half a decibel.",
            ),
            Slip(
                "added as one signal in phase",
                lambda in_phase_db: in_phase_db,
                "Different sounds add in power; 6 dB for an equal pair is for two feeds of one signal.",
            ),
        ),
        notes=(Note("One source is no sum.", lambda levels_db: len(levels_db) < 2),),
        caution=f"{HEARING} All levels at the same place and with the same weighting.",
        picture="sum of levels",
        words="sum total combine sources loud spl decibel",
    ),
    Calculator(
        key="a ratio in decibels",
        question="How many decibels is this ratio?",
        moment="sound check",
        inputs=(Input("ratio", "Ratio", NUMBER, 2),),
        results=(
            Result("amplitude_db", "Of voltages or pressures", _RATIO, decibels.amplitude_to_db),
            Result("power_db", "Of powers", _RATIO, decibels.power_to_db),
        ),
        line="{ratio} times: {amplitude_db} as voltage, {power_db} as power",
        slips=(
            Slip(
                "power taken for voltage",
                lambda power_db: power_db,
                "Voltages and pressures take 20 times the logarithm, powers 10 times.",
            ),
        ),
        caution="A ratio has to be of like things: volts to volts, watts to watts.",
        words="20log 10log double half voltage power",
    ),
    Calculator(
        key="volts from dBu",
        question="What is this dBu level in volts and in dBV?",
        moment="line check",
        inputs=(Input("level_dbu", "Level", DBU, 4),),
        results=(
            Result("voltage_v", "Voltage", VOLTAGE, decibels.dbu_to_volts),
            Result("level_dbv", "In dBV", DBV, decibels.dbu_to_dbv),
        ),
        line="{level_dbu} = {voltage_v} = {level_dbv}",
        slips=(
            Slip(
                "counted from 1 V",
                lambda level_dbu: decibels.dbv_to_volts(level_dbu),
                "0 dBu is 0.775 V; it is dBV that counts from 1 V.",
            ),
            Slip(
                "ten times the logarithm",
                lambda level_dbu: 0.6**0.5 * decibels.db_to_power(level_dbu),
                "Voltages take 20 times the logarithm.",
            ),
        ),
        caution="RMS of a sine into an open input; consumer equipment may clip far below a desk's level.",
        words="dbu dbv voltage line level reference",
    ),
    Calculator(
        key="dBu from dBV",
        question="What is this dBV level in dBu and in volts?",
        moment="line check",
        inputs=(Input("level_dbv", "Level", DBV, -10),),
        results=(
            Result("level_dbu", "In dBu", DBU, decibels.dbv_to_dbu),
            Result("voltage_v", "Voltage", VOLTAGE, decibels.dbv_to_volts),
        ),
        line="{level_dbv} = {level_dbu} = {voltage_v}",
        slips=(
            Slip(
                "taken as the same",
                lambda level_dbv: level_dbv,
                "The two count from different voltages, 2.2 dB apart.",
            ),
            Slip(
                "difference the wrong way",
                lambda level_dbv: decibels.dbu_to_dbv(level_dbv),
                "1 V is more than 0.775 V, so the same level is a higher number in dBu.",
            ),
        ),
        caution="RMS of a sine into an open input; from −10 dBV to +4 dBu it is 11.8 dB, not 14.",
        words="dbu dbv consumer playback line level reference",
    ),
    Calculator(
        key="dBu from volts",
        question="What is this voltage in dBu and in dBV?",
        moment="line check",
        inputs=(Input("voltage_v", "Voltage", VOLTAGE.within(1e-6), 1),),
        results=(
            Result("level_dbu", "In dBu", DBU, decibels.volts_to_dbu),
            Result("level_dbv", "In dBV", DBV, decibels.volts_to_dbv),
        ),
        line="{voltage_v} = {level_dbu} = {level_dbv}",
        slips=(
            Slip(
                "dBV read as dBu",
                lambda level_dbv: level_dbv,
                "dBV counts from 1 V, dBu from 0.775 V.",
            ),
        ),
        caution="RMS of a sine; a meter that reads peaks shows 3 dB more.",
        words="dbu dbv meter line level reference",
    ),
    Calculator(
        key="line-up of a converter",
        question="What analogue level is this reading on the desk's meter?",
        moment="line check",
        inputs=(
            Input("level_dbfs", "Reading", DBFS, -18),
            Input("full_scale_dbu", "0 dBFS stands for", DBU.within(0, 30), 18),
        ),
        results=(Result("level_dbu", "Analogue level", DBU, decibels.dbfs_to_dbu),),
        line="{level_dbfs} at a line-up of {full_scale_dbu} = {level_dbu}",
        slips=(
            Slip(
                "0 dBFS taken as 0 dBu",
                lambda level_dbfs: level_dbfs,
                "Full scale stands for a level well above 0 dBu; the desk's manual says which.",
            ),
            Slip(
                "line-up taken away",
                lambda level_dbfs, full_scale_dbu: level_dbfs - full_scale_dbu,
                "The analogue level is the line-up with the reading, which is below 0, added.",
            ),
        ),
        caution="The line-up is the desk's own, mostly +18 to +24 dBu: look it up.",
        picture="line-up scales",
        words="dbfs full scale digital meter alignment",
    ),
)
