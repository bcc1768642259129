"""The panel that shows a line-up and lets a hand move it."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import anywidget
import traitlets

from . import scripts
from .line_up import EFFECTS
from .moved import DESK, MovedGig, state_in_words, table_label

_HERE = files(__package__)
LABELS = {EFFECTS: "Effects", DESK: "Desk"}


class LineUpPanel(anywidget.AnyWidget):
    """A line-up on the screen, or what is picked up of it.

    Parameters
    ----------
    line_up : MovedGig
        What is shown and moved.

    Attributes
    ----------
    line_up : MovedGig
        The same.
    """

    _esm = scripts.joined(scripts.LINE_UP)
    _css = (_HERE / "view.css").read_text(encoding="utf-8") + (_HERE / "line_up.css").read_text(
        encoding="utf-8"
    )
    about = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)

    def __init__(self, line_up: MovedGig) -> None:
        self.line_up = line_up
        self._moves = 0
        super().__init__(
            about={"title": f"{line_up.asked.name}: {line_up.question}", "caution": line_up.caution}
        )
        self._publish()
        self.on_msg(self._asked)

    def __repr__(self) -> str:
        return repr(self.line_up)

    @property
    def line(self) -> str:
        """The answer as a sentence or two."""
        return self.line_up.line

    def move(self, what: str, to: str | int) -> str:
        """Move one thing and count again, as a hand on the panel would.

        Parameters
        ----------
        what : str
            One of what the line-up's `fields` holds: a player or a source, ``"effects"``, ``"desk"``.
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
        line = self.line_up.move(what, to)
        self._publish()
        return line

    def back(self) -> str:
        """Put the line-up back as it was asked for; the desk in use stays.

        Returns
        -------
        str
            The answer.
        """
        line = self.line_up.back()
        self._publish()
        return line

    def _asked(self, _: Any, content: dict[str, Any], __: Any) -> None:
        """A hand has moved something; what cannot be moved there any more is said, and nothing changes."""
        trouble = ""
        try:
            if content.get("back"):
                self.line_up.back()
            else:
                self.line_up.move(content.get("what", ""), content.get("to", ""))
        except ValueError as refused:
            trouble = str(refused)
        self._publish(trouble, content.get("by", ""))

    def _publish(self, trouble: str = "", by: str = "") -> None:
        it = self.line_up
        self._moves += 1
        number, unit = it.headline
        self.state = {
            "move": self._moves,  # so that every answer arrives, even one that changes nothing
            "by": by,
            "trouble": trouble,
            "number": number,
            "unit": unit,
            "takes": [{"label": row.key, "count": row.count} for row in it.takes],
            "line": it.line,
            "caption": f"{it.desk.name}: {it.caption}",
            "verdict": it.verdict,
            "fields": [
                {"name": name, "label": LABELS.get(name, name), "value": value, "options": list(options)}
                for name, (value, options) in it.fields.items()
            ],
            "rows": [
                [
                    table_label(row, it.rows),
                    f"{row.need:g}",
                    f"{row.have:g}",
                    f"{row.margin:g}",
                    state_in_words(row),
                ]
                for row in it.rows
            ],
            "why": list(it.why),
        }
