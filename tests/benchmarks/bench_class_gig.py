"""Times of a class that sizes a whole gig, printed as measured on this machine. Nothing is asserted.

Everybody gets the same gig: it is drawn and written, answered (a third rightly, a third with slips, a third with another
legal way), returned and marked, overview included. The key is worked out once for the class; beside it stands what working
it out for every trainee would take. Printing is measured by itself.

Run: python tests/benchmarks/bench_class_gig.py [SHEETS ...]     30, 300 and 3000 if left out
"""

from __future__ import annotations

import multiprocessing
import resource
import shutil
import sys
import tempfile
import time
import tomllib
from copy import deepcopy
from pathlib import Path
from unittest import mock

GIG = "lantern_night"
PRINTED = 10


def peak_mb() -> float:
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6


def answer(made) -> None:
    """Every trainee answers: rightly, with slips, or with the second cheapest way."""
    import tomlkit

    from gigsums.classes.record import Record
    from gigsums.whole_gigs import whole_gig

    job = whole_gig(GIG)
    right, slipped, dearer = (deepcopy(job.key_answers()) for _ in range(3))
    slipped["counts"] |= {"matrices": "5", "monitor mixes": "6"}
    slipped["placement"]["rows"] = slipped["placement"]["rows"][3:]
    dearer["changes"]["rows"][0] = {"kind": "share", "item": "Fenwick", "to": "Maud"}
    for number, issued in enumerate(Record(made.record)):
        blank = tomllib.loads(
            (made.handed_out / issued.trainee / "whole_gig_1.toml").read_text(encoding="utf-8")
        )
        filled = tomlkit.dumps(blank | (right, slipped, dearer)[number % 3])
        (made.returned / f"{issued.trainee}.toml").write_text(filled, encoding="utf-8")


def whole_class(sheets: int, part: str, folder: Path) -> None:
    """One part of a class's life, in a process of its own, so that its peak of memory is its own."""
    from gigsums.classes import handout, mark_folder
    from gigsums.classes.issuing import Handout
    from gigsums.practice import problem
    from gigsums.whole_gigs import whole_gig

    problem("monitor mixes", "warm")
    made = Handout(folder / "class", sheets, 1)
    start = time.perf_counter()
    if part == "drawn":
        source = folder / "class.toml"
        source.write_text(
            f'format = 1\n[class]\nname = "Class"\ntrainees = {sheets}\n[[question]]\nwhole_gig = "{GIG}"\n'
        )
        with mock.patch("gigsums.classes.issuing._print", return_value=()):
            handout(source, folder / "class")
    elif part == "answered":
        answer(made)
    else:
        mark_folder(made.folder, to=folder / "results")
    seconds = time.perf_counter() - start
    if part != "answered":
        kept = f", record {made.record.stat().st_size / 1e6:.2f} MB" if part == "drawn" else ""
        print(
            f"  {part:7} {seconds:7.2f} s or {1000 * seconds / sheets:6.2f} ms a sheet, peak {peak_mb():4.0f} MB{kept}",
            flush=True,
        )
    if part == "marked":
        job = whole_gig(GIG)
        start = time.perf_counter()
        _ = job.solution
        once = time.perf_counter() - start
        print(
            f"  the key {once:7.2f} s once; for every trainee {once * sheets:.0f} s, {once * sheets / seconds:.0f} times as long"
        )


def printing() -> None:
    """Sheets as PDF, one process."""
    from gigsums.whole_gigs import whole_gig
    from gigsums.whole_gigs.sheet import print_blocks

    job = whole_gig(GIG)
    print_blocks(job.title, job.blocks())
    start = time.perf_counter()
    pages = sum(print_blocks(job.title, job.blocks(), variant=str(n)).pages for n in range(PRINTED))
    seconds = (time.perf_counter() - start) / PRINTED
    print(
        f"printed as PDF: {seconds:.3f} s a sheet of {pages / PRINTED:.1f} pages; 300 sheets in {300 * seconds:.0f} s"
    )


def main(sizes: list[int]) -> None:
    apart = multiprocessing.get_context("spawn")
    for sheets in sizes:
        print(f"{sheets} sheets of one whole gig:")
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
    main([int(word) for word in sys.argv[1:]] or [30, 300, 3000])
