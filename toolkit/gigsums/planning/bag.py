"""The bag: what has to be in the van besides the desk and the loudspeakers, counted from the gig and the house's habits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ..formulas.cables import stock_length_m
from ..formulas.kit import battery_sets
from ..gig import Desk, Gig, Source, load_policy
from ..gig.policy import Bag
from ..sizing import demand
from .lists import kind_of, table

Spot = tuple[float, float]
VOCAL, FED, OTHER = "vocal microphone", "microphone that needs phantom", "other microphone"
RADIO, DI = "radio microphone and receiver", "DI box"
UNKNOWN = "length to be measured"


@dataclass(frozen=True)
class BagRow:
    """One thing to pack.

    Parameters
    ----------
    case : str
        What it is packed with.
    item : str
        What it is.
    needed, spare : int
        How many the gig takes, and how many more the house wants.
    """

    case: str
    item: str
    needed: int
    spare: int

    @property
    def total(self) -> int:
        """How many to pack."""
        return self.needed + self.spare


@dataclass(frozen=True)
class BagList:
    """Everything to pack, case by case.

    Parameters
    ----------
    rows : tuple of BagRow
        One for each thing.
    """

    rows: tuple[BagRow, ...]

    def __getitem__(self, item: str) -> BagRow:
        for row in self.rows:
            if row.item == item:
                return row
        raise KeyError(f"{item!r} is not in the bag; in it are: {', '.join(row.item for row in self.rows)}")

    def __str__(self) -> str:
        shown, last = [], ""
        for row in self.rows:
            case, last = ("" if row.case == last else row.case), row.case
            shown.append((case, row.item, row.needed, row.spare or "", row.total, "[ ]", "[ ]"))
        return table(("case", "item", "need", "spare", "take", "in", "back"), shown)


def bag(gig: Gig, desk: Desk, box_m: Spot | None = None, pack_hours_h: float | None = None) -> BagList:
    """What to pack for a gig on a desk, the house's spares included.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed. Counts that are not settled are taken at their most.
    desk : Desk
        The desk; what it has inside need not be carried.
    box_m : tuple of float, optional
        Where the stage box, or the stage end of the multicore, stands: from stage right, from the stage edge [m].
        Cable lengths follow from it and from where the players stand; without it they are to be measured.
    pack_hours_h : float, optional
        Hours that radio packs are on [h]; cells are left out without it.

    Returns
    -------
    BagList
    """
    habits = (gig.policy or load_policy()).bag
    rows = [
        *_microphones(gig, habits),
        *_stands(gig, habits),
        *_cables(gig, box_m, habits),
        *_monitors(gig, pack_hours_h, habits),
        *_units(gig, desk),
        *(BagRow("always", each.item, each.count, 0) for each in habits.always),
    ]
    return BagList(tuple(row for row in rows if row.total))


def _share(percent: int, used: int) -> int:
    """A share, rounded up in whole numbers; none of nothing."""
    return -(-percent * used // 100)


def _signals(gig: Gig) -> Iterable[tuple[Source, str | None, Spot | None]]:
    """Each source with what its player plays and where they stand."""
    yield from ((s, p.plays, p.at_m) for p in gig.performers for s in p.sources)
    yield from ((s, None, None) for s in gig.lines)


def _microphones(gig: Gig, habits: Bag) -> list[BagRow]:
    kinds: Counter[str] = Counter()
    for source, plays, _ in _signals(gig):
        if source.by == "DI":
            kinds[DI] += source.channels
        elif source.by == "mic" and source.radio:
            kinds[RADIO] += source.channels
        elif source.by == "mic":
            kinds[_microphone(source, plays)] += source.channels
    rows = []
    for item in (VOCAL, FED, OTHER, RADIO):
        used = kinds[item]
        spare = habits.microphones(used) + (habits.vocal_spare if item == VOCAL and used else 0)
        rows.append(BagRow("microphones", item, used, spare if item != RADIO else 0))
    used = kinds[DI]
    return [*rows, BagRow("microphones", DI, used, _share(habits.di_percent, used))]


def _microphone(source: Source, plays: str | None) -> str:
    if source.phantom == "needed":
        return FED
    return VOCAL if kind_of(source, plays) == "vocals" else OTHER


def _stands(gig: Gig, habits: Bag) -> list[BagRow]:
    kinds: Counter[str] = Counter()
    for source, _, _ in _signals(gig):
        kinds[source.stand or "none"] += source.channels
    order = ("tall boom", "short boom", "straight", "clip")
    return [BagRow("stands", kind, kinds[kind], _share(habits.stands_percent, kinds[kind])) for kind in order]


def _cables(gig: Gig, box: Spot | None, habits: Bag) -> list[BagRow]:
    lengths: Counter[float | None] = Counter()
    for source, _, at in _signals(gig):
        if source.at == "stage" and not source.radio:
            lengths[_length(box, at, habits)] += source.channels
    for start, end in _monitor_runs(gig, box):
        lengths[_length(start, end, habits)] += 1
    rows = []
    for length in sorted(lengths, key=lambda each: (each is None, each)):
        used = lengths[length]
        name = f"microphone cable, {UNKNOWN if length is None else f'{length:g} m'}"
        rows.append(
            BagRow("cables", name, used, max(habits.cables_each, _share(habits.cables_percent, used)))
        )
    missing = habits.cables_least - sum(row.spare for row in rows)
    if rows and missing > 0:
        rows[-1] = BagRow("cables", rows[-1].item, rows[-1].needed, rows[-1].spare + missing)
    return rows


def _length(start: Spot | None, end: Spot | None, habits: Bag) -> float | None:
    """A cable from stock along the edges of the stage; None where either end is not known."""
    if start is None or end is None:
        return None
    run = end[0] - start[0], end[1] - start[1]
    return float(stock_length_m(*run, habits.cable_stock_m, habits.cable_slack_m))


def _monitor_runs(gig: Gig, box: Spot | None) -> list[tuple[Spot | None, Spot | None]]:
    """From the stage box to the first loudspeaker of a mix, from there to the next; one by each listener."""
    stand = {p.name: p.at_m for p in gig.performers}
    runs = []
    for mix in gig.mixes:
        if mix.through in ("in-ears", "cue"):
            continue
        spots = [stand.get(name) for name in mix.listeners] or [None]
        spots += [spots[-1]] * (mix.boxes - len(spots))
        runs += list(zip([box, *spots], spots[: mix.boxes], strict=False))
    return runs


def _monitors(gig: Gig, hours: float | None, habits: Bag) -> list[BagRow]:
    boxes: Counter[str] = Counter()
    for mix in gig.mixes:
        if mix.through not in ("in-ears", "cue"):
            boxes[mix.through] += mix.boxes
    in_ears = [mix for mix in gig.mixes if mix.through == "in-ears"]
    packs = sum(max(1, len(mix.listeners)) for mix in in_ears)
    rows = [BagRow("monitors", f"{kind}, box", number, 0) for kind, number in boxes.items()]
    rows += [
        BagRow("monitors", "in-ear transmitter", len(in_ears), 0),
        BagRow("monitors", "in-ear pack", packs, 0),
    ]
    running = packs + sum(s.channels for s, _, _ in _signals(gig) if s.radio and s.by == "mic")
    if running and hours is not None:
        sets = int(battery_sets(hours, habits.pack_life_h, habits.pack_usable, habits.pack_spare_sets))
        each = running * habits.pack_cells
        spare = habits.pack_spare_sets * each
        rows.append(BagRow("monitors", "cell for a pack", sets * each - spare, spare))
    return rows


def _units(gig: Gig, desk: Desk) -> list[BagRow]:
    """Units that the desk has not got inside, and those that a change has put beside it."""
    wanted = {"equalisers": "equaliser channel", "compressors": "compressor", "gates": "gate"}
    rows = []
    for row in demand(gig, desk).ledgers:
        if row.key in wanted:
            inside = row.have - getattr(gig.kit, row.key)
            rows.append(BagRow("beside the desk", wanted[row.key], int(max(0, row.need - inside)), 0))
    delays = sum(zone.width for zone in gig.zones if zone.delay_by == "unit")
    effects = sum(effect.by == "unit" for effect in gig.effects)
    rows += [
        BagRow("beside the desk", "delay unit", delays, 0),
        BagRow("beside the desk", "effects unit", effects, 0),
    ]
    return rows
