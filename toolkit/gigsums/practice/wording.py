"""Text made safe to show: what comes from a draw, a tutor's file or a stranger is never markup."""

from __future__ import annotations

import re

from gigsums.gig.plain import listed as listed

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def as_markdown(text: str) -> str:
    """One line of text with everything that Markdown or HTML would act on made harmless."""
    plain = text.replace("&", "&amp;").replace("<", "&lt;")
    return re.sub(r"([\\`*_{}\[\]#|$~])", r"\\\1", " ".join(plain.split()))


def bullets(lines: tuple[str, ...]) -> str:
    """Lines as a Markdown list."""
    return "\n".join(f"- {as_markdown(line)}" for line in lines)


def short(text: str, length: int = 40) -> str:
    """The beginning of a text on one line, without characters that do not print."""
    clean = "".join(character if character.isprintable() else " " for character in text[: length + 1])
    return clean if len(clean) <= length else clean[: length - 1] + "…"


def sentence(text: str) -> str:
    """The text with a capital first letter; a unit keeps its own."""
    return text if text.startswith("dB") else text[:1].upper() + text[1:]


def in_words(count: int) -> str:
    """A small count as a word."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def singular(name: str) -> str:
    """One of what a plural counts: mixes, buses, matrices; of "mixes to go mono" its first word."""
    thing, to, rest = name.partition(" to ")
    if thing.endswith("matrices"):
        return f"{thing.removesuffix('ices')}ix{to}{rest}"
    one = thing[:-2] if thing.endswith(("xes", "ses", "ches")) else thing.removesuffix("s")
    return one + to + rest
