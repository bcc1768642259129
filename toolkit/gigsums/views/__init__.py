"""Calculators on the screen: one view that draws any declaration of the catalogue."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gigsums.catalogue import Calculator

from .costs import explain, mix_costs, of_each_desk
from .form import Answer, Form
from .line_up import LineUp, line_up
from .picked_up import PickedUp, picked_up
from .sizing_panel import Sheet

if TYPE_CHECKING:
    from pathlib import Path

    from .panel import Panel
    from .sizing_panel.panel import SizingPanel

__all__ = [
    "Answer",
    "Form",
    "LineUp",
    "PickedUp",
    "Sheet",
    "explain",
    "line_up",
    "mix_costs",
    "of_each_desk",
    "picked_up",
    "show",
    "size",
]


def show(calculator: Calculator | str | None = None) -> Panel:
    """A calculator to type into.

    Parameters
    ----------
    calculator : Calculator or str, optional
        A declaration of the catalogue, or the key of one; all of them to choose from if left out.

    Returns
    -------
    Panel
        The widget; as the last line of a cell it shows itself.

    Raises
    ------
    ValueError
        If no calculator has that key; the message lists those there are.

    Examples
    --------
    >>> panel = show("delay for a distance")
    >>> panel.type("distance_m", "18")
    '18 m at 20 °C + 10 ms = 62.4 ms'
    """
    from .panel import Panel

    return Panel(calculator)


def size(gig: str | Path | None = None, desk: str | Path = "desk_a") -> SizingPanel:
    """A gig to put together, or one to open, with the ledgers of a desk that fill as it grows.

    Parameters
    ----------
    gig : str or Path, optional
        A gig file, or the name of a bundled gig, which is then a copy without a file; nothing yet if left out.
    desk : str or Path
        A desk file, or the name of a bundled desk.

    Returns
    -------
    SizingPanel
        The widget; as the last line of a cell it shows itself. Its `sheet` does the same from a cell. It opens
        and saves gig files of the folder in which the notebook runs.

    Raises
    ------
    BadFile
        If a file cannot be read.

    Examples
    --------
    >>> panel = size("lantern_night", "desk_d")
    >>> panel.line.split(";")[0]
    'Lantern Night on Desk D: fits'
    """
    from pathlib import Path

    from .sizing_panel.panel import SizingPanel

    return SizingPanel(Sheet(gig, desk), Path.cwd())
