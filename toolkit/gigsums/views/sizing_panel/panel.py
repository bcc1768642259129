"""The panel that puts a gig together, or opens one, and shows how far a desk carries it."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from gigsums.figures import PICTURES
from gigsums.figures.vector import VectorPicture
from gigsums.gig import bundled, load_desk

from .. import scripts
from .file import CannotSave
from .sheet import Sheet
from .text import Place
from .words import answer, described, filled, names

_HERE = files(__package__)
_SHARED = files("gigsums.views")
LONGEST = 200  # letters of a name, as in the file
_LONGEST_FILE = (
    200  # bytes of a file's name: systems take 255, and what is written beside it has a longer one
)
_NAME = re.compile(r'[^\x00-\x1f<>:"|?*]+')  # what every system takes
CAUTION = (
    "A plan, not a promise: levels, minutes and loads are confirmed on site; mains, lifting and anything overhead "
    "belong to competent people and local rules."
)


class SizingPanel(anywidget.AnyWidget):
    """A gig on the screen, with the ledgers of a desk that fill as it grows.

    Parameters
    ----------
    sheet : Sheet
        What is shown and edited.
    folder : Path or None
        The folder whose gig files a hand on the panel may open and save; None keeps it away from files.

    Attributes
    ----------
    sheet : Sheet
        The same; what a cell does with it is shown at once.
    """

    _esm = scripts.joined(scripts.SIZING_PANEL)
    _css = "".join(each.read_text(encoding="utf-8") for each in (_SHARED / "view.css", _HERE / "panel.css"))
    about = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    still = traitlets.Unicode().tag(sync=True)  # the layer of the picture that seldom changes
    asked = traitlets.Dict().tag(sync=True)

    def __init__(self, sheet: Sheet, folder: Path | None) -> None:
        self.sheet = sheet
        self.folder = folder.resolve() if folder else None
        self._desk = next((key for key, name in _bundled_desks().items() if name == sheet.desk.name), "own")
        self._picture: VectorPicture | None = None
        self._light = False
        self._shape = 0
        self._told_of: Path | None = None
        super().__init__(about={**described(), "caution": CAUTION, "folder": str(self.folder or "")})
        self._busy = False
        self._moved()
        sheet.watchers.append(self._moved)
        self.observe(self._asked, "asked")

    def __repr__(self) -> str:
        return f"SizingPanel({self.sheet.name!r})"

    @property
    def line(self) -> str:
        """The answer as one line."""
        return self.sheet.line

    def _moved(self) -> None:
        """Show the sheet as it stands, after a cell or another panel has edited it."""
        if not self._busy:
            self._shape += 1
            self._publish({})

    def _asked(self, change: Any) -> None:
        """A hand has done something. What cannot be done is said, and nothing changes."""
        asked = change["new"]
        self._light = bool(asked.get("light"))
        told: dict[str, Any] = {"by": str(asked.get("by", ""))}
        does: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
            "change": self._change, "add": self._add, "remove": self._remove, "undo": self._undo, "redo": self._redo,
            "desk": self._use, "open": self._open, "save": self._save, "write": self._write,
        }  # fmt: skip
        do = does.get(str(asked.get("do")))
        self._busy = True
        try:
            if do:
                told |= do(asked)
        except CannotSave as refused:
            told |= {"wrong": str(refused), "ask": str(asked.get("name", "")) if refused.asked else None}
        except (ValueError, KeyError, IndexError, TypeError) as refused:
            told |= {
                "wrong": str(refused) if isinstance(refused, ValueError) else "That cannot be done here."
            }
        self._publish(told)

    def _change(self, asked: dict[str, Any]) -> dict[str, Any]:
        self.sheet.change(_place(asked), asked["to"])
        return {}

    def _add(self, asked: dict[str, Any]) -> dict[str, Any]:
        path = _place(asked)
        values = {"name": str(asked["name"]).strip()[:LONGEST]} if "name" in asked else {}
        if path == ("mix",) and values.get("name") in names(self.sheet.table)["people"]:
            values["for"] = values["name"]
        named = self.sheet.add(path, **values)
        return {"added": list(self.sheet.find(named))}

    def _remove(self, asked: dict[str, Any]) -> dict[str, Any]:
        if asked.get("shape") != self._shape:
            return {"wrong": "The gig has changed meanwhile. Look again before taking something out."}
        self.sheet.remove(_place(asked))
        self._shape += 1
        return {}

    def _undo(self, _: dict[str, Any]) -> dict[str, Any]:
        self._shape += 1
        self.sheet.undo()
        return {}

    def _redo(self, _: dict[str, Any]) -> dict[str, Any]:
        self._shape += 1
        self.sheet.redo()
        return {}

    def _use(self, asked: dict[str, Any]) -> dict[str, Any]:
        name = str(asked["name"])
        self.sheet.use(name if name in _bundled_desks() else self._allowed(name))
        self._desk = name
        return {"note": f"Counted on {self.sheet.desk.name}."}

    def _open(self, asked: dict[str, Any]) -> dict[str, Any]:
        name = str(asked["name"])
        self.sheet.open(None if not name else name if name in bundled("gigs") else self._allowed(name))
        self._shape += 1
        self._told_of = None
        return {"note": f"Opened {name}." if name else "A new gig."}

    def _save(self, asked: dict[str, Any]) -> dict[str, Any]:
        name = str(asked.get("name", "")).strip()
        path = self._allowed(name) if name or self.folder is None else self.sheet.path
        # only over the file it opened, and only once a hand has been told that somebody has changed it since
        replace = bool(asked.get("replace")) and path is not None and path == self._told_of == self.sheet.path
        self._told_of = None
        try:
            saved = self.sheet.save(path, replace=replace)
        except CannotSave as refused:
            self._told_of = path if refused.asked else None
            raise
        fault = " As it stands it cannot be counted." if self.sheet.trouble else ""
        return {"note": f"Saved as {saved.name} in {saved.parent}.{fault}"}

    def _write(self, asked: dict[str, Any]) -> dict[str, Any]:
        self._shape += 1
        self.sheet.write(str(asked["text"]))
        return {}

    def _allowed(self, name: str) -> Path:
        """A file of the folder; a hand on the panel reaches no other."""
        if self.folder is None:
            raise ValueError("Here no files of this computer are opened or saved. Copy the text instead.")
        named = name if _NAME.fullmatch(name) else "?"
        path = Path(named if Path(named).suffix else f"{named}.toml")
        full = (self.folder / path).resolve()
        unfit = full.name.startswith(".") or len(os.fsencode(full.name)) > _LONGEST_FILE
        if named != name or unfit or full.suffix != ".toml" or not full.is_relative_to(self.folder):
            shown = name if len(name) <= 60 else f"{name[:59]}…"
            raise ValueError(
                f"{shown!r} is no TOML file of the folder {self.folder}. Type a name such as my_gig."
            )
        return full

    def _publish(self, told: dict[str, Any]) -> None:
        sheet = self.sheet
        told = {"wrong": "", "ask": None, "note": "", "added": None, "by": ""} | told
        with self.hold_sync():
            drawn = self._drawn()
            self.still = drawn.still if drawn else ""
            self.state = told | {
                "shape": self._shape,
                "title": sheet.name,
                "file": sheet.path.name if sheet.path else "",
                "unsaved": sheet.unsaved,
                "changed": sheet.changed_on_disk,
                "steps": list(sheet.steps),
                "old": sheet.old,
                "trouble": str(sheet.trouble or ""),
                "said": sheet.line,
                "light": self._light,
                "words": drawn.words if drawn else "",
                "size": drawn.size if drawn else (),
                "moved": drawn.moved if drawn else "",
                "text": sheet.text,
                "names": names(sheet.table),
                "desk": self._desk,
                "desk_name": sheet.desk.name,
                "desks": [list(each) for each in _bundled_desks().items()],
                "gigs": list(bundled("gigs")),
                "files": self._files(),
                **answer(sheet),
                **filled(sheet),
            }

    def _files(self) -> list[str]:
        return sorted(each.name for each in self.folder.glob("*.toml"))[:200] if self.folder else []

    def _drawn(self) -> VectorPicture | None:
        if self.sheet.fit is None:
            return None
        if self._picture is None or self._picture.light != self._light:
            self._picture = VectorPicture(PICTURES["bus pairs"], self._light)
        self._picture.update({"fit": self.sheet.fit})
        return self._picture


def _place(asked: dict[str, Any]) -> Place:
    path = tuple(asked["path"])
    if not path or not all(isinstance(part, str | int) and not isinstance(part, bool) for part in path):
        raise ValueError("that is no place in a gig")
    return path


@cache
def _bundled_desks() -> dict[str, str]:
    """The desks that come with the workbook: what each is called, by its key."""
    return {key: load_desk(key).name for key in bundled("desks")}
