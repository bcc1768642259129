"""One level on two scales."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.quantities import DBFS, DBU

from .picture import SMALL, TEXT, Picture

_SHORTEST_DB = 60.0


class LineUpScales(Picture):
    """The desk's digital scale and the analogue one beside each other, with a reading across both.

    Takes `level_dbfs`, `full_scale_dbu` and `level_dbu`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.375, 0.05, 0.25, 0.83)
        area.set(xlim=(0, 1), ylim=(-60, 0), xticks=[])
        area.spines["bottom"].set_visible(False)
        area.spines["left"].set_color(look.quiet)
        self._other = other = self.axes(0.375, 0.05, 0.25, 0.83)
        other.set(xlim=(0, 1), xticks=[])
        other.patch.set_visible(False)
        other.yaxis.tick_right()
        for side, seen in (("left", False), ("bottom", False), ("right", True)):
            other.spines[side].set_visible(seen)
        other.spines["right"].set_color(look.quiet)
        above: dict[str, Any] = {"color": look.quiet, "size": SMALL, "transform": area.transAxes}
        area.text(0, 1.05, "dBFS", ha="right", **above)
        area.text(1, 1.05, "dBu", ha="left", **above)
        (self._full,) = area.plot([0, 1], [0, 0], color=look.ink, lw=1.2)
        (self._mark,) = area.plot([0, 1], [0, 0], "o-", color=look.accent, lw=2, ms=5, clip_on=False)
        words: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False}
        self._reading = area.text(-0.56, 0, "", color=look.accent, ha="right", **words)
        self._level = area.text(1.56, 0, "", color=look.accent, **words)
        self._line_up = area.text(1.56, 0, "", color=look.ink, **words)
        self._top = area.text(-0.56, 0, "", color=look.ink, ha="right", **words)
        self.scales(area, area.yaxis)
        self.scales(other, other.yaxis)
        self.moves(area, self._full, self._mark, self._reading, self._level, self._line_up, self._top)

    def place(self, values: Mapping[str, Any]) -> str:
        show, reading = self.manner.show, values["level_dbfs"]
        full, level = values["full_scale_dbu"], values["level_dbu"]
        long = max(_SHORTEST_DB, 20 * math.ceil(-1.05 * reading / 20))
        step = 10 * math.ceil(long / 80)
        self._area.set(ylim=(-long, 0.02 * long), yticks=np.arange(-long, 1, step))
        self._other.set_ylim(full - long, full + 0.02 * long)
        first = step * math.ceil((full - long) / step)
        self._other.set_yticks(np.arange(first, full + 0.01, step))
        self._mark.set_ydata([reading, reading])
        apart = -reading > 0.1 * long
        self._reading.set(y=reading, text=show(reading, DBFS))
        self._level.set(y=reading, text=show(level, DBU))
        self._line_up.set(y=0, text=show(full, DBU) if apart else "")
        self._top.set(y=0, text="full scale" if apart else "")
        return f"Full scale stands for {show(full, DBU)}, so a reading of {show(reading, DBFS)} is {show(level, DBU)}."
