"""The input list: every signal that is brought to the desk, one a line, in the order an engineer looks for it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..gig import Gig, Source, most
from ..sizing import Place
from ._table import table

ORDER = (
    ("vocals", r"vocals?|voices?|sing(?:er|ing)?s?|choir|chorus"),
    ("drums", r"drums?|kick|snare|hats?|toms?|overheads?|percussion|cymbals?|cajon"),
    ("bass", r"bass"),
    ("guitars", r"guitars?|mandolin|ukulele|banjo"),
    ("keys", r"keys?|keyboards?|piano|organ|accordion|synthesiser"),
    ("speech", r"speech|talk|lectern|announcements?"),
)
"""Kinds of source by the words in their names. Common practice, no source."""

RANK = ("drums", "bass", "guitars", "keys", "others", "vocals", "speech", "lines", "talkback", "returns")
"""The order of an input list: drums first, voices after what they sing over. Common practice, no source."""

SOCKETS = {
    "mic input": "",
    "line input": "line ",
    "stereo input": "stereo ",
    "two-track return": "two-track ",
}
PHANTOM = {"needed": "yes", "forbidden": "NEVER", "indifferent": ""}


@dataclass(frozen=True)
class InputRow:
    """One line of an input list: one signal.

    Parameters
    ----------
    channel : int
        Its number, from 1 down the list.
    source : str
        What it is, with its side or its number where there are several.
    who : str
        Who plays it; empty for what plays by itself.
    by : str
        ``"mic"``, ``"DI"``, ``"line"`` or ``"radio"``.
    phantom : str
        ``"yes"``, ``"NEVER"``, or empty where it does not matter.
    stand : str
        What it stands on; empty where it needs nothing or nobody has said.
    on_it : str
        ``"hp"`` (high-pass), ``"comp"`` and ``"gate"``, as the gig asks for them.
    socket : str
        Where it is plugged in, such as ``"stage 7"``; empty where nothing is placed.
    item : str
        Key path in the gig.
    """

    channel: int
    source: str
    who: str
    by: str
    phantom: str
    stand: str
    on_it: str
    socket: str
    item: str


@dataclass(frozen=True)
class InputList:
    """Every signal that is brought to the desk.

    Parameters
    ----------
    gig : Gig
        The gig.
    rows : tuple of InputRow
        One for each signal, in order.
    """

    gig: Gig
    rows: tuple[InputRow, ...]

    def __str__(self) -> str:
        heads = ("ch", "source", "who", "by", "48 V", "stand", "on it", "socket")
        return table(
            heads,
            [(r.channel, r.source, r.who, r.by, r.phantom, r.stand, r.on_it, r.socket) for r in self.rows],
        )


def input_list(gig: Gig, places: Sequence[Place] = ()) -> InputList:
    """The input list of a gig: one line for each signal, left and right apart.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed. A count that is not settled is taken at its most.
    places : sequence of Place, optional
        What sits where, from a `Fit` or an `Answer`: sockets are named, and talkback and the returns that come in
        by a socket are listed too.

    Returns
    -------
    InputList
    """
    plugged: dict[str, list[Place]] = {}
    for place in places:
        if place.on in SOCKETS:
            plugged.setdefault(place.item, []).append(place)
    found = sorted(
        _listed(gig), key=lambda each: RANK.index(kind_of(each[1], each[3]))
    )  # else as in the file
    lines = [
        (path, source.name + suffix, who, source, socket)
        for path, source, who, _ in found
        for suffix, socket in _signals(source, plugged.get(path, []))
    ]
    rows = [
        InputRow(
            n,
            name,
            who,
            "radio" if source.radio else source.by,
            PHANTOM[source.phantom],
            "" if source.stand in (None, "none") else str(source.stand),
            _on_it(source),
            socket,
            path,
        )
        for n, (path, name, who, source, socket) in enumerate(lines, start=1)
    ]
    for item, name, by in _besides(gig):
        for suffix, socket in _sides(plugged.get(item, [])):
            who = gig.crew.at_desk.name if item == "desk.talkback" and gig.crew.at_desk else ""
            rows.append(InputRow(len(rows) + 1, name + suffix, who, by, "", "", "", socket, item))
    return InputList(gig, tuple(rows))


def kind_of(source: Source, plays: str | None) -> str:
    """What kind of source it is, by its own name and then by what its player plays.

    Parameters
    ----------
    source : Source
        The source.
    plays : str or None
        What its player plays; None for what plays by itself.

    Returns
    -------
    str
        One of `RANK`.
    """
    if plays is None:
        return "lines"
    return _worded(source.name) or _worded(plays) or "others"


def _worded(text: str) -> str:
    """The first kind whose words stand in a text; empty where none does."""
    words = re.findall(r"[^\W\d_]+", text.casefold())
    return next((kind for kind, pattern in ORDER if any(re.fullmatch(pattern, word) for word in words)), "")


def _listed(gig: Gig) -> list[tuple[str, Source, str, str | None]]:
    """Key path, source, player, and what they play."""
    played = [
        (f"performer.{p.name}.sources.{s.name}", s, p.name, p.plays)
        for p in gig.performers
        for s in p.sources
    ]
    return [*played, *((f"line.{s.name}", s, "", None) for s in gig.lines)]


def _besides(gig: Gig) -> list[tuple[str, str, str]]:
    """What may come in by a socket though nobody plays it: item, name, how."""
    return [
        ("desk.talkback", "Talkback", "mic"),
        *((f"effect.{e.name}", f"{e.name} return", "line") for e in gig.effects),
    ]


def _signals(source: Source, places: Sequence[Place]) -> list[tuple[str, str]]:
    """Suffix and socket of each signal of a source."""
    sockets = [socket for place in places for socket in _ends(place, source.stereo)]
    count = most(source.count)
    suffixes = [
        (f" {n}" if count > 1 else "") + side
        for n in range(1, count + 1)
        for side in ((" L", " R") if source.stereo else ("",))
    ]
    sockets += [""] * (len(suffixes) - len(sockets))
    return list(zip(suffixes, sockets, strict=False))


def _sides(places: Sequence[Place]) -> list[tuple[str, str]]:
    """Suffix and socket of each signal of something that is known only by where it is plugged in."""
    stereo = len(places) == 2 or any(place.on == "stereo input" for place in places)
    sockets = [socket for place in places for socket in _ends(place, stereo)]
    return list(zip((" L", " R") if stereo else ("",) * len(sockets), sockets, strict=False))


def _ends(place: Place, stereo: bool) -> list[str]:
    """The socket as it is called, twice where it takes both sides."""
    name = f"{place.at} {SOCKETS[place.on]}{place.number}"
    both = stereo and place.on in ("stereo input", "two-track return")
    return [f"{name} L", f"{name} R"] if both else [name]


def _on_it(source: Source) -> str:
    asked = (("hp", source.high_pass), ("comp", source.compressor), ("gate", source.gate))
    return ", ".join(word for word, wanted in asked if wanted)
