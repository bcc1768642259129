"""From ledgers to a verdict: whether a desk carries a gig, what sits where, and the least changes that let it be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from ..gig import Desk, Gig, Reason, apply, load_policy
from .changes import Change, price, together
from .judge import Place, check_placement
from .ledgers import Demand, demand, routes_of
from .placing import Solution, Taken, settle, solve, taken_by, units_of
from .ways import Ways, ways_of

PlacementWord = Literal["fits", "fits with changes", "does not fit"]
OUT_OF_TIME = "the solver ran out of time, so this is the best found and not proven"
NO_SPLIT = "a monitor desk without a splitter or shared preamps gets no inputs"
NO_TIME = "everything finds a socket{changed}, but the work does not end before doors: come earlier, bring more hands, or leave work out"


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
            "places": [asdict(place) for place in self.places],
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


def fit(gig: Gig, desk: Desk, *, seconds: float = 30.0) -> Fit:
    """Whether a desk carries a gig: everything placed, the least changes that let it be, or proof that nothing does.

    Ledgers show the gig as asked; cares are those that remain once the changes are made.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    seconds : float
        When the solver gives up; then `proven` is False [s].

    Returns
    -------
    Fit
    """
    ways = ways_of(gig, desk, gig.policy or load_policy())
    solution = solve(ways, seconds=seconds)
    proven = solution.outcome != "out of time"
    late = () if proven else (Reason(OUT_OF_TIME),)
    if not solution.chosen:
        asked = demand(gig, desk)
        return Fit(gig, desk, asked.ledgers, (*asked.cares, *late), proven=proven)
    changes, after, places = _carried_out(ways, solution)
    ledgers = demand(gig, desk).ledgers if changes else after.ledgers
    cares = (*after.cares, *late)
    barred = _barred(gig, after, changes)
    if barred:
        return Fit(gig, desk, ledgers, (*cares, *barred), proven=proven, barred=barred)
    return Fit(gig, desk, ledgers, cares, "fits with changes" if changes else "fits", places, changes, proven)


def _barred(gig: Gig, after: Demand, changes: tuple[Change, ...]) -> tuple[Reason, ...]:
    """What no socket can mend: the clock, and a monitor desk that gets no inputs."""
    found = []
    if any(row.key == "minutes" and row.state == "short" for row in after.ledgers):
        words = "; ".join(said for _, said in together(changes))
        rule = NO_TIME.format(changed=f" once changed ({words})" if words else "")
        found.append(Reason(rule, ("gig.doors",)))
    if gig.own_mixes != gig.mixes and gig.split.by == "nothing":
        found.append(Reason(NO_SPLIT, ("split.by",)))
    return tuple(found)


def _carried_out(ways: Ways, solution: Solution) -> tuple[tuple[Change, ...], Demand, tuple[Place, ...]]:
    """What a solution changes, the gig and the desk then with their ledgers, and what sits where, put before the judge.

    Raises
    ------
    RuntimeError
        If the judge finds that placement illegal: an error of this program, not of the gig.
    """
    units = units_of(ways, solution)
    changes = [price(ways.policy, step.kind, step.item, step.to) for unit in units for step in unit.steps]
    changes.sort(key=lambda change: (change.points, change.kind))
    edited = apply(ways.gig, ways.desk, (step for unit in units for step in unit.steps))
    placed = [(edited.names.get((unit.path, unit.number)), unit.way) for unit in units]
    places = settle(solution, [(item, way) for item, way in placed if item], edited.desk)
    judged = check_placement(edited.gig, edited.desk, places)
    if not judged.legal:
        faults = "; ".join(fault.text() for fault in judged.faults)
        raise RuntimeError(f"{ways.gig.name} on {ways.desk.name}: the placement found is not legal: {faults}")
    taken = {unit.path: unit.way.route for unit in units if unit.way.route}
    return tuple(changes), demand(edited.gig, edited.desk, routes_of(edited.gig, taken)), places


# ---- The least changes, side by side --------------------------------------------------------------------


@dataclass(frozen=True)
class Answer:
    """One set of changes that makes a gig fit, with everything placed.

    Parameters
    ----------
    points : int
        Its cost by the house policy [points].
    changes : tuple of Change
        What to change; empty where it fits as asked.
    gig : Gig
        The gig as changed.
    desk : Desk
        The desk it sits on, with any box that was added.
    places : tuple of Place
        What sits where.
    cares : tuple of Reason
        What to take care of after the changes.
    proven : bool
        Whether nothing cheaper exists, beside the answers before it.
    """

    points: int
    changes: tuple[Change, ...]
    gig: Gig
    desk: Desk
    places: tuple[Place, ...]
    cares: tuple[Reason, ...]
    proven: bool

    @property
    def totals(self) -> dict[str, float]:
        """Money, weight [kg] and minutes [min] of all its changes."""
        return {key: sum(getattr(c, key) for c in self.changes) for key in ("money", "weight_kg", "minutes")}

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "points": self.points,
            "desk": self.desk.name,
            "changes": [change.as_json() for change in self.changes],
            **self.totals,
            "proven": self.proven,
        }


def smallest_changes(
    gig: Gig, desk: Desk, at_hand: Sequence[Desk] = (), *, answers: int = 3, seconds: float = 30.0
) -> tuple[Answer, ...]:
    """The least set of changes that makes a gig fit, and the next different ones.

    No later answer contains an earlier one whole, so each is a real alternative.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk that is planned.
    at_hand : sequence of Desk
        Other desks that could be taken instead.
    answers : int
        How many to look for at most.
    seconds : float
        When the solver gives up on each; then `proven` is False [s].

    Returns
    -------
    tuple of Answer
        Cheapest first; empty where nothing helps.
    """
    found = _on(gig, desk, answers, seconds, ())
    if found and not found[0].changes:
        return tuple(found[:1])
    policy = gig.policy or load_policy()
    for other in at_hand:
        swap = price(policy, "another desk", "desk", other.name)
        found += _on(gig, other, 1, seconds, (swap,))
    found.sort(key=lambda answer: answer.points)
    return tuple(found[:answers])


def _on(gig: Gig, desk: Desk, answers: int, seconds: float, before: tuple[Change, ...]) -> list[Answer]:
    ways = ways_of(gig, desk, gig.policy or load_policy())
    found: list[Answer] = []
    banned: list[Taken] = []
    while len(found) < answers and (solution := solve(ways, banned, seconds)).chosen:
        made, after, places = _carried_out(ways, solution)
        changes = (*before, *made)
        points, proven = sum(change.points for change in changes), solution.outcome == "best"
        found.append(Answer(points, changes, after.gig, after.desk, places, after.cares, proven))
        if not made:
            break
        banned.append(taken_by(ways, solution))
    return found
