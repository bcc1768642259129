"""What a class did: each sheet marked from the record, whatever the returned files claim, and the class as numbers.

Copying. An answer that is wrong on one's own sheet and right on somebody else's is a reason to talk, never a verdict. Why
it is wrong plays no part, for a known slip may fall on another key as any number may. How likely that is by chance is read
from the class itself: the share of the other sheets whose key the answer fits, one at the least. An answer that fits half
of the class says next to nothing. Keys are drawn for each sheet and each question by themselves, so that of so many wrong
answers the number that fit one given sheet has a Poisson binomial distribution, whatever mistakes the class has in common.
A pair is named where at least `LEAST` fit, and where all pairs of the class together that are as unlikely as this one, or
more so, would be expected by chance in fewer than one class of a hundred (`CHANCE`). `tests/benchmarks/bench_copies.py`
tries it out on simulated classes.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from gigsums.practice.marking import LONGEST, MALFORMED, NOTED, RIGHT, SLIP, WRONG, mark
from gigsums.practice.problems import RightAnswer, Value, Values
from gigsums.practice.wording import listed, short
from gigsums.whole_gigs.files import SECTIONS, Marks
from gigsums.whole_gigs.marking import WholeMarking
from gigsums.whole_gigs.problem import WholeGig, mark_given

from .answers import (
    SHEET,
    Answers,
    NotAnswers,
    Pile,
    Returned,
    read_again,
)
from .record import PSEUDONYM, Head, Issued

NOT_ANSWERED, PARTLY, PENDING = "not answered", "in part", "pending"
FEWEST = 20
"""Below so many sheets no discrimination is shown: its groups would be five people or fewer."""
SHARE = 0.27
"""Share of the class in the upper and in the lower group: Kelley, "The selection of upper and lower groups for the
validation of test items", Journal of Educational Psychology 30 (1939), 17-24 (from memory)."""
MOST_FLAGS = 10
_LONGEST_FLAG = 200
LEAST = 3
CHANCE = 0.01
MOST_NAMED = 3
"""Sheets named for one trainee, those that fit best."""
Said = str | WholeMarking
"""What is said about one answer: a text, or the whole marking of a whole gig. It is not kept."""


@dataclass(frozen=True, slots=True)
class WholeSeen:
    """The answer to a whole gig as it was marked.

    Attributes
    ----------
    shares : tuple of float or None
        What each section earned, 0 to 1, in their order on the sheet; None where there is nothing to ask.
    slips : tuple of str
        Names of where it went wrong.
    flags : tuple of str
        What a person has to look at.
    earned : float
        What it is worth before any cap, 0 to 1.
    capped : bool
        Whether the marks are capped until a person has looked.
    """

    shares: tuple[float | None, ...]
    slips: tuple[str, ...]
    flags: tuple[str, ...]
    earned: float
    capped: bool


@dataclass(frozen=True, slots=True)
class Marked:
    """One answer as it was marked; `values` are kept where it is wrong, `whole` of a whole gig.

    What was left empty is worth 0. What was not read is pending: its `worth` is None, `why` says why, and it counts
    nowhere until it has been read.
    """

    outcome: str
    worth: float | None = 0.0
    typed: str = ""
    slip: str = ""
    values: Values | None = None
    whole: WholeSeen | None = None
    why: str = ""


def pending(why: str) -> Marked:
    """An answer that has no mark yet."""
    return Marked(PENDING, None, why=why)


@dataclass(frozen=True, slots=True)
class MarkedSheet:
    """One trainee's sheet as it was marked.

    Attributes
    ----------
    trainee, variant, file : str
        Whose, which, and where it came from.
    marks : tuple of Marked
        One for each question.
    remarks : tuple of str
        What the tutor should know about the file.
    """

    trainee: str
    variant: str
    file: str
    marks: tuple[Marked, ...]
    remarks: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """The sum of the marks given."""
        return sum(each.worth for each in self.marks if each.worth is not None)

    @property
    def of(self) -> int:
        """How many questions have a mark; one at the least."""
        return sum(each.worth is not None for each in self.marks)

    @property
    def share(self) -> float:
        """The mean mark, 0 to 1."""
        return self.total / self.of

    @property
    def pending(self) -> tuple[int, ...]:
        """Numbers of the questions that have no mark yet."""
        return tuple(n for n, each in enumerate(self.marks, start=1) if each.worth is None)


@dataclass(frozen=True)
class QuestionSeen:
    """How the class did on one question.

    Attributes
    ----------
    number : int
        Which question, from 1.
    topic, level, skill : str, int, str
        What it asks.
    facility : float or None
        Mean mark, 0 to 1; None if nobody has a mark there.
    discrimination : float or None
        Facility of the best 27 per cent less that of the weakest 27 per cent, of those who have a mark there; None
        where they are too few.
    outcomes : mapping of str to int
        How many answers came to each outcome.
    """

    number: int
    topic: str
    level: int
    skill: str
    facility: float | None
    discrimination: float | None
    outcomes: Mapping[str, int]


@dataclass(frozen=True)
class SlipSeen:
    """A slip the class made: how often, of how many sheets that have a mark there, and what to teach again."""

    name: str
    topic: str
    times: int
    trainees: int
    of: int
    hint: str


@dataclass(frozen=True)
class Copy:
    """A trainee whose wrong answers fit another sheet.

    Attributes
    ----------
    trainee, other : str
        Who answered, and whose key it fits.
    questions : tuple of int
        Where it fits.
    wrong : int
        Answers that could have fitted: those that are wrong.
    expected : float
        Pairs as unlikely as this, or more so, that chance alone would show in such a class.
    """

    trainee: str
    other: str
    questions: tuple[int, ...]
    wrong: int
    expected: float


@dataclass(frozen=True)
class Overview:
    """A class at a glance.

    Attributes
    ----------
    head : Head
        What was issued.
    sheets : tuple of MarkedSheet
        Those marked, by pseudonym.
    items : tuple of QuestionSeen
        One for each question.
    slips : tuple of SlipSeen
        Most frequent first.
    copies : tuple of Copy
        Reasons to talk.
    refused : tuple of Returned
        Files that were not marked.
    missing : tuple of str
        Trainees of whom nothing was marked.
    gigs : mapping of int to Marks
        What the sections of each whole gig are worth, by the number of the question.
    changed : tuple of int
        Whole gigs whose key is worked out otherwise today than when they were handed out.
    """

    head: Head
    sheets: tuple[MarkedSheet, ...]
    items: tuple[QuestionSeen, ...]
    slips: tuple[SlipSeen, ...]
    copies: tuple[Copy, ...]
    refused: tuple[Returned, ...]
    missing: tuple[str, ...]
    gigs: Mapping[int, Marks] = field(default_factory=dict)
    changed: tuple[int, ...] = ()

    @property
    def with_pending(self) -> tuple[MarkedSheet, ...]:
        """Sheets on which something is pending."""
        return tuple(sheet for sheet in self.sheets if sheet.pending)

    @property
    def to_look_at(self) -> tuple[MarkedSheet, ...]:
        """Sheets on which something dangerous may stand."""
        return tuple(
            sheet for sheet in self.sheets if any(each.whole and each.whole.flags for each in sheet.marks)
        )

    def skills(self, sheet: MarkedSheet) -> dict[str, tuple[float, int]]:
        """Marks of each skill on one sheet, and how many questions have one.

        Parameters
        ----------
        sheet : MarkedSheet
            One of `sheets`.

        Returns
        -------
        dict of str to (float, int)
        """
        sums: dict[str, tuple[float, int]] = dict.fromkeys(self.head.skills, (0.0, 0))
        for asked, each in zip(self.head.questions, sheet.marks, strict=True):
            if each.worth is not None:
                got, of = sums[asked["skill"]]
                sums[asked["skill"]] = got + each.worth, of + 1
        return sums

    @property
    def big_enough(self) -> bool:
        """Whether discrimination means anything in a class of this size."""
        return len(self.sheets) >= FEWEST


def overview(
    head: Head,
    sheets: Sequence[MarkedSheet],
    hints: Mapping[tuple[str, str], str],
    copies: Sequence[Copy],
    refused: Sequence[Returned],
    missing: Sequence[str],
    gigs: Mapping[int, Marks] | None = None,
    changed: tuple[int, ...] = (),
) -> Overview:
    """Work out a class's overview; `hints` are by topic and name of the slip."""
    ordered = tuple(sorted(sheets, key=lambda sheet: sheet.trainee))
    items = tuple(_question(n, head, ordered) for n in range(1, len(head.questions) + 1))
    return Overview(
        head,
        ordered,
        items,
        _slips(head, ordered, hints),
        tuple(copies),
        tuple(refused),
        tuple(sorted(missing)),
        gigs or {},
        changed,
    )


def groups(totals: Sequence[float]) -> tuple[list[float], list[float]]:
    """How far each sheet belongs to the upper and to the lower group; those level at a border share what is left."""
    wanted = max(1, round(SHARE * len(totals)))
    _, at, level = np.unique(np.round(totals, 9), return_inverse=True, return_counts=True)
    below = np.cumsum(level) - level
    lower = np.clip((wanted - below) / level, 0, 1)[at]
    upper = np.clip((wanted - (len(totals) - below - level)) / level, 0, 1)[at]
    return upper.tolist(), lower.tolist()


def _question(n: int, head: Head, sheets: Sequence[MarkedSheet]) -> QuestionSeen:
    asked = head.questions[n - 1]
    marked = [(worth, sheet.share) for sheet in sheets if (worth := sheet.marks[n - 1].worth) is not None]
    # by the mean mark, since a sheet on which something is pending has fewer of them
    facility = sum(worth for worth, _ in marked) / len(marked) if marked else None
    discrimination = None
    if len(marked) >= FEWEST:
        high, low = (
            sum(worth * m for (worth, _), m in zip(marked, members, strict=True)) / sum(members)
            for members in groups([share for _, share in marked])
        )
        discrimination = high - low
    outcomes = Counter(sheet.marks[n - 1].outcome for sheet in sheets)
    return QuestionSeen(
        n, asked["topic"], asked["level"], asked["skill"], facility, discrimination, dict(outcomes)
    )


def _slips(
    head: Head, sheets: Sequence[MarkedSheet], hints: Mapping[tuple[str, str], str]
) -> tuple[SlipSeen, ...]:
    times: Counter[tuple[str, str]] = Counter()
    who: dict[tuple[str, str], set[str]] = defaultdict(set)
    of: dict[str, set[str]] = defaultdict(set)
    for sheet in sheets:
        for asked, each in zip(head.questions, sheet.marks, strict=True):
            if each.worth is not None:
                of[asked["topic"]].add(sheet.trainee)
            slips = each.whole.slips if each.whole else (each.slip,) if each.outcome == SLIP else ()
            for slip in slips:
                times[asked["topic"], slip] += 1
                who[asked["topic"], slip].add(sheet.trainee)
    found = [
        SlipSeen(slip, topic, n, len(who[topic, slip]), len(of[topic]), hints.get((topic, slip), ""))
        for (topic, slip), n in times.items()
    ]
    return tuple(sorted(found, key=lambda each: (-each.times, each.topic, each.name)))


# marking


def mark_sheet(issued: Issued, pile: Pile) -> tuple[MarkedSheet, list[Said]] | None:
    """Mark what came back of one sheet, and say what is to be said about each answer; None where there is nothing to mark."""
    taken = pile.take(issued)
    if taken is None:
        return None
    files, waits, remarks = taken
    try:
        each = [_mark(issued, n, files, waits, pile) for n in range(1, len(issued.problems) + 1)]
    except Exception as error:  # whatever happens to one sheet, the others are marked
        for returned in files.values():
            pile.refuse(returned, _failed(error))
        return None
    marks = tuple(marked for marked, _ in each)
    if all(marked.worth is None for marked in marks):
        known = {refused.file for refused in pile.refused}
        for returned in (file for file in files.values() if file.file not in known):
            pile.refuse(returned, f"nothing in it could be marked; question 1: {marks[0].why}")
        return None
    for returned in files.values():
        remarks += _remarks(issued, returned)
    file = listed([returned.file for _, returned in sorted(files.items())])
    sheet = MarkedSheet(issued.trainee, issued.variant, file, marks, tuple(dict.fromkeys(remarks)))
    return sheet, [said for _, said in each]


def _failed(error: Exception) -> str:
    return f"the marking itself failed ({type(error).__name__}); please report it"


def _mark(
    issued: Issued, n: int, files: Mapping[int, Returned], waits: Mapping[int, str], pile: Pile
) -> tuple[Marked, Said]:
    asked = issued.problems[n - 1]
    number = n if isinstance(asked, WholeGig) else SHEET
    if number in waits:
        return pending(waits[number]), ""
    answers = files[number].answers
    assert answers is not None
    if isinstance(asked, WholeGig):
        return _mark_whole(asked, files[number], answers, pile)
    if n in answers.unread:
        return pending(f"it could not be read: {answers.unread[n]}"), ""
    if n not in answers.given:
        return Marked(NOT_ANSWERED), ""
    marking = mark(asked, answers.given[n])
    if marking.outcome == MALFORMED:
        typed = short(answers.given[n], LONGEST)
        return replace(pending(f"{typed!r} was not understood, and a person has to read it"), typed=typed), ""
    values = marking.values if marking.outcome in (SLIP, WRONG) else None
    worth = 1.0 if marking.outcome in (RIGHT, NOTED) else 0.0
    typed = short(answers.given[n], LONGEST)
    return Marked(marking.outcome, worth, typed, marking.slip, values), marking.message


def _mark_whole(job: WholeGig, returned: Returned, answers: Answers, pile: Pile) -> tuple[Marked, Said]:
    """A whole gig, its file read again, since what it says was not kept."""
    if answers.blank:
        return Marked(NOT_ANSWERED), ""
    try:
        marking = mark_given(job, read_again(returned.path, answers))
    except NotAnswers as changed:
        pile.refuse(returned, str(changed))
        return pending(f"it could not be read: {changed}"), ""
    except Exception as error:  # whatever happens to one answer, the others on the sheet are marked
        pile.refuse(returned, _failed(error))
        return pending("the marking itself failed, and your tutor has to look at it"), ""
    worth = round(min(1.0, marking.total / marking.out_of), 4)
    outcome = RIGHT if worth == 1 else PARTLY if worth else WRONG
    flags = [short(flag.text(), _LONGEST_FLAG) for flag in marking.flags]
    more = [f"and {len(flags) - MOST_FLAGS} more"] if len(flags) > MOST_FLAGS else []
    sections = [marking.section(name) for name in SECTIONS]
    whole = WholeSeen(
        tuple(each.marks / each.out_of if each.out_of else None for each in sections),
        tuple(dict.fromkeys(slip.name for slip in marking.slips)),
        (*flags[:MOST_FLAGS], *more),
        marking.earned / marking.out_of,
        marking.capped,
    )
    return Marked(outcome, worth, f"{marking.total:g} of {marking.out_of:g} marks", whole=whole), marking


def _remarks(issued: Issued, returned: Returned) -> Iterator[str]:
    answers = returned.answers
    assert answers is not None
    yield from answers.remarks
    if answers.whole_gig is None:
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


# answers that fit another sheet


class Keys:
    """The keys of every sheet issued, to look up which of them an answer fits. All are added before the first is looked up."""

    def __init__(self) -> None:
        self.trainees: list[str] = []
        self._codes: dict[str, int] = {}
        self._rows: dict[tuple[int, int], list[list[complex]]] = defaultdict(list)
        self._tables: dict[tuple[int, int], np.ndarray] = {}
        self._found: dict[tuple[int, Values], np.ndarray] = {}

    def add(self, trainee: str, answers: Sequence[RightAnswer | None]) -> None:
        """Take in one sheet; None for a question whose answer cannot be compared."""
        for n, answer in enumerate(answers, start=1):
            if answer is not None:
                reach = [part.tolerance * (1 + 1e-9) for part in answer.parts]
                row = [len(self.trainees), *map(self._point, answer.values), *reach]
                self._rows[n, len(reach)].append(row)
        self.trainees.append(trainee)

    def _point(self, value: Value) -> complex:
        """A value as a number; a text as one that is far from everything but itself."""
        if not isinstance(value, str):
            return complex(value)
        return complex(0, 1e200 * (1 + self._codes.setdefault(value, len(self._codes))))

    def fitting(self, question: int, given: Values) -> np.ndarray:
        """Numbers of the sheets whose key to a question, counted from 1, the values fit."""
        if (question, given) not in self._found:
            which, parts = (question, len(given)), len(given)
            if which not in self._tables:
                self._tables[which] = np.array(self._rows[which], dtype=complex).reshape(-1, 1 + 2 * parts)
            table = self._tables[which]
            off = np.abs(table[:, 1 : 1 + parts] - [self._point(each) for each in given])
            fits = (off <= table[:, 1 + parts :].real).all(axis=1)
            self._found[question, given] = table[fits, 0].real.astype(np.int32)
        return self._found[question, given]


def copies(keys: Keys, wrong: Sequence[tuple[str, Sequence[tuple[int, Values]]]]) -> list[Copy]:
    """Every pair that gives reason to talk.

    `wrong` has, for each sheet marked, the trainee and each answer that is wrong: question, values.
    """
    number = {trainee: at for at, trainee in enumerate(keys.trainees)}
    others = len(keys.trainees) - 1
    tails: list[list[float]] = []
    pairs: list[tuple[str, int, tuple[int, ...], int, float]] = []
    for trainee, answers in wrong:
        if len(answers) < LEAST or others < 1:
            continue
        fits = [each[each != number[trainee]] for each in (keys.fitting(*answer) for answer in answers)]
        tail = _tail([max(1, len(each)) / others for each in fits])
        tails.append(tail[LEAST:])
        for times, sheet in _best(fits):
            if others * tail[times] < CHANCE:  # this trainee's own share of what is expected
                where = tuple(q for (q, _), each in zip(answers, fits, strict=True) if sheet in each)
                pairs.append((trainee, sheet, where, len(answers), tail[times]))
    if not pairs:
        return []
    expected = _expected(tails, others)
    found = [
        Copy(trainee, keys.trainees[sheet], where, of, expected(p)) for trainee, sheet, where, of, p in pairs
    ]
    return [each for each in found if each.expected < CHANCE]


def _best(fits: Sequence[np.ndarray]) -> list[tuple[int, int]]:
    """How many answers fit a sheet, and its number, of the few that most answers fit."""
    sheets, times = np.unique(np.concatenate(fits), return_counts=True)
    enough = ((int(n), int(sheet)) for sheet, n in zip(sheets, times, strict=True) if n >= LEAST)
    return sorted(enough, reverse=True)[:MOST_NAMED]


def _expected(tails: Sequence[Sequence[float]], others: int) -> Callable[[float], float]:
    """How many pairs as unlikely as p, or more so, chance alone would show in the class.

    A trainee's sheet reaches only the probabilities in its tail: one who has few wrong answers can hardly be named.
    """
    reached = np.concatenate([np.asarray(tail) for tail in tails])
    steps = np.concatenate([-np.diff(tail, append=0.0) for tail in tails])
    order = np.argsort(reached)
    reached, totals = reached[order], others * np.cumsum(steps[order])
    return lambda p: float(totals[np.searchsorted(reached, p, side="right") - 1])


def _tail(chances: Sequence[float]) -> list[float]:
    """Probability of at least n successes, n = 0, 1 ...: independent trials, each with a chance of its own."""
    exactly = np.zeros(len(chances) + 1)
    exactly[0] = 1.0
    for chance in chances:
        exactly[1:] = exactly[1:] * (1 - chance) + exactly[:-1] * chance
        exactly[0] *= 1 - chance
    return [float(exactly[n:].sum()) for n in range(len(exactly))]
