"""A whole-gig problem as text, as Markdown, as an answer file to fill in, and as a notebook."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gigsums.gig import write_whole
from gigsums.practice.marking import VERDICTS
from gigsums.practice.wording import as_markdown, bullets

from .cells import AT, ON, TAPS
from .changes import KINDS
from .names import labels_of
from .sheet import Block, OpenGig, lines_of, unsettled

if TYPE_CHECKING:
    from .problem import WholeGig

WIDTH = 100


def as_text(title: str, blocks: Sequence[Block]) -> str:
    """Blocks as plain text.

    Parameters
    ----------
    title : str
        The heading of all.
    blocks : sequence of Block
        The blocks.

    Returns
    -------
    str
    """
    parts = [title]
    for block in blocks:
        lines = [block.title.upper()]
        lines += [
            textwrap.fill(text, WIDTH) for text in (block.text, block.answer and f"{block.answer}.") if text
        ]
        lines += [
            textwrap.fill(line, WIDTH, initial_indent="- ", subsequent_indent="  ") for line in block.lines
        ]
        parts.append("\n".join([*lines, *_table(block)]))
    return "\n\n".join(parts) + "\n"


def _table(block: Block) -> list[str]:
    if not block.columns:
        return []
    wide = [
        max(4, *(len(cell) for cell in column)) for column in zip(block.columns, *block.rows, strict=True)
    ]
    rows = [block.columns, *block.rows] if any(block.columns) else block.rows
    return [
        "  " + " | ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip() for row in rows
    ]


def as_markdown_text(title: str, blocks: Sequence[Block]) -> str:
    """Blocks as Markdown in which no name is markup; tables to fill in are left out, since the answer has them.

    Parameters
    ----------
    title : str
        The heading of all; none where it is empty.
    blocks : sequence of Block
        The blocks.

    Returns
    -------
    str
    """
    parts = [f"### {as_markdown(title)}"] if title else []
    for block in blocks:
        parts.append(f"**{as_markdown(block.title)}**")
        parts += [as_markdown(block.text)] if block.text else []
        parts += [bullets((*block.lines, *lettered(block.choices)))] if block.lines or block.choices else []
        rows = [row for row in block.rows if any(row[1:])]
        if rows:
            parts.append(bullets(tuple(as_line(row) for row in rows)))
    return "\n\n".join(parts)


def lettered(choices: Sequence[str]) -> tuple[str, ...]:
    """Choices with a letter before each.

    Parameters
    ----------
    choices : sequence of str
        The choices.

    Returns
    -------
    tuple of str
    """
    return tuple(f"{chr(ord('a') + n)}) {choice}" for n, choice in enumerate(choices))


def as_line(row: Sequence[str]) -> str:
    """The filled cells of a row in one line.

    Parameters
    ----------
    row : sequence of str
        The cells.

    Returns
    -------
    str
    """
    return ", ".join(cell for cell in row if cell)


def blank(problem: OpenGig, whose: Mapping[str, str | int] | None = None) -> str:
    """An answer file to fill in.

    Parameters
    ----------
    problem : OpenGig
        The problem.
    whose : mapping, optional
        Whose sheet it answers, in a class: keys and values that stand at its head.

    Returns
    -------
    str
        TOML with notes.
    """
    return "\n".join([*_head(problem, whose or {}), *_tables(problem), *_safety(problem)]) + "\n"


def _head(problem: OpenGig, whose: Mapping[str, str | int]) -> Iterator[str]:
    yield f"# Answers to: {' '.join(problem.title.split())}"
    yield "# Fill in between the quotes. What you leave empty is not answered; what follows a # is a note."
    yield "format = 1"
    if whose:
        yield "# Which sheet this is. Leave these lines as they are."
        yield from (
            f"{key} = {_quoted(each) if isinstance(each, str) else each}" for key, each in whose.items()
        )
    else:
        yield f"problem = {_quoted(problem.name)}"
        yield 'name = ""'
    yield 'notes = ""    # anything you want to say to whoever marks this'
    yield ""
    yield "# Whole numbers, 0 where nothing is taken; delays in ms, or with another unit."
    yield "[counts]"
    rows = [(f'{_quoted(label)} = ""', meaning) for label, meaning in problem.asks.counts]
    wide = max(len(line) for line, _ in rows)
    yield from (f"{line:{wide}}    # {meaning}" if meaning else line for line, meaning in rows)
    yield ""
    yield f"# word: {', '.join(VERDICTS)}. Then the counts that decide it, by their names above."
    yield "[verdict]"
    yield 'word = ""'
    yield "short = []       # more is asked than there is"
    yield "no_spare = []    # enough, but without the spare that the house wants"
    yield "bring = []       # what is to be brought besides: equalisers, compressors, gates, inserts"
    if unsettled(problem.gig):
        yield "ask = []         # what is not settled and changes the verdict, by its name"


def _tables(problem: OpenGig) -> Iterator[str]:
    labels = labels_of(problem.gig)
    yield ""
    yield "# What you change; no line where nothing is needed. Kinds:"
    yield from (f"#   {line}" for line in textwrap.wrap(", ".join(KINDS), WIDTH - 4, break_on_hyphens=False))
    yield "# to: the place, the way, the mix or the desk that it leads to, where there is one."
    yield "[changes]"
    yield "rows = ["
    yield '  # { kind = "", item = "", to = "" },'
    yield "]"
    yield ""
    yield "# What sits where, once that is changed. A line for each kind of socket that a thing takes: write more, and"
    yield f"# leave out what is not needed. on: {', '.join(list(ON)[:6])},"
    yield f"# {', '.join(list(ON)[6:])}."
    yield f'# at: {", ".join(AT)}. number: 3, "3, 4" or "3-6". tap, for a bus: {" or ".join(TAPS)}.'
    yield "[placement]"
    yield "rows = ["
    for path, label in labels.items():
        if lines_of(path) > 1:
            yield f'  {{ item = {_quoted(label)}, on = "", at = "", number = "", tap = "" }},'
        yield f'  {{ item = {_quoted(label)}, on = "", at = "", number = "" }},'
    yield "]"
    yield ""
    yield "# The input list. by: mic, DI or line. phantom: true or false. at: stage, desk or remote."
    kept = any(not source.to_mains for _, source in problem.gig.sources)
    if kept:
        yield "# to: where it goes, for what the audience must never hear."
    yield "[inputs]"
    yield "rows = ["
    for path, source in problem.gig.sources:
        to = "" if source.to_mains else ", to = []"
        yield f'  {{ channel = "", source = {_quoted(labels[path])}, by = "", phantom = "", at = ""{to} }},'
    yield "]"


def _safety(problem: OpenGig) -> Iterator[str]:
    if not problem.safety:
        return
    yield ""
    yield "# Working safely: the letter of your choice."
    yield "[safety]"
    for question in problem.safety:
        yield from (f"# {line}" for line in textwrap.wrap(question.asks, WIDTH - 2))
        yield from (f"#   {line}" for line in lettered(question.choices))
        yield f'{_quoted(question.key)} = ""'


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def write_blank(problem: WholeGig, path: str | Path) -> str:
    """Write an answer file to fill in; one that is there already holds somebody's answers and is left as it is.

    Parameters
    ----------
    problem : WholeGig
        The problem.
    path : str or Path
        Where to.

    Returns
    -------
    str
        What was done, in one line.

    Raises
    ------
    BadFile
        If it cannot be written.
    """
    path = Path(path)
    if path.exists():
        return f"{path.name} is there already and was left as it is."
    write_whole(path, problem.blank())
    return f"{path.name} is written: open it, fill it in, save it."


def notebook(problem: WholeGig) -> dict[str, Any]:
    """The problem as a notebook: read it, write the answer file, have it marked.

    Parameters
    ----------
    problem : WholeGig
        The problem.

    Returns
    -------
    dict
        A notebook in format 4.5; its cells have not been run.
    """
    file = f"{problem.name}_answers.toml"
    how = (
        "Read the job first. The next cell writes an answer file beside this notebook, and leaves one that is there "
        f"already as it is. Open `{file}` with a double click, fill it in and save it. Then run the last cell, as often "
        "as you like."
    )
    cells = [
        _cell("markdown", "opening", f"# {as_markdown(problem.title)}"),
        _cell("code", "start", "from gigsums.practice import whole_gig, write_blank"),
        _cell("code", "problem", f"job = whole_gig({_quoted(problem.name)})\njob"),
        _cell("markdown", "how", how),
        _cell("code", "blank", f"write_blank(job, {_quoted(file)})"),
        _cell("code", "marks", f"job.check({_quoted(file)})"),
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
    return {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}


def _cell(kind: str, name: str, text: str) -> dict[str, Any]:
    cell = {"cell_type": kind, "id": name, "metadata": {}, "source": text.splitlines(keepends=True)}
    return cell if kind == "markdown" else {**cell, "execution_count": None, "outputs": []}
