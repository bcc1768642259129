"""What a class did, as numbers: trainee by skill, question by question, slips, copies, and files that were refused."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from gigsums.practice.marking import SLIP
from gigsums.practice.problems import Values
from gigsums.whole_gigs.rules import Marks

from .copies import Copy
from .record import Head

NOT_ANSWERED, PARTLY, PENDING = "not answered", "in part", "pending"
FEWEST = 20
"""Below so many sheets no discrimination is shown: its groups would be five people or fewer."""
SHARE = 0.27
"""Share of the class in the upper and in the lower group: Kelley, "The selection of upper and lower groups for the
validation of test items", Journal of Educational Psychology 30 (1939), 17-24 (from memory)."""


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
class Sheet:
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
class Refused:
    """A file that was not marked, and why."""

    file: str
    reason: str


@dataclass(frozen=True)
class Item:
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
class Overview:
    """A class at a glance.

    Attributes
    ----------
    head : Head
        What was issued.
    sheets : tuple of Sheet
        Those marked, by pseudonym.
    items : tuple of Item
        One for each question.
    slips : tuple of SlipSeen
        Most frequent first.
    copies : tuple of Copy
        Reasons to talk.
    refused : tuple of Refused
        Files that were not marked.
    missing : tuple of str
        Trainees of whom nothing was marked.
    gigs : mapping of int to Marks
        What the sections of each whole gig are worth, by the number of the question.
    changed : tuple of int
        Whole gigs whose key is worked out otherwise today than when they were handed out.
    """

    head: Head
    sheets: tuple[Sheet, ...]
    items: tuple[Item, ...]
    slips: tuple[SlipSeen, ...]
    copies: tuple[Copy, ...]
    refused: tuple[Refused, ...]
    missing: tuple[str, ...]
    gigs: Mapping[int, Marks] = field(default_factory=dict)
    changed: tuple[int, ...] = ()

    @property
    def with_pending(self) -> tuple[Sheet, ...]:
        """Sheets on which something is pending."""
        return tuple(sheet for sheet in self.sheets if sheet.pending)

    @property
    def to_look_at(self) -> tuple[Sheet, ...]:
        """Sheets on which something dangerous may stand."""
        return tuple(
            sheet for sheet in self.sheets if any(each.whole and each.whole.flags for each in sheet.marks)
        )

    def skills(self, sheet: Sheet) -> dict[str, tuple[float, int]]:
        """Marks of each skill on one sheet, and how many questions have one.

        Parameters
        ----------
        sheet : Sheet
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
    sheets: Sequence[Sheet],
    hints: Mapping[tuple[str, str], str],
    copies: Sequence[Copy],
    refused: Sequence[Refused],
    missing: Sequence[str],
    gigs: Mapping[int, Marks] | None = None,
    changed: tuple[int, ...] = (),
) -> Overview:
    """Work out a class's overview; `hints` are by topic and name of the slip."""
    ordered = tuple(sorted(sheets, key=lambda sheet: sheet.trainee))
    items = tuple(_item(n, head, ordered) for n in range(1, len(head.questions) + 1))
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
    wanted = max(1, round(SHARE * len(totals))) if totals else 0
    return _share_out(totals, wanted, best_first=True), _share_out(totals, wanted, best_first=False)


def _share_out(totals: Sequence[float], wanted: int, best_first: bool) -> list[float]:
    members = [0.0] * len(totals)
    level: dict[float, list[int]] = defaultdict(list)
    for at, total in enumerate(totals):
        level[round(total, 9)].append(at)
    left = float(wanted)
    for total in sorted(level, reverse=best_first):
        share = min(1.0, left / len(level[total]))
        for at in level[total]:
            members[at] = share
        left -= share * len(level[total])
    return members


def _item(n: int, head: Head, sheets: Sequence[Sheet]) -> Item:
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
    return Item(n, asked["topic"], asked["level"], asked["skill"], facility, discrimination, dict(outcomes))


def _slips(head: Head, sheets: Sequence[Sheet], hints: Mapping[tuple[str, str], str]) -> tuple[SlipSeen, ...]:
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
