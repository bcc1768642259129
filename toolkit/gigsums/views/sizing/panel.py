"""The panel that puts a gig together, or opens one, and shows how far a desk carries it."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from gigsums.figures import PICTURES
from gigsums.figures.picture import VectorPicture
from gigsums.gig import BadFile, Gig, bundled, load_desk
from gigsums.gig.explain import called
from gigsums.sizing import Change, Fit, Ledger, together

from ..scripts import SIZING, joined, style
from .choices import Choices
from .fields import KNOWN, LISTS, PEOPLE, PLACES, TABLES, TALKBACK, FileKey, FileTable, text_of
from .sheet import CannotSave, Sheet, open_file
from .text import Place
from .words import state_in_words, table_label

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

    _esm = joined(SIZING)
    _css = style("sizing/panel.css")
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
        super().__init__(about={**_described_all(), "caution": CAUTION, "folder": str(self.folder or "")})
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
        if path == ("mix",) and values.get("name") in _names(self.sheet.table)["people"]:
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
                "names": _names(sheet.table),
                "desk": self._desk,
                "desk_name": sheet.desk.name,
                "desks": [list(each) for each in _bundled_desks().items()],
                "gigs": list(bundled("gigs")),
                "files": self._files(),
                **answer(sheet),
                **_filled(sheet),
            }

    def _files(self) -> list[str]:
        every = sorted(self.folder.glob("*.toml")) if self.folder else []
        return [each.name for each in every if _is_gig(each)][:200]

    def _drawn(self) -> VectorPicture | None:
        if self.sheet.fit is None:
            return None
        if self._picture is None or self._picture.light != self._light:
            self._picture = VectorPicture(PICTURES["bus pairs"], self._light)
        self._picture.update({"fit": self.sheet.fit})
        return self._picture


def _is_gig(path: Path) -> bool:
    try:
        known = path.stat()
    except OSError:
        return False
    return _opens(path, known.st_mtime_ns, known.st_size)


@lru_cache(maxsize=1000)
def _opens(path: Path, *_: int) -> bool:
    """Whether a file opens as a gig, asked once for each time it is written."""
    try:
        open_file(path)
    except BadFile:
        return False
    return True


def _place(asked: dict[str, Any]) -> Place:
    path = tuple(asked["path"])
    if not path or not all(isinstance(part, str | int) and not isinstance(part, bool) for part in path):
        raise ValueError("that is no place in a gig")
    return path


@cache
def _bundled_desks() -> dict[str, str]:
    """The desks that come with the workbook: what each is called, by its key."""
    return {key: load_desk(key).name for key in bundled("desks")}


class ChoicesPanel(anywidget.AnyWidget):
    """The same on the screen with a few choices in place of the whole gig: what a lesson lets a hand move.

    Parameters
    ----------
    choices : Choices
        What is shown and moved.

    Attributes
    ----------
    choices : Choices
        The same.
    """

    _esm = joined(SIZING)
    _css = style("sizing/panel.css")
    about = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    asked = traitlets.Dict().tag(sync=True)

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        super().__init__(about={"choices": True, "caution": choices.caution})
        self._publish({})
        self.observe(self._asked, "asked")

    def __repr__(self) -> str:
        return repr(self.choices)

    @property
    def line_up(self) -> Choices:
        """The choices, as the last edition's notebooks call them. Gone with the next one."""
        return self.choices

    @property
    def gig(self) -> Gig:
        """The gig as it stands now."""
        return self.choices.gig

    @property
    def line(self) -> str:
        """The answer as a sentence or two."""
        return self.choices.line

    def move(self, what: str, to: str | int) -> str:
        """Move one thing and count again, as a hand on the panel would.

        Parameters
        ----------
        what : str
            One of what the choices' `fields` hold: a player or a source, ``"effects"``, ``"desk"``.
        to : str or int
            What it is moved to.

        Returns
        -------
        str
            The answer.

        Raises
        ------
        ValueError
            If there is no such thing to move, or it cannot be moved there; then nothing has changed.
        """
        line = self.choices.move(what, to)
        self._publish({})
        return line

    def back(self) -> str:
        """Put everything back as it was asked for; the desk in use stays. Returns the answer."""
        line = self.choices.back()
        self._publish({})
        return line

    def _asked(self, change: Any) -> None:
        """A hand has moved something; what cannot be moved there any more is said, and nothing changes."""
        asked = change["new"]
        told = {"by": str(asked.get("by", ""))}
        try:
            if asked.get("do") == "back":
                self.choices.back()
            elif asked.get("do") == "move":
                self.choices.move(asked.get("what", ""), asked.get("to", ""))
        except ValueError as refused:
            told["wrong"] = str(refused)
        self._publish(told)

    def _publish(self, told: dict[str, str]) -> None:
        it = self.choices
        number, unit = it.headline
        self.state = {"by": "", "wrong": ""} | told | {
            "title": f"{it.asked.name}: {it.question}",
            "number": number,
            "unit": unit,
            "takes": [[row.key, row.count] for row in it.takes],
            "said": it.line,
            "caption": f"{it.desk.name}: {it.caption}",
            "verdict": it.verdict,
            "fields": [[name, it.named.get(name, name), *field] for name, field in it.fields.items()],
            "ledgers": [_ledger(row, table_label(row, it.rows)) for row in it.rows],
            "why": list(it.why),
        }  # fmt: skip


# What the views are told: plain values, made from a sheet


def _described_all() -> dict[str, Any]:
    """What the view needs to know of lists, tables and their fields, once."""
    return {
        "lists": [_described(group) for group in LISTS.values()],
        "tables": [_described(group) for group in TABLES.values()],
        "talkback": _item(TALKBACK),
    }


def answer(sheet: Sheet) -> dict[str, Any]:
    """The last good answer in words: verdict, ledgers, changes, cares."""
    fit = sheet.fit
    if fit is None:
        return {
            "verdict": "Nothing counted yet",
            "because": "",
            "ledgers": [],
            "idle": "",
            "changes": [],
            "cares": [],
        }
    asked = [row for row in fit.ledgers if row.need or row.state == "short"]
    idle = [f"{row.label} {row.have:g}" for row in fit.ledgers if row not in asked and row.have]
    verdict = fit.in_words if fit.proven else f"{fit.in_words} (not proven: the solver ran out of time)"
    return {
        "verdict": f"{verdict[0].upper()}{verdict[1:]}",
        "because": _because(fit),
        "ledgers": [_ledger(row, table_label(row, fit.ledgers)) for row in asked],
        "idle": ", ".join(idle),
        "changes": [_change(change, said) for change, said in together(fit.changes)],
        "cares": [care.text() for care in fit.cares if care not in fit.barred],
    }


def _filled(sheet: Sheet) -> dict[str, Any]:
    """What stands in each field, and what is wrong beside it."""
    table = sheet.table
    wrong = (sheet.trouble.key, sheet.trouble.said) if sheet.trouble else ("", "")
    lists = {
        key: [
            _entry(group, each, f"{key}.{called(each, n)}", wrong)
            for n, each in enumerate(_many(table.get(key)))
        ]
        for key, group in LISTS.items()
    }
    tables = {key: _entry(group, _one(table.get(key)), key, wrong) for key, group in TABLES.items()}
    return {"lists": lists, "tables": tables, "talkback": text_of(TALKBACK, table.get(TALKBACK.key))}


def _names(table: Mapping[str, Any]) -> dict[str, list[str]]:
    """The names that other fields of the gig may point to."""
    of = {key: [str(each["name"]) for each in _many(table.get(key)) if each.get("name")] for key in LISTS}
    crew = [str(each["name"]) for each in _many(_one(table.get("crew")).get("people")) if each.get("name")]
    sources = [
        str(source["name"])
        for player in _many(table.get("performer"))
        for source in _many(player.get("sources"))
        if source.get("name")
    ]
    places = ["mains", *of["mix"], *of["performer"], *of["zone"], *of["feed"]]
    return {
        PEOPLE: list(dict.fromkeys([*of["performer"], *crew])),
        PLACES: list(dict.fromkeys(places)),
        KNOWN: list(dict.fromkeys([*of["performer"], *sources, *of["line"]])),
    }


def _because(fit: Fit) -> str:
    if fit.barred:
        said = "; ".join(reason.text() for reason in fit.barred)
        return f"{said[0].upper()}{said[1:]}."
    short = [row.label for row in fit.ledgers if row.state == "short" and row.blocks]
    return f"As asked it is short of {', '.join(short)}." if short else ""


def _ledger(row: Ledger, label: str) -> dict[str, Any]:
    whole = max(row.need, row.have) or 1
    left = f"{abs(row.margin):g}"
    state = state_in_words(row)
    words = {
        "short": f"short by {left}",
        "bring more": f"short by {left}: bring more",
        "no spare": f"{left} left of {row.spare_wanted:g} wanted: met without spare",
        "ok": f"{left} left: met",
    }[state]
    return {
        "label": label,
        "count": f"{row.need:g} of {row.have:g}",
        "words": words,
        "state": state,
        "need": row.need / whole,
        "have": row.have / whole,
        "spare": max(0.0, row.have - row.spare_wanted) / whole if row.spare_wanted else None,
        "why": [
            f"Need {row.need:g}, have {row.have:g}, spare wanted {row.spare_wanted:g}.",
            *(reason.text() for reason in row.reasons if reason.terms or reason.result),
        ],
    }


def _change(change: Change, text: str) -> str:
    points = "1 point" if change.points == 1 else f"{change.points} points"
    lost = f"; lost: {change.loses}" if change.loses else ""
    return f"{text[0].upper()}{text[1:]} ({points}{lost})"


def _described(group: FileTable) -> dict[str, Any]:
    return {
        "key": group.key,
        "title": group.title,
        "one": group.one,
        "items": [_item(item) for item in group.items],
        "named": any(item.key == "name" for item in group.items),
        "inner": _described(group.inner) if group.inner else None,
    }


def _item(item: FileKey) -> dict[str, Any]:
    usual = text_of(item, list(item.usual) if isinstance(item.usual, tuple) else item.usual)
    return {
        "key": item.key,
        "path": list(item.path),
        "label": f"{item.label} ({item.unit})" if item.unit else item.label,
        "kind": item.kind,
        "options": list(item.options),
        "usual": usual,
        "behind": item.behind,
    }


def _entry(group: FileTable, said: Mapping[str, Any], path: str, wrong: tuple[str, str]) -> dict[str, Any]:
    key, sentence = wrong
    errors = {}
    values = {}
    for n, item in enumerate(group.items):
        values[item.key] = text_of(item, _at(said, item.path))
        full = f"{path}.{item.key}"
        if key == full or key.startswith(f"{full}.") or (key == path and n == 0):
            errors[item.key] = sentence
    inner = group.inner
    parts = [] if inner is None else _many(said.get(inner.key))
    return {
        "values": values,
        "errors": errors,
        "wrong": bool(key) and (key == path or key.startswith(f"{path}.")),
        "title": str(said.get("name") or ""),
        "note": _note(group, said),
        "inner": [
            _entry(inner, each, f"{path}.{inner.key}.{called(each, n)}", wrong)
            for n, each in enumerate(parts)
            if inner
        ],
    }


def _note(group: FileTable, said: Mapping[str, Any]) -> str:
    """An entry in a few words, for when it is folded."""
    words = [str(said["name"])] if group.key in TABLES and said.get("name") else []
    for item in group.items:
        value = _at(said, item.path)
        if item.key == "through":
            words.append(str(value or item.usual))
        elif value not in (None, item.usual, []) and item.key not in ("name", "notes"):
            words += _said(item, value)
    if group.inner is not None:
        number = len(_many(said.get(group.inner.key)))
        plural = "people" if group.inner.one == "person" else f"{group.inner.one}s"
        words += (
            [f"{number} {group.inner.one if number == 1 else plural}"]
            if number or group.key == "performer"
            else []
        )
    return ", ".join(words)[:160]


def _said(item: FileKey, value: Any) -> list[str]:
    if item.kind == "yes":
        return [item.label.lower()] if value is True else []
    if item.kind == "maybe":
        return ["stereo" if value else "mono"]
    if item.kind == "names":
        listed = " and ".join(map(str, value)) if isinstance(value, list) else str(value)
        return [f"{_BEFORE[item.key]} {listed}"]
    if item.kind == "whole":
        return [f"{item.label.lower()} {value}"]
    if item.kind in ("number", "numbers"):
        return []
    if item.key == "phantom":
        return [f"48 V {value}"]
    if item.key == "keep":
        return [{"want": "wanted", "nice": "nice to have"}.get(str(value), str(value))]
    return [str(text_of(item, value))] if not item.behind or item.key in ("count", "level") else []


_BEFORE = {"for": "for", "heard_in": "heard in", "may": "agreed to", "without": "without"}


def _at(said: Any, path: tuple[str, ...]) -> Any:
    for part in path:
        said = said.get(part) if isinstance(said, Mapping) else None
    return said


def _many(said: Any) -> list[Mapping[str, Any]]:
    return [_one(each) for each in said] if isinstance(said, list) else []


def _one(said: Any) -> Mapping[str, Any]:
    return said if isinstance(said, Mapping) else {}
