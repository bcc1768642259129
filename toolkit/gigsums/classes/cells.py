"""Pieces of the overview: cells, and sections of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Cell:
    """A cell: its text, and the share of the whole that it stands for where there is one."""

    text: str
    share: float | None = None


@dataclass(frozen=True)
class Section:
    """A heading, a word about it, and a table; without rows the word stands alone.

    Attributes
    ----------
    title, prose : str
        What it is, and how to read it.
    columns : tuple of str
        The heads.
    rows : tuple of tuple of Cell
        The cells; the first of each row names it.
    widths : tuple of int
        How wide each column is beside the others.
    """

    title: str
    prose: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[Cell, ...], ...] = ()
    widths: tuple[int, ...] = ()


def percent(share: float | None) -> Cell:
    """A share of the marks as a cell."""
    return Cell("") if share is None else Cell(f"{100 * share:.0f} %", share)
