"""A picture that moves: drawn once, then only what moved is drawn again."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

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

    def update(self, values: Mapping[str, Any]) -> None:
        """Show other values.

        Parameters
        ----------
        values : mapping of str
            Inputs and results of a sum by name [base units].
        """
        self.words = self.place(values)
        if self._empty is None:
            self._canvas.draw()
            self._empty = self._canvas.copy_from_bbox(self.figure.bbox)
        ranges = self.ranges
        if self._still is None or ranges != self._ranges:
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
