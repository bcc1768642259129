"""Gigs and desks written as short TOML in tests: the same road that a person's file takes."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from gigsums.gig import Desk, Gig, load_desk, load_gig

HEAD = 'format = 1\n[gig]\nname = "Test gig"\n'


def gig(text: str, head: str = HEAD) -> Gig:
    """The gig that this text says, under a head that only names it."""
    return _read(head + text, load_gig)


def desk(
    text: str = "",
    *,
    about: str = 'kind = "digital"\ntalkback = "own input"',
    inputs: str = "mic = 64",
    outputs: str = "line = 64",
) -> Desk:
    """A desk that is roomy unless the text says otherwise."""
    head = f'format = 1\n[desk]\nname = "Test desk"\n{about}\n'
    head += f'[[inputs]]\nat = "desk"\n{inputs}\n' if inputs else ""
    head += f'[[outputs]]\nat = "desk"\n{outputs}\n' if outputs else ""
    return _read(head + text, load_desk)


def singers(number: int, mix: str = "", source: str = 'by = "mic"') -> str:
    """So many singers, each with one source and, where `mix` says how, a mix of their own."""
    text = ""
    for n in range(number):
        text += f'[[performer]]\nname = "P{n}"\nsources = [{{ name = "S{n}", {source} }}]\n'
        if mix:
            text += f'[[mix]]\nname = "M{n}"\nfor = ["P{n}"]\n{mix}\n'
    return text


def _read(text: str, load: Callable):
    with tempfile.TemporaryDirectory(prefix="gigsums-test-") as folder:
        path = Path(folder) / "given.toml"
        path.write_text(text, encoding="utf-8")
        return load(path)
