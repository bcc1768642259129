"""What goes in the bag: counts that follow from hours and habits. Lithium cells are charged attended, on nothing
that burns."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gigsums.formulas._check import Numbers, number, plain, same_shape, single, typed

__all__ = ["battery_sets"]

USABLE_PART = 0.7
"""Part of the stated life that is planned on. Common practice, no source [-]."""

SPARE_SETS = 1
"""Sets beyond those that the hours take. Common practice, no source [-]."""


def battery_sets(
    hours_h: ArrayLike, life_h: ArrayLike, usable_part: float = USABLE_PART, spare_sets: int = SPARE_SETS
) -> Numbers:
    r"""Sets of cells for one pack, the spare sets included.

    :math:`\lceil h / (p\,l) \rceil + s`, worked on the decimals as typed: 4.2 h on cells of 6 h, of which 0.7 is
    planned on, is one set exactly, where floating point would make it two.

    Parameters
    ----------
    hours_h : array_like
        Hours the pack is on, above 0 to 1000 [h].
    life_h : array_like
        Life that is stated for one set of cells, 0.1 to 1000 [h].
    usable_part : float, optional
        Part of that life that is planned on, 0.05 to 1 [-].
    spare_sets : int, optional
        Sets beyond those, a whole number from 0 to 100 [-].

    Returns
    -------
    float or ndarray
        Sets of cells [-].

    Raises
    ------
    ValueError
        If an argument is not a number in its range, or the shapes do not go together.

    Examples
    --------
    Six hours on cells that are said to last six:

    >>> battery_sets(6, 6)
    3.0

    References
    ----------
    .. [1] Common practice, no source.
    """
    hours, life = same_shape(
        hours_h=number("hours_h", hours_h, "h", most=1000, above=0),
        life_h=number("life_h", life_h, "h", 0.1, 1000),
    )
    part = typed(single("usable_part", usable_part, "", 0.05, 1))
    spare = single("spare_sets", spare_sets, "", 0, 100, whole=True)
    sets = [-(-typed(h) // (part * typed(one))) + spare for h, one in zip(hours.flat, life.flat, strict=True)]
    return plain(np.array([float(n) for n in sets]).reshape(hours.shape))
