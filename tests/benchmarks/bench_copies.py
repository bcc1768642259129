"""Whom the overview would name for copying, in simulated classes: innocent people, and one who copied. Nothing is asserted.

Run: python tests/benchmarks/bench_copies.py [CLASSES]     300 if left out
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path[0] = str(
    Path(__file__).parents[1]
)  # where "practice" is the tests' own, not the script beside this one

from classes.simulated import MIXED, SMALL, STRONG, WEAK, copied, honest  # noqa: E402

SHEETS = ("few answers", SMALL, 1), ("mixed", MIXED, 2)


def main(classes: int = 300) -> None:
    for size in (30, 300):
        for name, topics, level in SHEETS:
            start = time.process_time()
            alarms = [honest(topics, size, level, lot) for lot in range(classes)]
            print(
                f"{size} trainees, {name}: {classes} honest classes, {sum(map(bool, alarms))} with anybody named "
                f"({sum(alarms)} pairs); {1000 * (time.process_time() - start) / classes:.0f} ms a class",
                flush=True,
            )
            for source, wrong in (("strong", STRONG), ("weak", WEAK)):
                for share in (1.0, 0.5):
                    found = [copied(topics, size, level, lot, share, wrong) for lot in range(classes)]
                    print(
                        f"    {share:.0%} of a {source} trainee's answers copied: found in "
                        f"{sum(each for each, _ in found) / classes:.0%}; others named in {sum(others > 0 for _, others in found)}",
                        flush=True,
                    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
