"""Pictures of levels: rungs of a ladder, a level over distance, one level on two scales, a gain chain, a compressor's curve."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.dynamics import compressed_level_db
from gigsums.formulas.speakers import level_at_distance
from gigsums.quantities import DBFS, DBU, DECIBELS, DISTANCE, LEVEL

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


_LEAST, _MOST = -145.0, 45.0


class GainChain(Picture):
    """Level, noise and room for peaks, before and after the gain.

    Takes `level_dbu`, `gain_db`, `target_dbu`, `full_scale_dbu`, `headroom_db` and `noise_dbu`.
    """

    def build(self) -> None:
        look = self.look
        area = self.axes(0.12, 0.11, 0.875, 0.80)
        area.set(xlim=(0, 10), ylim=(_LEAST, _MOST), yticks=range(-120, 41, 40))
        area.set_xticks([2.8, 5.2], ["socket", "after gain"])
        area.text(-0.12, _MOST + 4, "dBu", color=look.quiet, size=SMALL, ha="right")
        area.tick_params(axis="x", length=0)
        area.yaxis.grid(True, color=look.faint, lw=0.4, alpha=0.6)
        area.set_axisbelow(True)
        self._full = area.axhline(0, color=look.ink, lw=1.2)
        self._full_name = area.text(0.15, 0, "", color=look.ink, size=TEXT, va="bottom")
        (self._level,) = area.plot([2.8, 5.2], [0, 0], "o-", color=look.accent, lw=2, ms=5)
        (self._noise,) = area.plot([2.8, 5.2], [0, 0], "s--", color=look.quiet, lw=1.2, ms=4)
        (self._room,) = area.plot([5.6, 5.6], [0, 0], "_-", color=look.ink, lw=1, ms=7)
        (self._above,) = area.plot([5.6, 5.6], [0, 0], "_-", color=look.quiet, lw=1, ms=7)
        words: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False}
        self._before = area.text(2.6, 0, "", color=look.accent, ha="right", **words)
        self._floor = area.text(2.6, 0, "", color=look.quiet, ha="right", **words)
        self._room_name = area.text(5.8, 0, "", color=look.ink, **words)
        self._above_name = area.text(5.8, 0, "", color=look.quiet, **words)
        self._gain_name = area.text(3.9, 0, "", color=look.accent, ha="center", size=TEXT, va="bottom")
        moved = (self._full, self._full_name, self._level, self._noise, self._room, self._above, self._before)
        self.moves(area, *moved, self._floor, self._room_name, self._above_name, self._gain_name)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        level, target, full = values["level_dbu"], values["target_dbu"], values["full_scale_dbu"]
        noise, gain = values["noise_dbu"], values["gain_db"]
        lifted = noise + gain
        self._full.set_ydata([_inside(full)] * 2)
        self._full_name.set(y=_inside(full) + 1, text=f"converter full at {show(full, DBU)}")
        self._level.set_ydata([_inside(level), _inside(target)])
        self._noise.set_ydata([_inside(noise), _inside(lifted)])
        self._room.set_ydata([_inside(target), _inside(full)])
        self._above.set_ydata([_inside(lifted), _inside(target)])
        before, floor = _apart(_inside(level), _inside(noise), 9)
        self._before.set(y=before, text=f"{show(level, DBU)}")
        self._floor.set(y=floor, text=f"{show(noise, DBU)}")
        room = show(values["headroom_db"], DECIBELS)
        above = show(target - lifted, DECIBELS)
        top, middle, bottom = _inside(full), _inside(target), _inside(lifted)
        upper = (top + middle) / 2 if abs(top - middle) >= 14 else max(top, middle) + 8
        lower = min((middle + bottom) / 2, upper - 13)
        self._room_name.set(y=upper, text=f"{room} for peaks")
        self._above_name.set(y=lower, text=f"{above} over noise")
        half = (_inside(level) + _inside(target)) / 2
        crowded = top - 26 < half < top + 8  # a name above the line would run into that of the full converter
        self._gain_name.set(y=half - 20 if crowded else half + 10, text=f"{show(gain, DECIBELS)}")
        return (
            f"The microphone gives {show(level, DBU)} over a noise of {show(noise, DBU)}; {show(gain, DECIBELS)} of gain "
            f"brings it to {show(target, DBU)}, which leaves {room} for peaks below {show(full, DBU)} and lies "
            f"{above} over its own noise."
        )


def _inside(value: float) -> float:
    return min(max(value, _LEAST + 3), _MOST - 8)


def _apart(upper: float, lower: float, least: float) -> tuple[float, float]:
    if abs(upper - lower) >= least:
        return upper, lower
    middle = (upper + lower) / 2
    return (
        (middle + least / 2, middle - least / 2)
        if upper >= lower
        else (middle - least / 2, middle + least / 2)
    )


_CURVE_LEAST, _CURVE_MOST = -60.0, 20.0
_LEVELS = np.linspace(-100, 40, 281)


class CompressionCurve(Picture):
    """The curve, the same without compression, and the level at hand.

    Takes `level_db`, `threshold_db`, `ratio`, `knee_db`, `out_db` and `reduction_db`.
    """

    def build(self) -> None:
        look = self.look
        area = self.axes(0.115, 0.13, 0.845, 0.80)
        area.set(
            xlim=(_CURVE_LEAST, _CURVE_MOST),
            ylim=(_CURVE_LEAST, _CURVE_MOST),
            xticks=range(-60, 21, 20),
            yticks=range(-60, 21, 20),
        )
        area.grid(True, color=look.faint, lw=0.4, alpha=0.6)
        area.plot([-100, 40], [-100, 40], ls=":", color=look.quiet, lw=1)
        area.text(_CURVE_MOST - 1, _CURVE_LEAST + 3, "dB in", color=look.quiet, size=SMALL, ha="right")
        area.text(_CURVE_LEAST + 1, _CURVE_MOST - 5, "dB out", color=look.quiet, size=SMALL)
        (self._curve,) = area.plot(_LEVELS, _LEVELS, color=look.accent, lw=1.8)
        (self._threshold,) = area.plot([0, 0], [-100, 40], ls="--", color=look.quiet, lw=0.9)
        (self._off,) = area.plot([0, 0], [0, 0], "_-", color=look.ink, lw=1.2, ms=7)
        (self._here,) = area.plot([0], [0], "o", color=look.accent, ms=6)
        self._named = area.text(
            0, _CURVE_LEAST + 9, "", color=look.quiet, size=SMALL, ha="right", parse_math=False
        )
        self._said = area.text(0, 0, "", color=look.ink, size=TEXT, parse_math=False, va="bottom")
        self.moves(area, self._threshold, self._curve, self._off, self._here, self._named, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        level, out, threshold = values["level_db"], values["out_db"], values["threshold_db"]
        shape = threshold, values["ratio"], values["knee_db"]
        self._curve.set_ydata(compressed_level_db(_LEVELS, *shape))
        self._threshold.set_xdata([threshold, threshold])
        self._off.set_data([level, level], [out, level])
        self._here.set_data([level], [out])
        within = _CURVE_LEAST + 18 < threshold < _CURVE_MOST
        self._named.set(x=threshold - 1, text="threshold" if within else "")
        off = show(values["reduction_db"], DECIBELS)
        x, y, to = (
            min(max(level, _CURVE_LEAST + 1), _CURVE_MOST - 3),
            level + 3,
            "right" if level > -40 else "left",
        )
        if level >= threshold and out > _CURVE_LEAST + 12:  # under the curve, where no line crosses the words
            x, y, to = min(level + 2, 0), out - (9 if level < 0 else 12), "left"
        self._said.set(x=x, y=min(max(y, _CURVE_LEAST + 3), _CURVE_MOST - 7), ha=to, text=f"{off} off")
        return (
            f"In at {show(level, DECIBELS)}, out at {show(out, DECIBELS)}, {off} taken off above a threshold of "
            f"{show(threshold, DECIBELS)}."
        )
