"""How what is typed into a field of the sizing panel becomes a value of the file, and the other way round."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from gigsums.quantities import NotUnderstood
from gigsums.quantities import read as read_quantity

from .fields import Item


def value_of(item: Item, typed: Any) -> Any:
    """What the file says for something typed; what cannot be read stands there as it was typed.

    Parameters
    ----------
    item : Item
        What is filled in.
    typed : object
        Text, or a value that is one already.

    Returns
    -------
    object
        The value; None where nothing is typed.
    """
    if not isinstance(typed, str):
        return list(typed) or None if isinstance(typed, list | tuple) else typed
    text = typed.strip()
    if item.key == "name":
        return text
    if not text:
        return None
    read = _READ.get(item.kind)
    if read is None:
        return text
    try:
        return read(item, text)
    except (ValueError, NotUnderstood):
        return text


def text_of(item: Item, value: Any) -> Any:
    """A value of the file as it is shown in its field.

    Parameters
    ----------
    item : Item
        What is filled in.
    value : object
        What the file says; None for nothing.

    Returns
    -------
    str or list of str
        A list for names.
    """
    if item.kind == "names":
        return [str(each) for each in value] if isinstance(value, list) else value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict) and item.kind == "count":
        return " to ".join(str(value.get(key, "?")) for key in ("least", "most"))
    if isinstance(value, list):
        between = " to " if item.kind == "times" else "; "
        return between.join(text_of(item, each) for each in value)
    if isinstance(value, dt.time):
        return value.strftime("%H:%M")
    return str(value)


def _yes(item: Item, text: str) -> bool:
    return {"yes": True, "no": False}[text.casefold()] if text.casefold() in ("yes", "no") else _refuse()


def _number(item: Item, text: str) -> float | int:
    plain = text.replace("−", "-").removesuffix(item.unit).strip()
    if re.fullmatch(r"[+-]?[0-9]+", plain):
        return int(plain)
    if re.fullmatch(r"[+-]?[0-9]*[.,][0-9]+", plain):
        return float(plain.replace(",", "."))
    if item.quantity is None:
        return _refuse()
    return round(read_quantity(text, item.quantity), 3)


def _count(item: Item, text: str) -> Any:
    span = re.fullmatch(r"([0-9]+)\s*(?:to|-|–)\s*([0-9]+)", text)
    return {"least": int(span[1]), "most": int(span[2])} if span else _number(item, text)


def _numbers(item: Item, text: str) -> Any:
    parts = [
        part for part in re.split(r"\s*(?:;|×|x|to|,\s|\s)\s*", text.removesuffix(item.unit).strip()) if part
    ]
    if len(parts) == 1 and parts[0].count(",") > 1:
        parts = parts[0].split(",")
    read = [_number(item, part) for part in parts]
    return read[0] if len(read) == 1 else read


def _time(item: Item, text: str) -> dt.time:
    clock = re.fullmatch(r"([0-9]{1,2})[:.h]?([0-9]{2})(?::([0-9]{2}))?", text)
    return dt.time(int(clock[1]), int(clock[2]), int(clock[3] or 0)) if clock else _refuse()


def _times(item: Item, text: str) -> list[dt.time]:
    return [_time(item, part) for part in re.split(r"\s*(?:to|–|-|;|,|\s)\s*", text)]


def _date(item: Item, text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _refuse() -> Any:
    raise ValueError


_READ: dict[str, Any] = {
    "yes": _yes,
    "maybe": _yes,
    "whole": _number,
    "number": _number,
    "count": _count,
    "numbers": _numbers,
    "names": lambda item, text: [part for part in re.split(r"\s*,\s*", text) if part],
    "time": _time,
    "times": _times,
    "date": _date,
}
