"""What a gig asks of any desk: the counts that follow from the line-up alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..gig import Gig, Mix, Reason

Term = tuple[str, str, float]  # key path, label, number


@dataclass(frozen=True)
class Need:
    """One count that a gig asks of any desk.

    Parameters
    ----------
    key : str
        What is counted, such as ``"monitor mixes"``.
    count : int
        How many.
    reason : Reason
        Why.
    """

    key: str
    count: int
    reason: Reason


@dataclass(frozen=True)
class Needs:
    """What a gig asks for, whatever desk is chosen. ``needs["monitor mixes"]`` is a count.

    Parameters
    ----------
    gig : Gig
        The gig that was counted.
    rows : tuple of Need
        The counts, in the order of the job.
    """

    gig: Gig
    rows: tuple[Need, ...]

    def __getitem__(self, key: str) -> int:
        return self.row(key).count

    def row(self, key: str) -> Need:
        """The row of that key.

        Parameters
        ----------
        key : str
            One of the keys in `rows`.

        Returns
        -------
        Need

        Raises
        ------
        KeyError
            If nothing of that name is counted; the message lists what is.
        """
        for row in self.rows:
            if row.key == key:
                return row
        raise KeyError(f"{key!r} is not counted; counted are: {', '.join(r.key for r in self.rows)}")


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
    lines = [(path, s) for path, s in gig.sources if not s.at_mic_level]
    sends = [(f"effect.{e.name}", e.name, 1) for e in gig.effects]
    counted: tuple[tuple[str, str, Iterable[Term]], ...] = (
        (
            "microphone-level inputs",
            "microphones, DI outputs and receivers at microphone level each take a microphone input",
            [(path, s.name, s.channels) for path, s in gig.sources if s.at_mic_level],
        ),
        (
            "mono line inputs",
            "each mono line takes one line input",
            [(path, s.name, s.channels) for path, s in lines if not s.stereo],
        ),
        (
            "stereo line channels",
            "each stereo line takes two channels",
            [(path, s.name, s.channels) for path, s in lines if s.stereo],
        ),
        (
            "monitor mixes",
            "one mix for each different balance, however many boxes play it",
            [(f"mix.{m.name}", m.name, 1) for m in gig.mixes],
        ),
        (
            "monitor buses",
            "a mono mix takes one bus, a stereo mix two, a personal mixer none",
            monitor_bus_terms(gig),
        ),
        ("effects sends", "each effect is fed by a send of its own", sends),
        ("auxes", "monitor buses and effects sends", [*monitor_bus_terms(gig), *sends]),
        (
            "outputs",
            "mains, every channel of a mix, and every zone and feed of its own leave by an output",
            output_terms(gig),
        ),
        ("equalisers", EQUALISER_RULE, equaliser_terms(gig)),
        ("compressors", "one compressor for each channel marked for it", unit_terms(gig, "compressor")),
        ("gates", "one gate for each channel marked for it", unit_terms(gig, "gate")),
        (
            "talkback",
            "anyone in in-ears, or two mixes or more, must be spoken to",
            [("mix", "talkback", 1)] if gig.wants_talkback else [],
        ),
    )
    whys = [(key, reason(rule, terms)) for key, rule, terms in counted]
    return Needs(gig, tuple(Need(key, int(why.result), why) for key, why in whys))


EQUALISER_RULE = "one equaliser channel for each channel of a mix, the mains and the zones that need it"


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
