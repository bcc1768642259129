"""A fit as plain text that can be read in a dark hall: words, not colours, and no line longer than a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from ..gig import Reason
from .changes import Change, together
from .fit import Answer, Fit
from .ledgers import Ledger
from .variations import Compared, OpenCount, Room

WIDTH = 78
CAUTION = (
    "Levels, minutes and loads here are for planning. Protect hearing by measuring at the venue; "
    "mains, lifting and anything hung overhead belong to competent people and local rules."
)
GLUE = "\x00"  # keeps a name and its number on one line; never printed
STATES = {"met": "ok", "met without spare": "no spare", "short": "SHORT"}


class LedgerUnknown(ValueError):
    """A ledger was asked for that none of these desks has."""


def report(
    compared: Sequence[Compared],
    answers: Sequence[Answer] = (),
    room: Sequence[Room] = (),
    asked: Sequence[OpenCount] = (),
) -> str:
    """The verdict of every desk, the desks side by side, their ledgers, and the reasons that decide.

    Parameters
    ----------
    compared : sequence of Compared
        One gig on one desk or several.
    answers : sequence of Answer
        The least changes and the next different ones, for the first desk.
    room : sequence of Room
        What breaks next, for the first desk.
    asked : sequence of OpenCount
        Counts that are not settled, on the first desk; those that change the verdict are asked.

    Returns
    -------
    str
    """
    fits = [one.fit for one in compared]
    parts = [_heading(fits)]
    if len(compared) > 1:
        parts.append(_side_by_side(compared))
    parts += [_one(f, everything=len(fits) == 1) for f in fits]
    if len(answers) > 1 and not fits[0].barred:
        lines = [f"OTHER ANSWERS TO {fits[0].desk.name.upper()}"]
        for answer in answers[1:]:
            words = "; ".join(said for _, said in together(answer.changes))
            lines.append(_wrap(f"{_points(answer.points)}: {words}", "  - ", "    "))
        parts.append("\n".join(lines))
    matter = [question for question in asked if question.matters]
    if matter:
        lines = [f"ASK BEFORE YOU SAY YES, FOR {fits[0].desk.name.upper()}"]
        parts.append("\n".join([*lines, *(_wrap(each.text(), "  - ", "    ") for each in matter)]))
    if room:
        parts.append(
            "\n".join(
                [
                    f"WHAT BREAKS NEXT ON {fits[0].desk.name.upper()}",
                    *(_wrap(row.text(), "  - ", "    ") for row in room),
                ]
            )
        )
    if len(fits) > 1:
        more = 'More: gigsums size GIG --desk DESK for every reason, --why "bus pairs" for one ledger.'
        parts.append(_wrap(more, ""))
    parts.append(_wrap(CAUTION, ""))
    return "\n\n".join(parts)


def study_json(
    compared: Sequence[Compared],
    answers: Sequence[Answer] = (),
    room: Sequence[Room] = (),
    asked: Sequence[OpenCount] = (),
) -> dict[str, Any]:
    """Everything a report says, as plain values for JSON, with ``"format": 1``.

    Parameters
    ----------
    compared : sequence of Compared
        One gig on one desk or several.
    answers : sequence of Answer
        The least changes and the next different ones, for the first desk.
    room : sequence of Room
        What breaks next, for the first desk.
    asked : sequence of OpenCount
        Counts that are not settled, on the first desk.

    Returns
    -------
    dict
    """
    return {
        "format": 1,
        "gig": compared[0].fit.gig.name,
        "fits": [one.fit.as_json() for one in compared],
        "side_by_side": [one.as_json() for one in compared],
        "answers": [answer.as_json() for answer in answers],
        "room": [row.as_json() for row in room],
        "questions": [question.as_json() for question in asked],
    }


def _side_by_side(compared: Sequence[Compared]) -> str:
    lines = ["SIDE BY SIDE"]
    for one in compared:
        weight = "weight not given" if one.weight_kg is None else f"{one.weight_kg:g} kg"
        minutes = "" if one.minutes is None else f", {one.minutes:.0f} min to set up"
        carried = (
            ", ".join(f"{number:g} {what}" if number > 1 else what for what, number in one.carried)
            or "nothing"
        )
        lines.append(f"  {one.fit.desk.name}: {weight}{minutes}, for {one.skill} hands or better")
        lines.append(_wrap(f"to carry besides: {carried}", "      ", "        "))
        lines.append(_wrap(f"{one.recall}; when it fails: {one.fails_with_it}", "      ", "        "))
    return "\n".join(lines)


def why(fits: Sequence[Fit], key: str) -> str:
    """Every reason behind one ledger, desk by desk.

    Parameters
    ----------
    fits : sequence of Fit
        One gig on one desk or several.
    key : str
        The ledger's key, such as ``"bus pairs"``.

    Returns
    -------
    str

    Raises
    ------
    LedgerUnknown
        If none of the desks has such a ledger; the message lists those there are.
    """
    wanted = key.strip().lower()
    blocks = []
    for f in fits:
        rows = [row for row in f.ledgers if wanted in (row.key, row.label)]
        if rows:
            lines = [f.desk.name.upper()]
            for row in rows:
                lines += [_row(row), *_reasons(row.reasons)]
            blocks.append("\n".join(lines))
    if not blocks:
        known = sorted({row.key for f in fits for row in f.ledgers})
        raise LedgerUnknown(f'"{key}" is no ledger here; there are: {", ".join(known)}')
    return "\n\n".join(blocks)


def _heading(fits: Sequence[Fit]) -> str:
    lines = [fits[0].gig.name.upper()]
    width = max(len(f.desk.name) for f in fits)
    for f in fits:
        words = f"  {f.desk.name:<{width}}   {f.in_words.upper()}"
        lines.append(_wrap(words + _because(f), "", " " * (width + 5)))
        if not f.proven:
            lines.append(" " * (width + 5) + "(not proven: the solver ran out of time)")
    return "\n".join(lines)


def _because(f: Fit) -> str:
    if f.placement == "fits with changes":
        return ": " + "; ".join(said for _, said in together(f.changes))
    if f.barred:
        return ": " + "; ".join(reason.text() for reason in f.barred)
    short = [row.label for row in f.ledgers if row.state == "short" and row.blocks]
    return f": short of {', '.join(short)}" if short and f.placement == "does not fit" else ""


def _one(f: Fit, everything: bool) -> str:
    head = f"{f.desk.name.upper()}  {f.desk.about.kind}: {f.in_words.upper()}"
    lines = [head, f"  {'as asked':24}{'need':>7}{'have':>7}{'left':>7}{'spare':>7}"]
    for row in f.ledgers:
        lines.append(_row(row))
        if everything or (row.state == "short" and row.blocks):
            lines += _reasons(row.reasons)
    if f.changes:
        lines.append("  Least that makes it fit:")
        lines += [_wrap(_change(change, said), "    - ", "      ") for change, said in together(f.changes)]
        lines.append(f"    in all {_points(sum(c.points for c in f.changes))}")
    cares = [care for care in f.cares if care not in f.barred]
    if cares:
        lines.append("  Take care:" if not f.changes else "  Then take care:")
        lines += [_wrap(care.text(GLUE), "    - ", "      ") for care in cares]
    return "\n".join(lines)


def _points(number: int) -> str:
    return f"{number} point" if number == 1 else f"{number} points"


def _change(change: Change, said: str) -> str:
    costs = [_points(change.points)]
    costs += [f"{change.minutes:g} min"] if change.minutes else []
    costs += [f"{change.weight_kg:g} kg"] if change.weight_kg else []
    costs += [f"{change.money:g} money"] if change.money else []
    loses = f"; lost: {change.loses}" if change.loses else ""
    return f"{said} ({', '.join(costs)}{loses})"


def _row(row: Ledger) -> str:
    spare = f"{row.spare_wanted:g}" if row.spare_wanted else "-"
    state = "bring more" if row.state == "short" and not row.blocks else STATES[row.state]
    return f"  {row.label:24}{row.need:7g}{row.have:7g}{row.margin:7g}{spare:>7}   {state}"


def _reasons(reasons: Sequence[Reason]) -> list[str]:
    return [_wrap(r.text(GLUE), "      ", "        ") for r in reasons if r.terms or r.result]


def _wrap(text: str, first: str, then: str | None = None) -> str:
    filled = textwrap.fill(
        text, WIDTH, initial_indent=first, subsequent_indent=first if then is None else then,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return filled.replace(GLUE, " ")
