"""The output list: every socket that sound leaves by, place by place, and what it carries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..gig import Gig, load_policy
from ..sizing import Place
from ..sizing.ledgers import zone_delay_ms
from ._table import table

OUT = ("output", "record output", "direct out")
FED = ("bus", "matrix", "group")
SIDES = {2: (" L", " R"), 3: (" L", " C", " R")}
TAPS = {"pre": "before", "post": "after", "": ""}


@dataclass(frozen=True)
class OutputRow:
    """One socket that sound leaves by.

    Parameters
    ----------
    socket : str
        Which one, such as ``"stage 3"``.
    carries : str
        The mix, zone or feed, with its side where there are several.
    kind : str
        ``"mains"``, ``"mix"``, ``"zone"``, ``"feed"`` or ``"effect"``.
    fed_by : str
        What feeds it, such as ``"bus 5"`` or ``"matrix 1"``; ``"mains"`` for a copy of them.
    tap : str
        ``"before"`` or ``"after"`` the fader for a bus, else empty.
    delay_ms : float or None
        What a zone is delayed by [ms]; None where nothing is.
    """

    socket: str
    carries: str
    kind: str
    fed_by: str
    tap: str
    delay_ms: float | None


@dataclass(frozen=True)
class OutputList:
    """Everything that leaves the desk by a socket.

    Parameters
    ----------
    rows : tuple of OutputRow
        Place by place, in the order of the sockets.
    """

    rows: tuple[OutputRow, ...]

    def __str__(self) -> str:
        heads = ("socket", "carries", "", "fed by", "fader", "delay")
        return table(
            heads,
            [
                (
                    r.socket,
                    r.carries,
                    r.kind if r.kind != r.carries.split(" ")[0] else "",
                    r.fed_by,
                    r.tap,
                    "" if r.delay_ms is None else f"{r.delay_ms:.1f} ms",
                )
                for r in self.rows
            ],
        )


def output_list(gig: Gig, places: Sequence[Place]) -> OutputList:
    """What leaves by which socket, and what feeds it.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    places : sequence of Place
        What sits where.

    Returns
    -------
    OutputList
    """
    policy = gig.policy or load_policy()
    delays = {f"zone.{z.name}": zone_delay_ms(z, gig, policy) for z in gig.zones if z.distance_m is not None}
    feeding: dict[str, list[Place]] = {}
    leaving: dict[str, list[Place]] = {}
    for place in places:
        if place.on in FED:
            feeding.setdefault(place.item, []).append(place)
        if place.on in OUT:
            leaving.setdefault(place.item, []).append(place)
    found = []
    for item, sockets in leaving.items():
        kind, _, name = item.partition(".")
        name = f"{name} send" if kind == "effect" else name or kind
        sides = SIDES.get(len(sockets), ("",) * len(sockets))
        feeds = feeding.get(item, [])
        for n, (place, side) in enumerate(zip(sockets, sides, strict=True)):
            fed = feeds[min(n, len(feeds) - 1)] if feeds else None
            found.append(
                (
                    place,
                    OutputRow(
                        f"{place.at} {'' if place.on == 'output' else place.on.split()[0] + ' '}{place.number}",
                        name + side,
                        kind,
                        f"{fed.on} {fed.number}" if fed else "mains",
                        TAPS[fed.tap] if fed else "",
                        delays.get(item),
                    ),
                )
            )
    found.sort(
        key=lambda entry: (("stage", "desk", "remote").index(entry[0].at), entry[0].on, entry[0].number)
    )
    return OutputList(tuple(row for _, row in found))
