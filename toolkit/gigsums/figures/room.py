"""How a room rings, and where it takes over from the loudspeaker."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator, NullLocator

from gigsums.formulas.decibels import sum_levels
from gigsums.formulas.speakers import level_at_distance
from gigsums.quantities import DISTANCE, REVERBERATION

from .picture import SMALL, TEXT, Picture, round_top

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
