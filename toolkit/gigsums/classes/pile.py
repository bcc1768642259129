"""Returned files sorted by the sheet they answer: what is to be marked for each, and what is refused."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from gigsums.practice.wording import listed, short

from .answers import Answers
from .chance import PSEUDONYM, VARIANT
from .gig_answers import GigAnswers
from .overview import Refused
from .record import Issued
from .returned import Returned

SHEET = 0
"""Stands for the questions that are answered together; a whole gig is answered by itself, under its number."""


@dataclass(frozen=True)
class Taken:
    """What is to be marked for one sheet.

    Attributes
    ----------
    files : mapping of int to Returned
        The file that answers the questions together, under `SHEET`, and the one for each whole gig, under its number.
    pending : mapping of int to str
        Those that cannot be marked yet, and why.
    remarks : tuple of str
        What the tutor should know.
    """

    files: dict[int, Returned]
    pending: Mapping[int, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """Where the answers came from."""
        return listed([each.file for _, each in sorted(self.files.items())])


@dataclass
class Pile:
    """Returned files by the variant they state, and those that are refused already.

    Attributes
    ----------
    by_variant : dict
        Files that are still to be marked.
    refused : list
        Files that are not.
    unread : list of str
        Those of them that do not say whose they are.
    folders : dict
        The variants that lie in each folder.
    """

    by_variant: dict[str, list[Returned]] = field(default_factory=lambda: defaultdict(list))
    refused: list[Refused] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    folders: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def add(self, each: Returned) -> None:
        """Take in one file."""
        if each.answers is None:
            self.unread.append(each.file)
            self.refuse(each, each.reason)
        elif not VARIANT.fullmatch(each.answers.variant):
            stated = short(each.answers.variant)
            what = (
                f"its variant is “{stated}”, which is none" if stated.strip() else "no variant stands in it"
            )
            self.unread.append(each.file)
            self.refuse(each, f"{what}; is it a sheet of this class?")
        else:
            self.folders[_folder(each.file)].add(each.answers.variant)
            self.by_variant[each.answers.variant].append(each)

    def refuse(self, each: Returned, reason: str) -> None:
        """Refuse one file."""
        self.refused.append(Refused(each.file, reason))

    def take(self, issued: Issued) -> Taken | None:
        """What to mark for one sheet, or nothing; the other files of that variant are refused."""
        there = self.by_variant.pop(issued.variant, [])
        theirs = self._theirs(issued, there)
        groups = self._groups(issued, theirs)
        beside = [each.file for each in there if not any(each in files for files in groups.values())]
        beside += self._unread_of(issued, theirs)
        refused = f"{listed([short(each, 80) for each in beside[:3]])} could not be marked" if beside else ""
        taken: dict[int, Returned] = {}
        remarks: list[str] = []
        pending: dict[int, str] = {}
        for number in _wanted(issued):
            files = groups.get(number, [])
            answered = [each for each in files if each.answers and not each.answers.blank]
            if not files:
                pending[number] = (
                    f"no file for it was read: {refused}" if refused else "no file came back for it"
                )
            elif answered and self._differ(issued, answered):
                pending[number] = "different answers came back, and none is marked"
            elif answered:
                taken[number] = answered[0]
                if twice := listed([short(each.file, 80) for each in answered[1:]]):
                    remarks.append(f"the same answers stand in {twice}")
            elif refused:  # the blank form beside a file that was refused is no answer to mark
                pending[number] = f"its form came back empty, and {refused}"
            else:
                taken[number] = files[0]
        if all(each.answers and each.answers.blank for each in taken.values()):
            remarks.append("nothing is answered")
        return Taken(taken, pending, tuple(remarks)) if taken else None

    def _unread_of(self, issued: Issued, theirs: Sequence[Returned]) -> list[str]:
        """Files that could not be read and may be this trainee's: named so, or in a folder of nobody else's."""
        own = {_folder(each.file) for each in theirs if self.folders[_folder(each.file)] == {issued.variant}}
        return [
            file
            for file in self.unread
            if issued.trainee in (named := re.findall(PSEUDONYM, file))
            or (not named and _folder(file) in own)
        ]

    def _theirs(self, issued: Issued, there: Sequence[Returned]) -> list[Returned]:
        theirs = []
        for each in there:
            assert each.answers is not None
            if each.answers.trainee == issued.trainee:
                theirs.append(each)
            else:
                stated = short(each.answers.trainee) or "nobody"
                self.refuse(each, f"it is {issued.trainee}'s sheet, and says that it comes from {stated}")
        return theirs

    def _groups(self, issued: Issued, theirs: Sequence[Returned]) -> dict[int, list[Returned]]:
        """Files by what they answer."""
        groups: dict[int, list[Returned]] = defaultdict(list)
        gigs = issued.whole_gigs
        for each in theirs:
            if not isinstance(each.answers, GigAnswers):
                groups[SHEET].append(each)
                continue
            stated = each.answers.question
            number = gigs[0] if not stated and len(gigs) == 1 else stated
            if number in gigs:
                groups[number].append(each)
            else:
                said = (
                    f"question {stated}"
                    if stated
                    else "no question's number stands in it, and none of several"
                )
                self.refuse(each, f"it answers a whole gig, and {said} is no whole gig of this sheet")
        return groups

    def _differ(self, issued: Issued, files: Sequence[Returned]) -> bool:
        """Whether files answer the same thing in different ways; then all of them are refused."""
        if all(_said(each) == _said(files[0]) for each in files):
            return False
        for each in files:
            rest = listed([short(other.file, 80) for other in files if other is not each])
            self.refuse(
                each,
                f"{issued.trainee} has answered differently in {rest}; take away all but one, and mark again",
            )
        return True

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


def _wanted(issued: Issued) -> list[int]:
    """What there is to answer on a sheet."""
    topics = len(issued.whole_gigs) < len(issued.problems)
    return [*([SHEET] if topics else []), *issued.whole_gigs]


def _folder(file: str) -> str:
    return file.rpartition("/")[0]


def _said(each: Returned) -> object:
    if isinstance(each.answers, Answers):
        return dict(each.answers.given), dict(each.answers.unread)
    assert each.answers is not None
    return each.answers.print
