"""Two arrivals of one sound in time, and the comb that they make together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.decibels import sum_two_tones
from gigsums.formulas.timing import phase_deg
from gigsums.quantities import DELAY, show

from .picture import SMALL, TEXT, Picture, round_top

_ALONG = np.linspace(0, 1, 401)
_FLOOR_DB = -24.0


class TwoArrivals(Picture):
    """When the stage and a delayed loudspeaker are heard, and what the two add up to.

    Takes `travel_ms`, `set_ms` and `offset_ms`.
    """

    def build(self) -> None:
        look = self.look
        lanes = self.axes(0.045, 0.63, 0.91, 0.36)
        lanes.set(ylim=(0, 4.4), xlim=(0, 1), yticks=[])
        lanes.spines["left"].set_visible(False)
        lanes.text(0, 3.25, "stage", color=look.ink, size=TEXT, parse_math=False)
        lanes.text(0, 1.2, "loudspeaker here", color=look.accent, size=TEXT, parse_math=False)
        (self._stage,) = lanes.plot([0, 0], [2.75, 2.75], "o-", color=look.ink, lw=2, ms=5, markevery=[1])
        (self._here,) = lanes.plot([0, 0], [0.7, 0.7], "D--", color=look.accent, lw=2, ms=4.4, markevery=[1])
        self._stage_ms = lanes.text(0, 3.25, "", color=look.ink, size=TEXT, ha="right", parse_math=False)
        self._here_ms = lanes.text(0, 1.2, "", color=look.accent, size=TEXT, ha="right", parse_math=False)
        self._lanes = lanes
        self.scales(lanes, lanes.xaxis)
        self.moves(lanes, self._stage, self._here, self._stage_ms, self._here_ms)

        comb = self.axes(0.105, 0.115, 0.85, 0.27)
        comb.set(ylim=(_FLOOR_DB, 8), yticks=[-20, -10, 0], xlim=(0, 1))
        comb.axhline(0, color=look.faint, lw=0.8)
        for area, unit in ((lanes, "ms"), (comb, "Hz")):
            area.text(1, 0.06, unit, color=look.quiet, size=SMALL, ha="right", transform=area.transAxes)
        self._comb = comb
        (self._curve,) = comb.plot(_ALONG, _ALONG, color=look.accent, lw=1.4)
        self._said = comb.text(
            0, 1.1, "", color=look.quiet, size=SMALL, transform=comb.transAxes, parse_math=False
        )
        self.scales(comb, comb.xaxis)
        self.moves(comb, self._curve, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        travel, fill, apart = values["travel_ms"], values["set_ms"], values["offset_ms"]
        latest = round_top(max(fill, travel, 1) * 1.05)
        self._lanes.set_xlim(0, latest)
        self._stage.set_xdata([0, travel])
        self._here.set_xdata([0, fill])
        self._stage_ms.set(text=show(travel, DELAY), x=max(travel, 0.25 * latest))
        self._here_ms.set(text=show(fill, DELAY), x=max(fill, 0.5 * latest))

        top_hz = round_top(4000 / apart) if apart > 0 else 1000.0
        self._comb.set_xlim(0, top_hz)
        frequencies = _ALONG * top_hz
        levels = np.asarray(sum_two_tones(0.0, 0.0, phase_deg(apart, frequencies)))
        self._curve.set_data(frequencies, np.maximum(levels, _FLOOR_DB - 5))
        if apart > 0:
            heard = f"{show(apart, DELAY)} apart, equally loud: first gap {500 / apart:.3g} Hz"
        else:
            heard = "together and equally loud: 6 dB more at every frequency"
        self._said.set_text("dB  " + heard)
        return f"The stage is heard after {show(travel, DELAY)}, the loudspeaker here after {show(fill, DELAY)}; {heard}."
