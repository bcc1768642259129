"""Working safely: the questions of the house, and danger in somebody's own words."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence
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


_NO = (
    r"(?:no|not|never|nobody|no one|none|nothing|cannot|\w+n't|cant|dont|wont|mustnt|doesnt|didnt|shouldnt|without|neither|nor"
    r"|rather than|instead of)"
)
_BAD = (
    r"(?:forbid\w*|danger(?:s|ous\w*)?|illegal\w*|deadly|lethal|fatal|death|unsafe|wrong|refus\w*|avoid\w*|prohibit\w*|banned"
    r"|against the (?:law|rules?)|out of (?:use|the question)|kills?(?! (?:the |that |all |any )?(?:hum|buzz|noise)))"
)
_CLAUSES = re.compile(
    r"([,:()]|\b(?:but|if|when|because|so|then|after|once|until|while|unless|except|since|otherwise|though|although)\b)"
)
_ENDORSED = re.compile(  # what is denied here speaks for it: don't worry, no harm, never wrong, no other way
    rf"\b{_NO}(?: (?:a|an|any|really|at all|to))?(?: (?:worry|bother|mind|care|hesitate|wait|forget|fear|afraid|harm|problem|risk\w*"
    rf"|trouble|hum|buzz|noise|other|choice|option|alternative|matter|reason not|hurt|bad|{_BAD}))\b"
)
_KEPT = re.compile(  # leaving an earth alone is no harm; leaving it out is
    r"\b(?:(?:keep|keeps|kept)(?! \w+ing\b)|leave|leaves|left|check|checks|look at|touch)\b(?!.*\b(?:off|out|open|disconnected|lifted|loose"
    r"|undone|bypassed|without|before|near|over|in front|held|down)\b)(?:(?! and\b).)*"
)
_DENIED = re.compile(rf"\b{_NO}\b.*")
_BAD_OF = re.compile(rf"^.*?\b{_BAD}\b(?:(?! and\b(?! to\b)).)*")
_CONDEMNED = re.compile(rf"^.*?\b(?:is|are|was|be|being|it's|that's)(?: (?!(?:{_NO})\b)\w+){{0,3}} {_BAD}\b")
_DOUBT = re.compile(rf"\b(?:{_NO}|{_BAD})\b")
_TAKEN_BACK = re.compile(
    r"\b(?:anyway|unless|except|only (?:if|when|for|once))\b"
    r"|\b(?:but|though|although)\b.*\b(?:i|we|you|i'd|we'd|i'll|would|do|did|it|works|helps|okay?|quiet|once|minute)\b"
)
_MENDED = re.compile(r"\b(?:put (?:\w+ )?back|reconnect\w*|restor\w+|mend\w*|repair\w*)\b")
_SOMEBODY = re.compile(r"\b(?:i|we|you|they|he|she|it|i'd|i'll|we'd|just|simply|instead|rather)\b")
_LONGEST = 400
"""A sentence that is longer is read in pieces [characters]."""
_BREAKS = r"(?!(?:and|then|but|from|that|which|until|because|so|if|when|after|with)\b)"


@dataclass(frozen=True)
class Said:
    """Something dangerous that somebody wrote.

    Attributes
    ----------
    what : str
        What is dangerous, as the settings call it.
    words : str
        The sentence.
    plain : bool
        Whether it says so plainly; otherwise a person has to read what is meant.
    """

    what: str
    words: str
    plain: bool


def dangers_said(text: str, dangers: Sequence[Danger]) -> Iterator[Said]:
    """Find danger in a text: a sentence that plainly forbids it is none, a doubtful one is named and not plain.

    Parameters
    ----------
    text : str
        Text from a stranger.
    dangers : sequence of Danger
        What is dangerous, and the words for it.

    Yields
    ------
    Said
        Each sentence that proposes, or may propose, one of them.
    """
    for sentence in _sentences(text):
        for danger in dangers:
            found = _found(sentence, _patterns_of(danger))
            if found is not None:
                yield Said(danger.what, sentence, found)


@dataclass(frozen=True)
class _Patterns:
    """A danger's words, made ready to be looked for."""

    joined: tuple[tuple[re.Pattern[str], str], ...]
    plain: re.Pattern[str]
    perhaps: re.Pattern[str]
    fine: re.Pattern[str]
    yet: re.Pattern[str]
    only_with: re.Pattern[str] | None


def _found(sentence: str, words: _Patterns) -> bool | None:
    """Whether a sentence says it plainly; None if it does not say it."""
    for pattern, one_word in words.joined:
        sentence = pattern.sub(one_word, sentence)
    meant = _struck(sentence)
    said, fine = words.plain.search(meant), words.fine.search(meant)
    if said and not (fine and not words.yet.search(meant)):
        sure = not fine and not _DOUBT.search(sentence[: said.start()]) and not _MENDED.search(sentence)
        return sure and (words.only_with is None or bool(words.only_with.search(meant)))
    if words.perhaps.search(meant) and not fine:
        return False
    back = _TAKEN_BACK.search(sentence)
    if back and not words.fine.search(sentence[back.start() :]) and words.plain.search(sentence):
        return False
    return None


def _struck(sentence: str) -> str:
    """The sentence with dots for what it denies, condemns or leaves alone."""
    parts = _CLAUSES.split(sentence)
    denied = 0  # clauses that are denied by one before them
    for n in range(0, len(parts), 2):
        clause = parts[n]
        if denied:
            parts[n], denied = "·" * len(clause), denied - 1
        elif not _ENDORSED.search(clause):
            parts[n] = _KEPT.sub(_dots, _DENIED.sub(_dots, _BAD_OF.sub(_dots, clause)))
            denied = _goes_on(clause, parts[n + 1 :]) if _DENIED.search(clause) else 0
    meant = "".join(parts)
    whole = None if _ENDORSED.search(sentence) else _CONDEMNED.search(sentence)
    return "·" * whole.end() + meant[whole.end() :] if whole else meant


def _goes_on(clause: str, behind: Sequence[str]) -> int:
    """Over how many more clauses a denial goes on: "not, whatever happens, lift", "never lift, cut or tape"."""
    if behind[:1] != [","]:
        return 0
    if re.search(rf"\b{_NO} ?$", clause):
        return 2
    for n, (comma, then) in enumerate(zip(behind[:6:2], behind[1:6:2], strict=False), start=1):
        if comma != "," or _SOMEBODY.search(then):
            return 0
        if re.search(r"\bn?or\b", then):
            return n
    return 0


def _dots(found: re.Match[str]) -> str:
    return "·" * len(found[0])


@lru_cache(maxsize=64)
def _patterns_of(danger: Danger) -> _Patterns:
    lists = (danger.does, danger.to, danger.says, danger.perhaps, danger.left)
    negative = [each for one in lists for each in one if re.search(rf"\b{_NO}\b", each)]
    joined = [(re.compile(rf"\b{_phrase(part)}\b"), _one_word(part)) for each in negative for part in each.casefold().split(" ... ") if " " in part]  # fmt: skip
    joined += [(re.compile(rf"\b{_phrase(each)}\b"), _one_word(each)) for each in danger.not_to]
    to = _any(danger.to)
    done = [*_doing([_kept_together(each.casefold()) for each in danger.does], to)]
    done += [
        rf"\b{to}(?: (?:pin|wire))?:?(?: (?:is|are|was|were|be|can|may|being|pin|wire|stays?|go|goes)){{0,2}} {_any(danger.left)}\b"
    ]
    done += [rf"\b{_any(danger.says)}\b"]
    return _Patterns(
        tuple(joined),
        re.compile("|".join(done)),
        perhaps=re.compile(rf"\b{_any(danger.perhaps)}\b"),
        fine=re.compile(rf"\b{_any(danger.fine)}\b"),
        yet=re.compile(rf"\b{_any(danger.yet)}\b"),
        only_with=re.compile(rf"\b{_any(danger.only_with)}\b") if danger.only_with else None,
    )


def _doing(does: Sequence[str], to: str) -> Iterator[str]:
    """How it is done: "lift the earth", "the earth is lifted", "hold in the RCD", "hold the RCD in", "the RCD is held in"."""
    gap = rf"(?: {_BREAKS}[\w'/-]+)"
    alone = [_forms(each) for each in does if " ... " not in each]
    with_behind: dict[str, list[str]] = {}
    for each in does:
        verb, _, behind = each.partition(" ... ")
        if behind:
            with_behind.setdefault(behind, []).append(_forms(verb))
    pairs = [f"(?:{'|'.join(verbs)}) {behind}" for behind, verbs in with_behind.items()]
    yield rf"\b(?:{'|'.join([*alone, *pairs])}){gap}{{0,5}}? {to}\b"
    done = [_forms(each, only_done=True) for each in does if " ... " not in each]
    yield rf"\b{to}{gap}{{0,4}}? (?:{'|'.join([*done, *pairs])})\b"
    for behind, verbs in with_behind.items():
        yield rf"\b(?:{'|'.join(verbs)}){gap}{{0,4}}? {to}(?: (?:pin|wire))?{gap}{{0,2}}? {behind}\b"


def _forms(does: str, *, only_done: bool = False) -> str:
    """Any form of a verb, the first of some words."""
    verb, *rest = does.split(" ", 1)
    word, stem, last = re.escape(verb), re.escape(verb.removesuffix("e")), re.escape(verb[-1])
    done = rf"(?:{stem}ed|{word}{last}ed)"
    forms = done if only_done else rf"(?:{word}|{word}e?s|{done}|{stem}ing|{word}{last}ing)"
    return forms + (f" {_phrase(rest[0])}" if rest else "")


def _any(phrases: Sequence[str]) -> str:
    """Any of the phrases; nothing at all, if there are none."""
    each = sorted((_phrase(_kept_together(one.casefold())) for one in phrases), key=len, reverse=True)
    return rf"(?:{'|'.join(each)})" if each else r"(?!)"


def _kept_together(phrase: str) -> str:
    return " ... ".join(
        _one_word(part) if re.search(rf"\b{_NO}\b", part) else part for part in phrase.split(" ... ")
    )


def _one_word(phrase: str) -> str:
    return phrase.casefold().replace(" ", "_")


def _phrase(phrase: str) -> str:
    """A phrase as a pattern: an article may stand before each of its words, and "..." is up to six words."""
    parts = [rf" {'(?:(?:a|an|the|its|any|some|that) )?'}".join(map(re.escape, part.split())) for part in phrase.casefold().split(" ... ")]  # fmt: skip
    return r"(?: (?!(?:and|then|but|because|so|if|when)\b)[\w'/-]+){0,6}? ".join(parts)


def _sentences(text: str) -> Iterator[str]:
    """Sentences in small letters on one line each, with nothing in them that is not seen; none that is asked and denied."""
    seen = "".join(each for each in unicodedata.normalize("NFKC", text) if unicodedata.category(each) != "Cf")
    seen = seen.casefold().replace("’", "'")
    pieces = re.split(r"([.;!?]|\n\s*(?:\n|[-*•]))", seen)
    for n in range(0, len(pieces), 2):
        if pieces[n + 1 : n + 2] == ["?"] and re.match(r"\s*(?:no|never|not|certainly not)\b", pieces[n + 2]):
            continue
        yield from textwrap.wrap(pieces[n], _LONGEST, break_on_hyphens=False)
