"""A gig moved about one choice at a time, counted again after each: who hears what, or what is picked up and how.

Plain values, no widgets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, ClassVar, Literal, NamedTuple

from gigsums.gig import Desk, Effect, Gig, Mix, Source
from gigsums.gig.reason import listed
from gigsums.sizing import Demand, Ledger, Need, demand, needs

from .words import folded, ledgers_of, mix_told, state_in_words, table_label, verdict_of

DESK = "desk"


class Offered(NamedTuple):
    """One thing that can be moved: what stands there, and what may."""

    value: str
    options: tuple[str, ...]


class Choices:
    """A gig with choices in it, on one of several desks.

    A kind of it says what can be chosen (`_options`), what gig the choices make (`_made`) and which counts and
    ledgers are shown.

    Parameters
    ----------
    gig : Gig
        The gig as it was asked for.
    *desks : Desk
        The desks to try it on; the first is in use.

    Attributes
    ----------
    asked : Gig
        The gig as it was asked for.
    desk : Desk
        The desk in use.
    gig : Gig
        The gig as it stands now.
    demand : Demand
        What that takes of the desk in use.

    Raises
    ------
    ValueError
        If no desk is given, or two have the same name.
    """

    question: ClassVar[str]
    caption: ClassVar[str]
    caution: ClassVar[str]
    shown: ClassVar[tuple[str, ...]]
    named: ClassVar[Mapping[str, str]] = {DESK: "Desk"}

    def __init__(self, gig: Gig, *desks: Desk) -> None:
        if not desks:
            raise ValueError("desks is empty; name at least one desk to try the gig on")
        self.asked = gig
        self.desks = {desk.name: desk for desk in desks}
        if len(self.desks) < len(desks):
            raise ValueError(f"two of these desks have the same name: {', '.join(d.name for d in desks)}")
        self.desk = desks[0]
        self._asked = self._choices()
        self.back()

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.asked.name!r})"

    def _choices(self) -> dict[str, str]:
        """What is chosen for each thing as it was asked for."""
        raise NotImplementedError

    def _options(self, name: str) -> tuple[str, ...]:
        """What may be chosen for that thing."""
        raise NotImplementedError

    def _made(self) -> Gig:
        """The gig that the choices make."""
        raise NotImplementedError

    @property
    def headline(self) -> tuple[int, str]:
        """The first count, and what is counted."""
        raise NotImplementedError

    @property
    def takes(self) -> tuple[Need, ...]:
        """The counts beside it."""
        raise NotImplementedError

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers come from."""
        raise NotImplementedError

    def back(self) -> str:
        """Put everything back as it was asked for; the desk in use stays. Returns the answer."""
        self._chosen = dict(self._asked)
        return self._count()

    @property
    def choices(self) -> Mapping[str, str]:
        """What is chosen for each thing."""
        return MappingProxyType(self._chosen)

    @property
    def rows(self) -> tuple[Ledger, ...]:
        """The ledgers that the choices move, place by place where there are several."""
        return tuple(row for key in self.shown for row in ledgers_of(self.demand, key))

    @property
    def verdict(self) -> str:
        """How the ledgers shown stand: they are what the choices can move, not the whole desk."""
        return verdict_of(self.rows)

    @property
    def line(self) -> str:
        """The answer as a sentence or two, broken where a narrow window would break it badly."""
        shown = [f"{table_label(row, self.rows)} {row.need:g} of {row.have:g}" for row in self._told()]
        number, counted = self.headline
        takes = "takes" if number == 1 else "take"
        said = f"{number} {counted.removeprefix('monitor ')} {takes} {', '.join(shown) or 'nothing'}"
        return f"{folded(f'{self.desk.name}: {said}.')}\n{folded('  ' + self.verdict)}"

    def _told(self) -> list[Ledger]:
        """The ledgers that the line names."""
        return [row for row in self.rows if row.need]

    @property
    def fields(self) -> dict[str, Offered]:
        """Everything that can be moved and, where there are several, the desk."""
        found = {name: Offered(value, self._options(name)) for name, value in self._chosen.items()}
        return found | ({DESK: self._desk_field} if len(self.desks) > 1 else {})

    @property
    def _desk_field(self) -> Offered:
        return Offered(self.desk.name, tuple(self.desks))

    def move(self, what: str, to: str | int) -> str:
        """Move one thing and count again.

        Parameters
        ----------
        what : str
            One of `fields`, or ``"desk"``.
        to : str or int
            One of its options, or the name of a desk.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such thing to move, or it cannot be moved there; then nothing has changed.
        """
        fields = {**self.fields, DESK: self._desk_field}
        name = _among(what, tuple(fields), "what", "to move")
        value = _among(to, fields[name].options, f"to, for {name},", "to choose")
        if name == DESK:
            self.desk = self.desks[value]
        else:
            self._choose(name, value)
        return self._count()

    def _choose(self, name: str, value: str) -> None:
        self._chosen[name] = value

    def _count(self) -> str:
        self.gig = self._made()
        self.demand: Demand = demand(self.gig, self.desk)
        return self.line


def _among(given: object, allowed: tuple[str, ...], name: str, verb: str) -> str:
    """The one of `allowed` that was given, however it is written."""
    for each in allowed:
        if str(given).strip().casefold() == each.casefold():
            return each
    raise ValueError(
        f"{name} is {str(given)[:60]!r}, which there is not {verb}; these are: {', '.join(allowed)}"
    )


NOTHING = "nothing"
HEARD: dict[str, tuple[Literal["wedge", "in-ears"], bool, int]] = {  # through, stereo, boxes of one's own
    "one wedge": ("wedge", False, 1),
    "two wedges": ("wedge", False, 2),
    "stereo in-ears": ("in-ears", True, 1),
    "mono in-ears": ("in-ears", False, 1),
}
MORE_EFFECTS = ("Reverb", "Delay", "Second reverb", "Chorus")
EFFECTS = "effects"


class LineUp(Choices):
    """Who hears what.

    A player is moved to ``"one wedge"``, ``"two wedges"``, ``"stereo in-ears"``, ``"mono in-ears"``, ``"with"``
    somebody who has a mix, or ``"nothing"``; ``"effects"`` to a number of them.

    Examples
    --------
    >>> from gigsums import load_desk, load_gig
    >>> band = LineUp(load_gig("lantern_night"), load_desk("desk_b"))
    >>> band.choices["Perrin"]
    'with Ottoline'
    """

    question = "who hears what?"
    caption = "what mixes and effects take of it"
    caution = (
        "A plan, not a sound check: ring floor mixes out with nobody's ears near a box and everybody warned; "
        "in-ears only behind a limiter."
    )
    shown = ("buses", "bus pairs", "outputs", "equalisers", "minutes", "talkback")
    named: ClassVar[Mapping[str, str]] = {DESK: "Desk", EFFECTS: "Effects"}

    def _choices(self) -> dict[str, str]:
        """The mix that each owner may move is kept with its place in the gig; the others stay as they are."""
        players = {p.name for p in self.asked.performers}
        self._mixes: dict[str, tuple[int, Mix]] = {}
        self._others: list[tuple[int, Mix]] = []
        chosen = dict.fromkeys((p.name for p in self.asked.performers), NOTHING)
        for place, mix in enumerate(self.asked.mixes):
            if not mix.listeners or not set(mix.listeners) <= players:
                self._others.append((place, mix))
                continue
            players -= set(mix.listeners)
            owner, *rest = mix.listeners
            self._mixes[owner] = (place, mix)
            chosen |= {owner: _heard(mix)} | dict.fromkeys(rest, f"with {owner}")
        return chosen

    def back(self) -> str:
        """Put the line-up back as it was asked for; the desk in use stays. Returns the answer."""
        self._effects = len(self.asked.effects)
        return super().back()

    def _told(self) -> list[Ledger]:
        return [row for row in super()._told() if row.key != "talkback"]

    @property
    def headline(self) -> tuple[int, str]:
        """The monitor mixes."""
        mixes = needs(self.gig)["monitor mixes"]
        return mixes, "monitor mix" if mixes == 1 else "monitor mixes"

    @property
    def takes(self) -> tuple[Need, ...]:
        """The buses and sends that they and the effects take."""
        counted = needs(self.gig)
        return counted.row("monitor buses"), counted.row("effects sends")

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers of buses, pairs and talkback come from."""
        rows = [row for row in self.rows if row.key in ("buses", "bus pairs", "talkback")]
        return tuple(reason.text() for row in rows for reason in row.reasons if reason.terms)

    @property
    def fields(self) -> dict[str, Offered]:
        """Everything that can be moved: each player, the effects and, where there are several, the desk."""
        found = super().fields
        desk = {DESK: found.pop(DESK)} if DESK in found else {}
        most = max(len(MORE_EFFECTS), len(self.asked.effects))
        return found | {EFFECTS: Offered(str(self._effects), tuple(map(str, range(most + 1))))} | desk

    def _choose(self, name: str, value: str) -> None:
        if name == EFFECTS:
            self._effects = int(value)
            return
        followers = [other for other, way in self._chosen.items() if way == f"with {name}"]
        if followers and not _owns(value):
            # who shared the mix keeps it: the first of them takes it over
            heir, *rest = followers
            way = self._chosen[name]
            self._chosen[heir] = way if way in HEARD else "one wedge"
            self._chosen.update(dict.fromkeys(rest, f"with {heir}"))
        self._chosen[name] = value

    def _options(self, name: str) -> tuple[str, ...]:
        own = self._asked[name]
        asked = (own,) if own not in (NOTHING, *HEARD) and _owns(own) else ()
        owners = [other for other, way in self._chosen.items() if other != name and _owns(way)]
        return (NOTHING, *HEARD, *asked, *(f"with {other}" for other in owners))

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
        through, stereo, boxes = HEARD.get(way, ("wedge", False, 1))
        boxes += len(listeners) - 1 if through == "wedge" else 0
        start = replace(before, fed_by="bus", personal_feeds=0, sub_send=False) if before else Mix("")
        name = before.name if before is not None and same else listed(listeners)
        return replace(start, name=name, listeners=listeners, through=through, stereo=stereo, boxes=boxes)


def _heard(mix: Mix) -> str:
    own = max(1, mix.boxes - len(mix.listeners) + 1) if mix.through == "wedge" else 1
    if mix.fed_by != "bus":
        return f"{mix.fed_by}, as asked"
    words = (word for word, what in HEARD.items() if what == (mix.through, mix.is_stereo, own))
    return next(words, f"{mix_told(mix)}, as asked")


def _owns(way: str) -> bool:
    return way != NOTHING and not way.startswith("with ")


LEFT_OUT = "left out"
PICKED: dict[str, tuple[str, bool, int]] = {  # by, stereo, how many
    "one microphone": ("mic", False, 1),
    "two microphones": ("mic", False, 2),
    "three microphones": ("mic", False, 3),
    "four microphones": ("mic", False, 4),
    "a stereo pair": ("mic", True, 1),
    "one DI box": ("DI", False, 1),
    "two DI boxes": ("DI", True, 1),
    "a mono line": ("line", False, 1),
    "a stereo line": ("line", True, 1),
}


class PickedUp(Choices):
    """What is picked up, and how.

    A source, with its player before it where two have the same name, is moved to ``"one microphone"`` up to
    ``"four microphones"``, ``"a stereo pair"``, ``"one DI box"``, ``"two DI boxes"``, ``"a mono line"``,
    ``"a stereo line"`` or ``"left out"``.

    Examples
    --------
    >>> from gigsums import load_desk, load_gig
    >>> stage = PickedUp(load_gig("lantern_night"), load_desk("desk_d"))
    >>> stage.choices["Keys"]
    'two DI boxes'
    """

    question = "what is picked up, and how?"
    caption = "what the sources take of it"
    caution = "A plan, not a patch: a line is muted before it is plugged, and phantom is switched with the channel muted."
    shown = ("preamps", "line inputs", "stereo inputs", "strips")

    def _choices(self) -> dict[str, str]:
        self._paths = dict(_named(self.asked))
        sources = dict(self.asked.sources)
        return {name: _picked_up(sources[path]) for name, path in self._paths.items()}

    @property
    def headline(self) -> tuple[int, str]:
        """The lines in the input list."""
        lines = sum(row.count for row in self.takes)
        return lines, "line in the input list" if lines == 1 else "lines in the input list"

    @property
    def takes(self) -> tuple[Need, ...]:
        """How many of them are of each kind."""
        counted = needs(self.gig)
        return tuple(
            counted.row(key)
            for key in ("microphone-level inputs", "mono line inputs", "stereo line channels")
        )

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers that are short come from; those of the first ledger where none is."""
        rows = [row for row in self.rows if state_in_words(row) == "short"] or self.rows[:1]
        return tuple(reason.text() for row in rows for reason in row.reasons if reason.terms)

    def _options(self, name: str) -> tuple[str, ...]:
        ways = (LEFT_OUT, *PICKED)
        return ways if self._asked[name] in ways else (*ways, self._asked[name])

    def _made(self) -> Gig:
        moved = {
            path: self._chosen[name]
            for name, path in self._paths.items()
            if self._chosen[name] != self._asked[name]
        }

        def now(prefix: str, sources: tuple[Any, ...]) -> tuple[Any, ...]:
            ways = [(source, moved.get(prefix + source.name)) for source in sources]
            return tuple(_picked(source, way) if way else source for source, way in ways if way != LEFT_OUT)

        performers = tuple(
            replace(p, sources=now(f"performer.{p.name}.sources.", p.sources)) for p in self.asked.performers
        )
        return replace(self.asked, performers=performers, lines=now("line.", self.asked.lines))


def _named(gig: Gig) -> Iterator[tuple[str, str]]:
    """What each source is called here, and its key path: the player's name before it where two are called alike."""
    names = [source.name.casefold() for _, source in gig.sources]
    for path, source in gig.sources:
        alone = names.count(source.name.casefold()) == 1 and source.name.casefold() != DESK
        yield source.name if alone else f"{path.split('.')[1]}: {source.name}", path


def _picked_up(source: Source) -> str:
    if source.level is not None or source.radio:
        return "as asked"
    how = (source.by, source.stereo, source.count)
    return next((word for word, what in PICKED.items() if what == how), "as asked")


def _picked(source: Any, way: str) -> Any:
    by, stereo, count = PICKED[way]
    phantom = source.phantom if by == source.by else "indifferent"
    plain: dict[str, Any] = {"level": None, "radio": False, "frequency_mhz": None}
    return replace(source, by=by, stereo=stereo, count=count, phantom=phantom, **plain)
