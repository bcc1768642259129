"""Calculators on the screen: one view that draws any declaration of the catalogue."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gigsums.catalogue import Calculator

from .costs import explain, mix_costs, of_each_desk
from .form import Answer, Form
from .line_up import LineUp, line_up
from .picked_up import PickedUp, picked_up

if TYPE_CHECKING:
    from .panel import Panel

__all__ = [
    "Answer",
    "Form",
    "LineUp",
    "PickedUp",
    "explain",
    "line_up",
    "mix_costs",
    "of_each_desk",
    "picked_up",
    "show",
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
