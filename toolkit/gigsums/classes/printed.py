"""Sheets and keys on paper: for each trainee the questions, for the tutor what is right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from gigsums.practice import worksheets
from gigsums.practice.problems import Problem
from gigsums.practice.wording import sentence
from gigsums.sheets import Asked, Printed, Solved, print_solved
from gigsums.whole_gigs.printing import print_whole_key
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import OpenGig

from . import issued_files as given
from . import issued_gigs as gigs
from .record import Head, Issued


def sheets(head: Head, issued: Issued) -> Iterator[tuple[str, Printed]]:
    """Name and pages of each printed sheet of a trainee."""
    open_ = [given.opened(each) for each in issued.problems]
    if head.topics:
        yield (
            given.PRINTED,
            worksheets.print_problems(
                head.title,
                [_on_paper(n, each) for n, each in enumerate(open_, start=1)],
                about=head.about,
                minutes=head.minutes or None,
                variant=issued.variant,
                who=issued.trainee,
                paper=head.paper,
            ),
        )
    for n, job in gigs.of_the_sheet(open_):
        yield gigs.PRINTED.format(n), gigs.sheet(head, issued.trainee, issued.variant, job)


def _on_paper(n: int, each: given.Open) -> Problem | Asked:
    return gigs.pointer_on_paper(n, each) if isinstance(each, OpenGig) else each


def keys(head: Head, issued: Issued, first: bool) -> Iterator[tuple[str, Printed]]:
    """Name and pages of the key of a sheet, and with the first sheet of each whole gig, which is everybody's."""
    if head.topics:
        solved = [_solved(n, each) for n, each in enumerate(issued.problems, start=1)]
        key = print_solved(head.title, solved, variant=issued.variant, who=issued.trainee, paper=head.paper)
        yield f"{issued.trainee}.pdf", key
    for n, each in enumerate(issued.problems, start=1):
        if first and isinstance(each, WholeGig):
            yield gigs.PRINTED.format(n), print_whole_key(each, paper=head.paper)


def _solved(n: int, each: Any) -> Solved:
    if isinstance(each, WholeGig):
        return Solved(f"in {gigs.PRINTED.format(n)}", which=f"{each.title}, a whole gig")
    return replace(worksheets.in_key(each), which=f"{sentence(each.topic)}, level {each.level}")
