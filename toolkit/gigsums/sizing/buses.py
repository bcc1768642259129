"""Buses in pairs: what an odd bus and the next even one carry together, whose taps switch with whose, and how many it takes.

Counting and placing both lay the pairs into a whole-number programme, which HiGHS solves.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product
from typing import Literal, get_args

from ..gig import Bus
from ..gig.desk import Tap

BusKind = Literal["stereo_pre", "mono_pre", "stereo_post", "mono_post", "sends"]
BUS_KINDS: tuple[BusKind, ...] = get_args(BusKind)
Load = tuple[BusKind | Literal["idle"], ...]
Pair = tuple[Bus, ...]
Outcome = Literal["best", "none", "out of time"]


@dataclass
class Programme:
    """Whole-number variables with costs, and rows that hold sums of them between bounds."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def variable(self, most: float, cost: float = 0) -> int:
        """A variable from 0 to `most`; its index."""
        self.costs.append(cost)
        self.most.append(most)
        return len(self.costs) - 1

    def row(self, terms: dict[int, float], least: float = -math.inf, most: float = math.inf) -> None:
        """Hold a weighted sum of variables between bounds."""
        self.rows.append((terms, least, most))

    def solve(self, seconds: float = 30.0, presolve: bool = True) -> tuple[Outcome, list[int]]:
        """The cheapest values, or that there are none, or that time ran out; presolving costs small ones more than it saves."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        if not self.costs:
            feasible = all(least <= 0 <= most for _, least, most in self.rows)
            return ("best" if feasible else "none"), []
        entries = [(r, v, c) for r, (terms, _, _) in enumerate(self.rows) for v, c in terms.items()]
        constraints = []
        if self.rows:
            rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
            matrix = coo_array((values, (rows, columns)), shape=(len(self.rows), len(self.costs))).tocsr()
            constraints = [LinearConstraint(matrix, [r[1] for r in self.rows], [r[2] for r in self.rows])]
        answer = milp(
            np.array(self.costs, dtype=float),
            constraints=constraints,
            integrality=np.ones(len(self.costs)),
            bounds=Bounds(0, np.array(self.most, dtype=float)),
            options={"time_limit": seconds, "mip_rel_gap": 0.0, "presolve": presolve},
        )
        found: list[int] = [] if answer.x is None else [round(v) for v in answer.x]
        if answer.status == 0:
            return "best", found
        return ("none", []) if answer.status == 2 else ("out of time", found)


@dataclass(frozen=True)
class BusNeed:
    """Bus channels wanted, by what may carry them: stereo pairs and single buses, before or after the fader.

    `sends` are after the fader too, and only buses that feed the effects may carry them.
    """

    stereo_pre: int = 0
    mono_pre: int = 0
    stereo_post: int = 0
    mono_post: int = 0
    sends: int = 0

    @property
    def total(self) -> int:
        """Buses taken in all."""
        return 2 * (self.stereo_pre + self.stereo_post) + self.mono_pre + self.mono_post + self.sends


@dataclass(frozen=True)
class PairCount:
    """What the pairs come to: how many are taken, how many there are, how many mixes sit after a fixed fader."""

    taken: int
    have: int
    carried: int
    after_fader: int


def count_pairs(need: BusNeed, buses: Iterable[Bus]) -> PairCount:
    """How many odd-even pairs it takes, exactly; extra pairs are imagined where the desk has too few.

    Parameters
    ----------
    need : BusNeed
        What is to be carried.
    buses : iterable of Bus
        The desk's buses, in number order.

    Returns
    -------
    PairCount
        Pairs taken and had, bus channels the desk can carry at best, monitor mixes after a fixed fader.
    """
    return _counted(need, tuple(buses))


@lru_cache(maxsize=1024)
def _counted(need: BusNeed, buses: Pair) -> PairCount:
    """Two questions in one programme, for each costs some milliseconds: the fewest pairs, and the most carried."""
    pairs = pairs_of(buses)
    have = sum(len(pair) == 2 for pair in pairs)
    if not need.total:
        return PairCount(0, have, 0, 0)
    programme = Programme()
    own, beyond = lay_buses(programme, pairs, 1), lay_buses(programme, _imagined(need, pairs), 1000)
    for kind in BUS_KINDS:
        programme.row({**own.carriers[kind], **beyond.carriers[kind]}, least=getattr(need, kind))
    loose, served = _lay_loose(programme, need, buses)
    _, values = programme.solve(presolve=False)
    more = sum(values[v] for v in beyond.patterns)
    if more:
        return PairCount(have + more, have, sum(values[v] for v in served), _after_fader(loose, values))
    taken = sum(values[v] for v, (shape, _) in own.patterns.items() if len(shape) == 2)
    fixed = (need.mono_pre or need.stereo_pre) and any(b.tap == "always post" for b in buses)
    return PairCount(taken, have, need.total, _fewest_after_fader(need, pairs) if fixed else 0)


def _imagined(need: BusNeed, pairs: list[Pair]) -> list[Pair]:
    """Pairs the desk does not have: they link, and switch as its own do, or freely where its own are fixed."""
    tap: Tap = next((p[0].tap for p in pairs if len(p) == 2 and p[0].tap in ("each", "pair")), "each")
    runs = range(-((need.total + 1) // 2 + 1), 0)
    return [(Bus(1, run, tap, True, "aux", True), Bus(2, run, tap, True, "aux", True)) for run in runs]


def _lay_loose(programme: Programme, need: BusNeed, buses: Pair) -> tuple[Laid, list[int]]:
    """Bus channels the desk's taps can carry by number, pairing aside: as many as can be, then few after the fader."""
    loose = [(replace(b, tap="each") if b.tap == "pair" else b,) for b in buses]
    laid = lay_buses(programme, loose, 0, 0.001)
    asked: dict[BusKind, int] = {
        "mono_pre": need.mono_pre + 2 * need.stereo_pre,
        "mono_post": need.mono_post + 2 * need.stereo_post,
        "sends": need.sends,
    }
    served = []
    for kind, number in asked.items():
        served.append(programme.variable(number, -1))
        programme.row({**{v: -c for v, c in laid.carriers[kind].items()}, served[-1]: 1}, most=0)
    return laid, served


def _fewest_after_fader(need: BusNeed, pairs: list[Pair]) -> int:
    """Monitor mixes that have to sit after a fixed fader where everything finds a bus."""
    programme = Programme()
    laid = lay_buses(programme, pairs, 0, 1)
    for kind in BUS_KINDS:
        programme.row(laid.carriers[kind], least=getattr(need, kind))
    return _after_fader(laid, programme.solve(presolve=False)[1])


def _after_fader(laid: Laid, values: list[int]) -> int:
    return int(sum(values[v] * number for v, number in laid.after_fader.items()))


def pairs_of(buses: Iterable[Bus]) -> list[Pair]:
    """Odd buses with the next even one; what has no partner stands alone."""
    by_pair: dict[int, list[Bus]] = defaultdict(list)
    for bus in buses:
        by_pair[(bus.number + 1) // 2].append(bus)
    return [tuple(pair) for pair in by_pair.values()]


def tap_of(kind: str, buses: Pair) -> Literal["pre", "post"]:
    """Where what a bus or a pair carries is taken: both halves of a stereo mix together.

    A monitor is taken before the fader, unless one of its buses is always after it.
    """
    fixed = any(bus.tap == "always post" for bus in buses)
    return "pre" if kind.endswith("_pre") and not fixed else "post"


def loads_of(pair: Pair, load: Load) -> list[tuple[str, Pair]]:
    """What a pair carries and the bus, or for stereo both, that carry it; idle buses are left out."""
    held = [pair] if len(load) == 1 else [(bus,) for bus in pair]
    return [(kind, buses) for kind, buses in zip(load, held, strict=True) if kind != "idle"]


@dataclass(frozen=True)
class _Pattern:
    """One way to use a pair: what it carries, the common tap of each run it needs, mixes after a fixed fader."""

    load: Load
    taps: tuple[tuple[int, str], ...] = ()
    after_fader: int = 0


@dataclass(frozen=True)
class Laid:
    """Buses in a programme: variables that carry each kind, mixes after a fixed fader, and every pattern's variable."""

    carriers: dict[BusKind, dict[int, float]]
    after_fader: dict[int, float]
    patterns: dict[int, tuple[tuple, Load]]


@lru_cache(maxsize=4096)
def _patterns(pair: Pair) -> list[_Pattern]:
    single: Load = ("idle", "mono_pre", "mono_post", "sends")
    loads: list[Load] = list(product(single, repeat=len(pair)))[1:]
    if len(pair) == 2 and all(b.links_up for b in pair):
        loads += [("stereo_pre",), ("stereo_post",)]
    return [pattern for load in loads if (pattern := _pattern(pair, load)) is not None]


def _pattern(pair: Pair, load: Load) -> _Pattern | None:
    """The pattern if each bus can carry its load, else None."""
    switched: dict[tuple[str, int], set[str]] = defaultdict(set)
    after_fader = 0
    for kind, buses in loads_of(pair, load):
        tap = tap_of(kind, buses)
        after_fader += kind.endswith("_pre") and tap == "post"
        for bus in buses:
            if (kind == "sends" and not bus.feeds_effects) or (bus.tap == "always pre" and tap == "post"):
                return None
            if bus.tap in ("pair", "all"):
                switched[bus.tap, bus.run].add(tap)
    if any(len(taps) > 1 for taps in switched.values()):
        return None
    common = tuple((run, tap) for (how, run), taps in switched.items() for tap in taps if how == "all")
    return _Pattern(load, common, after_fader)


def lay_buses(
    programme: Programme, pairs: Sequence[Pair], pair_cost: float = 0, after_cost: float = 0
) -> Laid:
    """Add pairs of buses, by class, to a programme.

    Parameters
    ----------
    programme : Programme
        What they are added to.
    pairs : sequence of tuple of Bus
        Odd-even pairs, and buses left alone.
    pair_cost, after_cost : float
        Cost of each pair used, and of each monitor mix on a bus that is fixed after the fader.

    Returns
    -------
    Laid
    """
    laid = Laid({kind: {} for kind in BUS_KINDS}, {}, {})
    switches: dict[int, int] = {}
    for shape, times in Counter(map(shape_of, pairs)).items():
        pair = next(p for p in pairs if shape_of(p) == shape)
        used: dict[int, float] = {}
        for pattern in _patterns(pair):
            cost = (pair_cost if len(pair) == 2 else 0) + after_cost * pattern.after_fader
            var = programme.variable(times, cost)
            used[var] = 1
            laid.patterns[var] = (shape, pattern.load)
            for kind in BUS_KINDS:
                if kind in pattern.load:
                    laid.carriers[kind][var] = pattern.load.count(kind)
            if pattern.after_fader:
                laid.after_fader[var] = pattern.after_fader
            for run, tap in pattern.taps:
                if run not in switches:
                    switches[run] = programme.variable(1)
                sign = times if tap == "pre" else -times
                programme.row({var: 1, switches[run]: -sign}, most=0 if tap == "pre" else times)
        programme.row(used, most=times)
    return laid


def shape_of(pair: Pair) -> tuple:
    """What makes two pairs interchangeable."""
    return tuple((*_kind(bus), bus.number % 2) for bus in pair)


def alike(pair: Pair) -> bool:
    """Whether what one bus of a pair can carry, the other can."""
    return len({_kind(bus) for bus in pair}) == 1


def _kind(bus: Bus) -> tuple:
    return bus.tap, bus.links_up, bus.feeds_effects, bus.run if bus.tap == "all" else 0
