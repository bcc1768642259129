"""What a gig asks of any desk: the counts that follow from the line-up alone."""

from __future__ import annotations

from collections.abc import Iterable

from ..gig import Gig, Mix, Reason
from .ledger import Need, Needs

Term = tuple[str, str, float]  # key path, label, number


def needs(gig: Gig) -> Needs:
    """Count what a gig asks for, before any desk is chosen.

    Parameters
    ----------
    gig : Gig
        The gig. A count that is not settled is taken at its most.

    Returns
    -------
    Needs
        Counts by key, each with its reason.
    """
    rows = (
        _mic_level_inputs(gig),
        _line_inputs(gig),
        _playback(gig),
        _monitor_mixes(gig),
        _monitor_buses(gig),
        _effects_sends(gig),
        _auxes(gig),
        _outputs(gig),
        _equalisers(gig),
        _units(gig, "compressors", "compressor"),
        _units(gig, "gates", "gate"),
        _talkback(gig),
    )
    return Needs(gig, rows)


def mic_level_terms(gig: Gig) -> list[Term]:
    """Every source that arrives at microphone level, DI outputs and receivers included [channels]."""
    return [(path, s.name, s.channels) for path, s in gig.sources if s.at_mic_level]


def monitor_bus_terms(gig: Gig) -> list[Term]:
    """Bus channels of each monitor mix: its width, however many boxes play it [channels]."""
    return [(f"mix.{m.name}", m.name, m.width) for m in gig.mixes if m.fed_by == "bus"]


def output_terms(gig: Gig) -> list[Term]:
    """Output channels that leave for mains, mixes, zones and feeds, on any desk [channels]."""
    terms = [("mains", "mains", float(gig.mains.width))]
    terms += [(f"mix.{m.name}", m.name, mix_outputs(m)) for m in gig.own_mixes]
    terms += [(f"zone.{z.name}", z.name, z.width) for z in gig.zones if z.wants_own_path]
    terms += [(f"feed.{f.name}", f.name, f.width) for f in gig.feeds if f.carries != "each source"]
    return terms


def mix_outputs(mix: Mix) -> int:
    """Output channels of a monitor mix; a personal mixer takes as many as it is fed [channels]."""
    return mix.personal_feeds if mix.fed_by == "personal mixer" else mix.width


def equaliser_terms(gig: Gig) -> list[Term]:
    """Equaliser channels: one for each channel of a mix, the mains and the zones that need it [channels]."""
    terms = [("mains", "mains", float(gig.mains.width))] if gig.mains.equaliser else []
    terms += [(f"mix.{m.name}", m.name, m.width) for m in gig.mixes if m.equaliser and m.fed_by == "bus"]
    terms += [(f"zone.{z.name}", z.name, z.width) for z in gig.zones if z.equaliser]
    return terms


def unit_terms(gig: Gig, flag: str) -> list[Term]:
    """Processors of a kind, one for each channel of a source marked with `flag` [units]."""
    return [(path, s.name, s.channels) for path, s in gig.sources if getattr(s, flag)]


def reason(rule: str, terms: Iterable[Term]) -> Reason:
    """A reason that adds its terms up."""
    listed = list(terms)
    return Reason(
        rule,
        tuple(path for path, _, _ in listed),
        tuple((label, number) for _, label, number in listed),
        sum(number for _, _, number in listed),
    )


def _row(key: str, why: Reason) -> Need:
    return Need(key, int(why.result), why)


def _mic_level_inputs(gig: Gig) -> Need:
    rule = "microphones, DI outputs and receivers at microphone level each take a microphone input"
    return _row("microphone-level inputs", reason(rule, mic_level_terms(gig)))


def _line_inputs(gig: Gig) -> Need:
    terms = [(p, s.name, s.channels) for p, s in gig.sources if not s.at_mic_level and not s.stereo]
    return _row("mono line inputs", reason("each mono line takes one line input", terms))


def _playback(gig: Gig) -> Need:
    terms = [(p, s.name, s.channels) for p, s in gig.sources if not s.at_mic_level and s.stereo]
    return _row("stereo line channels", reason("each stereo line takes two channels", terms))


def _monitor_mixes(gig: Gig) -> Need:
    terms = [(f"mix.{m.name}", m.name, 1) for m in gig.mixes]
    return _row(
        "monitor mixes", reason("one mix for each different balance, however many boxes play it", terms)
    )


def _monitor_buses(gig: Gig) -> Need:
    rule = "a mono mix takes one bus, a stereo mix two, a personal mixer none"
    return _row("monitor buses", reason(rule, monitor_bus_terms(gig)))


def _effects_sends(gig: Gig) -> Need:
    terms = [(f"effect.{e.name}", e.name, 1) for e in gig.effects]
    return _row("effects sends", reason("each effect is fed by a send of its own", terms))


def _auxes(gig: Gig) -> Need:
    mixes = monitor_bus_terms(gig)
    sends = [(f"effect.{e.name}", e.name, 1.0) for e in gig.effects]
    return _row("auxes", reason("monitor buses and effects sends", [*mixes, *sends]))


def _outputs(gig: Gig) -> Need:
    rule = "mains, every channel of a mix, and every zone and feed of its own leave by an output"
    return _row("outputs", reason(rule, output_terms(gig)))


def _equalisers(gig: Gig) -> Need:
    rule = "one equaliser channel for each channel of a mix, the mains and the zones that need it"
    return _row("equalisers", reason(rule, equaliser_terms(gig)))


def _units(gig: Gig, key: str, flag: str) -> Need:
    return _row(key, reason(f"one {flag} for each channel marked for it", unit_terms(gig, flag)))


def _talkback(gig: Gig) -> Need:
    terms = [("mix", "talkback", 1)] if gig.wants_talkback else []
    return _row("talkback", reason("anyone in in-ears, or two mixes or more, must be spoken to", terms))
