"""Sizing: what a gig needs, what it takes of a desk, whether that desk carries it, and the least that makes it."""

from .changes import Change, together
from .fit import Answer, Fit, fit, smallest_changes
from .judge import Judgement, Place, check_placement
from .ledgers import Demand, Ledger, demand
from .needs import Need, Needs, needs
from .report import report, why
from .variations import Compared, OpenCount, Room, compare, questions, what_breaks_next

__all__ = [
    "Answer",
    "Change",
    "Compared",
    "Demand",
    "Fit",
    "Judgement",
    "Ledger",
    "Need",
    "Needs",
    "OpenCount",
    "Place",
    "Room",
    "check_placement",
    "compare",
    "demand",
    "fit",
    "needs",
    "questions",
    "report",
    "smallest_changes",
    "together",
    "what_breaks_next",
    "why",
]
