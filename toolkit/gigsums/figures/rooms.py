"""Pictures of rooms: direct and room sound, decay, level over the floor, waves against each other and between walls."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from contourpy import contour_generator
from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator, NullLocator
from numpy.typing import NDArray

from gigsums.formulas.decibels import sum_levels, sum_two_tones
from gigsums.formulas.speakers import Speaker, level_at_distance, level_over_floor
from gigsums.quantities import ANGLE, DECIBELS, DISTANCE, FREQUENCY, LEVEL, PHASE, POWER, REVERBERATION

from .picture import SMALL, TEXT, Manner, Picture, round_top

_ALONG = np.geomspace(1, 100, 121)
_LEAST_DB, _MOST_DB = -20.0, 32.0


class DirectAndRoom(Picture):
    """Level over distance of a loudspeaker's direct sound, of the room's answer, and of both together.

    Takes `critical_m`. Levels are counted from that of the room.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.105, 0.125, 0.845, 0.78)
        area.set(xscale="log", ylim=(_LEAST_DB, _MOST_DB), yticks=range(-20, 31, 10), xlim=(1, 100))
        area.xaxis.set_minor_locator(NullLocator())
        unit: dict[str, Any] = {"color": look.quiet, "size": SMALL, "ha": "right", "parse_math": False}
        self._unit = area.text(1, 0.025, "", transform=area.transAxes, **unit)
        above: dict[str, Any] = {"color": look.quiet, "size": SMALL, "transform": area.transAxes}
        area.text(0, 1.035, "dB above the room", **above)
        (self._both,) = area.plot(_ALONG, _ALONG, color=look.accent, lw=2.4)
        (self._direct,) = area.plot(_ALONG, _ALONG, "--", color=look.ink, lw=1.3)
        (self._room,) = area.plot([1, 100], [0, 0], ":", color=look.ink, lw=1.5)
        (self._at,) = area.plot([1, 1], [_LEAST_DB, 3], color=look.quiet, lw=0.9)
        written: dict[str, Any] = {"parse_math": False, "size": SMALL}
        self._names = [
            area.text(1, 7.5, "both", color=look.accent, **written),
            area.text(1, -13, "direct alone", color=look.ink, **written),
            area.text(1, -4.8, "room alone", color=look.ink, **written),
        ]
        self._said = area.text(1, 9, "", color=look.ink, size=TEXT, ha="left", va="bottom", parse_math=False)
        self.scales(area, area.xaxis)
        self.moves(area, self._at, self._room, self._direct, self._both, *self._names, self._said, self._unit)

    def place(self, values: Mapping[str, Any]) -> str:
        critical = self.manner.turned(values["critical_m"], DISTANCE)
        self._unit.set_text(self.manner.unit(DISTANCE))
        nearest = 10.0 ** math.floor(math.log10(critical) - 0.5)
        ticks = [step * decade * nearest for decade in (1, 10) for step in (1, 2, 5)] + [100 * nearest]
        self._area.set_xlim(nearest, 100 * nearest)
        self._area.set_xticks(ticks, [self.manner.number(tick) for tick in ticks])
        metres = _ALONG * nearest
        direct = np.asarray(level_at_distance(0.0, metres, critical))
        self._direct.set_data(metres, direct)
        self._room.set_xdata([nearest, 100 * nearest])
        self._both.set_data(metres, sum_levels([direct, np.zeros_like(direct)], axis=0))
        self._at.set_xdata([critical, critical])
        both, alone, room = self._names
        both.set(x=critical * 0.42, y=10.5, ha="left")
        alone.set_x(critical * 1.1)
        room.set_x(nearest * 1.08)
        there = self.manner.show(values["critical_m"], DISTANCE)
        self._said.set(x=critical * 1.08, y=4.5, text=there)
        return (
            f"Direct sound and the room are equally loud at {there}, together 3 dB louder than either. Nearer, the direct "
            "sound rules and falls by 6 dB for each doubling; farther off the room does, and stays as it is."
        )


class Decay(Picture):
    """How the sound of a room dies away, down to a millionth of its power.

    Takes `reverberation_s`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.105, 0.125, 0.845, 0.78)
        area.set(ylim=(-66, 4), yticks=range(-60, 1, 20), xlim=(0, 1))
        area.xaxis.set_major_locator(MaxNLocator(5))
        area.text(1, 0.025, "s", color=look.quiet, size=SMALL, ha="right", transform=area.transAxes)
        area.text(
            0, 1.035, "dB, after the sound stops", color=look.quiet, size=SMALL, transform=area.transAxes
        )
        area.axhline(-60, color=look.faint, lw=0.8)
        (self._line,) = area.plot([0, 1], [0, -60], color=look.accent, lw=2)
        (self._end,) = area.plot([0], [-60], "o", color=look.ink, ms=5)
        self._said = area.text(
            0, -57, "", color=look.ink, size=TEXT, ha="left", va="bottom", parse_math=False
        )
        self.scales(area, area.xaxis)
        self.moves(area, self._line, self._end, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        time = values["reverberation_s"]
        wide = round_top(time * 1.2)
        self._area.set_xlim(0, wide)
        self._line.set_xdata([0, time])
        self._end.set_xdata([time])
        said = self.manner.show(time, REVERBERATION)
        self._said.set(x=time + 0.015 * wide, text=said)
        return f"The sound has died away by 60 dB after {said}, evenly: by 20 dB in each third of that time."


Gap = tuple[NDArray[np.float64], NDArray[np.float64]]  # its middle, and half its width and height
_WIDE, _HIGH = 0.85, 0.8  # of the picture
_BAND_HZ = 1000.0
_HORIZONTAL_DEG, _VERTICAL_DEG = 90.0, 60.0
_NARROWEST_DEG = 5.0
_NEAR_M, _FAR_M = 0.12, 490.0  # a point nearer to the box, or further from it, has no level
_OUT, _ACROSS = np.linspace(0, 1, 81), np.linspace(-1, 1, 55)
_STEP_DB = 3
_LINES = 12
_ROOM = np.array([22, 11])  # of a number across and up, in units of the picture's width of 360
_FURTHEST_OFF = 0.45  # of half the floor: where a line stays further from the slant, it runs behind the box
_SLANT = 0.42  # numbers stand beside the axis, where lines are bent least and the answer's are not


class LevelOverFloor(Picture):
    """Level over a floor from a box, seen from above, the loudspeaker on the left.

    Takes `distance_m` and what is known besides: `level_db`, the level there, or the lines say how far above or
    below it they are; `height_m` and `ear_height_m`, or the box stands at ear height; `angle_deg`, the box's
    horizontal coverage, 90° if left out, and `width_m`, how wide that is there; `tilt_deg`, how far down it
    looks. The box is 60° tall and aims at the ears at that distance; direct sound at 1 kHz.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.115, 0.125, _WIDE, _HIGH)
        for side in ("top", "right"):  # the outline of the floor
            area.spines[side].set(visible=True, color=look.faint)
        above: dict[str, Any] = {"transform": area.transAxes, "size": SMALL, "parse_math": False}
        self._said = area.text(0, 1.025, "", color=look.quiet, **above)
        self._lines = LineCollection([], colors=look.quiet, linewidths=0.9)
        area.add_collection(self._lines, autolim=False)
        words: dict[str, Any] = {"va": "center", "parse_math": False}
        self._numbers = [
            area.text(0, 0, "", color=look.ink, size=SMALL, ha="center", **words) for _ in range(_LINES)
        ]
        (self._row,) = area.plot([0, 0], [0, 0], "|-", color=look.accent, lw=1.2, ms=8)
        (self._spot,) = area.plot([0], [0], "D", color=look.accent, ms=5)
        self._named = area.text(0, 0, "", color=look.accent, size=TEXT, **words)
        (self._box,) = area.plot([0], [0], ">", color=look.ink, ms=9, clip_on=False)
        area.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        self.scales(area, area.xaxis)
        self.scales(area, area.yaxis)
        self.moves(
            area, self._lines, *self._numbers, self._row, self._spot, self._named, self._box, self._said
        )

    def place(self, values: Mapping[str, Any]) -> str:
        distance = self.manner.turned(values["distance_m"], DISTANCE)
        width = self.manner.turned(values.get("width_m") or 0, DISTANCE)
        tall = _HIGH * self.high / (_WIDE * self.wide)
        far = round_top(max(1.6 * distance, width * 1.15 / tall))
        half = far * tall / 2
        self._area.set(xlim=(0, far), ylim=(-half, half))
        self._spot.set_xdata([distance])
        self._row.set_data([distance] * 2, [-width / 2, width / 2])
        named, words = _words(values, self.manner)
        right = distance < 0.62 * far
        beside = distance + (0.03 if right else -0.03) * far
        self._named.set(text=named, x=beside, ha="left" if right else "right")
        there = values.get("level_db", 0.0)
        unit_m = values["distance_m"] / distance
        self._number(
            _levels(values, far * unit_m, half * unit_m) + there, there, far, half, "level_db" in values
        )
        kind = "level in dB" if "level_db" in values else "dB against the marked spot"
        self._said.set_text(f"{self.manner.unit(DISTANCE)}; {kind}, 1 kHz, from above")
        return words

    def _number(
        self, levels: NDArray[np.float64], there: float, far: float, half: float, signed: bool
    ) -> None:
        """Draw the lines that have room for their number, each with a gap in which it stands, and no other."""
        lines: list[NDArray[np.float64]] = []
        numbers: list[tuple[str, NDArray[np.float64]]] = []
        per = self.wide * _WIDE / far  # units of the picture's width in a metre
        generator = contour_generator(_OUT * far, _ACROSS * half, levels)
        whole = _STEP_DB * round(there / _STEP_DB)
        taken = [np.zeros(2)]
        for nth, level in enumerate(range(whole + 15, whole - 16, -_STEP_DB)):
            parts = [
                np.asarray(each) for each in generator.lines(level) if each is not None and len(each) > 4
            ]
            at = _beside(parts, far, half, 1 if nth % 2 else -1)
            if (
                len(numbers) == _LINES
                or at is None
                or any((np.abs((at - each) * per) < _ROOM).all() for each in taken)
            ):
                continue
            numbers.append((_said(level, signed), at))
            taken.append(at)
            lines += parts
        for label in self._numbers[len(numbers) :]:
            label.set_text("")
        for label, (text, at) in zip(self._numbers, numbers, strict=False):
            label.set(x=at[0], y=at[1], text=text)
        gaps = [(at, np.array([3.2 * len(text) + 2, 6]) / per) for text, at in numbers]
        self._lines.set_segments(_cut(lines, [*gaps, self._gap(per)]))

    def _gap(self, per: float) -> Gap:
        """Where the words beside the marked spot stand, about as wide as they are."""
        wide = 3.1 * len(self._named.get_text()) / per
        x, y = self._named.get_position()
        return np.array(
            [x + (wide if self._named.get_horizontalalignment() == "left" else -wide), y]
        ), np.array([wide, 7 / per])


def _cut(lines: list[NDArray[np.float64]], gaps: list[Gap]) -> list[NDArray[np.float64]]:
    """Lines without the points that lie in a gap: its middle, and half its width and height."""
    kept = []
    for line in lines:
        out = np.ones(len(line), bool)
        for middle, size in gaps:
            out &= (np.abs(line - middle) > size).any(axis=1)
        edges = np.flatnonzero(np.diff(out.astype(int))) + 1
        kept += [
            part for part, free in zip(np.split(line, edges), np.split(out, edges), strict=True) if free[0]
        ]
    return kept


def _levels(values: Mapping[str, Any], far: float, half: float) -> NDArray[np.float64]:
    """Level at each point of the floor against the level at the distance asked for [dB]."""
    distance = values["distance_m"]
    ear = values.get("ear_height_m", 0.0)
    up = values.get("height_m", ear) - ear
    wide = max(values.get("angle_deg", _HORIZONTAL_DEG), _NARROWEST_DEG)
    box = Speaker((0, 0, up), (0, distance, 0), 0.0, horizontal_deg=wide, vertical_deg=_VERTICAL_DEG)
    out, across = np.broadcast_arrays(_OUT[None, :] * far, _ACROSS[:, None] * half)
    away = np.sqrt(out**2 + across**2 + up**2)
    without = (away < _NEAR_M) | (away > _FAR_M)
    out, across = np.where(without, 1.0, out), np.where(without, 0.0, across)
    levels = level_over_floor([box], across, out, 0.0, bands_hz=[_BAND_HZ])[0]
    aimed = max(distance, _NEAR_M)
    there = level_over_floor([box], 0.0, aimed, 0.0, bands_hz=[_BAND_HZ])[0]
    return np.ma.masked_array(levels - there, without)


def _beside(parts: list[Any], far: float, half: float, side: int) -> NDArray[np.float64] | None:
    """Where on a contour its number stands: on a slant from the box, to one side, inside the floor."""
    if not parts:
        return None
    points = np.concatenate(parts)
    inside = (
        (np.abs(points[:, 1]) < 0.9 * half)
        & (points[:, 0] > 0.05 * far)
        & (points[:, 0] < 0.95 * far)
        & (points[:, 1] * side > 0)
    )
    if not inside.any():
        return None
    points = points[inside]
    off = np.abs(points[:, 1] * side - np.minimum(_SLANT * points[:, 0], 0.62 * half))
    nearest = np.argmin(off)
    return np.asarray(points[nearest]) if off[nearest] < _FURTHEST_OFF * half else None


def _said(level: int, signed: bool) -> str:
    return f"{level}".replace("-", "−") if signed else f"{level:+d}".replace("-", "−").replace("+0", "0")


def _words(values: Mapping[str, Any], manner: Manner) -> tuple[str, str]:
    """What stands at the marked spot, and the picture in words."""
    show = manner.show
    distance = show(values["distance_m"], DISTANCE)
    wide = show(max(values.get("angle_deg", _HORIZONTAL_DEG), _NARROWEST_DEG), ANGLE)
    box = f"a box that covers {wide} across and 60° up and down"
    if "level_db" in values:
        level = show(values["level_db"], LEVEL)
        power = f"with {show(values['power_w'], POWER)} " if "power_w" in values else ""
        over = f", {show(values['headroom_db'], DECIBELS)} kept for peaks" if "headroom_db" in values else ""
        words = f"{box}, at ear height, {power}gives {level} on its axis at {distance}{over}; lines are 3 dB apart."
        return level, words[0].upper() + words[1:]
    if "width_m" in values:
        width = show(values["width_m"], DISTANCE)
        words = (
            f"At {distance} {box} is {width} wide; past both ends it is more than {show(6, DECIBELS)} down."
        )
        return f"{width} wide", words
    tilt = show(values["tilt_deg"], ANGLE)
    return (
        f"aim, {tilt} down",
        f"{box.capitalize()} looks {tilt} down at the ears {distance} out; lines are 3 dB apart.",
    )


_PERIODS = np.linspace(0, 2, 241)
_BETWEEN = np.linspace(0, 1, 401)
_SILENT_DB = -60.0


class TurnedWave(Picture):
    """Two periods of a tone, its later copy, and both together.

    Takes `time_ms`, `frequency_hz` and `phase_deg`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.045, 0.13, 0.91, 0.62)
        area.set(xlim=(0, 1), ylim=(-2.1, 2.1), yticks=[])
        area.spines["left"].set_visible(False)
        area.axhline(0, color=look.faint, lw=0.8)
        area.xaxis.set_major_locator(MaxNLocator(5))
        area.text(1, 0.03, "ms", color=look.quiet, size=SMALL, ha="right", transform=area.transAxes)
        like: dict[str, Any] = {"lw": 1.7}
        (self._tone,) = area.plot(_PERIODS, _PERIODS, "-", color=look.ink, **like)
        (self._copy,) = area.plot(_PERIODS, _PERIODS, "--", color=look.accent, **like)
        (self._sum,) = area.plot(_PERIODS, _PERIODS, ":", color=look.quiet, **like)
        above: dict[str, Any] = {"size": SMALL, "transform": area.transAxes, "parse_math": False}
        for x, name, style, colour in (
            (0.0, "the tone", "-", look.ink),
            (0.3, "its later copy", "--", look.accent),
            (0.66, "both together", ":", look.quiet),
        ):
            area.plot([x, x + 0.06], [1.27, 1.27], style, color=colour, clip_on=False, transform=area.transAxes, **like)  # fmt: skip
            area.text(x + 0.075, 1.27, name, color=look.ink, va="center", **above)
        self._said = area.text(0, 1.09, "", color=look.ink, va="center", **above)
        self.scales(area, area.xaxis)
        self.moves(area, self._sum, self._tone, self._copy, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show, turned = self.manner.show, values["phase_deg"]
        period_ms = 1000 / values["frequency_hz"]
        self._area.set_xlim(0, 2 * period_ms)
        within = turned % 360
        tone = np.sin(2 * np.pi * _PERIODS)
        copy = np.sin(2 * np.pi * _PERIODS - np.radians(within))
        for line, height in ((self._tone, tone), (self._copy, copy), (self._sum, tone + copy)):
            line.set_data(_PERIODS * period_ms, height)
        level = float(sum_two_tones(0.0, 0.0, within))
        apart = f"{show(abs(level), DECIBELS)} {'more' if level >= 0 else 'less'} than one alone"
        more = "they cancel" if level < _SILENT_DB else f"together {apart}"
        whole = f" = {show(within, PHASE)}" if turned > 360 else ""
        said = f"{show(turned, PHASE)}{whole}; {more}"
        self._said.set_text(said)
        return (
            f"At {show(values['frequency_hz'], FREQUENCY)} the copy is turned by {said}, both equally loud."
        )


class StandingWave(Picture):
    """How loud a note stands at each place between two walls.

    Takes `length_m`, `order` and `mode_hz`.
    """

    high = 168

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.04, 0.145, 0.92, 0.69)
        area.set(xlim=(0, 1), ylim=(-0.02, 1.06), yticks=[])
        for side in ("left", "right"):
            area.spines[side].set(visible=True, color=look.ink, linewidth=3)
        area.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        small: dict[str, Any] = {"size": SMALL, "parse_math": False}
        self._unit = area.text(1, 1.08, "", color=look.quiet, ha="right", transform=area.transAxes, **small)  # fmt: skip
        self._said = area.text(0, 1.08, "", color=look.quiet, transform=area.transAxes, **small)
        (self._loud,) = area.plot(_BETWEEN, _BETWEEN, color=look.accent, lw=2)
        (self._silent,) = area.plot([0], [0], "o", color=look.ink, ms=5, clip_on=False)
        self.scales(area, area.xaxis)
        self.moves(area, self._loud, self._silent, self._unit, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show, order, mode = self.manner.show, round(values["order"]), values["mode_hz"]
        long = self.manner.turned(values["length_m"], DISTANCE)
        self._area.set_xlim(0, long)
        self._loud.set_data(_BETWEEN * long, np.abs(np.cos(np.pi * order * _BETWEEN)))
        quiet = (np.arange(order) + 0.5) / order
        self._silent.set_data(quiet * long, np.zeros(order))
        first = show(values["length_m"] * quiet[0], DISTANCE)
        self._unit.set_text(self.manner.unit(DISTANCE))
        where = f"nothing at {first}{' first' * (order > 1)}"
        self._said.set_text(f"{show(mode, FREQUENCY)}: loud at both walls, {where}")
        gaps = "one place" if order == 1 else f"{order} places"
        return f"At {show(mode, FREQUENCY)} it is loudest at the walls and nearly silent in {gaps}, the first {first} from a wall."
