"""Radio products against published examples, a spectrum of a cubic non-linearity, and known shortest rasters."""

import itertools
import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gigsums.formulas import radio
from gigsums.formulas.radio import clean_set, smallest_gap, third_order_products
from published import reference

pytestmark = pytest.mark.filterwarnings("error")
FILE = "radio.csv"


def rows(*quantities, known=""):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, known=known), ids=str)


# products


@pytest.mark.outside("radio.third_order_products")
@rows("third-order product, three transmitters")
def test_products_of_the_printed_examples(row):
    carriers = [value for name, value in row.named.items() if re.fullmatch(r"f\d", name)]
    carriers += [] if len(carriers) > 1 else row.numbers[-2:]
    assert row.answer in third_order_products(carriers)


@rows("third-order product, three transmitters")
def test_the_three_transmitter_example_has_those_products_and_no_others_but_two(row):
    printed = {r.answer for r in reference(FILE, row.quantity)}
    products = third_order_products([200, 195, 187]).tolist()
    assert len(products) == 9
    assert set(products) - printed == {190, 203}  # 2 f2 - f1 and 2 f2 - f3, which the example leaves out
    assert products == sorted(products)


@pytest.mark.parametrize("count", [2, 3, 4, 8, 32])
def test_how_many_products(count):
    """Each ordered pair makes one, each three of them three; some tables print 225 for eight carriers."""
    carriers = 500 + 0.001 * 1.3 ** np.arange(count)
    assert third_order_products(carriers).size == count * (count - 1) + 3 * math.comb(count, 3)


@rows("number of third-order two-transmitter products")
def test_how_many_products_of_two(row):
    assert row.expected == "N(N-1)"
    assert len(third_order_products([606.1, 608.3])) == 2


def lines_of_a_cubic(carriers, length):
    """Frequencies in the spectrum of x + 0.05 x^3, whole cycles in the window so that no line leaks."""
    time = np.arange(length) / length
    x = sum(np.cos(2 * np.pi * f * time) for f in carriers)
    spectrum = np.abs(np.fft.rfft(x + 0.05 * x**3)) / length
    return np.flatnonzero(spectrum > 1e-3)


@rows("spectral lines of a cubic non-linearity near three carriers")
def test_the_published_spectrum(row):
    carriers = [200, 195, 187]
    lines = lines_of_a_cubic(carriers, 1024)
    published = [line for line in lines if 160 <= line <= 230]
    assert published == row.answers
    assert sorted({*third_order_products(carriers), *carriers}) == row.answers


@pytest.mark.outside("radio.third_order_products")
@pytest.mark.parametrize(
    "carriers",
    [
        [6061, 6083],
        [200, 195, 187],
        [4702, 4707, 4715, 4730, 4746],
        [100, 350],
        [1000, 3400, 1130],
        [23, 24, 90],
    ],
    ids=str,
)
def test_the_spectrum_of_a_cubic_has_the_same_lines(carriers):
    """Found by ear rather than by sum: an FFT. The products that only add are above and set aside."""
    lines = lines_of_a_cubic(carriers, 65_536)
    adding = {sum(three) for three in itertools.combinations_with_replacement(carriers, 3)}
    products = third_order_products(carriers)
    heard = {*products.tolist(), *carriers}
    assert set(lines.tolist()) - adding <= heard
    assert heard <= set(lines.tolist())


@rows("third-order products of 462.6 and 462.7 MHz")
def test_two_walkie_talkies(row):
    assert third_order_products([462.6, 462.7]).tolist() == row.answers


def test_the_worked_pair():
    assert third_order_products([606.1, 608.3]).tolist() == [603.9, 610.5]


def test_products_come_out_as_on_paper_and_finer_than_a_hertz_is_rounded():
    assert third_order_products([0.1 + 606, 608.3])[0] == 603.9
    assert third_order_products([606.1000004, 608.3]).tolist() == [603.9, 610.5]
    assert third_order_products([606.1000006, 608.3]).tolist() == [603.900002, 610.499999]


# gap


@rows("smallest gap between a carrier and any third-order product")
def test_the_published_gap(row):
    assert smallest_gap(row.numbers) == pytest.approx(row.answer, abs=row.within)


@rows("equally spaced carriers fall on their own products")
def test_even_spacing_hits_itself(row):
    assert smallest_gap(row.numbers[:3]) == 0
    assert row.answer in third_order_products(row.numbers[:3])


@pytest.mark.outside("radio.smallest_gap")
@pytest.mark.parametrize(
    "carriers",
    [[6061, 6083], [200, 195, 187], [4702, 4707, 4715, 4730, 4746], [100, 350], [300, 307, 322]],
    ids=str,
)
def test_the_gap_seen_in_a_spectrum(carriers):
    """Only sets where no product hides behind a carrier."""
    lines = lines_of_a_cubic(carriers, 65_536)
    adding = {sum(three) for three in itertools.combinations_with_replacement(carriers, 3)}
    products = [line for line in lines.tolist() if line not in adding and line not in carriers]
    seen = min(abs(product - carrier) for product in products for carrier in carriers)
    assert smallest_gap(carriers) == seen


def test_a_product_counts_against_a_carrier_that_takes_part_in_it():
    assert smallest_gap([606.1, 608.3]) == 2.2
    assert smallest_gap([100, 110, 110.5]) == 0.5  # 100 + 110.5 - 110


def test_a_product_above_or_below_every_other_is_seen():
    assert smallest_gap([100, 101.5, 104]) == min(
        abs(p - c) for p in (96, 97.5, 98.5, 99, 102.5, 103, 105.5, 106.5, 108) for c in (100, 101.5, 104)
    )


carrier_sets = st.lists(st.integers(1000, 100_000_000), min_size=2, max_size=7, unique=True).map(
    lambda khz: [value / 1000 for value in khz]
)


def by_hand(carriers):
    """The same by exhaustion, in whole kilohertz: every product, against every carrier."""
    khz = [round(carrier * 1000) for carrier in carriers]
    products = [abs(2 * a - b) for a, b in itertools.permutations(khz, 2)]
    products += [abs(a + b - c) for a, b in itertools.combinations(khz, 2) for c in khz if c not in (a, b)]
    return sorted(products), min(abs(p - c) for p in products for c in khz)


@given(carrier_sets)
def test_products_and_gap_by_exhaustion(carriers):
    products, gap = by_hand(carriers)
    answer = third_order_products(carriers)
    assert answer.dtype == float
    assert answer.tolist() == [product / 1000 for product in products]
    found = smallest_gap(carriers)
    assert type(found) is float
    assert found == gap / 1000
    assert found <= np.diff(np.sort(carriers)).min() + 1e-9


@given(carrier_sets, st.randoms())
def test_the_order_of_the_carriers_does_not_matter(carriers, random):
    shuffled = random.sample(carriers, len(carriers))
    assert third_order_products(shuffled).tolist() == third_order_products(carriers).tolist()
    assert smallest_gap(shuffled) == smallest_gap(carriers)


# clean sets


@pytest.mark.outside("radio.clean_set")
@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, id=str(row), marks=[pytest.mark.thorough] if row.named["N"] > 7 else [])
        for row in reference(FILE, "least span of a raster free of third-order products")
    ],
)
def test_the_shortest_raster_that_is_free_of_products(row):
    """A set exists on that many steps and none on one fewer: the search is exact both ways."""
    count, span = int(row.named["N"]), int(row.expected)
    raster = 500 + np.arange(span + 1.0)
    found = clean_set(raster, count, gap_mhz=1, spacing_mhz=1)
    assert found.size == count
    assert smallest_gap(found) >= 1
    assert clean_set(raster[:-1], count, gap_mhz=1, spacing_mhz=1) is None


def picks(candidates, count, gap, spacing):
    """The lowest clean set by trying every choice in order."""
    for chosen in itertools.combinations(sorted(set(candidates)), count):
        close = min(np.diff(chosen), default=math.inf)
        if close >= spacing - 1e-9 and (count == 1 or smallest_gap(chosen) >= gap - 1e-9):
            return list(chosen)
    return None


@settings(max_examples=150)
@given(
    st.lists(st.integers(1, 60), min_size=1, max_size=11),
    st.integers(1, 5),
    st.sampled_from([0, 0.25, 0.5, 1]),
    st.sampled_from([0, 0.5, 1, 1.5, 3]),
    st.sampled_from([0, 5, 200]),
)
def test_the_search_finds_what_trying_everything_finds(steps, count, gap, spacing, base):
    """From 1 MHz up the band is wide enough for a product to fold; from 200 MHz up it is as on stage."""
    candidates = [1 + base + step / 2 for step in steps]
    found = clean_set(candidates, count, gap, spacing)
    assert (None if found is None else found.tolist()) == picks(candidates, count, gap, spacing)


def test_bands_far_apart_may_hit_each_other_folded():
    """5 - 1 - 1.5 falls on 2.5, and 1 + 1.5 + 2.5 is where the fourth may not stand."""
    assert clean_set([1, 1.5, 2.6, 5.2], 4, 0.1, 0.1).tolist() == [1, 1.5, 2.6, 5.2]
    assert clean_set([1, 1.5, 2.6, 5.1], 4, 0.1, 0.1) is None
    assert clean_set([1, 3], 2, 0.1, 0.1) is None  # 3 - 1 - 1 = 1


def test_gap_and_spacing_are_met_at_their_exact_figures():
    assert clean_set([606.0, 606.3, 606.7], 3, 0.1, 0.3).tolist() == [606.0, 606.3, 606.7]
    assert clean_set([606.0, 606.299999, 606.7], 3, 0.1, 0.3) is None
    assert clean_set([606.0, 606.3, 606.699999], 3, 0.1, 0.3) is None
    assert clean_set([606.0, 606.2], 2, 0.3, 0) is None  # the gap holds between carriers too
    assert clean_set([606.0, 606.000001], 2, 0, 0).tolist() == [606.0, 606.000001]
    assert clean_set([606.0, 606.0], 2, 0, 0) is None
    assert clean_set([606.0, 606.3], 2, 0.1 + 4e-7, 0.3 + 4e-7).tolist() == [606.0, 606.3]
    assert clean_set([606.0, 606.3], 2, 0.1, 0.3 + 6e-7) is None
    assert clean_set([606.0, 606.1], 2, 0.1 + 6e-7, 0) is None


def test_one_carrier_needs_nothing():
    assert clean_set([610, 606], 1, 1, 1000).tolist() == [606]


def test_a_stage_set_and_its_order():
    raster = [606.0 + 0.025 * step for step in range(321)]
    found = clean_set(raster[::-1] + raster[:5], 10, 0.1, 0.3)
    assert found.tolist() == clean_set(raster, 10, 0.1, 0.3).tolist() == sorted(found.tolist())
    assert smallest_gap(found) >= 0.1
    assert np.diff(found).min() >= 0.3 - 1e-9


def test_a_band_that_cannot_hold_them_is_ruled_out_at_once(monkeypatch):
    """Neighbours of 12 are at least 0.3, 0.4 and so on to 1.3 MHz apart, each once: 8.8 MHz in all."""
    monkeypatch.setattr(radio, "_MOST_STEPS", 1)
    assert clean_set(606 + 0.025 * np.arange(352), 12, 0.1, 0.3) is None  # 8.775 MHz
    with pytest.raises(ValueError, match="1 steps"):
        clean_set(606 + 0.025 * np.arange(353), 12, 0.1, 0.3)


def test_the_search_gives_up_where_it_says_and_says_so(monkeypatch):
    """The docstring promises 100 000 steps; here it gets fewer, so that the test is quick.

    On 0 to 6 it picks 0, 1, 3, drops 3, picks 4 and 6: six steps.
    """
    assert radio._MOST_STEPS == 100_000
    raster = 500 + np.arange(7.0)
    monkeypatch.setattr(radio, "_MOST_STEPS", 6)
    assert clean_set(raster, 4, 1, 1).tolist() == [500, 501, 504, 506]
    monkeypatch.setattr(radio, "_MOST_STEPS", 5)
    with pytest.raises(
        ValueError, match=r"candidates_mhz: 5 steps over 7 candidates neither found 4 clean .* give fewer"
    ):
        clean_set(raster, 4, 1, 1)


# bad input
GOOD = {
    third_order_products: {"frequencies_mhz": [606.1, 608.3]},
    smallest_gap: {"frequencies_mhz": [606.1, 608.3]},
    clean_set: {"candidates_mhz": [606.1, 608.3], "count": 2, "gap_mhz": 0.1, "spacing_mhz": 0.3},
}
ARGUMENTS = [(function, name) for function, arguments in GOOD.items() for name in arguments]
each_argument = pytest.mark.parametrize(
    ("function", "name"), ARGUMENTS, ids=lambda it: getattr(it, "__name__", it)
)
each_list = pytest.mark.parametrize(
    ("function", "name"),
    [(f, n) for f, n in ARGUMENTS if n.endswith("es_mhz")],
    ids=lambda it: getattr(it, "__name__", it),
)


@each_list
def test_frequencies_end_at_1_mhz_and_100_ghz(function, name):
    function(**GOOD[function] | {name: [1, 100_000]})
    for wrong in (0.999, 100_001, -5):
        with pytest.raises(ValueError, match=rf"{name} is .* MHz; it may be from 1 to 100000 MHz"):
            function(**GOOD[function] | {name: [606.1, wrong]})


@each_list
def test_how_many_frequencies_may_be_given(function, name):
    least, most = (1, 1000) if function is clean_set else (2, 200)
    raster = 1000 + np.arange(most + 1.0) ** 1.5
    function(**GOOD[function] | {name: raster[:most]})
    function(**GOOD[function] | {name: raster[:least]})
    for wrong in (raster, raster[: least - 1], 606.1, [[606.1, 608.3]]):
        with pytest.raises(ValueError, match=name):
            function(**GOOD[function] | {name: wrong})
    with pytest.raises(ValueError, match=f"a list of {least} to {most} frequencies is wanted"):
        function(**GOOD[function] | {name: raster})


@pytest.mark.parametrize("function", [third_order_products, smallest_gap])
def test_a_carrier_given_twice(function):
    with pytest.raises(ValueError, match=r"holds 606\.1 MHz more than once"):
        function([608.3, 606.1, 606.1000004, 612])


@pytest.mark.parametrize(
    ("name", "least", "most"), [("count", 1, 40), ("gap_mhz", 0, 1), ("spacing_mhz", 0, 1000)]
)
def test_the_ends_of_a_range_are_in_it_and_what_lies_beyond_is_not(name, least, most):
    for end, beyond in ((least, -1), (most, 1)):
        clean_set(**GOOD[clean_set] | {name: end})
        with pytest.raises(ValueError, match=rf"{name} is .*; it may be .*from {least:g} to {most:g}"):
            clean_set(**GOOD[clean_set] | {name: end + beyond * (1 if name == "count" else 1e-6)})
    with pytest.raises(ValueError, match=rf"{name} has shape \(1,\); a single number is wanted"):
        clean_set(**GOOD[clean_set] | {name: [1]})


def test_forty_carriers_can_be_asked_for():
    found = clean_set(1000 + np.arange(1000) ** 2 / 11, 40, 0.01, 0.1)
    assert found.size == 40
    assert smallest_gap(found) >= 0.01


def test_half_a_carrier():
    with pytest.raises(ValueError, match=r"count is 1\.5; it may be a whole number"):
        clean_set([606.1, 608.3], 1.5, 0.1, 0.3)


@each_argument
@pytest.mark.parametrize("value", ["4", math.nan, []], ids=str)
def test_what_is_not_a_number_is_refused(function, name, value):
    with pytest.raises(ValueError, match=name):
        function(**GOOD[function] | {name: value})
