"""Mains against a load-flow library, the installation standard and the cable tables."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas import mains
from gigsums.formulas.cables import conductor_resistance
from gigsums.formulas.mains import circuit_load, generator_kva, line_current, voltage_drop
from published import reference

FILE = "mains.csv"
CURRENTS = reference(
    FILE,
    "load current",
    "single-phase current",
    "three-phase current",
    known="computed with library pandapower",
)


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, **options), ids=str)


def load(row):
    """Watts, volts, power factor and phases of "1.5 kW; 230 V line; pf 0.85" and the like."""
    power, voltage, *factor = row.numbers
    phases = 3 if "three-phase" in row.quantity else 1
    return power * (1000 if "kW" in row.inputs else 1), voltage, factor[0] if factor else 1, phases


def service_resistivity():
    return reference(FILE, "rho1, copper in normal service")[0].answer


# line_current


@pytest.mark.outside("mains.line_current")
@pytest.mark.parametrize("row", CURRENTS, ids=str)
def test_current_is_that_of_a_load_flow(row):
    assert line_current(*load(row)) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("mains.line_current")
@rows("three-phase power")
def test_current_comes_back_from_the_power_of_a_load_flow(row):
    amps, voltage, factor = row.numbers
    assert line_current(row.answer, voltage, factor, phases=3) == pytest.approx(
        amps, rel=row.within / row.answer
    )


@rows("single-phase current", "three-phase line current", known="computed with library Python")
def test_current_of_other_loads(row):
    assert line_current(*load(row)) == pytest.approx(row.answer, abs=row.within)


def test_three_phases_are_three_single_ones_between_line_and_neutral():
    each = line_current(9000 / 3, 400 / math.sqrt(3), 0.9)
    assert line_current(9000, 400, 0.9, phases=3) == pytest.approx(each)


def test_current_falls_with_voltage_and_power_factor():
    assert line_current(1000, [100, 200], 1) == pytest.approx([10, 5])
    assert line_current(1000, 100, [0.5, 1]) == pytest.approx([20, 10])


# circuit_load


@pytest.mark.outside("mains.circuit_load")
@rows("three-phase power")
def test_whole_load_is_the_power_of_a_load_flow(row):
    amps, voltage, factor = row.numbers
    whole = circuit_load(amps, voltage, factor, planning_fraction=1, phases=3)
    assert whole == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("mains.circuit_load")
@pytest.mark.parametrize("row", CURRENTS, ids=str)
def test_whole_load_at_the_current_of_a_load_flow_is_its_power(row):
    power, voltage, factor, phases = load(row)
    whole = circuit_load(row.answer, voltage, factor, planning_fraction=1, phases=phases)
    assert whole == pytest.approx(power, rel=row.within / row.answer)


@rows("continuous load on a circuit")
def test_a_circuit_is_planned_to_the_usual_share(row):
    assert row.answer / 100 == mains.PLANNING_FRACTION
    assert circuit_load(10, 100) == pytest.approx(10 * row.answer)


def test_a_16_a_circuit_as_an_electrician_would_say_it():
    assert circuit_load(16, 230) / 230 == pytest.approx(12.8)
    assert circuit_load(16, 230) == pytest.approx(2944)
    assert circuit_load(16, 230, 0.8) == pytest.approx(2355.2)


@given(st.floats(1, 500), st.floats(90, 400), st.floats(0.3, 1), st.floats(0.1, 1), st.sampled_from([1, 3]))
def test_the_planned_load_draws_the_planned_share_of_the_rating(rating, voltage, factor, share, phases):
    planned = circuit_load(rating, voltage, factor, share, phases)
    assert line_current(planned, voltage, factor, phases) == pytest.approx(share * rating)


# voltage_drop


@pytest.mark.outside("mains.voltage_drop")
@rows("voltage drop, single-phase")
def test_drop_is_that_of_a_load_flow(row):
    """The row gives the cable in ohm per km; times the area over 1000 that is a resistivity."""
    given_ = row.named
    resistivity = given_["R"] * given_["S"] / 1000
    drop = voltage_drop(given_["I"], given_["L"], given_["S"], resistivity=resistivity)
    assert drop == pytest.approx(row.answers[0], abs=row.within)


@rows("voltage drop")
def test_drop_by_the_installation_standard(row):
    given_ = row.named
    drop = voltage_drop(given_["I"], given_["L"], given_["S"], resistivity=service_resistivity())
    if "three-phase" in row.inputs:
        drop /= 2  # no current comes back through the neutral
    assert drop == pytest.approx(row.answers[0], abs=row.within)


@rows("voltage drop from IEC 60228 class 5 resistance at 20 C")
def test_drop_from_the_cable_table(row):
    flexible = "maximum conductor resistance at 20 C, plain copper, class 5"
    (ohm_per_km,) = (r.answer for r in reference("cables.csv", flexible) if r.named["S"] == row.named["S"])
    drop = voltage_drop(
        row.named["I"], row.named["L"], row.named["S"], resistivity=ohm_per_km * row.named["S"] / 1000
    )
    assert drop == pytest.approx(row.answers[0], abs=row.within)


def test_cold_and_hot_copper():
    cold = voltage_drop(10, 50, 1.5)
    assert cold == pytest.approx(11.67, abs=0.005)
    assert voltage_drop(10, 50, 1.5, temperature_c=20) == cold
    assert voltage_drop(10, 50, 1.5, temperature_c=70) == pytest.approx(1.2 * cold, rel=0.005)


def test_the_drop_is_what_a_circuit_solved_as_a_whole_loses():
    """A source, a conductor out, the load, a conductor back: node voltages by linear algebra."""
    conductor, load_ohm, supply = conductor_resistance(50, 2.5), 23.0, 230.0
    g, y = 1 / conductor, 1 / load_ohm
    live, neutral = np.linalg.solve([[g + y, -y], [-y, g + y]], [g * supply, 0.0])
    current = (live - neutral) / load_ohm
    assert voltage_drop(current, 50, 2.5) == pytest.approx(supply - (live - neutral))


def test_drop_goes_with_current_and_length_and_against_area():
    one = voltage_drop(10, 20, 2.5)
    assert voltage_drop([20, 0], 20, 2.5) == pytest.approx([2 * one, 0])
    assert voltage_drop(10, 40, 5) == pytest.approx(one)


# generator_kva


def test_a_generator_carries_the_load_at_three_quarters():
    rating = generator_kva(3.6, 0.8)
    assert rating == pytest.approx(6)
    assert mains.GENERATOR_LOADING == 0.75
    assert rating * 0.75 * 0.8 == pytest.approx(3.6)  # kVA used, times the power factor, are the kW


def test_a_generator_used_to_the_full_is_the_apparent_power():
    assert generator_kva(9, 0.9, loading=1) == pytest.approx(
        line_current(9000, 400, 0.9, 3) * 400 * math.sqrt(3) / 1000
    )


# cautions and bad input


def test_the_module_says_who_decides():
    assert "Planning only" in mains.__doc__
    assert "competent person decides" in mains.__doc__
    assert "Never lift a protective earth" in mains.__doc__
    assert "local code" in mains.__doc__


@pytest.mark.parametrize("phases", [0, 2, -3, 3.5, 1.0, None, "1", True, [1, 3], math.nan])
def test_phases_are_one_or_three(phases):
    for call in (
        lambda: line_current(1000, 230, 1, phases),
        lambda: circuit_load(16, 230, phases=phases),
    ):
        with pytest.raises(ValueError, match=r"^phases is .*; it may be 1 or 3$"):
            call()


CABLE = {
    "length_m": Span(0, 10_000),
    "area_mm2": Span(0.05, 1000),
    "temperature_c": Span(-40, 100),
    "resistivity": Span(0.015, 0.1),
}
CONTRACTS = [
    (line_current, {"power_w": Span(0, 1e6), "voltage_v": Span(1, 1000), "power_factor": Span(0.1, 1)}),
    (
        circuit_load,
        {
            "rating_a": Span(0.1, 5000),
            "voltage_v": Span(1, 1000),
            "power_factor": Span(0.1, 1),
            "planning_fraction": Span(0.01, 1),
        },
    ),
    (voltage_drop, {"current_a": Span(0, 5000), **CABLE}),
    (generator_kva, {"load_kw": Span(0, 10_000), "power_factor": Span(0.1, 1), "loading": Span(0.1, 1)}),
]


@pytest.mark.parametrize(("function", "spans"), CONTRACTS, ids=lambda it: getattr(it, "__name__", ""))
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)
