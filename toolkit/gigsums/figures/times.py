"""How long a day's share of sound lasts at a level and at its neighbours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gigsums.formulas.exposure import SCHEMES, allowed_hours
from gigsums.quantities import DBA, DURATION

from .picture import SMALL, TEXT, Picture

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
