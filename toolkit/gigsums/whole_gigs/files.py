"""The files a whole gig is made of, as texts that can be kept; and how it is marked and what it asks, which are settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass, field, fields
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, ClassVar, Literal, NamedTuple

from gigsums.gig import BadFile, Gig, bundled
from gigsums.gig.files import build, read_text, read_toml
from gigsums.gig.model import FORBID, AtLeastOne, NotNegative, Text, Whole, Words
from gigsums.practice.safety import Danger, SafetyQuestion, dangers_in, questions_in


class File(NamedTuple):
    """A file's short name and its text."""

    name: str
    text: str


@dataclass(frozen=True)
class Files:
    """What a whole gig is made of: its own file, the gig, the desks, and the house's habits at that time.

    Attributes
    ----------
    problem : File
        The problem's own file.
    gig, desk : File
        What is sized, and on what.
    at_hand : tuple of File
        Other desks that could be taken instead.
    policy, marking, safety : File
        House policy, how whole gigs are marked, and the questions about safe working.
    """

    problem: File
    gig: File
    desk: File
    at_hand: tuple[File, ...]
    policy: File
    marking: File
    safety: File

    @property
    def id(self) -> str:
        """Names these very texts."""
        return sha256(repr(astuple(self)).encode("utf-8", "surrogatepass")).hexdigest()[:16]

    @property
    def dangers(self) -> tuple[Danger, ...]:
        """The words that are dangerous, as the house had them at that time."""
        return dangers_in(*self.safety)

    @property
    def size(self) -> int:
        """How long they are together [characters]."""
        single = [each for each in vars(self).values() if isinstance(each, File)]
        return sum(len(text) for _, text in (*single, *self.at_hand))

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Files:
        """The files of plain values; a `ValueError`, `KeyError` or `TypeError` if they are none."""
        single = {field.name: _file(kept[field.name]) for field in fields(cls) if field.name != "at_hand"}
        return cls(at_hand=tuple(_file(each) for each in kept["at_hand"]), **single)


def _file(kept: Any) -> File:
    name, text = kept
    if not isinstance(name, str) or not isinstance(text, str):
        raise TypeError(name)
    return File(name, text)


@dataclass(frozen=True)
class AboutWholeGig:
    """What stands under ``[problem]``."""

    __pydantic_config__: ClassVar = FORBID
    title: Text
    gig: Text
    desk: Text
    at_hand: tuple[Text, ...] = ()
    about: Words = ""
    level: Literal[1, 2, 3] = 1
    minutes: AtLeastOne | None = None
    safety: tuple[Text, ...] | None = None


@dataclass(frozen=True)
class _WholeFile:
    __pydantic_config__: ClassVar = FORBID
    problem: AboutWholeGig
    marks: Any = field(default_factory=dict)
    format: int = 1


def about_in(file: File) -> tuple[AboutWholeGig, Any]:
    """What a problem's file says, and its own marks.

    Parameters
    ----------
    file : File
        The problem's file.

    Returns
    -------
    tuple of (AboutWholeGig, object)

    Raises
    ------
    BadFile
        If it is not TOML, or says something that is not allowed.
    """
    table = read_toml(file.text, file.name)
    table.wanted("problem")
    said = build(file.name, table, _WholeFile)
    return said.problem, said.marks


def gathered(source: str | Path) -> Files:
    """Read all the files of a problem.

    Parameters
    ----------
    source : str or Path
        The problem's file, or the name of one that comes with the workbook. The gig and the desks that it names
        are bundled ones, or files beside it.

    Returns
    -------
    Files

    Raises
    ------
    BadFile
        If a file is missing, too large or not UTF-8, or the problem's own cannot be used.
    """
    problem = File(*read_text(source, "problems"))
    about, _ = about_in(problem)
    folder = Path(source).parent if Path(source).suffix else None
    return Files(
        problem,
        gig=File(*read_text(beside(folder, about.gig, "gigs"), "gigs")),
        desk=File(*read_text(beside(folder, about.desk, "desks"), "desks")),
        at_hand=tuple(File(*read_text(beside(folder, name, "desks"), "desks")) for name in about.at_hand),
        policy=house("house"),
        marking=house("marking"),
        safety=house("safety"),
    )


def house(name: str) -> File:
    """One of the house's files of settings, as it stands today.

    Parameters
    ----------
    name : str
        Which.

    Returns
    -------
    File
    """
    return File(*read_text(bundled("policy")[name], "policy"))


def beside(folder: Path | None, name: str, kind: str) -> str | Path:
    """Where the file lies that another one names.

    Parameters
    ----------
    folder : Path or None
        Where the other one lies.
    name : str
        What it says.
    kind : str
        The folder under exercises/ where bundled files of this kind lie.

    Returns
    -------
    str or Path
        A bundled one by its plain name; else the file of that name in the folder; else the name as it stands.
    """
    if folder is not None and name not in bundled(kind):
        for path in (folder / name, folder / f"{name}.toml"):
            if path.is_file():
                return path
    return name


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
