"""One trainee's sheet marked from the record, whatever the returned files claim."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from gigsums.practice.marking import LONGEST, RIGHT, SLIP, WRONG
from gigsums.practice.wording import listed, short
from gigsums.whole_gigs.marking import WholeMarking
from gigsums.whole_gigs.rules import SECTIONS

from .answers import Answers, NotAnswers
from .chance import PSEUDONYM
from .gig_answers import GigAnswers, read_again
from .overview import NOT_ANSWERED, PARTLY, Marked, Sheet, WholeSeen, pending
from .pile import SHEET, Pile, Taken
from .record import Issued
from .returned import Returned

MOST_FLAGS = 10
_LONGEST_FLAG = 200

Said = str | WholeMarking
"""What is said about one answer: a text, or the whole marking of a whole gig."""


@dataclass(frozen=True)
class MarkedSheet:
    """A sheet as it was marked, and what is said about each answer, which is not kept."""

    sheet: Sheet
    said: tuple[Said, ...]


def mark_sheet(issued: Issued, pile: Pile) -> MarkedSheet | None:
    """Mark what came back of one sheet; None where there is nothing to mark."""
    taken = pile.take(issued)
    if taken is None:
        return None
    try:
        each = [_mark(issued, n, taken, pile) for n in range(1, len(issued.problems) + 1)]
    except Exception as error:  # whatever happens to one sheet, the others are marked
        for returned in taken.files.values():
            pile.refuse(returned, _failed(error))
        return None
    if all(marked.worth is None for marked, _ in each):
        known = {refused.file for refused in pile.refused}
        for returned in (file for file in taken.files.values() if file.file not in known):
            pile.refuse(returned, f"nothing in it could be marked; question 1: {each[0][0].why}")
        return None
    remarks = (*taken.remarks, *(line for file in taken.files.values() for line in _remarks(issued, file)))
    marks = tuple(marked for marked, _ in each)
    sheet = Sheet(issued.trainee, issued.variant, taken.file, marks, tuple(dict.fromkeys(remarks)))
    return MarkedSheet(sheet, tuple(said for _, said in each))


def _failed(error: Exception) -> str:
    return f"the marking itself failed ({type(error).__name__}); please report it"


def _mark(issued: Issued, n: int, taken: Taken, pile: Pile) -> tuple[Marked, Said]:
    number = n if n in issued.whole_gigs else SHEET
    if number in taken.pending:
        return pending(taken.pending[number]), ""
    returned = taken.files[number]
    if isinstance(returned.answers, GigAnswers):
        return _whole(issued, n, returned, returned.answers, pile)
    assert returned.answers is not None
    return _one(issued, n, returned.answers)


def _one(issued: Issued, n: int, answers: Answers) -> tuple[Marked, Said]:
    if n in answers.unread:
        return pending(f"it could not be read: {answers.unread[n]}"), ""
    if n not in answers.given:
        return Marked(NOT_ANSWERED), ""
    marking, worth = issued.mark(n, answers.given[n])
    values = marking.values if marking.outcome in (SLIP, WRONG) else None
    typed = short(answers.given[n], LONGEST)
    return Marked(marking.outcome, worth, typed, marking.slip, values), marking.message


def _whole(
    issued: Issued, n: int, returned: Returned, answers: GigAnswers, pile: Pile
) -> tuple[Marked, Said]:
    """A whole gig, its file read again, since what it says was not kept."""
    if answers.blank:
        return Marked(NOT_ANSWERED), ""
    try:
        given = read_again(returned.path, answers)
    except NotAnswers as changed:
        pile.refuse(returned, str(changed))
        return pending(f"it could not be read: {changed}"), ""
    try:
        marking, worth = issued.mark_gig(n, given)
    except Exception as error:  # whatever happens to one answer, the others on the sheet are marked
        pile.refuse(returned, _failed(error))
        return pending("the marking itself failed, and your tutor has to look at it"), ""
    outcome = RIGHT if worth == 1 else PARTLY if worth else WRONG
    typed = f"{marking.total:g} of {marking.out_of:g} marks"
    return Marked(outcome, worth, typed, whole=_seen(marking)), marking


def _seen(marking: WholeMarking) -> WholeSeen:
    """What the overview keeps of a marked whole gig."""
    flags = [short(flag.text(), _LONGEST_FLAG) for flag in marking.flags[:MOST_FLAGS]]
    more = len(marking.flags) - len(flags)
    sections = [marking.section(name) for name in SECTIONS]
    return WholeSeen(
        tuple(each.marks / each.out_of if each.out_of else None for each in sections),
        tuple(dict.fromkeys(slip.name for slip in marking.slips)),
        (*flags, *([f"and {more} more"] if more > 0 else [])),
        marking.earned / marking.out_of,
        marking.capped,
    )


def _remarks(issued: Issued, returned: Returned) -> Iterator[str]:
    answers = returned.answers
    assert answers is not None
    yield from answers.remarks
    if isinstance(answers, Answers):
        if altered := issued.altered(answers.prints):
            many = "questions" if len(altered) > 1 else "question"
            yield f"the text of {many} {listed([str(n) for n in altered])} was altered; marked as issued"
        given = (*answers.given, *answers.unread)
        strange = [n for n in given if not 1 <= n <= len(issued.problems)]
        if strange:
            yield f"there is no question {listed([str(n) for n in strange[:5]])}"
        for n in issued.whole_gigs:
            if n in given:
                yield f"question {n} is a whole gig; what stands beside the other answers was not read"
    named = set(re.findall(PSEUDONYM, returned.file)) - {issued.trainee}
    if named:
        yield f"it lies under the name {listed(sorted(named)[:3])}"
