"""Counts told to a reader: how ledgers stand, what each mix costs a desk, and why a count is what it is."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace

from gigsums.gig import Desk, Gig, Mix
from gigsums.gig.reason import listed
from gigsums.sizing import Demand, Ledger, Need, demand

WIDTH = 70  # characters: with a label before it, what a tablet shows of a notebook without breaking it


def ledgers_of(counted: Demand, key: str) -> list[Ledger]:
    """The rows of one key, place by place where there are several."""
    rows = [row for row in counted.ledgers if row.key == key]
    return [row for row in rows if row.where != "all"] or rows


def verdict_of(rows: tuple[Ledger, ...]) -> str:
    """How the ledgers shown stand, in a sentence."""
    found = []
    for state, said in (("short", "short of"), ("no spare", "no spare"), ("bring more", "bring more")):
        names = [table_label(row, rows) for row in rows if state_in_words(row) == state]
        found += [f"{said} {listed(names)}"] if names else []
    words = "; ".join(found) or "enough of everything here"
    return f"{words[0].upper()}{words[1:]}."


def state_in_words(row: Ledger) -> str:
    """How a ledger stands: ok, no spare, short, or bring more where it can be carried besides."""
    if row.state == "short":
        return "short" if row.blocks else "bring more"
    return "ok" if row.state == "met" else "no spare"


def table_label(row: Ledger, rows: tuple[Ledger, ...]) -> str:
    """The key of a row, with its place where there are several."""
    return row.key if sum(other.key == row.key for other in rows) == 1 else row.label


def folded(text: str) -> str:
    """Text in lines that a narrow notebook does not break again."""
    return textwrap.fill(text, WIDTH, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def mix_told(mix: Mix) -> str:
    """What a mix is heard through, in a few words."""
    if mix.through == "in-ears":
        return f"{'stereo' if mix.is_stereo else 'mono'} in-ears"
    stereo = "stereo " if mix.is_stereo else ""
    boxes = {1: "one ", 2: "two "}.get(mix.boxes, f"{mix.boxes} ") if mix.through == "wedge" else ""
    return f"{boxes}{stereo}{mix.through}{'s' if boxes and mix.boxes > 1 else ''}"


COSTS = ("buses", "outputs", "equalisers", "minutes")


def mix_costs(gig: Gig, desk: Desk) -> str:
    """What each monitor mix costs a desk: what would be saved if that mix alone were left out.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.

    Returns
    -------
    str
        A table as plain text.
    """
    whole = demand(gig, desk)
    keys = [key for key in COSTS if any(row.key == key for row in whole.ledgers)]
    rows = [(mix.name, mix_told(mix), _without(gig, mix)) for mix in gig.mixes]
    rows.append((f"all {len(gig.mixes)} mixes", "", _without(gig, *gig.mixes)))
    first = max(len(name) for name, _, _ in rows) + 2
    lines = [f"{desk.name:{first + 15}}" + "".join(f"{key:>12}" for key in keys)]
    for name, how, less in rows:
        left = demand(less, desk)
        saved = [round(_need(whole, key) - _need(left, key), 1) for key in keys]
        lines.append(f"{name:{first}}{how:15}" + "".join(f"{number:12g}" for number in saved))
    return "\n".join(lines)


def of_each_desk(gig: Gig, desks: Sequence[Desk], *keys: str) -> str:
    """What a gig takes of each of several desks: a line for each ledger, a column for each desk.

    Parameters
    ----------
    gig : Gig
        The gig.
    desks : sequence of Desk
        The desks.
    *keys : str
        Ledgers, such as ``"preamps"``; place by place where there are several.

    Returns
    -------
    str
        A table as plain text, such as ``19 of 10`` for what is needed of what there is.

    Raises
    ------
    ValueError
        If none of the desks has a ledger of that name; the message lists those there are.
    """
    counted = [{row.label: row for row in demand(gig, desk).ledgers} for desk in desks]
    known = list(dict.fromkeys(row.key for rows in counted for row in rows.values()))
    unknown = [key for key in keys if key not in known]
    if unknown:
        raise ValueError(f"keys has {unknown[0]!r}, which is no ledger here; there are: {', '.join(known)}")
    labels = dict.fromkeys(
        row.label for key in keys for rows in counted for row in rows.values() if row.key == key
    )
    first = max(map(len, labels), default=0) + 2
    lines = [" " * first + "".join(f"{desk.name:11}" for desk in desks)]
    for label in labels:
        cells = [
            f"{rows[label].need:g} of {rows[label].have:g}" if label in rows else "-" for rows in counted
        ]
        lines.append(f"{label:{first}}" + "".join(f"{cell:11}" for cell in cells))
    return "\n".join(line.rstrip() for line in lines)


def explain(row: Need | Ledger) -> str:
    """Why a count is what it is, broken into lines that fit a notebook.

    Parameters
    ----------
    row : Need or Ledger
        A row of `needs` or of `demand`.

    Returns
    -------
    str
        Each reason as a sentence.
    """
    reasons = (row.reason,) if isinstance(row, Need) else row.reasons
    return "\n".join(folded(f"{text[0].upper()}{text[1:]}") for text in (r.text() for r in reasons))


def _without(gig: Gig, *mixes: Mix) -> Gig:
    """The gig less some of its monitor mixes."""
    return replace(gig, mixes=tuple(mix for mix in gig.mixes if mix not in mixes))


def _need(counted: Demand, key: str) -> float:
    return sum(row.need for row in ledgers_of(counted, key))
