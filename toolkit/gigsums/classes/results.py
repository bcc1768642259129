"""The results on disk: feedback for each trainee, marks, and the overview as notebook, PDF and CSV."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any

from gigsums.practice.wording import as_markdown, sentence
from gigsums.practice.worksheets import as_file

from .gig_feedback import gig_feedback, held_back, wrapped
from .handing_out import Tell
from .issued_files import as_bytes
from .marking_sheet import Said
from .overview import NOT_ANSWERED, PENDING, Overview, Sheet
from .record import Head, Issued
from .sections import SHOWN_OUTCOMES, Section, in_parts, out_of, sections, summary
from .tables import as_csv

FEEDBACK, MARKS, ANSWERS, OVERVIEW = "feedback", "marks.csv", "answers.csv", "overview"


class Feedback:
    """Writes each trainee's feedback as the sheet is marked, so that no sheet has to be kept."""

    def __init__(self, folder: Path, head: Head) -> None:
        self.folder, self.head = folder / FEEDBACK, head
        self.folder.mkdir()

    def write(self, sheet: Sheet, issued: Issued, said: Sequence[Said]) -> None:
        """Write one trainee's feedback."""
        text = feedback(self.head, sheet, issued, said)
        (self.folder / f"{sheet.trainee}.txt").write_bytes(as_bytes(text))


def feedback(head: Head, sheet: Sheet, issued: Issued, said: Sequence[Said]) -> str:
    """What one trainee is told: each answer, what to make of it, and the way to the right one."""
    of = len(sheet.marks)
    lines = [
        " ".join(head.title.split()),
        f"Feedback for {sheet.trainee}, variant {sheet.variant}: {out_of(sheet.total, sheet.of, of)}",
    ]
    lines += [f"Note: {each}." for each in sheet.remarks]
    for n, (marked, words) in enumerate(zip(sheet.marks, said, strict=True), start=1):
        if n in issued.whole_gigs:
            lines += ["", *gig_feedback(n, issued.problems[n - 1], marked, words)]
            continue
        assert isinstance(words, str)
        question, answer, workings = issued.solved(n)
        lines += ["", *wrapped(question, f"{n:2}. ")]
        if marked.worth is None:
            lines += held_back(marked)
            continue
        if marked.outcome == NOT_ANSWERED:
            lines.append("    You wrote nothing.")
        else:
            lines += wrapped(f"You wrote: {marked.typed or 'what could not be read'}", "    ")
            lines += wrapped(f"{SHOWN_OUTCOMES[marked.outcome]}. {sentence(words)}", "    ")
        lines.append("    The way:")
        for each in workings:
            lines += wrapped(each, "    - ")
        lines += wrapped(f"Answer: {answer}", "    ")
    return "\n".join(lines) + "\n"


def write_results(folder: Path, seen: Overview, tell: Tell) -> None:
    """Write everything but the feedback."""
    parts = sections(seen)
    files: list[tuple[str, Callable[[], bytes]]] = [
        (MARKS, lambda: as_bytes(as_csv(*_marks(seen)))),
        (ANSWERS, lambda: as_bytes(as_csv(_ANSWERS_HEAD, _answers(seen)))),
        (
            f"{OVERVIEW}.csv",
            lambda: as_bytes(as_csv(("section", "row", "column", "value"), _long(seen, parts))),
        ),
        (f"{OVERVIEW}.ipynb", lambda: as_bytes(as_file(overview_notebook(seen, parts)))),
    ]
    printed_parts = in_parts(parts)
    for number, part in enumerate(printed_parts, start=1):
        name = OVERVIEW if number == 1 else f"{OVERVIEW}, part {number}"
        files.append((f"{name}.pdf", partial(overview_pdf, seen, part, number, len(printed_parts))))
    for done, (name, content) in enumerate(files, start=1):
        (folder / name).write_bytes(content())
        tell("results written", done, len(files))


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


def _long(seen: Overview, parts: Sequence[Section]) -> Iterator[tuple[object, ...]]:
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


def overview_notebook(seen: Overview, parts: Sequence[Section]) -> dict[str, Any]:
    """The overview as a notebook of plain tables; there is no code in it."""
    texts = [f"# {as_text(seen.head.name)}: {as_text(seen.head.title)}\n\n{as_text(summary(seen))}"]
    texts += [_as_markdown(part) for part in parts]
    cells = [
        {"cell_type": "markdown", "id": f"part-{n}", "metadata": {}, "source": text.splitlines(keepends=True)}
        for n, text in enumerate(texts)
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    return {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}


def _as_markdown(part: Section) -> str:
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


def overview_pdf(seen: Overview, parts: Sequence[Section], number: int, of: int) -> bytes:
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
