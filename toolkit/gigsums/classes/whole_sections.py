"""What the overview says about whole gigs: what a person has to look at, and how each part went."""

from __future__ import annotations

from collections.abc import Iterator

from gigsums.whole_gigs.rules import SECTIONS

from .cells import Cell, Section, percent
from .overview import Overview


def to_look_at(seen: Overview) -> Section | None:
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
    return Section("A person has to look", prose, columns, rows, (5, 4, 4, 4, 13)) if rows else None


def part_by_part(seen: Overview) -> Iterator[Section]:
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
            yield Section(title, f"Nobody has answered {job}.{changed}")
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
        yield Section(title, prose, columns, tuple(rows), (8, 3, 4, 4, 4))
