"""The patch: every socket of one box, the empty ones too, and what is plugged into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..gig import Desk, Gig
from ..sizing import Place, check_placement
from ._table import table
from .inputs import InputList, InputRow, input_list

SHUFFLED = ("mic input", "output")
"""Sockets that may change places with each other if the placement stays legal."""


@dataclass(frozen=True)
class Patch:
    """The input sockets of one box.

    Parameters
    ----------
    at : str
        Where the box stands: ``"stage"``, ``"desk"`` or ``"remote"``.
    rows : tuple of (str, InputRow or None)
        Each socket with what is in it, None where it is empty.
    """

    at: str
    rows: tuple[tuple[str, InputRow | None], ...]

    @property
    def empty(self) -> int:
        """How many sockets are empty."""
        return sum(row is None for _, row in self.rows)

    def __str__(self) -> str:
        cells = [
            (socket, row.channel, row.source, row.who, row.by, row.phantom)
            if row
            else (socket, "", "-", "", "", "")
            for socket, row in self.rows
        ]
        return table((f"{self.at}", "ch", "source", "who", "by", "48 V"), cells)


def patch(gig: Gig, desk: Desk, places: Sequence[Place], at: str) -> Patch:
    """What is plugged into each input socket of one box.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    desk : Desk
        The desk; with any box that was added.
    places : sequence of Place
        What sits where.
    at : str
        The box: ``"stage"``, ``"desk"`` or ``"remote"``.

    Returns
    -------
    Patch

    Raises
    ------
    ValueError
        If the desk has no inputs there; the message lists where it has some.
    """
    there = [inputs for inputs in desk.inputs if inputs.at == at]
    if not there:
        known = ", ".join(dict.fromkeys(inputs.at for inputs in desk.inputs))
        raise ValueError(f"at is {at!r}, where {desk.name} has no inputs; it has some at: {known}")
    listed: InputList = input_list(gig, places)
    plugged = {row.socket: row for row in listed.rows}
    names: list[str] = [str(n) for n in range(1, sum(i.mic for i in there) + 1)]
    names += [f"line {n}" for n in range(1, sum(i.line for i in there) + 1)]
    for word, kind in (("stereo", "stereo"), ("two-track", "two_track")):
        count = sum(getattr(i, kind) for i in there)
        names += [f"{word} {n} {side}" for n in range(1, count + 1) for side in "LR"]
    rows = []
    for name in names:
        row = plugged.get(f"{at} {name}")
        if row is None and name.endswith(" L"):
            row = plugged.get(f"{at} {name[:-2]}")  # a mono source on one side of a stereo input
        rows.append((name, row))
    return Patch(at, tuple(rows))


def in_list_order(gig: Gig, desk: Desk, places: Sequence[Place]) -> tuple[Place, ...]:
    """The same placement with like sockets swapped so that they run as the lists do.

    Inputs follow the input list, outputs the mains, the mixes, the zones and the feeds. Only sockets of one kind in
    one place change places, and only where the placement is still legal; a box whose phantom or delays forbid it
    keeps the order it had.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    desk : Desk
        The desk.
    places : sequence of Place
        A legal placement.

    Returns
    -------
    tuple of Place
    """
    order = {row.item: row.channel for row in reversed(input_list(gig, places).rows)}
    placed = list(places)
    for on, at in dict.fromkeys((place.on, place.at) for place in places if place.on in SHUFFLED):
        here = [n for n, place in enumerate(placed) if (place.on, place.at) == (on, at)]
        numbers = sorted(placed[n].number for n in here)
        if on == "mic input":
            here.sort(key=lambda n: order.get(placed[n].item, len(order)))
        swapped = list(placed)
        for n, number in zip(here, numbers, strict=True):
            swapped[n] = replace(placed[n], number=number)
        if check_placement(gig, desk, swapped).legal:
            placed = swapped
    return tuple(placed)
