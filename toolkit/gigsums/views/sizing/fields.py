"""What may be filled in about a gig: the keys of its file with a label each, how they are typed, and where they stand.

Keys, words to choose from and what holds where a file says nothing come from the models of the gig; labels and their
order are what is added here.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields
from types import MappingProxyType, NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from gigsums.gig import Effect, Feed, Gig, Line, Mix, Performer, Source, Span, Zone
from gigsums.gig.model import Circuit, Crew, Distances, Evening, Kit, Mains, Person, Split, Venue
from gigsums.quantities import DISTANCE, Kind, NotUnderstood
from gigsums.quantities import read as read_quantity

from .text import Place

PEOPLE, PLACES, KNOWN = "people", "places", "known"  # lists of names that a gig itself holds
NAMES_OF = {"for": PEOPLE, "heard_in": PLACES, "without": KNOWN}
UNITS = {
    "_m": "m",
    "_s": "s",
    "_c": "°C",
    "_db": "dB",
    "_dba": "dBA",
    "_mhz": "MHz",
    "_amps": "A",
    "_volts": "V",
}
UNSAID = {
    "stereo": "in-ears only",
    "talkback": "as the mixes ask",
}  # what holds where neither yes nor no stands
KindOf = Literal[
    "text", "yes", "maybe", "choice", "whole", "number", "count", "numbers", "names", "time", "date", "times"
]


@dataclass(frozen=True)
class FileKey:
    """One key of the file as it is filled in.

    Parameters
    ----------
    key : str
        The key; ``"distance_m.main"`` for one inside another.
    label : str
        What it is called on the screen.
    kind : str
        How it is typed.
    options : tuple of str
        What may be chosen: words of the file, or which names.
    usual : object
        What holds where the file says nothing.
    behind : bool
        Whether it stands behind the line, out of sight.
    unit : str
        Unit of a number.
    quantity : Kind or None
        The quantity, where other units may be typed too.
    """

    key: str
    label: str
    kind: KindOf = "text"
    options: tuple[str, ...] = ()
    usual: Any = None
    behind: bool = False
    unit: str = ""
    quantity: Kind | None = None

    @property
    def path(self) -> tuple[str, ...]:
        """Its key, or keys one inside the other."""
        return tuple(self.key.split("."))


@dataclass(frozen=True)
class FileTable:
    """One list of the file, or one table, with what may be filled in about each entry.

    Parameters
    ----------
    key : str
        The list's key.
    title : str
        What the list is called.
    one : str
        What one entry is called.
    items : tuple of FileKey
        What may be filled in.
    inner : FileTable or None
        A list inside each entry.
    start : mapping
        What a new entry says besides its name.
    """

    key: str
    title: str
    one: str
    items: tuple[FileKey, ...]
    inner: FileTable | None = None
    start: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))


def _items(
    model: type, near: Mapping[str, str], behind: Mapping[str, str] = MappingProxyType({})
) -> tuple[FileKey, ...]:
    """The keys of one part of the file, in the order of their labels."""
    hints = get_type_hints(model, include_extras=True)
    found: dict[str, tuple[Any, Any]] = {}
    for each in fields(model):
        aliases = (getattr(extra, "alias", None) for extra in getattr(hints[each.name], "__metadata__", ()))
        key = next(filter(None, aliases), each.name)
        if _bare(hints[each.name])[0] is Distances:
            found |= {f"{key}.{inner.name}": (float, None) for inner in fields(Distances)}
        else:
            found[key] = (hints[each.name], None if each.default is MISSING else each.default)
    return tuple(
        _item(key, label, *found[key], behind=key in behind) for key, label in {**near, **behind}.items()
    )


def _item(key: str, label: str, hint: Any, default: Any, *, behind: bool = False) -> FileKey:
    kinds = _bare(hint)
    options = tuple(each for kind in kinds if get_origin(kind) is Literal for each in get_args(kind))
    first, unit = (
        kinds[0],
        next((unit for end, unit in UNITS.items() if f"_{key}".split(".")[0].endswith(end)), ""),
    )
    kind: KindOf = "text"
    if any(get_origin(each) is tuple for each in kinds):
        inner = next(_bare(get_args(each)[0]) for each in kinds if get_origin(each) is tuple)
        kind = "times" if inner[0] is dt.time else "numbers" if inner[0] is float else "names"
        options = (NAMES_OF[key],) if key in NAMES_OF else tuple(w for each in inner for w in get_args(each))
    elif options:
        kind = "choice"
    elif first is bool:
        kind = "maybe" if NoneType in kinds else "yes"
    elif Span in kinds:
        kind = "count"
    else:
        kind = {int: "whole", float: "number", dt.time: "time", dt.date: "date"}.get(first, "text")  # type: ignore[assignment]
    if isinstance(default, float) and default.is_integer():
        default = int(default)
    usual = UNSAID.get(key) if kind == "maybe" else None if default == "" else default
    quantity = DISTANCE if unit == "m" and kind == "number" else None
    return FileKey(key, label, kind, options, usual, behind, unit, quantity)


def _bare(hint: Any) -> tuple[Any, ...]:
    """The types that may stand there, without what is said about them."""
    if get_origin(hint) is Annotated:
        return _bare(get_args(hint)[0])
    if get_origin(hint) in (Union, UnionType):
        return tuple(each for part in get_args(hint) for each in _bare(part))
    return (hint,)


_KEEP = {"keep": "Keep"}
_NAME = {"name": "Name"}
_PICKED = {**_NAME, "by": "Picked up by", "stereo": "Stereo", "phantom": "Phantom, 48 V"}
_PICKED_MORE = {
    "count": "How many alike", "level": "Level", "stand": "Stand", "at": "Plugged at", "radio": "By radio",
    "frequency_mhz": "Frequency", **_KEEP, "high_pass": "High-pass filter", "compressor": "Compressor", "gate": "Gate",
    "to_mains": "May reach the mains", "heard_in": "Heard only in", "shared": "Shared between acts as",
}  # fmt: skip
_MIX = {**_NAME, "for": "Heard by", "through": "Through", "stereo": "Stereo", "may": "Agreed to"}
_MIX_MORE = {
    "boxes": "Boxes", "sub_send": "Drum sub with a send of its own", "fed_by": "Fed by",
    "personal_feeds": "Channels to a personal mixer", "equaliser": "Equaliser", "at": "Plugged at", **_KEEP,
}  # fmt: skip
_ZONE = {
    **_NAME, "stereo": "Stereo", "distance_m.main": "Listener to the mains",
    "distance_m.own": "Listener to its own loudspeaker",
}  # fmt: skip
_ZONE_MORE = {
    "equaliser": "Equaliser", "own_level": "A level of its own", "trim_db": "Trim", "delay_by": "Delayed by",
    "from": "Fed from", "at": "Plugged at", **_KEEP,
}  # fmt: skip
_FEED = {**_NAME, "carries": "Carries", "stereo": "Stereo", "without": "Without"}
_FEED_MORE = {
    "from": "Fed from",
    "recorded": "A recorder in the desk may take it",
    "at": "Plugged at",
    **_KEEP,
}
_EVENING = {
    **_NAME, "date": "Date", "load_in": "Load-in", "doors": "Doors", "music": "Music, from and to",
    "curfew": "Curfew", "notes": "Notes",
}  # fmt: skip
_VENUE = {
    **_NAME, "size_m": "Length, width, height", "reverberation_s": "Reverberation time", "noise_dba": "Empty room",
    "limit_dba": "Limit of the licence", "temperature_c": "Air, coldest and warmest",
    "desk_distance_m": "Stage to the desk",
}  # fmt: skip
_KIT = {
    "equalisers": "Equaliser channels", "compressors": "Compressor channels", "gates": "Gate channels",
    "delays": "Delay channels", "effects": "Effects units", "preamps": "Preamp channels", "sub_mixers": "Sub-mixers",
    "phantom_blockers": "Phantom blockers",
}  # fmt: skip
_SOURCES = FileTable(
    "sources", "Sources", "source", _items(Source, _PICKED, _PICKED_MORE), start={"by": "mic"}
)
_PLAYER = _items(Performer, {**_NAME, "plays": "Plays"}, {"at_m": "Stands at: across; back from the edge"})
_CIRCUITS = FileTable(
    "circuits", "Mains circuits", "circuit", _items(Circuit, {"amps": "Rating", "volts": "Supply"}),
    start={"amps": 16, "volts": 230},
)  # fmt: skip
_PEOPLE = FileTable(
    "people", "People", "person", _items(Person, {**_NAME, "skill": "Skill", "role": "Role"}),
    start={"skill": "intermediate"},
)  # fmt: skip
_EFFECT = _items(Effect, {**_NAME, "heard_in": "Heard in", "stereo": "Stereo"}, {"by": "Made by", **_KEEP})
_MAINS = _items(Mains, {"outputs": "Outputs", "equaliser": "Equaliser", "at": "Plugged at"})
_LISTS = (
    FileTable("performer", "Players", "player", _PLAYER, _SOURCES),
    FileTable("line", "Playback and other lines", "line", _items(Line, _PICKED, _PICKED_MORE)),
    FileTable("mix", "Monitor mixes", "mix", _items(Mix, _MIX, _MIX_MORE)),
    FileTable("effect", "Effects", "effect", _EFFECT),
    FileTable("zone", "Zones", "zone", _items(Zone, _ZONE, _ZONE_MORE)),
    FileTable("feed", "Feeds", "feed", _items(Feed, _FEED, _FEED_MORE)),
)
_TABLES = (
    FileTable("gig", "The evening", "evening", _items(Evening, _EVENING)),
    FileTable("venue", "The venue", "venue", _items(Venue, _VENUE), _CIRCUITS),
    FileTable(
        "crew", "The crew", "crew", _items(Crew, {"prepared_file": "A session file is prepared"}), _PEOPLE
    ),
    FileTable("mains", "The mains", "mains", _MAINS),
    FileTable("kit", "Kit at hand besides the desk", "kit", _items(Kit, _KIT)),
    FileTable(
        "split", "A second desk for the monitors", "split", _items(Split, {"by": "Gets its inputs by"})
    ),
)
LISTS = {table.key: table for table in _LISTS}
TABLES = {table.key: table for table in _TABLES}
(TALKBACK,) = _items(Gig, {"talkback": "Talkback"})


# How what is typed becomes a value of the file, and the other way round


def value_of(item: FileKey, typed: Any) -> Any:
    """What the file says for something typed; what cannot be read stands there as it was typed.

    Parameters
    ----------
    item : FileKey
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


def text_of(item: FileKey, value: Any) -> Any:
    """A value of the file as it is shown in its field.

    Parameters
    ----------
    item : FileKey
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


def _yes(item: FileKey, text: str) -> bool:
    return {"yes": True, "no": False}[text.casefold()] if text.casefold() in ("yes", "no") else _refuse()


def _number(item: FileKey, text: str) -> float | int:
    plain = text.replace("−", "-").removesuffix(item.unit).strip()
    if re.fullmatch(r"[+-]?[0-9]+", plain):
        return int(plain)
    if re.fullmatch(r"[+-]?[0-9]*[.,][0-9]+", plain):
        return float(plain.replace(",", "."))
    if item.quantity is None:
        return _refuse()
    return round(read_quantity(text, item.quantity), 3)


def _count(item: FileKey, text: str) -> Any:
    span = re.fullmatch(r"([0-9]+)\s*(?:to|-|–)\s*([0-9]+)", text)
    return {"least": int(span[1]), "most": int(span[2])} if span else _number(item, text)


def _numbers(item: FileKey, text: str) -> Any:
    parts = [
        part for part in re.split(r"\s*(?:;|×|x|to|,\s|\s)\s*", text.removesuffix(item.unit).strip()) if part
    ]
    if len(parts) == 1 and parts[0].count(",") > 1:
        parts = parts[0].split(",")
    read = [_number(item, part) for part in parts]
    return read[0] if len(read) == 1 else read


def _time(item: FileKey, text: str) -> dt.time:
    clock = re.fullmatch(r"([0-9]{1,2})[:.h]?([0-9]{2})(?::([0-9]{2}))?", text)
    return dt.time(int(clock[1]), int(clock[2]), int(clock[3] or 0)) if clock else _refuse()


def _times(item: FileKey, text: str) -> list[dt.time]:
    return [_time(item, part) for part in re.split(r"\s*(?:to|–|-|;|,|\s)\s*", text)]


def _date(item: FileKey, text: str) -> dt.date:
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


# Where it stands: places in a gig file, by names as its messages have them


@dataclass(frozen=True)
class Trouble:
    """Why the file cannot be counted: where, as a key path, and what is wrong in a sentence."""

    key: str
    said: str

    def __str__(self) -> str:
        return f"{self.key}: {self.said}" if self.key else self.said


def item_at(path: Place) -> FileKey:
    """What is filled in at a key; a key of the file that no field shows takes a value as it is.

    Parameters
    ----------
    path : sequence of str or int
        Keys, and places counted from 0.

    Returns
    -------
    FileKey
    """
    if tuple(path) == TALKBACK.path:
        return TALKBACK
    ends = [n for n, part in enumerate(path) if isinstance(part, int)]
    try:
        group = group_of(path[: ends[-1]]) if ends else TABLES[str(path[0])]
    except (ValueError, KeyError):
        return FileKey(str(path[-1]), str(path[-1]))
    key = ".".join(map(str, path[ends[-1] + 1 :] if ends else path[1:]))
    return next((item for item in group.items if item.key == key), FileKey(key, key))


def group_of(path: Place) -> FileTable:
    """What a list holds."""
    keys = [str(part) for part in path if not isinstance(part, int)]
    top = (LISTS | TABLES).get(keys[0]) if keys else None
    if top is not None and len(keys) == 1 and keys[0] in LISTS:
        return top
    if top is not None and len(keys) == 2 and top.inner is not None and top.inner.key == keys[1]:
        return top.inner
    lists = [*LISTS, *(f"{key}.{each.inner.key}" for key, each in TABLES.items() if each.inner)]
    raise ValueError(f"{'.'.join(map(str, path))!r} is no list of a gig; these are: {', '.join(lists)}")
