"""Where the views stood in the last edition: a notebook of that edition still finds them. Gone with the next one."""

from typing import Any

import gigsums
from gigsums import __getattr__ as __getattr__


def line_up(gig: Any, *desks: Any) -> Any:
    """Who hears what, to move."""
    return gigsums.size(gig, *desks, show="line-up")


def picked_up(gig: Any, *desks: Any) -> Any:
    """What is picked up, to move."""
    return gigsums.size(gig, *desks, show="sources")
