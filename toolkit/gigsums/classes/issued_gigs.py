"""What a trainee is given of a whole gig: a sheet to read or print, and a file to answer in.

Everything here is made of an `OpenGig`, which holds nothing of what is right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from gigsums.practice.wording import as_markdown
from gigsums.sheets import Asked, Printed
from gigsums.whole_gigs.forms import as_markdown_text, blank
from gigsums.whole_gigs.printing import print_blocks
from gigsums.whole_gigs.sheet import Block, OpenGig

from .record import Head

NOTEBOOK, PRINTED, ANSWERS = "whole_gig_{}.ipynb", "whole_gig_{}.pdf", "whole_gig_{}.toml"
"""Names of the files of a question that is a whole gig."""
COUNTS = "It counts as much as one other question of the sheet."


def pointer(n: int, job: OpenGig) -> str:
    """Where a whole gig stands and where it is answered, as Markdown, in the place of its question."""
    return (
        f"**{as_markdown(job.title)}**, a whole gig to size. It stands on a sheet of its own, `{PRINTED.format(n)}` to "
        f"print and `{NOTEBOOK.format(n)}` to read on the screen. Type the answer into `{ANSWERS.format(n)}`. {COUNTS}"
    )


def pointer_on_paper(n: int, job: OpenGig) -> Asked:
    """The same on paper."""
    where = f"It stands on a sheet of its own, {PRINTED.format(n)}, with the tables to fill in. {COUNTS}"
    return Asked(scene=where, question="", lead=(((f"{job.title}, a whole gig to size", True),),), lines=0)


def blocks(head: Head, job: OpenGig) -> tuple[Block, ...]:
    """What stands on the sheet; with what is said to the class where there is no other sheet to say it."""
    said = [Block(head.title, head.about)] if head.about and not head.topics else []
    return (*said, *job.blocks())


def notebook(head: Head, trainee: str, variant: str, n: int, job: OpenGig) -> dict[str, Any]:
    """The sheet as a notebook to read: there is nothing in it to fill in or to run."""
    how = (
        f"*Question {n} of {as_markdown(head.title)}, for {trainee}, variant {variant}.* Read it here or in "
        f"`{PRINTED.format(n)}`, and type the answer into `{ANSWERS.format(n)}`: open it with a double click, fill it in, "
        "save it. This notebook is not returned."
    )
    texts = [f"# {as_markdown(job.title)}\n\n{how}"]
    texts += [as_markdown_text("", [block]) for block in blocks(head, job)]
    cells = [
        {"cell_type": "markdown", "id": f"gig-{at}", "metadata": {}, "source": text.splitlines(keepends=True)}
        for at, text in enumerate(texts)
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    return {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}


def answer_file(head: Head, trainee: str, variant: str, n: int, job: OpenGig) -> str:
    """The answer file of whole gigs, with whose sheet it answers at its head."""
    whose: dict[str, str | int] = {"class": head.name, "trainee": trainee, "variant": variant, "question": n}
    return blank(job, whose)


def sheet(head: Head, trainee: str, variant: str, job: OpenGig) -> Printed:
    """The sheet to print."""
    return print_blocks(job.title, blocks(head, job), variant=variant, who=trainee, paper=head.paper)


def of_the_sheet(problems: Sequence[Any]) -> list[tuple[int, OpenGig]]:
    """Number and problem of each whole gig on a sheet."""
    return [(n, each) for n, each in enumerate(problems, start=1) if isinstance(each, OpenGig)]
