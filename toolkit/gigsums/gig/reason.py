"""Reasons behind numbers, and plain values told: as dictionaries for JSON, as lists in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass
from typing import Any


@dataclass(frozen=True)
class Reason:
    """One rule of the trade at work: what it looked at, the terms it added, and what came out.

    Parameters
    ----------
    rule : str
        The rule in words, such as ``"stereo takes an odd-even pair"``.
    causes : tuple of str
        Key paths in the gig or desk file, such as ``"performer.Ada.sources.Kick"``.
    terms : tuple of (str, float)
        What was added up, each with its label.
    result : float
        The number the rule gives.
    """

    rule: str
    causes: tuple[str, ...] = ()
    terms: tuple[tuple[str, float], ...] = ()
    result: float = 0

    def text(self, glue: str = " ") -> str:
        """One line a person can read: the rule, its terms, the result.

        Terms that add up to the result are shown as a sum, others side by side.

        Parameters
        ----------
        glue : str
            What stands between the words of one term; a printer may keep them on one line by it.

        Returns
        -------
        str
        """
        if not self.terms:
            return f"{self.rule}: {_number(self.result)}" if self.result else self.rule
        shown = [f"{label} {_number(value)}".replace(" ", glue) for label, value in self.terms]
        if sum(value for _, value in self.terms) != self.result:
            return f"{self.rule}: {', '.join(shown)}"
        total = f" = {_number(self.result)}" if len(shown) > 1 else ""
        return f"{self.rule}: {' + '.join(shown)}{total}"


def _number(value: float) -> str:
    return f"{value:.0f}" if float(value).is_integer() else f"{value:.1f}"


def as_dict(value: Any) -> Any:
    """Plain dictionaries and lists for JSON, in file order.

    Parameters
    ----------
    value : object
        Anything of this room: a gig, a desk, a policy or a part of one.

    Returns
    -------
    dict, list, str, number or None
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: as_dict(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {k: as_dict(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_dict(v) for v in value]
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    return value


def listed(names: Sequence[str]) -> str:
    """Names with commas and a last "and".

    Parameters
    ----------
    names : sequence of str
        The names; none gives an empty text.

    Returns
    -------
    str
    """
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
