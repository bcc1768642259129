"""Verdict, changes and placement of a whole-gig problem, each marked on its own."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from gigsums.gig import Desk, Gig, Policy, load_policy
from gigsums.practice.wording import listed, sentence, short
from gigsums.sizing import Answer, Fit, Ledger, Place, check_placement, fit, together

from .answers import Given, GivenPlace
from .cells import plain
from .changes import Applied, apply_changes
from .counts import CountMark
from .key import Key
from .names import Refused, item_named, items_of
from .rules import Marks

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


@dataclass(frozen=True)
class Part:
    """One section as it was marked.

    Attributes
    ----------
    share : float
        How much of its marks it earns, 0 to 1 [-].
    messages : tuple of str
        What to tell whoever answered.
    counted : bool
        Whether the problem asks for it at all; its marks go to the others where it does not.
    carried : bool
        Whether it is right only by what was counted before.
    slips : tuple of Slipped
        Where it went wrong; what was left empty is no slip.
    """

    share: float
    messages: tuple[str, ...] = ()
    counted: bool = True
    carried: bool = False
    slips: tuple[Slipped, ...] = ()


def mark_verdict(key: Key, given: Given, counts: Sequence[CountMark], marks: Marks) -> Part:
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
    Part
    """
    own_lists, own_words = _own_verdict(key, counts)
    messages: list[str] = []
    slips: list[Slipped] = []
    carried = False
    word = 0.0
    if not given.word:
        if not any(given.lists.values()):
            return Part(0.0, ("No verdict is given.",))
        messages.append("The verdict's word is missing; what was named beside it counts.")
    elif given.word == key.word:
        word = 1.0
    elif given.word in own_words:
        word, carried = 1.0, True
        messages.append(
            f"“{given.word}” follows from your counts, so it costs nothing more; the gig {key.word}."
        )
    elif {given.word, key.word} == {"fits", "fits with care"}:
        word = marks.near / 100
        messages.append(
            "It fits, and something asks for care."
            if key.word == "fits with care"
            else "Nothing here asks for care."
        )
        slips.append(Slipped("verdict: fits, or fits with care", messages[-1]))
    else:
        messages.append(f"“{given.word}” is not what these numbers come to.")
        slips.append(Slipped("verdict: another word", "hold each count against what the desk has"))
    named, said, followed = _lists(key, given, own_lists)
    slips += [Slipped(f"verdict: {SAID[name]}", "need, have and spare, ledger by ledger") for name in said]
    share = marks.reasons / 100
    whole = (1 - share) * word + share * named
    return Part(whole, (*messages, *said.values()), True, carried or followed, tuple(slips))


def _lists(key: Key, given: Given, own: Mapping[str, tuple[str, ...]]) -> tuple[float, dict[str, str], bool]:
    """How well the ledgers were named: 1 for all of them and no other; and what to say of each list."""
    scores: list[float] = []
    said: dict[str, str] = {}
    followed = False
    for name, right in key.lists.items():
        listed_here = {_ledger(one): one for one in given.lists.get(name, ())}
        if not right and not listed_here and not own.get(name):
            continue
        score = _agreement(set(listed_here), set(map(_ledger, right)))
        mine = _agreement(set(listed_here), set(map(_ledger, own.get(name, right))))
        if mine > score:
            followed = True
        scores.append(max(score, mine))
        beside = [one for named, one in listed_here.items() if named not in set(map(_ledger, right))]
        if score < 1 and mine < 1:
            missing = len(set(map(_ledger, right)) - set(listed_here))
            words = [f"{missing} missing"] if missing else []
            words += (
                [f"{listed([short(one) for one in beside])} {'is' if len(beside) == 1 else 'are'} not"]
                if beside
                else []
            )
            said[name] = f"{sentence(SAID[name])}: {', '.join(words)}."
    return (sum(scores) / len(scores) if scores else 1.0), said, followed


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
    policy = key.fit.gig.policy or load_policy()
    given = {one.label: one.given for one in counts if one.given is not None}
    ledgers = [_recounted(row.ledger, given.get(row.label), policy) for row in key.rows if row.ledger]
    ledgers += [row for row in key.fit.ledgers if row.key == "minutes"]
    lists = {
        "short": tuple(r.label for r in ledgers if r.blocks and r.state == "short"),
        "no_spare": tuple(r.label for r in ledgers if r.state == "met without spare"),
        "bring": tuple(r.label for r in ledgers if not r.blocks and r.state == "short"),
    }
    if all(set(lists[name]) == set(key.lists[name]) for name in lists):
        return lists, set()
    if lists["short"]:
        return lists, {"fits with changes", "does not fit"}
    if set(lists["short"]) == set(key.lists["short"]) and key.fit.placement != "fits":
        return lists, set()
    others = len(key.fit.cares) > len(key.lists["no_spare"]) + len(key.lists["bring"])
    return lists, {"fits with care"} if lists["no_spare"] or lists["bring"] or others else {"fits"}


def _recounted(ledger: Ledger, need: float | None, policy: Policy) -> Ledger:
    if need is None or need == ledger.need:
        return ledger
    spare = ledger.spare_wanted
    if ledger.key == "preamps":
        spare = policy.spares.inputs(int(need))
    if ledger.key == "outputs":
        spare = policy.spares.outputs(int(need))
    return replace(ledger, need=need, spare_wanted=spare)


def mark_changes(
    key: Key, given: Given, gig: Gig, desk: Desk, at_hand: Sequence[Desk], marks: Marks
) -> tuple[Part, Applied]:
    """Mark the changes by making them: any that let it fit are right, the cheapest earn full marks.

    Parameters
    ----------
    key : Key
        What is right.
    given : Given
        What was answered.
    gig, desk : Gig, Desk
        As asked.
    at_hand : sequence of Desk
        Other desks that could be taken instead.
    marks : Marks
        The shares.

    Returns
    -------
    tuple of (Part, Applied)
        The mark, and the gig and desk as those changes leave them.
    """
    done = _as_placed(apply_changes(gig, desk, given.changes, at_hand), given)
    messages = [f"{sentence(why)}." for why in done.refused]
    agreed = Slipped(
        "changes: one that nobody agreed to, or that is not there", "who gives what up, and who said so"
    )
    slips = [agreed] if done.refused else []
    if not key.needs_changes:
        if done.changes and key.answers:
            messages.append("It fits as asked: none of these changes is needed.")
            slips.append(Slipped("changes: none is needed", "the verdict comes first"))
        return Part(0.0, tuple(messages), counted=False, slips=tuple(slips)), done
    if not given.changes:
        return Part(0.0, ("No change is given, and it does not fit as asked.",)), done
    after = _fitted(done.gig, done.desk)
    least = key.answers[0].points
    if after.placement == "fits":
        if done.points <= least:
            return Part(1.0, tuple(messages), slips=tuple(slips)), done
        messages.append(f"These changes make it fit at {done.points} points; there is a way at {least}.")
        slips.append(Slipped("changes: dearer than need be", "compare the house's prices"))
        return Part(marks.dearer / 100, tuple(messages), slips=tuple(slips)), done
    left = [row.label for row in after.ledgers if row.blocks and row.state == "short"]
    messages.append(
        f"With these changes it still does not fit{f': short of {listed(left)}' if left else ''}."
    )
    slips.append(Slipped("changes: it still does not fit", "count again with the changes made"))
    return Part(
        marks.unfinished / 100 * _overlap(done, key.answers), tuple(messages), slips=tuple(slips)
    ), done


def _as_placed(done: Applied, given: Given) -> Applied:
    """The changes on those units of counted sources for which the placement is legal, else on any for which it fits."""
    readings = [replace(done, gig=gig, otherwise=()) for gig in (done.gig, *done.otherwise)]
    if len(readings) == 1:
        return done
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
    mine = Counter((change.kind, change.item) for change in done.changes)
    best = 0.0
    for answer in answers:
        theirs = Counter((change.kind, change.item) for change in answer.changes)
        found = sum((mine & theirs).values())
        if theirs:
            best = max(best, found / max(sum(theirs.values()), sum(mine.values())))
    return best


def mark_placement(key: Key, given: Given, done: Applied, marks: Marks) -> Part:
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
    Part
    """
    places, unknown = read_places(given.places, done.gig, done.desk)
    if not key.answers:
        return Part(0.0, counted=False)
    if not given.places:
        return Part(0.0, ("Nothing is placed.",))
    least = key.answers[0].points
    judged = check_placement(done.gig, done.desk, places)
    if judged.legal and not unknown:
        cares = tuple(f"Legal, and a care: {care.text()}." for care in dict.fromkeys(judged.cares))
        if done.points <= least:
            return Part(1.0, cares)
        dearer = f"Legal, at {done.points} points; there is a way at {least}."
        return Part(marks.dearer / 100, (*cares, dearer))
    for answer in key.answers:
        others, odd = read_places(given.places, answer.gig, answer.desk)
        if not odd and check_placement(answer.gig, answer.desk, others).legal:
            words = "; ".join(said for _, said in together(answer.changes))
            share = 1.0 if answer.points <= least else marks.dearer / 100
            said = f"Legal once something is changed that is not on your list ({words})."
            slip = Slipped(
                "placement: legal only after a change that is not on the list", "say what you change"
            )
            return Part(share, (said,), slips=(slip,))
    items = items_of(done.gig)
    spoilt = {cause for fault in judged.faults for cause in fault.causes}
    whole = sum(path not in spoilt for path in items)
    rules = dict.fromkeys(fault.rule for fault in judged.faults)
    hint = "what each thing takes, and where it may sit"
    slips = [Slipped(f"placement: {rule}", hint) for rule in rules]
    if len(rules) > MOST_NAMED:
        slips = [Slipped("placement: unfinished, or far from legal", hint)]
    if unknown:
        slips.append(Slipped("placement: a thing or a place that is not there", hint))
    said_all = [*unknown, *dict.fromkeys(f"{sentence(fault.text())}." for fault in judged.faults)]
    if len(said_all) > MOST_FAULTS:
        said_all = [*said_all[:MOST_FAULTS], f"And {len(said_all) - MOST_FAULTS} more."]
    said_all.insert(0, "This placement is not legal.")
    return Part(marks.illegal / 100 * whole / len(items), tuple(said_all), slips=tuple(slips))


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
    items, places, odd = items_of(gig), [], []
    for row in rows:
        try:
            item = item_named(row.item, items)
        except Refused as why:
            odd.append(f"Row {row.row}: {why}.")
            continue
        at = row.at or _only_place(row.on, desk)
        if not at:
            odd.append(f"Row {row.row} ({items[item]}): say where the {row.on} is, stage or desk.")
            continue
        places += [
            Place(item, row.on, at, number, row.tap if row.on == "bus" else "") for number in row.numbers
        ]
    return tuple(places), odd


def _only_place(on: str, desk: Desk) -> str:
    if on in ("bus", "group", "matrix", "effects unit", "track"):
        return "desk"
    sockets = desk.outputs if on in ("output", "record output", "direct out") else desk.inputs
    places = {one.at for one in sockets}
    return places.pop() if len(places) == 1 else ""
