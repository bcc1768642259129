"""A picture that moves: drawn once, then only what moved is drawn again."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, ClassVar

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter
from PIL import Image

from gigsums.quantities import Kind, convert, show

TEXT, SMALL = 9.5, 8.5  # points


@dataclass(frozen=True)
class Look:
    """The few colours of a picture."""

    paper: str
    ink: str
    quiet: str
    faint: str
    accent: str


DARK = Look(paper="#1b1d20", ink="#ecebe8", quiet="#a9abad", faint="#44484d", accent="#c9a9ff")
LIGHT = Look(paper="#fbfaf8", ink="#1e2022", quiet="#5a5d61", faint="#cfcfcd", accent="#6a38c2")


@dataclass(frozen=True)
class Manner:
    """How a picture writes its quantities: as the person writes them who looks at it.

    Parameters
    ----------
    comma : bool, optional
        Whether the decimal mark is a comma.
    units : mapping of str to str, optional
        The unit to use instead of a base unit, by the name of that.
    """

    comma: bool = False
    units: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def unit(self, kind: Kind) -> str:
        """Unit in which quantities of a kind are written."""
        return self.units.get(kind.base.name, kind.base.name)

    def turned(self, value: Any, kind: Kind) -> Any:
        """A value, or an array of them, in that unit."""
        return convert(value, kind, self.unit(kind))

    def show(self, value: float, kind: Kind) -> str:
        """A quantity with its unit."""
        return show(value, kind, self.unit(kind), self.comma)

    def number(self, value: float) -> str:
        """A bare number, as along an axis."""
        digits = f"{value + 0.0:.6g}".replace("-", "−")  # + 0.0: −0 is 0
        return digits.replace(".", ",") if self.comma else digits


class Picture:
    """A matplotlib figure that takes new values without being redrawn whole.

    A kind of picture fills in `build`, which draws what stays and names what moves (`moves`) and the axes
    whose range may change (`scales`), and `place`, which gives the moving artists new data and returns the
    picture in words. An update draws nothing but the moved artists, and an axis only when its range changed.

    Parameters
    ----------
    light : bool, optional
        Whether it stands on light paper.

    Attributes
    ----------
    light : bool
        Whether it stands on light paper.
    figure : matplotlib.figure.Figure
        The figure.
    manner : Manner
        How quantities are written in it.
    words : str
        What the picture shows, for whoever does not see it.
    """

    wide: ClassVar[float] = 360
    high: ClassVar[float] = 200
    sharp: ClassVar[float] = 2

    def __init__(self, light: bool = False) -> None:
        self.light = light
        self.look = LIGHT if light else DARK
        inches = self.wide / 100, self.high / 100
        self.figure = Figure(figsize=inches, dpi=100 * self.sharp, facecolor=self.look.paper)
        self._canvas = FigureCanvasAgg(self.figure)
        self._moving: list[tuple[Axes, Artist]] = []
        self._scales: list[tuple[Axes, Axis]] = []
        self._empty: Any = None
        self._still: Any = None
        self._ranges: list[list[float]] = []
        self.manner = Manner()
        self.words = ""
        self.build()

    def build(self) -> None:
        """Draw what stays and keep what moves."""
        raise NotImplementedError

    def place(self, values: Mapping[str, Any]) -> str:
        """Give the moving artists their data, and say in words what they show."""
        raise NotImplementedError

    def axes(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """An empty area of the picture, in fractions of it, in the look of this house."""
        area = self.figure.add_axes((left, bottom, width, height), facecolor=self.look.paper)
        for side in ("top", "right"):
            area.spines[side].set_visible(False)
        for side in ("left", "bottom"):
            area.spines[side].set_color(self.look.faint)
        area.tick_params(colors=self.look.quiet, labelsize=SMALL, length=3, width=0.6)
        area.xaxis.label.set(color=self.look.quiet, size=SMALL)
        area.yaxis.label.set(color=self.look.quiet, size=SMALL)
        for axis in (area.xaxis, area.yaxis):
            axis.set_major_formatter(FuncFormatter(lambda value, _: self.manner.number(value)))
        return area

    def moves(self, area: Axes, *artists: Artist) -> None:
        """Name artists that move."""
        for artist in artists:
            artist.set_animated(True)
            self._moving.append((area, artist))

    def scales(self, area: Axes, axis: Axis) -> None:
        """Name an axis whose range may change."""
        axis.set_animated(True)
        self._scales.append((area, axis))

    @property
    def moving(self) -> list[Artist]:
        """The artists that move, in the order in which they are drawn."""
        return [artist for _, artist in self._moving]

    @property
    def scaled(self) -> list[Artist]:
        """The axes whose range may change."""
        return [axis for _, axis in self._scales]

    @property
    def ranges(self) -> list[list[float]]:
        """The range of each of those axes as it stands."""
        return [[float(end) for end in axis.get_view_interval()] for _, axis in self._scales]

    def update(self, values: Mapping[str, Any], manner: Manner | None = None) -> None:
        """Show other values.

        Parameters
        ----------
        values : mapping of str
            Inputs and results of a sum by name [base units].
        manner : Manner, optional
            How quantities are to be written: with a point and in base units if left out.
        """
        written = manner or Manner()
        rewritten = written != self.manner
        self.manner = written
        self.words = self.place(values)
        if self._empty is None:
            self._canvas.draw()
            self._empty = self._canvas.copy_from_bbox(self.figure.bbox)
        ranges = self.ranges
        if self._still is None or rewritten or ranges != self._ranges:
            self._canvas.restore_region(self._empty)
            for area, axis in self._scales:
                area.draw_artist(axis)
            self._still, self._ranges = self._canvas.copy_from_bbox(self.figure.bbox), ranges
        self._canvas.restore_region(self._still)
        for area, artist in self._moving:
            area.draw_artist(artist)

    def __repr__(self) -> str:
        return f"Picture: {self.words or 'nothing shown yet'}"

    def _repr_png_(self) -> tuple[bytes, dict[str, float]]:
        """What a notebook shows, at the size it is meant to have, whatever the screen."""
        return self.png(), {"width": self.wide, "height": self.high}

    def png(self) -> bytes:
        """The picture as it stands, as a PNG."""
        size = self._canvas.get_width_height()
        held = Image.frombuffer("RGBA", size, self._canvas.buffer_rgba(), "raw", "RGBA", 0, 1).convert("RGB")
        out = io.BytesIO()
        held.save(out, "PNG", compress_level=1)
        return out.getvalue()


def round_top(value: float) -> float:
    """The first of 1, 2, 5, 10, 20 and so on that is not below a value above 0."""
    decade = 10.0 ** math.floor(math.log10(value))
    return next(step * decade for step in (1, 2, 5, 10) if step * decade >= value * (1 - 1e-9))
