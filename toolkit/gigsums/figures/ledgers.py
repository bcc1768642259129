"""Ledgers as bars: what is needed of each thing against what there is, and what is left over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.collections import LineCollection
from matplotlib.text import Text

from gigsums.sizing import Ledger

from .picture import SMALL, TEXT, Picture

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
