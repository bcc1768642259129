"""Topics, declared in the files under `topics/`; counts of a gig as topics; and the problem that a topic makes of a seed."""

from __future__ import annotations

import difflib
import importlib
import math
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cache
from itertools import pairwise
from typing import Any

from gigsums.gig import Desk, Gig, Policy, Reason, as_dict, load_policy
from gigsums.gig.desk import DeskEffects
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import routes

from . import topics
from .drawing import (
    Draw,
    draw_effects,
    draw_evening,
    draw_lines,
    draw_monitors,
    draw_players,
    seed_text,
    with_sources,
)
from .marking import wanted
from .problems import Draft, NamedSlip, Part, Problem, RightAnswer, Values, clear_slips, passing_slips
from .wording import input_facts, listed, monitor_facts, sentence

LEVELS = (1, 2, 3)
_TRIES = 100


@dataclass(frozen=True)
class Topic:
    """A kind of problem.

    Attributes
    ----------
    name : str
        What it is called, in words.
    skill : str
        What it trains, for grouping: "gig sizing", "time and distance", "level" ...
    version : int
        Raised whenever the same seed would give another problem or another mark.
    build : callable
        Makes a `Draft` of a `Draw` and a level.
    least_slips : int
        A draw in which fewer slips can be told apart is drawn again, and so is one in which a slip would
        be taken for right, unless the answer is several counts.
    """

    name: str
    skill: str
    version: int
    build: Callable[[Draw, int], Draft]
    least_slips: int = 1


class Topics(Mapping[str, Topic]):
    """Every topic by its name; read from the files in `topics/` when first asked for."""

    def __init__(self) -> None:
        self._found: dict[str, Topic] | None = None

    def _all(self) -> dict[str, Topic]:
        if self._found is None:
            names = [info.name for info in pkgutil.iter_modules(topics.__path__)]
            modules = [importlib.import_module(f"{topics.__name__}.{name}") for name in names]
            each = [topic for module in modules for topic in module.TOPICS]
            each.sort(key=lambda topic: topic.name.casefold())
            for one, other in pairwise(each):
                if one.name == other.name:
                    raise ValueError(f"two topics are called {one.name!r}; rename one")
            self._found = {topic.name: topic for topic in each}
        return self._found

    def __getitem__(self, name: str) -> Topic:
        return self._all()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def __repr__(self) -> str:
        return f"Topics({', '.join(self)})"


TOPICS = Topics()


def problem(topic: str, seed: int | str, level: int | None = None) -> Problem:
    """Draw a problem; the same topic, seed and level give the same one everywhere.

    Parameters
    ----------
    topic : str
        One of `TOPICS`.
    seed : int or str
        Any whole number or word; `11` and `"11"` are the same seed.
    level : int, optional
        Difficulty, 1 to 3; drawn from the seed if left out.

    Returns
    -------
    Problem

    Raises
    ------
    ValueError
        If there is no such topic, or seed or level cannot be used.

    Examples
    --------
    >>> problem("monitor mixes", 11) == problem("monitor mixes", "11")
    True
    """
    found = _topic(topic)
    text = seed_text(seed)
    if level is None:
        level = Draw("level", found.name, found.version, text).whole(LEVELS[0], LEVELS[-1])
    if isinstance(level, bool) or level not in LEVELS:
        raise ValueError(f"level is {level!r}; it may be 1, 2 or 3")
    draft, slips = _draft(found, text, int(level))
    parts = {part.name: getattr(draft, part.name) for part in fields(draft)}
    parts |= {"slips": slips, "shown": as_dict(dict(draft.shown))}
    return Problem(
        **parts, topic=found.name, version=found.version, seed=text, level=level, wanted=wanted(draft.answer)
    )


def _topic(name: object) -> Topic:
    if isinstance(name, str) and name in TOPICS:
        return TOPICS[name]
    near = difflib.get_close_matches(name, TOPICS, n=3) if isinstance(name, str) else []
    these = f"did you mean {' or '.join(near)}?" if near else f"these are: {', '.join(TOPICS)}"
    raise ValueError(f"topic is {str(name)[:60]!r}, which there is not; {these}")


def _draft(topic: Topic, seed: str, level: int) -> tuple[Draft, tuple[NamedSlip, ...]]:
    """The first draft in which no slip passes, no hint tells the answer and enough slips are apart, or the nearest to it."""
    draw = Draw("problem", topic.name, topic.version, level, seed)
    best: tuple[Draft, tuple[NamedSlip, ...]] | None = None
    most = (-math.inf, 0)
    for _ in range(_TRIES):
        draft = topic.build(draw, level)
        slips = clear_slips(draft)
        parts = draft.answer.parts
        passing = passing_slips(draft) if len(parts) == 1 or any(part.kind for part in parts) else 0
        if len(parts) == 1 and parts[0].kind:  # a hint that says "3 dB" must not name the answer
            passing += sum(
                draft.answer.show() in text for text in (draft.nudge, *(slip.hint for slip in slips))
            )
        if best is None or (-passing, len(slips)) > most:
            best, most = (draft, slips), (-passing, len(slips))
        if not passing and len(slips) >= topic.least_slips:
            break
    assert best is not None
    return best


Wrong = tuple[str, Any, str]
INSIDE = DeskEffects(8, send="takes a bus", returns="dedicated")
"""Effects that a desk makes itself, each fed from a bus and brought back on a return of its own."""


@dataclass(frozen=True, kw_only=True)
class Counting:
    """How a count of a gig is asked as a problem.

    Most fields are functions of two things: the gig, and what it is held against, which is a desk, or a number of one
    kind of thing that a desk has. A few topics count something else than a gig in its place.

    Attributes
    ----------
    drawn : callable
        The two things, from a draw, a level and a gig that has only its name.
    scene, facts : callable
        What is told, after the sentence that sets the scene.
    question, nudge, caution : str
        As a problem has them.
    parts : sequence of str or Part
        What is asked for in order: the name of a count, or a part that wants a value; or a function that makes them.
    ledgers : mapping of str to str
        Where ledgers are the answer: what each line of the workings counts, and the key of its ledger, with its place
        where there are several.
    counted : tuple
        The counts of the sizing that have those ledgers.
    reasons : callable
        Where reasons are: one for each part of the answer.
    count : callable
        The answer, where it is neither.
    workings : callable
        The way to it, where ledgers or reasons do not show it.
    slips : callable
        Of the two things and a count of another gig on the same desk: name of the slip, what it leads to, hint. What it
        leads to are values, or the gig or the desk as somebody sees it, to be counted here; None where it is no slip.
    shown : callable
        What the problem keeps; gig and desk if left out.
    """

    drawn: Callable[[Draw, int, Gig], tuple[Any, Any]]
    scene: Callable[[Any, Any], str]
    facts: Callable[[Any, Any], Iterable[str]]
    question: str
    parts: tuple[str | Part, ...] | Callable[[Any, Any], tuple[str | Part, ...]]
    slips: Callable[[Any, Any, Callable[[Gig], Any]], Iterable[Wrong]]
    nudge: str
    caution: str = ""
    ledgers: Mapping[str, str] = field(default_factory=dict)
    counted: tuple[Callable[..., list[Ledger]], ...] = ()
    reasons: Callable[[Any, Any], tuple[Reason, ...]] | None = None
    count: Callable[[Any, Any], Values | None] | None = None
    workings: Callable[[Any, Any], Iterable[str]] | None = None
    shown: Callable[[Any, Any], Mapping[str, Any]] | None = None

    def build(self, draw: Draw, level: int) -> Draft:
        """A draft of a draw."""
        evening, opening = draw_evening(draw)
        gig, desk = self.drawn(draw, level, Gig(evening))
        asked = self.parts(gig, desk) if callable(self.parts) else self.parts
        blank = [Part(0, name=part) if isinstance(part, str) else part for part in asked]
        values = self.values(gig, desk)
        assert values is not None
        wrong = [
            NamedSlip(name, came, hint)
            for name, led, hint in self.slips(gig, desk, lambda other: self.values(other, desk))
            if (came := self._led_to(led, gig, desk)) is not None
        ]
        return Draft(
            shown=self.shown(gig, desk) if self.shown else {"gig": gig, "desk": desk},
            scene=f"{opening} {self.scene(gig, desk)}",
            facts=tuple(self.facts(gig, desk)),
            question=self.question,
            answer=RightAnswer(tuple(replace(part, value=v) for part, v in zip(blank, values, strict=True))),
            workings=tuple((self.workings or self._way)(gig, desk)),
            slips=tuple(wrong),
            nudge=self.nudge,
            caution=self.caution,
        )

    def values(self, gig: Any, desk: Any) -> Any:
        """What it comes to: the count, or the need of each ledger."""
        if self.count:
            return self.count(gig, desk)
        if self.reasons:
            return tuple(int(why.result) for why in self.reasons(gig, desk))
        found = ledgers(gig, desk, *self.counted)
        return tuple(int(found[key].need) if key in found else 0 for key in self.ledgers.values())

    def _led_to(self, led: Gig | Desk | Values | None, gig: Any, desk: Any) -> Values | None:
        if isinstance(led, Gig):
            return self.values(led, desk)
        return self.values(gig, led) if isinstance(led, Desk) else led

    def _way(self, gig: Gig, desk: Desk) -> Iterable[str]:
        if self.reasons:
            for part, why in zip(self.parts, self.reasons(gig, desk), strict=True):  # type: ignore[arg-type]
                yield working(str(part), why.result, why)
            return
        found = ledgers(gig, desk, *self.counted)
        for name, key in self.ledgers.items():
            row = found.get(key)
            yield working(name, row.need, *row.reasons) if row else f"{sentence(name)}: 0."


def count_topic(name: str, asked: Counting, version: int = 2, least_slips: int = 1) -> Topic:
    """The topic of a count."""
    return Topic(name, "gig sizing", version, asked.build, least_slips)


@cache
def house() -> Policy:
    """The house policy that comes with the workbook."""
    return load_policy()


def ledgers(gig: Gig, desk: Desk, *counted: Callable[..., list[Ledger]]) -> dict[str, Ledger]:
    """The ledgers of those counts, by key and by key and place; of one that stands in several places the first."""
    ways = routes(gig, desk)
    rows = [row for each in counted for row in each(gig, desk, ways, house())]
    return {name: row for row in reversed(rows) for name in (row.key, f"{row.key} {row.where}")}


def draw_stage(
    draw: Draw, level: int, gig: Gig, *, picked_up: bool = True, heard: int = 0, effects: int = 0
) -> Gig:
    """The gig with players, what is picked up from them, monitor mixes and effects units.

    Mixes and units are drawn as for the level, or for the level `heard` and `effects` if that is lower; none for 0.
    """
    players = draw_players(draw, level)
    players = with_sources(draw, level, players) if picked_up else players
    lines = draw_lines(draw, level) if picked_up else ()
    mixes = draw_monitors(draw, min(level, heard), players) if heard else ()
    units = draw_effects(draw, min(level, effects)) if effects else ()
    return replace(gig, performers=players, lines=lines, mixes=mixes, effects=units)


def working(what: str, count: float, *reasons: Reason) -> str:
    """One line of workings: what is counted, how many, by which rules and from what."""
    return f"{sentence(what)}: {count:g}. {'; '.join(sentence(each.text()) for each in reasons)}."


def units(gig: Gig) -> str:
    """The effects of a gig, by name."""
    return listed([effect.name.casefold() for effect in gig.effects])


def all_facts(gig: Gig) -> tuple[str, ...]:
    """Everything that comes to the desk, what the stage wants to hear, and the effects."""
    heard = (f"Monitors - {fact}" for fact in monitor_facts(gig))
    return (*input_facts(gig), *heard, f"Effects: {units(gig)}")
