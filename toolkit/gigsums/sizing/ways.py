"""Every way each thing could be carried: the socket, bus or channel it would take, and what would have to change.

Things that are alike form a class, and only how many go which way is decided; particular sockets are matched
afterwards. A way's `takes` are amounts against the desk's stocks; a negative amount gives.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..gig import Desk, Gig, Policy, Zone
from .processing import zone_delay_ms

Takes = dict[str, float]


BUS_KINDS = ("stereo_pre", "mono_pre", "stereo_post", "mono_post", "sends")
PHANTOM = ("needs", "harmed", "each", "bare")


@dataclass(frozen=True)
class Step:
    """One change to one thing: what kind, and where or how to."""

    kind: str
    to: str = ""


@dataclass(frozen=True)
class Way:
    """One way to carry a thing: what it takes, which steps it needs, and which sockets it ends on."""

    takes: tuple[tuple[str, float], ...]
    steps: tuple[Step, ...] = ()
    sits: tuple[tuple[str, str, int], ...] = ()
    route: str = ""
    tap: str = ""


@dataclass(frozen=True)
class Things:
    """A class of things that are alike: their key paths (one for each unit) and their ways."""

    paths: tuple[str, ...]
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Problem:
    """A gig on a desk as classes of things and stocks to take from."""

    gig: Gig
    desk: Desk
    policy: Policy
    classes: tuple[Things, ...]
    stocks: dict[str, float]
    balances: frozenset[str]


class Stocks:
    """What the desk and the kit have of each thing, and the places where the desk has sockets.

    Stocks are named ``"mic:stage"`` (sockets of a kind in a place), ``"out 62.400000:desk"`` (outputs there that
    delay so long), ``"channels"``, ``"matrix"``, ``"kit preamps"`` and so on; ``"tracks NAME"`` and
    ``"direct NAME"`` are what a feed of every source, so named, may use.
    """

    def __init__(self, gig: Gig, desk: Desk, policy: Policy) -> None:
        self.gig, self.desk, self.policy = gig, desk, policy
        self.apart = [f for f in gig.feeds if f.carries == "each source"]
        self.delays = sorted({self.delay(z) for z in gig.zones if z.distance_m and z.delay_by == "desk"})
        self.stocks: dict[str, float] = {}
        self._fill()

    def delay(self, zone: Zone) -> float:
        """The delay a zone is set to in the coldest air [ms]."""
        return zone_delay_ms(zone, self.gig, self.policy)

    def kept_apart(self, stock: str, number: float) -> Takes:
        """What `number` channels take of the tracks or direct outs that each feed of every source may use.

        A feed that goes another way gives so many back that these no longer bind.
        """
        return {f"{stock} {feed.name}": number for feed in self.apart}

    def in_places(self) -> list[str]:
        """Places where the desk has inputs."""
        return sorted({i.at for i in self.desk.inputs}) or ["desk"]

    def out_places(self) -> list[str]:
        """Places where the desk has outputs."""
        return sorted({o.at for o in self.desk.outputs}) or ["desk"]

    def _fill(self) -> None:
        desk, kit, stocks = self.desk, self.gig.kit, self.stocks
        for at in self.in_places():
            here = [i for i in desk.inputs if i.at == at]
            for kind in ("mic", "line", "stereo", "two_track"):
                stocks[f"{kind}:{at}"] = sum(getattr(i, kind) for i in here)
            stocks[f"each:{at}"] = sum(i.mic for i in here if i.phantom == "each")
            stocks[f"bare:{at}"] = sum(i.mic for i in here if i.phantom == "none")
        for at in self.out_places():
            stocks[f"out:{at}"] = sum(o.line for o in desk.outputs if o.at == at)
            stocks[f"record:{at}"] = sum(o.record for o in desk.outputs if o.at == at)
            for delay in self.delays:
                able = sum(o.line for o in desk.outputs if o.at == at and o.delay_up_to_ms >= delay)
                stocks[f"out {delay:.6f}:{at}"] = able
        stocks["channels"] = desk.channels
        stocks["matrix"] = desk.matrices.count
        stocks["group"] = sum(b.kind == "group" for b in desk.buses())
        stocks["effects"] = desk.effects.count
        stocks["tracks"] = desk.recording.tracks
        stocks["direct"] = desk.about.direct_outs
        for stock in ("tracks", "direct"):
            stocks |= self.kept_apart(stock, stocks[stock])
        for name in ("preamps", "delays", "effects", "sub_mixers", "phantom_blockers"):
            stocks[f"kit {name}"] = getattr(kit, name)
