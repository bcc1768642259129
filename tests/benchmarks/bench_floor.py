"""How long a floor takes against one np.exp over as many numbers, and what memory it needs.

Run it: python tests/benchmarks/bench_floor.py
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable

import numpy as np

from gigsums.formulas.speakers import Speaker, level_over_floor

SPEAKERS, BANDS, ROWS, COLUMNS, ROUNDS = 12, 10, 500, 500, 7


def fastest(*calls: Callable[[], object]) -> list[float]:
    """Shortest time of each call [s], the calls taking turns so that a busy machine wrongs all alike."""
    best = [float("inf")] * len(calls)
    for _ in range(ROUNDS):
        for index, call in enumerate(calls):
            start = time.perf_counter()
            call()
            best[index] = min(best[index], time.perf_counter() - start)
    return best


def peak_mib(call: Callable[[], object]) -> float:
    """Most memory a call holds at once, its answer included [MiB]."""
    tracemalloc.start()
    call()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 2**20


def main() -> None:
    """Time everything in one run and print it."""
    across = np.linspace(-20, 20, SPEAKERS)
    speakers = [
        Speaker(
            (x, 0, 5), (x / 2, 20, 1.2), 120, np.linspace(360, 60, BANDS), np.linspace(360, 40, BANDS), abs(x)
        )
        for x in across
    ]
    x, y = np.linspace(-25, 25, COLUMNS), np.linspace(1, 51, ROWS)[:, None]
    room = {"volume_m3": 20_000, "reverberation_s": 1.4}
    numbers = -np.random.default_rng(1).random(SPEAKERS * BANDS * ROWS * COLUMNS) * 20

    def power() -> object:
        return level_over_floor(speakers, x, y, **room)

    def phase() -> object:
        return level_over_floor(speakers, x, y, **room, coherent=True)

    def exponential() -> object:
        return np.exp(numbers)

    out, angles = np.empty_like(numbers), numbers * (np.pi / 20)

    def waves() -> object:
        return np.cos(angles, out=out), np.sin(angles, out=out)

    one, bare, in_power, in_phase, cosines = fastest(
        exponential, lambda: np.exp(numbers, out=out), power, phase, waves
    )
    print(f"{SPEAKERS} speakers x {BANDS} bands x {ROWS * COLUMNS} points, best of {ROUNDS}")
    print(
        f"one np.exp over as many numbers: {one * 1000:.0f} ms; into memory already there: {bare * 1000:.0f} ms"
    )
    for name, seconds, call in (("incoherent", in_power, power), ("coherent", in_phase, phase)):
        print(
            f"{name}: {seconds * 1000:.0f} ms, {seconds / one:.1f} times np.exp"
            f" ({seconds / bare:.1f} times into memory already there), peak {peak_mib(call):.0f} MiB"
        )
    print(
        f"np.cos and np.sin over as many numbers: {cosines * 1000:.0f} ms,"
        f" {100 * cosines / in_phase:.0f} % of the coherent sum: they are what limits it"
    )


if __name__ == "__main__":
    main()
