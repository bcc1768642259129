"""A question in a notebook: shows its problem, checks what is typed, keeps the attempts."""

from __future__ import annotations

from dataclasses import replace

from .marking import MALFORMED, Marking, mark
from .problems import Problem
from .topic import problem
from .wording import as_markdown, bullets

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
