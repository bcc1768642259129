"""Whole gigs: a gig and a desk asked as a sheet, solved by the engine, answered in a file, and marked."""
