"""What only the tutor keeps: the secret that sheets are drawn from, and the record of what was issued to whom.

The record is whole, so that marking needs neither seed nor the topic as it is today: one JSON value a line. The first is
the head: the class and what was asked. Then comes each whole gig that was asked: the texts of all its files, and the key
as it was worked out that day. Each of the other lines is one trainee's sheet with its problems: values drawn, topic and
version, answer, tolerance, slips, notes and workings.
"""

from __future__ import annotations

import hmac
import itertools
import json
import re
import secrets
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from gigsums.gig.files import BadFile
from gigsums.practice.problems import Problem
from gigsums.practice.wording import short
from gigsums.whole_gigs.files import Files
from gigsums.whole_gigs.problem import WholeGig, made_of

FORMAT = 1
LONGEST_LINE = 8_000_000
WORDS = (
    "alder", "anvil", "apron", "attic", "barley", "basin", "beacon", "bramble", "bridge", "bucket", "candle", "canvas",
    "cedar", "chalk", "cinder", "clover", "cobble", "copper", "cotton", "drift", "ember", "fennel", "ferry", "flint",
    "gable", "gravel", "harbour", "hedge", "island", "kettle", "ladder", "lantern", "lichen", "linen", "locket", "maple",
    "marble", "meadow", "mortar", "nettle", "orchard", "paddle", "pebble", "pepper", "pewter", "quarry", "reed", "ribbon",
    "saddle", "saffron", "shingle", "spindle", "spruce", "tallow", "thimble", "timber", "tinder", "velvet", "walnut",
    "wicker",
)  # fmt: skip
_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
PSEUDONYM = re.compile(r"[a-z]{3,12}-[0-9]{3}")
VARIANT = re.compile(rf"[{_LETTERS}]{{4}}-[{_LETTERS}]{{4}}")
_SECRET = re.compile(r"[0-9a-f]{64}")


class Secret:
    """A secret that only the tutor holds.

    Everything drawn from it is HMAC-SHA256 (RFC 2104, FIPS 198-1) of what it is for. Whoever sees a pseudonym, a
    variant or even a seed cannot work out the others without the secret.

    Parameters
    ----------
    text : str, optional
        64 hexadecimal digits; drawn afresh if left out.

    Raises
    ------
    ValueError
        If the text is anything else.
    """

    def __init__(self, text: str = "") -> None:
        self.text = text or secrets.token_hex(32)
        if not _SECRET.fullmatch(self.text):
            raise ValueError("a secret is 64 hexadecimal digits")
        self._key = bytes.fromhex(self.text)

    def __repr__(self) -> str:
        return "Secret()"

    def _digest(self, *what: str | int) -> bytes:
        return hmac.new(self._key, "\x1f".join(map(str, what)).encode("utf-8"), sha256).digest()

    def seed(self, trainee: str, question: int, again: int = 0) -> str:
        """Seed of one question; the same for everybody where `trainee` is empty."""
        return self._digest("seed", trainee, question, again).hex()

    def level(self, question: int) -> int:
        """Difficulty of a question that the class file leaves open: one for the whole class."""
        return 1 + int.from_bytes(self._digest("level", question), "big") % 3

    def pseudonym(self, number: int, again: int = 0) -> str:
        """A word and a number for the trainee of that number on the list; it says nothing about the name."""
        rest, word = divmod(int.from_bytes(self._digest("pseudonym", number, again), "big"), len(WORDS))
        return f"{WORDS[word]}-{100 + rest % 900}"

    def variant(self, trainee: str, paper: str, again: int = 0) -> str:
        """Name of one trainee's sheet. `paper` is what is asked of the class; no answer goes into it."""
        drawn = int.from_bytes(self._digest("variant", trainee, paper, again), "big")
        letters = "".join(_LETTERS[drawn // len(_LETTERS) ** n % len(_LETTERS)] for n in range(8))
        return f"{letters[:4]}-{letters[4:]}"

    def pseudonyms(self, count: int) -> list[str]:
        """One for each number from 1, all different; more of them later leave the first ones as they are."""
        found: dict[str, None] = {}
        for number in range(1, count + 1):
            names = (self.pseudonym(number, again) for again in itertools.count())
            found[next(name for name in names if name not in found)] = None
        return list(found)


@dataclass(frozen=True)
class Head:
    """What was issued, in general: the class, the sheet, and topic, level and skill of each question."""

    name: str
    title: str
    paper: str
    minutes: int
    about: str
    trainees: int
    questions: tuple[Mapping[str, Any], ...]

    @property
    def skills(self) -> tuple[str, ...]:
        """Every skill asked for, in the order of the sheet."""
        return tuple(dict.fromkeys(each["skill"] for each in self.questions))

    @property
    def whole_gigs(self) -> dict[int, str]:
        """Number of each question that is a whole gig, with the name that the record gives its texts."""
        return {n: each["whole_gig"] for n, each in enumerate(self.questions, start=1) if "whole_gig" in each}

    @property
    def topics(self) -> bool:
        """Whether there are questions besides whole gigs."""
        return len(self.whole_gigs) < len(self.questions)


@dataclass(frozen=True)
class Issued:
    """One trainee's sheet as it was issued."""

    trainee: str
    variant: str
    problems: tuple[Problem | WholeGig, ...]
    texts: tuple[str, ...] = ()

    @property
    def whole_gigs(self) -> list[int]:
        """Numbers of the questions that are whole gigs."""
        return [n for n, each in enumerate(self.problems, start=1) if isinstance(each, WholeGig)]

    def altered(self, prints: Mapping[int, str]) -> tuple[int, ...]:
        """Questions whose text in a returned notebook is not the one that was issued."""
        return tuple(n for n, issued in enumerate(self.texts, start=1) if prints.get(n, issued) != issued)


def text_print(text: str) -> str:
    """A fingerprint of what is read on a sheet, whatever its spaces."""
    return sha256(" ".join(text.split()).encode("utf-8", "replace")).hexdigest()[:16]


@cache
def _problems() -> TypeAdapter[Problem]:
    return TypeAdapter(Problem)


def keep_problem(problem: Problem) -> dict[str, Any]:
    """A problem as plain values; what stands at its default is left out."""
    return _problems().dump_python(problem, mode="json", exclude_defaults=True)


def restore_problem(kept: Mapping[str, Any]) -> Problem:
    """The problem of plain values."""
    return _problems().validate_python(kept)


def head_line(head: Head) -> str:
    """The record's first line."""
    return _line({"format": FORMAT, **vars(head), "questions": list(head.questions)})


def gig_line(job: WholeGig) -> str:
    """The record's line for a whole gig: its files' texts, and the key of that day to hold a later one against."""
    return _line({"whole_gig": job.files.id, "files": job.files.as_json(), "key": in_short(job)})


def in_short(job: WholeGig) -> dict[str, Any]:
    """What of a whole gig's key decides marks: counts, verdict, and what the cheapest way costs."""
    key = job.solution
    return {
        "counts": {row.label: row.shown() for row in key.rows},
        "verdict": {"word": key.word, **{name: list(each) for name, each in key.lists.items()}},
        "points": key.answers[0].points if key.answers else None,
    }


def issued_line(trainee: str, variant: str, problems: Sequence[Any], texts: Sequence[str]) -> str:
    """The record's line for one sheet, with the text that each question was shown as."""
    kept = [
        {"form": "whole gig", "whole_gig": each.files.id}
        if isinstance(each, WholeGig)
        else {"form": "drawn", **keep_problem(each)}
        for each in problems
    ]
    prints = [text_print(text) for text in texts]
    return _line({"trainee": trainee, "variant": variant, "texts": prints, "problems": kept})


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n"


class Record:
    """A tutor's record on disk, read line by line.

    Parameters
    ----------
    path : str or Path
        The file.

    Raises
    ------
    BadFile
        If it is missing, or is no record that this version reads.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self.gigs: dict[str, WholeGig] = {}
        self.keys: dict[str, dict[str, Any]] = {}
        for first in self._lines():
            self.head = self._head(first)
            return
        raise BadFile(self.path.name, "", "the record is empty.", "Use the copy that handout wrote.")

    def _lines(self) -> Iterator[str]:
        try:
            with open(self.path, encoding="utf-8", newline="\n") as lines:
                while line := lines.readline(LONGEST_LINE):
                    yield line
        except FileNotFoundError:
            raise BadFile(
                str(self.path), "", "there is no such record.",
                "Say where the tutor's record is, with --record FILE; handout wrote it as tutor/record.jsonl.",
            ) from None  # fmt: skip
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise BadFile(short(str(self.path), 100), "", f"the record cannot be read ({why}).") from None

    def _head(self, line: str) -> Head:
        try:
            read = json.loads(line)
            stated = read.pop("format")
            if stated > FORMAT:
                raise BadFile(
                    self.path.name, "format", f"{stated} is newer than this workbook reads (up to {FORMAT}).",
                    "Update gigsums and try again.",
                )  # fmt: skip
            return Head(**read | {"questions": tuple(read["questions"])})
        except BadFile:
            raise
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise BadFile(
                self.path.name,
                "line 1",
                "this is no record of what was issued.",
                "Use the file that handout wrote.",
            ) from None

    def __iter__(self) -> Iterator[Issued]:
        """Every sheet in the order it was issued.

        Raises
        ------
        BadFile
            If a line is damaged; it says which. If the record has another head by now, or ends too early.
        """
        sheets = 0
        for number, line in enumerate(self._lines(), start=1):
            if number == 1 and self._head(line) != self.head:
                raise BadFile(
                    str(self.path), "", "the class was handed out again in the meantime.", "Mark again."
                )
            issued = self._issued(number, line) if number > 1 else None
            if issued:
                yield issued
                sheets += 1
        if sheets != self.head.trainees:
            raise BadFile(
                self.path.name, "", f"{sheets} sheets are in the record of {self.head.trainees} that were issued.",
                "Use an undamaged copy.",
            )  # fmt: skip

    def _issued(self, number: int, line: str) -> Issued | None:
        """The sheet that a line keeps; nothing of one that keeps a whole gig, which is made once and then known."""
        try:
            read = json.loads(line)
            if "whole_gig" in read:
                files = Files.from_json(read["files"])
                if files.id != read["whole_gig"]:
                    raise ValueError
                self.gigs[files.id] = made_of(files)
                self.keys[files.id] = dict(read["key"])
                return None
            problems = tuple(
                self.gigs[each["whole_gig"]] if each.pop("form") == "whole gig" else restore_problem(each)
                for each in read["problems"]
            )
            issued = Issued(read["trainee"], read["variant"], problems, tuple(read["texts"]))
            whole = PSEUDONYM.fullmatch(issued.trainee) and VARIANT.fullmatch(issued.variant)
            if not whole or len(problems) != len(self.head.questions):
                raise ValueError
        except BadFile as error:
            raise BadFile(
                self.path.name, f"line {number}", f"the whole gig that is kept there cannot be used any more ({error}).",
                "Mark it with the version of gigsums that handed it out.",
            ) from None  # fmt: skip
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise BadFile(
                self.path.name,
                f"line {number}",
                "this line of the record is damaged.",
                "Use an undamaged copy.",
            ) from None
        return issued

    @property
    def whole_gigs(self) -> dict[int, WholeGig]:
        """Each whole gig by the number of its question, once the record has been read."""
        return {n: self.gigs[id_] for n, id_ in self.head.whole_gigs.items() if id_ in self.gigs}

    def changed(self) -> tuple[int, ...]:
        """Questions whose key is worked out otherwise today than on the day they were handed out."""
        return tuple(n for n, job in self.whole_gigs.items() if in_short(job) != self.keys[job.files.id])
