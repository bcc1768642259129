"""The cookbook's filters against its coefficients, three filter libraries and a measured filter."""

import doctest
import math

import numpy as np
import pyfar
import pytest
from pyloudnorm import IIRfilter
from scipy import signal

from gigsums.formulas import equalisers
from gigsums.formulas.equalisers import (
    all_pass,
    band_pass,
    high_pass,
    high_shelf,
    low_pass,
    low_shelf,
    notch,
    peaking,
    response_db,
)
from published import reference

pytestmark = pytest.mark.filterwarnings("error")
FILE = "equalisers.csv"
ROOT_HALF = 0.5**0.5
WITH_GAIN = (peaking, low_shelf, high_shelf)
DESIGNS = (*WITH_GAIN, low_pass, high_pass, band_pass, notch, all_pass)
COOKBOOK = {
    "LPF": low_pass,
    "HPF": high_pass,
    "BPF": band_pass,
    "APF": all_pass,
    "notch": notch,
    "peakingEQ": peaking,
    "lowShelf": low_shelf,
    "highShelf": high_shelf,
}


def outside_rows(*quantities, words=None):
    """One case a row, each marked as an outside value of the design that it is about."""
    cases = []
    for row in reference(FILE, *quantities):
        word = (
            (row.quantity.split("(a0=1), ")[-1] if words is None else words(row)).split(",")[0].split(";")[0]
        )
        design = COOKBOOK[word]
        cases.append(
            pytest.param(design, row, id=str(row), marks=pytest.mark.outside(f"equalisers.{design.__name__}"))
        )
    return pytest.mark.parametrize(("design", "row"), cases)


def designed(design, row):
    """The filter that a row describes. Its Q may be given as a bandwidth or as a shelf slope."""
    named = row.named
    gain = named.get("gain", named.get("G"))
    if "BW" in named:
        (other,) = [
            r
            for r in reference(FILE, "Q from bandwidth, digital with bilinear transform")
            if "1000 Hz" in r.inputs
        ]
        assert other.named["BW"] == named["BW"]
        q = other.answer
    elif "S" in named and "Q" not in named:  # the cookbook's 1/Q = sqrt((A + 1/A)(1/S - 1) + 2)
        amplitude = 10 ** (gain / 40)
        q = 1 / math.sqrt((amplitude + 1 / amplitude) * (1 / named["S"] - 1) + 2)
    else:
        q = ROOT_HALF if round(named["Q"], 4) == 0.7071 else named["Q"]
    arguments = [named["f0"], q] if gain is None else [named["f0"], gain, q]
    return design(*arguments, named["fs"])


def test_examples():
    result = doctest.testmod(equalisers)
    assert result.attempted > 0
    assert result.failed == 0


# coefficients

KINDS = sorted({row.quantity for row in reference(FILE) if row.quantity.startswith("biquad")})


@outside_rows(*KINDS)
def test_published_coefficients(design, row):
    b, a = designed(design, row)
    assert a[0] == 1
    assert [*b, *a[1:]] == pytest.approx(row.answers, abs=row.within)


def bilinear(b, a, frequency, rate):
    """An analogue shape at 1 rad/s, tuned and brought to the sampling rate by scipy."""
    return signal.bilinear(*signal.lp2lp(b, a, 2 * rate * math.tan(math.pi * frequency / rate)), rate)


def analogue(design, gain, q):
    """The cookbook's analogue shapes, in falling powers of s."""
    g = 10 ** (gain / 40)
    r = math.sqrt(g)
    plain = [1, 1 / q, 1]
    return {
        low_pass: ([1], plain),
        high_pass: ([1, 0, 0], plain),
        band_pass: ([1 / q, 0], plain),
        notch: ([1, 0, 1], plain),
        all_pass: ([1, -1 / q, 1], plain),
        peaking: ([1, g / q, 1], [1, 1 / g / q, 1]),
        low_shelf: ([g, g * r / q, g * g], [g, r / q, 1]),
        high_shelf: ([g * g, g * r / q, g], [1, r / q, g]),
    }[design]


@pytest.mark.parametrize(
    ("frequency", "gain", "q", "rate"),
    [(63, 4, 0.5, 44_100), (1000, -12, 3, 48_000), (15_000, 9, ROOT_HALF, 96_000), (20_000, -3, 10, 44_100)],
)
@pytest.mark.parametrize(
    "design", [pytest.param(d, marks=pytest.mark.outside(f"equalisers.{d.__name__}")) for d in DESIGNS]
)
def test_scipy_makes_the_same_of_the_analogue_shape(design, frequency, gain, q, rate):
    arguments = [frequency, gain, q] if design in WITH_GAIN else [frequency, q]
    b, a = design(*arguments, rate)
    expected_b, expected_a = bilinear(*analogue(design, gain, q), frequency, rate)
    np.testing.assert_allclose(b, expected_b, atol=1e-9)
    np.testing.assert_allclose(a, expected_a, atol=1e-9)


LOUDNORM = {
    peaking: "peaking",
    low_shelf: "low_shelf",
    high_shelf: "high_shelf",
    low_pass: "low_pass",
    high_pass: "high_pass",
    notch: "notch",
}


@pytest.mark.parametrize(
    ("frequency", "gain", "q", "rate"), [(80, -7.5, 0.6, 48_000), (6300, 5, 4.3, 44_100)]
)
@pytest.mark.parametrize(
    "design", [pytest.param(d, marks=pytest.mark.outside(f"equalisers.{d.__name__}")) for d in LOUDNORM]
)
def test_pyloudnorm_designs_the_same(design, frequency, gain, q, rate):
    other = IIRfilter(gain, q, frequency, rate, LOUDNORM[design])
    arguments = [frequency, gain, q] if design in WITH_GAIN else [frequency, q]
    b, a = design(*arguments, rate)
    np.testing.assert_allclose(b, other.b, atol=1e-12)
    np.testing.assert_allclose(a, other.a, atol=1e-12)


@pytest.mark.parametrize(("frequency", "gain"), [(200, -4), (8000, 6), (1000, 15)])
@pytest.mark.parametrize(
    ("design", "other"),
    [
        pytest.param(
            low_shelf, pyfar.dsp.filter.low_shelf, marks=pytest.mark.outside("equalisers.low_shelf")
        ),
        pytest.param(
            high_shelf, pyfar.dsp.filter.high_shelf, marks=pytest.mark.outside("equalisers.high_shelf")
        ),
    ],
)
def test_pyfar_designs_the_same_shelf(design, other, frequency, gain):
    """Its shelf of type III has half the gain at the named frequency, as ours has."""
    ours = np.array(design(frequency, gain))
    theirs = other(None, frequency, gain, 2, "III", sampling_rate=48_000).coefficients[0]
    np.testing.assert_allclose(ours, theirs, atol=1e-9)


@pytest.mark.outside("equalisers.all_pass")
@pytest.mark.parametrize(("frequency", "q"), [(120, 0.5), (1000, ROOT_HALF), (9000, 2)])
def test_pyfar_designs_the_same_all_pass(frequency, q):
    theirs = pyfar.dsp.filter.allpass(None, frequency, 2, [1, 1 / q], sampling_rate=48_000).coefficients[0]
    np.testing.assert_allclose(np.array(all_pass(frequency, q)), theirs, atol=1e-9)


def test_scipy_warps_the_bandwidth_of_its_notch_otherwise():
    """Close, but not the cookbook's filter: the choice made here is the cookbook."""
    apart = abs(notch(1000, 30)[0][0] - signal.iirnotch(1000, 30, fs=48_000)[0][0])
    assert 5e-6 < apart < 7e-6


# responses


@pytest.mark.outside("equalisers.response_db")
@outside_rows(
    "magnitude response of a cookbook biquad",
    "measured response of a peaking filter from its impulse response",
    words=lambda row: "peakingEQ" if row.quantity.startswith("measured") else row.inputs,
)
def test_published_and_measured_responses(design, row):
    gain = response_db(*designed(design, row), row.named["f"], row.named["fs"])
    if row.expected.startswith("<"):
        assert gain < row.answers[0]
    else:
        assert gain == pytest.approx(row.answer, abs=row.within)


# ranges


@pytest.mark.parametrize("design", DESIGNS)
def test_the_frequency_of_a_design_is_a_share_of_the_rate(design):
    others = {"q": 1.4} | ({"gain_db": 6} if design in WITH_GAIN else {})
    assert np.isfinite(design([0.96, 23_952], **others)).all()
    for wrong in (0.959, 23_952.1):
        with pytest.raises(
            ValueError, match=rf"frequency_hz is {wrong} Hz; at a .* 48000 Hz .* from 0\.96 to 23952 Hz"
        ):
            design([1000, wrong], **others)
