"""Counts told to a reader: what each mix costs a desk, and why a count is what it is."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Gig, Mix
from gigsums.sizing import Demand, Ledger, Need, demand

from .line_up import folded, ledgers_of, told

COSTS = ("buses", "outputs", "equalisers", "minutes")


def mix_costs(gig: Gig, desk: Desk) -> str:
    """What each monitor mix costs a desk: what would be saved if that mix alone were left out.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    str
        A table as plain text.
    """
    whole = demand(gig, desk)
    keys = [key for key in COSTS if any(row.key == key for row in whole.ledgers)]
    rows = [(mix.name, told(mix), _without(gig, mix)) for mix in gig.mixes]
    rows.append((f"all {len(gig.mixes)} mixes", "", _without(gig, *gig.mixes)))
    first = max(len(name) for name, _, _ in rows) + 2
    lines = [f"{desk.name:{first + 15}}" + "".join(f"{key:>12}" for key in keys)]
    for name, how, less in rows:
        left = demand(less, desk)
        saved = [round(_need(whole, key) - _need(left, key), 1) for key in keys]
        lines.append(f"{name:{first}}{how:15}" + "".join(f"{number:12g}" for number in saved))
    return "\n".join(lines)


def explain(row: Need | Ledger) -> str:
    """Why a count is what it is, broken into lines that fit a notebook.

    Parameters
    ----------
    row : Need or Ledger
        A row of `needs` or of `demand`.

    Returns
    -------
    str
        Each reason as a sentence.
    """
    reasons = (row.reason,) if isinstance(row, Need) else row.reasons
    return "\n".join(folded(f"{text[0].upper()}{text[1:]}") for text in (r.text() for r in reasons))


def _without(gig: Gig, *mixes: Mix) -> Gig:
    """The gig less some of its monitor mixes."""
    return replace(gig, mixes=tuple(mix for mix in gig.mixes if mix not in mixes))


def _need(counted: Demand, key: str) -> float:
    return sum(row.need for row in ledgers_of(counted, key))
