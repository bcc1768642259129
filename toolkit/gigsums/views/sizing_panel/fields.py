"""What may be filled in about a gig, list by list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal

from gigsums.quantities import DISTANCE, Kind

PEOPLE, PLACES, KNOWN = "people", "places", "known"  # lists of names that a gig itself holds
KindOf = Literal[
    "text", "yes", "maybe", "choice", "whole", "number", "count", "numbers", "names", "time", "date", "times"
]


@dataclass(frozen=True)
class Item:
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
        Unit of a number, and the kind of quantity where several units may be typed.
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
class Group:
    """One list of the file, or one table, with what may be filled in about each entry.

    Parameters
    ----------
    key : str
        The list's key.
    title : str
        What the list is called.
    one : str
        What one entry is called.
    items : tuple of Item
        What may be filled in.
    inner : Group or None
        A list inside each entry.
    start : mapping
        What a new entry says besides its name.
    """

    key: str
    title: str
    one: str
    items: tuple[Item, ...]
    inner: Group | None = None
    start: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))


_WHERE = ("stage", "desk", "remote")
_KEEP = Item("keep", "Keep", "choice", ("must", "want", "nice"), "must", behind=True)
_AT = Item("at", "Plugged at", "choice", _WHERE, "stage", behind=True)
_NAME = Item("name", "Name")


def _source(by: str | None, at: str) -> tuple[Item, ...]:
    return (
        _NAME,
        Item("by", "Picked up by", "choice", ("mic", "DI", "line"), by),
        Item("stereo", "Stereo", "yes", usual=False),
        Item("phantom", "Phantom, 48 V", "choice", ("needed", "indifferent", "forbidden"), "indifferent"),
        Item("count", "How many alike", "count", usual=1, behind=True),
        Item("level", "Level", "choice", ("mic", "line"), behind=True),
        Item(
            "stand", "Stand", "choice", ("tall boom", "short boom", "straight", "clip", "none"), behind=True
        ),
        Item("at", "Plugged at", "choice", _WHERE, at, behind=True),
        Item("radio", "By radio", "yes", usual=False, behind=True),
        Item("frequency_mhz", "Frequency", "number", behind=True, unit="MHz"),
        _KEEP,
        Item("high_pass", "High-pass filter", "yes", usual=False, behind=True),
        Item("compressor", "Compressor", "yes", usual=False, behind=True),
        Item("gate", "Gate", "yes", usual=False, behind=True),
        Item("to_mains", "May reach the mains", "yes", usual=True, behind=True),
        Item("heard_in", "Heard only in", "names", (PLACES,), behind=True),
        Item("shared", "Shared between acts as", behind=True),
    )


SOURCES = Group("sources", "Sources", "source", _source(None, "stage"), start={"by": "mic"})
PERFORMERS = Group(
    "performer",
    "Players",
    "player",
    (
        _NAME,
        Item("plays", "Plays"),
        Item("at_m", "Stands at: across; back from the edge", "numbers", behind=True, unit="m"),
    ),
    SOURCES,
)
LINES = Group("line", "Playback and other lines", "line", _source("line", "desk"))
MIXES = Group(
    "mix",
    "Monitor mixes",
    "mix",
    (
        _NAME,
        Item("for", "Heard by", "names", (PEOPLE,)),
        Item(
            "through",
            "Through",
            "choice",
            ("wedge", "in-ears", "drum fill", "side fill", "shaker", "cue"),
            "wedge",
        ),
        Item("stereo", "Stereo", "maybe", usual="in-ears only"),
        Item("may", "Agreed to", "names", ("mono", "share")),
        Item("boxes", "Boxes", "whole", usual=1, behind=True),
        Item("sub_send", "Drum sub with a send of its own", "yes", usual=False, behind=True),
        Item("fed_by", "Fed by", "choice", ("bus", "personal mixer", "monitor desk"), "bus", behind=True),
        Item("personal_feeds", "Channels to a personal mixer", "whole", usual=0, behind=True),
        Item("equaliser", "Equaliser", "yes", usual=True, behind=True),
        _AT,
        _KEEP,
    ),
)
EFFECTS = Group(
    "effect",
    "Effects",
    "effect",
    (
        _NAME,
        Item("heard_in", "Heard in", "names", (PLACES,), ("mains",)),
        Item("stereo", "Stereo", "yes", usual=True),
        Item("by", "Made by", "choice", ("desk", "unit"), "desk", behind=True),
        _KEEP,
    ),
)
ZONES = Group(
    "zone",
    "Zones",
    "zone",
    (
        _NAME,
        Item("stereo", "Stereo", "yes", usual=False),
        Item("distance_m.main", "Listener to the mains", "number", unit="m", quantity=DISTANCE),
        Item("distance_m.own", "Listener to its own loudspeaker", "number", unit="m", quantity=DISTANCE),
        Item("equaliser", "Equaliser", "yes", usual=False, behind=True),
        Item("own_level", "A level of its own", "yes", usual=False, behind=True),
        Item("trim_db", "Trim", "number", usual=0, behind=True, unit="dB"),
        Item("delay_by", "Delayed by", "choice", ("desk", "unit"), "desk", behind=True),
        Item("from", "Fed from", "choice", ("any", "matrix", "group", "bus", "mains"), "any", behind=True),
        _AT,
        _KEEP,
    ),
)
FEEDS = Group(
    "feed",
    "Feeds",
    "feed",
    (
        _NAME,
        Item("carries", "Carries", "choice", ("everything", "speech", "each source"), "everything"),
        Item("stereo", "Stereo", "yes", usual=False),
        Item("without", "Without", "names", (KNOWN,), ()),
        Item("from", "Fed from", "choice", ("mains", "own mix", "matrix"), behind=True),
        Item("recorded", "A recorder in the desk may take it", "yes", usual=False, behind=True),
        Item("at", "Plugged at", "choice", _WHERE, "desk", behind=True),
        _KEEP,
    ),
)
LISTS = {group.key: group for group in (PERFORMERS, LINES, MIXES, EFFECTS, ZONES, FEEDS)}

_SKILLS = ("novice", "intermediate", "experienced")
_WHOLE_KIT = (
    ("equalisers", "Equaliser channels"),
    ("compressors", "Compressor channels"),
    ("gates", "Gate channels"),
    ("delays", "Delay channels"),
    ("effects", "Effects units"),
    ("preamps", "Preamp channels"),
    ("sub_mixers", "Sub-mixers"),
    ("phantom_blockers", "Phantom blockers"),
)
TABLES = {
    group.key: group
    for group in (
        Group(
            "gig",
            "The evening",
            "evening",
            (
                _NAME,
                Item("date", "Date", "date"),
                Item("load_in", "Load-in", "time"),
                Item("doors", "Doors", "time"),
                Item("music", "Music, from and to", "times"),
                Item("curfew", "Curfew", "time"),
                Item("notes", "Notes"),
            ),
        ),
        Group(
            "venue",
            "The venue",
            "venue",
            (
                _NAME,
                Item("size_m", "Length, width, height", "numbers", unit="m"),
                Item("reverberation_s", "Reverberation time", "number", unit="s"),
                Item("noise_dba", "Empty room", "number", unit="dBA"),
                Item("limit_dba", "Limit of the licence", "number", unit="dBA"),
                Item("temperature_c", "Air, coldest and warmest", "numbers", unit="°C"),
                Item("desk_distance_m", "Stage to the desk", "number", unit="m", quantity=DISTANCE),
            ),
            Group(
                "circuits",
                "Mains circuits",
                "circuit",
                (Item("amps", "Rating", "number", unit="A"), Item("volts", "Supply", "number", unit="V")),
                start={"amps": 16, "volts": 230},
            ),
        ),
        Group(
            "crew",
            "The crew",
            "crew",
            (Item("prepared_file", "A session file is prepared", "yes", usual=False),),
            Group(
                "people",
                "People",
                "person",
                (_NAME, Item("skill", "Skill", "choice", _SKILLS), Item("role", "Role")),
                start={"skill": "intermediate"},
            ),
        ),
        Group(
            "mains",
            "The mains",
            "mains",
            (
                Item(
                    "outputs",
                    "Outputs",
                    "choice",
                    ("mono", "left and right", "left, centre and right"),
                    "left and right",
                ),
                Item("equaliser", "Equaliser", "yes", usual=True),
                Item("at", "Plugged at", "choice", _WHERE, "stage"),
            ),
        ),
        Group(
            "kit",
            "Kit at hand besides the desk",
            "kit",
            tuple(Item(key, label, "whole", usual=0) for key, label in _WHOLE_KIT),
        ),
        Group(
            "split",
            "A second desk for the monitors",
            "split",
            (
                Item(
                    "by", "Gets its inputs by", "choice", ("splitter", "shared preamps", "nothing"), "nothing"
                ),
            ),
        ),
    )
}
TALKBACK = Item("talkback", "Talkback", "maybe", usual="as the mixes ask")
