"""Cables against wire-gauge and conductor tables, two libraries and brute force."""

import itertools
import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas import cables
from gigsums.formulas._check import typed
from gigsums.formulas.cables import (
    conductor_resistance,
    constant_voltage_watts,
    damping_factor,
    parallel_impedance,
    speaker_cable_loss_db,
    stock_length_m,
)
from published import reference

FILE = "cables.csv"
ANNEALED = 0.017241

"""Resistivity of annealed copper at 20 °C by the international standard, from memory [ohm mm2/m]."""

FOOT_M = 0.3048
PLAIN, PLAIN_FLEXIBLE = (
    f"maximum conductor resistance at 20 C, plain copper, class {kind}" for kind in ("1 and 2", "5")
)


def just_below(value):
    return np.nextafter(value, -math.inf)


def just_above(value):
    return np.nextafter(value, math.inf)


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, **options), ids=str)


def gauge_area_mm2(gauge):
    """By the printed diameter where there is one, else by the definition of the gauge."""
    for row in reference(FILE, "AWG diameter"):
        if row.numbers == [gauge]:
            return math.pi / 4 * (25.4 * row.answer) ** 2
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2


# conductor_resistance


@pytest.mark.outside("cables.conductor_resistance")
@rows("AWG resistance at 20 C")
def test_resistance_is_that_of_the_wire_gauge_table(row):
    per_1000_feet = conductor_resistance(1000 * FOOT_M, gauge_area_mm2(row.numbers[0]), resistivity=ANNEALED)
    assert per_1000_feet == pytest.approx(row.answer, rel=row.within / 100)


@pytest.mark.outside("cables.conductor_resistance")
@rows("AWG resistance at 20 C, metric")
def test_resistance_is_that_of_the_metric_column(row):
    per_km = conductor_resistance(1000, gauge_area_mm2(row.numbers[0]), resistivity=ANNEALED)
    assert per_km == pytest.approx(row.answer, rel=row.within / 100)


@pytest.mark.outside("cables.conductor_resistance")
@rows(PLAIN)
def test_usual_copper_is_just_under_what_solid_and_stranded_conductors_may_have(row):
    assert 0.93 < conductor_resistance(1000, row.named["S"]) / row.answer < 1


@pytest.mark.outside("cables.conductor_resistance")
@rows(PLAIN_FLEXIBLE)
def test_the_safe_figure_covers_every_flexible_conductor(row):
    assert 1 <= conductor_resistance(1000, row.named["S"], resistivity=0.020) / row.answer < 1.06


@pytest.mark.outside("cables.conductor_resistance")
@rows("factor to correct a resistance measured at T to 20 C")
def test_temperature_is_corrected_as_in_the_conductor_standard(row):
    at_temperature = conductor_resistance(100, 2.5, row.named["T"])
    assert conductor_resistance(100, 2.5) / at_temperature == pytest.approx(row.answer, abs=row.within)


@rows("copper resistance relative to 20 C")
def test_temperature_coefficient(row):
    ratio = conductor_resistance(100, 2.5, row.named["T"]) / conductor_resistance(100, 2.5)
    assert ratio == pytest.approx(row.answer, abs=row.within)


def test_resistance_adds_along_a_cable_and_halves_side_by_side():
    one = conductor_resistance(30, 2.5)
    assert one == pytest.approx(0.21)
    assert conductor_resistance([15, 60, 0], 2.5) == pytest.approx([one / 2, 2 * one, 0])
    assert conductor_resistance(30, 5) == pytest.approx(one / 2)
    assert conductor_resistance(30, 2.5, 20) == one


# speaker_cable_loss_db


@pytest.mark.outside("cables.speaker_cable_loss_db")
@rows("voltage at the loudspeaker")
def test_what_reaches_the_loudspeaker_is_the_library_s(row):
    given_ = row.named
    loss = speaker_cable_loss_db(10, 2.5, given_["Z"], resistivity=given_["loop"] / 20 * 2.5)
    assert given_["V"] * 10 ** (loss / 20) == pytest.approx(row.answer, abs=row.within)


@rows("loudspeaker cable loss")
def test_loss_of_flexible_cable(row):
    area = 2.5 if "2.5 mm2" in row.inputs else 4.0
    (per_km,) = (r.answer for r in reference(FILE, PLAIN_FLEXIBLE) if r.named["S"] == area)
    loss = speaker_cable_loss_db(row.named["length"], area, row.named["Z"], resistivity=per_km * area / 1000)
    decibels, percent = row.answers
    assert loss == pytest.approx(decibels, abs=row.within)
    assert 100 * (1 - 10 ** (loss / 10)) == pytest.approx(percent, abs=1e-3)


def test_loss_of_the_worked_problem():
    assert speaker_cable_loss_db(30, 2.5, 4) == pytest.approx(-0.87, abs=0.005)


def test_loss_and_damping_are_those_of_the_circuit_solved_as_a_whole():
    """Amplifier behind its output resistance, a conductor out, the loudspeaker, a conductor back."""
    conductor, output, speaker = conductor_resistance(25, 1.5), 0.05, 6.0
    ga, gc, y = 1 / output, 1 / conductor, 1 / speaker
    nodes = [[ga + gc, -gc, 0.0], [-gc, gc + y, -y], [0.0, -y, y + gc]]
    terminal, hot, cold = np.linalg.solve(nodes, [ga, 0.0, 0.0])
    at_speaker = hot - cold
    assert speaker_cable_loss_db(25, 1.5, 6) == pytest.approx(20 * math.log10(at_speaker / terminal))
    assert damping_factor(6, 0.05, 25, 1.5) == pytest.approx(at_speaker / (1 - at_speaker))


def test_no_cable_loses_nothing_and_longer_or_hotter_loses_more():
    assert speaker_cable_loss_db(0, 2.5, 8) == 0
    assert (np.diff(speaker_cable_loss_db([0, 10, 20, 40], 2.5, 8)) < 0).all()
    assert speaker_cable_loss_db(20, 2.5, 8, 70) < speaker_cable_loss_db(20, 2.5, 8, 20)
    assert speaker_cable_loss_db(20, 2.5, 8, 20) == speaker_cable_loss_db(20, 2.5, 8)
    assert speaker_cable_loss_db(20, 2.5, 8) == pytest.approx(speaker_cable_loss_db(10, 2.5, 4))


# damping_factor


@rows("damping factor at the loudspeaker")
def test_damping_at_the_loudspeaker(row):
    output, area = row.numbers[-1], 4.0
    resistivity = row.named["R"] * area / 1000
    found = damping_factor(row.named["Z"], output, row.named["length"], area, resistivity=resistivity)
    assert found == pytest.approx(row.answer, abs=row.within)


@rows("damping factor of the amplifier alone")
def test_damping_without_a_cable(row):
    assert damping_factor(row.named["Z"], row.named["Rout"], 0, 2.5) == pytest.approx(row.answer)


def test_damping_falls_with_heat_and_length():
    cold = damping_factor(8, 0.02, 10, 4)
    assert damping_factor(8, 0.02, 10, 4, 20) == cold
    assert damping_factor(8, 0.02, 10, 4, 70) < cold
    assert damping_factor(8, 0.02, 1000, 4) == pytest.approx(
        8 / (2 * conductor_resistance(1000, 4)), rel=0.01
    )


# parallel_impedance


@pytest.mark.outside("cables.parallel_impedance")
@rows("parallel impedance")
def test_loads_side_by_side_are_the_library_s(row):
    assert parallel_impedance(row.numbers) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("cables.parallel_impedance")
@rows("impedance of a 70.7 V line load")
def test_ten_taps_make_the_line(row):
    (tap,) = (r.answer for r in reference(FILE, "primary impedance of a 70.7 V tap") if r.named["P"] == 10)
    assert parallel_impedance([tap] * 10) == pytest.approx(row.answer, abs=row.within)


def test_load_of_the_worked_problem():
    assert parallel_impedance([8, 8, 8]) == pytest.approx(2.67, abs=0.005)


@given(st.lists(st.floats(0.1, 1e7), min_size=1, max_size=8), st.floats(0.1, 1e7))
def test_one_more_load_is_always_less(loads, more):
    together = parallel_impedance(loads)
    assert together <= min(loads) * (1 + 1e-12)
    assert parallel_impedance([*loads, more]) == pytest.approx(parallel_impedance([together, more]))


# constant_voltage_watts


@pytest.mark.outside("cables.constant_voltage_watts")
@rows("primary impedance of a 70.7 V tap")
def test_power_of_four_equal_taps_is_what_their_impedance_takes(row):
    taken = 70.7**2 / (row.answer / 4)
    assert constant_voltage_watts([row.named["P"]] * 4, allowance=1) == pytest.approx(taken, abs=row.within)


def test_the_usual_allowance_is_a_quarter():
    assert constant_voltage_watts([10] * 12) == 150
    assert cables.LINE_ALLOWANCE == 1.25
    assert constant_voltage_watts([[10, 20], [30, 40]], 2) == 200
    assert constant_voltage_watts(0) == 0


# stock_length_m


@pytest.mark.parametrize(
    ("dx", "dy", "length"),
    [
        (6, 2, 15),
        (-6, -2, 15),
        (0, 0, 3),
        (0, 0.001, 5),
        (1.3, 0.7, 5),
        (4.2, 2.8, 10),
        (4.2, 2.801, 15),
        (12, 5, 20),
        (12, 5.01, 23),  # 20 + 3
        (20, 4.5, 30),  # 20 + 10, for 27.5
        (0, 37, 40),
        (30, 8, 43),  # 20 + 20 + 3, for 41
    ],
)
def test_runs_by_hand(dx, dy, length):
    assert stock_length_m(dx, dy) == length


@pytest.mark.parametrize("slack", ["3", "3.3", "1.1", "0.7"])
@pytest.mark.parametrize("length", [5, 10, 15, 20, 40, 60])
def test_decimals_that_just_reach_do_not_tip_over(length, slack):
    """Among them 0.1 + 16.6 + 3.3, which is more than 20 in floating point."""
    across = [Decimal(tenths) / 10 for tenths in range(40)]
    up = [length - Decimal(slack) - dx for dx in across]
    reaches = [float(dy) for dy in up if dy >= 0]
    found = stock_length_m([float(dx) for dx in across[: len(reaches)]], reaches, slack_m=float(slack))
    assert found.tolist() == [length] * len(reaches)


def fewest(run, stock):
    """By trying every handful of pieces, smaller handfuls first."""
    for count in itertools.count(1):
        reaching = [sum(pieces) for pieces in itertools.combinations_with_replacement(stock, count)]
        if best := [total for total in reaching if total >= run]:
            return min(best)


@given(
    st.integers(-400, 400),
    st.integers(-400, 400),
    st.lists(st.integers(30, 250), min_size=1, max_size=5),
    st.integers(0, 50),
)
def test_no_other_handful_is_fewer_or_shorter(dx, dy, stock, slack):
    """All lengths in decimetres here, so that the brute force counts in whole numbers."""
    run = abs(dx) + abs(dy) + slack
    if run > 4 * max(stock):
        run = run % (4 * max(stock))
        dx, dy = (run - slack, 0) if run >= slack else (0, 0)
        run = abs(dx) + slack
    length = stock_length_m(dx / 10, dy / 10, [piece / 10 for piece in stock], slack / 10)
    assert round(10 * length) == fewest(run, stock)


@given(st.floats(-60, 60), st.floats(-60, 60))
def test_the_cable_reaches_and_direction_does_not_matter(dx, dy):
    length = stock_length_m(dx, dy)
    assert length >= abs(dx) + abs(dy) + 3 - 1e-9
    assert length == stock_length_m(-dy, dx)


def test_the_pieces_are_the_longest_first_and_not_more_than_needed():
    stock = [typed(length) for length in cables.STOCK_LENGTHS_M]
    assert cables._pieces(typed(27.5), stock) == (20, 10)
    assert cables._pieces(typed(41), stock) == (20, 20, 3)
    assert cables._pieces(typed(44), stock) == (20, 20, 5)
    assert cables._pieces(typed(0), stock) == (3,)
    assert cables._pieces(typed(44), [typed(x) for x in (11, 13, 16)]) == (16, 16, 13)


def test_own_stock_and_slack():
    assert stock_length_m(6, 2, (7.5, 25)) == 25
    assert stock_length_m(6, 2, slack_m=0) == 10
    assert stock_length_m([6, 0], [[2], [14]], [20, 5, 5, 20]).tolist() == [[20, 5], [25, 20]]


# cautions and bad input


def test_the_module_says_who_decides():
    assert "Planning only" in cables.__doc__
    assert "competent person decides" in cables.__doc__
    assert "local code" in cables.__doc__


@pytest.mark.parametrize("bad", ["1", -1])
def test_settings_that_are_no_numbers_are_refused_by_name(bad):
    for name, call in (
        ("allowance", lambda: constant_voltage_watts([10], bad)),
        ("stock_m", lambda: stock_length_m(1, 1, bad)),
        ("slack_m", lambda: stock_length_m(1, 1, slack_m=bad)),
        ("taps_w", lambda: constant_voltage_watts(bad)),
        ("impedances_ohm", lambda: parallel_impedance(bad)),
    ):
        with pytest.raises(ValueError, match=rf"^{name} is "):
            call()


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("allowance", lambda: constant_voltage_watts([10], just_below(1))),
        ("allowance", lambda: constant_voltage_watts([10], just_above(3))),
        ("allowance", lambda: constant_voltage_watts([10], [1, 2])),
        ("slack_m", lambda: stock_length_m(1, 1, slack_m=just_above(100))),
        ("slack_m", lambda: stock_length_m(1, 1, slack_m=[1, 2])),
        ("stock_m", lambda: stock_length_m(1, 1, [just_below(0.5), 5])),
        ("stock_m", lambda: stock_length_m(1, 1, [5, just_above(1000)])),
        ("taps_w", lambda: constant_voltage_watts([10, just_below(0)])),
        ("slack_m", lambda: stock_length_m(1, 1, slack_m=just_below(0))),
        ("taps_w", lambda: constant_voltage_watts([10, just_above(20_000)])),
        ("impedances_ohm", lambda: parallel_impedance([8, 0])),
        ("impedances_ohm", lambda: parallel_impedance([8, just_below(0.01)])),
        ("impedances_ohm", lambda: parallel_impedance([8, just_above(1e7)])),
    ],
)
def test_settings_out_of_range_are_refused_by_name(name, call):
    with pytest.raises(ValueError, match=rf"^{name} (is|has shape) "):
        call()


def test_the_ends_of_the_settings_are_allowed():
    assert constant_voltage_watts([0, 20_000], 1) == 20_000
    assert constant_voltage_watts([1], 3) == 3
    assert stock_length_m(0, 0, [0.5, 1000], 100) == 1000
    assert stock_length_m(0, 0, [0.5], 0) == 0.5
    assert parallel_impedance([0.01]) == 0.01
    assert parallel_impedance(1e7) == pytest.approx(1e7)


CABLE = {
    "length_m": Span(0, 10_000),
    "area_mm2": Span(0.05, 1000),
    "temperature_c": Span(-40, 100),
    "resistivity": Span(0.015, 0.1),
}
CONTRACTS = [
    (conductor_resistance, CABLE),
    (speaker_cable_loss_db, {**CABLE, "impedance_ohm": Span(0.1, 100_000)}),
    (damping_factor, {**CABLE, "impedance_ohm": Span(0.1, 100_000), "output_ohm": Span(0.0001, 1000)}),
    (stock_length_m, {"dx_m": Span(-1000, 1000), "dy_m": Span(-1000, 1000)}),
]


@pytest.mark.parametrize(("function", "spans"), CONTRACTS, ids=lambda it: getattr(it, "__name__", ""))
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)
