"""The document of a whole-gig problem: the input list, and the questions about safe working."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from gigsums.gig import Gig, Mix, Source
from gigsums.practice.safety import SafetyQuestion
from gigsums.practice.wording import listed, short

from .answers import Given, GivenInput
from .cells import plain
from .changes import Applied
from .names import Refused, item_named
from .parts import Part, Slipped

_LOOK = "every source once, with its channels, how it is picked up, phantom, and where it is plugged"


def mark_inputs(given: Given, gig: Gig, done: Applied) -> Part:
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
    Part
    """
    sources = dict(gig.sources)
    now = dict(done.gig.sources)
    dropped = {change.item for change in done.changes if change.kind.startswith(("drop", "sub-mixer"))}
    mixes = {mix.name: mix for mix in (*gig.mixes, *done.gig.mixes)}
    rows: dict[str, list[GivenInput]] = defaultdict(list)
    said: list[str] = []
    slips: dict[str, None] = {}
    known = {path: source.name for path, source in gig.sources}
    besides = {
        "talkback",
        *(e.name for e in gig.effects),
        *(f"{e.name} return" for e in gig.effects),
    }
    for row in given.inputs:
        try:
            rows[item_named(row.source, known)].append(row)
        except Refused as why:
            if plain(row.source) not in map(plain, besides):
                said.append(f"Input list, row {row.row}: {why}.")
                slips["something that is not in the gig"] = None
    if not rows:
        return Part(0.0, ("The input list is empty.",))
    twice = [n for n, times in Counter(n for row in given.inputs for n in row.channels).items() if times > 1]
    if twice:
        slips["a channel twice"] = None
        said.append(
            f"Input list: channel {listed([str(n) for n in sorted(twice)[:5]])} stands there more than once."
        )
    earned = 0.0
    for path, source in sources.items():
        mine = rows.get(path, [])
        if not mine and path in dropped:
            earned += 1
            continue
        if not mine:
            said.append(f"Input list: {source.name} is missing.")
            slips["a source is missing"] = None
            continue
        faults = []
        if sum(len(row.channels) for row in mine) not in (
            source.channels,
            now[path].channels if path in now else -1,
        ):
            faults.append("how many channels")
        if any(row.by != source.by for row in mine):
            faults.append("how it is picked up")
        if _phantom_wrong(mine, source.phantom):
            faults.append("phantom")
        at: set[str] = {source.at, now[path].at if path in now else source.at}
        at |= {done.desk.input_place(one) for one in at}
        if any(row.at not in at for row in mine):
            faults.append("where it is plugged")
        if not source.to_mains and not _sent_right(mine, source, mixes, done.gig):
            faults.append("where it goes")
        if faults:
            said.append(f"Input list, {source.name}: look again at {listed(faults)}.")
        slips |= dict.fromkeys(faults)
        earned += 1 - len(faults) / (4 if source.to_mains else 5)
    share = max(0.0, earned - 0.5 * len(twice)) / len(sources) if sources else 0.0
    return Part(share, tuple(said), slips=tuple(Slipped(f"input list: {each}", _LOOK) for each in slips))


def _phantom_wrong(rows: Sequence[GivenInput], phantom: str) -> bool:
    if phantom == "indifferent":
        return False
    return any(row.phantom is not (phantom == "needed") for row in rows)


def _sent_right(rows: Sequence[GivenInput], source: Source, mixes: Mapping[str, Mix], done: Gig) -> bool:
    """Whether what the audience must never hear goes to mixes that are to have it: to all of those that the gig names."""
    named: set[str] = set()
    for to in (to for row in rows for to in row.to):
        meant = {
            name for name, mix in mixes.items() if plain(to) in map(plain, (mix.through, *mix.listeners))
        }
        try:
            meant = {item_named(to, {f"mix.{name}": name for name in mixes}).removeprefix("mix.")}
        except Refused:
            if not meant:
                return False
        named |= meant
    wanted = set(mixes if source.heard_in is None else source.heard_in)
    still = {mix.name for mix in done.mixes}
    return (
        (bool(named) or not wanted)
        and named <= wanted
        and (source.heard_in is None or wanted & still <= named)
    )


def mark_safety(given: Given, questions: Sequence[SafetyQuestion]) -> Part:
    """Mark the questions about safe working.

    Parameters
    ----------
    given : Given
        What was answered.
    questions : sequence of SafetyQuestion
        What was asked.

    Returns
    -------
    Part
    """
    said: list[str] = []
    slips: list[Slipped] = []
    right = 0
    for question in questions:
        chosen = chosen_of(question, given.safety.get(question.key, ""))
        if chosen in question.right:
            right += 1
        elif not given.safety.get(question.key):
            said.append(f"Safe working, {question.key}: not answered.")
        elif chosen is None:
            said.append(
                f"Safe working, {question.key}: “{short(given.safety[question.key])}” is none of the choices."
            )
        else:
            said.append(f"Safe working, {question.key}: no.")
            slips.append(Slipped(f"safe working: {question.key}", question.asks))
    for key in given.safety:
        if key not in {question.key for question in questions}:
            said.append(f"Safe working: “{short(key)}” is not asked.")
    return Part(right / len(questions) if questions else 1.0, tuple(said), slips=tuple(slips))


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
