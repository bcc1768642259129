"""The exact question as a whole-number programme: which ways, at the least cost, or proof that there are none."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import Literal

from ._programme import Programme
from .buses import Laid, lay_buses, pairs_of
from .ways import BUS_KINDS, PHANTOM, Problem, Step, Way

POINT = 10_000
"""One point of cost, so that the order of preference among free ways never outweighs one."""

Chosen = tuple[tuple[int, int, int], ...]  # class, way, how many


@dataclass(frozen=True)
class Solution:
    """What the programme answers: how many of each class go which way, how the buses and banks are switched.

    Parameters
    ----------
    outcome : str
        ``"best"``, ``"none"`` (proven that there is none) or ``"out of time"``.
    points : int
        Cost of the changes.
    chosen : tuple
        Class, way, how many.
    patterns : tuple
        Shape of a pair, what its buses carry, how many such pairs.
    live : tuple
        Place, bank size, how many banks of that size have phantom on.
    """

    outcome: Literal["best", "none", "out of time"]
    points: int = 0
    chosen: Chosen = ()
    patterns: tuple[tuple[tuple, tuple[str, ...], int], ...] = ()
    live: tuple[tuple[str, int, int], ...] = ()

    def changes(self, problem: Problem) -> Counter[tuple[int, tuple[Step, ...]]]:
        """How many of each class take which steps.

        Parameters
        ----------
        problem : Problem
            What was solved.

        Returns
        -------
        Counter
            By class and steps.
        """
        taken: Counter[tuple[int, tuple[Step, ...]]] = Counter()
        for c, w, number in self.chosen:
            steps = problem.classes[c].ways[w].steps
            if steps:
                taken[c, steps] += number
        return taken


def solve(
    problem: Problem, banned: tuple[Counter[tuple[int, tuple[Step, ...]]], ...] = (), seconds: float = 30.0
) -> Solution:
    """The cheapest set of changes that lets everything be placed.

    Parameters
    ----------
    problem : Problem
        Classes of things with their ways.
    banned : tuple of Counter
        Sets of changes already answered: neither they nor anything that contains them is answered again.
    seconds : float
        When to give up [s].

    Returns
    -------
    Solution
        With outcome ``"none"`` it is proven that nothing works; ``"out of time"`` proves nothing.
    """
    if any(not c.ways for c in problem.classes):
        return Solution("none")
    programme = Programme()
    ways: dict[int, tuple[int, int]] = {}
    by_stock: dict[str, dict[int, float]] = defaultdict(dict)
    for c, things in enumerate(problem.classes):
        total: dict[int, float] = {}
        for w, way in enumerate(things.ways):
            var = programme.variable(len(things.paths), cost(problem, way) * POINT + w)
            ways[var] = (c, w)
            total[var] = 1
            for stock, amount in way.takes:
                by_stock[stock][var] = amount
        programme.row(total, least=len(things.paths), most=len(things.paths))
    laid = lay_buses(programme, pairs_of([b for b in problem.desk.buses() if b.kind == "aux"]), 1, 20)
    for kind in BUS_KINDS:
        demand = {var: -amount for var, amount in by_stock[kind].items()}
        if demand:
            programme.row({**laid.carriers[kind], **demand}, least=0)
    for stock, terms in by_stock.items():
        if stock not in BUS_KINDS and stock.split(":")[0] not in PHANTOM:
            balance = stock in problem.balances
            programme.row(terms, least=0 if balance else -float("inf"), most=problem.stocks.get(stock, 0.0))
    live = _lay_phantom(programme, problem, by_stock)
    for answer in banned:
        _ban(programme, problem, ways, answer)
    outcome, values = programme.solve(seconds)
    if not values:
        return Solution(outcome)
    return _read(problem, outcome, values, ways, laid, live)


def cost(problem: Problem, way: Way) -> int:
    """Points of a way's steps, by the house policy.

    Parameters
    ----------
    problem : Problem
        For the policy.
    way : Way
        One of its ways.

    Returns
    -------
    int
        Points.
    """
    prices = problem.policy.changes
    return sum(getattr(prices, step.kind.replace(" ", "_").replace("-", "_")).points for step in way.steps)


def _lay_phantom(
    programme: Programme, problem: Problem, by_stock: dict[str, dict[int, float]]
) -> dict[tuple[str, int], int]:
    """Banks with phantom on or off, and inputs switched one by one; what needs it and what it harms keep apart."""
    switched: dict[tuple[str, int], int] = {}
    for at in sorted({i.at for i in problem.desk.inputs}):
        needs, harmed = by_stock[f"needs:{at}"], by_stock[f"harmed:{at}"]
        if not needs and not harmed:
            continue
        given = by_stock[f"each:{at}"]
        each = problem.stocks[f"each:{at}"]
        on = programme.variable(each - sum(given.values()))
        programme.row({**given, on: 1}, most=each)
        sizes = Counter(size for i in problem.desk.inputs if i.at == at for size in i.bank_sizes)
        banks = {programme.variable(count): size for size, count in sizes.items()}
        for var, size in banks.items():
            switched[at, size] = var
        programme.row({**needs, on: -1, **{v: -s for v, s in banks.items()}}, most=0)
        room = each + problem.stocks[f"bare:{at}"] + sum(size * count for size, count in sizes.items())
        programme.row({**harmed, **given, on: 1, **{v: float(s) for v, s in banks.items()}}, most=room)
    return switched


def _ban(
    programme: Programme,
    problem: Problem,
    ways: dict[int, tuple[int, int]],
    answer: Counter[tuple[int, tuple[Step, ...]]],
) -> None:
    """At least one kind of change must be made fewer times than in that answer."""
    fewer = {}
    for (c, steps), number in answer.items():
        same = {v: 1.0 for v, (k, w) in ways.items() if k == c and problem.classes[k].ways[w].steps == steps}
        flag = programme.variable(1)
        fewer[flag] = 1.0
        size = len(problem.classes[c].paths)
        programme.row({**same, flag: size}, most=number - 1 + size)
    programme.row(fewer, least=1)


def _read(
    problem: Problem,
    outcome: Literal["best", "none", "out of time"],
    values: list[int],
    ways: dict[int, tuple[int, int]],
    laid: Laid,
    live: dict[tuple[str, int], int],
) -> Solution:
    chosen = tuple((c, w, values[var]) for var, (c, w) in ways.items() if values[var])
    points = sum(cost(problem, problem.classes[c].ways[w]) * number for c, w, number in chosen)
    patterns = tuple((shape, p.load, values[v]) for v, (shape, p) in laid.patterns.items() if values[v])
    banks = tuple((at, size, values[var]) for (at, size), var in live.items())
    return Solution(outcome, points, chosen, patterns, banks)


__all__ = ["Solution", "cost", "solve"]
