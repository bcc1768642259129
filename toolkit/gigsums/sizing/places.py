"""From counts to sockets: what sits where, once it is known how many go which way."""

from __future__ import annotations

from collections import defaultdict

from ..gig import Bus, Desk
from .buses import alike, pairs_of, shape_of
from .exact import Solution
from .ledger import Place
from .ways import BUS_KINDS, Problem, Way


def units(problem: Problem, solution: Solution) -> list[tuple[str, Way]]:
    """Each unit's key path with the way it goes: in file order, those that change nothing first."""
    listed = []
    for c, things in enumerate(problem.classes):
        ways = [(things.ways[w], number) for k, w, number in solution.chosen if k == c]
        ways.sort(key=lambda entry: (len(entry[0].steps), things.ways.index(entry[0])))
        each = [way for way, number in ways for _ in range(number)]
        listed += list(zip(things.paths, each, strict=True))
    order = {path: n for n, path in enumerate(_file_order(problem))}
    return sorted(listed, key=lambda entry: order.get(entry[0], len(order)))


def _file_order(problem: Problem) -> list[str]:
    gig = problem.gig
    paths = ["mains", *(path for path, _ in gig.sources), "desk.talkback"]
    paths += [f"mix.{m.name}" for m in gig.mixes] + [f"effect.{e.name}" for e in gig.effects]
    return paths + [f"zone.{z.name}" for z in gig.zones] + [f"feed.{f.name}" for f in gig.feeds]


def settle(problem: Problem, solution: Solution, names: dict[int, str], desk: Desk) -> tuple[Place, ...]:
    """Give every unit sockets and buses of its own.

    Parameters
    ----------
    problem : Problem
        What was solved.
    solution : Solution
        How many go which way.
    names : dict of int to str
        The item of each unit, by its position in `units`, as the changed gig calls it; absent where dropped.
    desk : Desk
        The desk, with any box that was added.

    Returns
    -------
    tuple of Place
    """
    placed: list[Place] = []
    sockets = _Sockets(desk, solution)
    listed = [(names[n], way) for n, (_, way) in enumerate(units(problem, solution)) if n in names]
    buses = _Buses(desk, solution, [way for _, way in listed])
    for item, way in sorted(listed, key=lambda entry: -_fussiness(entry[1])):
        takes = dict(way.takes) | _of_every_source(item, way, listed)
        for on, at, number in way.sits:
            phantom = "needs" if f"needs:{at}" in takes else "harmed" if f"harmed:{at}" in takes else ""
            delay = max(
                (float(s.split()[1].split(":")[0]) for s in takes if s.startswith("out ")), default=0.0
            )
            placed += [Place(item, on, at, n) for n in sockets.take(on, at, number, phantom, delay)]
        for kind in BUS_KINDS:
            placed += [
                Place(item, "bus", "desk", bus.number, _tap(kind, bus))
                for bus in buses.take(kind, int(takes.get(kind, 0)))
            ]
        for stock, on in (
            ("matrix", "matrix"),
            ("group", "group"),
            ("effects", "effects unit"),
            ("tracks", "track"),
            ("direct", "direct out"),
        ):
            at = desk.output_place("desk") if on == "direct out" else "desk"
            numbers = sockets.take(on, at, int(takes.get(stock, 0)), "", 0)
            placed += [Place(item, on, at, n) for n in numbers]
    order = {item: n for n, (item, _) in enumerate(listed)}
    return tuple(sorted(placed, key=lambda p: (order[p.item], p.on, p.at, p.number)))


def _of_every_source(item: str, way: Way, listed: list[tuple[str, Way]]) -> dict[str, float]:
    """The tracks or direct outs of a feed that keeps every source apart: one for each channel that is mixed."""
    stock = {"recorder": "tracks", "direct": "direct"}.get(way.route, "")
    kept = f"{stock} {item.removeprefix('feed.')}"
    if not any(name == kept for _, other in listed for name, _ in other.takes) or stock in dict(way.takes):
        return {}
    sources = (other for path, other in listed if path.startswith(("performer.", "line.")))
    return {stock: sum(dict(other.takes).get(kept, 0) for other in sources)}


def _fussiness(way: Way) -> float:
    """Those that may sit on the fewest sockets choose first."""
    takes = dict(way.takes)
    phantom = any(s.startswith(("needs:", "harmed:")) for s in takes)
    return 10_000 * phantom + max(
        (float(s.split()[1].split(":")[0]) for s in takes if s.startswith("out ")), default=0.0
    )


def _tap(kind: str, bus: Bus) -> str:
    """Before the fader for a monitor, unless it sits on a bus that is always after it."""
    return "pre" if kind.endswith("_pre") and bus.tap != "always post" else "post"


class _Sockets:
    """Numbered sockets in each place, handed out so that phantom and delays come out right."""

    def __init__(self, desk: Desk, solution: Solution) -> None:
        self.desk = desk
        self.live = {(at, size): number for at, size, number in solution.live}
        self.mics: dict[str, list[tuple[int, str]]] = {}
        self.outs: dict[str, list[tuple[int, float]]] = {}
        self.counters: dict[tuple[str, str], int] = defaultdict(int)

    def take(self, on: str, at: str, number: int, phantom: str, delay: float) -> list[int]:
        if on == "mic input":
            return self._mic(at, number, phantom)
        if on == "output":
            return self._out(at, number, delay)
        first = self.counters[on, at] + 1
        self.counters[on, at] += number
        return list(range(first, first + number))

    def _mic(self, at: str, number: int, phantom: str) -> list[int]:
        if at not in self.mics:
            self.mics[at] = self._label(at)
        wish = {
            "needs": ("live", "each"),
            "harmed": ("dead", "bare", "each"),
            "": ("bare", "dead", "live", "each"),
        }[phantom]
        free = sorted(self.mics[at], key=lambda s: (wish.index(s[1]) if s[1] in wish else 9, s[0]))
        if not phantom:
            free = sorted(self.mics[at])
        taken = free[:number]
        self.mics[at] = [s for s in self.mics[at] if s not in taken]
        return sorted(n for n, _ in taken)

    def _label(self, at: str) -> list[tuple[int, str]]:
        """Each microphone socket with the phantom it can have: switched alone, in a live or dead bank, or never."""
        labelled: list[tuple[int, str]] = []
        left = {size: number for (place, size), number in self.live.items() if place == at}
        for inputs in (i for i in self.desk.inputs if i.at == at):
            if inputs.phantom in ("each", "none"):
                kinds = ["each" if inputs.phantom == "each" else "bare"] * inputs.mic
            else:
                kinds = []
                for size in inputs.bank_sizes:
                    on = left.get(size, 0) > 0
                    left[size] = left.get(size, 0) - on
                    kinds += ["live" if on else "dead"] * size
            labelled += [(len(labelled) + k, kind) for k, kind in enumerate(kinds, start=1)]
        return labelled

    def _out(self, at: str, number: int, delay: float) -> list[int]:
        if at not in self.outs:
            reach = [o.delay_up_to_ms for o in self.desk.outputs if o.at == at for _ in range(o.line)]
            self.outs[at] = list(enumerate(reach, start=1))
        able = sorted((s for s in self.outs[at] if s[1] >= delay), key=lambda s: (s[1], s[0]))
        taken = able[:number]
        self.outs[at] = [s for s in self.outs[at] if s not in taken]
        return sorted(n for n, _ in taken)


class _Buses:
    """The desk's buses, loaded as the programme said, handed out by kind."""

    def __init__(self, desk: Desk, solution: Solution, ways: list[Way]) -> None:
        self.free: dict[str, list[tuple[Bus, ...]]] = {kind: [] for kind in BUS_KINDS}
        self.wanted = {kind: sum(int(dict(way.takes).get(kind, 0)) for way in ways) for kind in BUS_KINDS}
        waiting: dict[tuple, list[tuple[str, ...]]] = defaultdict(list)
        for shape, load, number in solution.patterns:
            waiting[shape] += [load] * number
        for pair in pairs_of([b for b in desk.buses() if b.kind == "aux"]):
            loads = waiting[shape_of(pair)]
            if not loads:
                continue
            load = self._used(loads.pop(0), pair)
            groups = [pair] if len(load) == 1 else [(bus,) for bus in pair]
            for held, what in zip(groups, load, strict=True):
                if what != "idle":
                    self.free[what].append(held)

    def _used(self, load: tuple[str, ...], pair: tuple[Bus, ...]) -> tuple[str, ...]:
        """What of a load is wanted; where the two buses are alike, the odd one is taken first."""
        kept = []
        for what in load:
            if what != "idle" and not self.wanted[what]:
                what = "idle"
            elif what != "idle":
                self.wanted[what] -= 1
            kept.append(what)
        return tuple(sorted(kept, key="idle".__eq__)) if alike(pair) else tuple(kept)

    def take(self, kind: str, number: int) -> list[Bus]:
        taken = self.free[kind][:number]
        self.free[kind] = self.free[kind][number:]
        return [bus for group in taken for bus in group]
