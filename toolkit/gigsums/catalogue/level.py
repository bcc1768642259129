"""Level."""

from __future__ import annotations

from gigsums.formulas import decibels
from gigsums.quantities import LEVEL

from .declaration import Calculator, Input, Note, Result, Slip

HEARING = (
    "Loud sound harms hearing for good. Limits are set by local law and the venue's licence; a measured level "
    "counts, not a sum."
)
_LEVELS = tuple(f"level_{number}_db" for number in range(1, 7))

CALCULATORS = (
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
                "Different sounds add in power, 3 dB for an equal pair; 6 dB is for two feeds of one signal.",
            ),
        ),
        notes=(Note("One source is no sum.", lambda levels_db: len(levels_db) < 2),),
        caution=f"{HEARING} All levels at the same place and with the same weighting.",
        words="sum total combine sources loud spl decibel",
    ),
)
