"""The file behind a sheet: opened, saved whole or not at all, and never over somebody else's work unasked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from gigsums.gig import BadFile, bundled, write_whole
from gigsums.gig.files import read_text


class CannotSave(ValueError):
    """A file was not written; the message says why and what to do. `asked` may be done if a person says so."""

    def __init__(self, said: str, asked: bool = False) -> None:
        super().__init__(said)
        self.asked = asked


@dataclass
class File:
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
            If there is no file yet, a file stands there, or it has changed since; then nothing is written.
        BadFile
            If it cannot be written.
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
        write_whole(target, self.mark + text, replace=target.exists())
        self.path, self.known, self.base = target, text, text
        return target


def open_file(gig: str | Path) -> File:
    """A gig file, whatever it says.

    Parameters
    ----------
    gig : str or Path
        The file, or the name of a bundled gig, which is then a copy without a file.

    Returns
    -------
    File

    Raises
    ------
    BadFile
        If it is missing, too large or not UTF-8.
    """
    path = Path(gig).expanduser()
    _, text = read_text(path if path.exists() else gig, "gigs")
    if not path.exists() and str(gig) in bundled("gigs"):
        return File(text)
    path = path.resolve()
    mark = "\ufeff" if path.read_bytes().startswith(b"\xef\xbb\xbf") else ""
    return File(text, path, text, mark)
