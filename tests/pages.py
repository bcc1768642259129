"""A PDF as a reader of it meets it: the text of each page, and how large the pages are."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO

from fontTools.ttLib import TTFont
from pypdf import PdfReader

from gigsums.sheets.press import FONTS

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
    for width, height, lines in lines_of(pdf):
        for line, left, up, size in lines:
            right = left + sum(map(_advance, line)) * size
            if left < 0 or right > width or not 0 <= up <= height:
                found.append(line)
    return found


def in_the_margin(pdf: bytes, foot_mm: float = 20) -> list[str]:
    """Lines in the margin at the foot of a page but for the one that its number stands on."""
    found = []
    for _, _, lines in lines_of(pdf):
        (number,) = (up for line, _, up, _ in lines if line.startswith("Page "))
        found += [line for line, _, up, _ in lines if up < foot_mm / 25.4 * 72 and up != number]
    return found


def lines_of(pdf: bytes) -> Iterator[tuple[float, float, list[tuple[str, float, float, float]]]]:
    """Of each page its size and its lines, each with where it begins and how large it is set [points]."""
    for page in PdfReader(BytesIO(pdf)).pages:
        lines: list[tuple[str, float, float, float]] = []

        def look(line: str, cm: list, tm: list, _: object, size: float, lines: list = lines) -> None:
            if line.strip():
                lines.append((line.strip(), cm[4] + cm[0] * tm[4], cm[5] + cm[3] * tm[5], size))

        page.extract_text(visitor_text=look)
        yield float(page.mediabox.width), float(page.mediabox.height), lines


@cache
def _advance(character: str) -> float:
    font = TTFont(FONTS / "SourceSans3-Regular.otf", lazy=True)
    glyph = font.getBestCmap().get(ord(character))
    return font["hmtx"][glyph][0] / font["head"].unitsPerEm if glyph else 0.0


def _plain(text: str) -> str:
    for mark, instead in BREAKS.items():
        text = text.replace(mark, instead)
    return " ".join(text.split())
