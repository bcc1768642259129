"""Pictures of results. They take values that were worked elsewhere and work no trade sum of their own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from .arrivals import Comb, TwoArrivals
from .chain import GainChain
from .curve import CompressionCurve
from .dose import DoseFilling
from .feedback import FeedbackDistances
from .floor import LevelOverFloor
from .ledgers import LedgerBars
from .levels import Ladder, LevelOverDistance
from .pairs import BusPairs
from .picture import Picture
from .response import Response
from .room import Decay, DirectAndRoom
from .stage import StagePlan

__all__ = [
    "PICTURES",
    "BusPairs",
    "Comb",
    "CompressionCurve",
    "Decay",
    "DirectAndRoom",
    "DoseFilling",
    "FeedbackDistances",
    "GainChain",
    "Ladder",
    "LedgerBars",
    "LevelOverDistance",
    "LevelOverFloor",
    "Picture",
    "Response",
    "StagePlan",
    "TwoArrivals",
    "picture",
]

PICTURES: Mapping[str, type[Picture]] = MappingProxyType(
    {
        "two arrivals": TwoArrivals,
        "comb": Comb,
        "gain chain": GainChain,
        "compression curve": CompressionCurve,
        "dose": DoseFilling,
        "level over the floor": LevelOverFloor,
        "bus pairs": BusPairs,
        "ladder of levels": Ladder,
        "level over distance": LevelOverDistance,
        "feedback distances": FeedbackDistances,
        "response": Response,
        "direct and room": DirectAndRoom,
        "decay": Decay,
        "stage plan": StagePlan,
        "ledgers": LedgerBars,
    }
)


def picture(name: str, **values: Any) -> Picture:
    """A picture for a page, on light paper.

    Parameters
    ----------
    name : str
        One of `PICTURES`.
    **values
        What that kind of picture takes [base units].

    Returns
    -------
    Picture
        As the last line of a cell it shows itself; `words` says what it shows.

    Raises
    ------
    ValueError
        If there is no such picture; the message lists those there are.
    """
    if name not in PICTURES:
        raise ValueError(f"name is {name!r}; the pictures are: {', '.join(PICTURES)}")
    drawn = PICTURES[name](light=True)
    drawn.update(values)
    return drawn
