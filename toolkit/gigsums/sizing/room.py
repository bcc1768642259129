"""What breaks next, and what a late change alters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from ..gig import Desk, Gig, Mix, Performer, Source, Zone
from .fit import demand
from .ledger import Ledger

MOST = 32


def _singer(gig: Gig, n: int) -> Gig:
    singers = tuple(Performer(f"singer {k}", sources=(Source("vocal", "mic"),)) for k in range(1, n + 1))
    return replace(gig, performers=(*gig.performers, *singers))


def _mix(through: str) -> Callable[[Gig, int], Gig]:
    def more(gig: Gig, n: int) -> Gig:
        listener = tuple(p.name for p in gig.performers[:1])
        mixes = tuple(Mix(f"{through} {k}", listener, through) for k in range(1, n + 1))  # type: ignore[arg-type]
        return replace(gig, mixes=(*gig.mixes, *mixes))

    return more


def _zone(gig: Gig, n: int) -> Gig:
    zones = tuple(Zone(f"zone {k}", own_level=True) for k in range(1, n + 1))
    return replace(gig, zones=(*gig.zones, *zones))


ADDITIONS: dict[str, Callable[[Gig, int], Gig]] = {
    "singer": _singer,
    "wedge mix": _mix("wedge"),
    "in-ear mix": _mix("in-ears"),
    "zone": _zone,
}
"""What may be added: one more of each takes a gig and how many, and gives the gig with them."""


@dataclass(frozen=True)
class Room:
    """How many more of one thing a desk would take.

    Parameters
    ----------
    adding : str
        ``"singer"`` (one microphone on stage), ``"wedge mix"``, ``"in-ear mix"`` (stereo) or ``"zone"``.
    more : int
        How many fit as asked, none where something is short already.
    breaks : tuple of str
        Ledgers that are short with one more; empty where `more` reached the search's end.
    by_ledger : tuple of (str, int)
        How many more each ledger alone would take, tightest first; those that never fill are left out.
    short_already : bool
        Whether `breaks` are short before anything is added.
    """

    adding: str
    more: int
    breaks: tuple[str, ...]
    by_ledger: tuple[tuple[str, int], ...]
    short_already: bool = False

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "adding": self.adding,
            "more": self.more,
            "breaks": list(self.breaks),
            "by_ledger": [[label, number] for label, number in self.by_ledger],
            "short_already": self.short_already,
            "text": self.text(),
        }

    def text(self) -> str:
        """One line: how many more, and what breaks."""
        if not self.breaks:
            return f"{self.adding}: {MOST} more and nothing breaks"
        if self.short_already:
            return f"{self.adding}: none before {_and(self.breaks)} {'is' if len(self.breaks) == 1 else 'are'} put right"
        return (
            f"{self.adding}: {self.more} more, then {_and(self.breaks)} break{'s' * (len(self.breaks) == 1)}"
        )


def _and(labels: tuple[str, ...]) -> str:
    return " and ".join(filter(None, (", ".join(labels[:-1]), labels[-1])))


def what_breaks_next(gig: Gig, desk: Desk) -> tuple[Room, ...]:
    """How many more singers, wedge mixes, in-ear mixes and zones each ledger would take, and which breaks first.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    tuple of Room
    """
    return tuple(_room(gig, desk, adding) for adding in ADDITIONS)


def _room(gig: Gig, desk: Desk, adding: str) -> Room:
    seen: dict[int, dict[str, bool]] = {}

    def short(n: int) -> dict[str, bool]:
        if n not in seen:
            rows = demand(ADDITIONS[adding](gig, n), desk).ledgers
            seen[n] = {row.label: row.state == "short" for row in rows if row.blocks}
        return seen[n]

    by_ledger = []
    for label in short(MOST):
        if not short(MOST)[label]:
            continue
        fine, full = -1, MOST  # short at `full`, not short at `fine`
        while full - fine > 1:
            middle = (fine + full) // 2
            if short(middle).get(label, False):
                full = middle
            else:
                fine = middle
        by_ledger.append((label, max(0, full - 1)))
    by_ledger.sort(key=lambda entry: entry[1])
    if not by_ledger:
        return Room(adding, MOST, (), ())
    already = tuple(label for label, is_short in short(0).items() if is_short)
    if already:
        return Room(adding, 0, already, tuple(by_ledger), True)
    more = by_ledger[0][1]
    first = tuple(label for label, n in by_ledger if n == more and short(more + 1).get(label))
    return Room(adding, more, first or (by_ledger[0][0],), tuple(by_ledger))


@dataclass(frozen=True)
class Altered:
    """One ledger that a change alters: how it stood, and how it stands; None where it is not there."""

    before: Ledger | None
    after: Ledger | None

    def text(self) -> str:
        """One line: the ledger, before and after."""
        row = self.after or self.before
        assert row is not None
        was = f"{self.before.need:g} of {self.before.have:g}" if self.before else "not asked"
        now = f"{self.after.need:g} of {self.after.have:g}, {self.after.state}" if self.after else "not asked"
        return f"{row.label}: {was} -> {now}"


def what_if(before: Gig, after: Gig, desk: Desk) -> tuple[Altered, ...]:
    """The ledgers that differ between two versions of a gig, and no others.

    Parameters
    ----------
    before, after : Gig
        The gig as it stands, and as it would be.
    desk : Desk
        The desk.

    Returns
    -------
    tuple of Altered
    """
    was = {row.label: row for row in demand(before, desk).ledgers}
    now = {row.label: row for row in demand(after, desk).ledgers}

    def figures(row: Ledger | None) -> tuple | None:
        return None if row is None else (row.need, row.have, row.spare_wanted)

    labels = [*was, *(label for label in now if label not in was)]
    changed = [label for label in labels if figures(was.get(label)) != figures(now.get(label))]
    return tuple(Altered(was.get(label), now.get(label)) for label in changed)
