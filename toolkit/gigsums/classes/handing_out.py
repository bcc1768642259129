"""Handing out: a folder for each trainee, and apart from them what only the tutor keeps."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from gigsums.gig.files import BadFile
from gigsums.practice.problems import Problem
from gigsums.practice.topic import TOPICS, problem
from gigsums.practice.wording import listed
from gigsums.whole_gigs.problem import WholeGig

from . import issued_files as given
from .chance import PSEUDONYM, Secret
from .class_file import Ask, ClassFile, question_line, read_class
from .in_place import alone_in, moved_in, write, writing
from .record import Head, Record, gig_line, head_line, issued_line
from .tables import as_csv, safe_cell

HANDED_OUT, RETURNED, TUTOR = "hand-out", "returned", "tutor"
RECORD, SECRET, NAMES, KEYS = "record.jsonl", "secret.txt", "names.csv", "keys"
_KEPT = {KEYS: "the printed keys", RECORD: "the record", SECRET: "the secret", NAMES: "the list of names"}
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

    @property
    def kept(self) -> str:
        """What is in the tutor's own folder, in words."""
        return listed([words for name, words in _KEPT.items() if (self.record.parent / name).exists()])


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
    with writing(folder):
        if folder.exists() and not folder.is_dir():
            raise BadFile(
                str(folder), "", "a file of that name is there.", "Choose another folder with --to."
            )
        with alone_in(folder, HANDED_OUT):
            if not replace:
                _check_free(folder)
            secret = _secret(folder)
            names = _names(folder, read, secret)
            new = [name for name in (TUTOR, RETURNED, HANDED_OUT) if name != RETURNED or _to_make(folder)]
            with moved_in(folder, HANDED_OUT, new) as part:
                if RETURNED in new:
                    (part / RETURNED).mkdir()
                missing = _write(part, read, secret, names, tell or _silent)
    return Handout(folder, read.size, len(read.asked), missing)


def _check_free(folder: Path) -> None:
    if any(not each.name.startswith(".") for each in folder.iterdir()):
        raise BadFile(
            str(folder), "", "the folder is there already, and was left as it is.",
            "Choose another with --to, or add --replace to hand out again.",
        )  # fmt: skip


def _to_make(folder: Path) -> bool:
    """Whether the folder for what comes back is still to be made."""
    there = folder / RETURNED
    if there.exists() and not there.is_dir():
        raise BadFile(str(there), "", "a file of that name is there.", "Move it away, and try again.")
    return not there.is_dir()


def _silent(what: str, done: int, of: int) -> None:
    pass


def _secret(folder: Path) -> Secret:
    """The secret that the class has already, or a new one."""
    kept = folder / TUTOR / SECRET
    if not kept.is_file():
        if (folder / HANDED_OUT).exists() and not (folder / TUTOR).exists():
            raise BadFile(
                str(folder), "", f"{HANDED_OUT} is there, and {TUTOR} with the record of it is not.",
                f"Put {TUTOR} back, or hand out to another folder with --to.",
            )  # fmt: skip
        return Secret()
    try:
        return Secret(kept.read_text(encoding="ascii").strip())
    except (OSError, ValueError):
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
    known = _known(folder / TUTOR / NAMES)
    wanted = [safe_cell(name.strip()) for name in read.names]
    new = sum(name not in known for name in wanted)
    taken = set(known.values())
    free = iter([name for name in secret.pseudonyms(len(taken) + new) if name not in taken])
    given_to = {name: known.get(name) or next(free) for name in wanted}
    return {pseudonym: name for name, pseudonym in given_to.items()}


def _known(kept: Path) -> dict[str, str]:
    """Pseudonym of each name that has one."""
    if not kept.is_file():
        return {}
    try:
        with open(kept, encoding="utf-8-sig", newline="") as rows:
            lines = [row for row in list(csv.reader(rows))[1:] if row]
        known = {row[0]: row[1] for row in lines}
    except (OSError, UnicodeDecodeError, IndexError, csv.Error):
        lines, known = [], {"": ""}
    if len(set(known.values())) != len(lines) or not all(map(PSEUDONYM.fullmatch, known.values())):
        raise BadFile(
            str(kept), "", "this is not the list of names that handout wrote: each line has a name, a comma, a pseudonym.",
            "Put it back; without it, everybody gets a pseudonym in the order of the class file.",
        )  # fmt: skip
    return known


def _write(part: Path, read: ClassFile, secret: Secret, names: dict[str, str], tell: Tell) -> tuple[str, ...]:
    asked = [(ask, ask.level or secret.level(n)) for n, ask in enumerate(read.asked, start=1)]
    about = read.about
    head = Head(
        about.name, read.title, about.paper, about.minutes or 0, about.about, read.size,
        tuple(question_line(read, n, level) for n, (_, level) in enumerate(asked, start=1)),
    )  # fmt: skip
    (part / HANDED_OUT).mkdir()
    (part / TUTOR).mkdir(mode=0o700)
    write(part / TUTOR / SECRET, [secret.text + "\n"])
    if read.names:
        write(part / TUTOR / NAMES, [_names_csv(names)])
    drawing = _Drawing(read.gigs, asked, secret)
    write(part / TUTOR / RECORD, _record(part / HANDED_OUT, head, drawing, list(names), tell))
    return _print(part, head, tell)


def _record(folder: Path, head: Head, drawing: _Drawing, trainees: list[str], tell: Tell) -> Iterator[str]:
    """Lines of the record; each trainee's files are written as their line comes up."""
    yield head_line(head)
    yield from map(gig_line, drawing.gigs.values())
    paper = sha256(json.dumps([head.title, *drawing.versions()]).encode()).hexdigest()
    taken: set[str] = set()
    for done, trainee in enumerate(trainees, start=1):
        variant, again = drawing.secret.variant(trainee, paper), 0
        while variant in taken:
            variant, again = drawing.secret.variant(trainee, paper, again + 1), again + 1
        taken.add(variant)
        problems = drawing.sheet(trainee)
        open_ = [given.opened(each) for each in problems]
        mine = folder / trainee
        mine.mkdir()
        for name, text in given.files(head, trainee, variant, open_).items():
            (mine / name).write_bytes(given.as_bytes(text))
        yield issued_line(
            trainee,
            variant,
            problems,
            [given.question_text(n, each) for n, each in enumerate(open_, start=1)],
        )
        tell("sheets drawn", done, len(trainees))


class _Drawing:
    """Draws sheets: for each trainee the problems of every topic, and for all the same whole gigs."""

    def __init__(
        self, gigs: Mapping[str, WholeGig], asked: Sequence[tuple[Ask, int]], secret: Secret
    ) -> None:
        self.gigs, self.asked, self.secret = gigs, asked, secret
        self.same: dict[int, Problem | WholeGig] = {}
        for n, (ask, level) in enumerate(asked, start=1):
            if ask.whole_gig is not None:
                self.same[n] = gigs[ask.whole_gig]
            elif ask.same_for_all:
                self.same[n] = self._draw(ask, level, "", n, list(self.same.values()))

    def sheet(self, trainee: str) -> list[Problem | WholeGig]:
        """The problems of one trainee."""
        problems: list[Problem | WholeGig] = []
        for n, (ask, level) in enumerate(self.asked, start=1):
            problems.append(self.same.get(n) or self._draw(ask, level, trainee, n, problems))
        return problems

    def _draw(
        self, ask: Ask, level: int, trainee: str, n: int, before: Sequence[Problem | WholeGig]
    ) -> Problem:
        """One problem; another one if it stands on the same sheet already and the topic has others."""
        assert ask.topic is not None
        texts = {each.text() for each in before if isinstance(each, Problem)}
        for again in range(_AGAIN):
            drawn = problem(ask.topic, self.secret.seed(trainee, n, again), level)
            if drawn.text() not in texts:
                break
        return drawn

    def versions(self) -> list[list[str | int]]:
        """What is asked, so that another paper has other variants."""
        return [
            ["whole gig", self.gigs[ask.whole_gig].files.id]
            if ask.whole_gig is not None
            else [ask.topic or "", TOPICS[ask.topic or ""].version, level]
            for ask, level in self.asked
        ]


def _print(part: Path, head: Head, tell: Tell) -> tuple[str, ...]:
    """Print every sheet, and its key for the tutor; what the font lacks is named."""
    from . import printed

    (part / TUTOR / KEYS).mkdir(mode=0o700)
    missing: dict[str, None] = {}
    record = Record(part / TUTOR / RECORD)
    for done, issued in enumerate(record, start=1):
        for name, page in printed.sheets(head, issued):
            (part / HANDED_OUT / issued.trainee / name).write_bytes(page.pdf)
            missing.update(dict.fromkeys(page.missing))
        for name, page in printed.keys(head, issued, first=done == 1):
            write(part / TUTOR / KEYS / name, [page.pdf], settled=False)
        tell("sheets printed", done, head.trainees)
    return tuple(missing)


def _names_csv(names: dict[str, str]) -> str:
    return as_csv(["name", "trainee"], ((name, pseudonym) for pseudonym, name in names.items()))
