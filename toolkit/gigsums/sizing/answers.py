"""The least sets of changes, side by side, proven; and which of the desks at hand would do without them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ..gig import Desk, Gig, Reason, load_policy
from .carried import carry_out
from .change import Change, price
from .exact import Solution, solve
from .fit import after_changes
from .judge import check_placement
from .ledger import Place
from .places import settle
from .problem import problem
from .ways import Problem


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
    question = problem(gig, desk, gig.policy or load_policy())
    found: list[Answer] = []
    banned: list = []
    while len(found) < answers:
        solution = solve(question, tuple(banned), seconds)
        if not solution.chosen:
            break
        found.append(_answer(question, solution, before))
        if not found[-1].changes[len(before) :]:
            break
        banned.append(solution.changes(question))
    return found


def _answer(question: Problem, solution: Solution, before: tuple[Change, ...]) -> Answer:
    changed = carry_out(question, solution)
    places = settle(question, solution, changed.names, changed.desk)
    judged = check_placement(changed.gig, changed.desk, places)
    if not judged.legal:
        raise AssertionError(
            f"the placement found is not legal: {'; '.join(f.text() for f in judged.faults)}"
        )
    cares = after_changes(changed).cares
    changes = (*before, *changed.changes)
    proven = solution.outcome == "best"
    return Answer(sum(c.points for c in changes), changes, changed.gig, changed.desk, places, cares, proven)
