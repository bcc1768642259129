"""Output ledgers: what leaves the desk, place by place, and the matrices that feed it."""

from __future__ import annotations

from ..gig import Desk, Gig, Policy
from .ledger import Ledger
from .needs import Term, mix_outputs, reason
from .routes import Routes

RULE = "mains, every channel of a mix, every zone and feed of its own and every send to an outboard effect leave by an output"


def output_ledgers(gig: Gig, desk: Desk, routes: Routes, policy: Policy) -> list[Ledger]:
    """Outputs in each place, in all where there are several places, and matrices.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the spares.

    Returns
    -------
    list of Ledger
    """
    leaving = _leaving(gig, desk, routes)
    places = [at for at in ("stage", "desk", "remote") if any(o.at == at for o in desk.outputs)] or ["desk"]
    rows = []
    for at in places:
        terms = [t for where, t in leaving if where == at]
        used = int(sum(n for _, _, n in terms))
        have = sum(o.line for o in desk.outputs if o.at == at)
        if at == desk.output_place("desk"):
            have += _direct_sockets(gig, desk)
        rows.append(Ledger("outputs", at, used, have, policy.spares.outputs(used), (reason(RULE, terms),)))
    if len(places) > 1:
        terms = [t for _, t in leaving]
        used, have = (
            int(sum(n for _, _, n in terms)),
            sum(o.line for o in desk.outputs) + _direct_sockets(gig, desk),
        )
        rows.append(Ledger("outputs", "all", used, have, policy.spares.outputs(used), (reason(RULE, terms),)))
    matrix = routes.taking("matrix")
    if matrix or desk.matrices.count:
        rule = "a zone takes one matrix for each channel"
        rows.append(
            Ledger(
                "matrices",
                "all",
                sum(n for _, _, n in matrix),
                desk.matrices.count,
                0,
                (reason(rule, matrix),),
            )
        )
    groups = routes.taking("group")
    if groups:
        rule = "a group may feed a zone at the level of the mains, or a recorder"
        have = sum(b.kind == "group" for b in desk.buses())
        rows.append(Ledger("groups", "all", sum(n for _, _, n in groups), have, 0, (reason(rule, groups),)))
    return rows


def _leaving(gig: Gig, desk: Desk, routes: Routes) -> list[tuple[str, Term]]:
    """Everything that takes an output socket, with the place where it leaves."""
    listed: list[tuple[str, Term]] = []

    def leave(at: str, path: str, label: str, number: float) -> None:
        listed.append((desk.output_place(at), (path, label, number)))

    leave(gig.mains.at, "mains", "mains", gig.mains.width)
    for mix in gig.own_mixes:
        leave(mix.at, f"mix.{mix.name}", mix.name, mix_outputs(mix))
    for zone, way in routes.zones:
        if way != "linked":
            leave(zone.at, f"zone.{zone.name}", zone.name, zone.width)
    for feed, way in routes.feeds:
        if way not in ("record", "recorder", "direct"):
            leave(feed.at, f"feed.{feed.name}", feed.name, feed.width)
    for effect in routes.outboard:
        leave("desk", f"effect.{effect.name}", f"{effect.name} send", 1)
    return listed


def _direct_sockets(gig: Gig, desk: Desk) -> int:
    """Direct outs of an analogue desk that feed personal mixers: each has a socket of its own."""
    if desk.digital:
        return 0
    return min(
        desk.about.direct_outs, sum(m.personal_feeds for m in gig.mixes if m.fed_by == "personal mixer")
    )
