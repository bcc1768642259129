"""Problems drawn from a seed, and their marking. What is submitted is read as text, never run."""

from .classes import Answers, handout, mark_folder, read_answers
from .marking import OUTCOMES, Marking, mark
from .printing import print_key, print_key_of, print_problems, print_worksheet
from .problems import Problem, Slip
from .published import PUBLISHED, published
from .questions import Question, question
from .topic import TOPICS, Topic, problem
from .whole_gigs.forms import write_blank
from .whole_gigs.marking import WholeMarking, mark_whole
from .whole_gigs.problem import WholeGig, is_whole_gig, whole_gig
from .worksheets import Worksheet, worksheet, write_notebook

__all__ = [
    "OUTCOMES",
    "PUBLISHED",
    "TOPICS",
    "Answers",
    "Marking",
    "Problem",
    "Question",
    "Slip",
    "Topic",
    "WholeGig",
    "WholeMarking",
    "Worksheet",
    "handout",
    "is_whole_gig",
    "mark",
    "mark_folder",
    "mark_whole",
    "print_key",
    "print_key_of",
    "print_problems",
    "print_worksheet",
    "problem",
    "published",
    "question",
    "read_answers",
    "whole_gig",
    "worksheet",
    "write_blank",
    "write_notebook",
]
