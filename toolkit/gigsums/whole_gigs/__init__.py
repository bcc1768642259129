"""Whole gigs: a gig and a desk asked as a sheet, solved by the engine, answered in a file, and marked."""

from .marking import WholeMarking
from .problem import WholeGig, is_whole_gig, mark_whole, whole_gig, write_blank

__all__ = ["WholeGig", "WholeMarking", "is_whole_gig", "mark_whole", "whole_gig", "write_blank"]
