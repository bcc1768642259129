"""Levels as rungs of a ladder, and a level on its way from a small source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.speakers import level_at_distance
from gigsums.quantities import DISTANCE, LEVEL

from .picture import SMALL, TEXT, Picture

_MOST_RUNGS, _LONGEST = 12, 28
_LINE = 17  # height of a line of text, in units of the picture's height


class Ladder(Picture):
    """Levels by name, each at its height on one scale.

    Takes `levels`, 1 to 12 names of up to 28 letters with their numbers, and `unit`, the name of their unit.
    """

    high = 280

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.16, 0.04, 0.825, 0.86)
        area.set(xlim=(0, 1), ylim=(0, 1), xticks=[])
        area.spines["bottom"].set_visible(False)
        area.yaxis.grid(True, color=look.faint, lw=0.4, alpha=0.6)
        area.set_axisbelow(True)
        self._unit = area.text(
            0.16, 0.945, "", color=look.quiet, size=SMALL, ha="right", transform=self.figure.transFigure
        )
        self._rungs = []
        words: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False}
        for _ in range(_MOST_RUNGS):
            (rung,) = area.plot([], [], color=look.accent, lw=2.4, solid_capstyle="butt")
            (leader,) = area.plot([], [], color=look.quiet, lw=0.7)
            name = area.text(0.27, 0, "", color=look.ink, **words)
            value = area.text(0.25, 0, "", color=look.accent, ha="right", **words)
            self._rungs.append((rung, leader, name, value))
            self.moves(area, rung, leader, name, value)
        self.scales(area, area.yaxis)
        self.moves(area, self._unit)

    def place(self, values: Mapping[str, Any]) -> str:
        levels, unit = values["levels"], values["unit"]
        if not 1 <= len(levels) <= _MOST_RUNGS:
            raise ValueError(f"levels has {len(levels)} rungs; 1 to {_MOST_RUNGS} can be shown")
        for name in levels:
            if len(name) > _LONGEST:
                raise ValueError(f"levels has a name of {len(name)} letters, {name!r}; up to {_LONGEST} fit")
        rungs = sorted(levels.items(), key=lambda rung: rung[1])
        step = _step(rungs[-1][1] - rungs[0][1], 9)
        bottom = step * math.floor((rungs[0][1] - 0.2 * step) / step)
        top = step * math.ceil((rungs[-1][1] + 0.2 * step) / step)
        self._area.set_ylim(bottom, top)
        ticks = np.arange(bottom, top + step / 2, step)
        self._area.set_yticks(ticks, [self.manner.number(tick) for tick in ticks])
        self._unit.set_text(unit)
        high = top - bottom
        at = _spread(
            [level for _, level in rungs],
            _LINE / (0.86 * self.high) * high,
            bottom + 0.03 * high,
            top - 0.02 * high,
        )
        for (rung, leader, name, value), (label, level), y in zip(self._rungs, rungs, at, strict=False):
            rung.set_data([0, 0.06], [level, level])
            leader.set_data([0.06, 0.115], [level, y])
            name.set(y=y, text=label)
            value.set(y=y, text=self.manner.number(round(level, 1)))
        for rung, leader, name, value in self._rungs[len(rungs) :]:
            rung.set_data([], [])
            leader.set_data([], [])
            name.set_text("")
            value.set_text("")
        said = ", ".join(f"{name} {self.manner.number(round(level, 1))}" for name, level in reversed(rungs))
        return f"From the top, in {unit}: {said}."


class SumOfLevels(Ladder):
    """Levels of sources, and what they come to together.

    Takes `levels_db` and `total_db`.
    """

    high = 190

    def place(self, values: Mapping[str, Any]) -> str:
        sources = enumerate(values["levels_db"], start=1)
        named = {f"source {number}": level for number, level in sources}
        super().place({"levels": named | {"together": values["total_db"]}, "unit": "dB"})
        said = ", ".join(f"{name} {self.manner.show(level, LEVEL)}" for name, level in named.items())
        return f"Alone: {said}. Together: {self.manner.show(values['total_db'], LEVEL)}."


class LevelOverDistance(Picture):
    """The level of a small source in the open, distances so spaced that each step is a doubling.

    Takes `level_db`, `reference_m`, `distance_m` and `there_db`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.105, 0.13, 0.83, 0.77)
        area.grid(True, color=look.faint, lw=0.4, alpha=0.6)
        area.set_axisbelow(True)
        area.text(0.01, 1.03, "dB", color=look.quiet, size=SMALL, transform=area.transAxes)
        (self._line,) = area.plot([0, 1], [0, 0], color=look.quiet, lw=1.2)
        (self._known,) = area.plot([0], [0], "o", color=look.ink, ms=6)
        (self._there,) = area.plot([0], [0], "D", color=look.accent, ms=6)
        words: dict[str, Any] = {"size": TEXT, "parse_math": False}
        self._known_name = area.text(0, 0, "", color=look.ink, **words)
        self._there_name = area.text(0, 0, "", color=look.accent, **words)
        self.scales(area, area.xaxis)
        self.scales(area, area.yaxis)
        self.moves(area, self._line, self._known, self._there, self._known_name, self._there_name)

    def place(self, values: Mapping[str, Any]) -> str:
        show, level, there = self.manner.show, values["level_db"], values["there_db"]
        near, far = (self.manner.turned(values[each], DISTANCE) for each in ("reference_m", "distance_m"))
        first, last = (math.log2(end) for end in sorted((near, far)))
        least = math.floor(first - 0.25)
        most = max(math.ceil(last + 0.25), least + 3)
        every = 1 + (most - least) // 8
        ticks = range(least, most + 1, every)
        self._area.set_xlim(least, most)
        named = [self.manner.number(float(f"{2.0**tick:.3g}")) for tick in ticks]
        self._area.set_xticks(list(ticks), [*named[:-1], f"{named[-1]} {self.manner.unit(DISTANCE)}"])
        ends = np.asarray(level_at_distance(level, [2.0**least, 2.0**most], near))
        step = _step(ends[0] - ends[1], 7)
        bottom, top = step * math.floor(ends[1] / step - 0.4), step * math.ceil(ends[0] / step)
        self._area.set_ylim(bottom, top)
        ticks_db = np.arange(bottom, top + step / 2, step)
        self._area.set_yticks(ticks_db, [self.manner.number(tick) for tick in ticks_db])
        self._line.set_data([least, most], ends)
        self._known.set_data([math.log2(near)], [level])
        self._there.set_data([math.log2(far)], [there])
        beside, off = 0.015 * (most - least), 0.03 * (top - bottom)
        for name, at_m, at_db in ((self._known_name, near, level), (self._there_name, far, there)):
            x = math.log2(at_m)
            if x < (least + most) / 2:  # the line falls: free are the upper right and the lower left
                name.set(x=x + beside, y=at_db + off, ha="left", va="bottom")
            else:
                name.set(x=x - beside, y=at_db - off, ha="right", va="top")
            name.set_text(show(at_db, LEVEL))
        return (
            f"{show(level, LEVEL)} at {show(values['reference_m'], DISTANCE)} is {show(there, LEVEL)} at "
            f"{show(values['distance_m'], DISTANCE)}; "
            "each doubling of the distance takes 6 dB."
        )


def _step(span: float, most: int) -> float:
    """A round step of a scale, so that no more than so many of them cover the span."""
    return next((step for step in (1, 2, 5, 10, 20, 50) if span <= most * step), 100)


def _spread(levels: list[float], gap: float, least: float, most: float) -> list[float]:
    """Heights for the names of levels in rising order: at their own where there is room, else side by side."""
    heaps: list[tuple[float, int]] = []  # lowest height and number of names that stand close together
    for level in levels:
        low, count = min(max(level, least), most), 1
        while heaps and low < heaps[-1][0] + gap * heaps[-1][1]:
            below, more = heaps.pop()
            middle = (below + gap * (more - 1) / 2) * more + (low + gap * (count - 1) / 2) * count
            count += more
            low = middle / count - gap * (count - 1) / 2
            low = max(min(low, most - gap * (count - 1)), least)
        heaps.append((low, count))
    return [low + gap * number for low, count in heaps for number in range(count)]
