"""The values sizing answers with: what a gig needs, the ledgers of a desk, and the fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from ..gig import Desk, Gig, Reason
from .change import Change

State = Literal["met", "met without spare", "short"]
PlacementWord = Literal["fits", "fits with changes", "does not fit"]


@dataclass(frozen=True)
class Need:
    """One count that a gig asks of any desk.

    Parameters
    ----------
    key : str
        What is counted, such as ``"monitor mixes"``.
    count : int
        How many.
    reason : Reason
        Why.
    """

    key: str
    count: int
    reason: Reason


@dataclass(frozen=True)
class Needs:
    """What a gig asks for, whatever desk is chosen. ``needs["monitor mixes"]`` is a count.

    Parameters
    ----------
    gig : Gig
        The gig that was counted.
    rows : tuple of Need
        The counts, in the order of the job.
    """

    gig: Gig
    rows: tuple[Need, ...]

    def __getitem__(self, key: str) -> int:
        return self.row(key).count

    def row(self, key: str) -> Need:
        """The row of that key.

        Parameters
        ----------
        key : str
            One of the keys in `rows`.

        Returns
        -------
        Need

        Raises
        ------
        KeyError
            If nothing of that name is counted; the message lists what is.
        """
        for row in self.rows:
            if row.key == key:
                return row
        raise KeyError(f"{key!r} is not counted; counted are: {', '.join(r.key for r in self.rows)}")


@dataclass(frozen=True)
class Ledger:
    """One kind of thing a desk must have enough of, in one place.

    Parameters
    ----------
    key : str
        What is counted: ``"preamps"``, ``"bus pairs"``, ``"outputs"`` and so on.
    where : str
        ``"stage"``, ``"desk"``, ``"remote"``, or ``"all"``.
    need, have, spare_wanted : float
        What the gig takes, what the desk (with the kit at hand) has, what the house wants left over.
    state : str
        ``"met"``, ``"met without spare"`` or ``"short"``.
    reasons : tuple of Reason
        Why the numbers are what they are.
    blocks : bool
        Whether being short keeps the gig off this desk, or is only a care (something to carry besides).
    """

    key: str
    where: str
    need: float
    have: float
    spare_wanted: float = 0
    reasons: tuple[Reason, ...] = ()
    blocks: bool = True

    @property
    def margin(self) -> float:
        """What is left over; negative when short."""
        return self.have - self.need

    @property
    def state(self) -> State:
        """How the need stands against what there is."""
        if self.margin < 0:
            return "short"
        return "met without spare" if self.margin < self.spare_wanted else "met"

    @property
    def label(self) -> str:
        """The key, with the place where there is more than one."""
        return self.key if self.where == "all" else f"{self.key} ({self.where})"


@dataclass(frozen=True)
class Place:
    """One socket, bus or unit, and what sits on it.

    Parameters
    ----------
    item : str
        Key path of what sits there, such as ``"performer.Ada.sources.Kick"`` or ``"mix.Ada"``.
    on : str
        ``"mic input"``, ``"line input"``, ``"stereo input"``, ``"two-track return"``, ``"bus"``, ``"group"``,
        ``"matrix"``, ``"output"``, ``"record output"``, ``"direct out"``, ``"effects unit"`` or ``"track"``.
    at : str
        ``"stage"``, ``"desk"`` or ``"remote"``.
    number : int
        Which one, counted from 1 through the desk's file in that place.
    tap : str
        ``"pre"`` or ``"post"`` for a bus, else empty.
    """

    item: str
    on: str
    at: str
    number: int
    tap: str = ""

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {"item": self.item, "on": self.on, "at": self.at, "number": self.number, "tap": self.tap}


@dataclass(frozen=True)
class Demand:
    """What a gig takes of one desk, ledger by ledger.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ledgers : tuple of Ledger
        Every ledger the desk has or the gig needs.
    cares : tuple of Reason
        What one should take care of though it does not keep the gig off this desk.
    """

    gig: Gig
    desk: Desk
    ledgers: tuple[Ledger, ...]
    cares: tuple[Reason, ...]

    def ledger(self, key: str, where: str | None = None) -> Ledger:
        """One ledger by its key, and its place where there are several.

        Parameters
        ----------
        key : str
            The ledger's key.
        where : str, optional
            Its place; the first of that key if left out.

        Returns
        -------
        Ledger

        Raises
        ------
        KeyError
            If there is none; the message lists those there are.
        """
        for row in self.ledgers:
            if row.key == key and where in (None, row.where):
                return row
        raise KeyError(f"no ledger {key!r}; there are: {', '.join(r.label for r in self.ledgers)}")


@dataclass(frozen=True)
class Fit(Demand):
    """Whether a desk carries a gig, and why.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    ledgers : tuple of Ledger
        Every ledger the desk has or the gig needs.
    cares : tuple of Reason
        What one should take care of.
    placement : str
        ``"fits"``, ``"fits with changes"`` or ``"does not fit"``.
    places : tuple of Place
        What sits where once the changes are made; empty where nothing fits.
    changes : tuple of Change
        The least changes that make it fit; empty where none are needed or none help.
    proven : bool
        Whether the placement word is proven: False when the solver ran out of time.
    barred : tuple of Reason
        Those of the cares that keep the gig off though everything finds a socket, such as the clock.
    """

    placement: PlacementWord = "does not fit"
    places: tuple[Place, ...] = ()
    changes: tuple[Change, ...] = ()
    proven: bool = False
    barred: tuple[Reason, ...] = ()

    @property
    def in_words(self) -> str:
        """The verdict as it is said: "fits with care" is a fit with at least one care."""
        return "fits with care" if self.placement == "fits" and self.cares else self.placement

    def as_json(self) -> dict[str, Any]:
        """This fit as plain values for JSON, under the names of its fields, with ``"format": 1``.

        Returns
        -------
        dict
        """
        return {
            "format": 1,
            "gig": self.gig.name,
            "desk": self.desk.name,
            "placement": self.placement,
            "cares": [_reason(c) for c in self.cares],
            "ledgers": [
                {
                    "key": row.key,
                    "where": row.where,
                    "need": row.need,
                    "have": row.have,
                    "spare_wanted": row.spare_wanted,
                    "margin": row.margin,
                    "state": row.state,
                    "reasons": [_reason(r) for r in row.reasons],
                }
                for row in self.ledgers
            ],
            "places": [place.as_json() for place in self.places],
            "changes": [change.as_json() for change in self.changes],
            "proven": self.proven,
        }


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "rule": reason.rule,
        "causes": list(reason.causes),
        "terms": [[label, value] for label, value in reason.terms],
        "result": reason.result,
        "text": reason.text(),
    }
