"""Level over a floor from one loudspeaker, as numbered contours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from contourpy import contour_generator
from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from gigsums.formulas.speakers import Speaker, level_over_floor
from gigsums.quantities import ANGLE, DECIBELS, DISTANCE, LEVEL, POWER

from .picture import SMALL, TEXT, Manner, Picture, round_top

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
