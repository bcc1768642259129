"""A whole gig marked, part by part: a slip costs once, any legal way is right, and what is dangerous caps the marks."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from gigsums.gig import Desk, Gig, Source, load_policy
from gigsums.practice import misread
from gigsums.practice.marking import CARE, CHANGES, FITS, REFUSED, as_usual, in_figures, readings
from gigsums.practice.problems import Part, RightAnswer
from gigsums.practice.safety import Danger, SafetyQuestion, dangers_said
from gigsums.practice.wording import as_markdown, bullets, listed, sentence, short
from gigsums.quantities import DELAY, NotUnderstood
from gigsums.sizing import Answer, Fit, Place, check_placement, demand, fit, needs, together
from gigsums.sizing.buses import BusNeed, count_pairs
from gigsums.sizing.ledgers import bus_need, routes

from .answers import Given, GivenInput, GivenPlace, NotPossible, item_named, items_of, plain
from .changes import Applied, apply_changes
from .files import SECTIONS, Marks
from .key import Key, KeyCount, lists_of
from .sheet import OpenGig

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


def mark_counts(key: Key, given: Mapping[str, str], marks: Marks) -> tuple[CountMark, ...]:
    """Mark every count.

    Parameters
    ----------
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
    typed: dict[str, set[str]] = defaultdict(set)
    for label, text in given.items():
        typed[plain(label)].add(text)
    said = {}
    found: dict[str, float] = {}
    for row in key.rows:
        texts = typed[plain(row.label)]
        text = min(texts, default="")
        why = "two different answers stand there" if texts else ""
        if len(texts) == 1:
            try:
                found[row.label] = _number(text, row)
            except NotUnderstood as error:
                why = f"{error.why}: “{short(text)}”"
        said[row.label] = CountMark(row.label, MALFORMED if texts else BLANK, None, why)
    carrier = _Carrier(key, found, marks)
    return tuple(carrier.mark(row) if row.label in found else said[row.label] for row in key.rows)


def _number(typed: str, row: KeyCount) -> float:
    """What was typed, read as a question would read it; of "5/6", need and have, the need."""
    if row.unit:
        delays = readings(typed, RightAnswer((Part(0.0, DELAY, given_in="ms"),)))
        return min((float(each[0]) for each in delays), key=lambda value: abs(value - row.need))
    text = in_figures(as_usual(typed))
    if pair := _NEED_AND_HAVE.search(text):
        text = f"{text[: pair.start()]} {pair[1] or pair[2]}"
    text = _BEHIND.sub("", text)
    return float(readings(text, RightAnswer((Part(0, name=plain(row.label)),)))[0][0])


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

    def __init__(self, key: Key, found: Mapping[str, float], marks: Marks) -> None:
        self.gig, self.desk, self.found, self.marks, self.rows = (
            key.fit.gig,
            key.fit.desk,
            found,
            marks,
            key.rows,
        )
        self.key = {row.label: row.need for row in key.rows}
        self.slips = _slips(self.gig, self.desk)
        self.made: list[tuple[str, Mapping[str, float]]] = []

    def off(self, *labels: str) -> float:
        """How far the counts of those labels are off together."""
        return sum(self.found[label] - self.key[label] for label in labels if label in self.found)

    def off_all(self, *keys: str) -> float:
        """The same for all ledgers of a kind, wherever they are."""
        return self.off(*(row.label for row in self.rows if row.ledger and row.ledger.key in keys))

    def mark(self, row: KeyCount) -> CountMark:
        """Mark a count that was read; to be called in the order of the key."""
        given, label = self.found[row.label], row.label
        if row.unit:
            return CountMark(label, *self.delay(row, given))
        if given == row.need:
            return CountMark(label, RIGHT, given)
        same = any(counts.get(label) == given for _, counts in self.made)
        if same or given in self.follows(row):
            return CountMark(label, CARRIED, given, "it follows from what was counted before")
        slips = [(hint, counts) for hint, counts in self.slips if counts.get(label) == given]
        slips = [slip for slip in slips if self.shows_before(slip[1], row)]
        self.made += slips
        return CountMark(label, WRONG, given, slips[0][0] if len(slips) == 1 else "")

    def delay(self, row: KeyCount, given: float) -> tuple[str, float, str]:
        """State, number and note of a delay; what is short of the offset is right, and whole paths are known [ms]."""
        offset = self.gig.policy.delay.offset_ms if self.gig.policy else 0.0
        zone = next(zone for zone in self.gig.zones if row.label.startswith(f"{zone.name} "))
        assert zone.distance_m is not None
        main, own = zone.distance_m.main, zone.distance_m.own
        apart = row.need - offset

        def near(*sought: float) -> bool:
            return any(abs(given - one) <= self.marks.delay_percent / 100 * row.need for one in sought)

        if near(row.need):
            return RIGHT, given, ""
        if offset and near(apart):
            note = f"the offset of {offset:g} ms that keeps the mains first is still to be added"
            return RIGHT, given, note
        paths = [length * apart / (main - own) for length in (main, own, main + own)] if main > own else []
        whole = near(*paths, *(path + offset for path in paths))
        return WRONG, given, "only the difference of the two paths counts, both to the same listener" * whole

    def shows_before(self, counts: Mapping[str, float], row: KeyCount) -> bool:
        """Whether every count answered before has what a slip makes of it, so that it can be this slip."""
        before = [one.label for one in self.rows[: self.rows.index(row)] if one.label in self.found]
        return all(
            self.found[label] == counts[label]
            for label in before
            if label in counts and counts[label] != self.key[label]
        )

    def follows(self, row: KeyCount) -> set[float]:
        """What a count would be, worked out from what was answered for those it rests on."""
        need, ledger, mixes = row.need, row.ledger, self.off("monitor buses")
        if row.label == "monitor buses":
            widths = {1, *(mix.width for mix in self.gig.mixes if mix.fed_by == "bus")}
            return {need + width * self.off("monitor mixes") for width in widths} - {need}
        if ledger is None:
            return set()
        if ledger.key == "bus pairs":
            return set(self.pairs()) - {need}
        same = [one.label for one in self.rows if one.ledger and one.ledger.key == ledger.key]
        before = (
            0 if ledger.where == "all" else -self.off(*same[: same.index(row.label)])
        )  # put in a place before, not here
        lines, stereo = self.off_all("preamps", "line inputs"), self.off_all("stereo inputs")
        wide = self.desk.stereo_takes if self.desk.digital else 1
        inside = self.desk.effects.send == "own"
        units = self.off("compressors"), self.off("gates")
        each = lines + 2 * stereo if any(feed.carries == "each source" for feed in self.gig.feeds) else 0
        at_desk = ledger.where == self.desk.input_place("desk")
        heard_here = any(self.desk.output_place(mix.at) == ledger.where for mix in self.gig.mixes)
        outputs = (before, self.off("buses"), mixes if heard_here else 0)
        rests_on: Mapping[str, tuple[float, ...]] = {
            "preamps": (before, self.off("talkback") if at_desk else 0),
            "strips": (lines + wide * stereo, self.off("talkback")),
            "buses": (mixes, mixes + (0 if inside else self.off("effects"))),
            "outputs": (self.off(*same) - self.off(row.label),) if ledger.where == "all" else outputs,
            "equalisers": (mixes,),
            "inserts": (*units, sum(units)),
            "tracks": (each,),
            "direct outs": (each,),
        }
        return {need + off for off in rests_on.get(ledger.key, ())} - {need}

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
def _slips(gig: Gig, desk: Desk) -> tuple[tuple[str, Mapping[str, float]], ...]:
    """A hint and all counts of people who see the gig otherwise, by the engine; kept, as a class is marked on one gig."""
    slips: list[tuple[str, Mapping[str, float]]] = []
    known = [gig]
    for misreading in misread.IN_A_WHOLE_GIG:
        other, hint = misreading.seen(gig), misreading.truth
        if other in known:
            continue
        known.append(other)
        counted = needs(other)
        counts = {row.label: row.need for row in demand(other, desk).ledgers}
        counts |= {label: counted[label] for label in ("monitor mixes", "monitor buses")}
        same = next((n for n, slip in enumerate(slips) if slip[1] == counts), None)
        if same is None:
            slips.append((hint, counts))
        else:  # nobody can say which of them it was
            slips[same] = (f"{slips[same][0]}, and {hint}", counts)
    return tuple(slips)


MOST_FAULTS = 12
MOST_NAMED = 3
"""Faults of a placement that are slips one by one; with more of them it is one slip."""
SAID = {
    "short": "short as asked",
    "no_spare": "met without the spare that the house wants",
    "bring": "to be brought besides",
    "ask": "to be asked because it changes the verdict",
}


@dataclass(frozen=True)
class Slipped:
    """Where an answer went wrong, in words that are the same for everybody who went wrong there.

    Attributes
    ----------
    name : str
        What was answered otherwise.
    hint : str
        What to look at again.
    """

    name: str
    hint: str = ""


@dataclass
class Share:
    """One section while it is marked.

    Attributes
    ----------
    share : float
        How much of its marks it earns, 0 to 1 [-].
    counted : bool
        Whether the problem asks for it at all; its marks go to the others where it does not.
    carried : bool
        Whether it is right only by what was counted before.
    messages : list of str
        What to tell whoever answered.
    slips : list of Slipped
        Where it went wrong; what was left empty is no slip.
    """

    share: float = 0.0
    counted: bool = True
    carried: bool = False
    messages: list[str] = field(default_factory=list)
    slips: list[Slipped] = field(default_factory=list)

    def say(self, message: str, slip: str = "", hint: str = "") -> Share:
        """The same, with something to tell whoever answered, and the slip where it is one."""
        self.messages.append(message)
        self.slips += [Slipped(slip, hint)] if slip else []
        return self


def mark_verdict(key: Key, given: Given, counts: Sequence[CountMark], marks: Marks) -> Share:
    """Mark the word and the ledgers that decide it, against the key and against the answerer's own counts.

    Parameters
    ----------
    key : Key
        What is right.
    given : Given
        What was answered.
    counts : sequence of CountMark
        The counts as marked.
    marks : Marks
        The shares.

    Returns
    -------
    Share
    """
    own_lists, own_words = _own_verdict(key, counts)
    part, word = Share(), 0.0
    if not given.word:
        if not any(given.lists.values()):
            return part.say("No verdict is given.")
        part.say("The verdict's word is missing; what was named beside it counts.")
    elif given.word == key.word:
        word = 1.0
    elif given.word in own_words:
        word, part.carried = 1.0, True
        part.say(f"“{given.word}” follows from your counts, so it costs nothing more; the gig {key.word}.")
    elif {given.word, key.word} == {FITS, CARE}:
        word = marks.near / 100
        told = "It fits, and something asks for care." if key.word == CARE else "Nothing here asks for care."
        part.say(told, "verdict: fits, or fits with care", told)
    else:
        told = f"“{given.word}” is not what these numbers come to."
        part.say(told, "verdict: another word", "hold each count against what the desk has")
    named = _mark_lists(part, key, given, own_lists)
    part.share = (1 - marks.reasons / 100) * word + marks.reasons / 100 * named
    return part


def _mark_lists(part: Share, key: Key, given: Given, own: Mapping[str, tuple[str, ...]]) -> float:
    """How well the ledgers were named: 1 for all of them and no other."""
    scores: list[float] = []
    for name, listed_right in key.lists.items():
        named = {_ledger(one): one for one in given.lists.get(name, ())}
        right = set(map(_ledger, listed_right))
        if not right and not named and not own.get(name):
            continue
        score = _agreement(set(named), right)
        mine = _agreement(set(named), set(map(_ledger, own.get(name, listed_right))))
        part.carried |= mine > score
        scores.append(max(score, mine))
        if scores[-1] < 1:
            missing, beside = (
                len(right - set(named)),
                [short(named[one]) for one in named if one not in right],
            )
            words = [f"{missing} missing"] if missing else []
            words += [f"{listed(beside)} {'is' if len(beside) == 1 else 'are'} not"] if beside else []
            told = f"{sentence(SAID[name])}: {', '.join(words)}."
            part.say(told, f"verdict: {SAID[name]}", "need, have and spare, ledger by ledger")
    return sum(scores) / len(scores) if scores else 1.0


def _ledger(text: str) -> str:
    """A ledger's name as it is compared: "preamps at the stage" and "Buses (7/6)" name preamps (stage) and buses."""
    named = re.sub(r"[\s:(]*[0-9]+\s*(?:/|(?:out )?of)\s*[0-9]+\s*\)?\s*$", "", text)
    return " ".join(word for word in plain(named).split() if word not in ("at", "on", "in", "the"))


def _agreement(given: set[str], right: set[str]) -> float:
    if not right:
        return 1.0 if not given else 0.0
    return max(0.0, (len(given & right) - len(given - right)) / len(right))


def _own_verdict(key: Key, counts: Sequence[CountMark]) -> tuple[dict[str, tuple[str, ...]], set[str]]:
    """What the answerer's own counts come to: the lists, and the words that agree with them."""
    spares = (key.fit.gig.policy or load_policy()).spares
    wanted = {"preamps": spares.inputs, "outputs": spares.outputs}
    given = {one.label: one.given for one in counts}
    ledgers = [row for row in key.fit.ledgers if row.key == "minutes"]
    for ledger in (row.ledger for row in key.rows if row.ledger):
        need = given[ledger.label]
        if need is not None and need != ledger.need:
            spare = wanted[ledger.key](int(need)) if ledger.key in wanted else ledger.spare_wanted
            ledger = replace(ledger, need=need, spare_wanted=spare)
        ledgers.append(ledger)
    lists = lists_of(ledgers)
    if all(set(lists[name]) == set(key.lists[name]) for name in lists):
        return lists, set()
    if lists["short"]:
        return lists, {CHANGES, REFUSED}
    if not key.lists["short"] and key.fit.placement != "fits":
        return lists, set()
    others = len(key.fit.cares) > len(key.lists["no_spare"]) + len(key.lists["bring"])
    return lists, {CARE if lists["no_spare"] or lists["bring"] or others else FITS}


def mark_changes(key: Key, given: Given, at_hand: Sequence[Desk], marks: Marks) -> tuple[Share, Applied]:
    """Mark the changes by making them: any that let it fit are right, the cheapest earn full marks.

    Parameters
    ----------
    key : Key
        What is right.
    given : Given
        What was answered.
    at_hand : sequence of Desk
        Other desks that could be taken instead.
    marks : Marks
        The shares.

    Returns
    -------
    tuple of (Share, Applied)
        The mark, and the gig and desk as those changes leave them.
    """
    done = _as_placed(apply_changes(key.fit.gig, key.fit.desk, given.changes, at_hand), given)
    part = Share(counted=key.needs_changes, messages=[f"{sentence(why)}." for why in done.refused])
    if done.refused:
        agreed = "changes: one that nobody agreed to, or that is not there"
        part.slips.append(Slipped(agreed, "who gives what up, and who said so"))
    if not key.needs_changes:
        if done.changes and key.answers:
            told = "It fits as asked: none of these changes is needed."
            part.say(told, "changes: none is needed", "the verdict comes first")
        return part, done
    if not given.changes:
        return Share().say("No change is given, and it does not fit as asked."), done
    after, least = _fitted(done.gig, done.desk), key.answers[0].points
    if after.placement != "fits":
        left = lists_of(after.ledgers)["short"]
        told = f"With these changes it still does not fit{f': short of {listed(left)}' if left else ''}."
        part.say(told, "changes: it still does not fit", "count again with the changes made")
        part.share = marks.unfinished / 100 * _overlap(done, key.answers)
    elif done.points > least:
        told = f"These changes make it fit at {done.points} points; there is a way at {least}."
        part.say(told, "changes: dearer than need be", "compare the house's prices")
        part.share = marks.dearer / 100
    else:
        part.share = 1.0
    return part, done


def _as_placed(done: Applied, given: Given) -> Applied:
    """The changes on those units of counted sources for which the placement is legal, else on any for which it fits."""
    if not done.otherwise:
        return done
    readings = [replace(done, gig=gig, otherwise=()) for gig in (done.gig, *done.otherwise)]
    for one in readings:
        places, odd = read_places(given.places, one.gig, one.desk)
        if not odd and check_placement(one.gig, one.desk, places).legal:
            return one
    return next((one for one in readings if _fitted(one.gig, one.desk).placement == "fits"), done)


@lru_cache(maxsize=64)
def _fitted(gig: Gig, desk: Desk) -> Fit:
    """Sized once for all who make the same changes."""
    return fit(gig, desk)


def _overlap(done: Applied, answers: Sequence[Answer]) -> float:
    """The share of an answer's changes that were found, for the answer where that is most."""
    mine, *each = (
        Counter((one.kind, one.item) for one in way) for way in (done.changes, *(a.changes for a in answers))
    )
    return max((mine & one).total() / max(one.total(), mine.total()) for one in each)


def mark_placement(key: Key, given: Given, done: Applied, marks: Marks) -> Share:
    """Mark the placement: any legal one is right, and the cheapest earns full marks.

    Parameters
    ----------
    key : Key
        What is right.
    given : Given
        What was answered.
    done : Applied
        The gig and the desk with the answerer's own changes made.
    marks : Marks
        The shares.

    Returns
    -------
    Share
    """
    part = Share(counted=bool(key.answers))
    if not key.answers:
        return part
    if not given.places:
        return part.say("Nothing is placed.")
    places, unknown = read_places(given.places, done.gig, done.desk)
    least = key.answers[0].points
    judged = check_placement(done.gig, done.desk, places)
    if judged.legal and not unknown:
        part.share = 1.0
        part.messages += [f"Legal, and a care: {care.text()}." for care in dict.fromkeys(judged.cares)]
        if done.points > least:
            part.share = marks.dearer / 100
            part.say(f"Legal, at {done.points} points; there is a way at {least}.")
        return part
    for answer in key.answers:
        others, odd = read_places(given.places, answer.gig, answer.desk)
        if not odd and check_placement(answer.gig, answer.desk, others).legal:
            words = "; ".join(said for _, said in together(answer.changes))
            part.share = 1.0 if answer.points <= least else marks.dearer / 100
            slip = "placement: legal only after a change that is not on the list"
            told = f"Legal once something is changed that is not on your list ({words})."
            return part.say(told, slip, "say what you change")
    items = items_of(done.gig)
    spoilt = {cause for fault in judged.faults for cause in fault.causes}
    rules = [f"placement: {rule}" for rule in dict.fromkeys(fault.rule for fault in judged.faults)]
    if len(rules) > MOST_NAMED:
        rules = ["placement: unfinished, or far from legal"]
    rules += ["placement: a thing or a place that is not there"] if unknown else []
    said = [*unknown, *dict.fromkeys(f"{sentence(fault.text())}." for fault in judged.faults)]
    more = [f"And {len(said) - MOST_FAULTS} more."] if len(said) > MOST_FAULTS else []
    part.messages = ["This placement is not legal.", *said[:MOST_FAULTS], *more]
    part.slips = [Slipped(rule, "what each thing takes, and where it may sit") for rule in rules]
    part.share = marks.illegal / 100 * sum(path not in spoilt for path in items) / len(items)
    return part


def read_places(rows: Sequence[GivenPlace], gig: Gig, desk: Desk) -> tuple[tuple[Place, ...], list[str]]:
    """Rows of a placement as places, and what could not be understood of them.

    Parameters
    ----------
    rows : sequence of GivenPlace
        The rows.
    gig, desk : Gig, Desk
        What they are about.

    Returns
    -------
    tuple of (tuple of Place, list of str)
    """
    items = items_of(gig)
    places: list[Place] = []
    odd: list[str] = []
    for row in rows:
        try:
            item = item_named(row.item, items)
        except NotPossible as why:
            odd.append(f"Row {row.row}: {why}.")
            continue
        tap = row.tap if row.on == "bus" else ""
        if at := row.at or _only_place(row.on, desk):
            places += [Place(item, row.on, at, number, tap) for number in row.numbers]
        else:
            odd.append(f"Row {row.row} ({items[item]}): say where the {row.on} is, stage or desk.")
    return tuple(places), odd


def _only_place(on: str, desk: Desk) -> str:
    if on in ("bus", "group", "matrix", "effects unit", "track"):
        return "desk"
    sockets = desk.outputs if on in ("output", "record output", "direct out") else desk.inputs
    places = {one.at for one in sockets}
    return places.pop() if len(places) == 1 else ""


_LOOK = "every source once, with its channels, how it is picked up, phantom, and where it is plugged"


def mark_inputs(given: Given, gig: Gig, done: Applied) -> Share:
    """Mark the input list: every channel once, how it is picked up, phantom, and where.

    Parameters
    ----------
    given : Given
        What was answered.
    gig : Gig
        The gig as asked.
    done : Applied
        The gig as the answerer changes it.

    Returns
    -------
    Share
    """
    sources, now = dict(gig.sources), dict(done.gig.sources)
    dropped = {change.item for change in done.changes if change.kind.startswith(("drop", "sub-mixer"))}
    known = {path: source.name for path, source in gig.sources}
    besides = {"talkback", *(f"{e.name}{what}" for e in gig.effects for what in ("", " return"))}
    rows: dict[str, list[GivenInput]] = defaultdict(list)
    part = Share()
    slips: list[str] = []
    for row in given.inputs:
        try:
            rows[item_named(row.source, known)].append(row)
        except NotPossible as why:
            if plain(row.source) not in map(plain, besides):
                part.say(f"Input list, row {row.row}: {why}.")
                slips.append("something that is not in the gig")
    if not rows:
        return Share().say("The input list is empty.")
    twice = [n for n, times in Counter(n for row in given.inputs for n in row.channels).items() if times > 1]
    if twice:
        slips.append("a channel twice")
        again = listed([str(n) for n in sorted(twice)[:5]])
        part.say(f"Input list: channel {again} stands there more than once.")
    earned = 0.0
    for path, source in sources.items():
        if path in rows:
            faults = list(_input_faults(rows[path], source, now.get(path, source), gig, done))
            if faults:
                part.say(f"Input list, {source.name}: look again at {listed(faults)}.")
            slips += faults
            earned += 1 - len(faults) / (4 if source.to_mains else 5)
        elif path in dropped:
            earned += 1
        else:
            part.say(f"Input list: {source.name} is missing.")
            slips.append("a source is missing")
    part.share = max(0.0, earned - 0.5 * len(twice)) / len(sources)
    part.slips = [Slipped(f"input list: {each}", _LOOK) for each in dict.fromkeys(slips)]
    return part


def _input_faults(
    rows: Sequence[GivenInput], source: Source, now: Source, gig: Gig, done: Applied
) -> Iterator[str]:
    """What is wrong with the rows of a source, as it was asked for or as it is now."""
    if sum(len(row.channels) for row in rows) not in (source.channels, now.channels):
        yield "how many channels"
    if any(row.by != source.by for row in rows):
        yield "how it is picked up"
    wanted = source.phantom == "needed"
    if source.phantom != "indifferent" and any(row.phantom is not wanted for row in rows):
        yield "phantom"
    at: set[str] = {source.at, now.at}
    at |= {done.desk.input_place(one) for one in at}
    if any(row.at not in at for row in rows):
        yield "where it is plugged"
    if not source.to_mains and not _sent_right(rows, source, gig, done.gig):
        yield "where it goes"


def _sent_right(rows: Sequence[GivenInput], source: Source, gig: Gig, done: Gig) -> bool:
    """Whether what the audience must never hear goes to mixes that are to have it: to all of those that the gig names."""
    mixes = {mix.name: mix for mix in (*gig.mixes, *done.mixes)}
    named: set[str] = set()
    for to in (to for row in rows for to in row.to):
        try:
            named.add(item_named(to, {f"mix.{name}": name for name in mixes}).removeprefix("mix."))
        except NotPossible:
            meant = {
                name for name, mix in mixes.items() if plain(to) in map(plain, (mix.through, *mix.listeners))
            }
            if not meant:
                return False
            named |= meant
    wanted = set(mixes if source.heard_in is None else source.heard_in)
    still = {mix.name for mix in done.mixes}
    every = source.heard_in is None or wanted & still <= named
    return (bool(named) or not wanted) and named <= wanted and every


def mark_safety(given: Given, questions: Sequence[SafetyQuestion]) -> Share:
    """Mark the questions about safe working.

    Parameters
    ----------
    given : Given
        What was answered.
    questions : sequence of SafetyQuestion
        What was asked.

    Returns
    -------
    Share
    """
    part, right = Share(), 0
    for question in questions:
        text, about = given.safety.get(question.key, ""), f"Safe working, {question.key}"
        chosen = chosen_of(question, text)
        if chosen in question.right:
            right += 1
        elif not text:
            part.say(f"{about}: not answered.")
        elif chosen is None:
            part.say(f"{about}: “{short(text)}” is none of the choices.")
        else:
            part.say(f"{about}: no.", f"safe working: {question.key}", question.asks)
    asked = {question.key for question in questions}
    part.messages += [
        f"Safe working: “{short(key)}” is not asked." for key in given.safety if key not in asked
    ]
    part.share = right / len(questions) if questions else 1.0
    return part


def chosen_of(question: SafetyQuestion, text: str) -> str | None:
    """The choice that somebody meant, by its letter or its words; None if it is none of them.

    Parameters
    ----------
    question : SafetyQuestion
        The question.
    text : str
        What was typed.

    Returns
    -------
    str or None
    """
    for n, choice in enumerate(question.choices):
        letter = chr(ord("a") + n)
        if plain(text) in (letter, plain(choice), f"{letter} {plain(choice)}"):
            return choice
    return None


@dataclass(frozen=True)
class Flag:
    """Something that a person has to look at.

    Attributes
    ----------
    what : str
        What is dangerous.
    where : str
        Where in the answer it stands, with the words.
    caps : bool
        Whether the marks are capped until a person has looked.
    """

    what: str
    where: str
    caps: bool = True

    def text(self) -> str:
        """One line: what, and where it stands."""
        return f"{self.what} ({self.where})"


def dangers(
    gig: Gig, given: Given, questions: Sequence[SafetyQuestion], words: Sequence[Danger]
) -> tuple[Flag, ...]:
    """Everything dangerous in an answer.

    Parameters
    ----------
    gig : Gig
        The gig as asked.
    given : Given
        What was answered.
    questions : sequence of SafetyQuestion
        The questions about safe working.
    words : sequence of Danger
        What is dangerous in somebody's own words.

    Returns
    -------
    tuple of Flag
    """
    found = [*_chosen(given, questions), *_written(given, questions, words), *_phantom(gig, given)]
    return tuple(dict.fromkeys(found))


def _chosen(given: Given, questions: Sequence[SafetyQuestion]) -> Iterator[Flag]:
    for question in questions:
        chosen = chosen_of(question, given.safety.get(question.key, ""))
        if chosen in question.dangerous:
            yield Flag("dangerous as it stands", f"safe working, {question.key}: “{short(chosen or '', 90)}”")


def _written(given: Given, questions: Sequence[SafetyQuestion], words: Sequence[Danger]) -> Iterator[Flag]:
    """What somebody wrote in their own words; what is not plainly meant is for a person to read, and caps nothing."""
    texts = {"notes": given.notes}
    for key, text in given.safety.items():
        if not any(chosen_of(question, text) for question in questions if question.key == key):
            texts[f"safe working, {short(key)}"] = text
    for where, text in texts.items():
        for said in dangers_said(text, words):
            what = said.what if said.plain else f"perhaps {said.what}"
            yield Flag(what, f"{where}: “{short(said.words, 90)}”", said.plain)


def _phantom(gig: Gig, given: Given) -> Iterator[Flag]:
    harmed = {path: source.name for path, source in gig.sources if source.phantom == "forbidden"}
    for row in (row for row in given.inputs if row.phantom):
        with suppress(NotPossible):
            name = harmed[item_named(row.source, harmed)]
            yield Flag(f"phantom would harm {name}", f"input list, row {row.row}", caps=False)


NOTHING = "nothing to answer here, so its marks went to the others"
MOST_SAID = 60
"""Lines of one kind that an answer is told."""
UNSEEN = "A person has to look at this before the marks stand"


@dataclass(frozen=True)
class SectionMark:
    """One section as it was marked.

    Attributes
    ----------
    name : str
        ``"counts"``, ``"allocation"``, ``"verdict"``, ``"remedies"`` or ``"document"``.
    marks, out_of : float
        What it earned, and what it could; 0 out of 0 where the problem has nothing to ask there.
    messages : tuple of str
        What to tell whoever answered.
    carried : bool
        Whether part of it is right only by what was counted before.
    """

    name: str
    marks: float
    out_of: float
    messages: tuple[str, ...] = ()
    carried: bool = False

    def heading(self) -> str:
        """The section's name with its marks."""
        marks = f"{self.marks:g} of {self.out_of:g}" if self.out_of else NOTHING
        return f"{SECTIONS[self.name]}: {marks}"


@dataclass(frozen=True, repr=False)
class WholeMarking:
    """What the answer to a whole-gig problem is worth, and what to say about it.

    Attributes
    ----------
    title : str
        The problem's title.
    sections : tuple of SectionMark
        Marks section by section.
    counts : tuple of CountMark
        Every count as it was marked.
    flags : tuple of Flag
        What a person has to look at.
    malformed : tuple of str
        What could not be read; the rest was marked all the same.
    earned : float
        The marks of all sections together, before any cap.
    cap : float or None
        The most that may be given until a person has looked; None where nothing is dangerous.
    slips : tuple of Slipped
        Where it went wrong, in words that are the same for everybody who went wrong there.
    """

    title: str
    sections: tuple[SectionMark, ...]
    counts: tuple[CountMark, ...]
    flags: tuple[Flag, ...]
    malformed: tuple[str, ...]
    earned: float
    cap: float | None
    slips: tuple[Slipped, ...] = ()

    @property
    def total(self) -> float:
        """The marks given."""
        return self.earned if self.cap is None else min(self.earned, self.cap)

    @property
    def out_of(self) -> float:
        """The marks that could be earned."""
        return round(sum(section.out_of for section in self.sections), 1)

    @property
    def capped(self) -> bool:
        """Whether something dangerous was answered, so that the marks are capped until a person has looked."""
        return self.cap is not None

    @property
    def needs_review(self) -> bool:
        """Whether a person has to look at it."""
        return bool(self.flags)

    @property
    def carried(self) -> tuple[str, ...]:
        """What is right only by what was counted before."""
        named = tuple(one.label for one in self.counts if one.state == CARRIED)
        return (
            *named,
            *(section.name for section in self.sections if section.carried and section.name != "counts"),
        )

    @property
    def messages(self) -> tuple[str, ...]:
        """Everything to tell whoever answered, section by section."""
        said = [f"{SECTIONS[section.name]}: {line}" for section in self.sections for line in section.messages]
        return (*(f"Not read: {fault}" for fault in self.malformed), *said)

    def section(self, name: str) -> SectionMark:
        """One section by its name.

        Parameters
        ----------
        name : str
            The name.

        Returns
        -------
        SectionMark

        Raises
        ------
        KeyError
            If there is none of that name.
        """
        named = {section.name: section for section in self.sections}
        if name not in named:
            raise KeyError(f"no section {name!r}; there are {', '.join(named)}")
        return named[name]

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON, with ``"format": 1``.

        Returns
        -------
        dict
        """
        return {
            "format": 1,
            "title": self.title,
            "total": self.total,
            "out_of": self.out_of,
            "earned": self.earned,
            "capped": self.capped,
            "needs_review": self.needs_review,
            "sections": [vars(section) | {"messages": list(section.messages)} for section in self.sections],
            "counts": [dict(vars(count)) for count in self.counts],
            "carried": list(self.carried),
            "flags": [dict(vars(flag)) for flag in self.flags],
            "malformed": list(self.malformed),
            "slips": [dict(vars(slip)) for slip in self.slips],
        }

    def text(self) -> str:
        """The marking as plain text."""
        return "\n".join([self.title, f"  {self._sum()}", *self._flagged(), *self._lines()])

    def _sum(self) -> str:
        cap = f" (earned {self.earned:g}, capped)" if self.cap is not None and self.earned > self.cap else ""
        return f"{self.total:g} of {self.out_of:g} marks{cap}"

    def _flagged(self) -> list[str]:
        if not self.flags:
            return []
        most = f"; until then at most {self.cap:g}" if self.cap is not None else ""
        return [f"  {UNSEEN}{most}:", *(f"    - {flag.text()}" for flag in self.flags)]

    def _lines(self) -> Iterator[str]:
        yield from (f"  Not read: {fault}" for fault in self.malformed)
        for section in self.sections:
            yield f"  {section.heading()}"
            yield from (f"    - {line}" for line in section.messages)

    def __str__(self) -> str:
        return self.text()

    __repr__ = __str__

    def _repr_markdown_(self) -> str:
        parts = [f"**{as_markdown(self._sum())}**"]
        if self.flags:
            parts.append(
                f"**{as_markdown(self._flagged()[0].strip())}**\n\n{bullets(tuple(f.text() for f in self.flags))}"
            )
        if self.malformed:
            parts.append(f"Not read:\n\n{bullets(self.malformed)}")
        for section in self.sections:
            parts.append("\n\n".join(filter(None, (f"**{section.heading()}**", bullets(section.messages)))))
        return "\n\n".join(parts)


def marked(
    problem: OpenGig, key: Key, questions: Sequence[SafetyQuestion], words: Sequence[Danger], given: Given
) -> WholeMarking:
    """Mark an answer to a whole gig.

    Parameters
    ----------
    problem : OpenGig
        What was asked.
    key : Key
        What is right.
    questions : sequence of SafetyQuestion
        The questions about safe working, with what is right.
    words : sequence of Danger
        What is dangerous in somebody's own words.
    given : Given
        What was answered.

    Returns
    -------
    WholeMarking
    """
    gig, marks = problem.gig, problem.marks
    counts = mark_counts(key, given.counts, marks)
    changes, done = mark_changes(key, given, problem.at_hand, marks)
    safely = mark_safety(given, questions)
    parts = {
        "counts": _counted(key, counts),
        "allocation": mark_placement(key, given, done, marks),
        "verdict": mark_verdict(key, given, counts, marks),
        "remedies": changes,
        "document": _together(
            mark_inputs(given, gig, done), safely, marks.safety / 100 if questions else 0.0
        ),
    }
    flags = dangers(gig, given, questions, words)
    sections, earned = _worth(parts, {name: getattr(marks, name) for name in SECTIONS})
    cap = round(marks.danger / 100 * marks.total, 1) if any(flag.caps for flag in flags) else None
    return WholeMarking(
        problem.title, sections, counts, flags, _malformed(key, given, counts), round(earned, 1), cap,
        tuple(slip for part in parts.values() for slip in part.slips),
    )  # fmt: skip


def _together(inputs: Share, safely: Share, part: float) -> Share:
    share = (1 - part) * inputs.share + part * safely.share
    messages, slips = inputs.messages + safely.messages, inputs.slips + safely.slips
    return Share(share, messages=messages, slips=slips)


def _counted(key: Key, counts: tuple[CountMark, ...]) -> Share:
    part = Share(sum(one.good for one in counts) / len(counts))
    rules = {row.label: row.reasons[0].rule for row in key.rows if row.reasons}
    for one in counts:
        note = f"; {one.note}" if one.note else ""
        if one.state == WRONG:
            slip = f"{one.label}: {one.note or 'counted otherwise'}"
            part.say(f"{one.label}: wrong{note}.", slip, rules.get(one.label, ""))
        elif one.state == MALFORMED or (one.state == RIGHT and one.note):
            part.say(f"{one.label}: {one.state if one.state == MALFORMED else 'right, with a note'}{note}.")
    if blank := sum(one.state == BLANK for one in counts):
        part.say(f"{blank} not answered.")
    if carried := [one.label for one in counts if one.state == CARRIED]:
        part.carried = True
        part.say(f"Carried forward, so that the slip costs once: {listed(carried)}.")
    return part


def _worth(parts: Mapping[str, Share], marks: Mapping[str, int]) -> tuple[tuple[SectionMark, ...], float]:
    """Marks for each section; those of a section with nothing to ask are spread over the others."""
    whole = sum(marks.values())
    asked = sum(marks[name] for name, part in parts.items() if part.counted)
    sections, earned = [], 0.0
    for name, part in parts.items():
        out_of = marks[name] * whole / asked if part.counted else 0.0
        earned += part.share * out_of
        sections.append(
            SectionMark(
                name, round(part.share * out_of, 1), round(out_of, 1), _first((*part.messages,)), part.carried
            )
        )
    return tuple(sections), earned


def _malformed(key: Key, given: Given, counts: tuple[CountMark, ...]) -> tuple[str, ...]:
    known = {plain(row.label) for row in key.rows}
    strange = [
        f"counts: “{short(each)}” is not asked for here" for each in given.counts if plain(each) not in known
    ]
    unread = [f"counts, {one.label}: {one.note}" for one in counts if one.state == MALFORMED]
    return _first((*given.faults, *strange, *unread))


def _first(lines: tuple[str, ...]) -> tuple[str, ...]:
    """As many lines as somebody reads, and how many more there are."""
    if len(lines) <= MOST_SAID:
        return lines
    return (*lines[:MOST_SAID], f"And {len(lines) - MOST_SAID} more.")
