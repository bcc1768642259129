"""A microphone's level and noise before and after the gain, under the level that fills the converter."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gigsums.quantities import DBU, DECIBELS

from .picture import SMALL, TEXT, Picture

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
