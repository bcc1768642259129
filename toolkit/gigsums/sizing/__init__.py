"""Sizing: what a gig needs, what it takes of a desk, whether that desk carries it, and the least that makes it."""

from .answers import Answer, smallest_changes
from .change import Change, together
from .compare import Compared, compare
from .fit import demand, fit
from .judge import Judgement, check_placement
from .ledger import Demand, Fit, Ledger, Need, Needs, Place
from .needs import needs
from .report import report, why
from .room import Altered, Room, what_breaks_next, what_if
from .unknowns import Question, questions

__all__ = [
    "Altered",
    "Answer",
    "Change",
    "Compared",
    "Demand",
    "Fit",
    "Judgement",
    "Ledger",
    "Need",
    "Needs",
    "Place",
    "Question",
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
    "what_if",
    "why",
]
