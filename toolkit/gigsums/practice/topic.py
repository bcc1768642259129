"""Topics, declared in the files under `topics/`, and the problem that a topic makes of a seed."""

from __future__ import annotations

import difflib
import importlib
import math
import pkgutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from itertools import pairwise

from gigsums.gig import as_dict

from . import topics
from .drawing import Draw, seed_text
from .marking import wanted
from .problems import Draft, Problem, Slip, clear_slips, passing_slips

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


def _draft(topic: Topic, seed: str, level: int) -> tuple[Draft, tuple[Slip, ...]]:
    """The first draft in which no slip passes, no hint tells the answer and enough slips are apart, or the nearest to it."""
    draw = Draw("problem", topic.name, topic.version, level, seed)
    best: tuple[Draft, tuple[Slip, ...]] | None = None
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
