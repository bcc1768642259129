"""The same gig with something else: other desks side by side, more of a thing, counts not yet settled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ..gig import Desk, Gig, Mix, Performer, Source, Span, Zone
from .fit import Fit, fit
from .ledgers import demand

# ---- Other desks ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Compared:
    """One desk beside the others.

    Parameters
    ----------
    fit : Fit
        Whether it carries the gig, and why.
    carried : tuple of (str, float)
        What must be carried besides, and how many of it.
    weight_kg : float or None
        The desk and what its changes add [kg]; None where the desk's weight is not given.
    minutes : float or None
        Set-up minutes, those of the changes included [min]; None where the gig gives no clock.
    skill : str
        The least skill it asks of who mixes.
    recall : str
        How its settings come back for the next show.
    fails_with_it : str
        What is lost when it fails.
    """

    fit: Fit
    carried: tuple[tuple[str, float], ...]
    weight_kg: float | None
    minutes: float | None
    skill: str
    recall: str
    fails_with_it: str

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "desk": self.fit.desk.name,
            "kind": self.fit.desk.about.kind,
            "placement": self.fit.placement,
            "carried": [[what, number] for what, number in self.carried],
            "weight_kg": self.weight_kg,
            "minutes": self.minutes,
            "skill": self.skill,
            "recall": self.recall,
            "fails_with_it": self.fails_with_it,
        }


def compare(
    gig: Gig, desks: Sequence[Desk], progress: Callable[[int, int], None] | None = None
) -> tuple[Compared, ...]:
    """Size one gig on several desks.

    Parameters
    ----------
    gig : Gig
        The gig.
    desks : sequence of Desk
        The desks, in the order to show them.
    progress : callable, optional
        Called with how many are done and how many there are.

    Returns
    -------
    tuple of Compared
        One for each desk, in the same order.
    """
    done: list[Compared] = []
    for desk in desks:
        done.append(_beside(fit(gig, desk)))
        if progress:
            progress(len(done), len(desks))
    return tuple(done)


def _beside(one: Fit) -> Compared:
    about = one.desk.about
    carried = [(row.key, -row.margin) for row in one.ledgers if not row.blocks and row.state == "short"]
    boxes = [change for change in one.changes if change.weight_kg and change.kind != "relocate"]
    carried += [(f"{change.kind} for {change.name}", 1) for change in boxes]
    weight = None if about.weight_kg is None else about.weight_kg + sum(c.weight_kg for c in one.changes)
    clock = [row.need for row in one.ledgers if row.key == "minutes"]
    minutes = clock[0] + sum(c.minutes for c in one.changes) if clock else None
    stage_box = any(i.at == "stage" for i in one.desk.inputs)
    if one.desk.digital:
        recall = "settings come back from a file"
        fails = (
            "the whole mix at once, and every stage line with the stage box"
            if stage_box
            else "the whole mix at once"
        )
    else:
        recall = "settings are noted and set again by hand"
        fails = "one channel at a time, or everything with its power supply"
    return Compared(one, tuple(carried), weight, minutes, about.least_skill, recall, fails)


# ---- More of a thing ----------------------------------------------------------------------------------

MOST = 32


def _singer(gig: Gig, n: int) -> Gig:
    singers = tuple(Performer(f"singer {k}", sources=(Source("vocal", "mic"),)) for k in range(1, n + 1))
    return replace(gig, performers=(*gig.performers, *singers))


def _mix(through: str) -> Callable[[Gig, int], Gig]:
    def more(gig: Gig, n: int) -> Gig:
        listener = tuple(p.name for p in gig.performers[:1])
        mixes = tuple(Mix(f"{through} {k}", listener, through) for k in range(1, n + 1))  # type: ignore[arg-type]
        return replace(gig, mixes=(*gig.mixes, *mixes))

    return more


def _zone(gig: Gig, n: int) -> Gig:
    zones = tuple(Zone(f"zone {k}", own_level=True) for k in range(1, n + 1))
    return replace(gig, zones=(*gig.zones, *zones))


ADDITIONS: dict[str, Callable[[Gig, int], Gig]] = {
    "singer": _singer,
    "wedge mix": _mix("wedge"),
    "in-ear mix": _mix("in-ears"),
    "zone": _zone,
}
"""What may be added: one more of each takes a gig and how many, and gives the gig with them."""


@dataclass(frozen=True)
class Room:
    """How many more of one thing a desk would take.

    Parameters
    ----------
    adding : str
        ``"singer"`` (one microphone on stage), ``"wedge mix"``, ``"in-ear mix"`` (stereo) or ``"zone"``.
    more : int
        How many fit as asked, none where something is short already.
    breaks : tuple of str
        Ledgers that are short with one more; empty where `more` reached the search's end.
    by_ledger : tuple of (str, int)
        How many more each ledger alone would take, tightest first; those that never fill are left out.
    short_already : bool
        Whether `breaks` are short before anything is added.
    """

    adding: str
    more: int
    breaks: tuple[str, ...]
    by_ledger: tuple[tuple[str, int], ...]
    short_already: bool = False

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "adding": self.adding,
            "more": self.more,
            "breaks": list(self.breaks),
            "by_ledger": [[label, number] for label, number in self.by_ledger],
            "short_already": self.short_already,
            "text": self.text(),
        }

    def text(self) -> str:
        """One line: how many more, and what breaks."""
        if not self.breaks:
            return f"{self.adding}: {MOST} more and nothing breaks"
        if self.short_already:
            return f"{self.adding}: none before {_and(self.breaks)} {'is' if len(self.breaks) == 1 else 'are'} put right"
        return (
            f"{self.adding}: {self.more} more, then {_and(self.breaks)} break{'s' * (len(self.breaks) == 1)}"
        )


def _and(labels: tuple[str, ...]) -> str:
    return " and ".join(filter(None, (", ".join(labels[:-1]), labels[-1])))


def what_breaks_next(gig: Gig, desk: Desk) -> tuple[Room, ...]:
    """How many more singers, wedge mixes, in-ear mixes and zones each ledger would take, and which breaks first.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    tuple of Room
    """
    return tuple(_room(gig, desk, adding) for adding in ADDITIONS)


def _room(gig: Gig, desk: Desk, adding: str) -> Room:
    seen: dict[int, dict[str, bool]] = {}

    def short(n: int) -> dict[str, bool]:
        if n not in seen:
            rows = demand(ADDITIONS[adding](gig, n), desk).ledgers
            seen[n] = {row.label: row.state == "short" for row in rows if row.blocks}
        return seen[n]

    by_ledger = []
    for label in short(MOST):
        if not short(MOST)[label]:
            continue
        fine, full = -1, MOST  # short at `full`, not short at `fine`
        while full - fine > 1:
            middle = (fine + full) // 2
            if short(middle).get(label, False):
                full = middle
            else:
                fine = middle
        by_ledger.append((label, max(0, full - 1)))
    by_ledger.sort(key=lambda entry: entry[1])
    if not by_ledger:
        return Room(adding, MOST, (), ())
    already = tuple(label for label, is_short in short(0).items() if is_short)
    if already:
        return Room(adding, 0, already, tuple(by_ledger), True)
    more = by_ledger[0][1]
    first = tuple(label for label, n in by_ledger if n == more and short(more + 1).get(label))
    return Room(adding, more, first or (by_ledger[0][0],), tuple(by_ledger))


# ---- Counts not yet settled -----------------------------------------------------------------------------


@dataclass(frozen=True)
class OpenCount:
    """One count that is not settled, tried at its least and at its most.

    Parameters
    ----------
    path : str
        Key path of the count in the gig file.
    name : str
        What is counted.
    least, most : int
        The span as written.
    at_least, at_most : str
        The verdict in words with it at its least and at its most, the other spans at their most.
    """

    path: str
    name: str
    least: int
    most: int
    at_least: str
    at_most: str

    @property
    def matters(self) -> bool:
        """Whether the answer changes the verdict; if not, the count is as good as settled."""
        return self.at_least != self.at_most

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "path": self.path,
            "name": self.name,
            "least": self.least,
            "most": self.most,
            "at_least": self.at_least,
            "at_most": self.at_most,
            "matters": self.matters,
            "text": self.text(),
        }

    def text(self) -> str:
        """The question, as it would be asked; or that it need not be."""
        if not self.matters:
            return f"{self.name}: {self.least} or {self.most}, it {self.at_most} either way"
        return f"How many of {self.name}? With {self.least} it {self.at_least}, with {self.most} it {self.at_most}."


def questions(gig: Gig, desk: Desk) -> tuple[OpenCount, ...]:
    """Each unsettled count tried at its least and its most: those that change the verdict come first.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    tuple of OpenCount
    """
    found = [_ask(gig, desk, path, source) for path, source in gig.sources if isinstance(source.count, Span)]
    return tuple(sorted(found, key=lambda question: not question.matters))


def _ask(gig: Gig, desk: Desk, path: str, source: Source) -> OpenCount:
    span = source.count
    assert isinstance(span, Span)
    fewest = _with_count(gig, path, span.least)
    at_least = fit(fewest, desk).in_words
    at_most = fit(_with_count(gig, path, span.most), desk).in_words
    return OpenCount(f"{path}.count", source.name, span.least, span.most, at_least, at_most)


def _with_count(gig: Gig, path: str, count: int) -> Gig:
    """The gig with that source's count settled; none of it leaves it out."""

    def settle(prefix: str, sources: tuple[Any, ...]) -> tuple[Any, ...]:
        kept = (replace(s, count=count) if prefix + s.name == path else s for s in sources)
        return tuple(s for s in kept if count or prefix + s.name != path)

    performers = tuple(
        replace(p, sources=settle(f"performer.{p.name}.sources.", p.sources)) for p in gig.performers
    )
    return replace(gig, performers=performers, lines=settle("line.", gig.lines))
