"""Bus ledgers: what each mix, send, zone and feed takes, and whether the pairs and taps come out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import product

from ..gig import Bus, Desk, Gig, Policy, Reason
from ._programme import Programme
from .ledger import Ledger
from .needs import monitor_bus_terms, reason
from .routes import Routes

PAIR_RULE = "stereo takes an odd-even pair"
SHARED_TAP_RULE = "buses that switch their tap together carry only sends of one kind"
SEND_RULE = "an effect whose send is not its own takes a bus after the fader"


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
    """What the pairs come to: how many are taken, how many there are, how many sends sit after a fixed fader."""

    taken: int
    have: int
    carried: int
    after_fader: int


def bus_need(gig: Gig, desk: Desk, routes: Routes) -> BusNeed:
    """The bus channels a gig takes on a desk, by kind.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.

    Returns
    -------
    BusNeed
    """
    by_bus = [m for m in gig.mixes if m.fed_by == "bus"]
    posts = [width for _, _, width in routes.taking("bus")]
    inside = len(_sends_inside(desk, routes))
    restricted = any(b.feeds_effects for b in desk.buses())
    centre = 1 if gig.mains.width == 3 else 0
    return BusNeed(
        stereo_pre=sum(m.is_stereo for m in by_bus),
        mono_pre=sum(m.width for m in by_bus if not m.is_stereo),
        stereo_post=sum(w == 2 for w in posts),
        mono_post=sum(w == 1 for w in posts) + len(routes.outboard) + centre + (0 if restricted else inside),
        sends=inside if restricted else 0,
    )


def bus_ledgers(gig: Gig, desk: Desk, routes: Routes, policy: Policy) -> tuple[list[Ledger], list[Reason]]:
    """The ledgers of buses and of bus pairs, and the cares about taps.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the spare bus.

    Returns
    -------
    tuple of (list of Ledger, list of Reason)
    """
    need = bus_need(gig, desk, routes)
    buses = [b for b in desk.buses() if b.kind == "aux"]
    count = count_pairs(need, buses)
    spare = policy.spares.buses if len(gig.own_mixes) >= policy.spares.buses_from_mixes else 0
    reasons = [
        reason("a mono mix takes one bus, a stereo mix two, whatever boxes play it", monitor_bus_terms(gig))
    ]
    sends = [*_sends_inside(desk, routes), *((f"effect.{e.name}", e.name, 1) for e in routes.outboard)]
    if sends:
        reasons.append(reason(SEND_RULE, sends))
    if routes.taking("bus"):
        reasons.append(
            reason("a zone or feed with a mix of its own takes a bus for each channel", routes.taking("bus"))
        )
    if gig.mains.width == 3:
        reasons.append(
            Reason("the centre of the mains takes a mono bus", ("mains.outputs",), (("centre", 1),), 1)
        )
    have = len(buses) if count.carried == need.total else count.carried
    if have < len(buses) and need.total:
        terms = (("buses that can carry what is asked", have), ("buses in all", len(buses)))
        reasons.append(Reason("a fixed tap carries only its own kind of send", ("mix_buses",), terms, have))
    rows = [Ledger("buses", "all", need.total, have, spare, tuple(reasons))]
    rows.append(_pair_ledger(need, buses, count, spare))
    cares = []
    if count.after_fader:
        cares.append(
            Reason("a monitor mix on a bus after the fader follows every fader move", ("mix_buses",),
                   (("mixes after the fader", count.after_fader),), count.after_fader)
        )  # fmt: skip
    return rows, cares


def count_pairs(need: BusNeed, buses: list[Bus]) -> PairCount:
    """How many odd-even pairs it takes, exactly; extra pairs are imagined where the desk has too few.

    Parameters
    ----------
    need : BusNeed
        What is to be carried.
    buses : list of Bus
        The desk's buses, in number order.

    Returns
    -------
    PairCount
        Pairs taken and had, bus channels the desk can carry at best, monitor sends after a fixed fader.
    """
    runs = pairs_of(buses)
    have = sum(len(pair) == 2 for pair in runs)
    taken = _fewest_pairs(need, runs, have)
    carried, after_fader = _most_carried(need, runs)
    return PairCount(taken, have, carried, after_fader)


def pairs_of(buses: list[Bus]) -> list[tuple[Bus, ...]]:
    """Odd buses with the next even one; what has no partner stands alone."""
    by_number = {b.number: b for b in buses}
    pairs: list[tuple[Bus, ...]] = []
    for bus in buses:
        if bus.number % 2 == 0:
            if bus.number - 1 not in by_number:
                pairs.append((bus,))
            continue
        partner = by_number.get(bus.number + 1)
        pairs.append((bus, partner) if partner else (bus,))
    return pairs


_PRE, _POST = "pre", "post"
_DEMANDS = ("stereo_pre", "mono_pre", "stereo_post", "mono_post", "sends")


@dataclass(frozen=True)
class _Pattern:
    """One way to use a pair: what it carries, the common tap of each run it needs, monitor sends post."""

    load: tuple[str, ...]
    taps: tuple[tuple[int, str], ...] = ()
    after_fader: int = 0

    @property
    def carries(self) -> Counter[str]:
        """How many of each kind; a pair in stereo carries one stereo."""
        return Counter(what for what in self.load if what != "idle")


@dataclass(frozen=True)
class Laid:
    """Buses in a programme: variables that carry each kind, sends after a fixed fader, and every pattern's variable."""

    carriers: dict[str, dict[int, float]]
    after_fader: dict[int, float]
    patterns: dict[int, tuple[tuple, _Pattern]]


def _patterns(pair: tuple[Bus, ...]) -> list[_Pattern]:
    found = []
    loads = product(*[("idle", "mono_pre", "mono_post", "sends") for _ in pair])
    for load in loads:
        pattern = _fits(pair, load)
        if pattern is not None and any(x != "idle" for x in load):
            found.append(pattern)
    if len(pair) == 2 and all(b.links_up for b in pair):
        for stereo, mono in (("stereo_pre", "mono_pre"), ("stereo_post", "mono_post")):
            pattern = _fits(pair, (mono, mono))
            if pattern is not None:
                found.append(_Pattern((stereo,), pattern.taps, pattern.after_fader))
    return found


def _fits(pair: tuple[Bus, ...], load: tuple[str, ...]) -> _Pattern | None:
    """The pattern if each bus can carry its load, else None."""
    taps: dict[tuple, set[str]] = {}
    common: list[tuple[int, str]] = []
    after_fader = 0
    for bus, what in zip(pair, load, strict=True):
        if what == "idle":
            continue
        wanted = _PRE if what == "mono_pre" else _POST
        if what == "sends" and not bus.feeds_effects:
            return None
        if bus.tap == "always pre" and wanted == _POST:
            return None
        if bus.tap == "always post" and wanted == _PRE:
            after_fader += 1
        if bus.tap == "pair":
            taps.setdefault(("pair", bus.run), set()).add(wanted)
        if bus.tap == "all":
            taps.setdefault(("all", bus.run), set()).add(wanted)
            common.append((bus.run, wanted))
    if any(len(t) > 1 for t in taps.values()):
        return None
    return _Pattern(load, tuple(dict.fromkeys(common)), after_fader)


def lay_buses(
    programme: Programme, pairs: list[tuple[Bus, ...]], pair_cost: float = 0, after_cost: float = 0
) -> Laid:
    """Add pairs of buses, by class, to a programme.

    Parameters
    ----------
    programme : Programme
        What they are added to.
    pairs : list of tuple of Bus
        Odd-even pairs, and buses left alone.
    pair_cost, after_cost : float
        Cost of each pair used, and of each monitor send on a bus that is fixed after the fader.

    Returns
    -------
    Laid
    """
    laid = Laid({kind: {} for kind in _DEMANDS}, {}, {})
    switches: dict[int, int] = {}
    for shape, times in Counter(shape_of(pair) for pair in pairs).items():
        pair = next(p for p in pairs if shape_of(p) == shape)
        used: dict[int, float] = {}
        for pattern in _patterns(pair):
            cost = (pair_cost if len(pair) == 2 else 0) + after_cost * pattern.after_fader
            var = programme.variable(times, cost)
            used[var] = 1
            laid.patterns[var] = (shape, pattern)
            for kind, number in pattern.carries.items():
                laid.carriers[kind][var] = number
            if pattern.after_fader:
                laid.after_fader[var] = pattern.after_fader
            for run, tap in pattern.taps:
                if run not in switches:
                    switches[run] = programme.variable(1)
                sign = times if tap == _PRE else -times
                programme.row({var: 1, switches[run]: -sign}, most=0 if tap == _PRE else times)
        programme.row(used, most=times)
    return laid


def shape_of(pair: tuple[Bus, ...]) -> tuple:
    """What makes two pairs interchangeable."""
    return tuple((*_kind(b), b.number % 2) for b in pair)


def alike(pair: tuple[Bus, ...]) -> bool:
    """Whether what one bus of a pair can carry, the other can."""
    return len({_kind(bus) for bus in pair}) == 1


def _kind(bus: Bus) -> tuple:
    return bus.tap, bus.links_up, bus.feeds_effects, bus.run if bus.tap == "all" else 0


def _fewest_pairs(need: BusNeed, runs: list[tuple[Bus, ...]], have: int) -> int:
    if not need.total:
        return 0
    extra = (need.total + 1) // 2 + 1
    model = next((p for p in runs if len(p) == 2 and p[0].tap in ("each", "pair")), None)
    imagined = _imagined(model, extra)
    programme = Programme()
    own = lay_buses(programme, runs, 1)
    beyond = lay_buses(programme, imagined, 1000)
    for kind in _DEMANDS:
        programme.row({**own.carriers[kind], **beyond.carriers[kind]}, least=getattr(need, kind))
    _, values = programme.solve()
    more = sum(values[v] for v in beyond.patterns)
    within = sum(values[v] for v, (shape, _) in own.patterns.items() if len(shape) == 2)
    return have + more if more else within


def _imagined(like: tuple[Bus, ...] | None, count: int) -> list[tuple[Bus, ...]]:
    """Pairs the desk does not have: they link, and switch as its own do, or freely where its own are fixed."""
    tap = like[0].tap if like else "each"
    runs = range(-count, 0)
    return [(Bus(1, run, tap, True, "aux", True), Bus(2, run, tap, True, "aux", True)) for run in runs]


def _most_carried(need: BusNeed, runs: list[tuple[Bus, ...]]) -> tuple[int, int]:
    """Bus channels the desk's taps can carry by number, pairing aside, and those after a fixed fader."""
    loose = [replace(b, tap="each") if b.tap == "pair" else b for pair in runs for b in pair]
    programme = Programme()
    laid = lay_buses(programme, [(b,) for b in loose], 0, 0.001)
    pre = need.mono_pre + 2 * need.stereo_pre
    post = need.mono_post + 2 * need.stereo_post
    for kind, number in (("mono_pre", pre), ("mono_post", post), ("sends", need.sends)):
        served = programme.variable(number, -1)
        programme.row({**{v: -c for v, c in laid.carriers[kind].items()}, served: 1}, most=0)
    _, values = programme.solve()
    carried = sum(values[v] for v in range(len(values)) if programme.costs[v] == -1)
    return carried, int(sum(values[v] * n for v, n in laid.after_fader.items()))


def _pair_ledger(need: BusNeed, buses: list[Bus], count: PairCount, spare: int) -> Ledger:
    terms = [("stereo before the fader", need.stereo_pre), ("stereo after the fader", need.stereo_post)]
    reasons = [
        Reason(
            PAIR_RULE,
            ("mix_buses.stereo",),
            tuple(t for t in terms if t[1]),
            need.stereo_pre + need.stereo_post,
        )
    ]
    single = count.taken - need.stereo_pre - need.stereo_post
    rule = (
        SHARED_TAP_RULE
        if any(b.tap == "pair" for b in buses)
        else "single buses fill what is left of the pairs"
    )
    kinds = [("mono before the fader", need.mono_pre), ("mono after the fader", need.mono_post + need.sends)]
    words = " and ".join(f"{number} {label}" for label, number in kinds if number)
    if words:
        reasons.append(
            Reason(f"{rule} ({words})", ("mix_buses.tap",), (("pairs", max(0, single)),), max(0, single))
        )
    wanted = 0
    if spare and count.taken <= count.have:
        more = BusNeed(need.stereo_pre, need.mono_pre + spare, need.stereo_post, need.mono_post, need.sends)
        wanted = count_pairs(more, buses).taken - count.taken
    return Ledger("bus pairs", "all", count.taken, count.have, wanted, tuple(reasons))


def _sends_inside(desk: Desk, routes: Routes) -> list[tuple[str, str, int]]:
    if desk.effects.send == "own":
        return []
    return [(f"effect.{e.name}", e.name, 1) for e in routes.inside]


__all__ = ["BusNeed", "PairCount", "bus_ledgers", "bus_need", "count_pairs"]
