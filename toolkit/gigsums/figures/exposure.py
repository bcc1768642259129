"""Pictures of exposure: a day's dose filling, times at levels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.exposure import SCHEMES, allowed_hours, dose_percent
from gigsums.quantities import DBA, DURATION, PERCENT

from .picture import SMALL, TEXT, Picture, round_top

_PERCENT = PERCENT.shown_to(0)
_OVER = {"h": "hours", "min": "minutes"}


class DoseFilling(Picture):
    """The share used up from part to part of a day, with the line at which it is whole.

    Takes `exposure_dba`, `hours`, `scheme` and `dose_percent`.
    """

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.135, 0.13, 0.82, 0.76)
        over: dict[str, Any] = {"color": look.quiet, "size": SMALL, "parse_math": False}
        self._over = area.text(-0.02, 1.05, "", ha="left", transform=area.transAxes, **over)
        (self._whole,) = area.plot([0, 1], [100, 100], ls="--", color=look.ink, lw=1.2)
        self._whole_name = area.text(
            0, 0, "", color=look.ink, size=SMALL, ha="right", va="bottom", parse_math=False
        )
        (self._line,) = area.plot([0, 1], [0, 1], "o-", color=look.accent, lw=2, ms=4.5)
        self._end = area.text(
            0, 0, "", color=look.accent, size=TEXT, ha="right", va="bottom", parse_math=False
        )
        self.scales(area, area.xaxis)
        self.scales(area, area.yaxis)
        self.moves(area, self._over, self._whole, self._line, self._whole_name, self._end)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        levels, hours, scheme = values["exposure_dba"], values["hours"], values["scheme"]
        parts = [dose_percent([level], [time], scheme) for level, time in zip(levels, hours, strict=True)]
        at = self.manner.turned(np.concatenate([[0.0], np.cumsum(hours)]), DURATION)
        used = np.concatenate([[0.0], np.cumsum(parts)])
        wide, high = round_top(max(at[-1], 0.1)), round_top(max(used[-1], 100) * 1.2)
        unit = self.manner.unit(DURATION)
        self._over.set_text(f"% of a day's share, over {_OVER.get(unit, unit)}")
        self._area.set(xlim=(0, wide), ylim=(0, high))
        self._whole.set_data([0, wide], [100, 100])
        self._whole_name.set(x=wide, y=100 + 0.01 * high, text="whole share, 100 %")
        self._line.set_data(at, used)
        dose = show(values["dose_percent"], _PERCENT)
        self._end.set(x=max(at[-1], 0.3 * wide), y=min(used[-1] + 0.03 * high, 0.9 * high), text=dose)
        return (
            f"After {show(sum(hours), DURATION)} the dose is {dose} of a day's share by the scheme {scheme}."
        )


_STEPS = (2, 1, 0, -1, -2)
_LOUDEST_DBA = DBA.most


class TimesAtLevels(Picture):
    """The time at a level, and at two levels above and below it, each half or double the next.

    Takes `exposure_dba`, `scheme` and `time_h`.
    """

    high = 150

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.2, 0.03, 0.78, 0.84)
        area.set(xlim=(0, 1), ylim=(-0.5, len(_STEPS) - 0.5), xticks=[], yticks=[])
        for side in ("left", "bottom"):
            area.spines[side].set_visible(False)
        small: dict[str, Any] = {"size": SMALL, "color": look.quiet}
        area.text(0, 1.03, "time until the day's share is used up", transform=area.transAxes, **small)
        self._rows = []
        for row, step in enumerate(reversed(_STEPS)):
            colour = look.ink if step else look.accent
            words: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False, "color": colour}
            (bar,) = area.plot(
                [], [], color=look.quiet if step else look.accent, lw=11, solid_capstyle="butt"
            )
            level = area.text(-0.03, row, "", ha="right", **words)
            time = area.text(0, row, "", **words)
            self._rows.append((step, row, bar, level, time))
            self.moves(area, bar, level, time)

    def place(self, values: Mapping[str, Any]) -> str:
        show, level, scheme = self.manner.show, values["exposure_dba"], values["scheme"]
        exchange = SCHEMES[scheme].exchange_db or 0.0
        longest = min(float(allowed_hours(max(level + exchange * _STEPS[-1], 0.0), scheme)), DURATION.ceiling)
        for step, row, bar, named, time in self._rows:
            at = level + exchange * step
            there = 0.0 <= at <= _LOUDEST_DBA
            hours = float(allowed_hours(at, scheme)) if there else 0.0
            part = 0.66 * min(hours / longest, 1.0)
            bar.set_data([0, part] if there else [], [row, row] if there else [])
            named.set_text(show(at, DBA) if there else "")
            time.set(x=part + 0.02, text=show(hours, DURATION) if there else "")
        return (
            f"{show(values['time_h'], DURATION)} at {show(level, DBA)}; {show(exchange, DBA).split()[0]} dB more halves it, "
            f"{show(exchange, DBA).split()[0]} dB less doubles it, by the scheme {scheme}."
        )
