"""The range of a formula: finite at each corner of it, a ValueError with the argument's name just beyond it.

How an argument is read, whatever it is, is proved once, in tests/formulas/test_check.py.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest


@dataclass(frozen=True)
class Span:
    """Range of one argument. `above` leaves the lower end out; `silence` allows -inf, `optional` None."""

    least: float
    most: float
    above: bool = False
    whole: bool = False
    silence: bool = False
    optional: bool = False

    def ends(self) -> tuple[float, float]:
        """The first and the last value that are allowed."""
        least = math.nextafter(self.least, math.inf) if self.above else self.least
        return least, min(self.most, sys.float_info.max)

    def refused(self) -> list[Any]:
        """What lies just beyond, between two whole numbers, or is no number at all."""
        if self.whole:
            beyond = [self.least - 1, self.least + 0.5, self.most + 1]
        else:
            low = self.least if self.above else math.nextafter(self.least, -math.inf)
            beyond = [low, math.nextafter(self.most, math.inf)]
        return [
            *beyond,
            *([] if self.silence else [-math.inf]),
            *([] if self.optional else [None]),
            math.nan,
            "1",
        ]


def holds_to_its_range(
    function: Callable[..., Any], spans: dict[str, Span], result: type | None = float, **usual: Any
) -> None:
    """Finite at each corner of the range, refused by name beyond it, and arrays in where numbers go in.

    `usual` is what stands at the other arguments while one is tried; `result` is what numbers give, None where
    the formula gives something of its own, which is then not looked at.
    """
    ends = {name: span.ends() for name, span in spans.items()}
    for corner in itertools.product(*ends.values()):
        answer = function(**usual | dict(zip(spans, corner, strict=True)))
        assert result is None or (type(answer) is result and math.isfinite(answer)), (corner, answer)
    usual = {name: last for name, (_, last) in ends.items()} | usual
    for name, span in spans.items():
        for value in span.refused():
            with pytest.raises(ValueError, match=rf"^{name} is "):
                function(**usual | {name: value})
        if result is not None:
            column = function(**usual | {name: [[usual[name]], [usual[name]]]})
            assert column.shape == (2, 1)
            assert (column == function(**usual)).all()
    for one, other in itertools.pairwise(spans if result else ()):
        with pytest.raises(ValueError, match=r"^shapes do not go together: "):
            function(**usual | {one: [usual[one]] * 2, other: [usual[other]] * 3})
