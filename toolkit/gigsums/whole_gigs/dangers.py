"""What is dangerous in an answer: it is named, it caps the marks where people could be hurt, and a person has to look."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from gigsums.gig import Desk, Gig, Source
from gigsums.practice.wording import listed, short
from gigsums.sizing import Place

from .answers import Given
from .document import chosen_of
from .names import Refused, item_named
from .rules import SafetyQuestion
from .words import dangers_said, is_public


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
    gig: Gig, desk: Desk, given: Given, places: Sequence[Place], questions: Sequence[SafetyQuestion]
) -> tuple[Flag, ...]:
    """Everything dangerous in an answer.

    Parameters
    ----------
    gig : Gig
        The gig as asked.
    desk : Desk
        The desk that was answered for.
    given : Given
        What was answered.
    places : sequence of Place
        The placement as it was understood.
    questions : sequence of SafetyQuestion
        The questions about safe working.

    Returns
    -------
    tuple of Flag
    """
    kept = {path: source for path, source in gig.sources if not source.to_mains}
    found = [*_chosen(given, questions), *_listed(gig, given, kept), *_placed(desk, places, kept)]
    found += [*_written(given, questions), *_phantom(gig, given)]
    return tuple(dict.fromkeys(found))


def _chosen(given: Given, questions: Sequence[SafetyQuestion]) -> Iterator[Flag]:
    for question in questions:
        chosen = chosen_of(question, given.safety.get(question.key, ""))
        if chosen in question.dangerous:
            yield Flag("dangerous as it stands", f"safe working, {question.key}: “{short(chosen or '', 90)}”")


def _listed(gig: Gig, given: Given, kept: dict[str, Source]) -> Iterator[Flag]:
    public = {zone.name.casefold() for zone in gig.zones}
    public |= {feed.name.casefold() for feed in gig.feeds if feed.carries != "each source"}
    players = {mix.name.casefold() for mix in gig.mixes}
    for row in given.inputs:
        source = _meant(row.source, kept)
        heard = [
            to for to in row.to if to.casefold() in public or (is_public(to) and to.casefold() not in players)
        ]
        if source is not None and heard:
            what = f"{source.name} would reach {listed([short(one) for one in heard])}, and the audience must never hear it"
            yield Flag(what, f"input list, row {row.row}")


def _meant(text: str, sources: dict[str, Source]) -> Source | None:
    try:
        return sources[item_named(text, {path: source.name for path, source in sources.items()})]
    except Refused:
        return None


def _placed(desk: Desk, places: Iterable[Place], kept: dict[str, Source]) -> Iterator[Flag]:
    for place in places:
        if place.item in kept and place.on == "two-track return":
            reach = {to for i in desk.inputs if i.at == place.at and i.two_track for to in i.two_track_to}
            if "mains" in reach:
                name = kept[place.item].name
                yield Flag(
                    f"{name} would reach the mains, and the audience must never hear it",
                    "placement, two-track return",
                )


def _written(given: Given, questions: Sequence[SafetyQuestion]) -> Iterator[Flag]:
    """What somebody wrote in their own words; what is not plainly meant is for a person to read, and caps nothing."""
    texts = {"notes": given.notes}
    for key, text in given.safety.items():
        if not any(chosen_of(question, text) for question in questions if question.key == key):
            texts[f"safe working, {short(key)}"] = text
    for where, text in texts.items():
        for said in dangers_said(text):
            what = said.what if said.plain else f"perhaps {said.what}"
            yield Flag(what, f"{where}: “{short(said.words, 90)}”", said.plain)


def _phantom(gig: Gig, given: Given) -> Iterator[Flag]:
    harmed = {path: source for path, source in gig.sources if source.phantom == "forbidden"}
    for row in given.inputs:
        source = _meant(row.source, harmed)
        if source is not None and row.phantom:
            yield Flag(f"phantom would harm {source.name}", f"input list, row {row.row}", caps=False)
