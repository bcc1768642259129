"""What came back: files of strangers, read as data under limits, and sorted by the sheet that they answer.

A trainee answers in a TOML file or in a notebook, a whole gig in a TOML file of its own. Nothing in them is ever run. What
an answer to a whole gig says is not kept while a class is marked, for it may be long: a file is looked at once to see whose
it is, and read again when its turn to be marked comes.
"""

from __future__ import annotations

import json
import os
import re
import stat
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any

from gigsums.gig import BadFile
from gigsums.gig.files import DEEPEST, depth, guarded
from gigsums.practice.wording import listed, short
from gigsums.whole_gigs.answers import LARGEST_BYTES, Given
from gigsums.whole_gigs.answers import read_answers as read_table

from .issuing import GIG_NOTEBOOK, GIG_PRINTED, PRINTED, RETURN
from .record import PSEUDONYM, VARIANT, Issued, text_print

LARGEST = {".toml": 100_000, ".ipynb": 5_000_000}
"""The largest file of each kind that is read [bytes]."""
MOST_CELLS = 1000
MOST_LINES = 20_000
MOST_ANSWERS = 100
LONGEST_ANSWER = 300
LONGEST_LINE = 20_000
ARCHIVES = (".zip", ".7z", ".rar", ".tar", ".gz", ".tgz", ".bz2", ".xz", ".zst")

_MOST_REMARKS = 10
_QUESTION = re.compile("question-([0-9]{1,3})")
_NAMED = re.compile(r"\s*(trainee|variant|class|format)\s*=\s*(.*)")
_ANSWER = re.compile(r"\s*answer_([0-9]{1,3})\s*=\s*(.*)")
_NUMBERED = re.compile(r"\s*[\"']?([0-9]{1,3})[\"']?\s*=\s*(.*)")
_QUOTED = re.compile(r"""("[^"\\]*(?:\\.[^"\\]*)*"|'[^'\\]*(?:\\.[^'\\]*)*')\s*(?:#.*)?""")
_CURLY = re.compile("[“”„‘’]([^“”„‘’]*)[“”„‘’]\\s*(?:#.*)?")
_BARE = re.compile(r"[^\"'“”„‘’\[\](){}]*")
MOST_QUESTION = 999
MOST_LEFT_OUT = 10
"""Lines that are no TOML and are left out; with more of them, or in a longer file, the whole is refused."""
_LONGEST_MENDED = 25_000
_ROW = re.compile(r"(\s*\{.*\})\s*")
_FRAME = re.compile(r"\s*(?:\[|\]|[A-Za-z]+\s*=\s*\[\s*$|\Z)")
_PARTS = re.compile(
    r"^[ \t]*\[(?:counts|verdict|changes|placement|inputs|safety)\][ \t]*(?:#.*)?\r?$", re.MULTILINE
)
_SHEET = re.compile(r"^[ \t]*\[answers\]", re.MULTILINE)
DEEPEST_FOLDER = 4
MOST_FILES = 50_000
LEFT_ALONE = frozenset({PRINTED, RETURN, ".ds_store", "thumbs.db", "desktop.ini"})
"""Files that come back with a folder and hold no answer."""
_TO_READ = re.compile(
    "|".join(name.format("[0-9]{1,3}").replace(".", "[.]") for name in (GIG_PRINTED, GIG_NOTEBOOK))
)
_NOT_ENTERED = frozenset({".ipynb_checkpoints", "__macosx"})
SHEET = 0
"""Stands for the questions that are answered together; a whole gig is answered by itself, under its number."""


class NotAnswers(ValueError):
    """A file that is no sheet of answers; the message says why and what to do."""


@dataclass(frozen=True)
class Answers:
    """What one file says: whose it is, which sheet it answers, and each answer as text from a stranger.

    Attributes
    ----------
    trainee, variant : str
        As the file states them; empty where it does not.
    given : mapping of int to str
        Answers by question, counted from 1; empty ones are left out. Of an answer to a whole gig a fingerprint alone,
        which is the same however the file is laid out.
    unread : mapping of int to str
        Questions whose answer could not be taken, and why.
    remarks : tuple of str
        What the tutor should know about the file.
    class_name : str
        The class that the file states.
    prints : mapping of int to str
        Fingerprints of a notebook's questions, to see whether one was altered.
    whole_gig : int or None
        The question that an answer to a whole gig belongs to, 0 where it does not say; None of a sheet's answers.
    """

    trainee: str = ""
    variant: str = ""
    given: Mapping[int, str] = field(default_factory=dict)
    unread: Mapping[int, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    class_name: str = ""
    prints: Mapping[int, str] = field(default_factory=dict)
    whole_gig: int | None = None

    @property
    def blank(self) -> bool:
        """Whether nothing was answered."""
        return not self.given and not self.unread


def read_answers(path: str | Path) -> Answers:
    """Read a returned file as data.

    Parameters
    ----------
    path : str or Path
        A TOML file of answers, or a notebook.

    Returns
    -------
    Answers

    Raises
    ------
    NotAnswers
        If it is a link, no plain file, too large, too deep, or cannot be read as what it is called.
    """
    path = Path(path)
    suffix = path.suffix.casefold()
    if suffix in ARCHIVES:
        raise NotAnswers("an archive; unpack it first, and put what was in it into a folder of its own")
    if suffix not in LARGEST:
        raise NotAnswers("neither a notebook (.ipynb) nor a file of answers (.toml)")
    raw = read_plain(path, LARGEST[suffix])
    return _from_notebook(raw) if suffix == ".ipynb" else _from_toml(raw)


def read_plain(path: Path, largest: int) -> bytes:
    """What a plain file holds; never through a link, never from a device, never more than is allowed."""
    try:
        before = os.lstat(path)
        if stat.S_ISLNK(before.st_mode):
            raise NotAnswers("a link to another file; put the file itself here")
        if not stat.S_ISREG(before.st_mode):
            raise NotAnswers("not a plain file")
        flags = (
            os.O_RDONLY
            | getattr(os, "O_NOFOLLOW", 0)
            | getattr(os, "O_NONBLOCK", 0)
            | getattr(os, "O_BINARY", 0)
        )
        with os.fdopen(os.open(path, flags), "rb") as file:
            size = os.fstat(file.fileno()).st_size
            raw = b"" if size > largest else file.read(largest + 1)
    except OSError as error:
        raise NotAnswers(f"it cannot be read ({error.strerror or error})") from None
    if max(size, len(raw)) > largest:
        raise NotAnswers(f"{size / 1e6:.1f} MB; at most {largest / 1e6:.1f} MB is read")
    return raw


def text_in(raw: bytes) -> tuple[str, tuple[str, ...]]:
    """The text of a file, and a remark if it was not in UTF-8."""
    encoding = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    remarks: tuple[str, ...] = ()
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError:
        text, remarks = raw.decode("latin-1"), ("not saved as UTF-8; read as Latin-1",)
    if "\0" in text:
        raise NotAnswers("no text file: there are NUL bytes in it")
    return text, remarks


def _from_toml(raw: bytes) -> Answers:
    text, remarks = text_in(raw)
    every = lines(text)
    found = _Lines(_NUMBERED)
    try:
        table = guarded(text, "", parse_float=str)
    except BadFile as error:  # a forgotten quote should not cost a whole sheet
        for line in every:
            found.take(line)
        if not found.named and not found.given and not found.unread:
            raise NotAnswers(f"not a file of answers: {short(error.problem.rstrip('.'), 60)}") from None
        return found.answers((*remarks, "not TOML any more; read line by line"))
    answers = table.get("answers")
    if not isinstance(answers, dict):
        raise NotAnswers("not a file of answers: there is no [answers] in it")
    found.named = _stated(table)
    if table.get("format") != 1:
        remarks = (*remarks, "its format is not 1")
    for key, value in answers.items():
        if re.fullmatch("[0-9]{1,3}", key):  # a number without quotes is read as typed
            number = isinstance(value, int) and not isinstance(value, bool)
            found.note(int(key), value if isinstance(value, str) else str(value) if number else None)
        else:
            remarks = (*remarks, f"“{short(key)}” is no question's number")
    return found.answers(remarks)


def _stated(table: Mapping[str, Any]) -> dict[str, str]:
    """Whose a file says it is; what is no text is nothing."""
    named = {key: table.get(key) for key in ("trainee", "variant", "class")}
    return {
        key: each.strip()[:LONGEST_ANSWER] if isinstance(each, str) else "" for key, each in named.items()
    }


def _from_notebook(raw: bytes) -> Answers:
    text, remarks = text_in(raw)
    if depth(text) > DEEPEST:
        raise NotAnswers(f"brackets are nested more than {DEEPEST} deep")
    nothing: Any = lambda text: None  # noqa: E731 : numbers of a notebook mean nothing here, and a long one is work
    try:
        cells = json.loads(text, parse_float=nothing, parse_int=nothing, parse_constant=nothing)["cells"]
        if not isinstance(cells, list):
            raise TypeError
        if len(cells) > MOST_CELLS:
            raise NotAnswers(f"{len(cells)} cells; at most {MOST_CELLS} are read")
        texts = [
            cell["source"] if isinstance(cell["source"], str) else "".join(cell["source"]) for cell in cells
        ]
        kinds = [(cell.get("cell_type"), cell.get("id")) for cell in cells]
    except NotAnswers:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise NotAnswers("not a notebook, or a damaged one") from None
    found = _Lines(_ANSWER)
    prints: dict[int, str] = {}
    for (kind, name), source in zip(kinds, texts, strict=True):
        if kind == "code":
            for line in lines(source):
                found.take(line)
        elif isinstance(name, str) and (question := _QUESTION.fullmatch(name)):
            prints[int(question[1])] = text_print(source)
    return found.answers(remarks, prints)


def lines(text: str) -> list[str]:
    """The lines of a text, if there are not too many."""
    every = text.splitlines()
    if len(every) > MOST_LINES:
        raise NotAnswers(f"{len(every)} lines; at most {MOST_LINES} are read")
    return every


class _Lines:
    """Gathers `name = "text"` lines. Only one text between quotes counts, or words and figures without any."""

    def __init__(self, answer: re.Pattern[str]) -> None:
        self.answer = answer
        self.named: dict[str, str] = {}
        self.given: dict[int, str] = {}
        self.unread: dict[int, str] = {}
        self.remarks: list[str] = []

    def take(self, line: str) -> None:
        """Read one line; most are nothing."""
        line = line[:LONGEST_LINE]
        if named := _NAMED.fullmatch(line):
            value = _literal(named[2])
            if named[1] in self.named and self.named[named[1]] != (value or "")[:LONGEST_ANSWER]:
                self.remarks.append(f"{named[1]} stands there twice")
            self.named.setdefault(named[1], (value or "")[:LONGEST_ANSWER])
        elif numbered := self.answer.fullmatch(line):
            self.note(int(numbered[1]), _literal(numbered[2]))

    def note(self, n: int, text: str | None) -> None:
        """Keep the answer to a question; two that differ cancel each other."""
        if n > MOST_ANSWERS:
            self.remarks.append(f"there is no question {n}")
        elif text is None:
            self.given.pop(n, None)
            self.unread[n] = "not one text between quotes"
        elif text.strip() and n not in self.unread:
            if n in self.given and self.given[n] != text[:LONGEST_ANSWER]:
                del self.given[n]
                self.unread[n] = "two different answers stand there"
            else:
                self.given[n] = text[:LONGEST_ANSWER]

    def answers(self, remarks: tuple[str, ...], prints: Mapping[int, str] | None = None) -> Answers:
        """All of it."""
        return Answers(
            self.named.get("trainee", ""), self.named.get("variant", ""), dict(sorted(self.given.items())),
            dict(sorted(self.unread.items())), (*remarks, *dict.fromkeys(self.remarks))[:_MOST_REMARKS], self.named.get("class", ""),
            prints or {},
        )  # fmt: skip


def _literal(text: str) -> str | None:
    """The text that stands between quotes, or bare words and figures; None if it is anything more."""
    text = text.strip()
    if quoted := _QUOTED.fullmatch(text):
        return re.sub(r"\\([\\\"'])", r"\1", quoted[1][1:-1])
    if curly := _CURLY.fullmatch(text):
        return curly[1]
    bare = text.partition("#")[0].strip()
    return bare if _BARE.fullmatch(bare) else None


def read_returned(path: Path) -> Answers:
    """Read a returned file of either kind as data; `NotAnswers` if it is none."""
    raw, text = b"", ""
    with suppress(NotAnswers):
        raw = read_plain(path, LARGEST_BYTES) if path.suffix.casefold() == ".toml" else b""
        text, _ = text_in(raw)
    whole = _PARTS.search(text) and not _SHEET.search(text)
    return read_whole(raw)[0] if whole else read_answers(path)


def read_again(path: Path, first: Answers) -> Given:
    """What a file answers that was looked at before; `NotAnswers` if it says something else by now."""
    again, given = read_whole(read_plain(path, LARGEST_BYTES))
    if again != first:
        raise NotAnswers("it was changed while the class was marked; mark again")
    return given


def read_whole(raw: bytes) -> tuple[Answers, Given]:
    """What an answer to a whole gig says about itself, and what it answers; `NotAnswers` if it cannot be read as a whole."""
    text, remarks = text_in(raw)
    lines(text)  # refuses too many
    table, left_out = _table(text)
    given = read_table(table)
    said = repr(replace(given, faults=())) if left_out or given != read_table({}) else ""
    if left_out:
        remarks = (*remarks, f"what is not TOML was left out: {'; '.join(left_out)}")
        given = replace(given, faults=(*left_out, *given.faults))
    stated = _stated(table)
    odd = [key for key in stated if not isinstance(table.get(key, ""), str)]
    if odd:
        remarks = (*remarks, f"what stands under {listed(odd)} is no text")
    n = table.get("question")
    n = n if isinstance(n, int) and not isinstance(n, bool) and 0 < n <= MOST_QUESTION else 0
    prints = {SHEET: text_print(said)} if said else {}
    return Answers(stated["trainee"], stated["variant"], prints, {}, remarks, stated["class"], {}, n), given


def _table(text: str) -> tuple[dict[str, Any], list[str]]:
    """What a text says as TOML. A line that is none is left out and named, for a forgotten quote should not cost an hour."""
    every = text.replace("\r\n", "\n").split("\n")
    every = [f"{row[1]}," if (row := _ROW.fullmatch(line)) else line for line in every]
    left_out: list[str] = []
    while True:
        try:
            return guarded("\n".join(every), ""), left_out
        except BadFile as error:
            at = error.line - 1
            if (
                at < 0
                or _FRAME.match(every[at])
                or len(left_out) == MOST_LEFT_OUT
                or len(text) > _LONGEST_MENDED
            ):
                raise NotAnswers(
                    f"an answer to a whole gig that cannot be read: {short(error.problem.rstrip('.'), 90)}; mend it and mark again"
                ) from None
            left_out.append(f"line {at + 1}, “{short(every[at].strip())}”")
            every[at] = ""


@dataclass(frozen=True)
class Returned:
    """One file that was looked at.

    Attributes
    ----------
    file : str
        Its path below the folder; text from a stranger.
    answers : Answers or None
        What it says; None if it was refused.
    reason : str
        Why it was refused.
    path : Path
        Where it lies.
    """

    file: str
    answers: Answers | None = None
    reason: str = ""
    path: Path = Path()


def gather(folder: Path, tell: Callable[[str, int, int], None]) -> Iterator[Returned]:
    """Read every file below a folder in the order of their names; whatever one holds, the next is read too."""
    there = list(islice(_walk(folder, "", 0), MOST_FILES + 1))
    for number, (name, path, reason) in enumerate(there):
        tell("files read", number + 1, len(there))
        if number >= MOST_FILES:
            yield Returned("", None, f"more than {MOST_FILES} files are there; the rest was not looked at")
            return
        if reason:
            yield Returned(name, None, reason)
            continue
        try:
            yield Returned(name, read_returned(path), path=path)
        except NotAnswers as refused:
            yield Returned(name, None, str(refused))


def _walk(folder: Path, below: str, depth: int) -> Iterator[tuple[str, Path, str]]:
    """Name, path, and why it is not to be read, of each file."""
    try:
        entries = sorted(os.scandir(folder), key=lambda each: each.name)
    except OSError as error:
        yield below.rstrip("/"), folder, f"the folder cannot be read ({error.strerror or error})"
        return
    for entry in entries:
        name = below + entry.name
        try:
            inside = entry.is_dir(follow_symlinks=False)
        except OSError as error:
            yield name, Path(entry.path), f"it cannot be read ({error.strerror or error})"
            continue
        if inside and entry.name.casefold() in _NOT_ENTERED:
            continue
        if inside and depth >= DEEPEST_FOLDER:
            yield name, Path(entry.path), f"folders more than {DEEPEST_FOLDER} deep are not looked into"
        elif inside:
            yield from _walk(Path(entry.path), name + "/", depth + 1)
        elif entry.name.casefold() not in LEFT_ALONE and not _TO_READ.fullmatch(entry.name.casefold()):
            yield name, Path(entry.path), ""


Taken = tuple[dict[int, Returned], dict[int, str], list[str]]
"""What is to be marked for one sheet: the file that answers the questions together, under `SHEET`, and the one for each whole
gig, under its number; those that cannot be marked yet, and why; what the tutor should know."""


class Pile:
    """Returned files by the variant they state, and those that are refused already.

    Attributes
    ----------
    refused : list of Returned
        Files that are not marked, with the reason.
    """

    def __init__(self) -> None:
        self.refused: list[Returned] = []
        self._by_variant: dict[str, list[tuple[str, Answers, Returned]]] = defaultdict(list)
        self._unread: list[str] = []  # refused files that do not say whose they are
        self._folders: dict[str, set[str]] = defaultdict(set)  # the variants that lie in each folder

    def add(self, each: Returned) -> None:
        """Take in one file."""
        said = each.answers
        if said is not None and VARIANT.fullmatch(said.variant):
            folder = each.file.rpartition("/")[0]
            self._folders[folder].add(said.variant)
            self._by_variant[said.variant].append((folder, said, each))
            return
        self._unread.append(each.file)
        stated = short(said.variant) if said else ""
        what = f"its variant is “{stated}”, which is none" if stated.strip() else "no variant stands in it"
        self.refuse(each, f"{what}; is it a sheet of this class?" if said else each.reason)

    def refuse(self, each: Returned, reason: str) -> None:
        """Refuse one file."""
        self.refused.append(Returned(each.file, None, reason))

    def take(self, issued: Issued) -> Taken | None:
        """What to mark for one sheet, or nothing; the other files of that variant are refused."""
        gigs = issued.whole_gigs
        groups: dict[int, list[Returned]] = {
            n: [] for n in (*([SHEET] if len(gigs) < len(issued.problems) else []), *gigs)
        }
        own, beside = set(), []
        for folder, said, each in self._by_variant.pop(issued.variant, []):
            n = SHEET if said.whole_gig is None else said.whole_gig or (gigs[0] if len(gigs) == 1 else -1)
            if said.trainee == issued.trainee and self._folders[folder] == {issued.variant}:
                own.add(folder)
            if said.trainee != issued.trainee:
                stated = short(said.trainee) or "nobody"
                reason = f"it is {issued.trainee}'s sheet, and says that it comes from {stated}"
            elif n in (SHEET, *gigs):
                groups.get(n, []).append(each)
                continue
            else:
                which = f"question {n}" if n > 0 else "no question's number stands in it, and none of several"
                reason = f"it answers a whole gig, and {which} is no whole gig of this sheet"
            beside.append(each.file)
            self.refuse(each, reason)
        for file in (
            self._unread
        ):  # of these, those that may be this trainee's: named so, or in a folder of nobody else's
            named = re.findall(PSEUDONYM, file)
            if issued.trainee in named or (not named and file.rpartition("/")[0] in own):
                beside.append(file)
        refused = f"{listed([short(each, 80) for each in beside[:3]])} could not be marked" if beside else ""
        taken: dict[int, Returned] = {}
        pending: dict[int, str] = {}
        remarks: list[str] = []
        for n, files in groups.items():
            answered = [each for each in files if each.answers and not each.answers.blank]
            if not files:
                pending[n] = f"no file for it was read: {refused}" if refused else "no file came back for it"
            elif answered and self._differ(issued, answered):
                pending[n] = "different answers came back, and none is marked"
            elif answered:
                taken[n] = answered[0]
                if twice := listed([short(each.file, 80) for each in answered[1:]]):
                    remarks.append(f"the same answers stand in {twice}")
            elif refused:  # the blank form beside a file that was refused is no answer to mark
                pending[n] = f"its form came back empty, and {refused}"
            else:
                taken[n] = files[0]
        if all(each.answers and each.answers.blank for each in taken.values()):
            remarks.append("nothing is answered")
        return (taken, pending, remarks) if taken else None

    def _differ(self, issued: Issued, files: Sequence[Returned]) -> bool:
        """Whether files answer the same thing in different ways; then all of them are refused."""
        said = [(each.answers.given, each.answers.unread) for each in files if each.answers]
        if all(each == said[0] for each in said):
            return False
        for each in files:
            rest = listed([short(other.file, 80) for other in files if other is not each])
            self.refuse(
                each,
                f"{issued.trainee} has answered differently in {rest}; take away all but one, and mark again",
            )
        return True

    def refuse_the_rest(self, trainees: set[str]) -> None:
        """What is left answers no sheet of the record."""
        for variant, files in self._by_variant.items():
            for _, said, each in files:
                of = f" of “{short(said.class_name)}”" if said.class_name else ""
                why = f"it is a sheet{of}, from another class or another paper"
                if said.trainee in trainees:
                    why = "the variant was altered, or it is from an earlier handout"
                self.refuse(each, f"variant {variant} is not in the record: {why}")
