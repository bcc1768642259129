"""Two microphones on the way from one source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.ticker import MaxNLocator

from gigsums.quantities import DECIBELS, PATH

from .picture import SMALL, TEXT, Picture, round_top

_TIMES = 3


class MicrophoneSpacing(Picture):
    """A source, its own microphone and the next one, to scale, with three times the near distance marked.

    Takes `near_m`, `far_m` and `less_db`.
    """

    high = 120

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.05, 0.2, 0.9, 0.74)
        area.set(xlim=(0, 1), ylim=(0, 4), yticks=[])
        area.spines["left"].set_visible(False)
        area.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        small: dict[str, Any] = {"size": SMALL, "parse_math": False, "color": look.ink}
        self._unit = area.text(1, 0.04, "", ha="right", transform=area.transAxes, **small)
        (self._three,) = area.plot([0, 0], [1.1, 2.5], ls="--", color=look.quiet, lw=1.1)
        self._three_name = area.text(0, 1.5, "", va="center", **small)
        area.plot([0], [1.5], "o", color=look.ink, ms=8, clip_on=False)
        (self._near,) = area.plot([0, 0], [1.5, 1.5], "s-", color=look.accent, lw=2, ms=6, markevery=[1])
        (self._far,) = area.plot([0, 0], [2.5, 2.5], "s-", color=look.ink, lw=1.2, ms=6, markevery=[1])
        named: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False}
        self._near_name = area.text(0, 0.6, "", color=look.accent, **named)
        self._far_name = area.text(0, 3.2, "", color=look.ink, **named)
        self.scales(area, area.xaxis)
        self.moves(area, self._three, self._far, self._near, self._three_name)
        self.moves(area, self._near_name, self._far_name, self._unit)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        near, far = (self.manner.turned(values[each], PATH) for each in ("near_m", "far_m"))
        wide = round_top(1.15 * max(far, _TIMES * near))
        self._area.set_xlim(0, wide)
        self._near.set_xdata([0, near])
        self._far.set_xdata([0, far])
        self._three.set_xdata([_TIMES * near] * 2)
        left = _TIMES * near > 0.6 * wide
        self._three_name.set(
            x=_TIMES * near + (-0.012 if left else 0.012) * wide, ha="right" if left else "left",
            text="three times as far",
        )  # fmt: skip
        self._near_name.set_text(f"own microphone, {show(values['near_m'], PATH)}")
        beyond = far > 0.45 * wide
        less = show(values["less_db"], DECIBELS)
        self._far_name.set(
            x=far if beyond else 0.0, ha="right" if beyond else "left",
            text=f"the other, {show(values['far_m'], PATH)}: {less} less",
        )  # fmt: skip
        self._unit.set_text(self.manner.unit(PATH))
        return (
            f"The source is {show(values['near_m'], PATH)} from its own microphone and {show(values['far_m'], PATH)} "
            f"from the other, which hears {less} less."
        )
