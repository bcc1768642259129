"""Pictures of a gig: the stage from above, pairs of buses, ledgers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.text import Annotation, Text
from matplotlib.ticker import MaxNLocator
from matplotlib.transforms import Bbox

from gigsums.gig import Bus, Performer
from gigsums.sizing import Fit, Ledger, Place
from gigsums.sizing.buses import pairs_of

from .picture import SMALL, TEXT, Picture

EDGE_M = 1.0  # kept free round whoever stands outermost
AROUND = (  # where a name may stand beside its dot: side, shift in points, alignment
    ((9, 0), "left", "center"),
    ((-9, 0), "right", "center"),
    ((0, 9), "center", "bottom"),
    ((0, -9), "center", "top"),
    ((8, 8), "left", "bottom"),
    ((-8, 8), "right", "bottom"),
    ((8, -8), "left", "top"),
    ((-8, -8), "right", "top"),
)


class StagePlan(Picture):
    """A stage plan. Stage right, the players' right as they face the audience, is at the drawing's left.

    Takes `performers` (those with a place are drawn) and, where there is one, `box_m`, the stage box.
    """

    wide, high = 640, 380

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.075, 0.185, 0.895, 0.725)
        area.set_axisbelow(True)
        for axis in (area.xaxis, area.yaxis):
            axis.set_major_locator(MaxNLocator(nbins=12, steps=[1, 2, 5, 10], integer=True))
        area.grid(True, color=look.faint, lw=0.4)
        area.spines["left"].set_visible(False)
        area.spines["bottom"].set(color=look.ink, linewidth=1.8)
        area.set_xlabel("m from stage right", labelpad=2)
        area.set_ylabel("m from the edge")
        for x, ha, words in ((0, "left", "stage right"), (1, "right", "stage left")):
            area.text(x, 1.03, words, color=look.quiet, size=TEXT, ha=ha, transform=area.transAxes)
        self.figure.text(0.52, 0.02, "a u d i e n c e", color=look.quiet, size=TEXT, ha="center")
        (self._dots,) = area.plot([], [], "o", color=look.accent, ms=7)
        (self._box,) = area.plot([], [], "s", color=look.ink, ms=9)
        self._names: list[Annotation] = []
        self.scales(area, area.xaxis)
        self.scales(area, area.yaxis)
        self.moves(area, self._dots, self._box)

    def place(self, values: Mapping[str, Any]) -> str:
        performers: Sequence[Performer] = values["performers"]
        standing = [(p.name, _first(p.plays), p.at_m) for p in performers if p.at_m is not None]
        box = values.get("box_m")
        points = [at for _, _, at in standing] + ([box] if box else [])
        self._dots.set_data([at[0] for _, _, at in standing], [at[1] for _, _, at in standing])
        self._box.set_data([box[0]] if box else [], [box[1]] if box else [])
        self._range(points or [(0.0, 0.0)])
        named = [(f"{name}\n{plays}" if plays else name, at) for name, plays, at in standing]
        named += [("stage box", box)] if box else []
        self._write(named)
        left_out = [p.name for p in performers if p.at_m is None]
        return _words(standing, box, left_out)

    def _range(self, points: Sequence[tuple[float, float]]) -> None:
        """The same scale across and up, wide enough for everybody and with the stage's edge at the bottom."""
        across = [x for x, _ in points]
        least, most = min([0.0, *(x - EDGE_M for x in across)]), max(across) + EDGE_M
        high = max(y for _, y in points) + EDGE_M
        low = min(0.0, *(y - EDGE_M / 2 for _, y in points)) if min(y for _, y in points) < 0 else 0.0
        box = self._area.get_position()
        shape = box.width * self.wide / (box.height * self.high)
        wide = max(most - least, (high - low) * shape)
        middle = (least + most) / 2
        self._area.set(xlim=(middle - wide / 2, middle + wide / 2), ylim=(low, low + wide / shape))

    def _write(self, named: Sequence[tuple[str, tuple[float, float]]]) -> None:
        """Each name beside its dot, on the first side where it covers nothing."""
        for _ in range(len(named) - len(self._names)):
            text = self._area.annotate(
                "",
                (0, 0),
                (0, 0),
                textcoords="offset points",
                color=self.look.ink,
                size=SMALL,
                parse_math=False,
            )
            self._names.append(text)
            self.moves(self._area, text)
        for idle in self._names[len(named) :]:
            idle.set_text("")
        renderer = self._canvas.get_renderer()
        dot = 6 * self.sharp
        spots = [self._area.transData.transform(at) for _, at in named]
        taken = [Bbox.from_extents(x - dot, y - dot, x + dot, y + dot) for x, y in spots]
        inside = self._area.get_window_extent(renderer).padded(4 * self.sharp)
        for text, (words, at), own in zip(self._names, named, range(len(named)), strict=False):
            text.set_text(words)
            text.xy = at
            tried = []
            for shift, ha, va in AROUND:
                text.set(position=shift, ha=ha, va=va)
                extent = text.get_window_extent(renderer)
                others = [box for n, box in enumerate(taken) if n != own]
                covers = sum(extent.overlaps(box) for box in others)
                outside = not (
                    inside.contains(extent.x0, extent.y0) and inside.contains(extent.x1, extent.y1)
                )
                tried.append((covers + 2 * outside, shift, ha, va, extent))
            _, shift, ha, va, extent = min(tried, key=lambda each: each[0])
            text.set(position=shift, ha=ha, va=va)
            taken.append(extent)


def _first(plays: str) -> str:
    """What somebody plays, on a line of its own for each thing."""
    return plays.replace(", ", ",\n")


def _words(
    standing: Sequence[tuple[str, str, Any]], box: tuple[float, float] | None, left_out: Sequence[str]
) -> str:
    if not standing and not box:
        return "The gig says of nobody where they stand."
    told = [
        f"{name} at {at[0]:g} m from stage right, {at[1]:g} m from the edge"
        for name, at in [
            *((name, at) for name, _, at in standing),
            *([("the stage box", box)] if box else []),
        ]
    ]
    rest = f" Not said where: {', '.join(left_out)}." if left_out else ""
    return f"The stage from above, audience at the bottom: {'; '.join(told)}.{rest}"


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


ROW = 21  # pixels from one bar to the next
MARGINS = 30, 12  # pixels above and below the bars
END = 1.4  # what there is ends at 1; a need beyond this is drawn no longer
NAMES, NUMBERS = 0.24, 0.66  # of the picture's width: where the bars begin, and where the numbers do


class LedgerBars(Picture):
    """One bar a ledger, all that there is drawn equally long, with the numbers in words beside it.

    Takes `ledgers`, a sequence of `Ledger`.
    """

    wide, high = 640, 400

    def build(self) -> None:
        look = self.look
        self._rows, self._tall = 0, self.high
        self._area = area = self.axes(NAMES, 0, NUMBERS - NAMES, 1)
        area.set_axis_off()
        area.set_xlim(0, END)
        (self._whole,) = area.plot([1, 1], [0, 1], color=look.quiet, lw=0.9)
        self._whole_name = area.text(
            1, 0, "all there is", color=look.quiet, size=SMALL, ha="center", va="bottom"
        )
        self._there = LineCollection([], colors=look.faint, linewidths=9, capstyle="butt")
        self._needed = LineCollection([], colors=look.accent, linewidths=9, capstyle="butt")
        self._beyond = LineCollection([], colors=look.ink, linewidths=3, capstyle="butt")
        for each in (self._there, self._needed, self._beyond):
            area.add_collection(each, autolim=False)
        self._texts: list[tuple[Text, Text]] = []
        self.moves(area, self._there, self._needed, self._beyond, self._whole, self._whole_name)

    def place(self, values: Mapping[str, Any]) -> str:
        rows: Sequence[Ledger] = values["ledgers"]
        self._fit(max(1, len(rows)))
        there, needed, beyond = [], [], []
        for n, row in enumerate(rows):
            part = row.need / row.have if row.have else (END if row.need else 0.0)
            y = self._y(n)
            there.append([(0, y), (1 if row.have else 0, y)])
            needed.append([(0, y), (min(part, 1) if row.have else 0, y)])
            beyond.append([(1 if row.have else 0, y), (max(1 if row.have else 0, min(part, END)), y)])
        self._there.set_segments(there)
        self._needed.set_segments(needed)
        self._beyond.set_segments(beyond)
        for n, (name, numbers) in enumerate(self._texts):
            shown = n < len(rows)
            bold = shown and rows[n].state == "short"
            name.set(text=rows[n].label if shown else "", y=self._y(n), weight="bold" if bold else "normal")
            numbers.set(
                text=_told(rows[n]) if shown else "", y=self._y(n), weight="bold" if bold else "normal"
            )
        return " ".join(f"{row.label}: {_told(row)}." for row in rows) or "No ledger to show."

    def _repr_png_(self) -> tuple[bytes, dict[str, float]]:
        return self.png(), {"width": self.wide, "height": self._tall}

    def _y(self, n: int) -> float:
        return MARGINS[0] + (n + 0.5) * ROW

    def _fit(self, rows: int) -> None:
        """As high as the rows take; a picture of another height is drawn whole once."""
        if rows == self._rows:
            return
        self._rows, self._tall = rows, rows * ROW + sum(MARGINS)
        self.figure.set_size_inches(self.wide / 100, self._tall / 100)
        self._empty = self._still = None
        self._area.set_ylim(self._tall, 0)
        self._whole.set_ydata([MARGINS[0] - 4, self._tall - MARGINS[1] + 2])
        self._whole_name.set_y(MARGINS[0] - 5)
        for _ in range(rows - len(self._texts)):
            words: dict[str, Any] = {
                "va": "center",
                "parse_math": False,
                "size": TEXT,
                "color": self.look.ink,
            }
            name = self._area.text(-0.03, 0, "", ha="right", **words)
            numbers = self._area.text(END + 0.03, 0, "", ha="left", **words)
            self._texts.append((name, numbers))
            self.moves(self._area, name, numbers)


def _told(row: Ledger) -> str:
    """A ledger's numbers: need, have, and what is left or missing."""
    counts = f"{row.need:g} of {row.have:g}"
    if row.margin < 0:
        words = f"{-row.margin:g} to bring" if not row.blocks else f"{-row.margin:g} short"
        return f"{counts}, {words}"
    left = "none" if row.margin == 0 else f"{row.margin:g}"
    wanted = f" ({row.spare_wanted:g} wanted)" if row.state == "met without spare" else ""
    return f"{counts}, {left} left{wanted}"
