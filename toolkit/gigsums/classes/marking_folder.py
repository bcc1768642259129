"""Marking a class: every returned file against the tutor's own record, whatever the file itself claims."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from gigsums.gig.files import BadFile
from gigsums.practice.problems import Problem
from gigsums.practice.wording import listed, short
from gigsums.whole_gigs.marking import WholeMarking

from .copies import Keys, copies
from .handing_out import HANDED_OUT, RECORD, RETURNED, TUTOR, Tell
from .in_place import alone_in, mend, moved_in, writing
from .marking_sheet import mark_sheet
from .overview import Overview, Sheet, overview
from .pile import Pile
from .record import Record
from .results import Feedback, write_results
from .returned import gather
from .sections import summary

RESULTS = "results"
_LINES = 10


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
        Where the results go; the folder "results" beside the returned files if left out.
    replace : bool, optional
        Whether results may be written where some are already; those are moved aside.
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
    mend(Path(folder), HANDED_OUT)
    returned = _returned(Path(folder))
    beside = returned.absolute().parent
    target = Path(to).absolute() if to is not None else beside / RESULTS
    with writing(target):
        if os.path.realpath(target) in _with_parents(os.path.realpath(returned)):
            raise BadFile(
                short(str(target), 100), "", "the returned sheets lie in this folder.", "Choose another with --to.",
            )  # fmt: skip
        mend(beside, HANDED_OUT)
        kept = Record(record if record is not None else beside / TUTOR / RECORD)
        with alone_in(target.parent, target.name):
            if os.path.lexists(target) and not replace:
                raise BadFile(
                    str(target), "", "results are there already, and were left as they are.",
                    "Choose another folder with --to, or add --replace to move them aside.",
                )  # fmt: skip
            with moved_in(target.parent, target.name, [target.name]) as part:
                results = part / target.name
                results.mkdir()
                marked = _mark_all(kept, returned, results, tell or (lambda what, done, of: None))
    return ClassMarked(target, marked)


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


def _with_parents(path: str) -> list[str]:
    return [path, *map(str, Path(path).parents)]


def _mark_all(kept: Record, returned: Path, results: Path, tell: Tell) -> Overview:
    pile = Pile()
    for each in gather(returned, tell):
        pile.add(each)
    marked = _mark(kept, pile, Feedback(results, kept.head), tell)
    write_results(results, marked, tell)
    return marked


def _mark(record: Record, pile: Pile, feedback: Feedback, tell: Tell) -> Overview:
    head = record.head
    keys = Keys(len(head.questions))
    sheets: list[Sheet] = []
    hints: dict[tuple[str, str], str] = {}
    missing: list[str] = []
    for done, issued in enumerate(record, start=1):
        keys.add(issued.trainee, [issued.key(n) for n in range(1, len(issued.problems) + 1)])
        for each in issued.problems:
            if isinstance(each, Problem):
                hints |= {(each.topic, slip.name): slip.hint for slip in each.slips}
        marked = mark_sheet(issued, pile)
        if marked is None:
            missing.append(issued.trainee)
        else:
            sheets.append(marked.sheet)
            for asked, said in zip(head.questions, marked.said, strict=True):
                if isinstance(said, WholeMarking):
                    hints |= {(asked["topic"], slip.name): slip.hint for slip in said.slips}
            feedback.write(marked.sheet, issued, marked.said)
        tell("sheets marked", done, head.trainees)
    pile.refuse_the_rest(set(keys.trainees))
    return overview(
        head, sheets, hints, copies(keys, [_wrong(each) for each in sheets]), pile.refused, missing,
        {n: job.marks for n, job in record.whole_gigs.items()}, record.changed(),
    )  # fmt: skip


def _wrong(sheet: Sheet) -> tuple[str, list[tuple[int, tuple]]]:
    """The answers that are wrong, in a known way or not."""
    marks = enumerate(sheet.marks, start=1)
    return sheet.trainee, [(n, each.values) for n, each in marks if each.values]


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
