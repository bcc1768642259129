"""Unknowns into questions: which counts that are not settled would change the verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ..gig import Desk, Gig, Source, Span
from .fit import fit


@dataclass(frozen=True)
class Question:
    """One count that is not settled, tried at its least and at its most.

    Parameters
    ----------
    path : str
        Key path of the count in the gig file.
    name : str
        What is counted.
    least, most : int
        The span as written.
    at_least, at_most : str
        The verdict in words with it at its least and at its most, the other spans at their most.
    """

    path: str
    name: str
    least: int
    most: int
    at_least: str
    at_most: str

    @property
    def matters(self) -> bool:
        """Whether the answer changes the verdict; if not, the count is as good as settled."""
        return self.at_least != self.at_most

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return {
            "path": self.path,
            "name": self.name,
            "least": self.least,
            "most": self.most,
            "at_least": self.at_least,
            "at_most": self.at_most,
            "matters": self.matters,
            "text": self.text(),
        }

    def text(self) -> str:
        """The question, as it would be asked; or that it need not be."""
        if not self.matters:
            return f"{self.name}: {self.least} or {self.most}, it {self.at_most} either way"
        return f"How many of {self.name}? With {self.least} it {self.at_least}, with {self.most} it {self.at_most}."


def questions(gig: Gig, desk: Desk) -> tuple[Question, ...]:
    """Each unsettled count tried at its least and its most: those that change the verdict come first.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    tuple of Question
    """
    found = [_ask(gig, desk, path, source) for path, source in gig.sources if isinstance(source.count, Span)]
    return tuple(sorted(found, key=lambda question: not question.matters))


def _ask(gig: Gig, desk: Desk, path: str, source: Source) -> Question:
    span = source.count
    assert isinstance(span, Span)
    fewest = _with_count(gig, path, span.least)
    at_least = fit(fewest, desk).in_words
    at_most = fit(_with_count(gig, path, span.most), desk).in_words
    return Question(f"{path}.count", source.name, span.least, span.most, at_least, at_most)


def _with_count(gig: Gig, path: str, count: int) -> Gig:
    """The gig with that source's count settled; none of it leaves it out."""

    def settle(prefix: str, sources: tuple[Any, ...]) -> tuple[Any, ...]:
        kept = (replace(s, count=count) if prefix + s.name == path else s for s in sources)
        return tuple(s for s in kept if count or prefix + s.name != path)

    performers = tuple(
        replace(p, sources=settle(f"performer.{p.name}.sources.", p.sources)) for p in gig.performers
    )
    return replace(gig, performers=performers, lines=settle("line.", gig.lines))
