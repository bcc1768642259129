"""Working safely, as the house has it in its settings: the questions, and the words that are dangerous."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar, Literal

from gigsums.gig import BadFile, bundled
from gigsums.gig.files import build, read_text, read_toml
from gigsums.gig.model import FORBID, Text, Words


@dataclass(frozen=True)
class SafetyQuestion:
    """One question about safe working, with what is right, what is wrong and what is dangerous."""

    __pydantic_config__: ClassVar = FORBID
    key: Text
    asks: Words
    right: tuple[Words, ...]
    wrong: tuple[Words, ...] = ()
    dangerous: tuple[Words, ...] = ()
    caution: Words = ""
    when: Literal["always", "in-ears", "floor monitors", "DI", "named"] = "always"

    @property
    def choices(self) -> tuple[str, ...]:
        """What may be answered, in an order that gives nothing away."""
        return tuple(sorted((*self.right, *self.wrong, *self.dangerous)))


@dataclass(frozen=True)
class Danger:
    """One thing that hurts people, and the words that say it; safety.toml says what each list is for."""

    __pydantic_config__: ClassVar = FORBID
    what: Text
    does: tuple[Text, ...] = ()
    to: tuple[Text, ...] = ()
    not_to: tuple[Text, ...] = ()
    left: tuple[Text, ...] = ()
    says: tuple[Text, ...] = ()
    fine: tuple[Text, ...] = ()
    yet: tuple[Text, ...] = ()
    perhaps: tuple[Text, ...] = ()
    only_with: tuple[Text, ...] = ()


@dataclass(frozen=True)
class _Safety:
    __pydantic_config__: ClassVar = FORBID
    question: tuple[SafetyQuestion, ...]
    danger: tuple[Danger, ...] = ()
    format: int = 1


def house_safety() -> tuple[str, str]:
    """Name and text of the house's file, as it stands today."""
    return read_text(bundled("policy")["safety"], "policy")


@lru_cache(maxsize=8)
def questions_in(file: str, text: str) -> tuple[SafetyQuestion, ...]:
    """The questions of such a file; a `BadFile` if it is none."""
    return _read(file, text).question


@lru_cache(maxsize=8)
def dangers_in(file: str, text: str) -> tuple[Danger, ...]:
    """The words of such a file; the house's, where it has none: one kept since before they stood there, say."""
    return _read(file, text).danger or _read(*house_safety()).danger


def _read(file: str, text: str) -> _Safety:
    found = build(file, read_toml(text, file), _Safety)
    for danger in found.danger:
        if bool(danger.does) != bool(danger.to):
            raise BadFile(
                file, f"danger, {danger.what}", "`does` and `to` go together.", "Give both, or neither."
            )
    return found
