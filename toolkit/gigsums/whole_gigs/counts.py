"""Counts marked with carry-forward: a slip costs once, and what follows from it counts as right."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from gigsums.gig import Desk, Gig
from gigsums.practice import monitors, stages
from gigsums.practice.marking import as_usual, in_figures, readings
from gigsums.practice.problems import Answer, Part
from gigsums.practice.wording import listed, short
from gigsums.quantities import DELAY, NotUnderstood
from gigsums.sizing import demand, needs
from gigsums.sizing.buses import BusNeed, count_pairs
from gigsums.sizing.ledgers import bus_need, routes

from .cells import plain
from .key import Key, Row
from .rules import Marks

RIGHT, CARRIED, WRONG, BLANK, MALFORMED = "right", "carried forward", "wrong", "not answered", "not read"


@dataclass(frozen=True)
class CountMark:
    """One count as it was marked.

    Attributes
    ----------
    label : str
        What is counted.
    state : str
        ``"right"``, ``"carried forward"``, ``"wrong"``, ``"not answered"`` or ``"not read"``.
    given : float or None
        What it was read as.
    note : str
        Why, where there is something to say.
    """

    label: str
    state: str
    given: float | None = None
    note: str = ""

    @property
    def good(self) -> bool:
        """Whether it earns its mark."""
        return self.state in (RIGHT, CARRIED)


@dataclass(frozen=True)
class _Slip:
    """A mistake people really make: what every count would come to, and a hint."""

    hint: str
    counts: Mapping[str, float]


def mark_counts(gig: Gig, key: Key, given: Mapping[str, str], marks: Marks) -> tuple[CountMark, ...]:
    """Mark every count.

    Parameters
    ----------
    gig : Gig
        The gig.
    key : Key
        What is right.
    given : mapping of str to str
        What was typed, by label; letter case does not matter.
    marks : Marks
        For how far off a delay may be.

    Returns
    -------
    tuple of CountMark
        In the order of the key.
    """
    typed: dict[str, str] = {}
    twice: set[str] = set()
    for label, text in given.items():
        if typed.setdefault(plain(label), text) != text:
            twice.add(plain(label))
    found: dict[str, float] = {}
    said: dict[str, CountMark] = {}
    for row in key.rows:
        text = typed.get(plain(row.label), "")
        if not text:
            said[row.label] = CountMark(row.label, BLANK)
            continue
        if plain(row.label) in twice:
            said[row.label] = CountMark(row.label, MALFORMED, None, "two different answers stand there")
            continue
        try:
            found[row.label] = _number(text, row)
        except NotUnderstood as error:
            said[row.label] = CountMark(row.label, MALFORMED, None, f"{error.why}: “{short(text)}”")
    return _Carrier(gig, key, found, marks).marked(said)


def unknown_labels(key: Key, given: Mapping[str, str]) -> tuple[str, ...]:
    """Labels that no count has.

    Parameters
    ----------
    key : Key
        What is right.
    given : mapping of str to str
        What was typed, by label.

    Returns
    -------
    tuple of str
    """
    known = {plain(row.label) for row in key.rows}
    return tuple(label for label in given if plain(label) not in known)


def _number(typed: str, row: Row) -> float:
    """What was typed, read as a question would read it; of "5/6", need and have, the need."""
    if row.unit:
        delays = readings(typed, Answer((Part(0.0, DELAY, given_in="ms"),)))
        return min((float(each[0]) for each in delays), key=lambda value: abs(value - row.need))
    text = in_figures(as_usual(typed))
    if pair := _NEED_AND_HAVE.search(text):
        text = f"{text[: pair.start()]} {pair[1] or pair[2]}"
    text = _BEHIND.sub("", text)
    return float(readings(text, Answer((Part(0, name=plain(row.label)),)))[0][0])


_NEED_AND_HAVE = re.compile(
    r"\b([0-9]+)\s*(?:/|\b(?:out )?of\b)\s*[0-9]+\b.*|\bneed\w*\W+([0-9]+)\W+(?:and\W+)?ha(?:ve|s)\W+[0-9]+\b.*",
    re.DOTALL,
)
_BEHIND = re.compile(
    r"(?<=[0-9])(?:\.0\b)?(?:\s+(?!(?:or|to|and|plus|minus|less|dozen|hundred|thousand)\b)[a-z() -]*)?$"
)
"""What stands behind a number and only says what it counts."""


class _Carrier:
    """Knows what follows from what, so that a count can be worked out again from those before it."""

    def __init__(self, gig: Gig, key: Key, found: dict[str, float], marks: Marks) -> None:
        self.gig, self.desk, self.found, self.marks = gig, key.fit.desk, found, marks
        self.rows = key.rows
        self.key = {row.label: row.need for row in key.rows}
        self.where = {row.label: row.ledger for row in key.rows if row.ledger}
        self.slips = _slips(gig, self.desk)
        self.made: list[_Slip] = []

    def off(self, *labels: str) -> float:
        """How far the counts of those labels are off together."""
        return sum(self.found[label] - self.key[label] for label in labels if label in self.found)

    def labels(self, *keys: str) -> list[str]:
        return [label for label, ledger in self.where.items() if ledger.key in keys]

    def before(self, row: Row) -> list[str]:
        """The same ledger in the places that come before, so that of two places only the later one follows."""
        assert row.ledger is not None
        same = self.labels(row.ledger.key)
        return same[: same.index(row.label)]

    def marked(self, said: dict[str, CountMark]) -> tuple[CountMark, ...]:
        for row in self.rows:
            if row.label in said:
                continue
            given = self.found[row.label]
            said[row.label] = self.delay(row, given) if row.unit else self.count(row, given)
        return tuple(said[row.label] for row in self.rows)

    def delay(self, row: Row, given: float) -> CountMark:
        offset = self.gig.policy.delay.offset_ms if self.gig.policy else 0.0
        near = self.marks.delay_percent / 100 * row.need
        if abs(given - row.need) <= near:
            return CountMark(row.label, RIGHT, given)
        if offset and abs(given - (row.need - offset)) <= near:
            note = f"the offset of {offset:g} ms that keeps the mains first is still to be added"
            return CountMark(row.label, RIGHT, given, note)
        paths = self._whole_paths_ms(row, row.need - offset)
        if any(abs(given - each - more) <= near for each in paths for more in (0, offset)):
            note = "only the difference of the two paths counts, both to the same listener"
            return CountMark(row.label, WRONG, given, note)
        return CountMark(row.label, WRONG, given)

    def _whole_paths_ms(self, row: Row, difference_ms: float) -> list[float]:
        """How long sound takes along either path to a zone's listener, and along both."""
        zone = next(zone for zone in self.gig.zones if row.label.startswith(f"{zone.name} "))
        assert zone.distance_m is not None
        main, own = zone.distance_m.main, zone.distance_m.own
        return (
            [length * difference_ms / (main - own) for length in (main, own, main + own)]
            if main > own
            else []
        )

    def count(self, row: Row, given: float) -> CountMark:
        if given == row.need:
            return CountMark(row.label, RIGHT, given)
        same = [slip for slip in self.made if slip.counts.get(row.label) == given]
        if same or given in self.follows(row):
            return CountMark(row.label, CARRIED, given, "it follows from what was counted before")
        shown = [slip for slip in self.slips if slip.counts.get(row.label) == given]
        slips = [slip for slip in shown if self.shows_before(slip, row)]
        self.made += slips
        return CountMark(row.label, WRONG, given, slips[0].hint if len(slips) == 1 else "")

    def shows_before(self, slip: _Slip, row: Row) -> bool:
        """Whether every count answered before has what the slip makes of it, so that it can be this slip."""
        before = self.rows[: self.rows.index(row)]
        changed = {label for label, count in slip.counts.items() if count != self.key.get(label)}
        return all(
            self.found[each.label] == slip.counts[each.label]
            for each in before
            if each.label in changed and each.label in self.found
        )

    def follows(self, row: Row) -> set[float]:
        """What a count would be, worked out from what was answered for those it rests on."""
        need, ledger = row.need, row.ledger
        if row.label == "monitor buses":
            widths = {1, *(mix.width for mix in self.gig.mixes if mix.fed_by == "bus")}
            return {need + width * self.off("monitor mixes") for width in widths} - {need}
        if ledger is None:
            return set()
        mixes, inside = self.off("monitor buses"), self.desk.effects.send == "own"
        after: set[float] = set()
        if ledger.key in ("preamps", "outputs") and ledger.where != "all":
            after = {need - self.off(*self.before(row))}  # what was put in a place before is not here
        if ledger.key == "preamps" and ledger.where == self.desk.input_place("desk"):
            after |= {need + self.off("talkback")}
        elif ledger.key == "strips":
            wide = self.desk.stereo_takes if self.desk.digital else 1
            single = self.off(*self.labels("preamps", "line inputs"))
            after = {
                need + single + wide * self.off(*self.labels("stereo inputs")),
                need + self.off("talkback"),
            }
        elif ledger.key == "buses":
            after = {need + mixes + (0 if inside else self.off("effects")), need + mixes}
        elif ledger.key == "bus pairs":
            after = set(self.pairs())
        elif ledger.key == "outputs" and ledger.where == "all":
            after = {need + self.off(*(one for one in self.labels("outputs") if one != row.label))}
        elif ledger.key == "outputs":
            after |= {need + self.off("buses")}
            if any(self.desk.output_place(mix.at) == ledger.where for mix in self.gig.mixes):
                after |= {need + mixes}
        elif ledger.key == "equalisers":
            after = {need + mixes}
        elif ledger.key == "inserts":
            units = [self.off("compressors"), self.off("gates")]
            after = {need + units[0], need + units[1], need + sum(units)}
        elif ledger.key in ("tracks", "direct outs") and any(
            feed.carries == "each source" for feed in self.gig.feeds
        ):
            lines = self.off(*self.labels("preamps", "line inputs"))
            after = {need + lines + 2 * self.off(*self.labels("stereo inputs"))}
        return after - {need}

    def pairs(self) -> Iterator[float]:
        """Pairs for the buses as they were counted: the stray ones mono or stereo, before or after the fader."""
        stray = int(self.off("buses"))
        if not stray:
            return
        asked = bus_need(self.gig, self.desk, routes(self.gig, self.desk))
        buses = [bus for bus in self.desk.buses() if bus.kind == "aux"]
        for need in _with_stray(asked, stray):
            if min(need.stereo_pre, need.mono_pre, need.stereo_post, need.mono_post, need.sends) >= 0:
                yield float(count_pairs(need, buses).taken)


def _with_stray(need: BusNeed, stray: int) -> Iterator[BusNeed]:
    yield replace(need, mono_pre=need.mono_pre + stray)
    yield replace(need, mono_post=need.mono_post + stray)
    yield replace(need, stereo_pre=need.stereo_pre + stray, mono_pre=need.mono_pre - stray)
    if stray % 2 == 0:
        yield replace(need, stereo_pre=need.stereo_pre + stray // 2)


@lru_cache(maxsize=32)
def _slips(gig: Gig, desk: Desk) -> tuple[_Slip, ...]:
    """The counts of people who see the gig otherwise, by the engine; kept, as a class is marked on one gig."""
    seen: Iterable[tuple[Gig, str]] = (
        (monitors.boxes_as_mixes(gig), "boxes that play the same thing are one mix"),
        (monitors.people_as_mixes(gig), "people who share a mix take one between them"),
        (monitors.in_mono(gig, "in-ears"), "left and right in the ears are two signals"),
        (monitors.in_mono(gig, "in-ears", "wedge", "side fill", "drum fill", "shaker", "cue"), "a stereo mix takes two"),
        (stages.with_each_source(gig, stereo=lambda s: False), "left and right are two channels"),
        (stages.with_each_source(gig, level=lambda s: "line" if s.by == "DI" else s.level),
         "what comes out of a DI box is at microphone level"),
        (stages.with_each_source(gig, count=lambda s: 1), "some of these stand there more than once"),
        (replace(gig, talkback=False), "somebody has to speak to the stage"),
        (replace(gig, effects=()), "effects have to be fed, and some come back on channels"),
        (replace(gig, zones=tuple(replace(z, fed_from="mains") for z in gig.zones)), "zones have ways of their own"),
        (replace(gig, feeds=()), "feeds leave by outputs too"),
    )  # fmt: skip
    slips: list[_Slip] = []
    known = [gig]
    for other, hint in seen:
        if other in known:
            continue
        known.append(other)
        counts: dict[str, float] = {row.label: row.need for row in demand(other, desk).ledgers}
        counted = needs(other)
        counts |= {label: counted[label] for label in ("monitor mixes", "monitor buses")}
        if alike := [slip for slip in slips if slip.counts == counts]:  # nobody can say which of them it was
            slips[slips.index(alike[0])] = _Slip(f"{alike[0].hint}, and {hint}", counts)
        else:
            slips.append(_Slip(hint, counts))
    return tuple(slips)


def carried_note(marks: Iterable[CountMark]) -> str:
    """One line about what was carried forward; empty where nothing was.

    Parameters
    ----------
    marks : iterable of CountMark
        Counts as marked.

    Returns
    -------
    str
    """
    names = [one.label for one in marks if one.state == CARRIED]
    return f"Carried forward, so that the slip costs once: {listed(names)}." if names else ""
