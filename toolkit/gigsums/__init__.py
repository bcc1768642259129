"""gigsums: sums for gigs. A training workbook for sizing and running live sound.

Notebooks import from here alone. What is asked for is fetched when it is asked for, so that this costs nothing to
import, and what stands in one room today may stand in another tomorrow without a notebook noticing.
"""

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "formulas": "cables decibels dynamics equalisers exposure feedback gain kit mains radio rooms speakers timing weighting",
    "formulas.cables": "parallel_impedance stock_length_m",
    "formulas.decibels": "amplitude_to_db db_to_amplitude db_to_power dbu_to_dbv dbu_to_volts dbv_to_dbu dbv_to_volts "
    "pascals_to_spl power_to_db recording_bytes spl_to_pascals subtract_level sum_levels sum_levels_in_phase "
    "sum_two_tones volts_to_dbu volts_to_dbv",
    "formulas.dynamics": "compressed_level_db expanded_level_db gain_reduction_db limited_level_db smoothing_coefficient",
    "formulas.equalisers": "centre_frequency_hz high_pass high_shelf low_pass low_shelf octaves_from_q peaking "
    "q_from_octaves response_db",
    "formulas.feedback": "microphone_distance_ratio_db needed_acoustic_gain_db open_microphones_loss_db "
    "potential_acoustic_gain_db",
    "formulas.gain": "gain_needed_db loading_loss_db microphone_level_dbu microphone_noise_dbu thermal_noise_dbu transformer_di_loss_db "
    "walk_gain",
    "formulas.kit": "battery_sets",
    "formulas.speakers": "Speaker coverage_width_m down_tilt_deg level_at_distance level_from_power level_over_floor "
    "power_for_level",
    "formulas.timing": "comb_nulls_hz delay_drift_ms delay_ms fill_delay_ms speed_of_sound",
    "formulas.weighting": "a_weighting_db c_weighting_db nearest_third_octave_hz",
    "gig": "load_desk load_gig load_policy",
    "sizing": "check_placement compare demand fit needs questions smallest_changes what_breaks_next",
    "planning": "bag in_list_order input_list output_list patch",
    "figures": "PICTURES picture",
    "catalogue": "CATALOGUE",
    "practice": "TOPICS mark print_key_of print_problems problem published question worksheet",
    "whole_gigs": "mark_whole whole_gig write_blank",
    "classes": "handout mark_folder",
    "views": "LineUp PickedUp Sheet explain mix_costs of_each_desk show size",
}
_HOME = {name: home for home, names in _HOMES.items() for name in names.split()}

__all__ = ["__version__", *_HOME]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    home = f"{__name__}.{_HOME[name]}"
    if _HOME[name] == "formulas":
        return import_module(f"{home}.{name}")
    return getattr(import_module(home), name)


def __dir__() -> list[str]:
    return sorted(__all__)
