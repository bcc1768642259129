"""Desks side by side: what fits, what must be carried besides, what it weighs, how long it takes, what it asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any

from ..gig import Desk, Gig
from .fit import fit
from .ledger import Fit

FEW = 12
"""Up to this many desks are sized one after another; more are shared out over the machine's cores."""


@dataclass(frozen=True)
class Compared:
    """One desk beside the others.

    Parameters
    ----------
    fit : Fit
        Whether it carries the gig, and why.
    carried : tuple of (str, float)
        What must be carried besides, and how many of it.
    weight_kg : float or None
        The desk and what its changes add [kg]; None where the desk's weight is not given.
    minutes : float or None
        Set-up minutes, those of the changes included [min]; None where the gig gives no clock.
    skill : str
        The least skill it asks of who mixes.
    recall : str
        How its settings come back for the next show.
    fails_with_it : str
        What is lost when it fails.
    """

    fit: Fit
    carried: tuple[tuple[str, float], ...]
    weight_kg: float | None
    minutes: float | None
    skill: str
    recall: str
    fails_with_it: str

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "desk": self.fit.desk.name,
            "kind": self.fit.desk.about.kind,
            "placement": self.fit.placement,
            "carried": [[what, number] for what, number in self.carried],
            "weight_kg": self.weight_kg,
            "minutes": self.minutes,
            "skill": self.skill,
            "recall": self.recall,
            "fails_with_it": self.fails_with_it,
        }


def compare(
    gig: Gig, desks: Sequence[Desk], progress: Callable[[int, int], None] | None = None
) -> tuple[Compared, ...]:
    """Size one gig on several desks.

    Parameters
    ----------
    gig : Gig
        The gig.
    desks : sequence of Desk
        The desks, in the order to show them.
    progress : callable, optional
        Called with how many are done and how many there are.

    Returns
    -------
    tuple of Compared
        One for each desk, in the same order.
    """
    done: list[Fit] = []
    if len(desks) <= FEW:
        for desk in desks:
            done.append(fit(gig, desk))
            if progress:
                progress(len(done), len(desks))
    else:
        with ProcessPoolExecutor() as pool:
            for one in pool.map(fit, [gig] * len(desks), desks, chunksize=4):
                done.append(one)
                if progress:
                    progress(len(done), len(desks))
    return tuple(_beside(one) for one in done)


def _beside(one: Fit) -> Compared:
    about = one.desk.about
    carried = [(row.key, -row.margin) for row in one.ledgers if not row.blocks and row.state == "short"]
    boxes = [change for change in one.changes if change.weight_kg and change.kind != "relocate"]
    carried += [(f"{change.kind} for {change.name}", 1) for change in boxes]
    weight = None if about.weight_kg is None else about.weight_kg + sum(c.weight_kg for c in one.changes)
    clock = [row.need for row in one.ledgers if row.key == "minutes"]
    minutes = clock[0] + sum(c.minutes for c in one.changes) if clock else None
    stage_box = any(i.at == "stage" for i in one.desk.inputs)
    if one.desk.digital:
        recall = "settings come back from a file"
        fails = (
            "the whole mix at once, and every stage line with the stage box"
            if stage_box
            else "the whole mix at once"
        )
    else:
        recall = "settings are noted and set again by hand"
        fails = "one channel at a time, or everything with its power supply"
    return Compared(one, tuple(carried), weight, minutes, about.least_skill, recall, fails)
