"""Danger in somebody's own words: what plainly says it, what may say it, and what forbids it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

EARTH = "a protective earth would be defeated"
CLICK = "a click or a cue would reach the audience"

_CONDUCTOR = (
    r"(?:earth(?:s|ing)?(?! (?:loop|leakage|hum))|(?:mains|safety) ground"
    r"|ground (?:pin|wire|prong|conductor|connection)|protective conductor|green[ -/]*(?:and )?yellow)"
)
_DEFEAT = (
    r"(?:lift|cut|remov|disconnect|defeat|tap(?:e|ing)|snap|snip|clip|break|bypass|unhook|pull|float|unscrew|isolat|insulat"
    r"|saw|take|leave|took)"
)
_DONE = r"(?:lifted|cut|off|out|removed|disconnected|taped|snapped|snipped|bypassed|pulled|isolated)"
_EARTH = re.compile(
    rf"\b{_DEFEAT}\w*\b[^.;!?]{{0,40}}\b{_CONDUCTOR}\b"
    rf"|\b{_CONDUCTOR}\b(?: (?:pin|wire))?\b[^.;!?]{{0,20}}\b{_DONE}\b"
    r"|\blift\w* (?:(?:the|its|their|that|a|every) )?ground\b(?! (?:floor|lift))"
    r"|\bunearth(?:s|ing)?\b"
)
_KEPT = re.compile(rf"\b(?:take|leave)\b[^.;!?]{{0,40}}\b{_CONDUCTOR}\b(?! (?:off|out|open))")
"""Taking a look at an earth, or leaving it alone, is no harm; taking it out is."""
_MAYBE_EARTH = re.compile(
    rf"\b(?:without|no|missing) (?:(?:a|an|the|any|its|protective|mains) )*{_CONDUCTOR}\b"
    r"|\bunearthed\b|\b(?:two|2)[ -](?:pin|prong)\b"
    r"|\b(?:earth|ground)[ -]?lift\w*\b(?=.*\b(?:plug|mains|amp\w*|rack|backline|extension|supply)\b)"
)
_SIGNAL = re.compile(r"\b(?:di|signal|screen|shield|isolat\w*|transformer|audio|balanced)\b")
_MAINS = re.compile(r"\b(?:plug\w*|mains|pin|protective|wire|extension|supply|green)\b")

_HEARERS = (
    r"(?:mains|main (?:mix|speakers|loudspeakers|system|outputs?|pa)|audience|public|crowd|pa|foh|front of house"
    r"|house (?:speakers|loudspeakers|system|mix))"
)
_CLICK_WORD = r"(?:click|cue|metronome)\w*"
_CLICK = re.compile(
    rf"\b{_CLICK_WORD}\b[^.;!?]{{0,40}}\b(?:to|in|into|through|over|on|via)\b[^.;!?]{{0,20}}\b{_HEARERS}\b"
    rf"|\b{_HEARERS}\b[^.;!?]{{0,15}}\b(?:hears?|gets?|carr(?:y|ies)|plays?|have|has)\b[^.;!?]{{0,20}}\b{_CLICK_WORD}\b"
    rf"|\b{_CLICK_WORD}\b[^.;!?]{{0,20}}\bout front\b"
)

_SENT_TO = re.compile(
    rf"(?:the )?(?:{_HEARERS}|main|l ?[+&/]? ?r|left and right|out front|everywhere|everything|all)"
    r"(?: (?:l|r|left|right|out|outs|bus|mix|speakers|loudspeakers))*"
)

_NEGATION = r"(?:no|not|never|nobody|no one|nothing|cannot|can.?t|don.?t|mustn.?t|won.?t|isn.?t|doesn.?t|without|rather than|instead of)"
_CONDEMNED = (
    r"(?:forbid\w*|forbidden|danger\w*|illegal|kills?|deadly|fatal|wrong|refus\w*|avoid\w*|prohibit\w*|banned|against"
    r"|not allowed|out of the question)"
)
_BEFORE = re.compile(rf"\b(?:{_NEGATION}|{_CONDEMNED})(?: (?!if\b|when\b|because\b|hum\b)[\w'’]+){{0,2}} ?$")
_NOT_DONE = re.compile(rf"\b(?:not|never|mustn.?t|isn.?t|aren.?t)(?: \w+){{0,2}} {_DONE}$")
_WITHIN = re.compile(r"\b(?:not|never|out of|away from|mustn.?t|don.?t|doesn.?t|won.?t|isn.?t)\b")
_AFTER = re.compile(rf"^[\w' ]{{0,25}}\b{_CONDEMNED}\b")
_DOUBT = re.compile(rf"\b(?:{_NEGATION}|{_CONDEMNED})\b")
_BUT = re.compile(r"\b(?:but|though|although|anyway|unless|except|still|however|only if|just)\b")


@dataclass(frozen=True)
class Said:
    """Something dangerous that somebody wrote.

    Attributes
    ----------
    what : str
        `EARTH` or `CLICK`.
    words : str
        The sentence.
    plain : bool
        Whether it says so plainly; otherwise a person has to read what is meant.
    """

    what: str
    words: str
    plain: bool


def is_public(destination: str) -> bool:
    """Whether what is sent there reaches the audience, by whatever name the trade has for it.

    Parameters
    ----------
    destination : str
        Where a source is sent, as somebody wrote it.

    Returns
    -------
    bool
    """
    return any(_SENT_TO.fullmatch(each) for each in _sentences(destination))


def dangers_said(text: str) -> Iterator[Said]:
    """Find danger in a text: a sentence that plainly forbids it is none, a doubtful one is named and not plain.

    Parameters
    ----------
    text : str
        Text from a stranger.

    Yields
    ------
    Said
        Each sentence that proposes, or may propose, to defeat an earth or to let the audience hear a click.
    """
    for sentence in _sentences(text):
        earth, maybe = _EARTH.search(sentence), _MAYBE_EARTH.search(sentence)
        if earth and _KEPT.search(sentence) and not _EARTH.search(_KEPT.sub(" ", sentence)):
            earth = None
        signal, mains = _SIGNAL.search(sentence), _MAINS.search(sentence)
        if earth and not (signal and not mains) and not _forbidden(sentence, earth):
            yield Said(EARTH, sentence, not signal and not _DOUBT.search(sentence))
        elif maybe and not earth and not signal:
            yield Said(EARTH, sentence, False)
        click = _CLICK.search(sentence)
        if click and not _forbidden(sentence, click) and not _WITHIN.search(click[0]):
            one_thing = not re.search(r",|\band\b", click[0])
            yield Said(CLICK, sentence, one_thing and not _DOUBT.search(sentence))


def _sentences(text: str) -> Iterator[str]:
    """Sentences in small letters on one line each, with nothing in them that is not seen."""
    seen = "".join(each for each in unicodedata.normalize("NFKC", text) if unicodedata.category(each) != "Cf")
    seen = seen.casefold().replace("p.a.", "pa").replace("f.o.h.", "foh")
    for sentence in re.split(r"[.;!?]|\n\s*(?:\n|[-*•])", seen):
        if plain := " ".join(sentence.split()):
            yield plain


def _forbidden(sentence: str, found: re.Match[str]) -> bool:
    """Whether the words before or behind forbid it, and nothing takes that back."""
    before, after = sentence[: found.start()], sentence[found.end() :]
    if _NOT_DONE.search(found[0]):
        return True
    if _BUT.search(before) or _BUT.search(after):
        return False
    return bool(_BEFORE.search(before) or _AFTER.search(after))
