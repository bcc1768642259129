"""Ledgers of what works on the sound: equalisers, dynamics, inserts, delays, effects, tracks, direct outs, talkback."""

from __future__ import annotations

from ..formulas.timing import fill_delay_ms
from ..gig import Desk, Gig, Policy, Reason, Zone
from .ledger import Ledger
from .needs import equaliser_terms, reason, unit_terms
from .routes import Routes, each_source


def processing_ledgers(gig: Gig, desk: Desk, routes: Routes, policy: Policy) -> list[Ledger]:
    """Equalisers, compressors, gates, inserts, delays, effects, tracks, direct outs and talkback.

    Equalisers and dynamics can be carried and put in line, so being short of them is a care;
    a delay, an effect, a track or a direct out that is missing keeps the gig off the desk.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its zones, feeds and effects are carried.
    policy : Policy
        For the delay offset and the coldest air.

    Returns
    -------
    list of Ledger
    """
    rows = [_equalisers(gig, desk)]
    rows += [
        _units(gig, desk, "compressors", "compressor", desk.about.channel_compressors, gig.kit.compressors)
    ]
    rows += [_units(gig, desk, "gates", "gate", desk.about.channel_gates, gig.kit.gates)]
    rows += [_inserts(gig, desk), _delays(gig, desk, policy), _effects(gig, desk, routes)]
    rows += [_tracks(gig, desk, routes), _direct_outs(gig, desk, routes), _talkback(gig, desk)]
    return [row for row in rows if row.need or row.have]


def zone_delay_ms(zone: Zone, gig: Gig, policy: Policy) -> float:
    """The setting a delayed zone needs in the coldest air expected [ms].

    Parameters
    ----------
    zone : Zone
        A zone with distances.
    gig : Gig
        For the venue's temperature.
    policy : Policy
        For the offset, and the temperature where the gig gives none.

    Returns
    -------
    float
        Delay [ms].

    Raises
    ------
    ValueError
        If the zone has no distances.
    """
    if zone.distance_m is None:
        raise ValueError(f"zone {zone.name!r} has no distances, so it needs no delay")
    cold = gig.venue.coldest_c if gig.venue.coldest_c is not None else policy.delay.coldest_c
    return float(fill_delay_ms(zone.distance_m.main, zone.distance_m.own, cold, policy.delay.offset_ms))


def _equalisers(gig: Gig, desk: Desk) -> Ledger:
    terms = equaliser_terms(gig)
    have = sum(o.line for o in desk.outputs if o.equaliser)
    reasons = [
        reason("one equaliser channel for each channel of a mix, the mains and the zones that need it", terms)
    ]
    reasons += _besides(gig.kit.equalisers, "equaliser")
    return Ledger(
        "equalisers", "all", sum(n for _, _, n in terms), have + gig.kit.equalisers, 0, tuple(reasons), False
    )


def _units(gig: Gig, desk: Desk, key: str, flag: str, inside: bool, kit: int) -> Ledger:
    terms = unit_terms(gig, flag)
    have = (desk.channels if inside else 0) + kit
    reasons = (reason(f"one {flag} for each channel marked for it", terms), *_besides(kit, flag))
    return Ledger(key, "all", sum(n for _, _, n in terms), have, 0, reasons, False)


def _inserts(gig: Gig, desk: Desk) -> Ledger:
    """A compressor and a gate on one channel share its insert."""
    terms = [
        (path, s.name, s.channels)
        for path, s in gig.sources
        if (s.compressor and not desk.about.channel_compressors) or (s.gate and not desk.about.channel_gates)
    ]
    have = sum(i.inserts for i in desk.inputs)
    rule = "an outboard compressor or gate takes the channel's insert, both together one"
    return Ledger("inserts", "all", sum(n for _, _, n in terms), have, 0, (reason(rule, terms),), False)


def _delays(gig: Gig, desk: Desk, policy: Policy) -> Ledger:
    delayed = [z for z in gig.zones if z.distance_m is not None and z.wants_own_path and z.delay_by == "desk"]
    terms = [(f"zone.{z.name}", z.name, z.width) for z in delayed]
    reasons = [reason("a zone at a distance of its own takes a delay for each channel", terms)]
    reach = max((o.delay_up_to_ms for o in desk.outputs), default=0.0)
    within = 0
    for zone in delayed:
        setting = zone_delay_ms(zone, gig, policy)
        here = [o for o in desk.outputs if o.at == desk.output_place(zone.at)]
        if max((o.delay_up_to_ms for o in here), default=0.0) >= setting:
            within += zone.width
        reasons.append(
            Reason(
                "main distance less own distance, in the coldest air, and the offset that keeps the mains first",
                (f"zone.{zone.name}.distance_m",),
                ((f"{zone.name} delay in ms", round(setting, 1)),),
                round(setting, 1),
            )
        )
    if delayed:
        reasons.append(
            Reason(
                "the longest delay an output of this desk gives, in ms",
                ("outputs.delay_up_to_ms",),
                (),
                reach,
            )
        )
        have = within
    else:
        have = sum(o.line for o in desk.outputs if o.delay_up_to_ms)
    need = sum(n for _, _, n in terms)
    return Ledger("delays", "all", need, have, 0, tuple(reasons))


def _effects(gig: Gig, desk: Desk, routes: Routes) -> Ledger:
    terms = [(f"effect.{e.name}", e.name, 1) for e in gig.effects if e.by == "desk"]
    why = (reason("each effect takes a unit inside the desk", terms),)
    return Ledger("effects", "all", len(terms), desk.effects.count, 0, why)


def _tracks(gig: Gig, desk: Desk, routes: Routes) -> Ledger:
    feeds = [feed for feed, way in routes.feeds if way == "recorder"]
    apart = [feed for feed in feeds if feed.carries == "each source"]
    terms = [
        (f"feed.{f.name}", f"{f.name}, every source on its own", each_source(gig))
        if f in apart
        else (f"feed.{f.name}", f.name, f.width)
        for f in feeds
    ]
    reasons = [reason("a recording takes a track for each channel", terms)]
    have = desk.recording.tracks
    if apart and desk.recording.source != "channels":
        rule = "the recorder of this desk takes the mains alone, so it keeps no source apart"
        reasons.append(Reason(rule, ("recording.from",), (("its tracks", have),), 0))
        have = 0
    return Ledger("tracks", "all", sum(n for _, _, n in terms), have, 0, tuple(reasons))


def _direct_outs(gig: Gig, desk: Desk, routes: Routes) -> Ledger:
    """Direct outs, where every source leaves by one; on an analogue desk personal mixers take theirs from the same."""
    terms = [(f"feed.{f.name}", f.name, each_source(gig)) for f, way in routes.feeds if way == "direct"]
    reasons = [reason("a feed of every source takes a direct out for each channel", terms)] if terms else []
    mixes = [] if desk.digital else [m for m in gig.own_mixes if m.fed_by == "personal mixer"]
    personal = [(f"mix.{m.name}", m.name, m.personal_feeds) for m in mixes]
    if personal:
        reasons.append(reason("a personal mixer takes a direct out for each of its feeds", personal))
        terms += personal
    have = desk.about.direct_outs if terms else 0
    return Ledger("direct outs", "all", sum(n for _, _, n in terms), have, 0, tuple(reasons))


def _talkback(gig: Gig, desk: Desk) -> Ledger:
    need = int(gig.wants_talkback)
    causes = ("desk.talkback", "mix")
    how = {
        "own input": "this desk has a talkback input of its own",
        "takes a channel": "this desk's talkback takes a preamp and a channel",
        "none": "this desk has no talkback, so a microphone with a switch takes a channel",
    }[desk.about.talkback]
    return Ledger("talkback", "all", need, 1, 0, (Reason(how, causes, (("talkback", need),), need),))


def _besides(count: int, what: str) -> tuple[Reason, ...]:
    if not count:
        return ()
    return (Reason(f"{what} carried besides the desk", ("kit",), (("in the kit", count),), count),)
