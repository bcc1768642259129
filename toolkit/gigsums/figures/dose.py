"""A day's dose of sound filling up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.exposure import dose_percent
from gigsums.quantities import DURATION, PERCENT

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
