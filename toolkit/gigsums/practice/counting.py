"""Counts of a gig as problems: what is drawn, on which desk, what is counted, and what those come to who miscount it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from gigsums.gig import Desk, Gig, Policy, Reason, load_policy
from gigsums.gig.desk import DeskEffects
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import routes

from . import stages
from .drawing import Draw
from .problems import Answer, Draft, Part, Slip, Values
from .story import input_facts, monitor_facts
from .topic import Topic
from .wording import listed, sentence

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
        What the problem keeps.
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
    shown: Callable[[Any, Any], Mapping[str, Any]] = lambda gig, desk: {"gig": gig, "desk": desk}

    def build(self, draw: Draw, level: int) -> Draft:
        """A draft of a draw."""
        evening, opening = stages.draw_evening(draw)
        gig, desk = self.drawn(draw, level, Gig(evening))
        asked = self.parts(gig, desk) if callable(self.parts) else self.parts
        blank = [Part(0, name=part) if isinstance(part, str) else part for part in asked]
        values = self.values(gig, desk)
        assert values is not None
        wrong = [
            Slip(name, came, hint)
            for name, led, hint in self.slips(gig, desk, lambda other: self.values(other, desk))
            if (came := self._led_to(led, gig, desk)) is not None
        ]
        return Draft(
            shown=self.shown(gig, desk),
            scene=f"{opening} {self.scene(gig, desk)}",
            facts=tuple(self.facts(gig, desk)),
            question=self.question,
            answer=Answer(tuple(replace(part, value=v) for part, v in zip(blank, values, strict=True))),
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
    players = stages.draw_players(draw, level)
    players = stages.with_sources(draw, level, players) if picked_up else players
    lines = stages.draw_lines(draw, level) if picked_up else ()
    mixes = stages.draw_monitors(draw, min(level, heard), players) if heard else ()
    units = stages.draw_effects(draw, min(level, effects)) if effects else ()
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
