"""What stands on the key of a whole-gig problem: plain blocks of lines and tables, with the workings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from gigsums.gig import Reason
from gigsums.practice.wording import listed, sentence
from gigsums.sizing import Answer, together

from .key import Row, as_answers
from .sheet import INPUT_HEADS, INPUT_WIDTHS, SAID, Block, Rows, unsettled

if TYPE_CHECKING:
    from .problem import WholeGig


def solved(problem: WholeGig) -> Iterator[Block]:
    """The key with its workings.

    Parameters
    ----------
    problem : WholeGig
        The problem.

    Yields
    ------
    Block
    """
    key, gig = problem.solution, problem.gig
    best = key.answers[0] if key.answers else None
    table = as_answers(key, gig, {})
    heads: tuple[str, ...] = ("What", "Need", "Have", "Spare wanted", "State")
    why = tuple(f"{row.label}: {_why(row.reasons)}" for row in key.rows if _why(row.reasons))
    yield Block(
        "Counts",
        "",
        why,
        heads,
        tuple(_counted(row) for row in key.rows),
        (4, 1, 1, 2, 3),
        answer="As in the table",
    )
    named = {**SAID, **({} if unsettled(gig) else {"ask": ""})}
    lines = [f"{said}: {listed(key.lists[name]) or 'nothing'}" for name, said in named.items() if said]
    lines += [f"Take care: {care.text()}" for care in key.fit.cares]
    yield Block("Verdict", "", tuple(lines), answer=sentence(key.word))
    ways = [_way(answer) for answer in key.answers if answer.changes]
    none = "None" if best else "Nothing that is allowed makes it fit"
    text = "Any others that make it fit are right as well." if ways else ""
    others = tuple(f"Otherwise {way}" for way in ways[1:])
    yield Block("Changes", text, others, answer=ways[0] if ways else none)
    heads = ("What", "On", "At", "Number", "Pre or post")
    places: Rows = tuple(
        (row["item"], row["on"], row["at"], ", ".join(map(str, row["number"])), row.get("tap", ""))
        for row in table["placement"]["rows"]
    )
    said = "Any that is legal; this is one" if places else "Nothing to place"
    yield Block("Placement", "", (), heads, places, (6, 3, 2, 3, 2), answer=said)
    inputs = [
        (
            ", ".join(map(str, row["channel"])),
            row["source"],
            row["by"],
            "yes" if row["phantom"] else "no",
            row["at"],
        )
        for row in table["inputs"]["rows"]
    ]
    yield Block(
        "Input list",
        "",
        _kept(table),
        INPUT_HEADS,
        tuple(inputs),
        INPUT_WIDTHS,
        answer="Every source, each channel once",
    )
    for one in problem.safety:
        lines = [f"Dangerous, and a person has to look: {choice}" for choice in one.dangerous]
        yield Block(f"Safe working: {one.key}", one.asks, tuple(lines), answer=" or ".join(one.right))


def _counted(row: Row) -> tuple[str, ...]:
    ledger = row.ledger
    if ledger is None:
        return (row.label, row.shown(), "", "", "")
    return (row.label, row.shown(), f"{ledger.have:g}", _spare(ledger), ledger.state)


def _kept(table: dict[str, Any]) -> tuple[str, ...]:
    """Where each source goes that the audience must never hear."""
    return tuple(
        f"{row['source']} goes to {listed(row['to'])} and nowhere else"
        for row in table["inputs"]["rows"]
        if "to" in row
    )


def _spare(ledger: Any) -> str:
    return f"{ledger.spare_wanted:g}" if ledger is not None and ledger.spare_wanted else ""


def _why(reasons: Sequence[Reason]) -> str:
    return "; ".join(reason.text() for reason in reasons if reason.terms or reason.result)


def _way(answer: Answer) -> str:
    return f"{answer.points} points: {'; '.join(words for _, words in together(answer.changes))}"
