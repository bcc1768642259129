"""Time in samples against a general-purpose library, and chains of latency added up another way."""

import doctest
from fractions import Fraction

import numpy as np
import pyfar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_edges, in_range, out_of_range
from gigsums.formulas import timing
from gigsums.formulas.timing import delay_ms, latency_ms, ms_to_samples, samples_to_ms
from published import half_step, reference

RATES = [(1, 8000), (64, 48_000), (441, 44_100), (1000, 96_000)]


def rows(*quantities):
    return pytest.mark.parametrize("row", reference("timing.csv", *quantities), ids=str)


@pytest.mark.outside("timing.samples_to_ms")
@pytest.mark.parametrize(("samples", "rate"), RATES)
def test_samples_last_as_long_as_in_a_signal_of_pyfar(samples, rate):
    signal = pyfar.Signal(np.zeros(samples + 1), rate)
    assert samples_to_ms(samples, rate) == pytest.approx(1000 * signal.times[-1])


@pytest.mark.outside("timing.ms_to_samples")
@pytest.mark.parametrize(("samples", "rate"), RATES)
def test_the_time_of_a_signal_of_pyfar_is_its_samples(samples, rate):
    signal = pyfar.Signal(np.zeros(samples + 1), rate)
    assert ms_to_samples(1000 * signal.times[-1], rate) == pytest.approx(samples)


@rows("delay of a number of samples")
def test_samples_last_as_long_as_given(row):
    assert samples_to_ms(row.named["samples"], row.named["fs"]) == half_step(row)


@rows("samples in a delay")
def test_a_time_holds_the_samples_given(row):
    assert ms_to_samples(row.named["delay"], row.named["fs"]) == half_step(row)


def test_the_sample_rate_is_48_kilohertz_where_none_is_given():
    assert samples_to_ms(96) == 2
    assert ms_to_samples(2) == 96
    assert latency_ms(96) == 2


@given(st.floats(0, 1e6), st.floats(8000, 192_000))
def test_there_and_back_is_the_same(time, rate):
    assert samples_to_ms(ms_to_samples(time, rate), rate) == pytest.approx(time)


@given(
    st.lists(st.integers(0, 4096), min_size=1, max_size=6),
    st.sampled_from([44_100, 48_000, 96_000]),
    st.tuples(*[st.integers(0, 50)] * 3),
)
def test_latency_is_the_exact_fraction(buffers, rate, others):
    exact = sum(Fraction(1000 * samples, rate) for samples in buffers) + sum(others)
    assert latency_ms(buffers, rate, *others) == pytest.approx(float(exact))


def test_each_buffer_may_have_its_own_rate():
    both = latency_ms([64, 64], [48_000, 96_000])
    assert both == pytest.approx(samples_to_ms(64, 48_000) + samples_to_ms(64, 96_000))


def test_one_link_may_be_compared_with_another():
    latencies = latency_ms([64, 64], radio_ms=[0, 3, 5], converters_ms=1)
    assert latencies == pytest.approx(latency_ms([64, 64]) + 1 + np.array([0, 3, 5]))


def test_worked_example_of_the_trade():
    assert round(latency_ms([64, 64], 48_000), 2) == 2.67
    assert delay_ms(0.92) == pytest.approx(latency_ms([64, 64]), abs=0.02)


TIMES = Span(0, 1e6)
RATE = Span(1, 1e6)
CONTRACTS = {
    samples_to_ms: {"samples": Span(0, 1e12), "sample_rate_hz": RATE},
    ms_to_samples: {"time_ms": Span(0, 1e12), "sample_rate_hz": RATE},
}
CHAIN = {
    "buffer_samples": Span(0, 1e9),
    "sample_rate_hz": RATE,
    "converters_ms": TIMES,
    "network_ms": TIMES,
    "radio_ms": TIMES,
}


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
@given(data=st.data())
def test_contract(function, spans, data):
    in_range(function, spans, data)
    out_of_range(function, spans, data)


@given(data=st.data())
def test_contract_of_a_chain(data):
    out_of_range(latency_ms, CHAIN, data)
    arguments = {name: data.draw(span.inside()) for name, span in CHAIN.items()}
    assert type(latency_ms(**arguments)) is float
    in_range(lambda **times: latency_ms(64, **times), dict.fromkeys(list(CHAIN)[2:], TIMES), data)


def test_shapes_that_do_not_go_together_are_refused():
    with pytest.raises(ValueError, match="shapes do not go together"):
        latency_ms([64, 64], [48_000, 48_000, 48_000])


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_edges(function, spans):
    holds_to_its_edges(function, spans)


def test_edges_of_a_chain():
    holds_to_its_edges(latency_ms, CHAIN)


def test_examples_in_the_docstrings_hold():
    results = doctest.testmod(timing)
    assert results.attempted > 0
    assert results.failed == 0
