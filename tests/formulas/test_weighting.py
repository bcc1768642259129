"""Weightings and bands against the tables of IEC 61672-1, IEC 61260-1 and ISO 266, and a library."""

import math

import numpy as np
import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas import weighting
from gigsums.formulas.weighting import (
    a_weighting_db,
    c_weighting_db,
    nearest_third_octave_hz,
    octave_centres_hz,
    third_octave_centres_hz,
)
from published import half_step, reference

EDGES = "one-third-octave band edges, base 10"


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference("weighting.csv", *quantities, **options), ids=str)


def exact_of(nominal):
    """The exact midband of a nominal frequency; the tables are computed there and printed under the other."""
    return 10 ** (round(10 * math.log10(nominal)) / 10)


# weightings


@pytest.mark.outside("weighting.a_weighting_db")
@rows("A-weighting, nominal")
def test_a_is_the_table_of_the_standard(row):
    assert a_weighting_db(exact_of(row.named["nominal frequency"])) == half_step(row)


@pytest.mark.outside("weighting.c_weighting_db")
@rows("C-weighting, nominal")
def test_c_is_the_table_of_the_standard(row):
    assert c_weighting_db(exact_of(row.named["nominal frequency"])) == half_step(row)


@pytest.mark.outside("weighting.a_weighting_db")
@rows("A-weighting, analytic")
def test_a_is_that_of_two_libraries(row):
    assert a_weighting_db(row.named["f"]) == half_step(row)


@pytest.mark.outside("weighting.c_weighting_db")
@rows("C-weighting, analytic")
def test_c_is_that_of_two_libraries(row):
    assert c_weighting_db(row.named["f"]) == half_step(row)


@rows(*[f"weighting pole frequency f{n}" for n in (1, 2, 3, 4)])
def test_poles_are_the_printed_ones(row):
    pole = getattr(weighting, f"_{row.quantity[-2:].upper()}_HZ")
    half_of_the_last_printed_step = 0.5 if row.quantity.endswith("f4") else 0.05
    assert pole == pytest.approx(row.answer, abs=half_of_the_last_printed_step)


@rows(*[f"weighting pole frequency f{n}, exact" for n in (1, 2, 3, 4)])
def test_poles_are_the_exact_ones(row):
    name = row.quantity.split(",")[0][-2:].upper()
    assert getattr(weighting, f"_{name}_HZ") == half_step(row)


@rows("normalisation constant A1000", "normalisation constant C1000")
def test_normalisation_is_the_printed_one(row):
    unnormalised = weighting._a_db if "A1000" in row.quantity else weighting._c_db
    assert float(unnormalised(np.array(1000.0))) == half_step(row)


def test_both_are_nothing_at_1_kilohertz():
    assert a_weighting_db(1000) == 0
    assert c_weighting_db(1000) == 0


def test_c_is_3_db_down_at_its_band_limits():
    limits = c_weighting_db([10**1.5, 10**3.9])
    assert limits == pytest.approx([10 * math.log10(0.5)] * 2, abs=1e-9)


@given(st.floats(1, 900))
def test_a_takes_more_bass_than_c(frequency):
    assert a_weighting_db(frequency) < c_weighting_db(frequency)


def test_far_from_the_poles_the_slopes_are_those_of_their_number():
    assert a_weighting_db(2) - a_weighting_db(1) == pytest.approx(80 * math.log10(2), abs=0.1)
    assert c_weighting_db(2) - c_weighting_db(1) == pytest.approx(40 * math.log10(2), abs=0.1)
    for curve in (a_weighting_db, c_weighting_db):
        assert curve(100_000) - curve(50_000) == pytest.approx(-40 * math.log10(2), abs=0.5)


# bands


@pytest.mark.outside("weighting.third_octave_centres_hz")
@rows("exact one-third-octave centre frequency, base 10")
def test_exact_centres_are_those_on_record(row):
    nominal = row.named["nominal"]
    (centre,) = third_octave_centres_hz(nominal, nominal, exact=True)
    assert centre == half_step(row)


@pytest.mark.outside("weighting.third_octave_centres_hz")
def test_third_octave_centres_are_those_of_pyfar():
    nominal = pyfar.constants.fractional_octave_frequencies_nominal(3, (20, 20_000))
    assert third_octave_centres_hz().tolist() == nominal.tolist()
    exact = pyfar.constants.fractional_octave_frequencies_exact(3, (20, 20_000))[0]
    assert third_octave_centres_hz(exact=True) == pytest.approx(exact)


@pytest.mark.outside("weighting.octave_centres_hz")
@rows("octave band edges, base 10")
def test_octave_centres_are_those_of_a_library(row):
    nominal = row.named["nominal"]
    (centre,) = octave_centres_hz(nominal, nominal, exact=True)
    assert centre == pytest.approx(row.named["exact centre"], abs=5e-7)
    assert math.sqrt(math.prod(row.answers)) == pytest.approx(centre, rel=1e-5)


@pytest.mark.outside("weighting.octave_centres_hz")
def test_octave_centres_are_those_of_pyfar():
    nominal = pyfar.constants.fractional_octave_frequencies_nominal(1, (31.5, 16_000))
    assert octave_centres_hz().tolist() == nominal.tolist()
    exact = pyfar.constants.fractional_octave_frequencies_exact(1, (31.5, 16_000))[0]
    assert octave_centres_hz(exact=True) == pytest.approx(exact)


@rows("octave frequency ratio G")
def test_octaves_lie_the_standard_ratio_apart(row):
    exact = octave_centres_hz(10, 20_000, exact=True)
    assert exact[1:] / exact[:-1] == pytest.approx(np.full(len(exact) - 1, row.answer))


def test_the_ends_of_the_range_are_10_hz_and_20_khz():
    assert third_octave_centres_hz(10, 20_000)[[0, -1]].tolist() == [10, 20_000]
    assert octave_centres_hz(10, 20_000)[[0, -1]].tolist() == [16, 16_000]
    assert third_octave_centres_hz(101, 124).tolist() == []


@pytest.mark.outside("weighting.nearest_third_octave_hz")
@rows(EDGES)
def test_a_frequency_just_inside_the_edges_of_a_band_falls_in_it(row):
    lower, upper = row.answers
    step = row.within
    inside = [lower + step, row.named["exact centre"], min(upper - step, 22_000)]
    assert nearest_third_octave_hz(inside).tolist() == [row.named["nominal"]] * 3


@pytest.mark.outside("weighting.nearest_third_octave_hz")
@rows(EDGES)
def test_a_frequency_just_outside_the_edges_of_a_band_falls_in_its_neighbour(row):
    lower, upper = row.answers
    nominal = row.named["nominal"]
    assert nearest_third_octave_hz(lower - row.within) < nominal
    if upper < 22_000:
        assert nearest_third_octave_hz(upper + row.within) > nominal


@given(st.floats(9, 22_000))
def test_no_other_band_is_nearer_in_octaves(frequency):
    octaves = np.abs(np.log2(third_octave_centres_hz(10, 20_000, exact=True) / frequency))
    nearest = third_octave_centres_hz(10, 20_000)[octaves.argmin()]
    assert nearest_third_octave_hz(frequency) == nearest or octaves.min() > 0.05 * math.log2(10) - 1e-9


@given(st.integers(10, 43))
def test_every_nominal_centre_falls_in_its_own_band(band):
    centre = third_octave_centres_hz(10, 20_000)[band - 10]
    assert nearest_third_octave_hz(centre) == centre


def test_the_edge_belongs_to_the_upper_band():
    assert nearest_third_octave_hz(10**2.05) == 125
    assert nearest_third_octave_hz(math.nextafter(10**2.05, 0) - 1e-9) == 100


def test_worked_example_of_the_trade():
    assert nearest_third_octave_hz(2822) == 3150
    assert nearest_third_octave_hz(2817) == 2500


# the contract of every formula
CONTRACTS = {
    a_weighting_db: {"frequency_hz": Span(1, 1e5)},
    c_weighting_db: {"frequency_hz": Span(1, 1e5)},
    nearest_third_octave_hz: {"frequency_hz": Span(9, 22_000)},
}


@pytest.mark.parametrize("function", [third_octave_centres_hz, octave_centres_hz])
def test_limits_are_single_and_the_right_way_round(function):
    with pytest.raises(ValueError, match=r"^most_hz is 100 Hz; it may be from least_hz, 200 Hz, to 20000 Hz"):
        function(200, 100)
    for wrong in ("least_hz", "most_hz"):
        with pytest.raises(ValueError, match=rf"^{wrong} has 2 values; a single number is wanted"):
            function(**{wrong: [100, 200]})


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


@pytest.mark.parametrize("function", [third_octave_centres_hz, octave_centres_hz])
def test_bands_keep_to_their_range(function):
    holds_to_its_range(function, {"least_hz": Span(10, 20_000)}, None, most_hz=20_000)
    holds_to_its_range(function, {"most_hz": Span(10, 20_000)}, None, least_hz=10)


@pytest.mark.parametrize("function", [third_octave_centres_hz, octave_centres_hz])
@given(limits=st.lists(st.floats(10, 20_000), min_size=2, max_size=2), exact=st.booleans())
def test_bands_come_in_their_order(function, limits, exact):
    centres = function(min(limits), max(limits), exact=exact)
    assert centres.ndim == 1
    assert (np.diff(centres) > 0).all()
