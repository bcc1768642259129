"""Pictures of time: two arrivals and their comb, parts of a latency, an echo on the beats."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from gigsums.catalogue.declaration import IN_EARS_MS, WEDGES_MS
from gigsums.formulas.decibels import sum_two_tones
from gigsums.formulas.timing import phase_deg, samples_to_ms
from gigsums.quantities import BEATS, DELAY, FREQUENCY

from .picture import SMALL, TEXT, Picture, round_top

_ALONG = np.linspace(0, 1, 401)
_FLOOR_DB = -24.0
_HIGHEST_HZ = 20_000.0


class _Comb:
    """An area of a picture with the level of two equal sounds, one later than the other, over frequency."""

    def __init__(self, picture: Picture, bottom: float, height: float) -> None:
        look, self._picture = picture.look, picture
        self.area = area = picture.axes(0.105, bottom, 0.85, height)
        area.set(ylim=(_FLOOR_DB, 8), yticks=[-20, -10, 0], xlim=(0, 1))
        area.axhline(0, color=look.faint, lw=0.8)
        area.text(1, 0.06, "Hz", color=look.quiet, size=SMALL, ha="right", transform=area.transAxes)
        above: dict[str, Any] = {"transform": area.transAxes, "parse_math": False}
        self._said = area.text(0, 1 + 0.027 / height, "", color=look.quiet, size=SMALL, **above)
        (self.curve,) = area.plot(_ALONG, _ALONG, color=look.accent, lw=1.4)
        picture.scales(area, area.xaxis)
        picture.moves(area, self.curve, self._said)

    def place(self, apart_ms: float) -> str:
        """Show two sounds so far apart, and say what that makes."""
        turn = float(phase_deg(apart_ms, 1.0))  # degrees at 1 Hz
        gaps = turn * _HIGHEST_HZ > 180  # whether one falls within hearing
        top = min(round_top(4 * 360 / turn), _HIGHEST_HZ) if gaps else 1000.0
        self.area.set_xlim(0, top)
        frequencies = _ALONG * top
        levels = np.asarray(sum_two_tones(0.0, 0.0, phase_deg(apart_ms, frequencies)))
        self.curve.set_data(frequencies, np.maximum(levels, _FLOOR_DB - 5))
        show = self._picture.manner.show
        heard = "together and equally loud: 6 dB more at every frequency"
        if gaps:
            first = show(180 / turn, FREQUENCY)
            heard = f"{show(apart_ms, DELAY)} apart, equally loud: first gap {first}"
        self._said.set_text("dB  " + heard)
        return heard


class TwoArrivals(Picture):
    """When what comes from afar and what a delayed loudspeaker gives are heard, and what the two add up to.

    Takes `set_ms`, `offset_ms` and either `travel_ms`, the stage's way, or `main_ms` and `own_ms`, those of the
    main loudspeakers and of this one.
    """

    def build(self) -> None:
        look = self.look
        self._lanes = lanes = self.axes(0.045, 0.63, 0.91, 0.36)
        lanes.set(ylim=(0, 4.4), xlim=(0, 1), yticks=[])
        lanes.spines["left"].set_visible(False)
        lanes.text(1, 0.06, "ms", color=look.quiet, size=SMALL, ha="right", transform=lanes.transAxes)
        (self._far,) = lanes.plot([0, 0], [2.75, 2.75], "o-", color=look.ink, lw=2, ms=5, markevery=[1])
        (self._waits,) = lanes.plot([0, 0], [0.7, 0.7], "--", color=look.accent, lw=2)
        (self._here,) = lanes.plot([0, 0], [0.7, 0.7], "D-", color=look.accent, lw=2, ms=4.4, markevery=[1])
        words: dict[str, Any] = {"size": TEXT, "parse_math": False}
        self._far_name = lanes.text(0, 3.25, "", color=look.ink, **words)
        self._here_name = lanes.text(0, 1.2, "", color=look.accent, **words)
        self._far_ms = lanes.text(0, 3.25, "", color=look.ink, ha="right", **words)
        self._here_ms = lanes.text(0, 1.2, "", color=look.accent, ha="right", **words)
        self.scales(lanes, lanes.xaxis)
        self.moves(lanes, self._far, self._waits, self._here)
        self.moves(lanes, self._far_name, self._here_name, self._far_ms, self._here_ms)
        self.comb = _Comb(self, 0.115, 0.27)

    def place(self, values: Mapping[str, Any]) -> str:
        show, waits, own = self.manner.show, values["set_ms"], values.get("own_ms", 0.0)
        beside_main = "main_ms" in values
        far = values["main_ms" if beside_main else "travel_ms"]
        here = waits + own
        latest = round_top(max(here, far, 1) * 1.05)
        self._lanes.set_xlim(0, latest)
        self._far.set_xdata([0, far])
        self._waits.set_xdata([0, waits])
        self._here.set_xdata([waits, here])
        self._far_name.set_text("main" if beside_main else "stage")
        set_to = f"this one, set to {show(waits, DELAY)}" if beside_main else "loudspeaker here"
        self._here_name.set_text(set_to)
        self._far_ms.set(text=show(far, DELAY), x=max(far, 0.3 * latest))
        self._here_ms.set(text=show(here, DELAY), x=max(here, 0.8 * latest if beside_main else 0.6 * latest))
        heard = self.comb.place(values["offset_ms"])
        if beside_main:
            return (
                f"The main is heard after {show(far, DELAY)}; this one waits {show(waits, DELAY)}, is on its way for "
                f"{show(own, DELAY)} and is heard after {show(here, DELAY)}; {heard}."
            )
        return f"The stage is heard after {show(far, DELAY)}, the loudspeaker here after {show(here, DELAY)}; {heard}."


class Comb(Picture):
    """What a sound and an equal, later copy of it add up to, over frequency.

    Takes `late_ms`, `first_hz` and `second_hz`.
    """

    def build(self) -> None:
        self.comb = _Comb(self, 0.115, 0.74)
        area, look = self.comb.area, self.look
        (self._gaps,) = area.plot([0, 0], [-19, -19], "D", color=look.ink, ms=4)
        self.moves(area, self._gaps)

    def place(self, values: Mapping[str, Any]) -> str:
        first, second = values["first_hz"], values["second_hz"]
        heard = self.comb.place(values["late_ms"])
        self._gaps.set_xdata([first, second])
        return f"The two are {heard}, then {self.manner.show(second, FREQUENCY)} and on at even steps."


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
