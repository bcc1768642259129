"""A compressor's curve, level out over level in, and where it stands on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from gigsums.formulas.dynamics import compressed_level_db
from gigsums.quantities import DECIBELS

from .picture import SMALL, TEXT, Picture

_LEAST, _MOST = -60.0, 20.0
_LEVELS = np.linspace(-100, 40, 281)


class CompressionCurve(Picture):
    """The curve, the same without compression, and the level at hand.

    Takes `level_db`, `threshold_db`, `ratio`, `knee_db`, `out_db` and `reduction_db`.
    """

    def build(self) -> None:
        look = self.look
        area = self.axes(0.115, 0.13, 0.845, 0.80)
        area.set(
            xlim=(_LEAST, _MOST), ylim=(_LEAST, _MOST), xticks=range(-60, 21, 20), yticks=range(-60, 21, 20)
        )
        area.grid(True, color=look.faint, lw=0.4, alpha=0.6)
        area.plot([-100, 40], [-100, 40], ls=":", color=look.quiet, lw=1)
        area.text(_MOST - 1, _LEAST + 3, "dB in", color=look.quiet, size=SMALL, ha="right")
        area.text(_LEAST + 1, _MOST - 5, "dB out", color=look.quiet, size=SMALL)
        (self._curve,) = area.plot(_LEVELS, _LEVELS, color=look.accent, lw=1.8)
        (self._threshold,) = area.plot([0, 0], [-100, 40], ls="--", color=look.quiet, lw=0.9)
        (self._off,) = area.plot([0, 0], [0, 0], "_-", color=look.ink, lw=1.2, ms=7)
        (self._here,) = area.plot([0], [0], "o", color=look.accent, ms=6)
        self._named = area.text(0, _LEAST + 9, "", color=look.quiet, size=SMALL, ha="right", parse_math=False)
        self._said = area.text(0, 0, "", color=look.ink, size=TEXT, parse_math=False, va="bottom")
        self.moves(area, self._threshold, self._curve, self._off, self._here, self._named, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        level, out, threshold = values["level_db"], values["out_db"], values["threshold_db"]
        shape = threshold, values["ratio"], values["knee_db"]
        self._curve.set_ydata(compressed_level_db(_LEVELS, *shape))
        self._threshold.set_xdata([threshold, threshold])
        self._off.set_data([level, level], [out, level])
        self._here.set_data([level], [out])
        within = _LEAST + 18 < threshold < _MOST
        self._named.set(x=threshold - 1, text="threshold" if within else "")
        off = show(values["reduction_db"], DECIBELS)
        x, y, to = min(max(level, _LEAST + 1), _MOST - 3), level + 3, "right" if level > -40 else "left"
        if level >= threshold and out > _LEAST + 12:  # under the curve, where no line crosses the words
            x, y, to = min(level + 2, 0), out - (9 if level < 0 else 12), "left"
        self._said.set(x=x, y=min(max(y, _LEAST + 3), _MOST - 7), ha=to, text=f"{off} off")
        return (
            f"In at {show(level, DECIBELS)}, out at {show(out, DECIBELS)}, {off} taken off above a threshold of "
            f"{show(threshold, DECIBELS)}."
        )
