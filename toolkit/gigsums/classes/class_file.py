"""The class file: who is to get a sheet, and what is asked of them. It holds no seed; seeds come from the secret."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from gigsums.gig.files import BadFile, build, read_table
from gigsums.gig.model import FORBID, AtLeastOne, Text, Words, YesNo
from gigsums.practice.topic import TOPICS, problem
from gigsums.practice.wording import short
from gigsums.whole_gigs.files import beside
from gigsums.whole_gigs.problem import WholeGig, whole_gig

MOST_TRAINEES = 10_000
MOST_QUESTIONS = 100
LONGEST_NAME = 200
LARGEST_GIG = 2_000_000
"""Characters of all the files of a whole gig, which the record keeps on one line."""
WHOLE_GIGS = "whole gigs"
"""What whole gigs train, for grouping."""


@dataclass(frozen=True)
class ClassQuestion:
    """Some questions of one topic: `number` of them, of one level, the same for everybody or not; or one whole gig."""

    __pydantic_config__: ClassVar = FORBID
    topic: Text | None = None
    whole_gig: Text | None = None
    level: Literal[1, 2, 3] | None = None
    number: AtLeastOne = 1
    same_for_all: YesNo = False


@dataclass(frozen=True)
class AboutClass:
    """The class and its sheet: names, paper, minutes, an opening in plain words, and who is in it."""

    __pydantic_config__: ClassVar = FORBID
    name: Text
    trainees: Any
    title: Text = ""
    paper: Literal["a4", "us-letter"] = "a4"
    minutes: AtLeastOne | None = None
    about: Words = ""


@dataclass(frozen=True)
class _ClassSource:
    __pydantic_config__: ClassVar = FORBID
    about: Annotated[AboutClass, Field(alias="class")]
    question: tuple[ClassQuestion, ...] = ()
    format: int = 1


@dataclass(frozen=True)
class ClassFile:
    """A class file as it stands.

    Attributes
    ----------
    about : AboutClass
        What stands under ``[class]``.
    question : tuple of ClassQuestion
        What is asked, in order.
    gigs : mapping of str to WholeGig
        The whole gigs among them, by what the file calls them.
    """

    about: AboutClass
    question: tuple[ClassQuestion, ...]
    gigs: Mapping[str, WholeGig] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """Title of the sheet; the name of the class if the file gives none."""
        return self.about.title or self.about.name

    @property
    def names(self) -> tuple[str, ...]:
        """Real names, if the file gives names and not a count."""
        return () if isinstance(self.about.trainees, int) else tuple(self.about.trainees)

    @property
    def size(self) -> int:
        """How many trainees there are."""
        return self.about.trainees if isinstance(self.about.trainees, int) else len(self.about.trainees)

    @property
    def asked(self) -> tuple[ClassQuestion, ...]:
        """One entry for each question of the sheet."""
        return tuple(ask for ask in self.question for _ in range(ask.number))


def read_class(source: str | Path) -> tuple[str, ClassFile]:
    """Read a class file.

    Parameters
    ----------
    source : str or Path
        A TOML file, or the name of a class that comes with the workbook.

    Returns
    -------
    tuple of (str, ClassFile)
        The file's short name and what it says.

    Raises
    ------
    BadFile
        If the file cannot be used; the message says where, what stood there and what is allowed.
    """
    file, table = read_table(source, "classes")
    if table.kind() != "class":
        raise table.fault(
            "class", "it is missing.", "A class file begins with [class], its name and its trainees."
        )
    said = build(file, table, _ClassSource)
    gigs: dict[str, WholeGig] = {}
    read = ClassFile(said.about, said.question, gigs)
    _check_trainees(file, read.about.trainees)
    asked = sum(ask.number for ask in read.question)
    if not 0 < asked <= MOST_QUESTIONS:
        raise BadFile(file, "question", f"{asked} are asked; 1 to {MOST_QUESTIONS} are allowed.")
    folder = Path(source).parent if Path(source).suffix else None
    for n, ask in enumerate(read.question, start=1):
        key = f"question.number {n}"
        if (ask.topic is None) == (ask.whole_gig is None):
            both = "both topic and whole_gig stand" if ask.topic else "neither topic nor whole_gig stands"
            raise BadFile(file, key, f"{both} there; exactly one of them is wanted.")
        if ask.topic is not None:
            try:
                problem(ask.topic, 1, ask.level or 1)
            except ValueError as error:
                raise BadFile(file, f"{key}.topic", f"{error}.") from None
        elif ask.whole_gig is not None:
            job = _whole_gig(file, key, ask, folder)
            if any(job.files.id == other.files.id for other in gigs.values()):
                raise BadFile(file, f"{key}.whole_gig", f"{short(ask.whole_gig)} is asked twice.")
            gigs[ask.whole_gig] = job
    return file, read


def _whole_gig(file: str, key: str, ask: ClassQuestion, folder: Path | None) -> WholeGig:
    """The whole gig that a question names: one that comes with the workbook, or a file beside the class file."""
    if ask.level is not None or ask.number != 1:
        raise BadFile(
            file, key, "a whole gig is asked once, at the level of its own file, the same of everybody.",
            "Take level and number away.",
        )  # fmt: skip
    assert ask.whole_gig is not None
    try:
        job = whole_gig(beside(folder, ask.whole_gig, "problems"))
    except BadFile as error:
        raise BadFile(file, f"{key}.whole_gig", str(error)) from None
    if job.files.size > LARGEST_GIG:
        raise BadFile(
            file, f"{key}.whole_gig", f"its files hold {job.files.size / 1e6:.1f} million characters together; "
            f"at most {LARGEST_GIG / 1e6:.0f} million are kept.", "Shorten the notes in them.",
        )  # fmt: skip
    return job


def _check_trainees(file: str, given: Any) -> None:
    key = "class.trainees"
    if isinstance(given, int) and not isinstance(given, bool):
        if not 1 <= given <= MOST_TRAINEES:
            raise BadFile(file, key, f"{given} stands there; 1 to {MOST_TRAINEES} are allowed.")
        return
    if not isinstance(given, list) or not given:
        raise BadFile(file, key, f"{short(str(given))} stands there; a count or a list of names is wanted.")
    if len(given) > MOST_TRAINEES:
        raise BadFile(file, key, f"{len(given)} names stand there; at most {MOST_TRAINEES} are allowed.")
    seen: set[str] = set()
    for n, name in enumerate(given, start=1):
        if not isinstance(name, str) or not name.strip() or len(name) > LONGEST_NAME:
            raise BadFile(
                file, f"{key} number {n}", f"{short(str(name))!r} stands there; "
                f"a name of 1 to {LONGEST_NAME} characters in quotes is wanted.",
            )  # fmt: skip
        if name.strip() in seen:
            raise BadFile(
                file, f"{key} number {n}", f"{short(name)} stands there twice.",
                "Tell the two apart, by an initial for example.",
            )  # fmt: skip
        seen.add(name.strip())


def question_line(read: ClassFile, n: int, level: int) -> Mapping[str, Any]:
    """A question, counted from 1, as the record's head names it."""
    ask = read.asked[n - 1]
    if ask.topic is not None:
        topic = TOPICS[ask.topic]
        return {"topic": topic.name, "level": level, "skill": topic.skill, "same_for_all": ask.same_for_all}
    job = read.gigs[ask.whole_gig or ""]
    alike = [*TOPICS, *(other.title for other in read.gigs.values() if other is not job)]
    title = f"{job.title} (question {n})" if job.title in alike else job.title
    return {
        "topic": title,
        "level": job.level,
        "skill": WHOLE_GIGS,
        "same_for_all": True,
        "whole_gig": job.files.id,
    }
