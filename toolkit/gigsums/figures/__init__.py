"""Pictures of results. They take values that were worked elsewhere and work no trade sum of their own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from .arrivals import TwoArrivals
from .chain import GainChain
from .picture import Picture

__all__ = ["PICTURES", "GainChain", "Picture", "TwoArrivals"]

PICTURES: Mapping[str, type[Picture]] = MappingProxyType(
    {
        "two arrivals": TwoArrivals,
        "gain chain": GainChain,
    }
)
