"""The results of a class: a folder of returned files marked, and what is told of it, to the tutor and to each trainee.

The overview is made of plain tables, and its notebook, its PDF and its CSV are made of these.
"""

from __future__ import annotations

import datetime as dt
import os
import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import count
from pathlib import Path

from gigsums.gig.files import BadFile
from gigsums.practice.marking import NOTED, RIGHT, SLIP, WRONG
from gigsums.practice.problems import Problem
from gigsums.practice.wording import as_markdown, listed, sentence, short
from gigsums.whole_gigs.files import SECTIONS
from gigsums.whole_gigs.marking import WholeMarking
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import Block

from .answers import Pile, gather
from .disk import arrive, as_csv, mend, writing
from .issuing import HANDED_OUT, RECORD, RETURNED, TOGETHER, TUTOR, Tell, notebook_file
from .marking import (
    FEWEST,
    NOT_ANSWERED,
    PARTLY,
    PENDING,
    Keys,
    Marked,
    MarkedSheet,
    Overview,
    Said,
    copies,
    mark_sheet,
    overview,
)
from .record import Head, Issued, Record

RESULTS = "results"
FEEDBACK, MARKS, ANSWERS, OVERVIEW = "feedback", "marks.csv", "answers.csv", "overview"
_LINES = 10
_WIDTH = 78
_DEEP = "    "
SHOWN_OUTCOMES = {
    RIGHT: "Right",
    NOTED: "With a note",
    SLIP: "Slip",
    WRONG: "Wrong",
    NOT_ANSWERED: "Empty",
    PARTLY: "In part",
    PENDING: "Pending",
}
LONGEST_FILE = 80
MOST_ROWS = 400
"""Rows of one printed document. A longer overview is printed as several and without bars: what a document takes while it
is printed grows with its rows and, threefold, with bars."""


@dataclass(frozen=True)
class ClassMarked:
    """A class as marked, and where the results lie."""

    folder: Path
    overview: Overview


def mark_folder(
    folder: str | Path,
    record: str | Path | None = None,
    to: str | Path | None = None,
    *,
    replace: bool = False,
    tell: Tell | None = None,
) -> ClassMarked:
    """Mark everything that was dropped in a folder.

    Nothing in a returned file is run. A file that cannot be marked is refused with its reason, and the next one is
    looked at.

    Parameters
    ----------
    folder : str or Path
        Where the returned files are, in folders of their own or not; or the class's folder as `handout` wrote it.
    record : str or Path, optional
        The tutor's record; the one beside the folder, as `handout` wrote it, if left out.
    to : str or Path, optional
        The folder for the results; if left out, a new one, named after day and time, in the folder "results" beside the
        returned files.
    replace : bool, optional
        Whether what stands in the way of `to` is moved aside; without `to` nothing ever stands in the way.
    tell : callable, optional
        Told of the progress.

    Returns
    -------
    ClassMarked

    Raises
    ------
    BadFile
        If the folder or the record cannot be used, or the results cannot be written.
    """
    mend(Path(folder), TOGETHER)
    returned = _returned(Path(folder))
    beside = returned.absolute().parent
    chosen = beside / RESULTS if to is None else Path(to).absolute()
    with writing(chosen):
        if os.path.realpath(chosen) in map(str, (real := Path(os.path.realpath(returned)), *real.parents)):
            raise BadFile(
                short(str(chosen), 100), "", "the returned sheets lie in this folder.", "Choose another with --to.",
            )  # fmt: skip
        mend(beside, TOGETHER)
        kept = Record(record if record is not None else beside / TUTOR / RECORD)
        now = f"{dt.datetime.now():%Y-%m-%d %H%M}"
        dated = (now if n == 1 else f"{now} ({n})" for n in count(1))
        place, names = (chosen, dated) if to is None else (chosen.parent, iter([chosen.name]))
        aside = replace and to is not None
        if to is not None and os.path.lexists(chosen) and not aside:
            raise _there(chosen)
        try:
            made = arrive(place, names, lambda new: _mark(kept, returned, new, tell or _silent), aside)
        except FileExistsError:
            raise _there(chosen) from None
    return ClassMarked(*made)


def _there(chosen: Path) -> BadFile:
    return BadFile(
        str(chosen), "", "results are there already, and were left as they are.",
        "Choose another folder with --to, or add --replace to move them aside.",
    )  # fmt: skip


def _silent(what: str, done: int, of: int) -> None:
    pass


def _returned(folder: Path) -> Path:
    """The folder with the returned files: the one named, or the one in a class's folder."""
    try:
        if (folder / RETURNED).is_dir() and any((folder / each).is_dir() for each in (TUTOR, HANDED_OUT)):
            folder = folder / RETURNED
        next(os.scandir(folder), None)
    except FileNotFoundError:
        problem = "there is no such folder."
    except (OSError, ValueError) as error:
        problem = f"this folder cannot be read ({getattr(error, 'strerror', None) or error})."
    else:
        return folder
    raise BadFile(short(str(folder), 100), "", problem, "Name the folder with the returned files.")


def _mark(record: Record, returned: Path, results: Path, tell: Tell) -> Overview:
    """Mark all that was returned, write the results, and sum them up."""
    pile, keys, head = Pile(), Keys(), record.head
    for file in gather(returned, tell):
        pile.add(file)
    sheets: list[MarkedSheet] = []
    hints: dict[tuple[str, str], str] = {}
    missing: list[str] = []
    (results / FEEDBACK).mkdir()
    for done, issued in enumerate(record, start=1):
        drawn = [each if isinstance(each, Problem) else None for each in issued.problems]
        keys.add(issued.trainee, [each.answer if each else None for each in drawn])
        for each in filter(None, drawn):
            hints |= {(each.topic, slip.name): slip.hint for slip in each.slips}
        marked = mark_sheet(issued, pile)
        if marked is None:
            missing.append(issued.trainee)
        else:
            sheet, said = marked
            sheets.append(sheet)
            for asked, words in zip(head.questions, said, strict=True):
                if isinstance(words, WholeMarking):
                    hints |= {(asked["topic"], slip.name): slip.hint for slip in words.slips}
            text = feedback(head, sheet, issued, said)  # at once, so that no sheet has to be kept
            (results / FEEDBACK / f"{sheet.trainee}.txt").write_bytes(text.encode("utf-8"))
        tell("sheets marked", done, head.trainees)
    pile.refuse_the_rest(set(keys.trainees))
    wrong = [
        (sheet.trainee, [(n, each.values) for n, each in enumerate(sheet.marks, start=1) if each.values])
        for sheet in sheets
    ]
    gigs = {n: job.marks for n, job in record.whole_gigs.items()}
    seen = overview(head, sheets, hints, copies(keys, wrong), pile.refused, missing, gigs, record.changed())
    tables = sections(seen)
    parts = in_parts(tables)
    for done, (name, content) in enumerate(_written(seen, tables, parts), start=1):
        (results / name).write_bytes(content)
        tell("results written", done, 4 + len(parts))
    return seen


def _written(
    seen: Overview, tables: Sequence[OverviewTable], parts: Sequence[Sequence[OverviewTable]]
) -> Iterator[tuple[str, bytes]]:
    """Everything but the feedback."""
    yield MARKS, as_csv(*_marks(seen)).encode("utf-8")
    yield ANSWERS, as_csv(_ANSWERS_HEAD, _answers(seen)).encode("utf-8")
    yield (
        f"{OVERVIEW}.csv",
        as_csv(("section", "row", "column", "value"), _long(seen, tables)).encode("utf-8"),
    )
    yield f"{OVERVIEW}.ipynb", overview_notebook(seen, tables).encode("utf-8")
    for number, part in enumerate(parts, start=1):
        name = OVERVIEW if number == 1 else f"{OVERVIEW}, part {number}"
        yield f"{name}.pdf", overview_pdf(seen, part, number, len(parts))


def told(marked: ClassMarked) -> str:
    """A marked class in a few lines for a terminal.

    Parameters
    ----------
    marked : ClassMarked
        What `mark_folder` answered.

    Returns
    -------
    str
    """
    seen = marked.overview
    lines = [summary(seen)]
    for first in seen.slips[:1]:
        lines.append(
            f"Most frequent slip: {first.name} ({first.topic}), {first.trainees} of {first.of} trainees."
        )
    if look := seen.to_look_at:
        names = listed([sheet.trainee for sheet in look[:_LINES]])
        more = f" and {len(look) - _LINES} more" if len(look) > _LINES else ""
        lines.append(f"A person has to look at what {names}{more} wrote before the marks stand.")
    waits = [
        f"  pending: {sheet.trainee}, question {n}: {short(sheet.marks[n - 1].why, 90)}"
        for sheet in seen.with_pending
        for n in sheet.pending
    ]
    refused = [f"  not marked: {short(each.file, 60)}: {each.reason}" for each in seen.refused]
    for said, what in ((waits, "pending"), (refused, "files")):
        lines += said[:_LINES]
        lines += [f"  and {len(said) - _LINES} more {what}, named in the overview"] * (len(said) > _LINES)
    if remarked := sum(bool(sheet.remarks) for sheet in seen.sheets):
        lines.append(f"Remarks on {remarked} of the files marked are in the overview.")
    if seen.copies:
        names = listed([f"{each.trainee} and {each.other}" for each in seen.copies[:_LINES]])
        lines.append(f"A reason to talk, no more: answers that fit another sheet, of {names}.")
    return "\n".join([*lines, f"Results are in {marked.folder}: overview.pdf first."])


# the overview, table by table


@dataclass(frozen=True)
class Cell:
    """A cell: its text, and the share of the whole that it stands for where there is one."""

    text: str
    share: float | None = None


@dataclass(frozen=True)
class OverviewTable:
    """A heading, a word about it, and a table; without rows the word stands alone.

    Attributes
    ----------
    title, prose : str
        What it is, and how to read it.
    columns : tuple of str
        The heads.
    rows : tuple of tuple of Cell
        The cells; the first of each row names it.
    widths : tuple of int
        How wide each column is beside the others.
    """

    title: str
    prose: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[Cell, ...], ...] = ()
    widths: tuple[int, ...] = ()


def table(
    title: str, prose: str, heads: Sequence[str], rows: Iterable[Sequence[str | Cell]], widths: Sequence[int]
) -> Iterator[OverviewTable]:
    """A table of texts and cells, if there are any rows."""
    cells = tuple(tuple(Cell(each) if isinstance(each, str) else each for each in row) for row in rows)
    if cells:
        yield OverviewTable(title, prose, tuple(heads), cells, tuple(widths))


def percent(share: float | None) -> Cell:
    """A share of the marks as a cell."""
    return Cell("") if share is None else Cell(f"{100 * share:.0f} %", share)


def summary(seen: Overview) -> str:
    """The class in a sentence or two."""
    sheets = seen.sheets
    said = f"{len(sheets)} of {seen.head.trainees} sheets marked"
    if sheets:
        share = sum(sheet.total for sheet in sheets) / sum(sheet.of for sheet in sheets)
        said += f", {100 * share:.0f} % of the marks on average"
    said += "."
    if look := len(seen.to_look_at):
        said += f" A person has to look at {'one sheet' if look == 1 else f'{look} sheets'}."
    if waits := len(seen.with_pending):
        said += f" Something is pending on {'one sheet' if waits == 1 else f'{waits} sheets'}."
    if refused := len(seen.refused):
        said += f" {'One file was' if refused == 1 else f'{refused} files were'} refused."
    return said


def sections(seen: Overview) -> tuple[OverviewTable, ...]:
    """Every section, what to act on first."""
    return (
        *_to_look_at(seen), *_pending(seen), *_slips(seen), *_questions(seen), *_part_by_part(seen), *_grid(seen),
        *_copies(seen), *_not_marked(seen), *_remarks(seen),
    )  # fmt: skip


def in_parts(whole: Sequence[OverviewTable]) -> list[list[OverviewTable]]:
    """Sections shared out over documents of at most `MOST_ROWS` rows; every row stands in one of them."""
    parts: list[list[OverviewTable]] = [[]]
    left = MOST_ROWS
    for section in whole:
        rows, title, prose = section.rows, section.title, section.prose
        while True:
            if left <= 0:
                parts.append([])
                left = MOST_ROWS
            here, rows = rows[:left], rows[left:]
            parts[-1].append(replace(section, title=title, prose=prose, rows=here))
            left -= max(1, len(here))
            if not rows:
                break
            title, prose = f"{section.title}, continued", ""
    return parts if len(parts) == 1 else [[_without_bars(section) for section in part] for part in parts]


def _without_bars(section: OverviewTable) -> OverviewTable:
    return replace(section, rows=tuple(tuple(Cell(cell.text) for cell in row) for row in section.rows))


def _to_look_at(seen: Overview) -> Iterator[OverviewTable]:
    """Answers in which something dangerous stands, or may stand."""
    prose = (
        "Something in these answers could hurt people or gear, or can be read so. Read it, and talk to whoever wrote it. "
        "Where there is a cap, it is in the marks of this overview until you have changed them in your own books."
    )
    heads = ("Trainee", "Question", "Counted", "Without cap", "What to look at")
    rows = (
        (
            sheet.trainee, str(n), percent(each.worth),
            f"{100 * each.whole.earned:.0f} %" if each.whole.capped else "no cap", "; ".join(each.whole.flags),
        )
        for sheet in seen.sheets
        for n, each in enumerate(sheet.marks, start=1)
        if each.whole and each.whole.flags
    )  # fmt: skip
    yield from table("A person has to look", prose, heads, rows, (5, 4, 4, 4, 13))


def _pending(seen: Overview) -> Iterator[OverviewTable]:
    prose = (
        "These answers were not read. They have no mark, are left out of every number here, and what is told about them "
        "is held back. Drop what is missing in with the returned files, take away what is one too many, and mark again."
    )
    rows = (
        (sheet.trainee, str(n), sheet.marks[n - 1].why) for sheet in seen.with_pending for n in sheet.pending
    )
    yield from table("Pending", prose, ("Trainee", "Question", "Why"), rows, (3, 2, 8))


def _slips(seen: Overview) -> Iterator[OverviewTable]:
    title = "What to teach again"
    if not seen.slips:
        yield OverviewTable(title, "No answer came out at a known slip.")
    prose = "Known slips by how often the class made them. The last column is the hint that each trainee was given."
    if seen.gigs:
        prose += " For a whole gig it is the rule that the answer missed, or what to look at again."
    heads = ("Slip", "Topic", "Trainees", "Times", title)
    rows = (
        (each.name, each.topic, f"{each.trainees} of {each.of}", str(each.times), each.hint)
        for each in seen.slips
    )
    yield from table(title, prose, heads, rows, (5, 4, 3, 2, 8))


def _questions(seen: Overview) -> Iterator[OverviewTable]:
    prose = "Facility is the mean mark. "
    if not seen.big_enough:
        prose += (
            f"Discrimination is not shown: fewer than {FEWEST} sheets are marked, and it would mean nothing."
        )
    else:
        prose += (
            "Discrimination is the facility among the best 27 per cent of the sheets less that among the weakest 27 per "
            "cent: near 0 or below it, look at the question before you look at the class."
        )
        if any(item.discrimination is None for item in seen.items):
            prose += f" It is left out where fewer than {FEWEST} have a mark."
    outcomes = {
        key: said
        for key, said in SHOWN_OUTCOMES.items()
        if (key != PARTLY or seen.gigs) and (key != PENDING or seen.with_pending)
    }
    rows: list[list[str | Cell]] = []
    for item in seen.items:
        difference = "" if item.discrimination is None else f"{item.discrimination:+.2f}".replace("-", "−")
        rows.append([str(item.number), item.topic, str(item.level), percent(item.facility)])
        rows[-1] += [difference] * seen.big_enough
        rows[-1] += [str(item.outcomes.get(outcome, 0) or "–") for outcome in outcomes]
    heads = ["No.", "Topic", "Level", "Facility", *["Discrimination"] * seen.big_enough, *outcomes.values()]
    widths = [4, 15, 5, 7, *[13] * seen.big_enough, 5, 7, 4, 6, 10, 6, *[6] * (len(outcomes) - 6)]
    yield from table("Question by question", prose, heads, rows, widths)


def _part_by_part(seen: Overview) -> Iterator[OverviewTable]:
    """A section for each whole gig: how the class did on each of its parts."""
    for n, marks in seen.gigs.items():
        answers = [each for sheet in seen.sheets if (each := sheet.marks[n - 1].whole)]
        title, job, changed = f"Question {n}, part by part", seen.head.questions[n - 1]["topic"], ""
        if n in seen.changed:
            changed = (
                " Its key is worked out otherwise today than on the day it was handed out: hold the printed key against "
                "the feedback before you give marks."
            )
        if not answers:
            yield OverviewTable(title, f"Nobody has answered {job}.{changed}")
        prose = (
            f"{job}, as {len(answers)} answered it, before any cap. What follows from an earlier slip is carried forward "
            f"and counts as right.{changed}"
        )
        rows = [
            (
                said, str(getattr(marks, name)), percent(sum(shares) / len(shares)),
                f"{sum(share > 1 - 1e-6 for share in shares)} of {len(shares)}",
                f"{sum(share == 0 for share in shares)} of {len(shares)}",
            )
            for at, (name, said) in enumerate(SECTIONS.items())
            if (shares := [share for each in answers if (share := each.shares[at]) is not None])
        ]  # fmt: skip
        heads = ("Part", "Marks", "Facility", "Earned all", "Earned nothing")
        yield from table(title, prose, heads, rows, (8, 3, 4, 4, 4))


def out_of(total: float, of: int, asked: int) -> str:
    """Marks out of what has been marked, without needless decimals, and how many questions have not."""
    waits = f", {asked - of} pending" if of < asked else ""
    return f"{f'{total:.2f}'.rstrip('0').rstrip('.')} of {of}{waits}" if of else PENDING


def _grid(seen: Overview) -> Iterator[OverviewTable]:
    title, skills = "Trainee by skill", seen.head.skills
    if not seen.sheets:
        yield OverviewTable(title, "Nothing has been marked.")
        return
    asked = Counter(each["skill"] for each in seen.head.questions)
    of_class = dict.fromkeys((*skills, "All"), (0.0, 0))
    rows: list[list[str | Cell]] = []
    for sheet in seen.sheets:
        sums = {**seen.skills(sheet), "All": (sheet.total, sheet.of)}
        of_class = {key: (got + sums[key][0], of + sums[key][1]) for key, (got, of) in of_class.items()}
        rows.append([sheet.trainee])
        for skill, (got, of) in sums.items():
            rows[-1].append(
                Cell(out_of(got, of, asked.get(skill, len(sheet.marks))), got / of if of else None)
            )
    whole = [percent(got / of) if of else PENDING for got, of in of_class.values()]
    prose = "Marks of each trainee, by what the questions train. Real names are in the tutor's list alone."
    yield from table(
        title, prose, ("Trainee", *skills, "All"), [["The class", *whole], *rows], (4, *[3] * len(skills), 3)
    )


def _copies(seen: Overview) -> Iterator[OverviewTable]:
    title, same = "Answers that fit another sheet", ""
    if seen.gigs:
        same = " A whole gig is the same for everybody, so answers to it are not compared."
    if not seen.copies:
        said = (
            "No trainee's wrong answers fit another trainee's sheet more often than chance explains. That does not prove "
            "that nobody copied: a few answers, or answers to questions that have few, tell too little."
        )
        yield OverviewTable(title, said + same)
    prose = (
        "A reason to talk, never a verdict: so many of the trainee's wrong answers are right on the other sheet that fewer "
        "than one honest class in a hundred would show such a pair. It does not say who gave and who took, or how: two who "
        "worked together, or a sheet picked up by mistake, look the same." + same
    )
    heads = ("Trainee", "Fits the sheet of", "In questions", "Of wrong answers")
    rows = (
        (
            each.trainee,
            each.other,
            listed([str(n) for n in each.questions]),
            f"{len(each.questions)} of {each.wrong}",
        )
        for each in seen.copies
    )
    yield from table(title, prose, heads, rows, (4, 4, 5, 3))


def _not_marked(seen: Overview) -> Iterator[OverviewTable]:
    said = [f"Nothing is marked from {listed(seen.missing)}. All of that is pending."] if seen.missing else []
    said += ["Nothing was changed in these files."] if seen.refused else []
    rows = tuple((Cell(short(each.file, LONGEST_FILE)), Cell(each.reason)) for each in seen.refused)
    if said:
        yield OverviewTable("Not marked", " ".join(said), ("File", "Why"), rows, (2, 3))


def _remarks(seen: Overview) -> Iterator[OverviewTable]:
    prose = "These sheets are marked. Something about the file is worth knowing."
    rows = (
        (sheet.trainee, short(sheet.file, LONGEST_FILE), "; ".join(sheet.remarks))
        for sheet in seen.sheets
        if sheet.remarks
    )
    yield from table("Remarks", prose, ("Trainee", "File", "What"), rows, (2, 3, 5))


# what is told to a trainee


def feedback(head: Head, sheet: MarkedSheet, issued: Issued, said: Sequence[Said]) -> str:
    """What one trainee is told: each answer, what to make of it, and the way to the right one."""
    of = len(sheet.marks)
    lines = [
        " ".join(head.title.split()),
        f"Feedback for {sheet.trainee}, variant {sheet.variant}: {out_of(sheet.total, sheet.of, of)}",
    ]
    lines += [f"Note: {each}." for each in sheet.remarks]
    for n, (marked, words) in enumerate(zip(sheet.marks, said, strict=True), start=1):
        asked = issued.problems[n - 1]
        if isinstance(asked, WholeGig):
            lines += ["", *gig_feedback(n, asked, marked, words)]
            continue
        assert isinstance(words, str)
        lines += ["", *wrapped(asked.question, f"{n:2}. ")]
        if marked.worth is None:
            lines += held_back(marked)
            continue
        if marked.outcome == NOT_ANSWERED:
            lines.append("    You wrote nothing.")
        else:
            lines += wrapped(f"You wrote: {marked.typed or 'what could not be read'}", "    ")
            lines += wrapped(f"{SHOWN_OUTCOMES[marked.outcome]}. {sentence(words)}", "    ")
        lines.append("    The way:")
        for each in asked.workings:
            lines += wrapped(each, "    - ")
        lines += wrapped(f"Answer: {asked.answer}", "    ")
    return "\n".join(lines) + "\n"


def gig_feedback(n: int, job: WholeGig, marked: Marked, said: object) -> list[str]:
    """One question that is a whole gig, line by line: its marks part by part, and the way to what went wrong."""
    lines = wrapped(f"{job.title}, a whole gig", f"{n:2}. ")
    if marked.worth is None:
        return [*lines, *held_back(marked)]
    if not isinstance(said, WholeMarking):
        return [*lines, f"{_DEEP}You wrote nothing.", *_way(job, None)]
    cap = f", capped; without the cap {said.earned:g}" if said.earned > said.total else ""
    lines += wrapped(f"{said.total:g} of {said.out_of:g} marks{cap}.", _DEEP)
    if said.flags:
        lines += wrapped("A person has to look at this before the marks stand:", _DEEP)
        lines += _each([flag.text() for flag in said.flags])
    if said.malformed:
        lines += [f"{_DEEP}Not read:", *_each(said.malformed)]
    for section in said.sections:
        if section.out_of or section.messages:
            lines += [*wrapped(f"{section.heading()}.", _DEEP), *_each(section.messages)]
    return [*lines, *_way(job, said)]


def held_back(marked: Marked) -> list[str]:
    """What is told of an answer that has no mark yet: why, and nothing of what is right."""
    return wrapped(f"Pending: {marked.why}. It has no mark yet; the way to it is told with the mark.", _DEEP)


def _each(texts: Iterable[str], deep: str = _DEEP) -> list[str]:
    return [line for text in texts for line in wrapped(text, f"{deep}- ")]


def _way(job: WholeGig, said: WholeMarking | None) -> list[str]:
    """The key, for what did not earn everything; all of it where nothing was answered."""
    lines: list[str] = []
    for block in job.key_blocks():
        for part in [block] if said is None else _missed(block, said):
            answer = f": {part.answer}" if part.answer else ""
            lines += wrapped(f"{part.title}{answer}.", f"{_DEEP}  ")
            lines += _each((*part.lines, *_rows(part)), f"{_DEEP}  ")
    return [f"{_DEEP}The way:", *lines] if lines else []


def _missed(block: Block, said: WholeMarking) -> Iterator[Block]:
    """What somebody who answered so has to read of a block of the key: of the counts those that were not right."""
    if block.title == "Counts":
        if wrong := [one.label for one in said.counts if not one.good]:
            told = {label: line for line in block.lines if (label := line.partition(": ")[0]) in wrong}
            rest = [f"{row[0]}: {row[1]}" for row in block.rows if row[0] in wrong and row[0] not in told]
            yield Block("Counts", lines=(*told.values(), *rest))
        return
    kind, _, key = block.title.partition(": ")
    about = ("Input list", "The input list") if block.title == "Input list" else (f"{kind}, {key}:",)
    told_of = any(message.startswith(about) for message in said.section("document").messages)
    part = {"Verdict": "verdict", "Changes": "remedies", "Placement": "allocation"}.get(block.title)
    lost = part is not None and said.section(part).marks < said.section(part).out_of
    if lost or told_of:
        yield block


def _rows(block: Block) -> Iterator[str]:
    """The rows of a table as an engineer would say them."""
    for row in block.rows:
        if block.title == "Placement":
            what, on, at, number, tap = row
            yield f"{what}: {on} {number} at the {at}{f', {tap}' if tap else ''}"
        elif block.title == "Input list":
            channel, source, by, phantom, at = row
            yield f"{channel}: {source}, {by}, {'phantom' if phantom == 'yes' else 'no phantom'}, {at}"


def wrapped(text: str, first: str) -> list[str]:
    """A text in lines that fit a terminal, the first of them begun with something."""
    plain = " ".join("".join(each if each.isprintable() else " " for each in text).split())
    return textwrap.wrap(plain, _WIDTH, initial_indent=first, subsequent_indent=" " * len(first)) or [first]


# files


def _marks(seen: Overview) -> tuple[list[str], Iterator[list[object]]]:
    numbers = [f"question {n}" for n in range(1, len(seen.head.questions) + 1)]
    rows: Iterator[list[object]] = (
        [
            sheet.trainee, sheet.variant, *(PENDING if each.worth is None else each.worth for each in sheet.marks),
            sheet.total, sheet.of, "; ".join(sheet.remarks), sheet.file,
        ]
        for sheet in seen.sheets
    )  # fmt: skip
    return ["trainee", "variant", *numbers, "total", "out of", "remarks", "file"], rows


_ANSWERS_HEAD = ("trainee", "question", "topic", "level", "typed", "outcome", "slip", "marks")


def _answers(seen: Overview) -> Iterator[tuple[object, ...]]:
    for sheet in seen.sheets:
        for item, each in zip(seen.items, sheet.marks, strict=True):
            yield (
                sheet.trainee,
                item.number,
                item.topic,
                item.level,
                each.typed,
                each.outcome,
                "; ".join(each.whole.slips) if each.whole else each.slip,
                each.worth,
            )


def _long(seen: Overview, parts: Sequence[OverviewTable]) -> Iterator[tuple[object, ...]]:
    """One value a line, so that any spreadsheet can sort, pick and total it."""
    yield "Class", seen.head.name, "sheets marked", len(seen.sheets)
    yield "Class", seen.head.name, "sheets issued", seen.head.trainees
    for part in parts:
        if not part.rows:
            yield part.title, "", "", part.prose
        for row in part.rows:
            for column, cell in zip(part.columns[1:], row[1:], strict=True):
                yield (
                    part.title,
                    row[0].text,
                    column,
                    round(cell.share, 6) if cell.share is not None else cell.text,
                )


def overview_notebook(seen: Overview, parts: Sequence[OverviewTable]) -> str:
    """The overview as a notebook of plain tables; there is no code in it."""
    texts = [f"# {as_text(seen.head.name)}: {as_text(seen.head.title)}\n\n{as_text(summary(seen))}"]
    texts += [_as_markdown(part) for part in parts]
    return notebook_file((f"part-{n}", text) for n, text in enumerate(texts))


def _as_markdown(part: OverviewTable) -> str:
    lines = [f"## {as_text(part.title)}", "", as_text(part.prose)]
    if part.rows:
        lines += ["", _row(part.columns), _row(["---"] * len(part.columns), plain=True)]
        lines += [_row([cell.text for cell in row]) for row in part.rows]
    return "\n".join(lines)


def _row(cells: Sequence[str], plain: bool = False) -> str:
    return f"| {' | '.join(cell if plain else as_text(cell) for cell in cells)} |"


def as_text(text: str) -> str:
    """A stranger's text in Markdown: no markup, no HTML, and no address made into a link."""
    safe = as_markdown("".join(each if each.isprintable() else " " for each in text))
    return (
        safe.replace(">", "&gt;").replace("://", "&#58;//").replace("www.", "www&#46;").replace("@", "&#64;")
    )


def overview_pdf(seen: Overview, parts: Sequence[OverviewTable], number: int, of: int) -> bytes:
    """The overview as a PDF, or one part of it."""
    from gigsums.sheets import printed

    data = {
        "title": f"{seen.head.name}: {seen.head.title}" + (f", part {number} of {of}" if of > 1 else ""),
        "variant": "",
        "who": "Pseudonyms only",
        "summary": summary(seen) if number == 1 else "",
        "sections": [asdict(part) for part in parts],
    }
    return printed("overview", data, seen.head.paper).pdf
