"""What the served page answers: its parts, and a line for each open page on which it calculates or sizes."""

from __future__ import annotations

import hmac
import json
from pathlib import Path
from typing import Any, ClassVar

from tornado.template import DictLoader
from tornado.web import Application, RequestHandler
from tornado.websocket import WebSocketHandler

from ..calculator.panel import Panel
from ..scripts import CALCULATOR, SIZING, joined, read, style
from ..sizing.panel import SizingPanel
from ..sizing.sheet import Sheet

_MOST_STEPS = 1000  # of one field in one message: a finger on a key makes a few
_HEADERS = {
    # nothing is asked of any other machine, and nothing of this page may stand inside another
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Server": "gigsums",
}
_LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}
WRONG_TOKEN = "This address lacks its key or has a wrong one: use the one that gigsums quick printed, to its last letter."
ONLY_HERE = (
    "These calculators are for the computer that they run on: gigsums quick --network opens them to others."
)
NOT_HERE = "There is nothing at this address: the calculators are at the one that gigsums quick printed."


def application(token: str = "") -> Application:
    """The page and its line, for a web server to offer.

    Parameters
    ----------
    token : str, optional
        What the path has to begin with. Without one, only a browser on this computer is answered.

    Returns
    -------
    tornado.web.Application
        Offers the page at ``/`` or, with a token, at ``/TOKEN``.
    """
    parts = {"view.js": joined(CALCULATOR), "view.css": style()}
    parts |= {"sizing_panel.js": joined(SIZING), "sizing_panel.css": read("sizing/panel.css")}
    parts |= {name: read(f"page/{name}") for name in ("link.js", "quick.js", "size.js", "quick.css")}
    pages = {name: read(f"page/{name}") for name in ("quick.html", "size.html", "refused.html")}
    given = r"/([^/]*)" if token else "()"
    return Application(
        [
            (rf"{given}/talk", _CalculatorLine),
            (rf"{given}/size/talk", _SizingLine),
            (rf"{given}/(size)", _Page),
            (rf"{given}/({'|'.join(parts)})", _Part),
            (rf"{given}/?()", _Page),
        ],
        default_handler_class=_Nowhere,
        token=token,
        folder=None if token else Path.cwd(),  # whose gig files may be opened and saved
        parts=parts,
        loader=DictLoader(pages),
        open_pages=set(),
        websocket_ping_interval=20,
        websocket_ping_timeout=20,
        websocket_max_message_size=65536,
        log_function=lambda _: None,
    )


class _Guarded(RequestHandler):
    """Answers who has the token, or who is on this computer; everyone else is told why not."""

    def set_default_headers(self) -> None:
        for name, value in _HEADERS.items():
            self.set_header(name, value)

    def prepare(self) -> None:
        token = self.settings["token"]
        if token:
            named = self.path_args[0] if self.path_args else self.request.path.split("/")[1]
            if not hmac.compare_digest(named.encode(), token.encode()):
                self._refuse(403, WRONG_TOKEN)
        elif self.request.host.rpartition(":")[0] not in _LOOPBACK:
            self._refuse(403, ONLY_HERE)

    def _refuse(self, status: int, why: str) -> None:
        self.set_status(status)
        self.finish(self.settings["loader"].load("refused.html").generate(why=why))


class _Page(_Guarded):
    def get(self, token: str, name: str) -> None:
        base = f"/{token}/" if token else "/"
        self.finish(self.settings["loader"].load(f"{name or 'quick'}.html").generate(base=base))


class _Part(_Guarded):
    def get(self, _: str, name: str) -> None:
        self.set_header("Content-Type", "text/css" if name.endswith(".css") else "text/javascript")
        self.finish(self.settings["parts"][name])


class _Nowhere(_Guarded):
    def get(self) -> None:
        self._refuse(404, NOT_HERE)


class _Line(_Guarded, WebSocketHandler):
    """One open page. What it works on lives as long as the line."""

    sent: ClassVar[tuple[str, ...]]
    panel: Any = None

    def _panel(self) -> Any:
        """What the page works on, new."""
        raise NotImplementedError

    def _understood(self, asked: dict[str, Any]) -> bool:
        """Whether it has the form of what pages send."""
        raise NotImplementedError

    def open(self, _: str) -> None:
        self.set_nodelay(True)
        self.panel = self._panel()
        self.panel.observe(self._note, list(self.sent))
        self._news = {name: getattr(self.panel, name) for name in self.sent}
        self.settings["open_pages"].add(self)

    def _note(self, change: Any) -> None:
        self._news[change["name"]] = change["new"]

    def on_message(self, message: str | bytes) -> None:
        try:
            asked = json.loads(message)
            if not isinstance(asked, dict) or (asked and not self._understood(asked)):
                raise ValueError("not what a page asks")
            if asked and self.panel:
                self.panel.asked = asked
        except (ValueError, TypeError, AttributeError, RecursionError):
            self.close(1007, "that is not what the page sends")
            return
        if self._news:
            self.write_message(json.dumps(self._news))
            self._news = {}

    def on_close(self) -> None:
        self.settings["open_pages"].discard(self)
        if self.panel:
            self.panel.unobserve_all()
            self.panel.layout.close()
            self.panel.close()
            self.panel = None


class _CalculatorLine(_Line):
    sent = ("sum", "still", "state")

    def _panel(self) -> Panel:
        return Panel()

    def _understood(self, asked: dict[str, Any]) -> bool:
        named = isinstance(asked.get("by"), str) and isinstance(asked.get("pick", ""), str)
        typed = (
            "pick" in asked
            or "restore" in asked
            or all(isinstance(asked.get(name), dict) for name in ("texts", "units", "nudges"))
        )
        texts = [*asked.get("texts", {}).values(), *asked.get("units", {}).values()]
        steps = asked.get("nudges", {}).values()
        return (
            named
            and typed
            and all(isinstance(each, str) for each in texts)
            and all(type(by) is int and abs(by) <= _MOST_STEPS for by in steps)  # no finger makes more
        )


class _SizingLine(_Line):
    """Only on this computer itself may a page touch files."""

    sent = ("about", "still", "state")

    def _panel(self) -> SizingPanel:
        return SizingPanel(Sheet(), self.settings["folder"])

    def _understood(self, asked: dict[str, Any]) -> bool:
        return isinstance(asked.get("by"), str)
