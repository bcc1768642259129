"""The scripts of the views. A widget is one file, so the parts of a view are joined, what all share first."""

from __future__ import annotations

from importlib.resources import files

_HERE = files(__package__)
_SHARED = "shared.js"
CALCULATOR = ("parts.js", "view.js")
LINE_UP = ("line_up.js",)
SIZING_PANEL = (
    "sizing_panel/fields.js",
    "sizing_panel/lists.js",
    "sizing_panel/ledgers.js",
    "sizing_panel/panel.js",
)


def joined(parts: tuple[str, ...]) -> str:
    """A view as one module.

    Parameters
    ----------
    parts : tuple of str
        Its files in this room, in their order; the last one exports it.

    Returns
    -------
    str
        The module.
    """
    return "\n".join(
        _HERE.joinpath(*part.split("/")).read_text(encoding="utf-8") for part in (_SHARED, *parts)
    )
