"""What a file may not say even though each key is well formed: names that point nowhere, counts that contradict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable

from ..formulas.timing import fill_delay_ms
from .desk import Desk
from .explain import meant
from .model import Gig, Source, Span

Fault = Callable[..., Exception]


def check_gig(gig: Gig, fault: Fault) -> None:
    """Raise the first contradiction found in a gig.

    Parameters
    ----------
    gig : Gig
        A gig as read.
    fault : callable
        Makes the exception from key path, problem and advice.

    Raises
    ------
    Exception
        Whatever `fault` makes.
    """
    _unique(fault, "performer", [p.name for p in gig.performers])
    _unique(fault, "line", [s.name for s in gig.lines])
    _unique(fault, "mix", [m.name for m in gig.mixes])
    _unique(fault, "effect", [e.name for e in gig.effects])
    _unique(fault, "zone", [z.name for z in gig.zones])
    _unique(fault, "feed", [f.name for f in gig.feeds])
    for performer in gig.performers:
        _unique(fault, f"performer.{performer.name}.sources", [s.name for s in performer.sources])
    _check_clock(gig, fault)
    _check_listeners(gig, fault)
    for path, source in gig.sources:
        _check_source(path, source, fault)
    _check_names_heard(gig, fault)


def check_desk(desk: Desk, fault: Fault) -> None:
    """Raise the first contradiction found in a desk.

    Parameters
    ----------
    desk : Desk
        A desk as read.
    fault : callable
        Makes the exception from key path, problem and advice.

    Raises
    ------
    Exception
        Whatever `fault` makes.
    """
    if not any(i.mic + i.line + i.stereo for i in desk.inputs):
        raise fault(
            "inputs", "no input socket is described.", 'Add [[inputs]] with at = "desk" and mic = 16.'
        )
    if not any(o.line for o in desk.outputs):
        raise fault(
            "outputs", "no output socket is described.", 'Add [[outputs]] with at = "desk" and line = 8.'
        )
    if desk.channels == 0:
        raise fault("desk.channels", "0 stands there, yet the desk has inputs; 1 or more is allowed.")
    first = 1
    for number, run in enumerate(desk.mix_buses, start=1):
        if run.tap == "pair" and (run.count % 2 or first % 2 == 0):
            raise fault(
                f"mix_buses.number {number}",
                f"buses {first} to {first + run.count - 1} switch their tap in pairs, but pairs are an odd bus "
                "with the next even one, and these do not divide so.",
                "Give an even count, beginning at an odd bus.",
            )
        first += run.count
    for option in desk.options:
        key = f"option.{option.name}.at"
        if option.mic and option.at not in {i.at for i in desk.inputs}:
            raise fault(
                key, f"the desk has no inputs at {option.at} to add to.", "Describe another desk instead."
            )
        if option.line_out and option.at not in {o.at for o in desk.outputs}:
            raise fault(
                key, f"the desk has no outputs at {option.at} to add to.", "Describe another desk instead."
            )
    _unique(fault, "option", [o.name for o in desk.options])
    if desk.effects.count and desk.effects.send == "takes a bus" and not desk.buses():
        raise fault(
            "effects.send", "the effects take a bus, but the desk has none.", "Describe [[mix_buses]]."
        )


def check_delays(gig: Gig, fault: Fault) -> None:
    """Raise where a zone at a distance of its own would have to play before the mains.

    Parameters
    ----------
    gig : Gig
        A gig with its policy.
    fault : callable
        Makes the exception from key path, problem and advice.

    Raises
    ------
    Exception
        Whatever `fault` makes.
    """
    assert gig.policy is not None
    cold = gig.venue.coldest_c if gig.venue.coldest_c is not None else gig.policy.delay.coldest_c
    for zone in gig.zones:
        if zone.distance_m is None:
            continue
        main, own = zone.distance_m.main, zone.distance_m.own
        try:
            fill_delay_ms(main, own, cold, gig.policy.delay.offset_ms)
        except ValueError:
            raise fault(
                f"zone.{zone.name}.distance_m",
                f"main = {main:g} and own = {own:g} stand there; no delay of the zone sets that right.",
                "Measure both to the same listener, in metres. Where the zone's own speaker is much the farther, "
                "the mains are what is delayed: give the zone no distance_m.",
            ) from None


def _unique(fault: Fault, key: str, names: Iterable[str]) -> None:
    for name, times in Counter(names).items():
        if times > 1:
            raise fault(f"{key}.{name}", f"this name stands {times} times.", "Give each its own name.")


def _check_clock(gig: Gig, fault: Fault) -> None:
    evening = gig.evening
    if evening.minutes_to_doors is not None and evening.minutes_to_doors <= 0:
        raise fault(
            "gig.doors",
            f"{evening.doors} is not after load-in at {evening.load_in}.",
            "Put the later time at doors.",
        )
    cold = gig.venue.temperature_c
    if isinstance(cold, tuple) and cold[0] > cold[1]:
        raise fault("venue.temperature_c", f"{list(cold)} stands there; the colder comes first.")
    coldest = gig.venue.coldest_c
    if coldest is not None and not -20 <= coldest <= 50:
        raise fault("venue.temperature_c", f"the coldest is {coldest:g}; -20 to 50 °C is allowed.")


def _check_listeners(gig: Gig, fault: Fault) -> None:
    people = {p.name for p in gig.performers} | {p.name for p in gig.crew.people}
    for mix in gig.mixes:
        key = f"mix.{mix.name}.for"
        for_anybody = mix.through in ("side fill", "cue")
        if not mix.listeners and not for_anybody:
            what = "a stereo mix" if mix.is_stereo else "a mix"
            raise fault(key, f"{what} for nobody.", f"Name who hears it: {_some(people)}.")
        for name in mix.listeners:
            if name not in people:
                raise fault(key, f'"{name}" is not in this gig.', _allowed(name, people))
        _unique(fault, key, mix.listeners)
        if mix.sub_send and mix.through != "drum fill":
            raise fault(f"mix.{mix.name}.sub_send", "only a drum fill has a sub send.", "Leave it out.")
        if mix.sub_send and mix.is_stereo:
            raise fault(
                f"mix.{mix.name}.sub_send",
                "a stereo drum fill with a sub send of its own is not counted.",
                "Describe two mixes.",
            )
        if mix.fed_by == "personal mixer" and mix.personal_feeds == 0:
            raise fault(
                f"mix.{mix.name}.personal_feeds",
                "a personal mixer with no feeds.",
                "Say how many channels it is fed.",
            )


def _check_source(path: str, source: Source, fault: Fault) -> None:
    if isinstance(source.count, Span):
        if source.count.least > source.count.most:
            raise fault(f"{path}.count", "the least is more than the most.", "Swap them.")
        if source.count.most == 0:
            raise fault(f"{path}.count", "at most 0 of it.", "Leave the source out.")
    if source.phantom == "needed" and not source.at_mic_level:
        raise fault(f"{path}.phantom", "a line-level source cannot need phantom power.", "Leave it out.")
    if source.frequency_mhz is not None and not source.radio:
        raise fault(f"{path}.frequency_mhz", "only a radio source has a frequency.", "Add radio = true.")


def _check_names_heard(gig: Gig, fault: Fault) -> None:
    mixes, performers = {m.name for m in gig.mixes}, {p.name for p in gig.performers}
    places = mixes | performers | {z.name for z in gig.zones} | {f.name for f in gig.feeds} | {"mains"}
    heard = [(f"effect.{e.name}.heard_in", e.heard_in) for e in gig.effects]
    heard += [(f"{path}.heard_in", s.heard_in) for path, s in gig.sources if s.heard_in is not None]
    for key, names in heard:
        for name in names:
            if name not in places:
                raise fault(
                    key,
                    f'"{name}" is neither the mains nor a mix, a performer, a zone or a feed of this gig.',
                    _allowed(name, places),
                )
    for zone in gig.zones:
        if zone.fed_from == "group" and (zone.distance_m or zone.own_level or zone.trim_db):
            raise fault(
                f"zone.{zone.name}.from",
                "a group follows the mains, but this zone has a delay or a level of its own.",
                'Write "matrix" or "bus".',
            )
    public = (
        {"mains"} | {z.name for z in gig.zones} | {f.name for f in gig.feeds if f.carries != "each source"}
    )
    for path, source in gig.sources:
        for name in sorted(public.intersection(source.heard_in or ())):
            if not source.to_mains:
                raise fault(
                    f"{path}.heard_in",
                    f'"{name}" reaches the public, but the source says to_mains = false.',
                    "A click or a cue goes to named mixes only: take that name out. Anything else needs no "
                    "to_mains = false, for heard_in alone keeps it out of the mains.",
                )
    known = performers | {s.name for _, s in gig.sources}
    for feed in gig.feeds:
        if feed.own_mix and feed.fed_from in ("mains", "matrix"):
            raise fault(
                f"feed.{feed.name}.from",
                f"{feed.fed_from} carries everything, but this feed leaves something out.",
                'Leave "from" out, or write "own mix".',
            )
        for name in feed.without:
            if name not in known:
                raise fault(
                    f"feed.{feed.name}.without",
                    f'"{name}" is no performer, source or line of this gig.',
                    _allowed(name, known),
                )


def _allowed(name: str, known: Iterable[str]) -> str:
    return f"{meant(name, known)}Allowed: {_some(known)}."


def _some(names: Iterable[str]) -> str:
    listed = sorted(names)
    return ", ".join(listed[:8]) + (f" and {len(listed) - 8} more" if len(listed) > 8 else "") or "nobody yet"
