"""Waves: a tone and its later copy, and what stands between two walls."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from gigsums.formulas.decibels import sum_two_tones
from gigsums.quantities import DECIBELS, DISTANCE, FREQUENCY, PHASE

from .picture import SMALL, Picture

_PERIODS = np.linspace(0, 2, 241)
_ALONG = np.linspace(0, 1, 401)
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
        (self._loud,) = area.plot(_ALONG, _ALONG, color=look.accent, lw=2)
        (self._silent,) = area.plot([0], [0], "o", color=look.ink, ms=5, clip_on=False)
        self.scales(area, area.xaxis)
        self.moves(area, self._loud, self._silent, self._unit, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show, order, mode = self.manner.show, round(values["order"]), values["mode_hz"]
        long = self.manner.turned(values["length_m"], DISTANCE)
        self._area.set_xlim(0, long)
        self._loud.set_data(_ALONG * long, np.abs(np.cos(np.pi * order * _ALONG)))
        quiet = (np.arange(order) + 0.5) / order
        self._silent.set_data(quiet * long, np.zeros(order))
        first = show(values["length_m"] * quiet[0], DISTANCE)
        self._unit.set_text(self.manner.unit(DISTANCE))
        where = f"nothing at {first}{' first' * (order > 1)}"
        self._said.set_text(f"{show(mode, FREQUENCY)}: loud at both walls, {where}")
        gaps = "one place" if order == 1 else f"{order} places"
        return f"At {show(mode, FREQUENCY)} it is loudest at the walls and nearly silent in {gaps}, the first {first} from a wall."
