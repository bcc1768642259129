"""The scripts and styles of the views. A widget is one file of each, so the parts are joined, what all share first."""

from __future__ import annotations

from importlib.resources import files

_HERE = files(__package__)
CALCULATOR = ("calculator/parts.js", "calculator/view.js")
SIZING = ("sizing/fields.js", "sizing/lists.js", "sizing/ledgers.js", "sizing/panel.js")


def read(part: str) -> str:
    """One file of this room."""
    return _HERE.joinpath(*part.split("/")).read_text(encoding="utf-8")


def joined(parts: tuple[str, ...]) -> str:
    """A view as one module; the last of its parts exports it."""
    return "\n".join(map(read, ("shared.js", *parts)))


def style(*parts: str) -> str:
    """The style of a view."""
    return "".join(map(read, ("shared.css", *parts)))
