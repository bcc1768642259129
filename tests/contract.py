"""What every formula promises: finite numbers of the right shape in its range, ValueError for anything else.

Drive `in_range` and `out_of_range` with hypothesis, `data=st.data()`, and a `Span` for each argument.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

NOT_NUMBERS = ["1", "", None, [], {}, object(), 1j, [1, [2, 3]], True, math.nan, math.inf, [1.0, math.nan]]
SHAPES = [(), (1,), (3,), (2, 3), (2, 1)]


@dataclass(frozen=True)
class Span:
    """Range of one argument. `above` leaves the lower end out; `silence` allows -inf, `optional` None."""

    least: float
    most: float
    above: bool = False
    whole: bool = False
    silence: bool = False
    optional: bool = False

    def edges(self) -> tuple[list[float], list[float]]:
        """The last values that are allowed, and the first that are not."""
        ends = [end for end in (self.least, self.most) if math.isfinite(end)]
        if self.whole:
            return ends, [self.least - 1, self.least + 0.5, self.most + 1]
        low = self.least if self.above else math.nextafter(self.least, -math.inf)
        high = math.nextafter(self.most, math.inf)
        return (ends[1:] if self.above else ends), [value for value in (low, high) if math.isfinite(value)]

    def inside(self) -> st.SearchStrategy[float]:
        if self.whole:
            return st.integers(int(self.least), int(self.most))
        most = self.most if math.isfinite(self.most) else None
        return st.floats(self.least, most, exclude_min=self.above, allow_infinity=False, allow_nan=False)

    def outside(self) -> st.SearchStrategy[Any]:
        wrong = [value for value in NOT_NUMBERS if not (self.optional and value is None)]
        wrong += [] if self.silence else [-math.inf]
        choices: list[st.SearchStrategy[Any]] = [st.sampled_from(wrong), st.sampled_from(self.edges()[1])]
        if math.isfinite(self.least):
            choices.append(st.floats(max_value=self.least, exclude_max=True, allow_infinity=False))
        if math.isfinite(self.most):
            choices.append(st.floats(min_value=self.most, exclude_min=True, allow_infinity=False))
        if self.whole:
            choices.append(st.integers(int(self.least), int(self.most) - 1).map(lambda n: n + 0.5))
        return st.one_of(choices)

    def array(self, shape: tuple[int, ...]) -> st.SearchStrategy[Any]:
        if shape == ():
            return self.inside()
        size = math.prod(shape)
        return st.lists(self.inside(), min_size=size, max_size=size).map(lambda v: np.reshape(v, shape))


def in_range(function: Callable, spans: dict[str, Span], data: st.DataObject, result: type = float) -> None:
    """Call with scalars and arrays that lie in range; the answer is finite and of the broadcast shape."""
    shapes = [data.draw(st.sampled_from(SHAPES), label="shape") for _ in spans]
    arguments = {
        name: data.draw(span.array(shape), label=name)
        for (name, span), shape in zip(spans.items(), shapes, strict=True)
    }
    try:
        shape = np.broadcast_shapes(*shapes)
    except ValueError:
        with pytest.raises(ValueError, match="shapes do not go together"):
            function(**arguments)
        return
    answer = function(**arguments)
    assert type(answer) is (np.ndarray if shape else result)
    assert np.shape(answer) == shape
    assert np.isfinite(answer).all()


def out_of_range(function: Callable, spans: dict[str, Span], data: st.DataObject) -> None:
    """Call with one argument out of range or no number at all; the ValueError names that argument."""
    arguments = {name: data.draw(span.inside(), label=name) for name, span in spans.items()}
    wrong = data.draw(st.sampled_from(list(spans)), label="wrong")
    arguments[wrong] = data.draw(spans[wrong].outside(), label="value")
    with pytest.raises(ValueError, match=rf"^{wrong} is "):
        function(**arguments)


def holds_to_its_edges(function: Callable, spans: dict[str, Span], **usual: Any) -> None:
    """Each argument in turn at its edges, where it passes, and just beyond, where the ValueError names it."""
    usual = {name: 1 if math.isinf(span.most) else span.most for name, span in spans.items()} | usual
    for name, span in spans.items():
        allowed, refused = span.edges()
        for value in allowed:
            function(**{**usual, name: value})
        for value in refused:
            with pytest.raises(ValueError, match=rf"^{name} is "):
                function(**{**usual, name: value})
