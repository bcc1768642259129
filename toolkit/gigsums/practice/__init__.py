"""Problems drawn from a seed, and their marking. What is submitted is read as text, never run."""

from .marking import OUTCOMES, Marking, mark
from .problems import NamedSlip, Problem
from .questions import Question, question
from .sums import PUBLISHED, published
from .topic import TOPICS, Topic, problem
from .worksheets import (
    Worksheet,
    print_key,
    print_key_of,
    print_problems,
    print_worksheet,
    worksheet,
    write_notebook,
)

__all__ = [
    "OUTCOMES",
    "PUBLISHED",
    "TOPICS",
    "Marking",
    "NamedSlip",
    "Problem",
    "Question",
    "Topic",
    "Worksheet",
    "mark",
    "print_key",
    "print_key_of",
    "print_problems",
    "print_worksheet",
    "problem",
    "published",
    "question",
    "worksheet",
    "write_notebook",
]


def __getattr__(name: str) -> object:
    """What the last edition's notebooks look for here and has a room of its own now. Gone with the next edition."""
    if name not in ("handout", "mark_folder", "mark_whole", "whole_gig", "write_blank"):
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import gigsums

    return getattr(gigsums, name)
