"""Whole gigs: a gig and a desk asked as a sheet, solved by the engine, answered in a file, and marked."""

from .forms import write_blank
from .marking import WholeMarking, mark_whole
from .problem import WholeGig, is_whole_gig, whole_gig

__all__ = ["WholeGig", "WholeMarking", "is_whole_gig", "mark_whole", "whole_gig", "write_blank"]
