"""The files a whole-gig problem is made of, as texts, so that it can be kept whole and made again without them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass, field, fields
from hashlib import sha256
from pathlib import Path
from typing import Any, ClassVar, Literal, NamedTuple

from gigsums.gig import bundled
from gigsums.gig.files import build, read_text, read_toml
from gigsums.gig.model import FORBID, AtLeastOne, Text, Words


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
    def size(self) -> int:
        """How long they are together [characters]."""
        return sum(len(text) for _, text in (*self._single(), *self.at_hand))

    def _single(self) -> list[File]:
        return [getattr(self, field.name) for field in fields(self) if field.name != "at_hand"]

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
class About:
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
class _Source:
    __pydantic_config__: ClassVar = FORBID
    problem: About
    marks: Any = field(default_factory=dict)
    format: int = 1


def about_in(file: File) -> tuple[About, Any]:
    """What a problem's file says, and its own marks.

    Parameters
    ----------
    file : File
        The problem's file.

    Returns
    -------
    tuple of (About, object)

    Raises
    ------
    BadFile
        If it is not TOML, or says something that is not allowed.
    """
    table = read_toml(file.text, file.name)
    table.wanted("problem")
    said = build(file.name, table, _Source)
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
