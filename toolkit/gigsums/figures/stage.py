"""The stage from above: who stands where, with the audience at the bottom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.text import Annotation
from matplotlib.ticker import MaxNLocator
from matplotlib.transforms import Bbox

from gigsums.gig import Performer

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
