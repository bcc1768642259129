"""From needs to a verdict: every ledger of a desk, and whether it carries the gig."""

from __future__ import annotations

from ..gig import Desk, Gig, Reason, load_policy
from .buses import bus_ledgers
from .carried import Changed, carry_out
from .change import Change, together
from .exact import solve
from .inputs import input_ledgers
from .ledger import Demand, Fit, Ledger, PlacementWord
from .minutes import SKILLS, minutes_ledger, unsettled
from .outputs import output_ledgers
from .places import settle
from .problem import problem
from .processing import processing_ledgers
from .routes import Routes, routes, routes_of

OUT_OF_TIME = "the solver ran out of time, so this is the best found and not proven"
NO_SPLIT = "a monitor desk without a splitter or shared preamps gets no inputs"
NO_TIME = "everything finds a socket{changed}, but the work does not end before doors: come earlier, bring more hands, or leave work out"


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
    return _demand(gig, desk, routes(gig, desk))


def _demand(gig: Gig, desk: Desk, ways: Routes) -> Demand:
    policy = gig.policy or load_policy()
    rows = input_ledgers(gig, desk, ways, policy)
    buses, tap_cares = bus_ledgers(gig, desk, ways, policy)
    minutes, clock_cares = minutes_ledger(gig, desk, ways, policy)
    rows += buses + output_ledgers(gig, desk, ways, policy) + processing_ledgers(gig, desk, ways, policy)
    rows += [minutes] if minutes else []
    cares = [*_spare_cares(rows), *_besides_cares(rows), *tap_cares, *_skill_cares(gig, desk)]
    cares += [
        *_talkback_cares(gig, desk),
        *_split_cares(gig),
        *_leak_cares(gig),
        *clock_cares,
        *unsettled(gig),
    ]
    return Demand(gig, desk, tuple(rows), tuple(cares))


def after_changes(changed: Changed) -> Demand:
    """The ledgers of a gig and a desk once changes are made, carried the way the placement carries them.

    Parameters
    ----------
    changed : Changed
        The gig and the desk as changed.

    Returns
    -------
    Demand
    """
    return _demand(changed.gig, changed.desk, routes_of(changed.gig, changed.routes))


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
    policy = gig.policy or load_policy()
    question = problem(gig, desk, policy)
    solution = solve(question, seconds=seconds)
    proven = solution.outcome != "out of time"
    if not solution.chosen:
        asked = demand(gig, desk)
        cares = asked.cares if proven else (*asked.cares, Reason(OUT_OF_TIME))
        return Fit(gig, desk, asked.ledgers, cares, "does not fit", proven=proven)
    changed = carry_out(question, solution)
    places = settle(question, solution, changed.names, changed.desk)
    after = after_changes(changed)
    asked = demand(gig, desk) if changed.changes else after
    word: PlacementWord = "fits with changes" if changed.changes else "fits"
    cares = after.cares if proven else (*after.cares, Reason(OUT_OF_TIME))
    blocked = _blocked(gig, after, changed.changes)
    if blocked:
        return Fit(
            gig,
            desk,
            asked.ledgers,
            (*cares, *blocked),
            "does not fit",
            proven=proven,
            barred=tuple(blocked),
        )
    return Fit(gig, desk, asked.ledgers, cares, word, places, changed.changes, proven)


def _blocked(gig: Gig, after: Demand, changes: tuple[Change, ...]) -> list[Reason]:
    """What no socket can mend: the clock, and a monitor desk that gets no inputs."""
    found = []
    if any(row.key == "minutes" and row.state == "short" for row in after.ledgers):
        words = "; ".join(said for _, said in together(changes))
        rule = NO_TIME.format(changed=f" once changed ({words})" if words else "")
        found.append(Reason(rule, ("gig.doors",)))
    if gig.own_mixes != gig.mixes and gig.split.by == "nothing":
        found.append(Reason(NO_SPLIT, ("split.by",)))
    return found


def _split_cares(gig: Gig) -> list[Reason]:
    words = {
        "splitter": "only the desk on the direct side of the splitter can supply phantom: agree which one",
        "shared preamps": "two desks on shared preamps have one owner of the gain: agree who",
    }
    if gig.own_mixes == gig.mixes or gig.split.by not in words:
        return []
    return [Reason(words[gig.split.by], ("split.by",))]


def _leak_cares(gig: Gig) -> list[Reason]:
    kept = [(path, s.name) for path, s in gig.sources if not s.to_mains]
    if not kept:
        return []
    names = ", ".join(name for _, name in kept)
    rule = f"{names}: never to the mains or a public feed; send it to named mixes only, and check every path"
    return [Reason(rule, tuple(path for path, _ in kept))]


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
