"""The line-up of a gig to move about: who hears what, and what that asks of a desk. Plain values, no widgets."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

from gigsums.gig import Desk, Effect, Gig, Mix
from gigsums.sizing import Demand, Ledger, Need, demand, needs

if TYPE_CHECKING:
    from .line_up_panel import LineUpPanel

NOTHING = "nothing"
WAYS: dict[str, tuple[Literal["wedge", "in-ears"], bool, int]] = {  # through, stereo, boxes of one's own
    "one wedge": ("wedge", False, 1),
    "two wedges": ("wedge", False, 2),
    "stereo in-ears": ("in-ears", True, 1),
    "mono in-ears": ("in-ears", False, 1),
}
MORE_EFFECTS = ("Reverb", "Delay", "Second reverb", "Chorus")
EFFECTS, DESK = "effects", "desk"
SHOWN = ("buses", "bus pairs", "outputs", "equalisers", "minutes", "talkback")
WHY = ("buses", "bus pairs", "talkback")
WIDTH = 70  # characters: with a label before it, what a tablet shows of a notebook without breaking it
CAUTION = (
    "A plan, not a sound check: ring floor mixes out with nobody's ears near a box and everybody warned; "
    "in-ears only behind a limiter."
)
WORDS = {"met": "ok", "met without spare": "no spare", "short": "short"}


class Field(NamedTuple):
    """One thing that can be moved: what stands there, and what may."""

    value: str
    options: tuple[str, ...]


class LineUp:
    """A gig whose line-up can be moved, counted again on a desk after each move.

    Parameters
    ----------
    gig : Gig
        The gig as it was asked for.
    *desks : Desk
        The desks to try it on; the first is in use.

    Attributes
    ----------
    desk : Desk
        The desk in use.

    Raises
    ------
    ValueError
        If no desk is given, or two have the same name.

    Examples
    --------
    >>> from gigsums.gig import load_desk, load_gig
    >>> band = LineUp(load_gig("lantern_night"), load_desk("desk_b"))
    >>> band.choices["Perrin"]
    'with Ottoline'
    """

    question = "who hears what?"
    caption = "what mixes and effects take of it"
    caution = CAUTION

    def __init__(self, gig: Gig, *desks: Desk) -> None:
        if not desks:
            raise ValueError("desks is empty; name at least one desk to try the gig on")
        self.asked = gig
        self.desks = {desk.name: desk for desk in desks}
        if len(self.desks) < len(desks):
            raise ValueError(f"two of these desks have the same name: {', '.join(d.name for d in desks)}")
        self.desk = desks[0]
        self._mixes, self._others = _shared_out(gig)
        self._asked = _choices(gig, self._mixes)
        self.back()

    def __repr__(self) -> str:
        return f"LineUp({self.asked.name!r})"

    def back(self) -> str:
        """Put the line-up back as it was asked for; the desk in use stays.

        Returns
        -------
        str
            The answer.
        """
        self._chosen = dict(self._asked)
        self._effects = len(self.asked.effects)
        return self._count()

    @property
    def choices(self) -> Mapping[str, str]:
        """What each player hears themselves through."""
        return MappingProxyType(self._chosen)

    @property
    def gig(self) -> Gig:
        """The gig as it stands now."""
        return self._gig

    @property
    def demand(self) -> Demand:
        """What the gig as it stands now takes of the desk in use."""
        return self._demand

    @property
    def line(self) -> str:
        """The answer as a sentence or two, broken where a narrow window would break it badly."""
        mixes, counted = self.headline
        shown = [
            f"{table_label(row, self.rows)} {row.need:g} of {row.have:g}"
            for row in self.rows
            if row.key != "talkback" and row.need
        ]
        takes = "takes" if mixes == 1 else "take"
        counts = f"{self.desk.name}: {mixes} {counted.removeprefix('monitor ')} {takes} {', '.join(shown)}."
        return f"{folded(counts)}\n{folded('  ' + self.verdict)}"

    @property
    def verdict(self) -> str:
        """How the ledgers shown stand: they are what mixes and effects can move, not the whole desk."""
        return verdict_of(self.rows)

    @property
    def headline(self) -> tuple[int, str]:
        """The first count, and what is counted."""
        mixes = needs(self._gig)["monitor mixes"]
        return mixes, "monitor mix" if mixes == 1 else "monitor mixes"

    @property
    def takes(self) -> tuple[Need, ...]:
        """The counts beside it."""
        counted = needs(self._gig)
        return counted.row("monitor buses"), counted.row("effects sends")

    @property
    def rows(self) -> tuple[Ledger, ...]:
        """The ledgers that the mixes and the effects move; outputs place by place where there are several."""
        return tuple(row for key in SHOWN for row in ledgers_of(self._demand, key))

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers of buses, pairs and talkback come from."""
        rows = [row for row in self.rows if row.key in WHY]
        return tuple(reason.text() for row in rows for reason in row.reasons if reason.terms)

    @property
    def fields(self) -> dict[str, Field]:
        """Everything that can be moved: each player, the effects and, where there are several, the desk."""
        found = {name: Field(value, self._options(name)) for name, value in self._chosen.items()}
        most = max(len(MORE_EFFECTS), len(self.asked.effects))
        found[EFFECTS] = Field(str(self._effects), tuple(str(n) for n in range(most + 1)))
        if len(self.desks) > 1:
            found[DESK] = Field(self.desk.name, tuple(self.desks))
        return found

    def move(self, what: str, to: str | int) -> str:
        """Move one thing and count again.

        Parameters
        ----------
        what : str
            A player, ``"effects"`` or ``"desk"``.
        to : str or int
            What it is moved to: ``"one wedge"``, ``"two wedges"``, ``"stereo in-ears"``, ``"mono in-ears"``,
            ``"with"`` somebody who has a mix, or ``"nothing"``; a number of effects; the name of a desk.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such thing to move, or it cannot be moved there; then nothing has changed.
        """
        fields = {**self.fields, DESK: Field(self.desk.name, tuple(self.desks))}
        name = among(what, tuple(fields), "what", "to move")
        value = among(to, fields[name].options, f"to, for {name},", "to choose")
        if name == DESK:
            self.desk = self.desks[value]
        elif name == EFFECTS:
            self._effects = int(value)
        elif value != self._chosen[name]:
            self._choose(name, value)
        return self._count()

    def _choose(self, name: str, value: str) -> None:
        followers = [other for other, way in self._chosen.items() if way == f"with {name}"]
        if followers and (value == NOTHING or value.startswith("with ")):
            # who shared the mix keeps it: the first of them takes it over
            heir, *rest = followers
            way = self._chosen[name]
            self._chosen[heir] = way if way in WAYS else "one wedge"
            self._chosen.update(dict.fromkeys(rest, f"with {heir}"))
        self._chosen[name] = value

    def _options(self, name: str) -> tuple[str, ...]:
        own = self._asked[name]
        ways = [NOTHING, *WAYS]
        if own not in ways and not own.startswith("with "):
            ways.append(own)
        owners = [other for other, way in self._chosen.items() if other != name and _owns(way)]
        return (*ways, *(f"with {other}" for other in owners))

    def _count(self) -> str:
        self._gig = self._made()
        self._demand = demand(self._gig, self.desk)
        return self.line

    def _made(self) -> Gig:
        placed = list(self._others)
        for owner, way in self._chosen.items():
            if _owns(way):
                place = self._mixes[owner][0] if owner in self._mixes else len(self.asked.mixes)
                placed.append((place, self._mix(owner, way)))
        mixes = tuple(mix for _, mix in sorted(placed, key=lambda each: each[0]))
        effects = self.asked.effects[: self._effects]
        spare = [name for name in MORE_EFFECTS if name not in {e.name for e in self.asked.effects}]
        effects += tuple(Effect(name) for name in spare[: self._effects - len(effects)])
        gone = {m.name for m in self.asked.mixes} | {p.name for p in self.asked.performers}
        gone -= {m.name for m in mixes} | {name for m in mixes for name in m.listeners}
        effects = tuple(
            replace(e, heard_in=tuple(where for where in e.heard_in if where not in gone)) for e in effects
        )
        return replace(self.asked, mixes=mixes, effects=effects)

    def _mix(self, owner: str, way: str) -> Mix:
        listeners = (owner, *(other for other, how in self._chosen.items() if how == f"with {owner}"))
        _, before = self._mixes.get(owner, (0, None))
        same = before is not None and before.listeners == listeners
        if before is not None and way == self._asked[owner]:
            if same:
                return before
            boxes = max(1, before.boxes + len(listeners) - len(before.listeners))
            return replace(before, name=_listed(listeners), listeners=listeners, boxes=boxes)
        through, stereo, boxes = WAYS.get(way, ("wedge", False, 1))
        boxes += len(listeners) - 1 if through == "wedge" else 0
        start = replace(before, fed_by="bus", personal_feeds=0, sub_send=False) if before else Mix("")
        name = before.name if before is not None and same else _listed(listeners)
        return replace(start, name=name, listeners=listeners, through=through, stereo=stereo, boxes=boxes)


def line_up(gig: Gig, *desks: Desk) -> LineUpPanel:
    """A panel that moves the line-up of a gig and counts again what it asks of a desk.

    Parameters
    ----------
    gig : Gig
        The gig.
    *desks : Desk
        The desks to try it on; the first is in use.

    Returns
    -------
    LineUpPanel
        The widget; as the last line of a cell it shows itself. `move` works it from a cell.

    Raises
    ------
    ValueError
        If no desk is given, or two have the same name.

    Examples
    --------
    >>> from gigsums.gig import load_desk, load_gig
    >>> panel = line_up(load_gig("lantern_night"), load_desk("desk_b"))
    >>> panel.move("Maud", "with Fenwick").startswith("Desk B: 4 mixes take buses 7 of 8, bus pairs 4 of 4")
    True
    """
    from .line_up_panel import LineUpPanel

    return LineUpPanel(LineUp(gig, *desks))


def ledgers_of(counted: Demand, key: str) -> list[Ledger]:
    """The rows of one key, place by place where there are several."""
    rows = [row for row in counted.ledgers if row.key == key]
    return [row for row in rows if row.where != "all"] or rows


def verdict_of(rows: tuple[Ledger, ...]) -> str:
    """How the ledgers shown stand, in a sentence."""
    found = []
    for state, said in (("short", "short of"), ("no spare", "no spare"), ("bring more", "bring more")):
        names = [table_label(row, rows) for row in rows if state_in_words(row) == state]
        found += [f"{said} {_listed(names)}"] if names else []
    words = "; ".join(found) or "enough of everything here"
    return f"{words[0].upper()}{words[1:]}."


def _shared_out(gig: Gig) -> tuple[dict[str, tuple[int, Mix]], list[tuple[int, Mix]]]:
    """The mix that each owner may move, with its place in the gig, and those that stay as they are."""
    players = {p.name for p in gig.performers}
    owned: dict[str, tuple[int, Mix]] = {}
    others = []
    taken: set[str] = set()
    for place, mix in enumerate(gig.mixes):
        if mix.listeners and set(mix.listeners) <= players - taken:
            owned[mix.listeners[0]] = (place, mix)
            taken |= set(mix.listeners)
        else:
            others.append((place, mix))
    return owned, others


def _choices(gig: Gig, owned: Mapping[str, tuple[int, Mix]]) -> dict[str, str]:
    chosen = {p.name: NOTHING for p in gig.performers}
    for owner, (_, mix) in owned.items():
        chosen[owner] = _way(mix)
        chosen.update(dict.fromkeys(mix.listeners[1:], f"with {owner}"))
    return chosen


def _way(mix: Mix) -> str:
    own = max(1, mix.boxes - len(mix.listeners) + 1) if mix.through == "wedge" else 1
    if mix.fed_by == "bus":
        for word, what in WAYS.items():
            if what == (mix.through, mix.is_stereo, own):
                return word
    return f"{mix.fed_by if mix.fed_by != 'bus' else told(mix)}, as asked"


def told(mix: Mix) -> str:
    """What a mix is heard through, in a few words."""
    if mix.through == "in-ears":
        return f"{'stereo' if mix.is_stereo else 'mono'} in-ears"
    stereo = "stereo " if mix.is_stereo else ""
    boxes = {1: "one ", 2: "two "}.get(mix.boxes, f"{mix.boxes} ") if mix.through == "wedge" else ""
    return f"{boxes}{stereo}{mix.through}{'s' if boxes and mix.boxes > 1 else ''}"


def _owns(way: str) -> bool:
    return way != NOTHING and not way.startswith("with ")


def folded(text: str) -> str:
    """Text in lines that a narrow notebook does not break again."""
    return textwrap.fill(text, WIDTH, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def _listed(names: Sequence[str]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def state_in_words(row: Ledger) -> str:
    """How a ledger stands: ok, no spare, short, or bring more where it can be carried besides."""
    return "bring more" if row.state == "short" and not row.blocks else WORDS[row.state]


def table_label(row: Ledger, rows: tuple[Ledger, ...]) -> str:
    """The key of a row, with its place where there are several."""
    return row.key if sum(other.key == row.key for other in rows) == 1 else row.label


def among(given: object, allowed: tuple[str, ...], name: str, verb: str) -> str:
    """The one of `allowed` that was given, however it is written."""
    for each in allowed:
        if str(given).strip().casefold() == each.casefold():
            return each
    raise ValueError(
        f"{name} is {str(given)[:60]!r}, which there is not {verb}; these are: {', '.join(allowed)}"
    )
