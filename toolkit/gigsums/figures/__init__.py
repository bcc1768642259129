"""Pictures of results. They take values that were worked elsewhere and work no trade sum of their own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from .arrivals import Comb, TwoArrivals
from .chain import GainChain
from .curve import CompressionCurve
from .dose import DoseFilling
from .picture import Picture

__all__ = ["PICTURES", "Comb", "CompressionCurve", "DoseFilling", "GainChain", "Picture", "TwoArrivals"]

PICTURES: Mapping[str, type[Picture]] = MappingProxyType(
    {
        "two arrivals": TwoArrivals,
        "comb": Comb,
        "gain chain": GainChain,
        "compression curve": CompressionCurve,
        "dose": DoseFilling,
    }
)
