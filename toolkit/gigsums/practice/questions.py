"""A problem asked: in a notebook with its attempts kept, or as text for a terminal."""

from __future__ import annotations

import secrets
import textwrap
from dataclasses import replace

from .marking import MALFORMED, Marking, mark
from .problems import Problem
from .topic import TOPICS, problem
from .wording import as_markdown, bullets, sentence

PATIENCE = 3


class Workings(tuple[str, ...]):
    """Lines that show the way to an answer."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "\n".join(self)

    def _repr_markdown_(self) -> str:
        return bullets(self)


class Question:
    """A problem to be answered, and the attempts made so far.

    Attributes
    ----------
    problem : Problem
        What is asked.
    attempts : list of Marking
        Each answer checked, in order; those that could not be read are not attempts.

    Examples
    --------
    >>> q1 = question("monitor mixes", seed=11)
    >>> q1.check(str(q1.problem.answer)).outcome
    'right'
    """

    def __init__(self, asked: Problem) -> None:
        self.problem = asked
        self.attempts: list[Marking] = []

    def check(self, text: str | float = "") -> Marking:
        """Mark what was typed and say what to make of it.

        Parameters
        ----------
        text : str or number, optional
            The answer, such as "4, 6" or "74.8 ms".

        Returns
        -------
        Marking
        """
        marking = mark(self.problem, text)
        if marking.outcome != MALFORMED:
            self.attempts.append(marking)
        if not marking.good and len(self.attempts) >= PATIENCE:
            message = f"{marking.message} To see the way, call workings() on this question."
            return replace(marking, message=message)
        return marking

    def workings(self) -> Workings:
        """The way to the answer, line by line."""
        return Workings(self.problem.workings)

    def __repr__(self) -> str:
        return f"Question({self.problem.id})"

    def _repr_markdown_(self) -> str:
        asked = self.problem
        facts = bullets(asked.facts)
        caution = f"*{as_markdown(asked.caution)}*" if asked.caution else ""
        closing = f"**{as_markdown(asked.question)}** Type {as_markdown(asked.wanted)}."
        return "\n\n".join(filter(None, (as_markdown(asked.scene), facts, closing, caution)))


def question(topic: str, seed: int | str, level: int | None = None) -> Question:
    """A question for a notebook; `problem` with a memory.

    Parameters
    ----------
    topic : str
        One of `TOPICS`.
    seed : int or str
        Any whole number or word.
    level : int, optional
        Difficulty, 1 to 3; drawn from the seed if left out.

    Returns
    -------
    Question

    Raises
    ------
    ValueError
        As for `problem`.
    """
    return Question(problem(topic, seed, level))


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
