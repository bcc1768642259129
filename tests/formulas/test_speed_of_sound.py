"""Speed of sound against printed values, an equation of state and general-purpose libraries."""

import ast
import doctest
import inspect

import numpy as np
import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, in_range, out_of_range
from gigsums.formulas import timing
from gigsums.formulas.timing import speed_of_sound
from published import half_step, reference


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("air_speed.csv", *quantities, **options), ids=str)


# dry air


@pytest.mark.outside("timing.speed_of_sound")
@rows("speed of sound, ideal-gas 331.3*sqrt(1+T/273.15)")
def test_speed_is_that_of_a_library(row):
    assert speed_of_sound(row.named["T"]) == half_step(row)


@rows("speed of sound, reference formula of ISO 9613-1")
def test_the_convention_lies_just_above_that_of_iso_9613(row):
    above = speed_of_sound(row.named["T"]) - row.answer
    assert 0.01 < above < 0.02


@rows("speed of sound in dry air, equation of state", "speed of sound in dry air, tabulated")
def test_the_convention_lies_below_the_equation_of_state_and_the_older_handbook(row):
    below = row.answer - speed_of_sound(row.named["T"])
    assert 0.1 < below < (0.15 if "equation" in row.quantity else 1.8)


@given(st.floats(-20, 49), st.floats(0.1, 1))
def test_warmer_is_faster_by_0_6_a_degree(temperature, step):
    slope = (speed_of_sound(temperature + step) - speed_of_sound(temperature)) / step
    assert 0.55 < slope < 0.63


@given(st.floats(75, 102))
def test_pressure_makes_no_difference_to_an_ideal_gas(pressure):
    assert speed_of_sound(20, pressure_kpa=pressure) == speed_of_sound(20)


# damp air


@pytest.mark.outside("timing.speed_of_sound")
@rows("speed of sound, Cramer 1993")
def test_speed_in_damp_air_is_that_of_pyfar(row):
    speed = speed_of_sound(row.named["T"], row.named["RH"], row.named["p"] / 1000)
    assert speed == half_step(row)


@pytest.mark.outside("timing.speed_of_sound")
@pytest.mark.parametrize("pressure_kpa", [75, 88.8, 102])
@pytest.mark.parametrize("humidity", [0, 37, 100])
@pytest.mark.parametrize("temperature", [0, 7.5, 30])
def test_speed_in_thin_and_damp_air_is_that_of_pyfar(temperature, humidity, pressure_kpa):
    expected = pyfar.constants.speed_of_sound_cramer(temperature, humidity / 100, 425, 1000 * pressure_kpa)
    assert speed_of_sound(temperature, humidity, pressure_kpa) == pytest.approx(float(expected), abs=1e-9)


@pytest.mark.outside("timing.speed_of_sound")
@rows("speed of sound in humid air, thermodynamic model")
def test_speed_in_damp_air_is_near_that_of_an_equation_of_state(row):
    one_in_ten_thousand = 1e-4
    speed = speed_of_sound(row.named["T"], row.named["RH"], row.named["p"] / 1000)
    assert speed == pytest.approx(row.answer, rel=one_in_ten_thousand)


def test_the_coefficients_are_the_published_ones():
    tree = ast.parse(inspect.getsource(timing))
    numbers = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    names = [f"Cramer 1993 polynomial coefficient a{order}" for order in range(16)]
    published = [abs(row.answer) for row in reference("air_speed.csv", *names)]
    assert len(published) == 16
    assert set(published) <= numbers


def test_pressure_is_one_atmosphere_and_air_20_degrees_where_none_is_given():
    assert speed_of_sound() == speed_of_sound(20)
    assert speed_of_sound(20, 50) == speed_of_sound(20, 50, 101.325)


@given(st.floats(0, 30), st.floats(0, 99), st.floats(0.1, 1))
def test_damper_is_faster(temperature, humidity, step):
    assert speed_of_sound(temperature, humidity + step) > speed_of_sound(temperature, humidity)


@pytest.mark.parametrize("temperature", [-0.1, 30.1])
def test_humidity_is_refused_where_the_polynomial_was_not_fitted(temperature):
    assert speed_of_sound(temperature) > 0
    with pytest.raises(ValueError, match=r"^temperature_c is .* °C; it may be from 0 to 30 °C"):
        speed_of_sound(temperature, humidity_percent=50)


DRY = {"temperature_c": Span(-20, 50), "pressure_kpa": Span(75, 102)}
DAMP = {
    "temperature_c": Span(0, 30),
    "humidity_percent": Span(0, 100, optional=True),
    "pressure_kpa": Span(75, 102),
}


@pytest.mark.parametrize("spans", [DRY, DAMP], ids=["dry", "damp"])
@given(data=st.data())
def test_contract(spans, data):
    in_range(speed_of_sound, spans, data)
    out_of_range(speed_of_sound, spans, data)


@pytest.mark.parametrize("spans", [DRY, DAMP], ids=["dry", "damp"])
def test_edges(spans):
    holds_to_its_edges(speed_of_sound, spans)


def test_arrays_broadcast():
    grid = speed_of_sound(np.array([[0], [10]]), [0, 50, 100])
    assert grid.shape == (2, 3)
    assert grid[1, 2] == speed_of_sound(10, 100)


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(timing)
    assert results.attempted > 0
    assert results.failed == 0
