"""Sizing: what a gig needs, what it takes of a desk, and whether that desk carries it."""

from .fit import demand, fit
from .ledger import Demand, Fit, Ledger, Need, Needs
from .needs import needs
from .report import report, why

__all__ = ["Demand", "Fit", "Ledger", "Need", "Needs", "demand", "fit", "needs", "report", "why"]
