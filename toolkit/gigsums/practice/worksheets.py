"""Worksheets: a short source in TOML, and from it a notebook to answer in, plain text and a key."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, ClassVar, Literal

from gigsums.gig.files import BadFile, build, read_table
from gigsums.gig.model import FORBID, AtLeastOne, Text, Words

from .problems import Problem
from .published import published_problem
from .questions import Question
from .topic import problem

LONGEST = 100


@dataclass(frozen=True)
class Ask:
    """One question as the source names it: a topic with its seed, or a published value by its name."""

    __pydantic_config__: ClassVar = FORBID
    topic: Text | None = None
    seed: Any = None
    published: Text | None = None
    level: Literal[1, 2, 3] | None = None
    lead: Words = ""

    @property
    def call(self) -> str:
        """What a notebook's cell calls for it."""
        if self.published:
            return f"published({_quoted(self.published)})"
        level = f", level={self.level}" if self.level else ""
        return f"question({_quoted(self.topic or '')}, seed={_quoted(self.seed)}{level})"

    def drawn(self, file: str, key: str) -> Problem:
        """Its problem; BadFile names the key where there is none."""
        missing = [part for part in ("topic", "seed") if getattr(self, part) is None]
        if self.published and (len(missing) < 2 or self.level):
            raise BadFile(file, key, "a published value has no topic, seed or level.", "Leave those out.")
        if missing and not self.published:
            said = f"{key}.{missing[0]}", "it is missing."
            raise BadFile(file, *said, "Name a topic and a seed, or a published value.")
        try:
            if self.published:
                return published_problem(self.published)
            return problem(self.topic or "", self.seed, self.level)
        except ValueError as error:
            raise BadFile(file, key, f"{error}.") from None


@dataclass(frozen=True)
class Source:
    """A worksheet's file: title, minutes, an opening in Markdown, and the questions.

    `on_screen` and `closing` speak of cells and of running them: they stand in the notebook only.
    """

    __pydantic_config__: ClassVar = FORBID
    title: Text
    about: Words
    question: tuple[Ask, ...] = ()
    minutes: AtLeastOne | None = None
    on_screen: Words = ""
    closing: Words = ""
    format: int = 1


@dataclass(frozen=True)
class Worksheet:
    """A set of problems with the words between them.

    Attributes
    ----------
    source : Source
        What the file says.
    problems : tuple of Problem
        One for each question, in order.
    """

    source: Source
    problems: tuple[Problem, ...] = field(repr=False)

    def text(self) -> str:
        """The worksheet as plain text."""
        asked = (f"{n}. {each.text()}" for n, each in enumerate(self.problems, start=1))
        return "\n\n".join([self.source.title, *asked]) + "\n"

    def key(self) -> str:
        """The answers with their workings, as plain text."""
        solved = (
            "\n".join([f"{n}. {each.answer}", *(f"   {line}" for line in each.workings)])
            for n, each in enumerate(self.problems, start=1)
        )
        return "\n\n".join([f"{self.source.title}: key", *solved]) + "\n"

    def notebook(self, answers: tuple[str, ...] = ()) -> dict[str, Any]:
        """The worksheet as a notebook, with what its cells put out when they are run.

        Parameters
        ----------
        answers : tuple of str, optional
            What stands in the answer cells; nothing if left out.

        Returns
        -------
        dict
            A notebook in format 4.5.
        """
        source = self.source
        takes = f"*About {source.minutes} minutes.*" if source.minutes else ""
        words = (f"# {source.title}", takes, source.about.strip(), source.on_screen.strip())
        opening = "\n\n".join(filter(None, words))
        calls = sorted({ask.call.partition("(")[0] for ask in source.question})
        cells = [
            _prose("opening", opening),
            _code("start", f"from gigsums import {', '.join(calls)}"),
        ]
        for n, (ask, asked) in enumerate(zip(source.question, self.problems, strict=True), start=1):
            given = answers[n - 1] if answers else ""
            live = Question(asked)
            cells += [
                _prose(f"lead-{n}", "\n\n".join(filter(None, (f"## Question {n}", ask.lead.strip())))),
                _code(
                    f"question-{n}",
                    f"q{n} = {ask.call}\nq{n}",
                    live,
                ),
                _code(f"answer-{n}", f"q{n}.check({_quoted(given)})", live.check(given)),
            ]
        if source.closing.strip():
            cells.append(_prose("closing", source.closing.strip()))
        for ran, cell in enumerate((cell for cell in cells if cell["cell_type"] == "code"), start=1):
            for each in (cell, *cell["outputs"]):
                each["execution_count"] = ran
        kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
        return {
            "cells": cells,
            "metadata": {"kernelspec": kernel, "language_info": {"name": "python"}},
            "nbformat": 4,
            "nbformat_minor": 5,
        }


def worksheet(source: str | Path) -> Worksheet:
    """Read a worksheet's source and draw its problems.

    Parameters
    ----------
    source : str or Path
        A TOML file, or the name of a worksheet that comes with the workbook.

    Returns
    -------
    Worksheet

    Raises
    ------
    BadFile
        If the file cannot be used; the message says where, what stood there and what is allowed.
    """
    file, table = read_table(source, "worksheets")
    read = build(file, table, Source)
    if not 0 < len(read.question) <= LONGEST:
        raise BadFile(file, "question", f"{len(read.question)} stand there; 1 to {LONGEST} are allowed.")
    problems = (ask.drawn(file, f"question.number {n}") for n, ask in enumerate(read.question, start=1))
    return Worksheet(read, tuple(problems))


def write_notebook(source: str | Path, replace: bool = False) -> Path:
    """Write a worksheet's notebook beside its source.

    Parameters
    ----------
    source : str or Path
        The worksheet's TOML file.
    replace : bool, optional
        Whether a notebook that is there already may be replaced.

    Returns
    -------
    Path
        The notebook.

    Raises
    ------
    BadFile
        As for `worksheet`.
    FileExistsError
        If the notebook is there and may not be replaced: somebody's answers may be in it.
    """
    path = Path(source).with_suffix(".ipynb")
    text = as_file(worksheet(source).notebook())
    if path.exists() and not replace:
        raise FileExistsError(f"{path.name} is there already, perhaps with answers in it; pass replace=True")
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(text, encoding="utf-8", newline="\n")
    os.replace(fresh, path)
    return path


def as_file(notebook: dict[str, Any]) -> str:
    """A notebook as the text of its file."""
    return json.dumps(notebook, ensure_ascii=False, indent=1) + "\n"


def _quoted(text: str | int) -> str:
    return json.dumps(text, ensure_ascii=False)


def _prose(name: str, text: str) -> dict[str, Any]:
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": _lines(text)}


def _code(name: str, text: str, shown: Any = None) -> dict[str, Any]:
    outputs = []
    if shown is not None:
        data = {"text/markdown": _lines(shown._repr_markdown_()), "text/plain": _lines(repr(shown))}
        outputs = [{"output_type": "execute_result", "execution_count": None, "data": data, "metadata": {}}]
    return {
        "cell_type": "code",
        "execution_count": None,
        "id": name,
        "metadata": {},
        "outputs": outputs,
        "source": _lines(text),
    }


def _lines(text: str) -> list[str]:
    return text.splitlines(keepends=True)
