"""Input ledgers: which kind of socket and how many channels each source takes on a given desk."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from ..gig import Desk, Effect, Gig, Inputs, Policy, Reason, Source, most
from .ledger import Ledger
from .needs import Term, reason
from .routes import Routes

MIC_RULE = "microphones, DI outputs and receivers at microphone level each take a preamp"
TALKBACK_RULE = "talkback without an input of its own takes a preamp and a channel"
OVERFLOW_RULE = "lines beyond the line inputs take microphone channels, two for stereo"
STEREO_RULE = "a stereo line takes a stereo input"
RETURN_RULE = "an effects return with no dedicated return takes a stereo channel or two mono ones"
PHANTOM_RULE = "phantom switched for all of a bank may not reach a source that it would harm"


@dataclass
class _Place:
    """What is plugged in one place, being counted."""

    at: str
    sets: tuple[Inputs, ...]
    mic: list[Term] = field(default_factory=list)
    stereo: list[Term] = field(default_factory=list)
    mono: list[Term] = field(default_factory=list)
    over: list[Term] = field(default_factory=list)
    returns: list[Term] = field(default_factory=list)
    two_track: list[Term] = field(default_factory=list)
    sources: list[tuple[str, Source]] = field(default_factory=list)

    def total(self, kind: str) -> int:
        return sum(getattr(s, kind) for s in self.sets)

    def within(self, reach: set[str]) -> set[str]:
        """Key paths of sources that need be heard nowhere beyond `reach`."""
        return {path for path, s in self.sources if s.heard_in is not None and set(s.heard_in) <= reach}

    def on_mics(self) -> int:
        """Microphone inputs that are taken [channels]."""
        return int(sum(n for _, _, n in (*self.mic, *self.over)))


def takes_talkback_channel(gig: Gig, desk: Desk) -> bool:
    """Whether talkback is wanted and has no input of its own on this desk."""
    return gig.wants_talkback and desk.about.talkback != "own input"


def returns_on_channels(gig: Gig, desk: Desk, routes: Routes) -> list[tuple[str, str, int]]:
    """Effects whose return takes channels: key path, name and width [channels].

    A dedicated return takes none, unless the effect must be heard where that return cannot go.
    """
    taken = [(f"effect.{e.name}", e.name, 2 if e.stereo else 1) for e in routes.outboard]
    for effect in routes.inside:
        reaches = desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
        if desk.effects.returns != "dedicated" or not reaches:
            taken.append((f"effect.{effect.name}", effect.name, 2 if effect.stereo else 1))
    return taken


def input_ledgers(gig: Gig, desk: Desk, routes: Routes, policy: Policy) -> list[Ledger]:
    """Preamps, line inputs and stereo inputs in each place, and channels in all.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    routes : Routes
        How its effects are carried.
    policy : Policy
        For the spares.

    Returns
    -------
    list of Ledger
    """
    places = [_Place(at, tuple(i for i in desk.inputs if i.at == at)) for at in _ordered(desk)]
    by_name = {place.at: place for place in places}
    for path, source in gig.sources:
        _sort(by_name[desk.input_place(source.at)], path, source)
    if takes_talkback_channel(gig, desk):
        by_name[desk.input_place("desk")].mic.append(("desk.talkback", "talkback", 1))
    returns = returns_on_channels(gig, desk, routes)
    outboard = {f"effect.{e.name}" for e in routes.outboard}
    plugged = [r for r in returns if not desk.digital or r[0] in outboard]
    at_desk = desk.input_place("desk")
    places = [_spread(p, plugged if p.at == at_desk else [], desk.digital) for p in places]
    rows: list[Ledger] = []
    spare = 0
    for place in places:
        used = place.on_mics()
        wanted = policy.spares.inputs(used)
        spare += wanted
        rows += _place_ledgers(place, wanted)
    rows.append(_strips(gig, desk, places, returns, routes.outboard, spare))
    return rows


def _ordered(desk: Desk) -> list[str]:
    return [at for at in ("stage", "desk", "remote") if any(i.at == at for i in desk.inputs)] or ["desk"]


def _sort(place: _Place, path: str, source: Source) -> None:
    place.sources.append((path, source))
    if source.at_mic_level:
        place.mic.append((path, source.name, source.channels))
    elif source.stereo:
        place.stereo += [(path, source.name, 1)] * most(source.count)
    else:
        place.mono.append((path, source.name, source.channels))


def _spread(place: _Place, returns: list[tuple[str, str, int]], digital: bool) -> _Place:
    """The place with its lines and returns spread over its inputs.

    A two-track return saves a digital desk channels. On an analogue one it takes the channel from what is plugged
    there, so it serves only as many lines as it takes to find everything an input, and none where that fails.
    """
    reach = {p for s in place.sets if s.two_track for p in s.two_track_to}
    able = sum(path in place.within(reach) for path, _, _ in place.stereo)
    most_apart = min(able, place.total("two_track"))
    if digital:
        return _spread_with(place, returns, most_apart)
    spreads = [_spread_with(place, returns, apart) for apart in range(most_apart + 1)]
    return next((spread for spread in spreads if spread.on_mics() <= spread.total("mic")), spreads[0])


def _spread_with(whole: _Place, returns: list[tuple[str, str, int]], apart: int) -> _Place:
    """So many lines on two-track returns; the others go to line inputs first, and what is left over to microphones."""
    place = replace(whole, mic=[*whole.mic], stereo=[], mono=[*whole.mono], over=[], returns=[], two_track=[])
    reach = {p for s in place.sets if s.two_track for p in s.two_track_to}
    stereo, line = place.total("stereo"), place.total("line")
    for term in whole.stereo:
        if term[0] in place.within(reach) and len(place.two_track) < apart:
            place.two_track.append(term)
        elif len(place.stereo) < stereo:
            place.stereo.append(term)
        else:
            place.mono.append((term[0], term[1], 2))
    free_mic = max(0, place.total("mic") - place.on_mics())
    kept_mono: list[Term] = []
    for path, label, number in place.mono:
        on_line = min(int(number), line)
        line -= on_line
        rest = int(number) - on_line
        on_mic = min(rest, free_mic)
        free_mic -= on_mic
        on_stereo = min(rest - on_mic, stereo - len(place.stereo))
        place.stereo += [(path, f"{label} (one side)", 1)] * on_stereo
        beyond = on_mic + (rest - on_mic - on_stereo)
        if on_line:
            kept_mono.append((path, label, on_line))
        if beyond:
            place.over.append((path, label, beyond))
    place.mono = kept_mono
    for path, label, width in sorted(returns, key=lambda r: -r[2]):
        _spread_return(place, path, label, width)
    return place


def _spread_return(place: _Place, path: str, label: str, width: int) -> None:
    if len(place.stereo) + len(place.returns) < place.total("stereo"):
        place.returns.append((path, f"{label} return", 1))
    else:
        place.over.append((path, f"{label} return", width))


def _place_ledgers(place: _Place, spare: int) -> list[Ledger]:
    rows = []
    reasons = [reason(MIC_RULE, [t for t in place.mic if t[0] != "desk.talkback"])]
    if any(t[0] == "desk.talkback" for t in place.mic):
        reasons.append(Reason(TALKBACK_RULE, ("desk.talkback",), (("talkback", 1),), 1))
    if place.over:
        reasons.append(reason(OVERFLOW_RULE, place.over))
    need = place.on_mics()
    have = place.total("mic")
    barred, why = _phantom(place)
    if barred:
        reasons.append(why)
        have = min(have, int(need) - barred)
    rows.append(Ledger("preamps", place.at, need, have, spare, tuple(reasons)))
    if place.mono or place.total("line"):
        rows.append(
            Ledger("line inputs", place.at, sum(n for _, _, n in place.mono), place.total("line"), 0,
                   (reason("each mono line takes one line input", place.mono),))
        )  # fmt: skip
    if place.stereo or place.returns or place.total("stereo"):
        stereo = [reason(STEREO_RULE, place.stereo)]
        if place.returns:
            stereo.append(reason(RETURN_RULE, place.returns))
        if place.two_track:
            stereo.append(
                Reason("a two-track return serves playback for the mains alone",
                       tuple(t[0] for t in place.two_track),
                       tuple((t[1], 1) for t in place.two_track), len(place.two_track))
            )  # fmt: skip
        need = len(place.stereo) + len(place.returns)
        rows.append(Ledger("stereo inputs", place.at, need, place.total("stereo"), 0, tuple(stereo)))
    return rows


def _phantom(place: _Place) -> tuple[int, Reason]:
    """Sources that find no preamp because phantom would harm them, or none of the banks can supply it."""
    needed = sum(s.channels for _, s in place.sources if s.phantom == "needed")
    harmed = sum(s.channels for _, s in place.sources if s.phantom == "forbidden" and s.at_mic_level)
    each = sum(s.mic for s in place.sets if s.phantom == "each")
    bare = sum(s.mic for s in place.sets if s.phantom == "none")
    banks = [size for s in place.sets if s.phantom in ("bank", "all") and s.mic for size in s.bank_sizes]
    barred = min(
        max(0, needed - each - live) + max(0, harmed - bare - max(0, each - needed) - (sum(banks) - live))
        for live in {sum(banks[:k]) for k in range(len(banks) + 1)}
    )
    terms = (
        ("need phantom", float(needed)),
        ("may not have it", float(harmed)),
        ("left without a preamp", barred),
    )
    causes = tuple(f"{path}.phantom" for path, s in place.sources if s.phantom != "indifferent")
    return barred, Reason(PHANTOM_RULE, causes, terms, barred)


def _strips(
    gig: Gig,
    desk: Desk,
    places: list[_Place],
    returns: list[tuple[str, str, int]],
    outboard: tuple[Effect, ...],
    spare: int,
) -> Ledger:
    if not desk.digital:
        terms = [t for p in places for t in (*p.mic, *p.over, *p.mono, *p.stereo, *p.returns)]
        rule = "each source and each effects return takes a channel"
        return Ledger("strips", "all", sum(n for _, _, n in terms), desk.channels, 0, (reason(rule, terms),))
    wide = desk.stereo_takes
    apart = Counter(path for p in places for path, _, _ in p.two_track)
    terms = [
        (path, s.name, (most(s.count) - apart[path]) * (wide if s.stereo else 1)) for path, s in gig.sources
    ]
    reasons = [reason(f"each source takes a channel, a stereo one {wide}", terms)]
    if takes_talkback_channel(gig, desk):
        reasons.append(Reason(TALKBACK_RULE, ("desk.talkback",), (("talkback", 1),), 1))
    beside = {f"effect.{e.name}" for e in outboard}
    back = [
        (path, f"{label} return", desk.return_channels(width, outboard=path in beside))
        for path, label, width in returns
    ]
    if back:
        reasons.append(reason("an effects return with no dedicated return takes channels", back))
    return Ledger("strips", "all", sum(r.result for r in reasons), desk.channels, spare, tuple(reasons))
