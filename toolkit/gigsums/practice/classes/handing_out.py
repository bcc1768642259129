"""Handing out: a folder for each trainee, and apart from them what only the tutor keeps."""

from __future__ import annotations

import csv
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from gigsums.gig.files import BadFile

from ..problems import Problem
from ..topic import TOPICS, problem
from ..wording import sentence
from ..worksheets import as_file
from . import issued_files as given
from .chance import Secret
from .class_file import Ask, ClassFile, question_line, read_class
from .record import Head, Record, head_line, issued_line
from .tables import as_csv, safe_cell

HANDED_OUT, RETURNED, TUTOR = "hand-out", "returned", "tutor"
RECORD, SECRET, NAMES, KEYS = "record.jsonl", "secret.txt", "names.csv", "keys"
_AGAIN = 20

Tell = Callable[[str, int, int], None]
"""Is told what is being done, how many are done, and how many there are."""


@dataclass(frozen=True)
class Handout:
    """What was handed out, and where it lies.

    Attributes
    ----------
    folder : Path
        The class's folder.
    trainees, questions : int
        How many.
    missing : tuple of str
        Characters that the printed sheets could only name, since their font lacks them.
    """

    folder: Path
    trainees: int
    questions: int
    missing: tuple[str, ...] = ()

    @property
    def handed_out(self) -> Path:
        """Holds one folder for each trainee, named by pseudonym."""
        return self.folder / HANDED_OUT

    @property
    def returned(self) -> Path:
        """Where to drop what comes back."""
        return self.folder / RETURNED

    @property
    def record(self) -> Path:
        """The tutor's record of what was issued."""
        return self.folder / TUTOR / RECORD


def handout(
    source: str | Path, to: str | Path | None = None, *, replace: bool = False, tell: Tell | None = None
) -> Handout:
    """Write a class's sheets, one folder a trainee, and the tutor's record of them.

    Parameters
    ----------
    source : str or Path
        The class file, or the name of one that comes with the workbook.
    to : str or Path, optional
        The class's folder; one in the working folder, named like the class file, if left out.
    replace : bool, optional
        Whether a class that stands there may be handed out again. It keeps its secret and its pseudonyms; its earlier
        sheets and record are moved aside, and what was returned stays where it is.
    tell : callable, optional
        Told of the progress.

    Returns
    -------
    Handout

    Raises
    ------
    BadFile
        If the class file cannot be used, the folder is taken, or it cannot be written.
    """
    _, read = read_class(source)
    folder = Path(to) if to is not None else Path(Path(source).stem)
    if folder.exists() and not folder.is_dir():
        raise BadFile(str(folder), "", "a file of that name is there.", "Choose another folder with --to.")
    there = folder.is_dir() and any(folder.iterdir())
    if there and not replace:
        raise BadFile(
            str(folder), "", "the folder is there already, and was left as it is.",
            "Choose another with --to, or add --replace to hand out again.",
        )  # fmt: skip
    try:
        secret = _secret(folder)
        names = _names(folder, read, secret)
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(dir=folder.parent, prefix=f".{folder.name}.", suffix=".part"))
        try:
            missing = _write(part, read, secret, names, tell or _silent)
            _into_place(part, folder)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    except OSError as error:
        raise BadFile(
            str(error.filename or folder), "", f"it cannot be written ({error.strerror or error}).",
            "Choose a folder that you may write to, with --to.",
        ) from None  # fmt: skip
    return Handout(folder, read.size, len(read.asked), missing)


def _silent(what: str, done: int, of: int) -> None:
    pass


def _secret(folder: Path) -> Secret:
    """The secret that the class has already, or a new one."""
    kept = folder / TUTOR / SECRET
    if not kept.is_file():
        return Secret()
    try:
        return Secret(kept.read_text(encoding="ascii").strip())
    except (ValueError, UnicodeDecodeError):
        raise BadFile(
            str(kept),
            "",
            "this is not the secret that handout wrote.",
            "Put it back, or hand out to another folder.",
        ) from None


def _names(folder: Path, read: ClassFile, secret: Secret) -> dict[str, str]:
    """Pseudonym and real name of each trainee; those who have a pseudonym already keep it."""
    if not read.names:
        return dict.fromkeys(secret.pseudonyms(read.size), "")
    known: dict[str, str] = {}
    kept = folder / TUTOR / NAMES
    if kept.is_file():
        with open(kept, encoding="utf-8-sig", newline="") as rows:
            known = {row[0]: row[1] for row in list(csv.reader(rows))[1:] if len(row) >= 2}
    wanted = [safe_cell(name.strip()) for name in read.names]
    new = sum(name not in known for name in wanted)
    taken = set(known.values())
    free = iter([name for name in secret.pseudonyms(len(taken) + new) if name not in taken])
    given_to = {name: known.get(name) or next(free) for name in wanted}
    return {pseudonym: name for name, pseudonym in given_to.items()}


def _write(part: Path, read: ClassFile, secret: Secret, names: dict[str, str], tell: Tell) -> tuple[str, ...]:
    asked = [(ask, ask.level or secret.level(n)) for n, ask in enumerate(read.asked, start=1)]
    about = read.about
    head = Head(
        about.name, read.title, about.paper, about.minutes or 0, about.about, read.size,
        tuple(question_line(ask, level) for ask, level in asked),
    )  # fmt: skip
    (part / HANDED_OUT).mkdir()
    (part / TUTOR).mkdir(mode=0o700)
    _private(part / TUTOR / SECRET, [secret.text + "\n"])
    if read.names:
        _private(part / TUTOR / NAMES, [_names_csv(names)])
    _private(part / TUTOR / RECORD, _record(part / HANDED_OUT, head, asked, secret, list(names), tell))
    return _print(part, head, tell)


def _record(
    folder: Path,
    head: Head,
    asked: Sequence[tuple[Ask, int]],
    secret: Secret,
    trainees: list[str],
    tell: Tell,
) -> Iterator[str]:
    """Lines of the record; each trainee's files are written as their line comes up."""
    yield head_line(head)
    paper = sha256(json.dumps([head.title, *_versions(asked)]).encode()).hexdigest()
    same: dict[int, Problem] = {}
    for n, (ask, level) in enumerate(asked, start=1):
        if ask.same_for_all:
            same[n] = _draw(ask, level, secret, "", n, list(same.values()))
    taken: set[str] = set()
    for done, trainee in enumerate(trainees, start=1):
        variant, again = secret.variant(trainee, paper), 0
        while variant in taken:
            variant, again = secret.variant(trainee, paper, again + 1), again + 1
        taken.add(variant)
        problems: list[Problem] = []
        for n, (ask, level) in enumerate(asked, start=1):
            problems.append(same.get(n) or _draw(ask, level, secret, trainee, n, problems))
        open_ = [given.without_key(each) for each in problems]
        mine = folder / trainee
        mine.mkdir()
        for name, text in (
            (given.NOTEBOOK, as_file(given.notebook(head, trainee, variant, open_))),
            (given.ANSWERS, given.answer_file(head, trainee, variant, open_)),
            (given.RETURN, given.return_note(head, trainee, variant)),
        ):
            (mine / name).write_bytes(given.as_bytes(text))
        yield issued_line(
            trainee,
            variant,
            problems,
            [given.question_text(n, each) for n, each in enumerate(open_, start=1)],
        )
        tell("sheets drawn", done, len(trainees))


def _versions(asked: Sequence[tuple[Ask, int]]) -> list[list[str | int]]:
    return [[ask.topic, TOPICS[ask.topic].version, level] for ask, level in asked]


def _draw(ask: Ask, level: int, secret: Secret, trainee: str, n: int, before: Sequence[Problem]) -> Problem:
    """One problem; another one if it stands on the same sheet already and the topic has others."""
    texts = {each.text() for each in before}
    for again in range(_AGAIN):
        drawn = problem(ask.topic, secret.seed(trainee, n, again), level)
        if drawn.text() not in texts:
            break
    return drawn


def _print(part: Path, head: Head, tell: Tell) -> tuple[str, ...]:
    """Print every sheet, and its key for the tutor; what the font lacks is named."""
    from gigsums.sheets import print_solved

    from ..printing import in_key, print_problems

    (part / TUTOR / KEYS).mkdir(mode=0o700)
    missing: dict[str, None] = {}
    for done, issued in enumerate(Record(part / TUTOR / RECORD), start=1):
        sheet = print_problems(
            head.title,
            [given.without_key(each) for each in issued.problems],
            about=head.about,
            minutes=head.minutes or None,
            variant=issued.variant,
            who=issued.trainee,
            paper=head.paper,
        )
        (part / HANDED_OUT / issued.trainee / given.PRINTED).write_bytes(sheet.pdf)
        solved = [
            replace(in_key(each), which=f"{sentence(each.topic)}, level {each.level}")
            for each in issued.problems
        ]
        key = print_solved(head.title, solved, variant=issued.variant, who=issued.trainee, paper=head.paper)
        _private(part / TUTOR / KEYS / f"{issued.trainee}.pdf", [key.pdf])
        missing.update(dict.fromkeys(sheet.missing))
        tell("sheets printed", done, head.trainees)
    return tuple(missing)


def _names_csv(names: dict[str, str]) -> str:
    return as_csv(["name", "trainee"], ((name, pseudonym) for pseudonym, name in names.items()))


def _private(path: Path, pieces: Iterable[str | bytes]) -> None:
    """Write a file that only its owner may read, where the system knows such a thing."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "wb") as out:
        out.writelines(each.encode("utf-8") if isinstance(each, str) else each for each in pieces)


def _into_place(part: Path, folder: Path) -> None:
    """Move what was written to where it belongs; what stood there is moved aside, never removed."""
    for name in (HANDED_OUT, TUTOR):
        (folder / name).parent.mkdir(exist_ok=True)
        if (folder / name).exists():
            aside(folder / name)
        os.replace(part / name, folder / name)
    (folder / RETURNED).mkdir(exist_ok=True)


def aside(there: Path) -> None:
    """Move what stands there to a name beside it that is free."""
    number = 1
    while (free := there.with_name(f"{there.name} (earlier {number})")).exists():
        number += 1
    os.replace(there, free)
