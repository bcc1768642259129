"""The minutes ledger: does the crew set this up before doors, and with how much in hand?"""

from __future__ import annotations

from dataclasses import dataclass

from ..gig import Desk, Gig, Policy, Reason
from .ledger import Ledger
from .needs import equaliser_terms
from .outputs import output_ledgers
from .routes import Routes

SKILLS = ("novice", "intermediate", "experienced")


@dataclass(frozen=True)
class SetUp:
    """Set-up work in minutes: shared among the crew, and one after another at the desk.

    Parameters
    ----------
    shared, serial : tuple of (str, float, float)
        Item, how many, minutes for all of them at the crew's (shared) or the operator's (serial) skill.
    crew : int
        People who share the work.
    factor : float
        How much faster they are than one.
    """

    shared: tuple[tuple[str, float, float], ...]
    serial: tuple[tuple[str, float, float], ...]
    crew: int
    factor: float

    @property
    def minutes(self) -> float:
        """Minutes from load-in to ready [min]."""
        return sum(m for _, _, m in self.shared) / self.factor + sum(m for _, _, m in self.serial)


def set_up(gig: Gig, desk: Desk, routes: Routes, policy: Policy) -> SetUp:
    """Count the set-up work.

    Parameters
    ----------
    gig : Gig
        The gig; its crew's skills choose the minutes, "intermediate" where nobody is named.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        Minutes for each item, and the crew factors.

    Returns
    -------
    SetUp
    """
    people = [p.skill for p in gig.crew.people] or ["intermediate"]
    operator = gig.crew.at_desk.skill if gig.crew.at_desk else "intermediate"
    table = policy.minutes

    def shared(label: str, key: str, count: float) -> tuple[str, float, float]:
        row = getattr(table, key)
        return label, count, count * sum(row[SKILLS.index(skill)] for skill in people) / len(people)

    def serial(label: str, key: str, count: float) -> tuple[str, float, float]:
        return label, count, count * getattr(table, key)[SKILLS.index(operator)]

    stage = [s for _, s in gig.sources if s.at != "desk"]
    mics = sum(s.channels for s in stage if s.by == "mic" and not s.radio)
    radios = sum(s.channels for s in stage if s.radio)
    dis = sum(s.channels for s in stage if s.by == "DI")
    lines_in = sum(s.channels for s in stage)
    lines_out = sum(
        int(r.need)
        for r in output_ledgers(gig, desk, routes, policy)
        if r.key == "outputs" and r.where != "all"
    )
    lines_out -= len(routes.outboard)
    in_ears = [m for m in gig.mixes if m.through == "in-ears"]
    boxes = sum(m.boxes for m in gig.mixes if m.through not in ("in-ears", "cue"))
    packs = sum(max(1, len(m.listeners)) for m in in_ears)
    inside = desk.about
    comps = sum(s.channels for _, s in gig.sources if s.compressor)
    gates = sum(s.channels for _, s in gig.sources if s.gate)
    eqs = 0 if any(o.equaliser for o in desk.outputs) else sum(n for _, _, n in equaliser_terms(gig))
    inserts = eqs + (0 if inside.channel_compressors else comps) + (0 if inside.channel_gates else gates)
    blank = lines_in if desk.digital and not gig.crew.prepared_file else 0
    rung_out = sum(1 for m in gig.own_mixes if m.through not in ("in-ears", "cue", "shaker"))
    music = any(p.plays and p.plays != "speech" for p in gig.performers)
    items_shared = (
        shared("microphones with stand and cable", "microphone", mics),
        shared("radio microphones", "radio_microphone", radios),
        shared("DI boxes", "di", dis),
        shared("monitor boxes", "wedge", boxes),
        shared("in-ear packs", "in_ear_pack", packs),
        shared("main speaker sides", "pa_side", min(2, gig.mains.width)),
        shared("desk, multicore and power", "desk_and_power", 1),
        shared("sockets to patch", "patch_socket", lines_in + lines_out),
        shared("labels", "label", lines_in + lines_out),
        shared("inserts to patch", "insert_patch", inserts),
    )
    items_serial = (
        serial("channels to lay out in a blank file", "blank_file_channel", blank),
        serial("lines to check", "line_check", lines_in),
        serial("channels to set gain and tone", "gain_and_tone", lines_in),
        serial("compressors to set", "compressor", comps),
        serial("gates to set", "gate", gates),
        serial("effects to set", "effect", len(gig.effects)),
        serial("main speakers to tune", "main_tuning", 1),
        serial("delayed zones to align", "delay_zone", sum(z.distance_m is not None for z in gig.zones)),
        serial("floor mixes to ring out", "ring_out", rung_out),
        serial("monitor mixes to build", "build_mix", len(gig.own_mixes)),
        serial("songs with the full band", "full_band_song", int(music)),
    )
    return SetUp(
        tuple(i for i in items_shared if i[1]),
        tuple(i for i in items_serial if i[1]),
        len(people),
        policy.time.crew_factor(len(people)),
    )


def minutes_ledger(
    gig: Gig, desk: Desk, routes: Routes, policy: Policy
) -> tuple[Ledger | None, list[Reason]]:
    """The minutes from load-in to doors against the work; None where the gig gives no clock.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        Minutes, crew factors, contingency.

    Returns
    -------
    tuple of (Ledger or None, list of Reason)
        The ledger, and the cares about the clock.
    """
    work = set_up(gig, desk, routes, policy)
    have = gig.evening.minutes_to_doors
    if have is None:
        care = Reason(
            "no load-in and doors are given, so the crew's minutes are not weighed",
            ("gig.load_in", "gig.doors"),
        )
        return None, [care]
    need = round(work.minutes, 1)
    kept = round(policy.time.contingency(work.minutes), 1)
    alone = round(sum(m for _, _, m in work.shared), 1)
    at_desk = round(sum(m for _, _, m in work.serial), 1)
    reasons = (
        Reason(f"work shared by {work.crew} ({alone:g} min for one, {work.factor:g} times as fast together)",
               ("crew.people",), (("minutes", round(alone / work.factor, 1)),), round(alone / work.factor, 1)),
        Reason("work that follows one after another at the desk", ("crew.people",),
               tuple((f"{label} ({count:g})", round(m, 1)) for label, count, m in work.serial), at_desk),
        Reason("minutes kept back for what goes wrong", ("policy.time",), (("kept back", kept),), kept),
    )  # fmt: skip
    return Ledger("minutes", "all", need, have, kept, reasons), []


def unsettled(gig: Gig) -> list[Reason]:
    """A care for each count that is still a range.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    list of Reason
    """
    cares = []
    for path, source in gig.sources:
        if not isinstance(source.count, int):
            span = f"{source.count.least} to {source.count.most}"
            rule = f"how many of {source.name} is not settled: {span}, counted as {source.count.most}"
            cares.append(Reason(rule, (f"{path}.count",)))
    return cares
