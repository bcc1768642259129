"""How whole-gig problems are marked, and which questions about safe working they ask: settings, never fixed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar

from gigsums.gig import BadFile, Gig
from gigsums.gig.files import build, read_toml
from gigsums.gig.model import FORBID, NotNegative, Whole
from gigsums.practice.safety import SafetyQuestion, questions_in

from .files import File, house

SECTIONS = {
    "counts": "Counts",
    "allocation": "Placement",
    "verdict": "Verdict",
    "remedies": "Changes",
    "document": "Input list and safe working",
}
"""The sections by the names of their settings, with what they are called on a sheet."""
PERCENT = ("dearer", "illegal", "unfinished", "near", "reasons", "safety", "danger")


@dataclass(frozen=True)
class Marks:
    """The marks of each section, and the shares given where an answer is not the best [%]."""

    __pydantic_config__: ClassVar = FORBID
    counts: Whole
    allocation: Whole
    verdict: Whole
    remedies: Whole
    document: Whole
    dearer: Whole
    illegal: Whole
    unfinished: Whole
    near: Whole
    reasons: Whole
    safety: Whole
    danger: Whole
    delay_percent: NotNegative

    @property
    def total(self) -> int:
        """What all sections come to [marks]."""
        return sum(getattr(self, section) for section in SECTIONS)


def marks_for(file: str, own: Any, marking: File) -> Marks:
    """The house's marks with a problem's own laid over them.

    Parameters
    ----------
    file : str
        The problem's file, for messages.
    own : mapping
        Its ``[marks]``.
    marking : File
        The house's settings.

    Returns
    -------
    Marks

    Raises
    ------
    BadFile
        If a setting is not known, is no number, or the marks come to nothing.
    """
    if not isinstance(own, dict):
        raise BadFile(file, "marks", "a table of settings is wanted there.")
    known = {**_marks_in(house("marking")), **_marks_in(marking)}  # settings are added as the workbook grows
    build(marking.name, known, Marks, under="marks")
    marks = build(file if own else marking.name, {**known, **own}, Marks, under="marks")
    for name in PERCENT:
        if getattr(marks, name) > 100:
            raise BadFile(
                file,
                f"marks.{name}",
                f"{getattr(marks, name)} stands there; it is a share, 0 to 100 percent.",
            )
    if not marks.counts + marks.verdict:
        raise BadFile(file, "marks", "counts and verdict are both worth 0.", "Give one of them marks.")
    return marks


def safety_for(
    file: str, gig: Gig, asked: tuple[str, ...] | None, safety: File
) -> tuple[SafetyQuestion, ...]:
    """The questions about safe working that a problem asks.

    Parameters
    ----------
    file : str
        The problem's file, for messages.
    gig : Gig
        The gig, which decides where the problem does not.
    asked : tuple of str or None
        Their keys; None for all that apply.
    safety : File
        The house's questions.

    Returns
    -------
    tuple of SafetyQuestion

    Raises
    ------
    BadFile
        If a key is not known.
    """
    known = {one.key: one for one in questions_in(*safety)}
    if asked is not None:
        for key in asked:
            if key not in known:
                raise BadFile(file, "problem.safety", f'"{key}" is no question; allowed: {", ".join(known)}.')
        return tuple(known[key] for key in dict.fromkeys(asked))
    through = {mix.through for mix in gig.mixes}
    applies = {
        "always": True,
        "in-ears": "in-ears" in through,
        "floor monitors": bool(through & {"wedge", "drum fill", "side fill"}),
        "DI": any(source.by == "DI" for _, source in gig.sources),
        "named": False,
    }
    return tuple(one for one in known.values() if applies[one.when])


@lru_cache(maxsize=8)
def _marks_in(file: File) -> dict[str, Any]:
    settings = read_toml(file.text, file.name).get("marks")
    if not isinstance(settings, dict):
        raise BadFile(file.name, "marks", "a table of settings is wanted there.")
    return settings
