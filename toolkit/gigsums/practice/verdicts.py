"""A verdict as people write it: one reading for questions and for whole gigs."""

from __future__ import annotations

import re

from gigsums.quantities import ALIKE

VERDICTS = FITS, CARE, CHANGES, REFUSED = "fits", "fits with care", "fits with changes", "does not fit"
_BARE, _EVEN = "with changes", "even with changes"
"""Half a line: a verdict only beside another one."""

_LONG = {"wo": "will", "ca": "can", None: "can"}
_NOT = re.compile(r"\b(?:(do|does|did|is|are|wo|will|would|ca|can|could)n'?t|cannot)\b")
_CLAUSE = re.compile(r"[,;:.!?()\[\]/|\n\u2014]+|\s-+|-+\s|--+|\b(?:and|though|however)\b")
_REASON = re.compile(
    r"\b(?:because|since|otherwise|else|due to|as (?!(?:it )?(?:is|stands|asked|planned|drawn|was)\b))"
)
_SAME = {
    **dict.fromkeys(("fits", "fitted", "fitting"), "fit"),
    **dict.fromkeys(("changes", "changed", "changing"), "change"),
    **dict.fromkeys(("cares", "careful", "caution"), "care"),
    **dict.fromkeys(("yep", "yeah", "aye"), "yes"),
    **dict.fromkeys(("not", "nope", "never"), "no"),
    **dict.fromkeys(("w", "after", "once", "if", "given", "when"), "with"),
    **dict.fromkeys(("need", "needs", "needed", "require", "requires", "required", "wants"), "with"),
    "unless": "without",
    "either": "even",
}
_SMALL = frozenset(
    [
        "a",
        "all",
        "an",
        "answer",
        "any",
        "are",
        "as",
        "asked",
        "at",
        "be",
        "bit",
        "can",
        "couple",
        "could",
        "desk",
        "did",
        "do",
        "does",
        "done",
        "drawn",
        "evening",
        "everything",
        "few",
        "for",
        "get",
        "gig",
        "i",
        "is",
        "it",
        "its",
        "job",
        "just",
        "little",
        "made",
        "make",
        "minor",
        "my",
        "of",
        "on",
        "only",
        "our",
        "overall",
        "planned",
        "rig",
        "show",
        "slight",
        "small",
        "so",
        "some",
        "stands",
        "still",
        "that",
        "the",
        "then",
        "there",
        "think",
        "this",
        "to",
        "verdict",
        "was",
        "we",
        "well",
        "will",
        "word",
        "would",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
    ]
)
_SAYS = tuple(
    (re.compile(pattern), meaning)
    for pattern, meaning in (
        (r"(?:yes )?no (?:fit )?without change|without change no(?: fit)?", CHANGES),
        (r"(?:yes )?fit with change|yes with change(?: fit)?|with change (?:fit|yes)|change with", CHANGES),
        (r"with change(?: with)?", _BARE),
        (r"even with change|no (?:even )?with change", _EVEN),
        (
            r"(?:yes )?fit (?:with no|without|no) change|(?:yes )?(?:with no|without|no) change(?: with)?",
            FITS,
        ),
        (r"yes(?: fit)?|fit(?: yes)?", FITS),
        (r"(?:yes )?(?:fit )?with care(?: with)?|care(?: with)?", CARE),
        (
            r"no(?: no)?(?: fit)?|no fit (?:even )?with change(?: even)?|(?:even )?with change no(?: fit)?",
            REFUSED,
        ),
    )
)


def with_not(text: str) -> str:
    """The text with every short form of "not" written out: "doesn't", "doesnt", "cannot"."""
    return _NOT.sub(lambda found: f"{_LONG.get(found[1], found[1])} not", text)


def verdict_in(text: str) -> str:
    """The verdict that somebody wrote, whatever stands round it.

    Parameters
    ----------
    text : str
        What was written: "Fits, with changes", "No, it doesn't fit", "does not fit because ...".

    Returns
    -------
    str
        One of `VERDICTS`; empty where none is said, or two that contradict each other.

    Examples
    --------
    >>> verdict_in("Yes, but only with changes.")
    'fits with changes'
    >>> verdict_in("fits / does not fit")
    ''
    """
    plain = with_not(text.translate(ALIKE).casefold())
    plain = re.sub(r"\bw/\s*", "with ", plain).replace("_", " ")
    plain = re.sub(r"\b(?:it|this) (?:does|will|would|can)\s*(?=$|[,;.!])", "fit", plain)
    plain = re.sub(r"\b(?:0|zero) (?=change)", "no ", plain)
    plain = re.sub(r"\bbut\b", ", yes ", plain)
    plain = _REASON.split(plain, maxsplit=1)[0]
    said: set[str] = set()
    for clause in _CLAUSE.split(plain):
        every = [_SAME.get(word, word) for word in re.findall(r"[a-z]+|[0-9]+", clause)]
        words = [word for word in every if len(word) > 1 and word not in _SMALL and not word.isdigit()]
        line = " ".join(words)
        meant = next((meaning for pattern, meaning in _SAYS if pattern.fullmatch(line)), "")
        if meant and not (said and line == "yes"):
            said.add(meant)
        elif "fit" in words or ({"change", "care"} & set(words) and not said & {CHANGES, REFUSED}):
            return ""
    if _EVEN in said:
        return REFUSED if said == {_EVEN, REFUSED} else ""
    if CHANGES in said or (_BARE in said and REFUSED not in said):
        return CHANGES  # refused beside it means: not as asked
    if said == {FITS, CARE}:
        return CARE
    return said.pop() if len(said) == 1 else ""
