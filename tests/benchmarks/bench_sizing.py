"""Times of sizing, printed as measured on this machine: growth with the gig, many desks, memory. Nothing is asserted.

Run: python tests/benchmarks/bench_sizing.py
"""

from __future__ import annotations

import random
import resource
import sys
import time
from dataclasses import replace

from gigsums.gig import Desk, Gig, load_desk, load_gig, load_policy
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, Matrices, MixBuses, Option, Outputs, Recording
from gigsums.gig.model import Distances, Effect, Evening, Feed, Kit, Mix, Performer, Source, Zone
from gigsums.sizing import compare, fit, smallest_changes


def large_gig(sources: int, mixes: int) -> Gig:
    """So many sources and mixes, of every kind, with leave to change some: made up, tight on purpose."""
    draw = random.Random(f"large gig {sources}")
    pick = draw.choice
    performers = tuple(
        Performer(f"P{n}", sources=(
            Source("in", pick(["mic", "mic", "DI", "line"]), stereo=pick([False, False, False, True]),
                   radio=False, keep=pick(["must", "must", "want", "nice"]), at=pick(["stage", "stage", "desk"])),))
        for n in range(sources)
    )  # fmt: skip
    ears = tuple(
        Mix(
            f"M{n}",
            (f"P{n}",),
            pick(["wedge", "in-ears"]),
            may=pick([(), ("mono",), ("share",), ("mono", "share")]),
        )
        for n in range(mixes)
    )
    effects = tuple(Effect(f"E{n}", keep=pick(["must", "nice"])) for n in range(4))
    zones = tuple(Zone(f"Z{n}", Distances(20.0 + n, 5.0), fed_from=pick(["any", "matrix"])) for n in range(5))
    feeds = (Feed("Caller", without=("P0",)), Feed("Recording", stereo=True, recorded=True))
    return Gig(Evening("Large"), kit=Kit(effects=4, delays=4, preamps=8), performers=performers, mixes=ears,
               effects=effects, zones=zones, feeds=feeds, policy=load_policy())  # fmt: skip


def large_desk(sources: int, mixes: int) -> Desk:
    """A digital desk with a little less of everything than the gig asks."""
    return Desk(
        AboutDesk("Large desk", "digital", channels=sources + 14, talkback="takes a channel"),
        (Inputs("desk", sources // 3), Inputs("stage", sources, phantom="bank")),
        (Outputs("desk", 12, delay_up_to_ms=500.0), Outputs("stage", 2 * mixes, delay_up_to_ms=500.0)),
        (MixBuses(mixes + mixes // 4 + 6, "each"),), Matrices(4), DeskEffects(2, "takes a bus", "dedicated"),
        Recording(2, "mains"), (Option("More", "stage", 16, 8),),
    )  # fmt: skip


def timed(what, *arguments, **named):
    start = time.perf_counter()
    answer = what(*arguments, **named)
    return time.perf_counter() - start, answer


def main() -> None:
    timed(fit, load_gig("tea_room_solo"), load_desk("desk_a"))  # the solver's first import is not counted
    print("least changes, proven, on one desk a little too small:")
    first = None
    for sources, mixes in ((8, 3), (16, 6), (32, 12), (64, 24), (128, 48)):
        seconds, it = timed(fit, large_gig(sources, mixes), large_desk(sources, mixes))
        first = first or seconds
        points = sum(c.points for c in it.changes)
        print(f"  {sources:4} sources {mixes:3} mixes: {seconds:6.2f} s ({seconds / first:5.1f} times the first), "
              f"{it.placement}, {points} points, proven {it.proven}")  # fmt: skip
    seconds, answers = timed(smallest_changes, large_gig(64, 24), large_desk(64, 24))
    print(f"  64 sources, three answers: {seconds:.2f} s, points {[a.points for a in answers]}")

    base = [load_desk(f"desk_{letter}") for letter in "abcd"]
    desks = [replace(base[n % 4], about=replace(base[n % 4].about, name=f"Desk {n}")) for n in range(200)]
    seconds, _ = timed(compare, load_gig("lantern_night"), desks)
    print(f"200 desks compared: {seconds:.1f} s")
    unit = 1 if sys.platform == "darwin" else 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
    print(f"peak memory: {peak / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
