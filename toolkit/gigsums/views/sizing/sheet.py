"""A gig being put together and sized: edits of its file, undone and redone, opened and saved. No widgets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile, bundled, load_desk, read_gig, write_whole
from gigsums.gig.explain import called, found, named
from gigsums.gig.files import KINDS, guarded, kind_of, read_text
from gigsums.sizing import Fit, fit

from .fields import Trouble, group_of, item_at, value_of
from .text import Place, value_at, with_entry, with_value, without
from .words import table_label

NEW = 'format = 1\n\n[gig]\nname = "New gig"\n'
SECONDS = 5.0  # a hand does not wait longer; what is not proven by then says so


class CannotSave(ValueError):
    """A file was not written; the message says why and what to do. `asked` may be done if a person says so."""

    def __init__(self, said: str, asked: bool = False) -> None:
        super().__init__(said)
        self.asked = asked


@dataclass
class GigFile:
    """Where a text comes from: its path, what is known to stand there, and the text without changes."""

    base: str
    path: Path | None = None
    known: str = ""
    mark: str = ""

    @property
    def changed_on_disk(self) -> bool:
        """Whether somebody else has changed it since it was opened or saved."""
        if self.path is None or not self.path.exists():
            return False
        try:
            return read_text(self.path, "gigs")[1] != self.known
        except BadFile:
            return True

    def save(self, text: str, path: str | Path | None, *, replace: bool) -> Path:
        """Write a text, here or to another path, which is then its own.

        Parameters
        ----------
        text : str
            What to write.
        path : str or Path or None
            Where to; where it came from if None.
        replace : bool
            Whether a file that stands there, or that somebody has changed since, may be replaced.

        Returns
        -------
        Path
            The file.

        Raises
        ------
        CannotSave
            If there is no file yet, a file stands there, it has changed since, or a gig that can be read would be
            lost to a text that cannot; then nothing is written.
        BadFile
            If it cannot be written, or does not read back as what was meant; then what stood there still does.
        """
        target = Path(path) if path is not None else self.path
        if target is None:
            raise CannotSave("This gig has no file yet. Say what it is to be called.")
        target = target.expanduser().resolve()
        own = self.path is not None and target == self.path
        if target.exists() and not own and not replace:
            raise CannotSave(
                f"{target.name} is there already, and was left as it is. Choose another name, or open it first."
            )
        if own and self.changed_on_disk and not replace:
            raise CannotSave(
                f"{target.name} has been changed on disk since it was opened, and was left as it is. "
                "Save under another name, open it again, or replace it.",
                asked=True,
            )
        if own and not replace and target.exists() and not _reads(text) and _reads(self.known):
            raise CannotSave(
                f"{target.name} can be read as it stands there, and this text cannot: the file was left as it was. "
                "Mend the text, save under another name, or replace it.",
                asked=True,
            )

        def check(written: Path) -> None:
            if open_file(written).known != text:
                raise BadFile(target.name, "", "what was written does not read back as it is here.")

        write_whole(target, self.mark + text, replace=target.exists(), check=check)
        self.path, self.known, self.base = target, text, text
        return target


def _reads(text: str) -> bool:
    try:
        return bool(guarded(text, ""))
    except BadFile:
        return False


def open_file(gig: str | Path) -> GigFile:
    """A gig file, whatever it says of the gig.

    Parameters
    ----------
    gig : str or Path
        The file, or the name of a bundled gig, which is then a copy without a file.

    Returns
    -------
    GigFile

    Raises
    ------
    BadFile
        If it is missing, too large, not UTF-8, or no gig.
    """
    path = Path(gig).expanduser()
    file, text = read_text(path if path.exists() else gig, "gigs")
    kind = kind_of(text)
    if kind != "gig":
        raise BadFile(
            file, "", f"this file describes {KINDS[kind]}, and a gig is wanted." if kind else "this is no gig: there is no [gig] in it.",
            "Open a gig file, or begin a new gig.",
        )  # fmt: skip
    if not path.exists() and str(gig) in bundled("gigs"):
        return GigFile(text)
    path = path.resolve()
    mark = "\ufeff" if path.read_bytes().startswith(b"\xef\xbb\xbf") else ""
    return GigFile(text, path, text, mark)


@dataclass(frozen=True)
class _State:
    file: GigFile
    text: str


class Sheet:
    """A gig and a desk, counted again after each edit.

    Places in the gig are key paths as its messages have them: ``"performer.Ada.sources.Kick.by"``, ``"mix.Ada"``.

    Parameters
    ----------
    gig : str or Path, optional
        A gig file, or the name of a bundled gig, which is then a copy without a file; nothing yet if left out.
    desk : str or Path
        A desk file, or the name of a bundled desk.

    Attributes
    ----------
    desk : Desk
        The desk in use.
    fit : Fit or None
        The last good answer; None before there was any.
    trouble : Trouble or None
        Why the gig as it stands cannot be counted.
    watchers : list of callable
        Called after each edit, opening, saving and change of desk.

    Raises
    ------
    BadFile
        If a file cannot be read.

    Examples
    --------
    >>> sheet = Sheet(desk="desk_c")
    >>> sheet.add("performer", name="Ada", plays="drums")
    'performer.Ada'
    >>> sheet.add("performer.Ada.sources", name="Overheads", by="mic", stereo=True)
    'performer.Ada.sources.Overheads'
    >>> sheet.fit.ledger("preamps").need
    2
    """

    def __init__(self, gig: str | Path | None = None, desk: str | Path = "desk_a") -> None:
        self.desk = load_desk(desk)
        self.fit: Fit | None = None
        self.trouble: Trouble | None = None
        self._done: list[_State] = []
        self._undone: list[_State] = []
        self.watchers: list[Callable[[], None]] = []
        self._answers: dict[str, tuple[Trouble | None, Fit | None]] = {}  # on the desk in use
        self._now = _opened(gig)
        self._count()

    def __repr__(self) -> str:
        return f"Sheet({self.name!r})"

    @property
    def text(self) -> str:
        """The gig as its file says it."""
        return self._now.text

    @property
    def table(self) -> dict[str, Any]:
        """The same as plain values; empty where the text is not TOML."""
        try:
            return guarded(self.text, "")
        except BadFile:
            return {}

    @property
    def name(self) -> str:
        """What the gig is called."""
        return (
            evening if (evening := called(self.table.get("gig"), 0)) != "number 1" else "a gig without a name"
        )

    @property
    def path(self) -> Path | None:
        """The file it was opened from or saved to; None where there is none yet."""
        return self._now.file.path

    @property
    def unsaved(self) -> bool:
        """Whether there are changes that stand in no file."""
        return self.text != self._now.file.base

    @property
    def old(self) -> bool:
        """Whether the answer is older than the gig as it stands."""
        return self.trouble is not None

    @property
    def changed_on_disk(self) -> bool:
        """Whether somebody else has changed the file since it was opened or saved."""
        return self._now.file.changed_on_disk

    @property
    def line(self) -> str:
        """The answer as one line; one that is old says so, with what is wrong."""
        if self.fit is None:
            return f"nothing is counted yet ({self.trouble})"
        said = f"{self.fit.gig.name} on {self.fit.desk.name}: {self.fit.in_words}"
        short = [row for row in self.fit.ledgers if row.state == "short" and row.blocks]
        full = sorted(
            (row for row in self.fit.ledgers if row.need and row.have), key=lambda row: -row.need / row.have
        )
        counts = ", ".join(
            f"{table_label(row, self.fit.ledgers)} {row.need:g} of {row.have:g}" for row in short or full[:3]
        )
        said += f"; {'as asked short of' if short else 'fullest'}: {counts}" if counts else ""
        return f"old answer: {said} ({self.trouble})" if self.old else said

    def add(self, where: str | Place, **values: Any) -> str:
        """Add an entry at the end of a list.

        Parameters
        ----------
        where : str or sequence
            The list: ``"performer"``, ``"line"``, ``"mix"``, ``"effect"``, ``"zone"``, ``"feed"``,
            ``"performer.Ada.sources"``, ``"crew.people"`` or ``"venue.circuits"``.
        **values
            Its keys, as the file has them; ``for`` is written ``for_``, ``from`` is written ``from_``.

        Returns
        -------
        str
            The key path of the new entry.

        Raises
        ------
        ValueError
            If there is no such list, or the text is not TOML; then nothing has changed.
        """
        path = self.find(where)
        group = group_of(path)
        items = {item.key: item for item in group.items}
        said = {key.removesuffix("_"): value for key, value in values.items()}
        said = {key: value_of(items[key], value) if key in items else value for key, value in said.items()}
        first = {"name": said["name"]} if "name" in said else {}
        self._edit(with_entry(self.text, path, {**first, **group.start, **said}))
        return named(self.table, (*path, len(value_at(self.text, path)) - 1))

    def change(self, where: str | Place, value: Any) -> str:
        """Put a value at a key; text is read as a person types it, and kept as typed where it cannot be.

        Parameters
        ----------
        where : str or sequence
            The key: ``"performer.Ada.sources.Kick.stereo"``, ``"gig.doors"``, ``"talkback"``.
        value : object
            The value, or what is typed; None or an empty text takes the key away.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such place, or the text is not TOML; then nothing has changed.
        """
        path = self.find(where)
        self._edit(with_value(self.text, path, value_of(item_at(path), value)))
        return self.line

    def remove(self, where: str | Place) -> str:
        """Take an entry out of its list, with the notes right under it.

        Parameters
        ----------
        where : str or sequence
            The entry: ``"performer.Ada"``, ``"performer.Ada.sources.Kick"``, ``"mix.Ada"``.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such entry, or the text is not TOML; then nothing has changed.
        """
        path = self.find(where)
        if not isinstance(path[-1], int):
            raise ValueError(
                f"{named(self.table, path)} is no entry of a list; change it to None to take a key away"
            )
        self._edit(without(self.text, path))
        return self.line

    def write(self, text: str) -> str:
        """Put another text in place of the whole file, as a text editor would.

        Parameters
        ----------
        text : str
            What the file is to say.

        Returns
        -------
        str
            The answer.
        """
        self._edit(text)
        return self.line

    def undo(self) -> str:
        """Go back before the last edit or opening.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is nothing to undo.
        """
        return self._step(self._done, self._undone, "undo")

    def redo(self) -> str:
        """Do again what was undone.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is nothing to do again.
        """
        return self._step(self._undone, self._done, "do again")

    @property
    def steps(self) -> tuple[int, int]:
        """How many edits and openings can be undone, and how many done again."""
        return len(self._done), len(self._undone)

    def use(self, desk: str | Path) -> str:
        """Try the gig on another desk.

        Parameters
        ----------
        desk : str or Path
            A desk file, or the name of a bundled desk.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        BadFile
            If the file cannot be read; then the desk stays.
        """
        self.desk = load_desk(desk)
        self._answers.clear()
        self._count()
        return self.line

    def open(self, gig: str | Path | None = None) -> str:
        """Open a gig file, or begin with nothing; what was there comes back by `undo`.

        Parameters
        ----------
        gig : str or Path, optional
            The file, or the name of a bundled gig, which is then a copy without a file; a new gig if left out.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        BadFile
            If it is missing, too large, not UTF-8 or no gig; then nothing has changed.
        """
        self._go(_opened(gig))
        return self.line

    def save(self, path: str | Path | None = None, *, replace: bool = False) -> Path:
        """Write the gig to a file, whole or not at all.

        Parameters
        ----------
        path : str or Path, optional
            Where to; the file it was opened from or saved to if left out.
        replace : bool
            Whether a file that stands there, or that somebody has changed since, may be replaced.

        Returns
        -------
        Path
            The file.

        Raises
        ------
        CannotSave
            If there is no file yet, a file stands there, it has changed since, or a gig that can be read would be
            lost to a text that cannot; then nothing is written.
        BadFile
            If it cannot be written, or does not read back as what was meant; then what stood there still does.
        """
        saved = self._now.file.save(self.text, path, replace=replace)
        self._tell()
        return saved

    def find(self, where: str | Place) -> Place:
        """A place in the gig as keys and places counted from 0.

        Parameters
        ----------
        where : str or sequence
            A key path with names, or such keys and places already.

        Returns
        -------
        tuple of str or int

        Raises
        ------
        ValueError
            If there is no such entry; the message lists those there are.
        """
        return found(self.table, where) if isinstance(where, str) else tuple(where)

    def _edit(self, text: str) -> None:
        if text != self.text:
            self._go(_State(self._now.file, text))

    def _go(self, state: _State) -> None:
        self._done.append(self._now)
        self._undone.clear()
        self._now = state
        self._count()

    def _step(self, out: list[_State], into: list[_State], verb: str) -> str:
        if not out:
            raise ValueError(f"there is nothing to {verb}")
        into.append(self._now)
        self._now = out.pop()
        self._count()
        return self.line

    def _count(self) -> None:
        """Read the text and count, once for each text; where it says something wrong, the last good answer stays."""
        if self.text not in self._answers:
            self._answers[self.text] = self._answer()
        self.trouble, counted = self._answers[self.text]
        self.fit = counted or self.fit
        self._tell()

    def _tell(self) -> None:
        for watcher in self.watchers:
            watcher()

    def _answer(self) -> tuple[Trouble | None, Fit | None]:
        try:
            gig = read_gig(self.text)
        except BadFile as fault:
            where = fault.key or (f"line {fault.line}" if fault.line else "")
            return Trouble(where, " ".join(filter(None, (fault.problem, fault.advice)))), None
        return None, fit(gig, self.desk, seconds=SECONDS)


def _opened(gig: str | Path | None) -> _State:
    file = GigFile(NEW) if gig is None else open_file(gig)
    return _State(file, file.base)
