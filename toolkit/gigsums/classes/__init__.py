"""Classes: sheets handed out from a tutor's secret, answers read back as data, and the class at a glance."""

from .answers import Answers, NotAnswers, read_answers
from .issuing import Handout, handout
from .marking import Overview
from .results import ClassMarked, mark_folder, told

__all__ = [
    "Answers",
    "ClassMarked",
    "Handout",
    "NotAnswers",
    "Overview",
    "handout",
    "mark_folder",
    "read_answers",
    "told",
]
