"""What is on paper before doors: the input list, the patch, what leaves by which socket."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from gigsums.gig import Desk, Gig, Source, load_policy, most
from gigsums.sizing import Place, check_placement
from gigsums.sizing.ledgers import zone_delay_ms

GAP = "  "


def table(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Rows under heads. Columns of whole numbers stand to the right, a column with nothing in it is left out."""
    texts = [[str(cell) for cell in row] for row in rows]
    kept = [n for n in range(len(heads)) if any(row[n] for row in texts)]
    wide = [max(len(heads[n]), *(len(row[n]) for row in texts)) for n in kept]
    right = [all(row[n].isdigit() for row in texts if row[n]) for n in kept]

    def line(cells: Sequence[str]) -> str:
        placed = (
            cells[n].rjust(size) if to_right else cells[n].ljust(size)
            for n, size, to_right in zip(kept, wide, right, strict=True)
        )
        return GAP.join(placed).rstrip()

    return "\n".join([line(heads), *(line(row) for row in texts)])


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


SHUFFLED = ("mic input", "output")
"""Sockets that may change places with each other if the placement stays legal."""


@dataclass(frozen=True)
class Patch:
    """The input sockets of one box.

    Parameters
    ----------
    at : str
        Where the box stands: ``"stage"``, ``"desk"`` or ``"remote"``.
    rows : tuple of (str, InputRow or None)
        Each socket with what is in it, None where it is empty.
    """

    at: str
    rows: tuple[tuple[str, InputRow | None], ...]

    @property
    def empty(self) -> int:
        """How many sockets are empty."""
        return sum(row is None for _, row in self.rows)

    def __str__(self) -> str:
        cells = [
            (socket, row.channel, row.source, row.who, row.by, row.phantom)
            if row
            else (socket, "", "-", "", "", "")
            for socket, row in self.rows
        ]
        return table((f"{self.at}", "ch", "source", "who", "by", "48 V"), cells)


def patch(gig: Gig, desk: Desk, places: Sequence[Place], at: str) -> Patch:
    """What is plugged into each input socket of one box.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    desk : Desk
        The desk; with any box that was added.
    places : sequence of Place
        What sits where.
    at : str
        The box: ``"stage"``, ``"desk"`` or ``"remote"``.

    Returns
    -------
    Patch

    Raises
    ------
    ValueError
        If the desk has no inputs there; the message lists where it has some.
    """
    there = [inputs for inputs in desk.inputs if inputs.at == at]
    if not there:
        known = ", ".join(dict.fromkeys(inputs.at for inputs in desk.inputs))
        raise ValueError(f"at is {at!r}, where {desk.name} has no inputs; it has some at: {known}")
    listed: InputList = input_list(gig, places)
    plugged = {row.socket: row for row in listed.rows}
    names: list[str] = [str(n) for n in range(1, sum(i.mic for i in there) + 1)]
    names += [f"line {n}" for n in range(1, sum(i.line for i in there) + 1)]
    for word, kind in (("stereo", "stereo"), ("two-track", "two_track")):
        count = sum(getattr(i, kind) for i in there)
        names += [f"{word} {n} {side}" for n in range(1, count + 1) for side in "LR"]
    rows = []
    for name in names:
        row = plugged.get(f"{at} {name}")
        if row is None and name.endswith(" L"):
            row = plugged.get(f"{at} {name[:-2]}")  # a mono source on one side of a stereo input
        rows.append((name, row))
    return Patch(at, tuple(rows))


def in_list_order(gig: Gig, desk: Desk, places: Sequence[Place]) -> tuple[Place, ...]:
    """The same placement with like sockets swapped so that they run as the lists do.

    Inputs follow the input list, outputs the mains, the mixes, the zones and the feeds. Only sockets of one kind in
    one place change places, and only where the placement is still legal; a box whose phantom or delays forbid it
    keeps the order it had.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    desk : Desk
        The desk.
    places : sequence of Place
        A legal placement.

    Returns
    -------
    tuple of Place
    """
    order = {row.item: row.channel for row in reversed(input_list(gig, places).rows)}
    placed = list(places)
    for on, at in dict.fromkeys((place.on, place.at) for place in places if place.on in SHUFFLED):
        here = [n for n, place in enumerate(placed) if (place.on, place.at) == (on, at)]
        numbers = sorted(placed[n].number for n in here)
        if on == "mic input":
            here.sort(key=lambda n: order.get(placed[n].item, len(order)))
        swapped = list(placed)
        for n, number in zip(here, numbers, strict=True):
            swapped[n] = replace(placed[n], number=number)
        if check_placement(gig, desk, swapped).legal:
            placed = swapped
    return tuple(placed)


OUT = ("output", "record output", "direct out")
FED = ("bus", "matrix", "group")
SIDES = {2: (" L", " R"), 3: (" L", " C", " R")}
TAPS = {"pre": "before", "post": "after", "": ""}


@dataclass(frozen=True)
class OutputRow:
    """One socket that sound leaves by.

    Parameters
    ----------
    socket : str
        Which one, such as ``"stage 3"``.
    carries : str
        The mix, zone or feed, with its side where there are several.
    kind : str
        ``"mains"``, ``"mix"``, ``"zone"``, ``"feed"`` or ``"effect"``.
    fed_by : str
        What feeds it, such as ``"bus 5"`` or ``"matrix 1"``; ``"mains"`` for a copy of them.
    tap : str
        ``"before"`` or ``"after"`` the fader for a bus, else empty.
    delay_ms : float or None
        What a zone is delayed by [ms]; None where nothing is.
    """

    socket: str
    carries: str
    kind: str
    fed_by: str
    tap: str
    delay_ms: float | None


@dataclass(frozen=True)
class OutputList:
    """Everything that leaves the desk by a socket.

    Parameters
    ----------
    rows : tuple of OutputRow
        Place by place, in the order of the sockets.
    """

    rows: tuple[OutputRow, ...]

    def __str__(self) -> str:
        heads = ("socket", "carries", "", "fed by", "fader", "delay")
        return table(
            heads,
            [
                (
                    r.socket,
                    r.carries,
                    r.kind if r.kind != r.carries.split(" ")[0] else "",
                    r.fed_by,
                    r.tap,
                    "" if r.delay_ms is None else f"{r.delay_ms:.1f} ms",
                )
                for r in self.rows
            ],
        )


def output_list(gig: Gig, places: Sequence[Place]) -> OutputList:
    """What leaves by which socket, and what feeds it.

    Parameters
    ----------
    gig : Gig
        The gig; where changes were made, as changed.
    places : sequence of Place
        What sits where.

    Returns
    -------
    OutputList
    """
    policy = gig.policy or load_policy()
    delays = {f"zone.{z.name}": zone_delay_ms(z, gig, policy) for z in gig.zones if z.distance_m is not None}
    feeding: dict[str, list[Place]] = {}
    leaving: dict[str, list[Place]] = {}
    for place in places:
        if place.on in FED:
            feeding.setdefault(place.item, []).append(place)
        if place.on in OUT:
            leaving.setdefault(place.item, []).append(place)
    found = []
    for item, sockets in leaving.items():
        kind, _, name = item.partition(".")
        name = f"{name} send" if kind == "effect" else name or kind
        sides = SIDES.get(len(sockets), ("",) * len(sockets))
        feeds = feeding.get(item, [])
        for n, (place, side) in enumerate(zip(sockets, sides, strict=True)):
            fed = feeds[min(n, len(feeds) - 1)] if feeds else None
            found.append(
                (
                    place,
                    OutputRow(
                        f"{place.at} {'' if place.on == 'output' else place.on.split()[0] + ' '}{place.number}",
                        name + side,
                        kind,
                        f"{fed.on} {fed.number}" if fed else "mains",
                        TAPS[fed.tap] if fed else "",
                        delays.get(item),
                    ),
                )
            )
    found.sort(
        key=lambda entry: (("stage", "desk", "remote").index(entry[0].at), entry[0].on, entry[0].number)
    )
    return OutputList(tuple(row for _, row in found))
