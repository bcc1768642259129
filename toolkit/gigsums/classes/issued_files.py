"""What a trainee is given: the sheet as a notebook, a file to answer in, and how to return them.

Nothing here is made from an answer, a slip, workings or a seed: problems come in stripped of them (`without_key`).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from gigsums.practice.marking import wanted
from gigsums.practice.problems import Answer, Part, Problem
from gigsums.practice.questions import Question
from gigsums.practice.wording import as_markdown, listed
from gigsums.practice.worksheets import as_file
from gigsums.whole_gigs.problem import WholeGig
from gigsums.whole_gigs.sheet import OpenGig

from . import issued_gigs as gigs
from .record import Head

NOTEBOOK = "worksheet.ipynb"
PRINTED = "worksheet.pdf"
ANSWERS = "answers.toml"
RETURN = "how to return this.txt"
NEUTRAL = float("nan")
"""Stands where an answer stood: equal to nothing, near nothing."""


Open = Problem | OpenGig
"""A problem as it may leave the tutor's hands."""


def opened(problem: Problem | WholeGig) -> Open:
    """A problem of any form as it may leave the tutor's hands."""
    return problem.open if isinstance(problem, WholeGig) else without_key(problem)


def without_key(problem: Problem) -> Problem:
    """The problem as it may leave the tutor's hands: all that is read, and nothing that follows from the answer."""
    answer = Answer(tuple(_open(part) for part in problem.answer.parts))
    return replace(
        problem,
        shown={},
        answer=answer,
        wanted=wanted(answer),
        workings=(),
        slips=(),
        notes=(),
        nudge="",
        seed="",
    )


def _open(part: Part) -> Part:
    """The part without its value; the tolerance is its topic's, and the trainee is told how near to come."""
    neutral: Any = "" if part.choices else NEUTRAL
    return replace(part, value=neutral)


def files(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> dict[str, str]:
    """Every file of a trainee's folder that is text, by name."""
    made = {RETURN: return_note(head, trainee, variant)}
    if head.topics:
        made[NOTEBOOK] = as_file(notebook(head, trainee, variant, problems))
        made[ANSWERS] = answer_file(head, trainee, variant, problems)
    for n, job in gigs.of_the_sheet(problems):
        made[gigs.NOTEBOOK.format(n)] = as_file(gigs.notebook(head, trainee, variant, n, job))
        made[gigs.ANSWERS.format(n)] = gigs.answer_file(head, trainee, variant, n, job)
    return made


def notebook(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> dict[str, Any]:
    """The sheet as a notebook in format 4.5: problems as text, answers as texts between quotes, nothing to run."""
    lines = [f"# {as_markdown(head.title)}", _counted(head, len(problems))]
    lines += [as_markdown(each) for each in head.about.split("\n\n") if each.strip()]
    lines.append(
        "Type each answer between the quotes of its cell and save. Units and a decimal comma are read. Nothing has to be "
        "run, and nothing is checked here: return this notebook as it is."
    )
    cells = [
        _cell("markdown", "opening", "\n\n".join(lines)),
        _cell(
            "code",
            "whose",
            f'# Which sheet this is. Leave both lines as they are.\ntrainee = "{trainee}"\nvariant = "{variant}"',
        ),
    ]
    for n, each in enumerate(problems, start=1):
        cells.append(_cell("markdown", f"question-{n}", question_text(n, each)))
        if not isinstance(each, OpenGig):
            cells.append(_cell("code", f"answer-{n}", f'answer_{n} = ""'))
    return {
        "cells": cells,
        "metadata": {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def question_text(n: int, problem: Open) -> str:
    """One question as Markdown."""
    if isinstance(problem, OpenGig):
        return f"## Question {n}\n\n{gigs.pointer(n, problem)}"
    return f"## Question {n}\n\n{Question(problem)._repr_markdown_()}"


def answer_file(head: Head, trainee: str, variant: str, problems: Sequence[Open]) -> str:
    """A file to answer in: TOML, a line for each question, what is wanted behind it as a note."""
    lines = [
        f"# Answers to {_on_one_line(head.title)}. The questions are in {PRINTED} and {NOTEBOOK}.",
        "# Type each answer between the quotes, save, and return this file. Answer here or in the notebook, not in both.",
        "format = 1",
        f"class = {_toml_text(head.name)}",
        f'trainee = "{trainee}"',
        f'variant = "{variant}"',
        "",
        "[answers]",
    ]
    for n, each in enumerate(problems, start=1):
        if isinstance(each, OpenGig):
            lines.append(f"# {n}. A whole gig; its answer goes into {gigs.ANSWERS.format(n)}.")
        else:
            lines += [f"# {n}. Type {_on_one_line(each.wanted)}.", f'{n} = ""']
    return "\n".join(lines) + "\n"


def return_note(head: Head, trainee: str, variant: str) -> str:
    """How to return the sheet, as plain text."""
    there = []
    if head.topics:
        there += [
            (PRINTED, "the questions, to read or to print"),
            (NOTEBOOK, "the same questions, to answer in JupyterLab"),
            (ANSWERS, "the same answers, to type in any text editor"),
        ]
    for n in head.whole_gigs:
        there += [
            (gigs.PRINTED.format(n), f"question {n}, a whole gig, to read or to print"),
            (gigs.NOTEBOOK.format(n), "the same, to read in JupyterLab"),
            (gigs.ANSWERS.format(n), "your answer to it, to type in any text editor"),
        ]
    names = [gigs.ANSWERS.format(n) for n in head.whole_gigs]
    said = []
    if head.topics:
        but = f"\nThe whole gig is answered in {listed(names)}, whichever you take." if names else ""
        said.append(
            f"""Answer in ONE of {NOTEBOOK} and {ANSWERS}. Type between the quotes: "4, 6" or
"74.8 ms" or "12 ft". A decimal comma is read too. Leave empty what you do not know.{but}"""
        )
    else:
        said.append(f"Answer in {listed(names)}. Leave empty what you do not know.")
    back = [*(["that one file"] if head.topics else []), *names]
    files, them = listed(back), "them" if len(back) > 1 else "it"
    said.append(
        f"""When you have done, save, and give {files} back to your tutor.
If you worked on paper, give the paper back. Do not pack {them} into an archive, and do
not change the lines with "trainee" and "variant": your answers are marked by them."""
    )
    said.append(f'"{trainee}" stands for you. Your name is on nothing here.')
    wide = max(len(name) for name, _ in there) + 3
    table = "\n".join(f"{name:{wide}}{what}" for name, what in there)
    body = "\n\n".join([table, *said])
    return f"{_on_one_line(head.title)}\nFor {trainee}, variant {variant}\n\n{body}\n"


def as_bytes(text: str) -> bytes:
    """A text as the file is written."""
    return text.encode("utf-8")


def _counted(head: Head, count: int) -> str:
    questions = "One question" if count == 1 else f"{count} questions"
    return f"*{questions}, about {head.minutes} minutes.*" if head.minutes else f"*{questions}.*"


def _cell(kind: str, name: str, text: str) -> dict[str, Any]:
    cell: dict[str, Any] = {
        "cell_type": kind,
        "id": name,
        "metadata": {},
        "source": text.splitlines(keepends=True),
    }
    return cell | ({"execution_count": None, "outputs": []} if kind == "code" else {})


def _on_one_line(text: str) -> str:
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


def _toml_text(text: str) -> str:
    return json.dumps(_on_one_line(text), ensure_ascii=False).replace("\x7f", "\\u007f")
