"""A picture that moves: drawn once, then only what moved is drawn again, as pixels for a page or as vectors for a screen."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, ClassVar
from xml.sax.saxutils import escape, quoteattr

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text
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


_DPI = 72  # at which a point is a unit of the drawing
_FONT = re.compile(r"font-family: [^;\"]*;? ?|(?<=[;\" ])(\d+(?:\.\d+)?px) 'DejaVu Sans'[^;\"]*")
_STYLE = re.compile(r"<style.*?</style>", re.DOTALL)  # it would hold for the whole page around the picture
_ANCHOR = {"left": "start", "center": "middle", "right": "end"}
# from the line that letters stand on up to where a text is held, in its size
_RISE = {"bottom": 0.24, "baseline": 0.0, "center": -0.26, "center_baseline": -0.36, "top": -0.78}


class VectorPicture:
    """A picture of some kind, drawn as SVG in two layers.

    Parameters
    ----------
    kind : type of Picture
        What is shown.
    light : bool, optional
        Whether it stands on light paper.

    Attributes
    ----------
    light : bool
        Whether it stands on light paper.
    words : str
        What the picture shows, for whoever does not see it.
    still, moved : str
        The two layers: what stays until a range changes, and what moves. Each is the inside of an `svg` element;
        joints of its lines are meant to be round.
    """

    def __init__(self, kind: type[Picture], light: bool = False) -> None:
        self.light = light
        self._picture = kind(light)
        self._picture.figure.set_dpi(_DPI)
        self._empty = ""
        self._ranges: list[list[float]] = []
        self.words = self.still = self.moved = ""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the drawing, in its own units."""
        wide, high = self._picture.figure.get_size_inches()
        return _DPI * float(wide), _DPI * float(high)

    def update(self, values: Mapping[str, Any], manner: Manner | None = None) -> None:
        """Show other values.

        Parameters
        ----------
        values : mapping of str
            Inputs and results of a sum by name [base units].
        manner : Manner, optional
            How quantities are to be written: with a point and in base units if left out.
        """
        picture, written = self._picture, manner or Manner()
        rewritten = written != picture.manner
        picture.manner = written
        self.words = picture.place(values)
        if not self._empty:
            self._empty = self._drawn([picture.figure])
        ranges = picture.ranges
        if not self.still or rewritten or ranges != self._ranges:
            self.still, self._ranges = self._empty + self._drawn(picture.scaled), ranges
        self.moved = self._drawn(picture.moving)

    def _drawn(self, artists: Iterable[Artist]) -> str:
        """The artists in their order. Texts are written at once: matplotlib would first measure every letter."""
        done: list[str] = []
        others: list[Artist] = []
        for artist in artists:
            if isinstance(artist, Text) and type(artist) is Text and _plain(artist):
                done += [self._rendered(others), _written(artist)] if others else [_written(artist)]
                others = []
            else:
                others.append(artist)
        return "".join(done) + (self._rendered(others) if others else "")

    def _rendered(self, artists: Iterable[Artist]) -> str:
        out = io.StringIO()
        with _text_as_text():
            renderer = RendererSVG(*self.size, out, image_dpi=_DPI)
            for artist in artists:
                artist.draw(renderer)
            renderer.finalize()
        drawn = out.getvalue()
        inside = drawn[drawn.index("</metadata>") + len("</metadata>") : drawn.rindex("</svg>")]
        return _FONT.sub(lambda found: found[1] or "", _STYLE.sub("", inside))


class _text_as_text:
    """matplotlib's setting that keeps letters as letters, for as long as something is drawn."""

    def __enter__(self) -> None:
        self._before = mpl.rcParams["svg.fonttype"]
        mpl.rcParams["svg.fonttype"] = "none"

    def __exit__(self, *_: object) -> None:
        mpl.rcParams["svg.fonttype"] = self._before


def _plain(text: Text) -> bool:
    return text.get_bbox_patch() is None and "\n" not in text.get_text() and not text.get_clip_on()


def _written(text: Text) -> str:
    said = text.get_text()
    if not said or not text.get_visible():
        return ""
    across, up = text.get_transform().transform(text.get_unitless_position())
    figure = text.get_figure(root=True)
    high = figure.bbox.height if figure else 0.0
    size = float(text.get_fontsize())
    down = high - up - _RISE[text.get_verticalalignment()] * size
    angle = -text.get_rotation()
    turned = f' transform="rotate({angle:g} {across:.2f} {high - up:.2f})"' if angle else ""
    anchor = _ANCHOR[text.get_horizontalalignment()]
    bold = ' font-weight="700"' if text.get_fontweight() in ("bold", 700) else ""
    return (
        f'<text x="{across:.2f}" y="{down:.2f}" font-size="{size:g}" text-anchor="{anchor}"'
        f" fill={quoteattr(to_hex(text.get_color()))}{bold}{turned}>{escape(said)}</text>"
    )
