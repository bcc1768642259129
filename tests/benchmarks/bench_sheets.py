"""Pages a second: sheets of ten questions and their keys made into PDF, and what that takes in memory. Nothing is asserted.

Run: python tests/benchmarks/bench_sheets.py [SHEETS]
"""

from __future__ import annotations

import resource
import sys
import time

from gigsums.practice import TOPICS, print_key_of, print_problems, problem
from gigsums.sheets import print_card


def main(sheets: int = 300) -> None:
    topics = list(TOPICS)
    start = time.perf_counter()
    print_card()
    print(f"first page of all, typst and the font loaded: {time.perf_counter() - start:.2f} s")
    drawn = [[problem(topics[(10 * n + k) % len(topics)], n) for k in range(10)] for n in range(sheets)]
    for name, make in (("sheets", print_problems), ("keys", print_key_of)):
        pages = size = 0
        start = time.perf_counter()
        for n, each in enumerate(drawn):
            made = make("Ten questions", each, variant=f"V{n:03d}")
            pages, size = pages + made.pages, size + len(made.pdf)
        took = time.perf_counter() - start
        print(
            f"{sheets} {name} of 10: {took:6.2f} s, {pages} pages, {pages / took:.0f} pages a second, "
            f"{size / sheets / 1000:.0f} kB each, peak memory {_peak_mb():.0f} MB"
        )


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
