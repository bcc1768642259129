"""Radio: the products that transmitters make of each other, and sets of frequencies that keep clear of them.

Which bands may be used, with what power and under whose licence is local law: ask the authority of the place.
Nothing here knows of television, of neighbours or of anything else on the air, so listen on site too.

Everything is worked in whole hertz (a finer frequency is rounded to one), so that answers come out as on paper.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gigsums.formulas._check import number, single

__all__ = ["clean_set", "smallest_gap", "third_order_products"]

Hertz = NDArray[np.int64]

_HZ_PER_MHZ = 1_000_000
_MOST_CARRIERS = 200
_MOST_CANDIDATES = 1_000
_MOST_CHOSEN = 40
_MOST_STEPS = 100_000


def third_order_products(frequencies_mhz: ArrayLike) -> NDArray[np.float64]:
    """Every third-order product of a set of carriers that can fall near them.

    Two at a time :math:`2 f_1 - f_2`, three at a time :math:`f_1 + f_2 - f_3`. A difference below zero stands at
    its positive frequency. The products that only add (:math:`3 f_1`, :math:`2 f_1 + f_2`,
    :math:`f_1 + f_2 + f_3`) lie far above the carriers and are left out.

    Parameters
    ----------
    frequencies_mhz : array_like, shape (n,)
        Carriers, 2 to 200 of them, each 1 to 100 000 and no two the same [MHz].

    Returns
    -------
    ndarray, shape (n (n - 1) + n (n - 1) (n - 2) / 2,)
        Products from low to high; one that arises in several ways stands there as often [MHz].

    Raises
    ------
    ValueError
        If a carrier lies outside its range or comes twice, or there are too few or too many.

    Notes
    -----
    Some printed tables give 225 products for 8 carriers. Counting them gives 56 + 168 = 224.

    Examples
    --------
    >>> third_order_products([606.1, 608.3]).tolist()
    [603.9, 610.5]

    References
    ----------
    .. [1] A wireless microphone frequency guide, Appendix A, p. 56, a worked example with three transmitters.
    """
    return _products(_carriers(frequencies_mhz)) / _HZ_PER_MHZ


def smallest_gap(frequencies_mhz: ArrayLike) -> float:
    """Distance between a carrier and the third-order product nearest to any of them.

    Every product counts against every carrier, also against one that takes part in it: 2 f1 - f2 lies as far from
    f1 as f2 does. The gap is therefore never wider than the closest two carriers are apart.

    Parameters
    ----------
    frequencies_mhz : array_like, shape (n,)
        Carriers, 2 to 200 of them, each 1 to 100 000 and no two the same [MHz].

    Returns
    -------
    float
        Smallest gap; 0 where a product falls on a carrier [MHz].

    Raises
    ------
    ValueError
        If a carrier lies outside its range or comes twice, or there are too few or too many.

    Examples
    --------
    Even spacing is the trap: every carrier falls on a product of its neighbours.

    >>> smallest_gap([500.0, 500.4, 500.8])
    0.0
    >>> smallest_gap([500.0, 500.4, 501.2])
    0.4

    References
    ----------
    .. [1] Definition: the least of all differences between `third_order_products` and carriers.
    """
    carriers = _carriers(frequencies_mhz)
    return float(_distance(carriers, _products(carriers)).min() / _HZ_PER_MHZ)


def clean_set(
    candidates_mhz: ArrayLike, count: int, gap_mhz: float, spacing_mhz: float
) -> NDArray[np.float64] | None:
    """Pick carriers that no third-order product of the picked ones comes near.

    The search is exact and always gives the same answer: the clean set whose lowest carrier is lowest, then the
    second lowest, and so on.

    Parameters
    ----------
    candidates_mhz : array_like, shape (n,)
        Frequencies to choose from, up to 1000, each 1 to 100 000; order and repeats do not matter [MHz].
    count : int
        How many are wanted, spares included, 1 to 40 [-].
    gap_mhz : float
        Least distance from any picked carrier to any product, as `smallest_gap` counts it, 0 to 1 [MHz].
    spacing_mhz : float
        Least distance between picked carriers, 0 to 1000 [MHz].

    Returns
    -------
    ndarray, shape (count,), or None
        The carriers from low to high; None where it is proven that there is no such set [MHz].

    Raises
    ------
    ValueError
        If an argument lies outside its range, or if 100 000 steps neither found a set nor ruled it out.

    Notes
    -----
    0.1 to 0.3 MHz from third-order products and 0.3 to 0.4 MHz between carriers are common practice, no
    source; what the receivers need is in their manual. Fifth-order products are not looked at.

    Examples
    --------
    >>> raster = [606.0 + 0.1 * step for step in range(31)]
    >>> clean_set(raster, count=4, gap_mhz=0.1, spacing_mhz=0.3).tolist()
    [606.0, 606.3, 606.7, 607.2]
    >>> clean_set(raster[:10], count=4, gap_mhz=0.1, spacing_mhz=0.3) is None
    True

    References
    ----------
    .. [1] W. C. Babcock, "Intermodulation interference in radio systems", Bell System Technical Journal 32
       (1953), 63-73 (from memory): on an even raster, channels free of third-order products are those whose
       differences are all unlike.
    """
    pool = np.unique(_hertz("candidates_mhz", candidates_mhz, 1, _MOST_CANDIDATES))
    wanted = int(single("count", count, "", 1, _MOST_CHOSEN, whole=True))
    gap = round(single("gap_mhz", gap_mhz, "MHz", 0, 1) * _HZ_PER_MHZ)
    spacing = round(single("spacing_mhz", spacing_mhz, "MHz", 0, 1_000) * _HZ_PER_MHZ)
    picked = _search(pool, wanted, gap, max(gap, spacing, 1))
    return None if picked is None else picked / _HZ_PER_MHZ


def _search(pool: Hertz, wanted: int, gap: int, spacing: int) -> Hertz | None:
    """Depth first, lowest first. The last of `levels` holds what may still be picked next."""
    picked: list[int] = []
    levels = [pool]
    for _ in range(_MOST_STEPS):
        free, missing = levels[-1], wanted - len(picked)
        if free.size < missing or free[-1] - free[0] < _least_span(missing, gap, spacing):
            levels.pop()
            if not picked:
                return None
            picked.pop()
            levels[-1] = levels[-1][1:]
            continue
        picked.append(int(free[0]))
        if len(picked) == wanted:
            return np.array(picked)
        levels.append(_still_clean(free[1:], picked, gap, spacing))
    raise ValueError(
        f"candidates_mhz: {_MOST_STEPS} steps over {pool.size} candidates neither found {wanted} clean carriers "
        "nor ruled them out; give fewer candidates, a lower count, or less gap and spacing"
    )


def _least_span(count: int, gap: int, spacing: int) -> int:
    """What no clean set of so many can be narrower than.

    The distances between neighbours are as large as the spacing and lie a gap apart from each other.
    """
    steps = count - 1
    return steps * spacing + steps * (steps - 1) // 2 * gap


def _still_clean(free: Hertz, picked: list[int], gap: int, spacing: int) -> Hertz:
    """Those of `free`, all higher than what is picked, that may join now that the last of `picked` has.

    A carrier and a product lie nearer than the gap if carriers a + b - c - d, or a + b + c - d where the product
    is folded, come nearer to 0. The highest carrier can only be balanced as d, so it must keep clear of a + b - c
    and of a + b + c, of which those without the last one were seen to before.
    """
    carriers = np.array(picked)
    rest = np.concatenate(
        [np.subtract.outer(carriers, carriers), np.add.outer(carriers, carriers)], axis=None
    )
    clear = _distance(free, np.unique(picked[-1] + rest)) >= gap
    return free[clear & (free - picked[-1] >= spacing)]


def _products(carriers: Hertz) -> Hertz:
    first, second = np.triu_indices(carriers.size, 1)
    two = np.concatenate([2 * carriers[first] - carriers[second], 2 * carriers[second] - carriers[first]])
    third = np.arange(carriers.size)
    apart = (third != first[:, None]) & (third != second[:, None])
    three = (carriers[first] + carriers[second])[:, None] - carriers
    return np.sort(np.abs(np.concatenate([two, three[apart]])))


def _distance(values: Hertz, ordered: Hertz) -> Hertz:
    """How far each value is from the nearest of the ordered ones."""
    after = np.searchsorted(ordered, values)
    above = ordered[np.minimum(after, ordered.size - 1)]
    below = ordered[np.maximum(after - 1, 0)]
    return np.minimum(np.abs(above - values), np.abs(values - below))


def _carriers(frequencies_mhz: ArrayLike) -> Hertz:
    carriers = np.sort(_hertz("frequencies_mhz", frequencies_mhz, 2, _MOST_CARRIERS))
    twice = carriers[1:][np.diff(carriers) == 0]
    if twice.size:
        raise ValueError(
            f"frequencies_mhz holds {twice[0] / _HZ_PER_MHZ:.10g} MHz more than once; give each carrier once"
        )
    return carriers


def _hertz(name: str, value: ArrayLike, least: int, most: int) -> Hertz:
    frequencies = number(name, value, "MHz", least=1, most=100_000)
    if frequencies.ndim != 1 or not least <= frequencies.size <= most:
        raise ValueError(
            f"{name} has shape {frequencies.shape}; a list of {least} to {most} frequencies is wanted"
        )
    return np.rint(frequencies * _HZ_PER_MHZ).astype(np.int64)
