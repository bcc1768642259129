"""Topics and single problems as text for a terminal."""

from __future__ import annotations

import secrets
import textwrap

from .marking import mark
from .problems import Problem
from .topic import TOPICS, problem
from .wording import sentence

WIDTH = 78
_SEEDS = 1_000_000


def topic_list() -> str:
    """Every topic under the skill that it trains."""
    skills: dict[str, list[str]] = {}
    for topic in TOPICS.values():
        skills.setdefault(topic.skill, []).append(topic.name)
    return "\n".join(
        f"{sentence(skill)}\n{_wrapped(', '.join(sorted(names)), '  ')}\n"
        for skill, names in sorted(skills.items())
    ).rstrip()


def drawn(topic: str, seed: str | None = None, level: int | None = None) -> Problem:
    """A problem of a topic, however its capitals are typed.

    Parameters
    ----------
    topic : str
        One of `TOPICS`.
    seed : str, optional
        Any whole number or word; one of chance if left out. It is said, so that the problem can be had again.
    level : int, optional
        Difficulty, 1 to 3; drawn from the seed if left out.

    Returns
    -------
    Problem

    Raises
    ------
    ValueError
        If there is no such topic, or seed or level cannot be used.
    """
    plain = " ".join(topic.split()).casefold()
    name = next((each for each in TOPICS if each.casefold() == plain), topic)
    return problem(name, str(secrets.randbelow(_SEEDS)) if seed is None else seed, level)


def asked(found: Problem, workings: bool = False) -> str:
    """A problem as text, with the way to its answer where that is wanted."""
    parts = [f"{sentence(found.topic)}, level {found.level}, seed {found.seed}", ""]
    parts += [_wrapped(found.scene), *(_wrapped(fact, "  ", "- ") for fact in found.facts), ""]
    parts += [_wrapped(f"{found.question} Type {found.wanted}.")]
    parts += ["", _wrapped(found.caution, "  ", "! ")] if found.caution else []
    if workings:
        parts += ["", "The way:", *(_wrapped(line, "  ", "- ") for line in found.workings)]
    return "\n".join(parts)


def marked(found: Problem, answer: str, workings: bool = False) -> str:
    """What an answer is worth, as text; the way is shown to a right one, and to a wrong one where wanted."""
    marking = mark(found, answer)
    shown = marking.workings or (found.workings if workings else ())
    way = ["", "The way:", *(_wrapped(line, "  ", "- ") for line in shown)] if shown else []
    return "\n".join([_wrapped(f"{sentence(marking.outcome)}: {marking.message}"), *way])


def _wrapped(text: str, indent: str = "", first: str = "") -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=first or indent, subsequent_indent=indent, break_on_hyphens=False
    )
