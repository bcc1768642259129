"""gigsums: sums for gigs. A training workbook for sizing and running live sound."""

__version__ = "0.1.0"
