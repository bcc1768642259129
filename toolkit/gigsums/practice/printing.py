"""Problems on paper: a worksheet to write on and its key, from the same source as the notebook."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from operator import sub

from gigsums.quantities import convert
from gigsums.sheets import Asked, Box, Printed, Solved, print_asked, print_solved
from gigsums.sheets.worksheets import Runs

from .problems import Answer, Part, Problem
from .wording import in_words, sentence
from .worksheets import Worksheet

_TYPED = re.compile(r"(?<=, )type\b")
_PIECES = re.compile(r"\*\*(?P<bold>.+?)\*\*|\*(?P<leaning>[^*\s][^*]*)\*|`(?P<code>[^`]+)`")


def print_worksheet(sheet: Worksheet, *, variant: str = "", who: str = "", paper: str = "a4") -> Printed:
    """Print a worksheet to write on.

    Parameters
    ----------
    sheet : Worksheet
        What `worksheet` read.
    variant : str, optional
        Which of several sheets this is; it stands on every page.
    who : str, optional
        Who it is for, best a pseudonym; a line to write on if left out.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If the paper is another, or `variant` or `who` is too long for a line.
    """
    source = sheet.source
    asked = [
        replace(on_paper(each), lead=paragraphs(ask.lead))
        for ask, each in zip(source.question, sheet.problems, strict=True)
    ]
    return print_asked(
        source.title,
        asked,
        about=paragraphs(source.about),
        minutes=source.minutes,
        variant=variant,
        who=who,
        paper=paper,
    )


def print_key(sheet: Worksheet, *, variant: str = "", paper: str = "a4") -> Printed:
    """Print the key of a worksheet: answers, workings, and the value that each slip leads to.

    Parameters
    ----------
    sheet : Worksheet
        What `worksheet` read.
    variant : str, optional
        Which of several sheets this is the key of.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_worksheet`.
    """
    return print_key_of(sheet.source.title, sheet.problems, variant=variant, paper=paper)


def print_problems(
    title: str,
    problems: Sequence[Problem | Asked],
    *,
    about: str = "",
    minutes: int | None = None,
    variant: str = "",
    who: str = "",
    paper: str = "a4",
) -> Printed:
    """Print problems as a worksheet to write on.

    Parameters
    ----------
    title : str
        Title of the sheet.
    problems : sequence of Problem or Asked
        What is asked, in order; what stands on paper in words of its own comes as `Asked`.
    about : str, optional
        Paragraphs before the first question, empty lines between them.
    minutes : int, optional
        How long it takes.
    variant, who, paper : str, optional
        As for `print_worksheet`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If there is no problem, and as for `print_worksheet`.
    """
    return print_asked(
        title,
        [each if isinstance(each, Asked) else on_paper(each) for each in problems],
        about=paragraphs(about),
        minutes=minutes,
        variant=variant,
        who=who,
        paper=paper,
    )


def print_key_of(title: str, problems: Sequence[Problem], *, variant: str = "", paper: str = "a4") -> Printed:
    """Print the key of some problems.

    Parameters
    ----------
    title : str
        Title of the sheet.
    problems : sequence of Problem
        What is asked, in order.
    variant, paper : str, optional
        As for `print_key`.

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        As for `print_problems`.
    """
    return print_solved(title, [in_key(each) for each in problems], variant=variant, paper=paper)


def on_paper(problem: Problem) -> Asked:
    """A problem as it stands on paper."""
    return Asked(
        scene=problem.scene,
        facts=problem.facts,
        question=_TYPED.sub("write", problem.question),
        write=to_write(problem.answer),
        boxes=tuple(_box(part) for part in problem.answer.parts),
        caution=problem.caution,
    )


def in_key(problem: Problem) -> Solved:
    """A problem as it stands in the key."""
    show = problem.answer.show
    return Solved(
        answer=show(),
        within=_within(problem.answer),
        asked=_TYPED.sub("write", problem.question),
        which=f"{sentence(problem.topic)}, level {problem.level}, seed {problem.seed}",
        workings=problem.workings,
        accepted=tuple((show(each.values), sentence(each.name), each.text) for each in problem.notes),
        slips=tuple((show(each.values), each.name, each.hint) for each in problem.slips),
    )


def to_write(answer: Answer) -> str:
    """What to write for an answer: words to tick, numbers for boxes, and in which unit."""
    ticked = any(part.choices for part in answer.parts)
    numbers = [part for part in answer.parts if not part.choices]
    steps = ["tick one"] if ticked else []
    if numbers:
        steps.append(_numbers(numbers))
    return f"{sentence(' and '.join(steps))}."


def _numbers(parts: list[Part]) -> str:
    whole = all(part.kind is None for part in parts)
    if len(parts) > 1:
        many = f"{in_words(len(parts))} {'whole numbers' if whole else 'numbers'}, one in each box"
        return f"write {many}" if whole else f"write {many}, in the unit beside it"
    if whole:
        return "write a whole number"
    return f"write a number in {_unit(parts[0])}" if parts[0].typed_in else "write a number"


def _unit(part: Part) -> str:
    return "degrees" if part.typed_in == "°" else part.typed_in


def _within(answer: Answer) -> str:
    """How far off is still right, in words; nothing where it has to be exact."""
    said = [_part_within(part) for part in answer.parts if part.kind and part.tolerance]
    return "; ".join(dict.fromkeys(said))


def _part_within(part: Part) -> str:
    assert not isinstance(part.value, str)
    if part.share and part.tolerance > part.absolute:
        return f"within {100 * part.tolerance / abs(part.value):.2g} %"
    assert part.kind
    near = (
        convert(value, part.kind, part.given_in or None) for value in (part.value, part.value + part.absolute)
    )
    return f"within {-sub(*near):.3g} {part.typed_in}".rstrip()


def _box(part: Part) -> Box:
    if part.choices:
        return Box(choices=part.choices)
    if part.kind is None:
        return Box(label=sentence(part.name))
    return Box(label=sentence(part.name), unit=part.typed_in)


def paragraphs(text: str) -> tuple[Runs, ...]:
    """Paragraphs of simple Markdown: what is emphasised in any way is bold, the rest stands as it is."""
    return tuple(tuple(_runs(" ".join(each.split()))) for each in re.split(r"\n\s*\n", text) if each.strip())


def _runs(text: str) -> list[tuple[str, bool]]:
    runs, at = [], 0
    for piece in _PIECES.finditer(text):
        runs.append((text[at : piece.start()], False))
        runs.append((piece["bold"] or piece["leaning"] or piece["code"], not piece["code"]))
        at = piece.end()
    return [(run, bold) for run, bold in (*runs, (text[at:], False)) if run]
