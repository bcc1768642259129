"""Documents made into PDF: a template, data that goes in as data, and the font that travels with the package."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from .glyphs import FAMILY, FONTS, fit_to_print

TEMPLATES = Path(__file__).parent / "templates"
PAPERS = ("a4", "us-letter")
_LARGE = 50_000
"""Characters of data from which a document takes so much memory that it is forgotten at once."""
_KEPT = 11
"""So many documents typst remembers, to be quick with a similar one: up to 100 MB for each large one."""


@dataclass(frozen=True)
class Printed:
    """A document ready for the printer.

    Attributes
    ----------
    pdf : bytes
        The file.
    pages : int
        How many pages it has.
    missing : tuple of str
        Each character that the font lacks, with its number and where it stood; in the document its name
        stands in its place.
    """

    pdf: bytes = field(repr=False)
    pages: int
    missing: tuple[str, ...] = ()


def printed(document: str, data: Mapping[str, Any], paper: str = "a4") -> Printed:
    """Print a document.

    Parameters
    ----------
    document : str
        Name of a template: "worksheet", "key", "card".
    data : mapping
        What the template wants. Texts are printed as they are: nothing in them is markup.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed
        The same bytes for the same data, on every machine.

    Raises
    ------
    ValueError
        If there is no such document or no such paper.
    """
    if document not in documents():
        raise ValueError(f"document is {document!r}; it may be {' or '.join(documents())}")
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}; it may be {' or '.join(PAPERS)}")
    fit, missing = fit_to_print(data)
    pdf, pages = _compiled(document, json.dumps(fit, ensure_ascii=False), paper)
    return Printed(pdf, pages, missing)


def documents() -> tuple[str, ...]:
    """The documents that there are templates for."""
    return tuple(sorted(path.stem for path in TEMPLATES.glob("*.typ") if not path.stem.startswith("_")))


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])


def _compiled(document: str, data: str, paper: str) -> tuple[bytes, int]:
    compiler = _compiler(document, {"data": data, "paper": paper, "font": FAMILY})
    pdf = compiler.compile(format="pdf", timestamp=0)
    assert isinstance(pdf, bytes)
    pages = int(compiler.query("<pages>", field="value", one=True))
    if len(data) > _LARGE:
        for _ in range(_KEPT):
            _compiler("_empty", {}).compile(format="svg")
    return pdf, pages


def _compiler(template: str, inputs: dict[str, str]) -> Any:
    import typst

    return typst.Compiler(
        str(TEMPLATES / f"{template}.typ"),
        root=str(TEMPLATES),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs=inputs,
    )
