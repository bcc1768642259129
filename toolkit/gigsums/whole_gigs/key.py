"""The key of a whole-gig problem: what each ledger takes, the verdict, the cheapest ways to it, all by the engine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from gigsums.formulas.timing import speed_of_sound
from gigsums.gig import Desk, Gig, Policy, Reason, Zone, load_policy
from gigsums.sizing import Answer, Fit, Ledger, fit, needs, questions, smallest_changes
from gigsums.sizing.ledgers import zone_delay_ms

from .answers import labels_of


@dataclass(frozen=True)
class KeyCount:
    """One number that is asked for.

    Attributes
    ----------
    label : str
        What is counted, and where.
    need : float
        What is right.
    reasons : tuple of Reason
        Why.
    ledger : Ledger or None
        The ledger it stands for.
    unit : str
        "ms" for a delay; empty for a count.
    """

    label: str
    need: float
    reasons: tuple[Reason, ...]
    ledger: Ledger | None = None
    unit: str = ""

    def shown(self) -> str:
        """The number as a person would write it."""
        return f"{self.need:.1f} ms" if self.unit else f"{self.need:g}"


@dataclass(frozen=True)
class Key:
    """What is right.

    Attributes
    ----------
    fit : Fit
        The gig on the desk, as asked.
    answers : tuple of Answer
        The cheapest ways to make it fit, the cheapest first; empty where nothing does.
    word : str
        The verdict in words.
    rows : tuple of KeyCount
        Every count.
    lists : mapping of str to tuple of str
        Ledgers that are short, that are met without spare, that call for something to bring, and the
        unsettled counts that change the verdict.
    """

    fit: Fit
    answers: tuple[Answer, ...]
    word: str
    rows: tuple[KeyCount, ...]
    lists: Mapping[str, tuple[str, ...]]

    @property
    def needs_changes(self) -> bool:
        """Whether something must be changed to make it fit."""
        return bool(self.answers and self.answers[0].changes)


def solve(gig: Gig, desk: Desk, at_hand: tuple[Desk, ...] = ()) -> Key:
    """Work out the key.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk that is planned.
    at_hand : tuple of Desk
        Other desks that could be taken instead.

    Returns
    -------
    Key
    """
    asked = fit(gig, desk)
    answers = tuple(
        one
        for one in smallest_changes(gig, desk, at_hand)
        if one.places and fit(one.gig, one.desk).placement == "fits"
    )
    word = asked.in_words
    if asked.placement != "fits":
        word = "fits with changes" if answers else "does not fit"
    lists = lists_of(asked.ledgers) | {"ask": tuple(q.name for q in questions(gig, desk) if q.matters)}
    return Key(asked, answers, word, tuple(_rows(gig, asked)), lists)


def lists_of(ledgers: Sequence[Ledger]) -> dict[str, tuple[str, ...]]:
    """The ledgers that decide a verdict, by name: short, met without spare, short of something to bring.

    Parameters
    ----------
    ledgers : sequence of Ledger
        The ledgers.

    Returns
    -------
    dict of str to tuple of str
    """
    return {
        "short": tuple(r.label for r in ledgers if r.blocks and r.state == "short"),
        "no_spare": tuple(r.label for r in ledgers if r.state == "met without spare"),
        "bring": tuple(r.label for r in ledgers if not r.blocks and r.state == "short"),
    }


def _rows(gig: Gig, asked: Fit) -> Iterator[KeyCount]:
    counted = needs(gig)
    if gig.mixes:
        for label in ("monitor mixes", "monitor buses"):
            row = counted.row(label)
            yield KeyCount(label, row.count, (row.reason,))
    talkback = [row for row in asked.ledgers if row.key == "talkback"]
    for ledger in (*talkback, *(row for row in asked.ledgers if row.key not in ("talkback", "minutes"))):
        yield KeyCount(ledger.label, ledger.need, ledger.reasons, ledger)
    policy = gig.policy or load_policy()
    for zone in gig.zones:
        if zone.distance_m is not None and zone.wants_own_path:
            yield KeyCount(f"{zone.name} delay", *_delay(zone, gig, policy), unit="ms")


def _delay(zone: Zone, gig: Gig, policy: Policy) -> tuple[float, tuple[Reason, ...]]:
    """The setting of a zone, and how it comes about [ms]."""
    assert zone.distance_m is not None
    setting = zone_delay_ms(zone, gig, policy)
    cold = policy.delay.coldest_c if gig.venue.coldest_c is None else gig.venue.coldest_c
    apart, speed = zone.distance_m.main - zone.distance_m.own, float(speed_of_sound(cold))
    way = f"{apart:g} m at {speed:.1f} m/s, air of {cold:g} °C, in ms"
    terms = ((way, round(setting - policy.delay.offset_ms, 1)), ("offset", policy.delay.offset_ms))
    rule = "main distance less own distance, in the coldest air, and the offset that keeps the mains first"
    return setting, (Reason(rule, ("distance_m",), terms, round(sum(term for _, term in terms), 1)),)


def as_answers(key: Key, safety: Mapping[str, str]) -> dict[str, Any]:
    """The key as somebody would fill it in.

    Parameters
    ----------
    key : Key
        What is right.
    safety : mapping of str to str
        What is right for each question about safe working.

    Returns
    -------
    dict
        A table as an answer file has it.
    """
    best = key.answers[0] if key.answers else None
    return {
        "format": 1,
        "counts": {row.label: row.shown() for row in key.rows},
        "verdict": {"word": key.word, **{name: list(each) for name, each in key.lists.items()}},
        "changes": {
            "rows": [{"kind": c.kind, "item": c.item, "to": c.to} for c in (best.changes if best else ())]
        },
        "placement": {"rows": _place_rows(best) if best else []},
        "inputs": {"rows": list(_input_rows(key.fit.gig))},
        "safety": dict(safety),
    }


def _place_rows(best: Answer) -> list[dict[str, Any]]:
    rows: dict[tuple[str, str, str, str], list[int]] = {}
    labels = labels_of(best.gig)
    for place in best.places:
        rows.setdefault((labels[place.item], place.on, place.at, place.tap), []).append(place.number)
    return [
        {"item": item, "on": on, "at": at, "number": numbers, **({"tap": tap} if tap else {})}
        for (item, on, at, tap), numbers in rows.items()
    ]


def _input_rows(gig: Gig) -> Iterator[dict[str, Any]]:
    channel = 1
    mixes = [mix.name for mix in gig.mixes]
    labels = labels_of(gig)
    for path, source in gig.sources:
        numbers = list(range(channel, channel + source.channels))
        channel += len(numbers)
        row: dict[str, Any] = {
            "channel": numbers,
            "source": labels[path],
            "by": source.by,
            "phantom": source.phantom == "needed",
            "at": source.at,
        }
        if not source.to_mains:
            row["to"] = [
                name for name in mixes if source.heard_in is None or name in source.heard_in
            ] or mixes
        yield row
