"""What is picked up at a gig, to move about: by how many microphones, DI boxes or lines. Plain values, no widgets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from gigsums.gig import Desk, Gig, Source
from gigsums.sizing import Need, needs

from .moved import DESK, MovedGig, state_in_words

if TYPE_CHECKING:
    from .line_up_panel import LineUpPanel

LEFT_OUT = "left out"
WAYS: dict[str, tuple[str, bool, int]] = {  # by, stereo, how many
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
TAKES = ("microphone-level inputs", "mono line inputs", "stereo line channels")
CAUTION = "A plan, not a patch: a line is muted before it is plugged, and phantom is switched with the channel muted."


class PickedUp(MovedGig):
    """A gig whose sources can be moved, counted again on a desk after each move.

    A source, with its player before it where two have the same name, is moved to ``"one microphone"`` up to
    ``"four microphones"``, ``"a stereo pair"``, ``"one DI box"``, ``"two DI boxes"``, ``"a mono line"``,
    ``"a stereo line"`` or ``"left out"``.

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

    Raises
    ------
    ValueError
        If no desk is given, or two have the same name.

    Examples
    --------
    >>> from gigsums.gig import load_desk, load_gig
    >>> stage = PickedUp(load_gig("lantern_night"), load_desk("desk_d"))
    >>> stage.choices["Keys"]
    'two DI boxes'
    """

    question = "what is picked up, and how?"
    caption = "what the sources take of it"
    caution = CAUTION
    shown = ("preamps", "line inputs", "stereo inputs", "strips")

    def _choices(self) -> dict[str, str]:
        self._paths = dict(_named(self.asked))
        sources = dict(self.asked.sources)
        return {name: _way(sources[path]) for name, path in self._paths.items()}

    @property
    def headline(self) -> tuple[int, str]:
        """The first count, and what is counted."""
        lines = sum(row.count for row in self.takes)
        return lines, "line in the input list" if lines == 1 else "lines in the input list"

    @property
    def takes(self) -> tuple[Need, ...]:
        """The counts beside it: how many of them are of each kind."""
        counted = needs(self._gig)
        return tuple(counted.row(key) for key in TAKES)

    @property
    def why(self) -> tuple[str, ...]:
        """Where the numbers that are short come from; all of them where none is."""
        short = [row for row in self.rows if state_in_words(row) == "short"]
        return tuple(
            reason.text() for row in short or self.rows[:1] for reason in row.reasons if reason.terms
        )

    def _options(self, name: str) -> tuple[str, ...]:
        ways = (LEFT_OUT, *WAYS)
        return ways if self._asked[name] in ways else (*ways, self._asked[name])

    def _made(self) -> Gig:
        chosen = {path: self._chosen[name] for name, path in self._paths.items()}
        asked = {path: self._asked[name] for name, path in self._paths.items()}

        def moved(prefix: str, sources: tuple[Any, ...]) -> tuple[Any, ...]:
            ways = [(source, prefix + source.name) for source in sources]
            return tuple(
                source if chosen[path] == asked[path] else _picked(source, chosen[path])
                for source, path in ways
                if chosen[path] != LEFT_OUT
            )

        performers = tuple(
            replace(p, sources=moved(f"performer.{p.name}.sources.", p.sources))
            for p in self.asked.performers
        )
        return replace(self.asked, performers=performers, lines=moved("line.", self.asked.lines))


def picked_up(gig: Gig, *desks: Desk) -> LineUpPanel:
    """A panel that moves how each source of a gig is picked up, and counts again what it asks of a desk.

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
    >>> panel = picked_up(load_gig("lantern_night"), load_desk("desk_d"))
    >>> panel.move("Keys", "one DI box").startswith("Desk D: 19 lines in the input list take preamps (stage) 15 of 24")
    True
    """
    from .line_up_panel import LineUpPanel

    return LineUpPanel(PickedUp(gig, *desks))


def _named(gig: Gig) -> Iterator[tuple[str, str]]:
    """What each source is called here, and its key path: the player's name before it where two are called alike."""
    names = [source.name.casefold() for _, source in gig.sources]
    for path, source in gig.sources:
        alone = names.count(source.name.casefold()) == 1 and source.name.casefold() != DESK
        yield source.name if alone else f"{path.split('.')[1]}: {source.name}", path


def _way(source: Source) -> str:
    for word, what in WAYS.items():
        if what == (source.by, source.stereo, source.count) and source.level is None and not source.radio:
            return word
    return "as asked"


def _picked(source: Any, way: str) -> Any:
    by, stereo, count = WAYS[way]
    phantom = source.phantom if by == source.by else "indifferent"
    return replace(
        source,
        by=by,
        stereo=stereo,
        count=count,
        level=None,
        radio=False,
        frequency_mhz=None,
        phantom=phantom,
    )
