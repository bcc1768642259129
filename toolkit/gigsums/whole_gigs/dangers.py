"""What is dangerous in an answer: it is named, it caps the marks where people could be hurt, and a person has to look."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gigsums.gig import Gig, Source
from gigsums.practice.safety import Danger, SafetyQuestion
from gigsums.practice.wording import short

from .answers import Given
from .document import chosen_of
from .names import Refused, item_named
from .words import dangers_said


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


def _meant(text: str, sources: dict[str, Source]) -> Source | None:
    try:
        return sources[item_named(text, {path: source.name for path, source in sources.items()})]
    except Refused:
        return None


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
    harmed = {path: source for path, source in gig.sources if source.phantom == "forbidden"}
    for row in given.inputs:
        source = _meant(row.source, harmed)
        if source is not None and row.phantom:
            yield Flag(f"phantom would harm {source.name}", f"input list, row {row.row}", caps=False)
