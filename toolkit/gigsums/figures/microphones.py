"""Pictures of microphones: the distances of feedback, two microphones on one source, radio carriers and their products."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator

from gigsums.quantities import DECIBELS, PATH, RADIO

from .picture import SMALL, TEXT, Picture, round_top

# where things stand in the sketch: it is no plan to scale
_TALKER, _MICROPHONE, _LOUDSPEAKER, _LISTENER = (0.5, 1.5), (2.4, 1.5), (3.9, 3.0), (9.0, 1.5)


class FeedbackDistances(Picture):
    """Talker, microphone, loudspeaker and listener with the ways between them, over the gain there is and needed.

    Takes `talker_to_microphone_m`, `microphone_to_speaker_m`, `speaker_to_listener_m`, `talker_to_listener_m`,
    `potential_db` and, unless nothing is asked of it, `needed_db`.
    """

    high = 150

    def build(self) -> None:
        look = self.look
        sketch = self.axes(0.02, 0.40, 0.96, 0.58)
        sketch.set(xlim=(0, 10), ylim=(-0.3, 3.6), xticks=[], yticks=[])
        for side in ("left", "bottom"):
            sketch.spines[side].set_visible(False)
        quiet: dict[str, Any] = {"color": look.quiet, "lw": 1.1}
        near, loop = dict(quiet, color=look.accent, lw=2), dict(quiet, color=look.accent, lw=2, ls="--")
        sketch.plot(*zip(_TALKER, _MICROPHONE, strict=True), **near)
        sketch.plot(*zip(_MICROPHONE, _LOUDSPEAKER, strict=True), **loop)
        sketch.plot(*zip(_LOUDSPEAKER, _LISTENER, strict=True), **quiet)
        (x, y), (far, _) = _TALKER, _LISTENER
        sketch.plot([x, x, far, far], [y - 1.15, y - 1.35, y - 1.35, y - 1.15], **quiet)
        sketch.plot(*_TALKER, "o", color=look.ink, ms=8)
        sketch.plot(*_MICROPHONE, "s", color=look.ink, ms=6)
        sketch.plot(*_LOUDSPEAKER, ">", color=look.ink, ms=11)
        sketch.plot(*_LISTENER, "o", mfc=look.paper, mec=look.ink, ms=8)
        named: dict[str, Any] = {"color": look.ink, "size": SMALL, "ha": "center", "va": "top"}
        sketch.text(0.6, 1.22, "talker", **named)
        sketch.text(2.5, 1.22, "microphone", **named)
        sketch.text(3.55, 3.05, "loudspeaker", **named | {"ha": "right", "va": "center"})
        sketch.text(8.9, 1.22, "far listener", **named)
        ways: dict[str, Any] = {"size": TEXT, "ha": "center", "parse_math": False}
        self._talking = sketch.text(1.45, 1.68, "", color=look.accent, **ways)
        self._feeding = sketch.text(3.4, 2.05, "", color=look.accent, **ways | {"ha": "left"})
        self._hearing = sketch.text(6.6, 2.45, "", color=look.quiet, **ways | {"ha": "left"})
        self._all_the_way = sketch.text(4.9, 0.3, "", color=look.quiet, **ways)
        self._bars = bars = self.axes(0.02, 0.02, 0.96, 0.33)
        bars.set(xlim=(0, 1), ylim=(-0.1, 2), xticks=[], yticks=[])
        bars.spines["bottom"].set_visible(False)
        (self._there,) = bars.plot([0, 0], [1.3, 1.3], color=look.accent, lw=9, solid_capstyle="butt")
        (self._wanted,) = bars.plot([0, 0], [0.3, 0.3], color=look.quiet, lw=9, solid_capstyle="butt")
        beside: dict[str, Any] = {"size": TEXT, "va": "center", "parse_math": False, "color": look.ink}
        self._there_name = bars.text(0, 1.27, "", **beside)
        self._wanted_name = bars.text(0, 0.27, "", **beside)
        self.moves(sketch, self._talking, self._feeding, self._hearing, self._all_the_way)
        self.moves(bars, self._there, self._wanted, self._there_name, self._wanted_name)

    def place(self, values: Mapping[str, Any]) -> str:
        show = self.manner.show
        there, wanted = values["potential_db"], values.get("needed_db")
        ways = {
            self._talking: "talker_to_microphone_m",
            self._feeding: "microphone_to_speaker_m",
            self._hearing: "speaker_to_listener_m",
            self._all_the_way: "talker_to_listener_m",
        }
        for words, name in ways.items():
            words.set_text(show(values[name], PATH))
        whole = round_top(max(there, wanted or 0, 10)) * 1.6  # leaves room for the words behind a bar
        for bar, words, gain, name in (
            (self._there, self._there_name, there, "gain there is"),
            (self._wanted, self._wanted_name, wanted, "gain needed"),
        ):
            long = max(gain or 0, 0) / whole
            bar.set_xdata([0, long])
            words.set(x=long + 0.015, text="" if gain is None else f"{show(gain, DECIBELS)} {name}")
        asked = "" if wanted is None else f", and {show(wanted, DECIBELS)} is needed"
        return (
            f"Talker to microphone {show(values['talker_to_microphone_m'], PATH)}, microphone to loudspeaker "
            f"{show(values['microphone_to_speaker_m'], PATH)}, loudspeaker to the far listener "
            f"{show(values['speaker_to_listener_m'], PATH)}, talker to that listener "
            f"{show(values['talker_to_listener_m'], PATH)}: there is {show(there, DECIBELS)} of gain{asked}."
        )


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


_NARROWEST_MHZ = 0.5


class Carriers(Picture):
    """Carriers as tall lines with their products as short ones between and beside them.

    Takes `frequencies_mhz`, `products_mhz` and `gap_mhz`.
    """

    high = 140

    def build(self) -> None:
        look = self.look
        self._area = area = self.axes(0.045, 0.17, 0.91, 0.63)
        area.set(xlim=(600, 610), ylim=(0, 1), yticks=[])
        area.spines["left"].set_visible(False)
        area.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        self._carriers = LineCollection([], colors=look.accent, linewidths=3)
        self._products = LineCollection([], colors=look.ink, linewidths=1.1)
        for each in (self._products, self._carriers):
            area.add_collection(each, autolim=False)
        self._said = area.text(
            0, 1.09, "", color=look.ink, size=TEXT, transform=area.transAxes, parse_math=False
        )
        self.scales(area, area.xaxis)
        self.moves(area, self._products, self._carriers, self._said)

    def place(self, values: Mapping[str, Any]) -> str:
        show, carriers, products = self.manner.show, values["frequencies_mhz"], values["products_mhz"]
        ends = [*carriers, *products]
        middle, wide = (min(ends) + max(ends)) / 2, max(max(ends) - min(ends), _NARROWEST_MHZ) * 1.1
        self._area.set_xlim(middle - wide / 2, middle + wide / 2)
        self._carriers.set_segments([[(each, 0), (each, 0.95)] for each in carriers])
        self._products.set_segments([[(each, 0), (each, 0.55)] for each in products])
        gap = show(values["gap_mhz"], RADIO)
        self._said.set_text(f"products short; smallest gap {gap}")
        named = ", ".join(show(each, RADIO) for each in carriers)
        count = len(set(products))
        return f"Carriers at {named} with {count} product{'s' * (count != 1)} beside and between them; the smallest gap is {gap}."
