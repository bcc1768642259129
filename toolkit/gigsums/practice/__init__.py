"""Problems drawn from a seed, and their marking. What is submitted is read as text, never run."""

from .marking import OUTCOMES, Marking, mark
from .printing import print_key, print_key_of, print_problems, print_worksheet
from .problems import Problem, Slip
from .questions import Question, question
from .topic import TOPICS, Topic, problem
from .worksheets import Worksheet, worksheet, write_notebook

__all__ = [
    "OUTCOMES",
    "TOPICS",
    "Marking",
    "Problem",
    "Question",
    "Slip",
    "Topic",
    "Worksheet",
    "mark",
    "print_key",
    "print_key_of",
    "print_problems",
    "print_worksheet",
    "problem",
    "question",
    "worksheet",
    "write_notebook",
]
