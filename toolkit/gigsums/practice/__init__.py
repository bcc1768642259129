"""Problems drawn from a seed, and their marking. What is submitted is read as text, never run."""

from .marking import OUTCOMES, Marking, mark
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
    "problem",
    "question",
    "worksheet",
    "write_notebook",
]
