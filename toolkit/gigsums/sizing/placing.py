"""From ways to sockets: the exact question as a whole-number programme, and what then sits where."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from ..gig import Bus, Desk, Gig, Mix, Step
from .buses import (
    BUS_KINDS,
    BusKind,
    Load,
    Outcome,
    Pair,
    Programme,
    alike,
    lay_buses,
    loads_of,
    pairs_of,
    shape_of,
    tap_of,
)
from .judge import Place
from .ways import HAVE_ROWS, Stock, StockKind, Way, Ways

POINT = 10_000
"""One point of cost, so that the order of preference among free ways never outweighs one."""
Taken = Counter[tuple[int, tuple[Step, ...]]]


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

    outcome: Outcome
    points: int = 0
    chosen: tuple[tuple[int, int, int], ...] = ()
    patterns: tuple[tuple[tuple, Load, int], ...] = ()
    live: tuple[tuple[str, int, int], ...] = ()


def solve(ways: Ways, banned: Iterable[Taken] = (), seconds: float = 30.0) -> Solution:
    """The cheapest set of changes that lets everything be placed.

    Parameters
    ----------
    ways : Ways
        Classes of things with their ways.
    banned : iterable of Counter
        Sets of changes already answered: neither they nor anything that contains them is answered again.
    seconds : float
        When to give up [s].

    Returns
    -------
    Solution
        With outcome ``"none"`` it is proven that nothing works; ``"out of time"`` proves nothing.
    """
    if any(not c.ways for c in ways.classes):
        return Solution("none")
    programme = Programme()
    going: dict[int, tuple[int, int]] = {}
    by_stock: dict[Stock, dict[int, float]] = defaultdict(dict)
    for c, things in enumerate(ways.classes):
        total: dict[int, float] = {}
        for w, way in enumerate(things.ways):
            var = programme.variable(len(things.paths), _cost(ways, way) * POINT + w)
            going[var] = (c, w)
            total[var] = 1
            for stock, amount in way.takes:
                by_stock[stock][var] = amount
        programme.row(total, least=len(things.paths), most=len(things.paths))
    laid = lay_buses(programme, pairs_of(b for b in ways.desk.buses() if b.kind == "aux"), 1, 20)
    for kind in BUS_KINDS:
        taken = {var: -amount for var, amount in by_stock[Stock(kind)].items()}
        if taken:
            programme.row({**laid.carriers[kind], **taken}, least=0)
    for stock, terms in by_stock.items():
        if stock.kind not in HAVE_ROWS:  # whoever is sub-mixed goes in whole
            least = 0 if stock.kind == "sub" else -float("inf")
            programme.row(terms, least=least, most=ways.stocks.get(stock, 0.0))
    live = _lay_phantom(programme, ways, by_stock)
    for answer in banned:
        _ban(programme, ways, going, answer)
    outcome, values = programme.solve(seconds)
    if not values:
        return Solution(outcome)
    chosen = tuple((c, w, values[var]) for var, (c, w) in going.items() if values[var])
    points = sum(_cost(ways, ways.classes[c].ways[w]) * number for c, w, number in chosen)
    patterns = tuple((shape, load, values[v]) for v, (shape, load) in laid.patterns.items() if values[v])
    return Solution(outcome, points, chosen, patterns, tuple((*at, values[var]) for at, var in live.items()))


def taken_by(ways: Ways, solution: Solution) -> Taken:
    """How many of each class take which steps in a solution: what to ban for another answer.

    Parameters
    ----------
    ways : Ways
        What was solved.
    solution : Solution
        Its answer.

    Returns
    -------
    Counter
        By class and steps.
    """
    taken: Taken = Counter()
    for c, w, number in solution.chosen:
        if steps := ways.classes[c].ways[w].steps:
            taken[c, steps] += number
    return taken


def _cost(ways: Ways, way: Way) -> int:
    """Points of a way's steps, by the house policy."""
    return sum(ways.policy.changes.price(step.kind).points for step in way.steps)


def _lay_phantom(
    programme: Programme, ways: Ways, by_stock: dict[Stock, dict[int, float]]
) -> dict[tuple[str, int], int]:
    """Banks with phantom on or off, and inputs switched one by one; what needs it and what it harms keep apart."""
    switched: dict[tuple[str, int], int] = {}
    for at in sorted({i.at for i in ways.desk.inputs}):
        needs, harmed = by_stock[Stock("needs", at)], by_stock[Stock("harmed", at)]
        if not needs and not harmed:
            continue
        given = by_stock[Stock("each", at)]
        each = ways.stocks[Stock("each", at)]
        on = programme.variable(each - sum(given.values()))
        programme.row({**given, on: 1}, most=each)
        sizes = Counter(size for i in ways.desk.inputs if i.at == at for size in i.bank_sizes)
        banks = {programme.variable(count): size for size, count in sizes.items()}
        switched |= {(at, size): var for var, size in banks.items()}
        programme.row({**needs, on: -1, **{v: -s for v, s in banks.items()}}, most=0)
        room = each + ways.stocks[Stock("bare", at)] + sum(size * count for size, count in sizes.items())
        programme.row({**harmed, **given, on: 1, **{v: float(s) for v, s in banks.items()}}, most=room)
    return switched


def _ban(programme: Programme, ways: Ways, going: dict[int, tuple[int, int]], answer: Taken) -> None:
    """At least one kind of change must be made fewer times than in that answer."""
    fewer = {}
    for (c, steps), number in answer.items():
        same = {v: 1.0 for v, (k, w) in going.items() if k == c and ways.classes[k].ways[w].steps == steps}
        flag = programme.variable(1)
        fewer[flag] = 1.0
        size = len(ways.classes[c].paths)
        programme.row({**same, flag: size}, most=number - 1 + size)
    programme.row(fewer, least=1)


# ---- Which unit goes which way, and the steps that takes ------------------------------------------------


@dataclass(frozen=True)
class Going:
    """One thing, or one of a counted source, with the way it goes and the steps it takes."""

    path: str
    number: int
    way: Way
    steps: tuple[Step, ...]


def units_of(ways: Ways, solution: Solution) -> tuple[Going, ...]:
    """Each unit with the way it goes: in file order, those that change nothing first.

    Parameters
    ----------
    ways : Ways
        What was solved.
    solution : Solution
        Its answer.

    Returns
    -------
    tuple of Going
    """
    listed: list[tuple[str, Way]] = []
    for c, things in enumerate(ways.classes):
        going = sorted((len(things.ways[w].steps), w, number) for k, w, number in solution.chosen if k == c)
        each = [things.ways[w] for _, w, number in going for _ in range(number)]
        listed += zip(things.paths, each, strict=True)
    gig = ways.gig
    order = ("mains", *dict(gig.sources), "desk.talkback", *dict(gig.things))
    rank = {path: n for n, path in enumerate(order)}
    listed.sort(key=lambda entry: rank.get(entry[0], len(rank)))
    hosts = _hosts(gig, {path.removeprefix("mix."): way for path, way in listed if path.startswith("mix.")})
    seen: Counter[str] = Counter()
    found = []
    for path, way in listed:
        seen[path] += 1
        steps = tuple(
            replace(s, item=path, unit=seen[path], to=hosts[path] if s.kind == "share" else s.to)
            for s in way.steps
        )
        found.append(Going(path, seen[path], way, steps))
    return tuple(found)


def _hosts(gig: Gig, ways: dict[str, Way]) -> dict[str, str]:
    """Whose mix each shared one joins: the first that will do, the stereo ones choosing first."""
    kept: list[tuple[Mix, bool]] = []
    merged: list[tuple[Mix, bool]] = []
    for mix in gig.own_mixes:
        kinds = {step.kind for step in ways[mix.name].steps}
        stereo = mix.is_stereo and "mono" not in kinds
        if "share" in kinds:
            merged.append((mix, stereo))
        elif (
            kinds.isdisjoint(("drop nice", "drop want"))
            and "share" in mix.may
            and not mix.sub_send
            and mix.fed_by == "bus"
        ):
            kept.append((mix, stereo))
    merged.sort(key=lambda entry: not entry[1])
    return {
        f"mix.{mix.name}": next(
            host.name
            for host, wide in kept
            if (host.through, host.at) == (mix.through, mix.at) and wide >= stereo
        )
        for mix, stereo in merged
    }


# ---- Particular sockets ---------------------------------------------------------------------------------


def settle(solution: Solution, listed: list[tuple[str, Way]], desk: Desk) -> tuple[Place, ...]:
    """Give every unit sockets and buses of its own.

    Parameters
    ----------
    solution : Solution
        How buses and banks are switched.
    listed : list of (str, Way)
        Each unit that is still placed, under its key path in the changed gig, with the way it goes.
    desk : Desk
        The desk, with any box that was added.

    Returns
    -------
    tuple of Place
    """
    placed: list[Place] = []
    sockets = _Sockets(desk, solution)
    free = _loaded_buses(desk, solution, [way for _, way in listed])
    for item, way in sorted(listed, key=lambda entry: -_fussiness(entry[1])):
        takes = {stock.kind: int(amount) for stock, amount in way.takes if stock in _COUNTED}
        takes |= _of_every_source(item, way, listed)
        for on, at, number in way.sits:
            phantom = next((s.kind for s, _ in way.takes if s.kind in ("needs", "harmed") and s.at == at), "")
            placed += [Place(item, on, at, n) for n in sockets.take(on, at, number, phantom, _delay(way))]
        for kind in BUS_KINDS:
            for _ in range(takes.get(kind, 0)):
                buses = free[kind].pop(0)
                placed += [Place(item, "bus", "desk", bus.number, tap_of(kind, buses)) for bus in buses]
        for stock, on in _COUNTED.items():
            if on != "bus":
                at = desk.output_place("desk") if on == "direct out" else "desk"
                numbers = sockets.take(on, at, takes.get(stock.kind, 0))
                placed += [Place(item, on, at, n) for n in numbers]
    order = {item: n for n, (item, _) in enumerate(listed)}
    return tuple(sorted(placed, key=lambda p: (order[p.item], p.on, p.at, p.number)))


_COUNTED = {Stock(kind): "bus" for kind in BUS_KINDS} | {
    Stock("matrix"): "matrix",
    Stock("group"): "group",
    Stock("effects"): "effects unit",
    Stock("tracks"): "track",
    Stock("direct"): "direct out",
}
"""What a desk has once, wherever it stands, and what it is called there."""


def _of_every_source(item: str, way: Way, listed: list[tuple[str, Way]]) -> dict[StockKind, int]:
    """The tracks or direct outs of a feed that keeps every source apart: one for each channel that is mixed."""
    kinds: dict[str, StockKind] = {"recorder": "tracks", "direct": "direct"}
    kind = kinds.get(way.route)
    if kind is None or any(stock == Stock(kind) for stock, _ in way.takes):
        return {}
    kept = Stock(kind, of=item.removeprefix("feed."))
    sources = (other for path, other in listed if path.startswith(("performer.", "line.")))
    return {kind: int(sum(n for other in sources for stock, n in other.takes if stock == kept))}


def _delay(way: Way) -> float:
    """What its outputs have to delay [ms]."""
    return max((stock.delay_ms for stock, _ in way.takes), default=0.0)


def _fussiness(way: Way) -> float:
    """Those that may sit on the fewest sockets choose first."""
    return 10_000 * any(stock.kind in ("needs", "harmed") for stock, _ in way.takes) + _delay(way)


class _Sockets:
    """Numbered sockets in each place, handed out so that phantom and delays come out right."""

    def __init__(self, desk: Desk, solution: Solution) -> None:
        self.desk = desk
        self.live = {(at, size): number for at, size, number in solution.live}
        self.free: dict[tuple[str, str], list[tuple[int, Any]]] = {}
        self.counters: dict[tuple[str, str], int] = defaultdict(int)

    def take(self, on: str, at: str, number: int, phantom: str = "", delay: float = 0.0) -> list[int]:
        if on not in ("mic input", "output"):
            first = self.counters[on, at] + 1
            self.counters[on, at] += number
            return list(range(first, first + number))
        if (on, at) not in self.free:
            self.free[on, at] = self._inputs(at) if on == "mic input" else self._outputs(at)
        free = self.free[on, at]
        if on == "output":
            wished = sorted((s for s in free if s[1] >= delay), key=lambda s: (s[1], s[0]))
        elif phantom:
            wish = {"needs": ("live", "each"), "harmed": ("dead", "bare", "each")}[phantom]
            wished = sorted(free, key=lambda s: (wish.index(s[1]) if s[1] in wish else 9, s[0]))
        else:
            wished = sorted(free)
        taken = wished[:number]
        self.free[on, at] = [s for s in free if s not in taken]
        return sorted(n for n, _ in taken)

    def _inputs(self, at: str) -> list[tuple[int, Any]]:
        """Each microphone socket with the phantom it can have: switched alone, in a live or dead bank, or never."""
        kinds: list[str] = []
        left = {size: number for (place, size), number in self.live.items() if place == at}
        for inputs in (i for i in self.desk.inputs if i.at == at):
            if inputs.phantom in ("each", "none"):
                kinds += ["each" if inputs.phantom == "each" else "bare"] * inputs.mic
            for size in inputs.bank_sizes:
                on = left.get(size, 0) > 0
                left[size] = left.get(size, 0) - on
                kinds += ["live" if on else "dead"] * size
        return list(enumerate(kinds, start=1))

    def _outputs(self, at: str) -> list[tuple[int, Any]]:
        """Each output socket with the most it delays [ms]."""
        reach = [o.delay_up_to_ms for o in self.desk.outputs if o.at == at for _ in range(o.line)]
        return list(enumerate(reach, start=1))


def _loaded_buses(desk: Desk, solution: Solution, ways: list[Way]) -> dict[BusKind, list[Pair]]:
    """The desk's buses by what they carry as the programme said; a stereo load has its two together."""
    wanted: Counter[str] = Counter()
    for way in ways:
        wanted.update({stock.kind: int(amount) for stock, amount in way.takes if stock.kind in BUS_KINDS})
    waiting: dict[tuple, list[Load]] = defaultdict(list)
    for shape, load, number in solution.patterns:
        waiting[shape] += [load] * number
    free: dict[BusKind, list[tuple[Bus, ...]]] = {kind: [] for kind in BUS_KINDS}
    for pair in pairs_of(b for b in desk.buses() if b.kind == "aux"):
        if not waiting[shape_of(pair)]:
            continue
        kept: list[Any] = []
        for what in waiting[shape_of(pair)].pop(0):
            kept.append(what if wanted[what] > 0 else "idle")
            wanted[what] -= 1
        if alike(pair):  # the odd bus is taken first
            kept.sort(key="idle".__eq__)
        for kind, buses in loads_of(pair, tuple(kept)):
            free[kind].append(buses)  # type: ignore[index]
    return free
