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
from gigsums.practice.marking import MALFORMED, NOTED, RIGHT, SLIP, WRONG
from gigsums.practice.problems import Problem
from gigsums.practice.wording import as_markdown, listed, sentence, short
from gigsums.whole_gigs.files import SECTIONS
from gigsums.whole_gigs.marking import WholeMarking
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import Block

from .answers import Pile, gather
from .disk import arrive, as_csv, mend, writing
from .issuing import HANDED_OUT, RECORD, RETURNED, TUTOR, Tell, notebook_file
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
    MALFORMED: "Unreadable",
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
    mend(Path(folder))
    returned = _returned(Path(folder))
    beside = returned.absolute().parent
    chosen = beside / RESULTS if to is None else Path(to).absolute()
    with writing(chosen):
        if os.path.realpath(chosen) in map(str, (real := Path(os.path.realpath(returned)), *real.parents)):
            raise BadFile(
                short(str(chosen), 100), "", "the returned sheets lie in this folder.", "Choose another with --to.",
            )  # fmt: skip
        mend(beside)
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
    if seen.slips:
        first = seen.slips[0]
        lines.append(
            f"Most frequent slip: {first.name} ({first.topic}), {first.trainees} of {first.of} trainees."
        )
    look = seen.to_look_at
    if look:
        names = listed([sheet.trainee for sheet in look[:_LINES]])
        more = f" and {len(look) - _LINES} more" if len(look) > _LINES else ""
        lines.append(f"A person has to look at what {names}{more} wrote before the marks stand.")
    waits = [(sheet, n) for sheet in seen.with_pending for n in sheet.pending]
    lines += [
        f"  pending: {sheet.trainee}, question {n}: {short(sheet.marks[n - 1].why, 90)}"
        for sheet, n in waits[:_LINES]
    ]
    if len(waits) > _LINES:
        lines.append(f"  and {len(waits) - _LINES} more pending, named in the overview")
    lines += [f"  not marked: {short(each.file, 60)}: {each.reason}" for each in seen.refused[:_LINES]]
    if len(seen.refused) > _LINES:
        lines.append(f"  and {len(seen.refused) - _LINES} more files, named in the overview")
    remarked = sum(bool(sheet.remarks) for sheet in seen.sheets)
    if remarked:
        lines.append(f"Remarks on {remarked} of the files marked are in the overview.")
    if seen.copies:
        names = listed([f"{each.trainee} and {each.other}" for each in seen.copies[:_LINES]])
        lines.append(f"A reason to talk, no more: answers that fit another sheet, of {names}.")
    lines.append(f"Results are in {marked.folder}: overview.pdf first.")
    return "\n".join(lines)


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
    refused = f" {_files(len(seen.refused))} refused." if seen.refused else ""
    look = f" A person has to look at {_sheets(len(seen.to_look_at))}." if seen.to_look_at else ""
    waits = f" Something is pending on {_sheets(len(seen.with_pending))}." if seen.with_pending else ""
    return f"{said}.{look}{waits}{refused}"


def _sheets(count: int) -> str:
    return "one sheet" if count == 1 else f"{count} sheets"


def _files(count: int) -> str:
    return "One file was" if count == 1 else f"{count} files were"


def sections(seen: Overview) -> tuple[OverviewTable, ...]:
    """Every section, what to act on first."""
    return tuple(
        section
        for section in (
            to_look_at(seen), _pending(seen), _slips(seen), _questions(seen), *part_by_part(seen), _grid(seen), _copies(seen),
            _not_marked(seen), _remarks(seen),
        )
        if section is not None
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


def _pending(seen: Overview) -> OverviewTable | None:
    rows = tuple(
        (Cell(sheet.trainee), Cell(str(n)), Cell(sheet.marks[n - 1].why))
        for sheet in seen.with_pending
        for n in sheet.pending
    )
    prose = (
        "These answers were not read. They have no mark, are left out of every number here, and what is told about them "
        "is held back. Drop what is missing in with the returned files, take away what is one too many, and mark again."
    )
    return OverviewTable("Pending", prose, ("Trainee", "Question", "Why"), rows, (3, 2, 8)) if rows else None


def _slips(seen: Overview) -> OverviewTable:
    title = "What to teach again"
    if not seen.slips:
        return OverviewTable(title, "No answer came out at a known slip.")
    rows = tuple(
        (
            Cell(each.name),
            Cell(each.topic),
            Cell(f"{each.trainees} of {each.of}"),
            Cell(str(each.times)),
            Cell(each.hint),
        )
        for each in seen.slips
    )
    prose = "Known slips by how often the class made them. The last column is the hint that each trainee was given."
    if seen.gigs:
        prose += " For a whole gig it is the rule that the answer missed, or what to look at again."
    return OverviewTable(
        title, prose, ("Slip", "Topic", "Trainees", "Times", "What to teach again"), rows, (5, 4, 3, 2, 8)
    )


def _questions(seen: Overview) -> OverviewTable:
    prose = "Facility is the mean mark. "
    if seen.big_enough:
        prose += (
            "Discrimination is the facility among the best 27 per cent of the sheets less that among the weakest 27 per "
            "cent: near 0 or below it, look at the question before you look at the class."
        )
        if any(item.discrimination is None for item in seen.items):
            prose += f" It is left out where fewer than {FEWEST} have a mark."
    else:
        prose += (
            f"Discrimination is not shown: fewer than {FEWEST} sheets are marked, and it would mean nothing."
        )
    outcomes = {
        key: said
        for key, said in SHOWN_OUTCOMES.items()
        if (key != PARTLY or seen.gigs) and (key != PENDING or seen.with_pending)
    }
    rows = []
    for item in seen.items:
        cells = [Cell(str(item.number)), Cell(item.topic), Cell(str(item.level)), percent(item.facility)]
        if seen.big_enough:
            cells.append(
                Cell("" if item.discrimination is None else f"{item.discrimination:+.2f}".replace("-", "−"))
            )
        rows.append((*cells, *(Cell(str(item.outcomes.get(outcome, 0) or "–")) for outcome in outcomes)))
    columns = ["No.", "Topic", "Level", "Facility", *(["Discrimination"] if seen.big_enough else [])]
    widths = [
        4,
        15,
        5,
        7,
        *([13] if seen.big_enough else []),
        *[5, 7, 4, 6, 10, 6],
        *([6] if seen.gigs else []),
        *([6] if seen.with_pending else []),
    ]
    return OverviewTable(
        "Question by question", prose, (*columns, *outcomes.values()), tuple(rows), tuple(widths)
    )


def to_look_at(seen: Overview) -> OverviewTable | None:
    """Answers in which something dangerous stands, or may stand; nothing if there are none."""
    rows = tuple(
        (
            Cell(sheet.trainee),
            Cell(str(n)),
            percent(each.worth),
            Cell(f"{100 * each.whole.earned:.0f} %" if each.whole.capped else "no cap"),
            Cell("; ".join(each.whole.flags)),
        )
        for sheet in seen.sheets
        for n, each in enumerate(sheet.marks, start=1)
        if each.whole and each.whole.flags
    )
    prose = (
        "Something in these answers could hurt people or gear, or can be read so. Read it, and talk to whoever wrote it. "
        "Where there is a cap, it is in the marks of this overview until you have changed them in your own books."
    )
    columns = ("Trainee", "Question", "Counted", "Without cap", "What to look at")
    return OverviewTable("A person has to look", prose, columns, rows, (5, 4, 4, 4, 13)) if rows else None


def part_by_part(seen: Overview) -> Iterator[OverviewTable]:
    """A section for each whole gig: how the class did on each of its parts."""
    for n, marks in seen.gigs.items():
        answers = [each for sheet in seen.sheets if (each := sheet.marks[n - 1].whole)]
        title = f"Question {n}, part by part"
        job = seen.head.questions[n - 1]["topic"]
        changed = (
            " Its key is worked out otherwise today than on the day it was handed out: hold the printed key against the "
            "feedback before you give marks."
            if n in seen.changed
            else ""
        )
        if not answers:
            yield OverviewTable(title, f"Nobody has answered {job}.{changed}")
            continue
        prose = (
            f"{job}, as {len(answers)} answered it, before any cap. What follows from an earlier slip is carried forward "
            f"and counts as right.{changed}"
        )
        rows = []
        for at, (name, said) in enumerate(SECTIONS.items()):
            shares = [share for each in answers if (share := each.shares[at]) is not None]
            if shares:
                rows.append(
                    (
                        Cell(said),
                        Cell(str(getattr(marks, name))),
                        percent(sum(shares) / len(shares)),
                        Cell(f"{sum(share > 1 - 1e-6 for share in shares)} of {len(shares)}"),
                        Cell(f"{sum(share == 0 for share in shares)} of {len(shares)}"),
                    )
                )
        columns = ("Part", "Marks", "Facility", "Earned all", "Earned nothing")
        yield OverviewTable(title, prose, columns, tuple(rows), (8, 3, 4, 4, 4))


def marks(worth: float) -> str:
    """A number of marks, without needless decimals."""
    return f"{worth:.2f}".rstrip("0").rstrip(".")


def out_of(total: float, of: int, asked: int) -> str:
    """Marks out of what has been marked, and how many questions have not."""
    waits = f", {asked - of} pending" if of < asked else ""
    return f"{marks(total)} of {of}{waits}" if of else "pending"


def _grid(seen: Overview) -> OverviewTable:
    title = "Trainee by skill"
    if not seen.sheets:
        return OverviewTable(title, "Nothing has been marked.")
    rows = (tuple(_class_row(seen)), *(tuple(_grid_row(seen, sheet)) for sheet in seen.sheets))
    prose = "Marks of each trainee, by what the questions train. Real names are in the tutor's list alone."
    return OverviewTable(
        title, prose, ("Trainee", *seen.head.skills, "All"), rows, (4, *[3] * len(seen.head.skills), 3)
    )


def _class_row(seen: Overview) -> Iterator[Cell]:
    each = [seen.skills(sheet) for sheet in seen.sheets]
    yield Cell("The class")
    for skill in seen.head.skills:
        of = sum(sums[skill][1] for sums in each)
        yield percent(sum(sums[skill][0] for sums in each) / of) if of else Cell(PENDING)
    yield percent(sum(sheet.total for sheet in seen.sheets) / sum(sheet.of for sheet in seen.sheets))


def _grid_row(seen: Overview, sheet: MarkedSheet) -> Iterator[Cell]:
    yield Cell(sheet.trainee)
    asked = Counter(each["skill"] for each in seen.head.questions)
    for skill, (got, of) in seen.skills(sheet).items():
        yield Cell(out_of(got, of, asked[skill]), got / of if of else None)
    yield Cell(out_of(sheet.total, sheet.of, len(sheet.marks)), sheet.share)


def _copies(seen: Overview) -> OverviewTable:
    title = "Answers that fit another sheet"
    same = (
        "" if not seen.gigs else " A whole gig is the same for everybody, so answers to it are not compared."
    )
    if not seen.copies:
        said = (
            "No trainee's wrong answers fit another trainee's sheet more often than chance explains. That does not prove "
            "that nobody copied: a few answers, or answers to questions that have few, tell too little."
        )
        return OverviewTable(title, said + same)
    rows = tuple(
        (
            Cell(each.trainee),
            Cell(each.other),
            Cell(listed([str(n) for n in each.questions])),
            Cell(f"{len(each.questions)} of {each.wrong}"),
        )
        for each in seen.copies
    )
    prose = (
        "A reason to talk, never a verdict: so many of the trainee's wrong answers are right on the other sheet that fewer "
        "than one honest class in a hundred would show such a pair. It does not say who gave and who took, or how: two who "
        "worked together, or a sheet picked up by mistake, look the same." + same
    )
    return OverviewTable(
        title, prose, ("Trainee", "Fits the sheet of", "In questions", "Of wrong answers"), rows, (4, 4, 5, 3)
    )


def _not_marked(seen: Overview) -> OverviewTable | None:
    if not seen.refused and not seen.missing:
        return None
    said = [f"Nothing is marked from {listed(seen.missing)}. All of that is pending."] if seen.missing else []
    if seen.refused:
        said.append("Nothing was changed in these files.")
    rows = tuple((Cell(short(each.file, LONGEST_FILE)), Cell(each.reason)) for each in seen.refused)
    return OverviewTable("Not marked", " ".join(said), ("File", "Why"), rows, (2, 3))


def _remarks(seen: Overview) -> OverviewTable | None:
    rows = tuple(
        (Cell(sheet.trainee), Cell(short(sheet.file, LONGEST_FILE)), Cell("; ".join(sheet.remarks)))
        for sheet in seen.sheets
        if sheet.remarks
    )
    prose = "These sheets are marked. Something about the file is worth knowing."
    return OverviewTable("Remarks", prose, ("Trainee", "File", "What"), rows, (2, 3, 5)) if rows else None


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
    """One question that is a whole gig, line by line."""
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
            lines += wrapped(f"{section.heading()}.", _DEEP)
            lines += _each(section.messages)
    return [*lines, *_way(job, said)]


def held_back(marked: Marked) -> list[str]:
    """What is told of an answer that has no mark yet: why, and nothing of what is right."""
    return wrapped(f"Pending: {marked.why}. It has no mark yet; the way to it is told with the mark.", _DEEP)


def _each(texts: Iterable[str], deep: str = _DEEP) -> list[str]:
    return [line for text in texts for line in wrapped(text, f"{deep}- ")]


def _way(job: WholeGig, said: WholeMarking | None) -> Iterator[str]:
    """The key, for what did not earn everything."""
    parts = list(_missed(job, said))
    if parts:
        yield f"{_DEEP}The way:"
    for block in parts:
        yield from wrapped(f"{block.title}{f': {block.answer}' if block.answer else ''}.", f"{_DEEP}  ")
        yield from _each((*block.lines, *_rows(block)), f"{_DEEP}  ")


def _missed(job: WholeGig, said: WholeMarking | None) -> Iterator[Block]:
    """The blocks of the key that somebody has to read who answered so; all of them where nothing was answered."""
    for block in job.key_blocks():
        if said is None:
            yield block
        elif block.title == "Counts":
            if wrong := [one.label for one in said.counts if not one.good]:
                yield _counts(block, wrong)
        elif any(message.startswith(_begins(block)) for message in _document(said)) or _lost(block, said):
            yield block


def _counts(block: Block, wrong: Sequence[str]) -> Block:
    """Only the counts that were not right, each with its reason and its number."""
    lines = tuple(line for line in block.lines if line.partition(": ")[0] in wrong)
    told = {line.partition(": ")[0] for line in lines}
    rest = tuple(f"{row[0]}: {row[1]}" for row in block.rows if row[0] in wrong and row[0] not in told)
    return Block("Counts", lines=(*lines, *rest))


def _document(said: WholeMarking) -> tuple[str, ...]:
    return said.section("document").messages


def _begins(block: Block) -> tuple[str, ...]:
    """How what is said about a block of the document begins."""
    if block.title == "Input list":
        return ("Input list", "The input list")
    kind, _, key = block.title.partition(": ")
    return (f"{kind}, {key}:",) if key else ("\0",)


def _lost(block: Block, said: WholeMarking) -> bool:
    name = {"Verdict": "verdict", "Changes": "remedies", "Placement": "allocation"}.get(block.title)
    return name is not None and said.section(name).marks < said.section(name).out_of


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
