"""The buses of a desk pair by pair, with what sits on each and where it is tapped."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from matplotlib.collections import LineCollection, PolyCollection

from gigsums.gig import Bus
from gigsums.sizing import Fit, Place
from gigsums.sizing.buses import pairs_of

from .picture import SMALL, Picture

_ROWS, _COLUMNS = 7, 4
_MOST = 2 * _ROWS * _COLUMNS  # buses shown
_LETTERS = {1: (48, 22), 2: (22, 9), 3: (13, 5), 4: (9, 3)}  # across a pair and in half of one, by columns
_TOP, _BOTTOM = 0.985, 0.105


class _Cell(NamedTuple):
    """What sits on one bus, or across both of a pair."""

    buses: tuple[int, ...]
    name: str
    tap: str


class BusPairs(Picture):
    """Bus pairs filling: stereo across both of a pair, a dot for before the fader, a square for after it.

    Takes `fit`, a `gigsums.sizing.Fit`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.02, 0, 0.96, 1)
        area.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[])
        for side in ("left", "bottom"):
            area.spines[side].set_visible(False)
        self._taken = PolyCollection([], facecolors=look.faint, alpha=0.45, edgecolors="none")
        self._edges = LineCollection([], colors=look.quiet, linewidths=0.9)
        self._missing = LineCollection([], colors=look.accent, linewidths=1.2, linestyles="dashed")
        for each in (self._taken, self._edges, self._missing):
            area.add_collection(each, autolim=False)
        (self._before,) = area.plot([], [], "o", color=look.accent, ms=4.5)
        (self._after,) = area.plot([], [], "s", color=look.accent, ms=5, mfc="none", mew=1.2)
        words: dict[str, Any] = {"size": SMALL, "va": "center", "parse_math": False}
        self._names = [area.text(0, 0, "", color=look.ink, **words) for _ in range(_MOST)]
        self._numbers = [
            area.text(0, 0, "", color=look.quiet, ha="right", **words) for _ in range(_MOST // 2)
        ]
        self._said = area.text(1, 0.045, "", color=look.quiet, ha="right", **words)
        self._legend = [area.text(x, 0.045, "", color=look.quiet, **words) for x in (0.028, 0.372)]
        self.moves(area, self._taken, self._edges, self._missing, self._before, self._after)
        self.moves(area, *self._names, *self._numbers, self._said, *self._legend)

    def place(self, values: Mapping[str, Any]) -> str:
        fit: Fit = values["fit"]
        shown = pairs_of([bus for bus in fit.desk.buses() if bus.kind == "aux"])
        on: dict[int, Place] = {place.number: place for place in fit.places if place.on == "bus"}
        missing = 0 if fit.places else _short(fit)
        used = [pair for pair in shown if any(bus.number in on for bus in pair)]
        left_out = max(0, len(shown) + missing - _ROWS * _COLUMNS)
        if left_out:  # of a very large desk: those in use, then as many free ones as there is room for
            free = [pair for pair in shown if pair not in used]
            keep = {pair[0].number for pair in (*used, *free)[: _ROWS * _COLUMNS - missing]}
            shown = [pair for pair in shown if pair[0].number in keep]
        self._fill(shown, on, missing, bool(fit.places))
        counted = _counted(fit, len(used))
        more = f"{left_out} more not shown" if left_out else ""
        self._said.set_text(", ".join(filter(None, (counted, more))))
        return _in_words(fit, shown, on, counted)

    def _fill(self, shown: list[tuple[Bus, ...]], on: dict[int, Place], missing: int, placed: bool) -> None:
        number = len(shown) + missing
        columns = max(1, -(-number // _ROWS))
        rows = _ROWS if columns > 1 else min(max(number, 4), _ROWS)
        high = (_TOP - _BOTTOM) / rows
        whole = 1 / columns
        taken, edges, names = [], [], iter(self._names)
        numbers = iter(self._numbers)
        taps: dict[str, list[tuple[float, float]]] = {"pre": [], "post": []}
        for nth, pair in enumerate(shown):
            left, top = (nth // rows) * whole, _TOP - (nth % rows) * high
            start, wide = left + 0.105, whole - 0.115
            bottom, middle = top - high * 0.84, top - high * 0.42
            next(numbers).set(x=start - 0.012, y=middle, text="–".join(str(bus.number) for bus in pair))
            cells = _cells(pair, on)
            edges += _box(start, bottom, wide, top)
            for cell, (at, part) in zip(cells, _parts(start, wide, len(cells)), strict=True):
                if at > start:
                    edges.append([(at, bottom), (at, top)])
                if cell.name:
                    taken.append([(at, bottom), (at, top), (at + part, top), (at + part, bottom)])
                    taps[cell.tap].append((at + 0.02, middle))
                letters = _LETTERS[columns][0 if len(cells) == 1 else 1]
                name = _cut(cell.name, letters) if cell.name else "free" if placed else ""
                colour = self.look.ink if cell.name else self.look.quiet
                next(names).set(x=at + (0.038 if cell.name else 0.012), y=middle, text=name, color=colour)
        absent = []
        for nth in range(len(shown), len(shown) + missing):
            left, top = (nth // rows) * whole, _TOP - (nth % rows) * high
            absent += _box(left + 0.105, top - high * 0.84, whole - 0.115, top)
            next(names).set(x=left + 0.117, y=top - high * 0.42, text="not there", color=self.look.ink)
        for each in (*names, *numbers):
            each.set_text("")
        if placed:
            taps["pre"].append((0.01, 0.045))
            taps["post"].append((0.354, 0.045))
        for legend, said in zip(self._legend, ("before the fader", "after it"), strict=True):
            legend.set_text(said if placed else "")
        self._taken.set_verts(taken)
        self._edges.set_segments(edges)
        self._missing.set_segments(absent)
        self._before.set_data([x for x, _ in taps["pre"]], [y for _, y in taps["pre"]])
        self._after.set_data([x for x, _ in taps["post"]], [y for _, y in taps["post"]])


def _cells(pair: tuple[Bus, ...], on: Mapping[int, Place]) -> list[_Cell]:
    """What a pair holds: one cell where one thing sits across both, else one for each bus."""
    placed = [on.get(bus.number) for bus in pair]
    first = placed[0]
    linked = len(pair) == 2 and all(bus.links_up for bus in pair)
    if linked and first is not None and placed[1] is not None and first.item == placed[1].item:
        return [_Cell(tuple(bus.number for bus in pair), f"{_name(first)}, stereo", first.tap)]
    return [
        _Cell((bus.number,), _name(each) if each else "", each.tap if each else "")
        for bus, each in zip(pair, placed, strict=True)
    ]


def _name(place: Place) -> str:
    return place.item.split(".", 1)[-1]


def _parts(start: float, wide: float, number: int) -> list[tuple[float, float]]:
    return [(start + nth * wide / number, wide / number) for nth in range(number)]


def _box(left: float, bottom: float, wide: float, top: float) -> list[list[tuple[float, float]]]:
    right = left + wide
    return [[(left, bottom), (left, top), (right, top), (right, bottom), (left, bottom)]]


def _cut(name: str, letters: int) -> str:
    return name if len(name) <= letters else name[: letters - 1].rstrip(" ,") + "…"


def _counted(fit: Fit, used: int) -> str:
    """How many pairs are taken of how many; where nothing is placed, how many are asked for."""
    row = next((row for row in fit.ledgers if row.key == "bus pairs"), None)
    if row is None:
        return ""
    if fit.places:
        after = ", after changes" if fit.changes else ""
        return f"{used} of {row.have:g} pairs{after}"
    return f"{row.need:g} pairs asked for, {row.have:g} there"


def _short(fit: Fit) -> int:
    row = next((row for row in fit.ledgers if row.key == "bus pairs"), None)
    return min(_ROWS, max(0, int(-row.margin))) if row else 0


def _in_words(fit: Fit, shown: list[tuple[Bus, ...]], on: Mapping[int, Place], counted: str) -> str:
    if not shown:
        return f"{fit.desk.name} has no buses."
    if not fit.places:
        return f"Nothing is placed on the buses of {fit.desk.name}: {counted or 'no pairs are counted'}."
    said = []
    for pair in shown:
        for cell in _cells(pair, on):
            if cell.name:
                numbers = " and ".join(map(str, cell.buses))
                tap = "before" if cell.tap == "pre" else "after"
                said.append(f"{numbers} {cell.name}, {tap} the fader")
    return f"Buses of {fit.desk.name}: {'; '.join(said) or 'all free'}; {counted}."
