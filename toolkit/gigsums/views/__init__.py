"""What is shown on a screen: the one view that draws any calculator, the one in which a gig is sized, the served page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from gigsums.catalogue import Calculator
from gigsums.gig import Desk, Gig, load_desk, load_gig

from .calculator.form import Form
from .sizing.choices import LineUp, PickedUp
from .sizing.sheet import Sheet
from .sizing.words import explain, mix_costs, of_each_desk

if TYPE_CHECKING:
    from .calculator.panel import Panel
    from .sizing.panel import ChoicesPanel, SizingPanel

__all__ = ["Form", "LineUp", "PickedUp", "Sheet", "explain", "mix_costs", "of_each_desk", "show", "size"]


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
    from .calculator.panel import Panel

    return Panel(calculator)


def size(
    gig: str | Path | Gig | None = None,
    desk: str | Path | Desk = "desk_a",
    *desks: str | Path | Desk,
    show: Literal["everything", "line-up", "sources"] = "everything",
) -> SizingPanel | ChoicesPanel:
    """A gig to size by hand, with the ledgers of a desk that fill as it changes.

    Parameters
    ----------
    gig : str, Path or Gig, optional
        A gig file, or the name of a bundled gig, which is then a copy without a file; nothing yet if left out.
    desk : str, Path or Desk
        A desk file, or the name of a bundled desk.
    *desks : str, Path or Desk
        More desks to choose from, where a part of the gig is shown.
    show : str
        ``"everything"`` to put the gig together, open and save it; ``"line-up"`` to move who hears what;
        ``"sources"`` to move what is picked up, and how.

    Returns
    -------
    SizingPanel or ChoicesPanel
        The widget; as the last line of a cell it shows itself. Its `sheet`, or its `move`, does the same from a
        cell. With everything it opens and saves gig files of the folder in which the notebook runs.

    Raises
    ------
    BadFile
        If a file cannot be read.
    ValueError
        If two desks have the same name, or a part is asked for without a gig, or there is no such part.

    Examples
    --------
    >>> panel = size("lantern_night", "desk_d")
    >>> panel.line.split(";")[0]
    'Lantern Night on Desk D: fits'
    >>> print(size("lantern_night", "desk_b", show="line-up").move("Maud", "with Fenwick").splitlines()[0])
    Desk B: 4 mixes take buses 7 of 8, bus pairs 4 of 4, outputs 12 of 17,
    """
    from .sizing.panel import ChoicesPanel, SizingPanel

    parts = {"line-up": LineUp, "sources": PickedUp}
    if show == "everything":
        if isinstance(gig, Gig) or isinstance(desk, Desk) or desks:
            raise ValueError(
                "gig and desk are put together from files: name one file of each, or a bundled one"
            )
        return SizingPanel(Sheet(gig, desk), Path.cwd())
    if show not in parts:
        raise ValueError(f"show is {show!r}; it may be 'everything', {', '.join(map(repr, parts))}")
    if gig is None:
        raise ValueError(f"gig is left out; {show!r} shows a part of a gig, so name one")
    asked = gig if isinstance(gig, Gig) else load_gig(gig)
    tried = (each if isinstance(each, Desk) else load_desk(each) for each in (desk, *desks))
    return ChoicesPanel(parts[show](asked, *tried))
