"""The sizing panel as a page beside the quick calculators: its parts, and a line on which each page sizes."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from tornado.websocket import WebSocketHandler

from ..quick_page import _Guarded
from ..scripts import SIZING_PANEL, joined
from .panel import SizingPanel
from .sheet import Sheet

_HERE = files(__package__)
_TEMPLATES = files("gigsums.views") / "templates"
_SENT = ("about", "still", "state")
NAME = "size.html"


def parts() -> dict[str, bytes]:
    """What the page asks for besides what the calculators' page has.

    Returns
    -------
    dict of str to bytes
    """
    return {
        "sizing_panel.js": joined(SIZING_PANEL).encode(),
        "sizing_panel.css": (_HERE / "panel.css").read_bytes(),
        "size.js": (_TEMPLATES / "size.js").read_bytes(),
    }


class SizingPage(_Guarded):
    """The page itself."""

    def get(self, token: str) -> None:
        """Answer with the page."""
        base = f"/{token}/" if token else "/"
        self.finish(self.settings["loader"].load(NAME).generate(base=base))


class SizingLine(_Guarded, WebSocketHandler):
    """One open page. Its gig lives as long as the line; only on this computer itself may it touch files."""

    panel: SizingPanel | None = None

    def open(self, _: str) -> None:
        """Begin with a new gig."""
        self.set_nodelay(True)
        self.panel = SizingPanel(Sheet(), self.settings["folder"])
        self.panel.observe(self._note, list(_SENT))
        self._news = {name: getattr(self.panel, name) for name in _SENT}
        self.settings["open_pages"].add(self)

    def _note(self, change: Any) -> None:
        self._news[change["name"]] = change["new"]

    def on_message(self, message: str | bytes) -> None:
        """Do what the page asks, and send what is new."""
        try:
            asked = json.loads(message)
            if not isinstance(asked, dict) or (asked and not isinstance(asked.get("by"), str)):
                raise ValueError("not what a page asks")
        except (ValueError, RecursionError):
            self.close(1007, "that is not what the page sends")
            return
        if asked and self.panel:
            self.panel.asked = asked
        if self._news:
            self.write_message(json.dumps(self._news))
            self._news = {}

    def on_close(self) -> None:
        """Forget the gig."""
        self.settings["open_pages"].discard(self)
        if self.panel:
            self.panel.unobserve_all()
            self.panel.layout.close()
            self.panel.close()
            self.panel = None
