"""The sizing panel: a gig put together by hand, its ledgers filling as it grows."""

from .sheet import Sheet

__all__ = ["Sheet"]
