"""Where a chain's latency comes from, and where the repeats of an echo fall."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from gigsums.catalogue.words import IN_EARS_MS, WEDGES_MS
from gigsums.formulas.timing import samples_to_ms
from gigsums.quantities import BEATS, DELAY

from .picture import SMALL, TEXT, Picture, round_top

_MOST_PARTS, _HIGHEST_ROW = 7, 1.7
_ENDS = (("converters_ms", "converters"), ("network_ms", "network"), ("radio_ms", "radio link"))
_REPEATS = 16


class LatencyParts(Picture):
    """What each part of a chain adds, one after the other, up to the usual limits.

    Takes `buffer_samples`, `sample_rate_hz`, `latency_ms` and, where there are any, `converters_ms`, `network_ms`
    and `radio_ms`.
    """

    high = 176

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.36, 0.13, 0.6, 0.76)
        area.set(xlim=(0, 1), ylim=(_MOST_PARTS, -0.2), yticks=[])
        area.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        above: dict[str, Any] = {"size": SMALL, "va": "bottom", "color": look.ink, "parse_math": False}
        self._limits = []
        for limit, who in ((IN_EARS_MS, "in-ears"), (WEDGES_MS, "wedges")):
            (line,) = area.plot([limit] * 2, [-0.2, _MOST_PARTS], ls="--", color=look.quiet, lw=1)
            name = area.text(limit, -0.25, who, ha="center", **above)
            self._limits.append((line, name))
            self.moves(area, line, name)
        self._unit = area.text(
            1, 0.02, "ms", color=look.quiet, size=SMALL, ha="right", transform=area.transAxes
        )
        self._parts = []
        words: dict[str, Any] = {"size": SMALL, "va": "center", "parse_math": False}
        for row in range(_MOST_PARTS):
            (bar,) = area.plot([], [], color=look.accent, lw=7, solid_capstyle="butt")
            name = area.text(-0.59, row, "", color=look.ink, transform=area.get_yaxis_transform(), **words)
            value = area.text(
                -0.03, row, "", color=look.ink, transform=area.get_yaxis_transform(), ha="right", **words
            )
            self._parts.append((bar, name, value))
            self.moves(area, bar, name, value)
        self.scales(area, area.xaxis)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        buffers = np.atleast_1d(samples_to_ms(values["buffer_samples"], values["sample_rate_hz"]))
        parts = [(f"buffer {number}", float(each)) for number, each in enumerate(buffers, start=1)]
        parts += [(name, values[key]) for key, name in _ENDS if values.get(key)]
        latest = values["latency_ms"]
        wide = 1.25 * WEDGES_MS if latest <= WEDGES_MS else round_top(1.25 * latest)
        self._area.set_xlim(0, wide)
        apart = wide < 4 * WEDGES_MS  # further out the two limits lie on one another
        for limit in self._limits:
            for each in limit:
                each.set_visible(apart)
        before = 0.0
        high = min(_MOST_PARTS / len(parts), _HIGHEST_ROW)
        empty = [("", 0.0)] * (_MOST_PARTS - len(parts))
        for row, ((bar, name, value), (said, part)) in enumerate(
            zip(self._parts, [*parts, *empty], strict=True)
        ):
            y = (row + 0.5) * high
            bar.set_data([before, before + part] if said else [], [y, y] if said else [])
            name.set(y=y, text=said)
            value.set(y=y, text=show(part, DELAY) if said else "")
            before += part
        told = ", ".join(f"{name} {show(part, DELAY)}" for name, part in parts)
        return f"{told}: together {show(latest, DELAY)}; the usual limits are {IN_EARS_MS} ms for in-ears and {WEDGES_MS} ms for wedges."


class EchoOnBeats(Picture):
    """Where the repeats of an echo fall among the beats.

    Takes `tempo_bpm`, `beats` and `echo_ms`.
    """

    high = 120

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.03, 0.2, 0.94, 0.6)
        area.set(xlim=(0, 4), ylim=(0, 1), yticks=[])
        area.spines["left"].set_visible(False)
        area.xaxis.set_major_locator(MaxNLocator(8, integer=True))
        area.xaxis.grid(True, color=look.faint, lw=0.8)
        self._said = area.text(0, 1.1, "", color=look.quiet, size=SMALL, transform=area.transAxes)
        self._repeats = [area.plot([], [], color=look.accent, lw=3)[0] for _ in range(_REPEATS)]
        (self._first,) = area.plot([0, 0], [0, 1], color=look.ink, lw=3)
        self._echo = area.text(0, 0.9, "", color=look.accent, size=TEXT, va="top", parse_math=False)
        self.scales(area, area.xaxis)
        self.moves(area, self._said, *self._repeats, self._first, self._echo)

    def place(self, values: Mapping[str, Any]) -> str:
        show, beats, echo = self.manner.show, values["beats"], values["echo_ms"]
        wide = max(4, 2 * int(np.ceil(beats)))
        self._area.set_xlim(0, wide)
        at = [beats * number for number in range(1, _REPEATS + 1)]
        for number, (line, x) in enumerate(zip(self._repeats, at, strict=True), start=1):
            inside = x <= wide
            line.set_data([x, x] if inside else [], [0, 0.75 * 0.82**number] if inside else [])
        self._said.set_text("the note and its repeats, over beats")
        self._echo.set(x=beats + 0.012 * wide if beats > 0.03 * wide else 0.04 * wide, text=show(echo, DELAY))
        return f"A repeat comes every {show(beats, BEATS)}, which is {show(echo, DELAY)} at this tempo."
