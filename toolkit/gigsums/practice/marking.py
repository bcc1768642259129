"""One answer read and marked. What was typed is text, read as people write and compared; nothing in it is ever run."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from numbers import Integral, Real

from gigsums.quantities import ALIKE, NotUnderstood, convert, read, show

from .problems import Part, Problem, RightAnswer, Value, Values
from .wording import as_markdown, bullets, in_words, sentence, short, singular

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


LONGEST = 200
_DIGITS = 6

_ONES = (
    "nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBER_WORDS = re.compile(
    rf"\b(?:(?P<tens>{'|'.join(_TENS)})(?:[ -](?P<and_ones>{'|'.join(_ONES[1:10])}))?|(?P<ones>{'|'.join(_ONES)}|zero|nil|none))\b"
)
_TOKENS = re.compile(r"(?P<number>[0-9]+)|(?P<word>[a-z]+(?:[ -][a-z]+)*)|(?P<gap>[\s,;:/=&]+)")
_ABOUT = re.compile(
    r"(?:about|around|roughly|nearly|approx(?:imately)?\.?|circa|ca\.?|answer)(?=[\s:0-9+-])[\s:]*|[~≈]\s*",
    re.IGNORECASE,
)
_IT_IS = re.compile(r"[a-z ]{0,40}\b(?:is|get|equals|makes|it's)\s*[\s:]", re.IGNORECASE)
_REMARK = re.compile(r"\s*\((?![ACZ]\))[^()]*\)")
_MORE_THAN_ONE = re.compile(r"[0-9]\s*[a-z°Ωµμ%]*\s*(?:\bor\b|\bto\b|-|\.\.+)\s*[0-9]", re.IGNORECASE)
_LESS = ("down", "less", "lower", "quieter", "softer", "shorter", "lost", "loss", "below")
_MORE = (
    "up",
    "more",
    "louder",
    "higher",
    "longer",
    "later",
    "late",
    "wide",
    "away",
    "apart",
    "each",
    "rms",
    "gain",
)
_DIRECTION = re.compile(rf"(?P<rest>.*[0-9].*?)\s+(?P<way>{'|'.join((*_LESS, *_MORE))})", re.IGNORECASE)
_FRACTION = re.compile(
    r"(?P<sign>[+-]?)\s*(?:(?P<whole>[0-9]{1,3}) )?(?P<over>[0-9]{1,4}) ?/ ?(?P<under>[1-9][0-9]{0,3})(?![0-9])"
)
_GROUPED = re.compile(
    r"(?<![0-9.,])[0-9]{1,3}(?:(?:,[0-9]{3})+\.[0-9]+|(?:\.[0-9]{3})+,[0-9]+|(?:,[0-9]{3}){2,})(?![0-9.,])"
)
_EITHER_COMMA = re.compile(r"(?<![0-9.,])([1-9][0-9]{0,2}),([0-9]{3})(?![0-9.,])")
_FILLERS = frozenset((
    "a", "all", "altogether", "an", "are", "at", "count", "get", "i", "in", "is", "it", "its", "need", "needed", "needs",
    "of", "on", "so", "taken", "that", "the", "there", "total", "we", "you",
))  # fmt: skip
_LETTER = re.compile(r"(?:(?:the )?(?:answer|choice|question) )?[0-9]{0,2} ?\(?([a-z])\)?")
_ROUND_CHOICES = _FILLERS | {"desk"}
COMMA = "the comma could be a decimal mark or stand between thousands, so type a point or no comma"


def as_usual(text: str) -> str:
    """The text with the spaces and signs of an ordinary keyboard."""
    return text.translate(ALIKE)


def without_stop(text: str) -> str:
    """The text without the full stop that ends a sentence."""
    plain = text.strip()
    return plain[:-1].rstrip() if re.search(r"[^.,]\.$", plain) else plain


def readings(text: str, answer: RightAnswer) -> tuple[Values, ...]:
    """Every way to read what was typed; more than one where a comma may be a decimal mark or stand between thousands.

    Parameters
    ----------
    text : str
        What was typed.
    answer : RightAnswer
        What is asked for; its values are not looked at.

    Returns
    -------
    tuple of tuple
        Each with the values it was read as [the parts' units].

    Raises
    ------
    NotUnderstood
        If it cannot be read as such an answer; its `why` says what is wrong.
    """
    typed = as_usual(text)
    if len(typed) > LONGEST:
        raise NotUnderstood("", f"{len(typed)} characters are too many for an answer", "")
    if not typed.strip():
        raise NotUnderstood("", "Nothing is typed yet", "")
    plain = without_stop(typed)
    if all(part.kind is None and not part.choices for part in answer.parts):
        return (_counts(", ".join(_result(piece) for piece in re.split(r"[;,\n]", plain)), answer.parts),)
    return tuple(
        _read(_in_order(_pieces(each, answer.parts), answer.parts), answer.parts)
        for each in _commas(plain, answer)
    )


def _commas(text: str, answer: RightAnswer) -> Iterator[str]:
    """The text with each comma that may mean two things taken both ways."""
    text = _GROUPED.sub(_without_groups, text)
    pieces = _EITHER_COMMA.split(
        text
    )  # between two pieces stand what is before the comma and what is behind it
    commas = len(pieces) // 3
    if not 0 < commas <= sum(part.kind is not None for part in answer.parts):
        yield text
        return
    for marks in product((".", ""), repeat=commas):
        yield pieces[0] + "".join(
            f"{pieces[3 * n + 1]}{mark}{pieces[3 * n + 2]}{pieces[3 * n + 3]}" for n, mark in enumerate(marks)
        )


def _without_groups(found: re.Match[str]) -> str:
    number = found[0]
    last = max(number.rfind("."), number.rfind(","))
    if number.count(number[last]) > 1:
        return re.sub(r"[.,]", "", number)
    return re.sub(r"[.,]", "", number[:last]) + "." + number[last + 1 :]


def _pieces(text: str, parts: Sequence[Part]) -> list[str]:
    """What was typed for each part: with a semicolon between, or told apart otherwise if that is plain."""
    if len(parts) == 1:
        return [text]
    ways = [r"\s*[;\n]\s*", r"\s*[;\n]\s*|,\s+(?:and\s+)?|\s+and\s+"]
    if not any(part.kind for part in parts):
        ways.append(r"\s*[;,\n]\s*(?:and\s+)?|\s+and\s+")
        ways.append(r"\s*[;,\n]\s*|\s+and\s+|\s+(?=[0-9])")
    ways.append(r"\s*[;\n]\s*|,\s+|\s+and\s+|(?<=[a-z])\s+(?=[0-9])")
    first = 0
    for way in ways:
        pieces = [piece for piece in re.split(way, text.strip()) if piece]
        if len(pieces) > len(parts) and any(part.choices for part in parts):
            pieces = _words_together(pieces)
        if len(pieces) == len(parts):
            return pieces
        first = first or len(pieces)
    raise NotUnderstood("", _too_few(first, len(parts), "thing"), "")


def _words_together(pieces: list[str]) -> list[str]:
    """The pieces with those in words that stand side by side made one again: "Fits, with changes"."""
    numbers = re.compile(r"[0-9]")
    together: list[str] = []
    for piece in pieces:
        if together and not any(
            numbers.search(in_figures(each.casefold())) for each in (together[-1], piece)
        ):
            together[-1] += f", {piece}"
        else:
            together.append(piece)
    return together


def _in_order(pieces: list[str], parts: Sequence[Part]) -> list[str]:
    """The pieces in the order of the parts, where one of them is a word and stands elsewhere."""
    asked = [n for n, part in enumerate(parts) if part.choices]
    if len(asked) != 1 or _choice(pieces[asked[0]], parts[asked[0]]):
        return pieces
    words = [n for n, piece in enumerate(pieces) if _choice(piece, parts[asked[0]])]
    if len(words) != 1:
        return pieces
    word = pieces[words[0]]
    rest = [piece for n, piece in enumerate(pieces) if n != words[0]]
    return [*rest[: asked[0]], word, *rest[asked[0] :]]


def _read(pieces: list[str], parts: Sequence[Part]) -> Values:
    words = [choice for part in parts for choice in part.choices]
    counted = [n for n, part in enumerate(parts) if part.kind is None and not part.choices]
    values: list[Value] = [""] * len(parts)
    for n, (piece, part) in enumerate(zip(pieces, parts, strict=True)):
        if part.choices:
            values[n] = _choice(piece, part)
            if not values[n]:
                raise NotUnderstood("", f"“{short(piece.strip())}” is none of the choices", "")
        elif part.kind is not None:
            values[n] = _quantity(piece, part)
    bare = [_without(_result(pieces[n]), words) for n in counted]
    try:
        counts = tuple(_counts(each, (parts[n],))[0] for each, n in zip(bare, counted, strict=True))
    except NotUnderstood:
        if len(counted) < 2:
            raise
        counts = _counts(", ".join(bare), tuple(parts[n] for n in counted))
    for n, count in zip(counted, counts, strict=True):
        values[n] = count
    return tuple(values)


def _choice(piece: str, part: Part) -> str:
    """The choice that a piece is, whatever small words stand round it; empty if it is none."""
    if FITS in part.choices:
        said = verdict_in(piece)
        return FITS if said == CARE and CARE not in part.choices else said if said in part.choices else ""
    plain = with_not(" ".join(piece.casefold().split())).strip(" .,:!")
    if letter := _LETTER.fullmatch(plain):
        return letter[1] if letter[1] in part.choices else ""
    plain = re.split(r"[,(]|\bbecause\b|\bsince\b", plain)[0].strip(" .,:!")
    known = {choice.casefold(): choice for choice in part.choices}
    known |= {singular(choice.casefold()): choice for choice in part.choices}
    positive = [choice for choice in part.choices if f"not {choice}" in part.choices]
    if len(part.choices) == 2 and positive:
        known |= {"yes": positive[0], "no": f"not {positive[0]}"}
    if plain in known:
        return known[plain]
    return known.get(" ".join(word for word in plain.split() if word not in _ROUND_CHOICES), "")


def _quantity(piece: str, part: Part) -> float:
    """A quantity [base unit]."""
    assert part.kind is not None
    plain = without_stop(piece)
    plain = plain.rpartition("=")[2].strip() or plain
    plain = _number_first(plain)
    plain = _REMARK.sub("", plain).strip() or plain
    if _MORE_THAN_ONE.search(plain):
        raise NotUnderstood("", f"“{short(plain)}” is more than one number, and one is wanted", "")
    plain = re.sub(
        r"^minus (?=[0-9.])",
        "-",
        re.sub(r"^plus (?=[0-9.])", "", plain, flags=re.IGNORECASE),
        flags=re.IGNORECASE,
    )
    plain = re.sub(r"^(?:a )?loss of (?=[0-9])", "-", plain, flags=re.IGNORECASE)
    sign = 1.0
    if way := _DIRECTION.fullmatch(plain):
        plain = way["rest"]
        less = way["way"].casefold() in _LESS and not plain.startswith("-")
        sign = -1.0 if less and part.unit.startswith(("dB", "ms")) else 1.0
    if over := _FRACTION.match(plain):
        worth = int(over["whole"] or 0) + int(over["over"]) / int(over["under"])
        plain = f"{over['sign']}{worth:.9f}{plain[over.end() :]}"
    try:
        return sign * read(plain, part.kind, part.given_in or None, check=False)
    except NotUnderstood as error:
        stood = f"“{error.stood}”: " if error.stood else ""
        raise NotUnderstood("", f"{stood}{error.why}", "") from None


def _number_first(piece: str) -> str:
    """A piece without what leads up to its number: "it is about 12 m"; as it is if no number comes next."""
    plain = piece.strip()
    if found := _IT_IS.match(plain):
        plain = plain[found.end() :].strip()
    while found := _ABOUT.match(plain):
        plain = plain[found.end() :]
    return plain if re.match("[-+]?[0-9.]|minus|plus", plain) else piece


def _result(piece: str) -> str:
    """A piece without the working in it: of "mixes: 3 + 2 = 5" the name and what it comes to."""
    plain = _REMARK.sub("", piece).strip() or piece
    found = re.match(r"(?P<name>[^0-9=]*(?:=\s*)?)[0-9][^=]*=.*?(?P<rest>[^=]*)$", plain, re.DOTALL)
    plain = f"{found['name']} {found['rest']}" if found else plain
    return _number_first(plain)


def _without(piece: str, words: Sequence[str]) -> str:
    """A piece without the words that another part of the answer is chosen from: "22 sockets"."""
    for word in sorted(words, key=len, reverse=True):
        piece = re.sub(
            rf"(?<=[0-9])\s+(?:{re.escape(word)}|{re.escape(singular(word))})\b",
            "",
            piece,
            flags=re.IGNORECASE,
        )
    return piece


def in_figures(text: str) -> str:
    """The text, in small letters, with its numbers in words written in figures: "twenty-four", "none"."""

    def figures(found: re.Match[str]) -> str:
        if found["tens"]:
            ones = _ONES.index(found["and_ones"]) if found["and_ones"] else 0
            return str(10 * (_TENS.index(found["tens"]) + 2) + ones)
        return str(_ONES.index(found["ones"])) if found["ones"] in _ONES else "0"

    return _NUMBER_WORDS.sub(figures, text)


def _counts(typed: str, parts: tuple[Part, ...]) -> tuple[int, ...]:
    """Whole numbers in the order of the parts, or each with the name of its part before or behind it."""
    numbers: list[int] = []
    names: list[str] = []
    at, plain = 0, in_figures(without_stop(typed).casefold().strip())
    plain = re.sub(r"(?<=[a-z]) - (?=[0-9])|(?<=[a-z0-9])\.(?=\s)", " ", plain)  # "mixes - 4. Buses - 6."
    if _MORE_THAN_ONE.search(plain):
        raise NotUnderstood(
            "", f"“{short(typed.strip())}” leaves more than one number open, and one is wanted", ""
        )
    while at < len(plain):
        token = _TOKENS.match(plain, at)
        if token is None:
            raise NotUnderstood("", f"“{short(typed.strip())}” is not made of whole numbers alone", "")
        if token["number"]:
            if len(token["number"]) > _DIGITS:
                raise NotUnderstood("", f"a number of {len(token['number'])} digits is too long", "")
            numbers.append(int(token["number"]))
        elif token["word"]:
            names.extend(_names(token["word"], parts))
        at = token.end()
    if len(numbers) != len(parts):
        raise NotUnderstood("", _too_few(len(numbers), len(parts), "number"), "")
    if len(parts) == 1 or not names:
        return tuple(numbers)
    if sorted(names) != sorted(part.name for part in parts):
        raise NotUnderstood("", "name each of the numbers once, or none", "")
    said = dict(zip(names, numbers, strict=True))
    return tuple(said[part.name] for part in parts)


def _names(words: str, parts: tuple[Part, ...]) -> list[str]:
    for part in parts:
        if words in (part.name, singular(part.name)):
            return [part.name]
    found: list[str] = []
    for some in re.split(r"\band\b", words):
        left = [word for word in some.split() if word not in _FILLERS]
        if not left:
            continue
        meant = [part.name for part in parts if _short_for(left, part.name)]
        if len(meant) > 1:
            raise NotUnderstood("", f"“{short(' '.join(left))}” may be {' or '.join(meant)}", "")
        if not meant:
            raise NotUnderstood("", f"“{short(' '.join(left))}” is not a whole number in figures", "")
        found += meant
    return found


def _short_for(words: list[str], name: str) -> bool:
    """Whether each of the words begins one of the words of a name, or one of it: "mic" of "microphone inputs"."""
    whole = [*name.split(), *(singular(word) for word in name.split())]
    return all(
        any(each == word or (len(word) > 2 and each.startswith(word.removesuffix("s"))) for each in whole)
        for word in words
    )


def _too_few(found: int, asked: int, what: str) -> str:
    one = f"there is {in_words(1)} {what}"
    there = {0: f"there is no {what}", 1: one}.get(found, f"there are {found} {what}s")
    return f"{there}, and {'one is' if asked == 1 else f'{asked} are'} wanted"


MALFORMED, RIGHT, NOTED = "malformed", "right", "right with a note"
SLIP, WRONG = "named slip", "wrong"
OUTCOMES = (MALFORMED, RIGHT, NOTED, SLIP, WRONG)
_SAID = {
    MALFORMED: "Not an answer yet",
    RIGHT: "Right",
    NOTED: "Right, with a note",
    SLIP: "Not yet, and this is a slip many make",
    WRONG: "Not yet",
}

EXAMPLE = 90
NEARLY = 3
"""So many tolerances off, an answer is told that it is near."""
_BEST = (RIGHT, NOTED, SLIP, WRONG)


@dataclass(frozen=True, repr=False)
class Marking:
    """What an answer is worth, and what to say about it.

    Attributes
    ----------
    outcome : str
        One of `OUTCOMES`: malformed, right, right with a note, named slip, wrong.
    typed : str
        What was typed, shortened; treat it as text from a stranger.
    values : tuple or None
        What it was read as [the parts' units]; None where it is malformed.
    message : str
        What to tell whoever typed it.
    slip : str
        Name of the slip or of the approximation, empty for other outcomes.
    workings : tuple of str
        The way to the answer, given once it has been found.
    """

    outcome: str
    typed: str
    values: Values | None
    message: str
    slip: str = ""
    workings: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """Whether it is right, with or without a note."""
        return self.outcome in (RIGHT, NOTED)

    def __str__(self) -> str:
        return f"{self.outcome}: {self.message}"

    __repr__ = __str__

    def _repr_markdown_(self) -> str:
        said = f"**{_SAID[self.outcome]}.** {as_markdown(self.message)}"
        return f"{said}\n\n{bullets(self.workings)}" if self.workings else said


def mark(problem: Problem, text: str | float) -> Marking:
    """Mark one answer to a problem.

    Parameters
    ----------
    problem : Problem
        The problem answered.
    text : str or number
        What was typed: "74,8 ms", "12 ft", "4 mixes, 6 buses". A bare number is in the unit asked for.

    Returns
    -------
    Marking
        Outcome and message. Whatever the text is, it is read as text: malformed at worst, never an error.

    Examples
    --------
    >>> from gigsums.practice import problem
    >>> str(mark(problem("monitor mixes", 11), "plenty")).split(":")[0]
    'malformed'
    """
    typed = _as_text(text)
    try:
        each = readings(typed, problem.answer)
    except NotUnderstood as error:
        return Marking(MALFORMED, short(typed), None, f"{sentence(error.why)}. Type {problem.wanted}.")
    compared = [(values, *_compare(problem, values)) for values in each]
    values, outcome, slip, message = min(compared, key=lambda one: _BEST.index(one[1]))
    if outcome == WRONG and len(each) > 1:
        return Marking(MALFORMED, short(typed), None, f"{sentence(COMMA)}. Type {problem.wanted}.")
    workings = problem.workings if outcome in (RIGHT, NOTED) else ()
    return Marking(outcome, short(typed), values, message, slip, workings)


def _compare(problem: Problem, values: Values) -> tuple[str, str, str]:
    """What values are worth, whatever way they were typed: 85 and 85.0 are one answer."""
    answer = problem.answer
    if answer.near(values, answer.values):
        return RIGHT, "", f"Yes: {answer.show()}."
    for note in problem.notes:
        if answer.reaches(note.values, values):
            return NOTED, note.name, note.text
    for slip in problem.slips:
        if answer.near(values, slip.values):
            return SLIP, slip.name, f"{slip.name}. {slip.hint}"
    return _wrong(problem, values)


def _wrong(problem: Problem, values: Values) -> tuple[str, str, str]:
    answer = problem.answer
    if len(answer.parts) == 1 and answer.parts[0].kind and answer.near(values, answer.values, NEARLY):
        return WRONG, "", "Near, but not near enough: was something rounded on the way, or a little left out?"
    good = [
        part.name or "the number"
        for part, value in zip(answer.parts, values, strict=True)
        if part.near(value, part.value)
    ]
    half = f"Right so far: {' and '.join(good)}. The rest is not. " if good else ""
    return WRONG, "", f"{half}{problem.nudge or 'Go through it again, one step at a time.'}"


def _as_text(text: object) -> str:
    if isinstance(text, str):
        return text
    if isinstance(text, bool) or not isinstance(text, Real):
        return f"<{type(text).__name__}>"
    if isinstance(text, Integral):
        return str(int(text)) if abs(int(text)) < 10**LONGEST else "9" * (LONGEST + 1)
    value = float(text)
    if not math.isfinite(value) or abs(value) >= 1e15:
        return str(value)
    return f"{value:.9f}".rstrip("0").rstrip(".")


def wanted(answer: RightAnswer) -> str:
    """What to type for an answer, in words and with an example.

    The example is the same whatever the answer is: one that avoided the answer would tell something about it.
    """
    if len(answer.parts) == 1:
        return f"{_wanted(answer.parts[0])}; for example {_example(answer.parts[0])}"
    names = ", then ".join(part.name for part in answer.parts)
    if all(part.kind is None and not part.choices for part in answer.parts):
        example = ", ".join(str(EXAMPLE + k) for k in range(len(answer.parts)))
        return f"{in_words(len(answer.parts))} whole numbers in figures: {names}; for example {example}"
    each = ", then ".join(
        f"{part.name} ({_wanted(part)})" if part.name else _wanted(part) for part in answer.parts
    )
    example = "; ".join(_example(part) for part in answer.parts)
    return f"{in_words(len(answer.parts))} things with a semicolon between: {each}; for example {example}"


def _wanted(part: Part) -> str:
    if part.choices:
        what = "letters" if all(len(each) == 1 for each in part.choices) else "words"
        return f"one of the {what} {', '.join(part.choices)}"
    if part.kind is None:
        return "a whole number in figures"
    asked = f"a number in {part.typed_in}" if part.typed_in else "a number"
    several = part.kind is not None and len([unit for unit in part.kind.units if unit.name]) > 1
    return f"{asked}{_how_near(part)}{', or with another unit' if several else ''}"


def _how_near(part: Part) -> str:
    """How finely it has to be told: a step that rounds within the tolerance."""
    if part.kind is None or not (part.absolute or part.share):
        return ""
    if not part.absolute:
        return ", to three figures"
    step = part.step_at(0.0) / part.kind.unit(part.given_in or None).factor
    return f", to {step:g} {part.typed_in}".rstrip()


def _example(part: Part) -> str:
    if part.choices:
        return part.choices[0]
    if part.kind is None:
        return str(EXAMPLE)
    unit = part.given_in or None
    return show(convert(EXAMPLE, part.kind, given=unit), part.kind, unit)
