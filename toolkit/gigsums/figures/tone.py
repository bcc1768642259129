"""What equalisers do to each frequency, over hearing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.ticker import NullLocator

from gigsums.formulas.equalisers import peaking, response_db
from gigsums.quantities import DECIBELS, FREQUENCY, Q

from .picture import SMALL, Manner, Picture

_LEAST_HZ, _MOST_HZ = 20.0, 20_000.0
_FREQUENCIES = np.geomspace(_LEAST_HZ, _MOST_HZ, 361)
_TICKS = {
    20: "20",
    50: "50",
    100: "100",
    200: "200",
    500: "500",
    1000: "1k",
    2000: "2k",
    5000: "5k",
    10_000: "10k",
}
_FLOOR_DB = -24.0
_HARDLY_DB = 0.05
_STEP_DB = 6.0
_BELLS = {"6 dB more": 6.0, "6 dB less": -6.0}
_STYLES = ("-", "--", "-.", ":")


class Response(Picture):
    """Gain over frequency of up to four filters or rows of filters, each with a line of its own kind.

    Takes `filters`: by name, either one filter as `formulas.equalisers` designs it, or a list of filters in a row.
    """

    high = 220

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.105, 0.115, 0.865, 0.67)
        area.set(xscale="log", xlim=(_LEAST_HZ, _MOST_HZ), ylim=(_FLOOR_DB, _STEP_DB))
        area.set_xticks(list(_TICKS), list(_TICKS.values()))
        area.xaxis.set_minor_locator(NullLocator())
        area.grid(True, axis="x", color=look.faint, lw=0.4, alpha=0.6)
        area.text(1, 0.02, "Hz", color=look.quiet, size=SMALL, ha="right", transform=area.transAxes)
        area.text(
            -0.02, 1.12, "dB", color=look.quiet, size=SMALL, ha="right", va="center", transform=area.transAxes
        )
        (self._flat,) = area.plot([_LEAST_HZ, _MOST_HZ], [0, 0], color=look.faint, lw=0.9)
        self.scales(area, area.yaxis)
        self.moves(area, self._flat)
        self._lines = [self._line(number, style) for number, style in enumerate(_STYLES)]

    def _line(self, number: int, style: str) -> tuple[Any, Any, Any]:
        """A curve, with the sample of its line and the place of its name above the picture."""
        area, look = self._area, self.look
        colour = look.accent if number % 2 == 0 else look.ink
        across, up = 0.02 + 0.49 * (number % 2), 1.225 - 0.105 * (number // 2)
        like: dict[str, Any] = {"ls": style, "color": colour, "lw": 1.7}
        (curve,) = area.plot(_FREQUENCIES, np.zeros_like(_FREQUENCIES), **like)
        sample = area.plot(
            [across, across + 0.075], [up, up], transform=area.transAxes, clip_on=False, **like
        )[0]
        name = area.text(
            across + 0.09,
            up,
            "",
            color=look.ink,
            size=SMALL,
            va="center",
            transform=area.transAxes,
            parse_math=False,
        )
        self.moves(area, curve, sample, name)
        return curve, sample, name

    def place(self, values: Mapping[str, Any]) -> str:
        filters = values["filters"]
        if not 1 <= len(filters) <= len(_STYLES):
            raise ValueError(f"filters are {len(filters)}; one picture shows 1 to {len(_STYLES)} of them")
        gains = {name: self._gain(each) for name, each in filters.items()}
        highest = max(gain.max() for gain in gains.values())
        lowest = max(min(gain.min() for gain in gains.values()), _FLOOR_DB)
        top = _STEP_DB * max(math.ceil(highest / _STEP_DB - 1e-9), 1)
        bottom = _STEP_DB * min(math.floor(lowest / _STEP_DB + 1e-9), -1)
        self._area.set(ylim=(bottom, top), yticks=np.arange(bottom, top + 1, _STEP_DB))
        named = [*gains.items(), *[("", None)] * (len(_STYLES) - len(gains))]
        for (curve, sample, name), (said, gain) in zip(self._lines, named, strict=True):
            name.set_text(said)
            for line in (curve, sample):
                line.set_visible(gain is not None)
            if gain is not None:
                curve.set_ydata(np.maximum(gain, _FLOOR_DB - _STEP_DB))
        return " ".join(_words(name, gain, self.manner) for name, gain in gains.items())

    @staticmethod
    def _gain(filters: Any) -> np.ndarray:
        row = filters if isinstance(filters, list) else [filters]
        return np.sum([np.asarray(response_db(b, a, _FREQUENCIES)) for b, a in row], axis=0)


class Bell(Response):
    """A cut and a boost of 6 dB at 1 kHz, as wide as a Q makes them.

    Takes `q`.
    """

    high = 190

    def place(self, values: Mapping[str, Any]) -> str:
        both = {name: peaking(1000, gain, values["q"]) for name, gain in _BELLS.items()}
        return f"With a Q of {self.manner.show(values['q'], Q)}. {super().place({'filters': both})}"


def _words(name: str, gain: np.ndarray, manner: Manner) -> str:
    show = manner.show
    least, most = int(np.argmin(gain)), int(np.argmax(gain))
    parts = []
    if gain[least] < -_HARDLY_DB:
        beyond = " or less" if gain[least] < _FLOOR_DB else ""
        parts.append(
            f"down to {show(max(float(gain[least]), _FLOOR_DB), DECIBELS)}{beyond} at {_near(least, manner)}"
        )
    if gain[most] > _HARDLY_DB:
        parts.append(f"up to {show(float(gain[most]), DECIBELS)} at {_near(most, manner)}")
    return f"{name[:1].upper()}{name[1:]}: {' and '.join(parts) or 'flat'}."


def _near(at: int, manner: Manner) -> str:
    return manner.show(float(f"{_FREQUENCIES[at]:.2g}"), FREQUENCY)
