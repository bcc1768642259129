"""A picture as vector drawing, for screens: sharp at any size, and a move sends only what moved."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import to_hex
from matplotlib.text import Text

from .picture import Manner, Picture

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
