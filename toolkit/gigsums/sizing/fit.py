"""From needs to a verdict: every ledger of a desk, and whether it carries the gig."""

from __future__ import annotations

from ..gig import Desk, Gig, Reason, load_policy
from .buses import bus_ledgers
from .inputs import input_ledgers
from .ledger import COUNTED, Demand, Fit, Ledger
from .minutes import SKILLS, minutes_ledger, unsettled
from .outputs import output_ledgers
from .processing import processing_ledgers
from .routes import routes


def demand(gig: Gig, desk: Desk) -> Demand:
    """What a gig takes of a desk: every ledger with its need, what there is, and why.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    Demand
        Ledgers in the order of the signal: inputs, channels, buses, outputs, processing, minutes.
    """
    policy = gig.policy or load_policy()
    ways = routes(gig, desk)
    rows = input_ledgers(gig, desk, ways, policy)
    buses, tap_cares = bus_ledgers(gig, desk, ways, policy)
    minutes, clock_cares = minutes_ledger(gig, desk, ways, policy)
    rows += buses + output_ledgers(gig, desk, ways, policy) + processing_ledgers(gig, desk, ways, policy)
    rows += [minutes] if minutes else []
    cares = [*_spare_cares(rows), *_besides_cares(rows), *tap_cares, *_skill_cares(gig, desk)]
    cares += [*_talkback_cares(gig, desk), *clock_cares, *unsettled(gig)]
    return Demand(gig, desk, tuple(rows), tuple(cares))


def fit(gig: Gig, desk: Desk) -> Fit:
    """Whether a desk carries a gig as asked, by counting each ledger.

    Counting proves that a desk is too small; that everything has a socket of its own is shown only
    by placing it. So `places` and `changes` stay empty, `proven` is False, and a care says so.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    Fit
    """
    counted = demand(gig, desk)
    short = [row for row in counted.ledgers if row.blocks and row.state == "short"]
    cares = (*counted.cares, Reason(COUNTED, (), (), 0))
    return Fit(gig, desk, counted.ledgers, cares, "does not fit" if short else "fits")


def _spare_cares(rows: list[Ledger]) -> list[Reason]:
    return [
        Reason(
            f"fewer spare {row.label} than the house wants",
            ("policy.time" if row.key == "minutes" else "policy.spares",),
            (("left over", row.margin), ("wanted", row.spare_wanted)),
            row.margin,
        )
        for row in rows
        if row.state == "met without spare"
    ]


def _besides_cares(rows: list[Ledger]) -> list[Reason]:
    return [
        Reason(
            f"{row.key} to carry besides the desk, or do without",
            ("kit",),
            ((row.key, -row.margin),),
            -row.margin,
        )
        for row in rows
        if not row.blocks and row.state == "short"
    ]


def _skill_cares(gig: Gig, desk: Desk) -> list[Reason]:
    person = gig.crew.at_desk
    if person is None or gig.crew.prepared_file:
        return []
    if SKILLS.index(person.skill) >= SKILLS.index(desk.about.least_skill):
        return []
    rule = f"{person.name} is {person.skill}; this desk asks for {desk.about.least_skill}, or a prepared file"
    return [Reason(rule, ("crew.people", "desk.least_skill"))]


def _talkback_cares(gig: Gig, desk: Desk) -> list[Reason]:
    if not gig.wants_talkback or desk.about.talkback == "own input":
        return []
    rule = "talkback on a channel needs a mute switch, goes to the mixes only and never to the mains"
    return [Reason(rule, ("desk.talkback",))]
