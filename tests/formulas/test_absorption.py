"""Air absorption against the tables of ISO 9613-1 and 9613-2 and two libraries."""

import doctest
import math

import numpy as np
import pyfar
import pytest
from acoustic_toolbox.standards import iso_9613_1_1993 as toolbox
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, in_range, out_of_range
from gigsums.formulas import speakers
from gigsums.formulas.speakers import air_absorption_db_per_m
from published import reference

FILE = "air_absorption.csv"
OFF_ITS_OWN_FORMULA = ("T=15 C", "RH=80 %", "nominal midband=1000 Hz")
SPANS = {
    "frequency_hz": Span(10, 100_000),
    "temperature_c": Span(-73, 50),
    "humidity_percent": Span(0, 100),
    "pressure_kpa": Span(10, 200),
}
WEATHER = [(-20, 10), (-15, 90), (0, 35), (12, 60), (20, 50), (33, 85), (50, 20)]


def rows(*quantities, keep=lambda row: True):
    return pytest.mark.parametrize("row", [r for r in reference(FILE, *quantities) if keep(r)], ids=str)


def off_its_own_formula(row):
    return all(part in row.inputs for part in OFF_ITS_OWN_FORMULA)


def db_per_km(row):
    """At the exact midband where the row names a nominal frequency, as the tables are computed."""
    at = row.named
    hertz = at.get("f") or at.get("preferred frequency") or at["nominal midband"]
    if "f" not in at:
        hertz = 1000 * 10 ** (round(10 * math.log10(hertz / 1000)) / 10)
    return 1000 * air_absorption_db_per_m(hertz, at["T"], at["RH"], at["p"])


def half_of_three_figures(value):
    return 10.0 ** (math.floor(math.log10(value)) - 2) / 2


def by_toolbox(hertz, celsius, percent, kpa):
    kelvin = celsius + 273.15
    water = toolbox.molar_concentration_water_vapour(percent, toolbox.saturation_pressure(kelvin), kpa)
    return toolbox.attenuation_coefficient(
        kpa,
        kelvin,
        toolbox.REFERENCE_PRESSURE,
        toolbox.REFERENCE_TEMPERATURE,
        toolbox.relaxation_frequency_nitrogen(kpa, kelvin, water),
        toolbox.relaxation_frequency_oxygen(kpa, water),
        hertz,
    )


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@rows("atmospheric attenuation, pure tone")
def test_loss_is_that_of_the_pure_tone_table(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=half_of_three_figures(row.answer))


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@rows("atmospheric attenuation, octave band", keep=lambda row: not off_its_own_formula(row))
def test_loss_is_that_of_the_octave_table(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=row.within)


@rows("atmospheric attenuation, octave band", keep=off_its_own_formula)
def test_the_formula_is_followed_and_not_the_one_print_off_it(row):
    assert row.answer == 4.1
    assert db_per_km(row) == pytest.approx(4.15, abs=0.005)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@rows("atmospheric attenuation, pure tone at exact octave midband")
def test_loss_is_that_of_two_libraries(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=5e-6)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@pytest.mark.parametrize(("celsius", "percent"), WEATHER)
def test_loss_over_the_whole_range_is_that_of_pyfar(celsius, percent):
    hertz = np.geomspace(50, 100_000, 40)
    library = pyfar.constants.air_attenuation(celsius, hertz, percent / 100)[0]
    assert air_absorption_db_per_m(hertz, celsius, percent) == pytest.approx(library, rel=1e-9)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@pytest.mark.parametrize("kpa", [10, 54, 80, 101.325, 140, 200])
def test_loss_in_thin_and_thick_air_is_that_of_the_toolbox(kpa):
    hertz = np.geomspace(10, 100_000, 40)
    assert air_absorption_db_per_m(hertz, 18, 65, kpa) == pytest.approx(
        by_toolbox(hertz, 18, 65, kpa), rel=1e-9
    )


@given(st.floats(0.3, 1.5), st.floats(-20, 50), st.floats(1, 60))
def test_air_of_one_make_is_the_same_for_a_frequency_raised_with_its_pressure(factor, celsius, percent):
    """Similar gases: share of water and frequency over pressure kept, the loss goes with the pressure."""
    thin = air_absorption_db_per_m(2000 * factor, celsius, percent * factor, 101.325 * factor)
    assert thin == pytest.approx(factor * air_absorption_db_per_m(2000, celsius, percent), rel=1e-9)


def test_loss_grows_with_frequency_and_shrinks_to_nothing():
    loss = air_absorption_db_per_m(np.geomspace(10, 100_000, 200), 20, 50)
    assert (np.diff(loss) > 0).all()
    assert loss[0] < 1e-5


def test_below_40_hz_a_kilometre_takes_less_than_1_db():
    celsius, percent = np.linspace(-20, 50, 50)[:, None], np.linspace(10, 100, 50)
    assert (1000 * air_absorption_db_per_m(40, celsius, percent) < 1).all()


def test_air_is_at_20_degrees_and_half_damp_unless_said_otherwise():
    assert air_absorption_db_per_m(4000) == air_absorption_db_per_m(4000, 20, 50, 101.325)


@given(data=st.data())
def test_numbers_in_range_give_finite_numbers(data):
    in_range(air_absorption_db_per_m, SPANS, data)


@given(data=st.data())
def test_anything_else_is_a_value_error(data):
    out_of_range(air_absorption_db_per_m, SPANS, data)


@pytest.mark.parametrize("name", SPANS)
def test_the_range_ends_where_it_says(name):
    usual = {"frequency_hz": 1000.0}
    for end, beyond in ((SPANS[name].least, -math.inf), (SPANS[name].most, math.inf)):
        assert math.isfinite(air_absorption_db_per_m(**{**usual, name: end}))
        with pytest.raises(ValueError, match=f"^{name} is "):
            air_absorption_db_per_m(**{**usual, name: math.nextafter(end, beyond)})


def test_examples_in_the_docstring_hold():
    results = doctest.testmod(speakers)
    assert results.attempted > 0
    assert results.failed == 0
