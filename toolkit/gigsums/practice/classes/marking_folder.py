"""Marking a class: every returned file against the tutor's own record, whatever the file itself claims."""

from __future__ import annotations

import os
import re
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from gigsums.gig.files import BadFile

from ..marking import LONGEST, MALFORMED, WRONG
from ..wording import listed, short
from .answers import Answers
from .chance import PSEUDONYM, VARIANT
from .copies import Keys, copies
from .handing_out import HANDED_OUT, RECORD, RETURNED, TUTOR, Tell
from .in_place import alone_in, mend, moved_in, writing
from .overview import NOT_ANSWERED, Marked, Overview, Refused, Sheet, overview
from .record import Issued, Record
from .results import Feedback, write_results
from .returned import Returned, gather
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


def _mark_all(kept: Record, returned: Path, results: Path, tell: Tell) -> Overview:
    pile = _Pile()
    for each in gather(returned, tell):
        pile.add(each)
    marked = _mark(kept, pile, Feedback(results, kept.head), tell)
    write_results(results, marked, tell)
    return marked


@dataclass
class _Pile:
    """Returned files by the variant they state, and those that are refused already."""

    by_variant: dict[str, list[Returned]] = field(default_factory=lambda: defaultdict(list))
    refused: list[Refused] = field(default_factory=list)

    def add(self, each: Returned) -> None:
        if each.answers is None:
            self.refuse(each, each.reason)
        elif not VARIANT.fullmatch(each.answers.variant):
            stated = short(each.answers.variant)
            what = (
                f"its variant is “{stated}”, which is none" if stated.strip() else "no variant stands in it"
            )
            self.refuse(each, f"{what}; is it a sheet of this class?")
        else:
            self.by_variant[each.answers.variant].append(each)

    def refuse(self, each: Returned, reason: str) -> None:
        self.refused.append(Refused(each.file, reason))

    def take(self, issued: Issued) -> tuple[Returned, tuple[str, ...]] | None:
        """The file to mark for one sheet, and what to remark; the others of that variant are refused."""
        theirs = []
        there = self.by_variant.pop(issued.variant, [])
        for each in there:
            assert each.answers is not None
            if each.answers.trainee == issued.trainee:
                theirs.append(each)
            else:
                stated = short(each.answers.trainee) or "nobody"
                self.refuse(each, f"it is {issued.trainee}'s sheet, and says that it comes from {stated}")
        answered = [each for each in theirs if each.answers and not each.answers.blank]
        if not answered:  # the blank form beside a file that was refused is no answer to mark
            return (theirs[0], ("nothing is answered",)) if theirs and len(theirs) == len(there) else None
        first = answered[0]
        if any(_said(each) != _said(first) for each in answered):
            for each in answered:
                rest = listed([short(other.file, 80) for other in answered if other is not each])
                self.refuse(
                    each,
                    f"{issued.trainee} has answered differently in {rest}; take away all but one, and mark again",
                )
            return None
        twice = listed([short(each.file, 80) for each in answered[1:]])
        return first, ((f"the same answers stand in {twice}",) if twice else ())

    def refuse_the_rest(self, trainees: set[str]) -> None:
        """What is left answers no sheet of the record."""
        for variant, files in self.by_variant.items():
            for each in files:
                assert each.answers is not None
                of = f" of “{short(each.answers.class_name)}”" if each.answers.class_name else ""
                why = (
                    "the variant was altered, or it is from an earlier handout"
                    if each.answers.trainee in trainees
                    else f"it is a sheet{of}, from another class or another paper"
                )
                self.refuse(each, f"variant {variant} is not in the record: {why}")
        self.by_variant.clear()


def _said(each: Returned) -> tuple[object, object]:
    assert each.answers is not None
    return dict(each.answers.given), dict(each.answers.unread)


def _mark(record: Record, pile: _Pile, feedback: Feedback, tell: Tell) -> Overview:
    head = record.head
    keys = Keys(len(head.questions))
    sheets: list[Sheet] = []
    hints: dict[tuple[str, str], str] = {}
    missing: list[str] = []
    for done, issued in enumerate(record, start=1):
        keys.add(issued.trainee, [issued.key(n) for n in range(1, len(issued.problems) + 1)])
        for each in issued.problems:
            hints |= {(each.topic, slip.name): slip.hint for slip in each.slips}
        sheet = _sheet(issued, pile, feedback)
        if sheet is None:
            missing.append(issued.trainee)
        else:
            sheets.append(sheet)
        tell("sheets marked", done, head.trainees)
    pile.refuse_the_rest(set(keys.trainees))
    return overview(
        head, sheets, hints, copies(keys, [_wrong(each) for each in sheets]), pile.refused, missing
    )


def _wrong(sheet: Sheet) -> tuple[str, list[tuple[int, tuple]]]:
    """The answers that are wrong in no known way."""
    marks = enumerate(sheet.marks, start=1)
    return sheet.trainee, [(n, each.values) for n, each in marks if each.outcome == WRONG and each.values]


def _sheet(issued: Issued, pile: _Pile, feedback: Feedback) -> Sheet | None:
    taken = pile.take(issued)
    if taken is None:
        return None
    returned, remarks = taken
    answers = returned.answers
    assert answers is not None
    try:
        marks, said = _marks(issued, answers)
    except Exception as error:  # whatever happens to one sheet, the others are marked
        pile.refuse(returned, f"the marking itself failed ({type(error).__name__}); please report it")
        return None
    remarks = (*remarks, *answers.remarks, *_remarks(issued, returned.file, answers))
    sheet = Sheet(issued.trainee, issued.variant, returned.file, marks, remarks)
    feedback.write(sheet, issued, said)
    return sheet


def _marks(issued: Issued, answers: Answers) -> tuple[tuple[Marked, ...], list[str]]:
    marks: list[Marked] = []
    said: list[str] = []
    for n in range(1, len(issued.problems) + 1):
        if n in answers.unread:
            marks.append(Marked(MALFORMED))
            said.append(f"It could not be read: {answers.unread[n]}.")
        elif n not in answers.given:
            marks.append(Marked(NOT_ANSWERED))
            said.append("")
        else:
            marking, worth = issued.mark(n, answers.given[n])
            values = marking.values if marking.outcome == WRONG else None
            marks.append(
                Marked(marking.outcome, worth, short(answers.given[n], LONGEST), marking.slip, values)
            )
            said.append(marking.message)
    return tuple(marks), said


def _remarks(issued: Issued, file: str, answers: Answers) -> list[str]:
    remarks = []
    if altered := issued.altered(answers.prints):
        many = "questions" if len(altered) > 1 else "question"
        remarks.append(
            f"the text of {many} {listed([str(n) for n in altered])} was altered; marked as issued"
        )
    strange = [n for n in (*answers.given, *answers.unread) if not 1 <= n <= len(issued.problems)]
    if strange:
        remarks.append(f"there is no question {listed([str(n) for n in strange[:5]])}")
    named = set(re.findall(PSEUDONYM, file)) - {issued.trainee}
    if named:
        remarks.append(f"it lies under the name {listed(sorted(named)[:3])}")
    return remarks


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
