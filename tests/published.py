"""Reads tests/reference/*.csv: values from outside the project, each with its source and how it is known."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "reference"
NUMBER = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")
NAMED = re.compile(r"([A-Za-z][\w .]*?)\s*=\s*([-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)")


@dataclass(frozen=True)
class Row:
    """One published value. `expected` and `tolerance` stay text until a test asks for numbers."""

    file: str
    line: int
    quantity: str
    inputs: str
    expected: str
    unit: str
    tolerance: str
    source: str
    how_known: str

    @property
    def numbers(self) -> list[float]:
        """Every number in the inputs, in order."""
        return [float(n) for n in NUMBER.findall(self.inputs)]

    @property
    def named(self) -> dict[str, float]:
        """`name=value` pairs of the inputs."""
        return {name.strip(): float(value) for name, value in NAMED.findall(self.inputs)}

    @property
    def answer(self) -> float:
        """The expected value where it is a single number."""
        return float(self.expected)

    @property
    def answers(self) -> list[float]:
        """Every number in the expected value."""
        return [float(n) for n in NUMBER.findall(self.expected)]

    @property
    def within(self) -> float:
        """The tolerance as a number: half the last printed step of the source, or what the row states."""
        found = NUMBER.findall(self.tolerance)
        return float(found[0]) if found else 0.0

    def __str__(self) -> str:
        return f"{self.file}:{self.line} {self.quantity} {self.inputs}"[:90]


@lru_cache
def _rows(file: str) -> tuple[Row, ...]:
    with (FOLDER / file).open(newline="", encoding="utf-8") as handle:
        return tuple(
            Row(file, number, **{key: (value or "").strip() for key, value in record.items()})
            for number, record in enumerate(csv.DictReader(handle), start=2)
        )


def half_step(row: Row, answer: float | None = None, within: float | None = None):
    """Pytest's approx of the row's answer (or the one given) within its tolerance, rounding of doubles apart."""
    within = row.within if within is None else within
    return pytest.approx(row.answer if answer is None else answer, abs=max(within * (1 + 1e-9), 1e-9))


def reference(file: str, *quantities: str, known: str = "") -> list[Row]:
    """Rows of a file whose quantity is one of those named (all if none is); raises if there are none.

    `known` keeps rows whose `how_known` starts with it. A check on no rows at all would prove nothing.
    """
    rows = [
        row
        for row in _rows(file)
        if (not quantities or row.quantity in quantities) and row.how_known.startswith(known)
    ]
    if not rows:
        raise LookupError(f"no row of {file} is about {quantities or 'anything'}")
    return rows
