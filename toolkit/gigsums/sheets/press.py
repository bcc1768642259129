"""Documents made into PDF: a template, data that goes in as data, and the font that travels with the package."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

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


FONTS = Path(__file__).parent / "fonts"
FAMILY = "Source Sans 3"

LONGEST_WORD = 24
"""A longer word than this may be broken between any two characters, so that it stays in its box."""
MOST_NAMED = 50
"""Of the characters that the font lacks, so many are named in full, with where they stood."""
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[^\s\d]{1,4}(?:[\s.,;:)]|$))")


@cache
def printable() -> frozenset[str]:
    """Characters that every weight of the font has and that show: none that hides or turns the text about it."""
    from fontTools.ttLib import TTFont

    weights = [set(TTFont(path, lazy=True).getBestCmap()) for path in sorted(FONTS.glob("*.otf"))]
    both = map(chr, set.intersection(*weights))
    return frozenset(one for one in both if unicodedata.category(one) not in ("Cc", "Cf")) | {"\n"}


def named(character: str) -> str:
    """A character by its Unicode name, or by its number if it has no name."""
    return unicodedata.name(character, f"U+{ord(character):04X}")


def fit_to_print(data: Any) -> tuple[Any, tuple[str, ...]]:
    """The same data with every text fit to print, and what the font lacked.

    Parameters
    ----------
    data : mapping, sequence, str, number, bool or None
        What a template is given.

    Returns
    -------
    data
        A character that the font lacks stands as its name in brackets; a very long word can be broken, a
        number and its unit cannot be parted.
    tuple of str
        Each such character with its number and where it stood first, in the order of the data.
    """
    missing: dict[str, str] = {}
    done = _walk(data, "", missing)
    lines = [
        f"U+{ord(one):04X} {unicodedata.name(one, 'without a name')} in {at}" for one, at in missing.items()
    ]
    if len(lines) > MOST_NAMED:
        lines = [*lines[:MOST_NAMED], f"and {len(lines) - MOST_NAMED} other characters"]
    return done, tuple(lines)


def _walk(data: Any, where: str, missing: dict[str, str]) -> Any:
    if isinstance(data, str):
        return _text(data, where or "the text", missing)
    if isinstance(data, Mapping):
        return {
            key: _walk(each, f"{where}.{key}" if where else str(key), missing) for key, each in data.items()
        }
    if isinstance(data, Sequence):
        return [_walk(each, f"{where} {n}", missing) for n, each in enumerate(data, start=1)]
    return data


def _text(text: str, where: str, missing: dict[str, str]) -> str:
    plain = unicodedata.normalize("NFC", text).replace("\t", " ").replace("\r\n", "\n")
    if lacking := set(plain) - printable():
        for one in sorted(lacking, key=plain.index):
            missing.setdefault(one, where)
        plain = "".join(f"[{named(one)}]" if one in lacking else one for one in plain)
    plain = _NUMBER_AND_UNIT.sub("\u00a0", plain)
    if len(plain) <= LONGEST_WORD:
        return plain
    return " ".join("\u200b".join(word) if len(word) > LONGEST_WORD else word for word in plain.split(" "))
