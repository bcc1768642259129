"""A PDF as a reader of it meets it: the text of each page, and how large the pages are."""

from __future__ import annotations

from functools import cache
from io import BytesIO

from fontTools.ttLib import TTFont
from pypdf import PdfReader

from gigsums.sheets.glyphs import FONTS

BREAKS = {"\u00a0": " ", "\u200b": ""}
"""Marks that only say where a line may be broken."""


def texts(pdf: bytes) -> list[str]:
    """The text of each page, on one line."""
    return [_plain(page.extract_text()) for page in PdfReader(BytesIO(pdf)).pages]


def text(pdf: bytes) -> str:
    """The text of all pages."""
    return " ".join(texts(pdf))


def sizes_mm(pdf: bytes) -> set[tuple[float, float]]:
    """Width and height of the pages [mm]."""
    boxes = (page.mediabox for page in PdfReader(BytesIO(pdf)).pages)
    return {
        (round(float(box.width) / 72 * 25.4, 1), round(float(box.height) / 72 * 25.4, 1)) for box in boxes
    }


def fonts(pdf: bytes) -> set[str]:
    """Names of the fonts used, without the tag of a subset."""
    found = set()
    for page in PdfReader(BytesIO(pdf)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            found.add(str(font.get_object()["/BaseFont"]).rpartition("+")[2].removesuffix("-Identity-H"))
    return found


def off_the_paper(pdf: bytes) -> list[str]:
    """Lines that begin or end outside the page they are on, by the widths of the regular weight."""
    found = []
    for page in PdfReader(BytesIO(pdf)).pages:
        width, height = float(page.mediabox.width), float(page.mediabox.height)

        def look(line: str, cm: list, tm: list, _: object, size: float, w=width, h=height) -> None:
            left, up = cm[4] + cm[0] * tm[4], cm[5] + cm[3] * tm[5]
            right = left + sum(map(_advance, line.strip())) * size
            if line.strip() and (left < 0 or right > w or not 0 <= up <= h):
                found.append(line.strip())

        page.extract_text(visitor_text=look)
    return found


@cache
def _advance(character: str) -> float:
    font = TTFont(FONTS / "SourceSans3-Regular.otf", lazy=True)
    glyph = font.getBestCmap().get(ord(character))
    return font["hmtx"][glyph][0] / font["head"].unitsPerEm if glyph else 0.0


def _plain(text: str) -> str:
    for mark, instead in BREAKS.items():
        text = text.replace(mark, instead)
    return " ".join(text.split())
