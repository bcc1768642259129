"""Gigs, desks and policies as plain dictionaries and lists."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any


def as_dict(value: Any) -> Any:
    """Plain dictionaries and lists for JSON, in file order.

    Parameters
    ----------
    value : object
        Anything of this room: a gig, a desk, a policy or a part of one.

    Returns
    -------
    dict, list, str, number or None
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: as_dict(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {k: as_dict(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_dict(v) for v in value]
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    return value


def listed(names: Sequence[str]) -> str:
    """Names with commas and a last "and".

    Parameters
    ----------
    names : sequence of str
        The names; none gives an empty text.

    Returns
    -------
    str
    """
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
