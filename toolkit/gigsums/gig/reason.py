"""`Reason`: why a number is what it is. Lessons, sheets, marking and the command line all show the same text."""

from __future__ import annotations

from dataclasses import dataclass


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

    def text(self) -> str:
        """One line a person can read: the rule, its terms, the result."""
        sum_ = " + ".join(f"{label} {_number(value)}" for label, value in self.terms)
        if not self.terms:
            return f"{self.rule}: {_number(self.result)}" if self.result else self.rule
        if len(self.terms) == 1 and self.terms[0][1] == self.result:
            return f"{self.rule}: {sum_}"
        return f"{self.rule}: {sum_} = {_number(self.result)}"


def _number(value: float) -> str:
    return f"{value:.0f}" if float(value).is_integer() else f"{value:.1f}"
