"""The voltage along a mains cable under load."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.ticker import MaxNLocator

from gigsums.catalogue.declaration import LIGHTING_PART, USUAL_PART
from gigsums.quantities import DISTANCE, VOLTAGE

from .picture import SMALL, TEXT, Picture

_WHERE = DISTANCE.shown_to(1)
_LINE = 0.11  # height of a line of text, in heights of the picture


class VoltageAlong(Picture):
    """Voltage from the socket to the load, with the two usual limits and how far they let the cable go.

    Takes `length_m`, `drop_v` and `voltage_v`.
    """

    high = 150

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.12, 0.15, 0.85, 0.71)
        area.set(xlim=(0, 1), ylim=(0, 1))
        for axis in (area.xaxis, area.yaxis):
            axis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        small: dict[str, Any] = {"size": SMALL, "parse_math": False}
        self._unit = area.text(1, 1.04, "", color=look.quiet, ha="right", transform=area.transAxes, **small)
        area.text(0, 1.04, "V", color=look.quiet, ha="right", transform=area.transAxes, **small)
        self._limits = []
        for part in (LIGHTING_PART, USUAL_PART):
            (line,) = area.plot([0, 1], [0, 0], "--", color=look.quiet, lw=1)
            name = area.text(0, 0, "", color=look.quiet, va="bottom", ha="right", **small)
            self._limits.append((part, line, name))
            self.moves(area, line, name)
        (self._line,) = area.plot([0, 1], [0, 0], "o-", color=look.accent, lw=2, ms=5, markevery=[1])
        self._end = area.text(0, 0, "", color=look.accent, size=TEXT, ha="right", va="top", parse_math=False)
        self.scales(area, area.xaxis)
        self.scales(area, area.yaxis)
        self.moves(area, self._line, self._end, self._unit)

    def place(self, values: Mapping[str, Any]) -> str:
        show, supply, drop = self.manner.show, values["voltage_v"], values["drop_v"]
        long = self.manner.turned(values["length_m"], DISTANCE)
        deepest = max(drop, USUAL_PART * supply) * 1.35
        self._area.set(xlim=(0, 1.06 * long), ylim=(supply - deepest, supply + 0.04 * deepest))
        self._line.set_data([0, long], [supply, supply - drop])
        told = []
        crowded = (USUAL_PART - LIGHTING_PART) * supply < _LINE * deepest
        for part, line, name in self._limits:
            level = supply * (1 - part)
            line.set_data([0, 1.06 * long], [level, level])
            reached = values["length_m"] * part * supply / drop if drop > 0 else float("inf")
            said = f"{100 * part:g} %"
            if reached < values["length_m"]:
                said += f" at {show(reached, _WHERE)}"
                told.append(said)
            steep = reached < 0.4 * values["length_m"]  # then the line is near the limits where they begin
            name.set(x=(1.06 if steep else 0.012) * long, ha="right" if steep else "left", y=level, text=said)
            name.set_verticalalignment("top" if crowded and part == USUAL_PART else "bottom")
        here = show(supply - drop, VOLTAGE)
        below = drop + 0.02 * deepest
        for limit in (part * supply for part, *_ in self._limits):
            if below < limit < below + _LINE * deepest:  # its line would run through the words
                below = limit + 0.02 * deepest
        self._end.set(x=long * 0.985, y=supply - below, text=f"{here} at the end")
        self._unit.set_text(self.manner.unit(DISTANCE))
        past = f"; it is down by {' and by '.join(told)}" if told else "; neither usual limit is reached"
        return (
            f"{show(supply, VOLTAGE)} at the socket is {here} at the load, {show(drop, VOLTAGE)} less{past}."
        )
