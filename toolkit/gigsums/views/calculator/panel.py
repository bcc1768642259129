"""The one view that draws any calculator, in JupyterLab and wherever widgets are shown."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import anywidget
import traitlets

from gigsums.catalogue import CATALOGUE, MOMENTS, Calculator, Choice, Input
from gigsums.figures import PICTURES, Manner
from gigsums.figures.picture import VectorPicture
from gigsums.quantities import Kind, span

from ..scripts import CALCULATOR, joined, style
from .form import Form


class Panel(anywidget.AnyWidget):
    """A calculator on the screen.

    It can also be used from a cell, as a hand on the screen would: `type`, `use` and `nudge` answer with the `line`.

    Parameters
    ----------
    calculator : Calculator or str, optional
        A declaration, or the key of one; one to choose from the whole catalogue if left out.

    Attributes
    ----------
    form : Form
        What is typed and what it comes to.
    """

    _esm = joined(CALCULATOR)
    _css = style()
    sum = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    still = traitlets.Unicode().tag(sync=True)  # the layer of the picture that seldom changes
    asked = traitlets.Dict().tag(sync=True, echo_update=False)

    def __init__(self, calculator: Calculator | str | None = None) -> None:
        self._all = calculator is None
        self.form = Form(next(iter(CATALOGUE)) if calculator is None else calculator)
        self._forms = {self.form.calculator.key: self.form}
        self._picture: VectorPicture | None = None
        self._light = False
        self._fresh = True
        super().__init__(sum=self._described())
        self._publish("")
        self.observe(self._answer, "asked")

    def __repr__(self) -> str:
        return f"Calculator({self.form.calculator.key!r})"

    @property
    def line(self) -> str:
        """The answer as one plain line."""
        return self.form.line

    def choose(self, calculator: str) -> None:
        """Go to another calculator; what was typed into this one is kept.

        Parameters
        ----------
        calculator : str
            Key of a declaration.

        Raises
        ------
        ValueError
            If no calculator has that key.
        """
        if calculator not in self._forms:
            self._forms[calculator] = Form(calculator)
            self._fresh = True
        self.form, self._picture = self._forms[calculator], None
        self._publish(self.state["by"])

    def type(self, name: str, text: str) -> str:
        """Type something into a field.

        Parameters
        ----------
        name : str
            Name of the input.
        text : str
            What is typed.

        Returns
        -------
        str
            The answer as one plain line.
        """
        return self._change(texts={name: text})

    def use(self, name: str, unit: str) -> str:
        """Change the unit of a field or a result; the value that is there is converted.

        Parameters
        ----------
        name : str
            Name of the input or result.
        unit : str
            The unit.

        Returns
        -------
        str
            The answer as one plain line.
        """
        return self._change(units={name: unit})

    def nudge(self, name: str, by: int = 1) -> str:
        """Move a field to the next round value.

        Parameters
        ----------
        name : str
            Name of the input.
        by : int, optional
            How many steps, down if below 0.

        Returns
        -------
        str
            The answer as one plain line.
        """
        return self._change(nudges={name: by})

    def _change(self, **what: Any) -> str:
        self.form.fill(**what)
        self._fresh = False
        self._publish(self.state["by"])
        return self.line

    def _answer(self, change: Any) -> None:
        asked = change["new"]
        self._light = bool(asked.get("light"))
        if "pick" in asked:
            if asked["pick"] in CATALOGUE:
                self.choose(asked["pick"])
            else:  # kept by this browser under a name that is no more
                self._publish(asked["by"])
            return
        if "restore" in asked and self._fresh:
            self._restore(asked["restore"])
        else:
            self.form.fill(asked["texts"], asked["units"], asked["nudges"])
        self._fresh = False
        self._publish(asked["by"])

    def _restore(self, saved: dict[str, dict[str, str]]) -> None:
        """Go back to what this browser kept, unless a field of it is no longer understood."""
        form = Form(self.form.calculator)
        try:
            form.fill(units=saved["units"])
            form.fill(texts=saved["texts"])
        except (ValueError, KeyError, TypeError, AttributeError):
            return
        if not form.old:
            self.form = self._forms[form.calculator.key] = form

    def _publish(self, by: str) -> None:
        form = self.form
        if form.calculator.picture and not form.old:
            self._draw()
        drawn = self._picture
        with self.hold_sync():
            if self.sum["key"] != form.calculator.key:
                self.sum = self._described()
            self.still = drawn.still if drawn else ""
            self.state = {
                "by": by,
                "key": form.calculator.key,
                "fresh": self._fresh,
                "light": self._light,
                "old": form.old,
                "trouble": form.trouble,
                "said": form.line,
                "unit": form.units[form.calculator.main.name],
                "words": drawn.words if drawn else "",
                "size": drawn.size if drawn else (),
                "moved": drawn.moved if drawn else "",
                "answer": asdict(form.answer),
                "fields": {each.name: self._field(each) for each in form.calculator.inputs},
            }

    def _described(self) -> dict[str, Any]:
        told = _described(self.form.calculator)
        return told | {"all": _ALL} if self._all else told

    def _draw(self) -> None:
        if self._picture is None or self._picture.light != self._light:
            self._picture = VectorPicture(PICTURES[self.form.calculator.picture], self._light)
        self._picture.update(self.form.values, Manner(self.form.comma, self.form.chosen_units))

    def _field(self, given: Input) -> dict[str, str]:
        name, unit = given.name, self.form.units[given.name]
        return {
            "text": self.form.texts[name],
            "unit": unit,
            "wrong": self.form.errors.get(name, ""),
            "range": "" if isinstance(given.kind, Choice) else span(given.kind, unit),
        }


def _words(calculator: Calculator) -> list[str]:
    text = f"{calculator.key} {calculator.question} {calculator.moment} {calculator.words}"
    return sorted({word.strip("?,") for word in text.casefold().replace("-", " ").split()})


_ALL = [
    [
        moment,
        [{"key": key, "words": _words(each)} for key, each in CATALOGUE.items() if each.moment == moment],
    ]
    for moment in MOMENTS
]


def _described(calculator: Calculator) -> dict[str, Any]:
    """What the view needs to know of a declaration, once."""
    main = calculator.main
    followed = {
        each.kind.other for each in calculator.inputs if isinstance(each.kind, Kind) and each.kind.other
    }
    return {
        "key": calculator.key,
        "question": calculator.question,
        "caution": calculator.caution,
        "sources": list(calculator.sources),
        "picture": bool(calculator.picture),
        "answer": main.name,
        "turns": bool(main.kind.other) and main.kind.other not in followed,
        "named": {each.name: _units(each.kind) for each in calculator.named},
        "inputs": [_input(each) for each in calculator.inputs],
    }


def _input(given: Input) -> dict[str, Any]:
    return {
        "name": given.name,
        "label": given.label,
        "behind": given.behind,
        "units": _units(given.kind),
        "options": list(given.kind.options) if isinstance(given.kind, Choice) else [],
        "signed": isinstance(given.kind, Kind) and given.kind.least < 0,
    }


def _units(kind: Kind | Choice) -> list[str]:
    """The units to offer for a kind, the base unit first."""
    if isinstance(kind, Choice):
        return []
    return [kind.base.name, kind.other] if kind.other else [kind.base.name]
