"""Gain structure: noise against printed values and scipy, the rest by circuits and chains built another way."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas.decibels import dbu_to_volts, dbv_to_dbu, pascals_to_spl
from gigsums.formulas.gain import (
    gain_needed_db,
    headroom_db,
    loading_loss_db,
    microphone_level_dbu,
    microphone_noise_dbu,
    sensitivity_dbv_per_pa,
    sensitivity_mv_per_pa,
    thermal_noise_dbu,
    transformer_di_loss_db,
    walk_gain,
)
from published import half_step, reference


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("gain.csv", *quantities, **options), ids=str)


# thermal noise


@pytest.mark.outside("gain.thermal_noise_dbu")
@rows("thermal noise of a resistance")
def test_thermal_noise_is_that_of_scipy(row):
    noise = thermal_noise_dbu(row.named["R"], row.named["T"], row.named["bandwidth"])
    assert noise == half_step(row, row.answers[2])
    assert noise == thermal_noise_dbu(row.named["R"])


@pytest.mark.outside("gain.thermal_noise_dbu")
@rows("thermal noise of a resistance, other conditions")
def test_thermal_noise_at_other_temperatures_is_that_of_scipy(row):
    noise = thermal_noise_dbu(row.named["R"], row.named["T"] - 273.15, row.named["bandwidth"])
    assert noise == half_step(row, row.answers[1])


@pytest.mark.outside("gain.thermal_noise_dbu")
@rows("noise figure from an equivalent input noise")
def test_an_input_lies_above_thermal_noise_by_the_noise_figure_of_scipy(row):
    noise = thermal_noise_dbu(row.named["R"], temperature_c=20, bandwidth_hz=20_000)
    assert row.named["EIN"] - noise == half_step(row)


@given(st.floats(1, 1e5), st.floats(-20, 40), st.floats(10, 1e5))
def test_noise_power_goes_with_resistance_bandwidth_and_absolute_temperature(ohms, temperature, bandwidth):
    noise = thermal_noise_dbu(ohms, temperature, bandwidth)
    more = pytest.approx(noise + 10 * math.log10(4))
    assert thermal_noise_dbu(4 * ohms, temperature, bandwidth) == more
    assert thermal_noise_dbu(ohms, temperature, 4 * bandwidth) == more
    assert thermal_noise_dbu(ohms, 4 * (temperature + 273.15) - 273.15, bandwidth) == more


# microphones


@rows("microphone output level")
def test_microphone_level_is_the_one_given(row):
    level = microphone_level_dbu(row.named["sound pressure level"], row.named["sensitivity"])
    assert level == half_step(row, row.answers[2])


@rows("microphone sensitivity, mV/Pa to dB re 1 V/Pa")
def test_sensitivity_in_decibels_is_the_one_given(row):
    assert sensitivity_dbv_per_pa(row.numbers[0]) == half_step(row)


@rows("microphone sensitivity, dB re 1 V/Pa to mV/Pa")
def test_sensitivity_in_millivolts_is_the_one_given(row):
    assert sensitivity_mv_per_pa(row.numbers[0]) == half_step(row)


@given(st.floats(0, 150), st.floats(0.5, 60))
def test_microphone_level_is_sensitivity_plus_level_above_one_pascal(spl, sensitivity):
    above_one_pascal = spl - pascals_to_spl(1)
    level = dbv_to_dbu(sensitivity_dbv_per_pa(sensitivity)) + above_one_pascal
    assert microphone_level_dbu(spl, sensitivity) == pytest.approx(level)


@given(st.floats(-100, 0))
def test_sensitivity_there_and_back_is_the_same(level):
    assert sensitivity_dbv_per_pa(sensitivity_mv_per_pa(level)) == pytest.approx(level)


@given(st.floats(-130, 30), st.floats(-130, 30))
def test_the_gain_needed_brings_the_level_to_the_target(level, target):
    needed = gain_needed_db(level, target)
    assert 10 ** (needed / 20) * dbu_to_volts(level) == pytest.approx(dbu_to_volts(target))
    assert gain_needed_db(level) == -level


@given(st.floats(-130, 30), st.floats(-130, 30))
def test_a_level_with_its_headroom_just_clips(level, clip):
    room = headroom_db(level, clip)
    assert 10 ** (room / 20) * dbu_to_volts(level) == pytest.approx(dbu_to_volts(clip))
    assert headroom_db(0, 22) == 22


@pytest.mark.outside("gain.microphone_noise_dbu")
@rows("signal-to-noise ratio from self-noise")
@pytest.mark.parametrize("sensitivity", [6, 15])
def test_noise_of_a_condenser_lies_below_94_db_by_the_ratio_of_its_data_sheet(row, sensitivity):
    """The convention is from memory."""
    noise = microphone_noise_dbu(sensitivity, self_noise_db=row.numbers[0])
    assert microphone_level_dbu(94, sensitivity) - noise == half_step(row)
    walk = walk_gain(94, sensitivity, 0, 20, 18, self_noise_db=row.numbers[0], source_ohm=200)
    assert walk.stages[0].signal_to_noise_db == half_step(row)


def test_the_noise_of_a_coil_goes_with_the_coil_and_that_of_a_condenser_with_its_sensitivity():
    coil, condenser = ([microphone_noise_dbu(mv, own, 200) for mv in (2, 4)] for own in (None, 18))
    assert coil == pytest.approx([thermal_noise_dbu(200)] * 2)
    assert condenser[1] - condenser[0] == pytest.approx(20 * math.log10(2))


def test_a_peak_reading_less_3_db_fills_the_converter_when_its_crest_does():
    """AES17: a sine whose crests just fill the converter reads 0 dBFS, so +18 dBu of it has a crest of 21 dBu."""
    crest_pa = 2**0.5 * dbu_to_volts(18) / (0.002 * 10 ** (20 / 20))  # 2 mV/Pa, 20 dB of gain
    peak_db = 20 * math.log10(crest_pa / 20e-6)
    assert walk_gain(peak_db - 10 * math.log10(2), 2, 0, 20, 18).level_dbfs == pytest.approx(0)


# circuits


@given(st.floats(0, 1e4), st.floats(1, 1e7))
def test_loading_is_the_voltage_that_kirchhoff_leaves(source, load):
    # One volt drives source and load in a loop: unknowns are the current and the voltage on the load.
    current, voltage = np.linalg.solve([[source, 1], [load, -1]], [1, 0])
    assert loading_loss_db(source, load) == pytest.approx(20 * math.log10(voltage), abs=1e-6)
    assert current * load == pytest.approx(voltage)


@given(st.floats(0.1, 100), st.floats(1, 1e6))
def test_a_transformer_hands_on_all_the_power(turns, load):
    voltage_out = 10 ** (transformer_di_loss_db(turns) / 20)
    power_out = voltage_out**2 / load
    impedance_seen = 1 / power_out  # one volt comes in, and that power with it
    assert impedance_seen == pytest.approx(turns**2 * load)


def test_worked_examples_of_the_trade():
    trade_takes_94_db_as_one_pascal = 0.03
    level = microphone_level_dbu(110, 2)
    assert level == pytest.approx(-35.76, abs=trade_takes_94_db_as_one_pascal)
    assert gain_needed_db(level, 0) == pytest.approx(35.76, abs=trade_takes_94_db_as_one_pascal)
    assert microphone_level_dbu(130, 15) == pytest.approx(1.74, abs=trade_takes_94_db_as_one_pascal)
    assert round(transformer_di_loss_db(12), 1) == -21.6
    assert round(loading_loss_db(150, 1500), 1) == -0.8
    assert round(loading_loss_db(150, 1500 / 2), 1) == -1.6


# the walk
LOUD = {"spl_db": 120, "sensitivity_mv_per_pa": 2, "pad_db": 0, "gain_db": 20, "full_scale_dbu": 18}


def power(level_dbu):
    return dbu_to_volts(level_dbu) ** 2


def test_the_walk_goes_from_microphone_to_converter():
    walk = walk_gain(120, 15, pad_db=20, gain_db=30, full_scale_dbu=22)
    assert [stage.name for stage in walk.stages] == ["microphone", "pad", "preamp", "converter"]
    arrives = microphone_level_dbu(120, 15)
    levels = [arrives, arrives - 20, arrives + 10, arrives + 10]
    assert [stage.level_dbu for stage in walk.stages] == pytest.approx(levels)
    assert [stage.clip_dbu for stage in walk.stages] == [math.inf, math.inf, 24, 22]
    assert walk.level_dbfs == pytest.approx(arrives + 10 - 22)
    assert (walk.spl_db, walk.full_scale_dbu) == (120, 22)
    for stage in walk.stages:
        assert stage.headroom_db == stage.clip_dbu - stage.level_dbu
        assert stage.signal_to_noise_db == stage.level_dbu - stage.noise_dbu


@given(
    pad=st.floats(0, 40),
    gain_db=st.floats(0, 60),
    self_noise=st.floats(5, 40),
    source=st.floats(50, 600),
    above_thermal=st.floats(0.1, 20),
)
def test_noise_after_the_preamp_is_that_of_friis(pad, gain_db, self_noise, source, above_thermal):
    thermal = thermal_noise_dbu(source)
    walk = walk_gain(
        94, 10, pad, gain_db, 18,
        self_noise_db=self_noise, source_ohm=source, input_noise_dbu=thermal + above_thermal,
    )  # fmt: skip
    loss, factor = 10 ** (pad / 10), 10 ** (above_thermal / 10)
    chain_factor = loss + (factor - 1) * loss
    arrives = power(microphone_level_dbu(self_noise, 10)) + (chain_factor - 1) * power(thermal)
    preamp = walk.stages[2]
    assert power(preamp.noise_dbu - gain_db) * loss == pytest.approx(arrives)


def test_a_dynamic_microphone_brings_the_thermal_noise_of_its_coil_whatever_the_pad():
    for pad in (0, 10, 30):
        walk = walk_gain(110, 2, pad, 40, 18, source_ohm=200, input_noise_dbu=-127)
        assert walk.stages[0].noise_dbu == pytest.approx(thermal_noise_dbu(200))
        assert walk.stages[1].noise_dbu == pytest.approx(thermal_noise_dbu(200))
        assert walk.stages[2].noise_dbu == pytest.approx(-127 + 40)


def test_the_converter_adds_its_noise_in_power():
    walk = walk_gain(110, 2, 0, 20, 18, converter_noise_dbfs=-100)
    preamp, converter = walk.stages[2:]
    assert power(converter.noise_dbu) == pytest.approx(power(preamp.noise_dbu) + power(-100 + 18))


def test_a_chain_is_taken_as_150_ohm_minus_128_dbu_24_dbu_and_minus_110_dbfs_unless_told():
    told = walk_gain(
        **LOUD, source_ohm=150, input_noise_dbu=-128, preamp_clip_dbu=24, converter_noise_dbfs=-110
    )
    assert walk_gain(**LOUD) == told


@pytest.mark.parametrize(
    ("changes", "first", "clipping"),
    [
        ({}, "converter", ()),
        ({"gain_db": 50}, "converter", ("preamp", "converter")),
        ({"gain_db": 45}, "converter", ("converter",)),
        ({"full_scale_dbu": 30}, "preamp", ()),
        ({"full_scale_dbu": 30, "gain_db": 51}, "preamp", ("preamp",)),
        ({"microphone_limit_db": 125}, "microphone", ()),
        ({"microphone_limit_db": 119, "gain_db": 50}, "converter", ("microphone", "preamp", "converter")),
        ({"microphone_limit_db": 119, "pad_db": 20}, "microphone", ("microphone",)),
        ({"full_scale_dbu": 24}, "preamp", ()),
    ],
)
def test_the_first_stage_to_clip_is_named(changes, first, clipping):
    walk = walk_gain(**{**LOUD, **changes})
    assert walk.first_to_clip.name == first
    assert walk.clipping == clipping
    # Louder by all of its headroom and a little more, that stage clips and no other does yet.
    room = walk.first_to_clip.headroom_db
    louder = walk_gain(**{**LOUD, **changes, "spl_db": 120 + room + 1e-6})
    assert first in louder.clipping
    assert walk_gain(**{**LOUD, **changes, "spl_db": 120 + room - 1e-6}).clipping == ()


def test_a_stage_that_is_just_full_does_not_clip_yet():
    walk = walk_gain(**LOUD, microphone_limit_db=120)
    assert walk.first_to_clip.headroom_db == 0
    assert walk.clipping == ()


def test_a_walk_cannot_be_altered():
    walk = walk_gain(**LOUD)
    with pytest.raises(dataclasses.FrozenInstanceError):
        walk.spl_db = 0
    with pytest.raises(dataclasses.FrozenInstanceError):
        walk.stages[0].level_dbu = 0


# the contract of every formula
DB = Span(-3000, 3000)
CONTRACTS = {
    gain_needed_db: {"level_dbu": DB, "target_dbu": DB},
    headroom_db: {"level_dbu": DB, "clip_dbu": DB},
    loading_loss_db: {"source_ohm": Span(0, 1e9), "load_ohm": Span(0.001, 1e9)},
    transformer_di_loss_db: {"turns_ratio": Span(0.001, 1000)},
    sensitivity_mv_per_pa: {"level_dbv_per_pa": DB},
    sensitivity_dbv_per_pa: {"level_mv_per_pa": Span(0, math.inf, above=True)},
    microphone_level_dbu: {"spl_db": Span(-50, 200), "sensitivity_mv_per_pa": Span(0.001, 1e4)},
    microphone_noise_dbu: {
        "sensitivity_mv_per_pa": Span(0.001, 1e4),
        "self_noise_db": Span(-50, 200, optional=True),
        "source_ohm": Span(0.001, 1e12),
    },
    thermal_noise_dbu: {
        "resistance_ohm": Span(0.001, 1e12),
        "temperature_c": Span(-273.15, 1000, above=True),
        "bandwidth_hz": Span(0.001, 1e9),
    },
}
WALK = {
    "spl_db": Span(-50, 200),
    "sensitivity_mv_per_pa": Span(0.001, 1e4),
    "pad_db": Span(0, 80),
    "gain_db": Span(-60, 120),
    "full_scale_dbu": Span(-20, 40),
    "microphone_limit_db": Span(-50, 200, optional=True),
    "self_noise_db": Span(-50, 200, optional=True),
    "source_ohm": Span(1, 1e6),
    "preamp_clip_dbu": Span(-20, 60),
    "input_noise_dbu": Span(-80, 0),  # above the thermal noise of 1 megohm
    "converter_noise_dbfs": Span(-200, 0),
}


@pytest.mark.parametrize("wrong", list(WALK))
def test_a_walk_takes_single_numbers(wrong):
    with pytest.raises(ValueError, match=rf"^{wrong} has shape \(2,\); a single number is wanted"):
        walk_gain(**{**LOUD, wrong: [int(WALK[wrong].least) + 20, int(WALK[wrong].least) + 20]})


def test_an_input_quieter_than_its_source_is_refused():
    with pytest.raises(ValueError, match=r"^input_noise_dbu is -131 dBu; it may be above -130.918 to 0 dBu"):
        walk_gain(**LOUD, input_noise_dbu=-131)


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


def test_a_walk_keeps_to_its_range():
    # above the thermal noise of the largest source; no corner of all arguments is tried, for there are 2048
    for name, span in (WALK | {"input_noise_dbu": Span(thermal_noise_dbu(1e6), 0, above=True)}).items():
        holds_to_its_range(
            walk_gain, {name: span}, None, **LOUD | {"source_ohm": 1e6, "input_noise_dbu": -50}
        )
