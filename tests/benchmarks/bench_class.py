"""Times of a class, printed as measured on this machine: drawing, marking, printing, growth, memory. Nothing is asserted.

Sheets of 10 questions; each is drawn and written as a notebook, an answer file and a line of the record, then answered
(half of the answers right), returned and marked, overview included. Printing the sheets as PDF is measured by itself.

Run: python tests/benchmarks/bench_class.py [SHEETS ...]     300, 3000 and 10000 if left out
"""

from __future__ import annotations

import multiprocessing
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path
from unittest import mock

TOPICS = (
    "monitor mixes", "inputs by kind", "bus pairs", "will it fit", "outputs by place", "effects on a desk",
    "delay for a distance", "level over distance", "load on a circuit", "first gap of a comb",
)  # fmt: skip
PRINTED = 30


def peak_mb() -> float:
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6


def answer(made) -> None:
    """Every trainee answers, every second question rightly."""
    from gigsums.classes.record import Record

    for issued in Record(made.record):
        text = (made.handed_out / issued.trainee / "answers.toml").read_text(encoding="utf-8")
        for n, problem in enumerate(issued.problems, start=1):
            given = problem.answer.show() if n % 2 else problem.answer.show(problem.slips[0].values)
            text = text.replace(f'\n{n} = ""', f'\n{n} = "{given}"')
        (made.returned / f"{issued.trainee}.toml").write_text(text, encoding="utf-8")


def whole_class(sheets: int, part: str, folder: Path) -> None:
    """One part of a class's life, in a process of its own, so that its peak of memory is its own."""
    from gigsums.classes import handout, mark_folder
    from gigsums.classes.issuing import Handout
    from gigsums.practice import TOPICS as known
    from gigsums.practice import problem

    made = Handout(folder / "class", sheets, len(TOPICS))
    for topic in TOPICS:
        problem(topic, "warm")
    assert len(known) > len(TOPICS)
    start, worked = time.perf_counter(), time.process_time()
    if part == "drawn":
        questions = "".join(f'[[question]]\ntopic = "{topic}"\nlevel = 2\n' for topic in TOPICS)
        source = folder / "class.toml"
        source.write_text(f'format = 1\n[class]\nname = "Class"\ntrainees = {sheets}\n{questions}')
        with mock.patch("gigsums.classes.issuing._print", return_value=()):
            handout(source, folder / "class")
    elif part == "answered":
        answer(made)
    else:
        mark_folder(made.folder, to=folder / "results")
    seconds, worked = time.perf_counter() - start, time.process_time() - worked
    if part != "answered":
        print(
            f"  {part:7} {seconds:7.2f} s, of the processor {worked:7.2f} s or {1000 * worked / sheets:5.2f} ms a sheet, "
            f"peak {peak_mb():4.0f} MB",
            flush=True,
        )


def printing() -> None:
    """Sheets as PDF, one process."""
    from gigsums.practice import print_problems, problem

    drawn = [[problem(topic, seed, 2) for topic in TOPICS] for seed in range(PRINTED)]
    print_problems("Warm", drawn[0])
    start = time.perf_counter()
    pages = sum(print_problems("Class", problems, variant=str(n)).pages for n, problems in enumerate(drawn))
    seconds = (time.perf_counter() - start) / PRINTED
    print(
        f"printed as PDF: {seconds:.3f} s a sheet of {pages / PRINTED:.1f} pages; 300 sheets in {300 * seconds:.0f} s"
    )


def main(sizes: list[int]) -> None:
    apart = multiprocessing.get_context("spawn")
    for sheets in sizes:
        print(f"{sheets} sheets of {len(TOPICS)} questions:")
        folder = Path(tempfile.mkdtemp(prefix="gigsums-bench-"))
        try:
            for part in ("drawn", "answered", "marked"):
                process = apart.Process(target=whole_class, args=(sheets, part, folder))
                process.start()
                process.join()
                if process.exitcode:
                    sys.exit(process.exitcode)
        finally:
            shutil.rmtree(folder)
    printing()


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [300, 3000, 10_000])
