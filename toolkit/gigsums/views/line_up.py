"""The line-up of a gig to move about: who hears what, and what that asks of a desk. Plain values, no widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from gigsums.gig import Desk, Effect, Gig, Mix
from gigsums.gig.plain import listed
from gigsums.sizing import Ledger, Need, needs

from .moved import Field, MovedGig

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
EFFECTS = "effects"
WHY = ("buses", "bus pairs", "talkback")
CAUTION = (
    "A plan, not a sound check: ring floor mixes out with nobody's ears near a box and everybody warned; "
    "in-ears only behind a limiter."
)


class LineUp(MovedGig):
    """A gig whose line-up can be moved, counted again on a desk after each move.

    A player is moved to ``"one wedge"``, ``"two wedges"``, ``"stereo in-ears"``, ``"mono in-ears"``, ``"with"``
    somebody who has a mix, or ``"nothing"``; ``"effects"`` to a number of them.

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
    shown = ("buses", "bus pairs", "outputs", "equalisers", "minutes", "talkback")

    def _choices(self) -> dict[str, str]:
        self._mixes, self._others = _shared_out(self.asked)
        return _choices(self.asked, self._mixes)

    def back(self) -> str:
        """Put the line-up back as it was asked for; the desk in use stays.

        Returns
        -------
        str
            The answer.
        """
        self._effects = len(self.asked.effects)
        return super().back()

    def _told(self) -> list[Ledger]:
        return [row for row in self.rows if row.key != "talkback" and row.need]

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
    def why(self) -> tuple[str, ...]:
        """Where the numbers of buses, pairs and talkback come from."""
        rows = [row for row in self.rows if row.key in WHY]
        return tuple(reason.text() for row in rows for reason in row.reasons if reason.terms)

    @property
    def fields(self) -> dict[str, Field]:
        """Everything that can be moved: each player, the effects and, where there are several, the desk."""
        found = {name: Field(value, self._options(name)) for name, value in self._chosen.items()}
        most = max(len(MORE_EFFECTS), len(self.asked.effects))
        effects = {EFFECTS: Field(str(self._effects), tuple(str(n) for n in range(most + 1)))}
        return found | effects | {name: each for name, each in super().fields.items() if name not in found}

    def _choose(self, name: str, value: str) -> None:
        if name == EFFECTS:
            self._effects = int(value)
        elif value != self._chosen[name]:
            self._hand_over(name, value)

    def _hand_over(self, name: str, value: str) -> None:
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
            return replace(before, name=listed(listeners), listeners=listeners, boxes=boxes)
        through, stereo, boxes = WAYS.get(way, ("wedge", False, 1))
        boxes += len(listeners) - 1 if through == "wedge" else 0
        start = replace(before, fed_by="bus", personal_feeds=0, sub_send=False) if before else Mix("")
        name = before.name if before is not None and same else listed(listeners)
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
