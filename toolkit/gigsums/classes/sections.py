"""The overview as sections of plain tables, from which its notebook, its PDF and its CSV are made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from gigsums.practice.marking import MALFORMED, NOTED, RIGHT, SLIP, WRONG
from gigsums.practice.wording import listed, short

from .cells import Cell, Section, percent
from .overview import FEWEST, NOT_ANSWERED, PARTLY, PENDING, Overview, Sheet
from .whole_sections import part_by_part, to_look_at

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


def sections(seen: Overview) -> tuple[Section, ...]:
    """Every section, what to act on first."""
    return tuple(
        section
        for section in (
            to_look_at(seen), _pending(seen), _slips(seen), _questions(seen), *part_by_part(seen), _grid(seen), _copies(seen),
            _not_marked(seen), _remarks(seen),
        )
        if section is not None
    )  # fmt: skip


def in_parts(whole: Sequence[Section]) -> list[list[Section]]:
    """Sections shared out over documents of at most `MOST_ROWS` rows; every row stands in one of them."""
    parts: list[list[Section]] = [[]]
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


def _without_bars(section: Section) -> Section:
    return replace(section, rows=tuple(tuple(Cell(cell.text) for cell in row) for row in section.rows))


def _pending(seen: Overview) -> Section | None:
    rows = tuple(
        (Cell(sheet.trainee), Cell(str(n)), Cell(sheet.marks[n - 1].why))
        for sheet in seen.with_pending
        for n in sheet.pending
    )
    prose = (
        "These answers were not read. They have no mark, are left out of every number here, and what is told about them "
        "is held back. Drop what is missing in with the returned files, take away what is one too many, and mark again."
    )
    return Section("Pending", prose, ("Trainee", "Question", "Why"), rows, (3, 2, 8)) if rows else None


def _slips(seen: Overview) -> Section:
    title = "What to teach again"
    if not seen.slips:
        return Section(title, "No answer came out at a known slip.")
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
    return Section(
        title, prose, ("Slip", "Topic", "Trainees", "Times", "What to teach again"), rows, (5, 4, 3, 2, 8)
    )


def _questions(seen: Overview) -> Section:
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
    return Section("Question by question", prose, (*columns, *outcomes.values()), tuple(rows), tuple(widths))


def marks(worth: float) -> str:
    """A number of marks, without needless decimals."""
    return f"{worth:.2f}".rstrip("0").rstrip(".")


def out_of(total: float, of: int, asked: int) -> str:
    """Marks out of what has been marked, and how many questions have not."""
    waits = f", {asked - of} pending" if of < asked else ""
    return f"{marks(total)} of {of}{waits}" if of else "pending"


def _grid(seen: Overview) -> Section:
    title = "Trainee by skill"
    if not seen.sheets:
        return Section(title, "Nothing has been marked.")
    rows = (tuple(_class_row(seen)), *(tuple(_grid_row(seen, sheet)) for sheet in seen.sheets))
    prose = "Marks of each trainee, by what the questions train. Real names are in the tutor's list alone."
    return Section(
        title, prose, ("Trainee", *seen.head.skills, "All"), rows, (4, *[3] * len(seen.head.skills), 3)
    )


def _class_row(seen: Overview) -> Iterator[Cell]:
    each = [seen.skills(sheet) for sheet in seen.sheets]
    yield Cell("The class")
    for skill in seen.head.skills:
        of = sum(sums[skill][1] for sums in each)
        yield percent(sum(sums[skill][0] for sums in each) / of) if of else Cell(PENDING)
    yield percent(sum(sheet.total for sheet in seen.sheets) / sum(sheet.of for sheet in seen.sheets))


def _grid_row(seen: Overview, sheet: Sheet) -> Iterator[Cell]:
    yield Cell(sheet.trainee)
    asked = Counter(each["skill"] for each in seen.head.questions)
    for skill, (got, of) in seen.skills(sheet).items():
        yield Cell(out_of(got, of, asked[skill]), got / of if of else None)
    yield Cell(out_of(sheet.total, sheet.of, len(sheet.marks)), sheet.share)


def _copies(seen: Overview) -> Section:
    title = "Answers that fit another sheet"
    same = (
        "" if not seen.gigs else " A whole gig is the same for everybody, so answers to it are not compared."
    )
    if not seen.copies:
        said = (
            "No trainee's wrong answers fit another trainee's sheet more often than chance explains. That does not prove "
            "that nobody copied: a few answers, or answers to questions that have few, tell too little."
        )
        return Section(title, said + same)
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
    return Section(
        title, prose, ("Trainee", "Fits the sheet of", "In questions", "Of wrong answers"), rows, (4, 4, 5, 3)
    )


def _not_marked(seen: Overview) -> Section | None:
    if not seen.refused and not seen.missing:
        return None
    said = [f"Nothing is marked from {listed(seen.missing)}. All of that is pending."] if seen.missing else []
    if seen.refused:
        said.append("Nothing was changed in these files.")
    rows = tuple((Cell(short(each.file, LONGEST_FILE)), Cell(each.reason)) for each in seen.refused)
    return Section("Not marked", " ".join(said), ("File", "Why"), rows, (2, 3))


def _remarks(seen: Overview) -> Section | None:
    rows = tuple(
        (Cell(sheet.trainee), Cell(short(sheet.file, LONGEST_FILE)), Cell("; ".join(sheet.remarks)))
        for sheet in seen.sheets
        if sheet.remarks
    )
    prose = "These sheets are marked. Something about the file is worth knowing."
    return Section("Remarks", prose, ("Trainee", "File", "What"), rows, (2, 3, 5)) if rows else None
