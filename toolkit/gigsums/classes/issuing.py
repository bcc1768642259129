"""Handing out: a folder for each trainee, and apart from them what only the tutor keeps.

Nothing that a trainee is given is made from an answer, a slip, workings or a seed: a problem is stripped of them first
(`opened`), and an `OpenGig` holds nothing of what is right.
"""

from __future__ import annotations

import csv
import json
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any

from gigsums.gig.files import BadFile
from gigsums.practice import worksheets
from gigsums.practice.marking import wanted
from gigsums.practice.problems import Problem, RightAnswer
from gigsums.practice.questions import Question
from gigsums.practice.topic import TOPICS, problem
from gigsums.practice.wording import as_markdown, listed, sentence
from gigsums.sheets import Asked, Printed, Solved, print_solved
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import Block, OpenGig, as_markdown_text, blank, print_blocks

from .class_file import ClassFile, ClassQuestion, question_line, read_class
from .disk import alone_in, arrive, as_csv, mend, put_in, safe_cell, write, writing
from .record import PSEUDONYM, Head, Issued, Record, Secret, gig_line, head_line, issued_line

NOTEBOOK, PRINTED, ANSWERS, RETURN = (
    "worksheet.ipynb",
    "worksheet.pdf",
    "answers.toml",
    "how to return this.txt",
)
GIG_NOTEBOOK, GIG_PRINTED, GIG_ANSWERS = "whole_gig_{}.ipynb", "whole_gig_{}.pdf", "whole_gig_{}.toml"
"""Names of the files of a question that is a whole gig."""
NEUTRAL = float("nan")
"""Stands where an answer stood: equal to nothing, near nothing."""
COUNTS = "It counts as much as one other question of the sheet."
HANDED_OUT, RETURNED, TUTOR = "hand-out", "returned", "tutor"
TOGETHER = (TUTOR, HANDED_OUT)
"""Sheets and the record of just these sheets, which is the first to arrive."""
RECORD, SECRET, NAMES, KEYS = "record.jsonl", "secret.txt", "names.csv", "keys"
_KEPT = {KEYS: "the printed keys", RECORD: "the record", SECRET: "the secret", NAMES: "the list of names"}
_AGAIN = 20

Tell = Callable[[str, int, int], None]
"""Is told what is being done, how many are done, and how many there are."""
Open = Problem | OpenGig
"""A problem as it may leave the tutor's hands."""


# what a trainee is given


def opened(problem: Problem | WholeGig) -> Open:
    """A problem as it may leave the tutor's hands: all that is read, and nothing that follows from the answer."""
    if isinstance(problem, WholeGig):
        return problem.open
    neutral: Any = NEUTRAL  # the tolerance is its topic's, and the trainee is told how near to come
    answer = RightAnswer(
        tuple(replace(part, value="" if part.choices else neutral) for part in problem.answer.parts)
    )
    bare: Any = {"shown": {}, "workings": (), "slips": (), "notes": (), "nudge": "", "seed": ""}
    return replace(problem, answer=answer, wanted=wanted(answer), **bare)


def gigs_among(problems: Sequence[Any]) -> list[tuple[int, OpenGig]]:
    """Number and problem of each whole gig on a sheet."""
    return [(n, each) for n, each in enumerate(problems, start=1) if isinstance(each, OpenGig)]


def files(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> dict[str, str]:
    """Every file of a trainee's folder that is text, by name."""
    made = {RETURN: return_note(head, trainee, variant)}
    if head.topics:
        made[NOTEBOOK] = notebook(head, trainee, variant, problems)
        made[ANSWERS] = answer_file(head, trainee, variant, problems)
    for n, job in gigs_among(problems):
        whose: dict[str, str | int] = {
            "class": head.name,
            "trainee": trainee,
            "variant": variant,
            "question": n,
        }
        made[GIG_NOTEBOOK.format(n)] = gig_notebook(head, trainee, variant, n, job)
        made[GIG_ANSWERS.format(n)] = blank(job, whose)
    return made


def notebook_file(cells: Iterable[tuple[str, str]]) -> str:
    """The file of a notebook whose cells have these names and texts; those named after an answer, or whose it is, are code."""
    from nbformat import v4

    made = [
        (v4.new_code_cell if name.startswith(("answer-", "whose")) else v4.new_markdown_cell)(text, id=name)
        for name, text in cells
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    whole = {"kernelspec": kernel, "language_info": {"name": "python"}}
    # not `nbformat.writes`, which validates each sheet anew: the tests validate what is issued
    return str(v4.writes(v4.new_notebook(cells=made, metadata=whole))) + "\n"


def notebook(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> str:
    """The sheet as a notebook in format 4.5: problems as text, answers as texts between quotes, nothing to run."""
    questions = "One question" if len(problems) == 1 else f"{len(problems)} questions"
    minutes = f", about {head.minutes} minutes" if head.minutes else ""
    lines = [f"# {as_markdown(head.title)}", f"*{questions}{minutes}.*"]
    lines += [as_markdown(each) for each in head.about.split("\n\n") if each.strip()]
    lines.append(
        "Type each answer between the quotes of its cell and save. Units and a decimal comma are read. Nothing has to be "
        "run, and nothing is checked here: return this notebook as it is."
    )
    whose = (
        f'# Which sheet this is. Leave both lines as they are.\ntrainee = "{trainee}"\nvariant = "{variant}"'
    )
    cells = [("opening", "\n\n".join(lines)), ("whose", whose)]
    for n, each in enumerate(problems, start=1):
        cells.append((f"question-{n}", question_text(n, each)))
        if not isinstance(each, OpenGig):
            cells.append((f"answer-{n}", f'answer_{n} = ""'))
    return notebook_file(cells)


def question_text(n: int, problem: Open) -> str:
    """One question as Markdown; of a whole gig, where it stands and where it is answered."""
    if not isinstance(problem, OpenGig):
        return f"## Question {n}\n\n{Question(problem)._repr_markdown_()}"
    return (
        f"## Question {n}\n\n**{as_markdown(problem.title)}**, a whole gig to size. It stands on a sheet of its own, "
        f"`{GIG_PRINTED.format(n)}` to print and `{GIG_NOTEBOOK.format(n)}` to read on the screen. Type the answer into "
        f"`{GIG_ANSWERS.format(n)}`. {COUNTS}"
    )


def gig_blocks(head: Head, job: OpenGig) -> tuple[Block, ...]:
    """What stands on the sheet of a whole gig; with what is said to the class where there is no other sheet to say it."""
    said = [Block(head.title, head.about)] if head.about and not head.topics else []
    return (*said, *job.blocks())


def gig_notebook(head: Head, trainee: str, variant: str, n: int, job: OpenGig) -> str:
    """The sheet of a whole gig as a notebook to read: there is nothing in it to fill in or to run."""
    how = (
        f"*Question {n} of {as_markdown(head.title)}, for {trainee}, variant {variant}.* Read it here or in "
        f"`{GIG_PRINTED.format(n)}`, and type the answer into `{GIG_ANSWERS.format(n)}`: open it with a double click, fill "
        "it in, save it. This notebook is not returned."
    )
    texts = [f"# {as_markdown(job.title)}\n\n{how}"]
    texts += [as_markdown_text("", [block]) for block in gig_blocks(head, job)]
    return notebook_file((f"gig-{at}", text) for at, text in enumerate(texts))


def answer_file(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> str:
    """A file to answer in: TOML, a line for each question, what is wanted behind it as a note."""
    lines = [
        f"# Answers to {_on_one_line(head.title)}. The questions are in {PRINTED} and {NOTEBOOK}.",
        "# Type each answer between the quotes, save, and return this file. Answer here or in the notebook, not in both.",
        "format = 1",
        f"class = {_toml_text(head.name)}",
        f'trainee = "{trainee}"',
        f'variant = "{variant}"',
        "",
        "[answers]",
    ]
    for n, each in enumerate(problems, start=1):
        if isinstance(each, OpenGig):
            lines.append(f"# {n}. A whole gig; its answer goes into {GIG_ANSWERS.format(n)}.")
        else:
            lines += [f"# {n}. Type {_on_one_line(each.wanted)}.", f'{n} = ""']
    return "\n".join(lines) + "\n"


def return_note(head: Head, trainee: str, variant: str) -> str:
    """How to return the sheet, as plain text."""
    there = []
    if head.topics:
        there += [
            (PRINTED, "the questions, to read or to print"),
            (NOTEBOOK, "the same questions, to answer in JupyterLab"),
            (ANSWERS, "the same answers, to type in any text editor"),
        ]
    for n in head.whole_gigs:
        there += [
            (GIG_PRINTED.format(n), f"question {n}, a whole gig, to read or to print"),
            (GIG_NOTEBOOK.format(n), "the same, to read in JupyterLab"),
            (GIG_ANSWERS.format(n), "your answer to it, to type in any text editor"),
        ]
    names = [GIG_ANSWERS.format(n) for n in head.whole_gigs]
    said = []
    if head.topics:
        but = f"\nThe whole gig is answered in {listed(names)}, whichever you take." if names else ""
        said.append(
            f"""Answer in ONE of {NOTEBOOK} and {ANSWERS}. Type between the quotes: "4, 6" or
"74.8 ms" or "12 ft". A decimal comma is read too. Leave empty what you do not know.{but}"""
        )
    else:
        said.append(f"Answer in {listed(names)}. Leave empty what you do not know.")
    back = [*(["that one file"] if head.topics else []), *names]
    files, them = listed(back), "them" if len(back) > 1 else "it"
    said.append(
        f"""When you have done, save, and give {files} back to your tutor.
If you worked on paper, give the paper back. Do not pack {them} into an archive, and do
not change the lines with "trainee" and "variant": your answers are marked by them."""
    )
    said.append(f'"{trainee}" stands for you. Your name is on nothing here.')
    wide = max(len(name) for name, _ in there) + 3
    table = "\n".join(f"{name:{wide}}{what}" for name, what in there)
    body = "\n\n".join([table, *said])
    return f"{_on_one_line(head.title)}\nFor {trainee}, variant {variant}\n\n{body}\n"


def _on_one_line(text: str) -> str:
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


def _toml_text(text: str) -> str:
    return json.dumps(_on_one_line(text), ensure_ascii=False).replace("\x7f", "\\u007f")


# on paper


def sheets(head: Head, issued: Issued) -> Iterator[tuple[str, Printed]]:
    """Name and pages of each printed sheet of a trainee."""
    open_ = [opened(each) for each in issued.problems]
    if head.topics:
        asked = [
            _pointer(n, each) if isinstance(each, OpenGig) else each for n, each in enumerate(open_, start=1)
        ]
        yield (
            PRINTED,
            worksheets.print_problems(
                head.title, asked, about=head.about, minutes=head.minutes or None,
                variant=issued.variant, who=issued.trainee, paper=head.paper,
            ),
        )  # fmt: skip
    for n, job in gigs_among(open_):
        yield GIG_PRINTED.format(n), gig_sheet(head, issued.trainee, issued.variant, job)


def gig_sheet(head: Head, trainee: str, variant: str, job: OpenGig) -> Printed:
    """The sheet of a whole gig to print."""
    return print_blocks(job.title, gig_blocks(head, job), variant=variant, who=trainee, paper=head.paper)


def _pointer(n: int, job: OpenGig) -> Asked:
    where = f"It stands on a sheet of its own, {GIG_PRINTED.format(n)}, with the tables to fill in. {COUNTS}"
    return Asked(scene=where, question="", lead=(((f"{job.title}, a whole gig to size", True),),), lines=0)


def keys(head: Head, issued: Issued, first: bool) -> Iterator[tuple[str, Printed]]:
    """Name and pages of the key of a sheet, and with the first sheet of each whole gig, which is everybody's."""
    if head.topics:
        solved = [
            Solved(f"in {GIG_PRINTED.format(n)}", which=f"{each.title}, a whole gig")
            if isinstance(each, WholeGig)
            else replace(worksheets.in_key(each), which=f"{sentence(each.topic)}, level {each.level}")
            for n, each in enumerate(issued.problems, start=1)
        ]
        key = print_solved(head.title, solved, variant=issued.variant, who=issued.trainee, paper=head.paper)
        yield f"{issued.trainee}.pdf", key
    for n, each in enumerate(issued.problems, start=1):
        if first and isinstance(each, WholeGig):
            yield (
                GIG_PRINTED.format(n),
                print_blocks(each.title, each.key_blocks(), key=True, paper=head.paper),
            )


# the class's folder


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

    def make(place: Path) -> tuple[str, ...]:
        if not folder.exists():
            (place / RETURNED).mkdir()
        secret = _secret(folder)
        return _write(
            place, read, secret, _names(folder, read, secret), tell or (lambda what, done, of: None)
        )

    with writing(folder):
        if not os.path.lexists(folder):
            try:
                _, missing = arrive(folder.parent, [folder.name], make)
            except FileExistsError:
                raise _taken(folder) from None
        elif not folder.is_dir():
            raise BadFile(
                str(folder), "", "a file of that name is there.", "Choose another folder with --to."
            )
        else:
            mend(folder, TOGETHER)
            if not replace and any(not each.name.startswith(".") for each in folder.iterdir()):
                raise _taken(folder)
            returned = folder / RETURNED
            if os.path.lexists(returned) and not returned.is_dir():
                raise BadFile(
                    str(returned), "", "a file of that name is there.", "Move it away, and try again."
                )
            with alone_in(folder, TOGETHER):
                missing = put_in(folder, TOGETHER, make)
                returned.mkdir(exist_ok=True)
    return Handout(folder, read.size, len(read.asked), missing)


def _taken(folder: Path) -> BadFile:
    return BadFile(
        str(folder), "", "the folder is there already, and was left as it is.",
        "Choose another with --to, or add --replace to hand out again.",
    )  # fmt: skip


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


def _write(
    place: Path, read: ClassFile, secret: Secret, names: dict[str, str], tell: Tell
) -> tuple[str, ...]:
    """Write the sheets and what the tutor keeps; characters that the font lacks are named."""
    asked = [(ask, ask.level or secret.level(n)) for n, ask in enumerate(read.asked, start=1)]
    about = read.about
    head = Head(
        about.name, read.title, about.paper, about.minutes or 0, about.about, read.size,
        tuple(question_line(read, n, level) for n, (_, level) in enumerate(asked, start=1)),
    )  # fmt: skip
    (place / HANDED_OUT).mkdir()
    (place / TUTOR).mkdir(mode=0o700)
    write(place / TUTOR / SECRET, [secret.text + "\n"])
    if read.names:
        rows = ((name, pseudonym) for pseudonym, name in names.items())
        write(place / TUTOR / NAMES, [as_csv(["name", "trainee"], rows)])
    lines = _record(place / HANDED_OUT, head, read, asked, secret, list(names), tell)
    write(place / TUTOR / RECORD, lines)
    return _print(place, head, tell)


def _record(
    folder: Path, head: Head, read: ClassFile, asked: Sequence[tuple[ClassQuestion, int]], secret: Secret,
    trainees: Sequence[str], tell: Tell,
) -> Iterator[str]:  # fmt: skip
    """Lines of the record; each trainee's files are written as their line comes up."""
    yield head_line(head)
    yield from map(gig_line, read.gigs.values())
    same: dict[int, Problem | WholeGig] = {}
    versions: list[list[str | int]] = []
    for n, (ask, level) in enumerate(asked, start=1):
        if ask.whole_gig is not None:
            same[n] = job = read.gigs[ask.whole_gig]
            versions.append(["whole gig", job.files.id])
            continue
        versions.append([ask.topic or "", TOPICS[ask.topic or ""].version, level])
        if ask.same_for_all:
            same[n] = _draw(ask, level, secret, "", n, list(same.values()))
    paper = sha256(json.dumps([head.title, *versions]).encode()).hexdigest()
    taken: set[str] = set()
    for done, trainee in enumerate(trainees, start=1):
        variants = (secret.variant(trainee, paper, again) for again in count())
        variant = next(each for each in variants if each not in taken)
        taken.add(variant)
        problems: list[Problem | WholeGig] = []
        for n, (ask, level) in enumerate(asked, start=1):
            problems.append(same.get(n) or _draw(ask, level, secret, trainee, n, problems))
        open_ = [opened(each) for each in problems]
        (folder / trainee).mkdir()
        for name, text in files(head, trainee, variant, open_).items():
            (folder / trainee / name).write_bytes(text.encode("utf-8"))
        texts = [question_text(n, each) for n, each in enumerate(open_, start=1)]
        yield issued_line(trainee, variant, problems, texts)
        tell("sheets drawn", done, len(trainees))


def _draw(
    ask: ClassQuestion, level: int, secret: Secret, trainee: str, n: int, before: Sequence[Problem | WholeGig]
) -> Problem:
    """One problem; another one if it stands on the same sheet already and the topic has others."""
    texts = {each.text() for each in before if isinstance(each, Problem)}
    for again in range(_AGAIN):
        drawn = problem(ask.topic or "", secret.seed(trainee, n, again), level)
        if drawn.text() not in texts:
            break
    return drawn


def _print(place: Path, head: Head, tell: Tell) -> tuple[str, ...]:
    """Print every sheet, and its key for the tutor; what the font lacks is named."""
    (place / TUTOR / KEYS).mkdir(mode=0o700)
    missing: dict[str, None] = {}
    for done, issued in enumerate(Record(place / TUTOR / RECORD), start=1):
        for name, page in sheets(head, issued):
            (place / HANDED_OUT / issued.trainee / name).write_bytes(page.pdf)
            missing.update(dict.fromkeys(page.missing))
        for name, page in keys(head, issued, first=done == 1):
            write(place / TUTOR / KEYS / name, [page.pdf], settled=False)
        tell("sheets printed", done, head.trainees)
    return tuple(missing)
