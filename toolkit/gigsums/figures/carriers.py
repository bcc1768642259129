"""Radio carriers and where their products fall."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator

from gigsums.quantities import RADIO

from .picture import TEXT, Picture

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
