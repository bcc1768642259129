"""Pictures of results. They take values that were worked elsewhere and work no trade sum of their own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from .exposure import DoseFilling, TimesAtLevels
from .gig import BusPairs, LedgerBars, StagePlan
from .level import CompressionCurve, GainChain, Ladder, LevelOverDistance, LineUpScales, SumOfLevels
from .loads import VoltageAlong
from .microphones import Carriers, FeedbackDistances, MicrophoneSpacing
from .picture import Manner, Picture
from .rooms import Decay, DirectAndRoom, LevelOverFloor, StandingWave, TurnedWave
from .time import Comb, EchoOnBeats, LatencyParts, TwoArrivals
from .tone import Bell, Response

__all__ = [
    "PICTURES",
    "Bell",
    "BusPairs",
    "Carriers",
    "Comb",
    "CompressionCurve",
    "Decay",
    "DirectAndRoom",
    "DoseFilling",
    "EchoOnBeats",
    "FeedbackDistances",
    "GainChain",
    "Ladder",
    "LatencyParts",
    "LedgerBars",
    "LevelOverDistance",
    "LevelOverFloor",
    "LineUpScales",
    "Manner",
    "MicrophoneSpacing",
    "Picture",
    "Response",
    "StagePlan",
    "StandingWave",
    "SumOfLevels",
    "TimesAtLevels",
    "TurnedWave",
    "TwoArrivals",
    "VoltageAlong",
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
        "parts of a latency": LatencyParts,
        "echo on the beats": EchoOnBeats,
        "turned wave": TurnedWave,
        "standing wave": StandingWave,
        "sum of levels": SumOfLevels,
        "line-up scales": LineUpScales,
        "microphone spacing": MicrophoneSpacing,
        "bell": Bell,
        "voltage along a cable": VoltageAlong,
        "times at levels": TimesAtLevels,
        "carriers": Carriers,
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
