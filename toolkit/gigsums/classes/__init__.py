"""Classes: sheets handed out from a tutor's secret, answers read back as data, and the class at a glance."""

from .answers import Answers, NotAnswers, read_answers
from .handing_out import Handout, handout
from .marking_folder import ClassMarked, mark_folder, told
from .overview import Overview

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
