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
from dataclasses import dataclass, field, replace
from hashlib import sha256
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
        Answers by question, counted from 1; empty ones are left out.
    unread : mapping of int to str
        Questions whose answer could not be taken, and why.
    remarks : tuple of str
        What the tutor should know about the file.
    class_name : str
        The class that the file states.
    prints : mapping of int to str
        Fingerprints of a notebook's questions, to see whether one was altered.
    """

    trainee: str = ""
    variant: str = ""
    given: Mapping[int, str] = field(default_factory=dict)
    unread: Mapping[int, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    class_name: str = ""
    prints: Mapping[int, str] = field(default_factory=dict)

    @property
    def blank(self) -> bool:
        """Whether nothing was answered."""
        return not self.given and not self.unread


@dataclass(frozen=True)
class GigAnswers:
    """What one file says about itself; every text in it is from a stranger.

    Attributes
    ----------
    trainee, variant : str
        Whose it is and which sheet it answers, as the file states them; empty where it does not.
    class_name : str
        The class that the file states.
    question : int
        The question it answers; 0 where it does not say.
    print : str
        A fingerprint of what is answered, however it is laid out.
    blank : bool
        Whether nothing was answered.
    remarks : tuple of str
        What the tutor should know about the file.
    """

    trainee: str
    variant: str
    class_name: str
    question: int
    print: str
    blank: bool
    remarks: tuple[str, ...] = ()


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


def read_returned(path: Path) -> Answers | GigAnswers:
    """Read a returned file of either kind as data; `NotAnswers` if it is none."""
    try:
        raw = read_plain(path, LARGEST_BYTES) if path.suffix.casefold() == ".toml" else b""
    except NotAnswers:
        raw = b""
    return from_gig_toml(raw)[0] if answers_a_gig(raw) else read_answers(path)


def read_again(path: Path, first: GigAnswers) -> Given:
    """What a file answers that was looked at before; `NotAnswers` if it says something else by now."""
    again, given = from_gig_toml(read_plain(path, LARGEST_BYTES))
    if again != first:
        raise NotAnswers("it was changed while the class was marked; mark again")
    return given


def answers_a_gig(raw: bytes) -> bool:
    """Whether a file has the parts of an answer to a whole gig, and not those of a sheet."""
    try:
        text, _ = text_in(raw)
    except NotAnswers:
        return False
    return bool(_PARTS.search(text)) and not _SHEET.search(text)


def from_gig_toml(raw: bytes) -> tuple[GigAnswers, Given]:
    """What a file says about itself, and what it answers; `NotAnswers` if it cannot be read as a whole."""
    text, remarks = text_in(raw)
    lines(text)  # refuses too many
    table, left_out = _table(text)
    given = read_table(table)
    blank = given == read_table({}) and not left_out
    if left_out:
        remarks = (*remarks, f"what is not TOML was left out: {'; '.join(left_out)}")
        given = replace(given, faults=(*left_out, *given.faults))
    stated = _stated(table)
    odd = [key for key in stated if not isinstance(table.get(key, ""), str)]
    if odd:
        remarks = (*remarks, f"what stands under {listed(odd)} is no text")
    question = table.get("question")
    if isinstance(question, bool) or not isinstance(question, int) or not 0 < question <= MOST_QUESTION:
        question = 0
    answered = repr(replace(given, faults=()))
    return (
        GigAnswers(
            stated["trainee"], stated["variant"], stated["class"], question,
            sha256(answered.encode("utf-8", "replace")).hexdigest(), blank, remarks,
        ),
        given,
    )  # fmt: skip


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
    answers : Answers, GigAnswers or None
        What it says; None if it was refused.
    reason : str
        Why it was refused.
    path : Path
        Where it lies.
    """

    file: str
    answers: Answers | GigAnswers | None = None
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


@dataclass(frozen=True)
class RefusedFile:
    """A file that was not marked, and why."""

    file: str
    reason: str


@dataclass(frozen=True)
class SheetTaken:
    """What is to be marked for one sheet.

    Attributes
    ----------
    files : mapping of int to Returned
        The file that answers the questions together, under `SHEET`, and the one for each whole gig, under its number.
    pending : mapping of int to str
        Those that cannot be marked yet, and why.
    remarks : tuple of str
        What the tutor should know.
    """

    files: dict[int, Returned]
    pending: Mapping[int, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """Where the answers came from."""
        return listed([each.file for _, each in sorted(self.files.items())])


@dataclass
class Pile:
    """Returned files by the variant they state, and those that are refused already.

    Attributes
    ----------
    by_variant : dict
        Files that are still to be marked.
    refused : list
        Files that are not.
    unread : list of str
        Those of them that do not say whose they are.
    folders : dict
        The variants that lie in each folder.
    """

    by_variant: dict[str, list[Returned]] = field(default_factory=lambda: defaultdict(list))
    refused: list[RefusedFile] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    folders: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def add(self, each: Returned) -> None:
        """Take in one file."""
        if each.answers is None:
            self.unread.append(each.file)
            self.refuse(each, each.reason)
        elif not VARIANT.fullmatch(each.answers.variant):
            stated = short(each.answers.variant)
            what = (
                f"its variant is “{stated}”, which is none" if stated.strip() else "no variant stands in it"
            )
            self.unread.append(each.file)
            self.refuse(each, f"{what}; is it a sheet of this class?")
        else:
            self.folders[_folder(each.file)].add(each.answers.variant)
            self.by_variant[each.answers.variant].append(each)

    def refuse(self, each: Returned, reason: str) -> None:
        """Refuse one file."""
        self.refused.append(RefusedFile(each.file, reason))

    def take(self, issued: Issued) -> SheetTaken | None:
        """What to mark for one sheet, or nothing; the other files of that variant are refused."""
        there = self.by_variant.pop(issued.variant, [])
        theirs = self._theirs(issued, there)
        groups = self._groups(issued, theirs)
        beside = [each.file for each in there if not any(each in files for files in groups.values())]
        beside += self._unread_of(issued, theirs)
        refused = f"{listed([short(each, 80) for each in beside[:3]])} could not be marked" if beside else ""
        taken: dict[int, Returned] = {}
        remarks: list[str] = []
        pending: dict[int, str] = {}
        for number in _wanted(issued):
            files = groups.get(number, [])
            answered = [each for each in files if each.answers and not each.answers.blank]
            if not files:
                pending[number] = (
                    f"no file for it was read: {refused}" if refused else "no file came back for it"
                )
            elif answered and self._differ(issued, answered):
                pending[number] = "different answers came back, and none is marked"
            elif answered:
                taken[number] = answered[0]
                if twice := listed([short(each.file, 80) for each in answered[1:]]):
                    remarks.append(f"the same answers stand in {twice}")
            elif refused:  # the blank form beside a file that was refused is no answer to mark
                pending[number] = f"its form came back empty, and {refused}"
            else:
                taken[number] = files[0]
        if all(each.answers and each.answers.blank for each in taken.values()):
            remarks.append("nothing is answered")
        return SheetTaken(taken, pending, tuple(remarks)) if taken else None

    def _unread_of(self, issued: Issued, theirs: Sequence[Returned]) -> list[str]:
        """Files that could not be read and may be this trainee's: named so, or in a folder of nobody else's."""
        own = {_folder(each.file) for each in theirs if self.folders[_folder(each.file)] == {issued.variant}}
        return [
            file
            for file in self.unread
            if issued.trainee in (named := re.findall(PSEUDONYM, file))
            or (not named and _folder(file) in own)
        ]

    def _theirs(self, issued: Issued, there: Sequence[Returned]) -> list[Returned]:
        theirs = []
        for each in there:
            assert each.answers is not None
            if each.answers.trainee == issued.trainee:
                theirs.append(each)
            else:
                stated = short(each.answers.trainee) or "nobody"
                self.refuse(each, f"it is {issued.trainee}'s sheet, and says that it comes from {stated}")
        return theirs

    def _groups(self, issued: Issued, theirs: Sequence[Returned]) -> dict[int, list[Returned]]:
        """Files by what they answer."""
        groups: dict[int, list[Returned]] = defaultdict(list)
        gigs = issued.whole_gigs
        for each in theirs:
            if not isinstance(each.answers, GigAnswers):
                groups[SHEET].append(each)
                continue
            stated = each.answers.question
            number = gigs[0] if not stated and len(gigs) == 1 else stated
            if number in gigs:
                groups[number].append(each)
            else:
                said = (
                    f"question {stated}"
                    if stated
                    else "no question's number stands in it, and none of several"
                )
                self.refuse(each, f"it answers a whole gig, and {said} is no whole gig of this sheet")
        return groups

    def _differ(self, issued: Issued, files: Sequence[Returned]) -> bool:
        """Whether files answer the same thing in different ways; then all of them are refused."""
        if all(_said(each) == _said(files[0]) for each in files):
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
        for variant, files in self.by_variant.items():
            for each in files:
                assert each.answers is not None
                of = f" of “{short(each.answers.class_name)}”" if each.answers.class_name else ""
                why = (
                    "the variant was altered, or it is from an earlier handout"
                    if each.answers.trainee in trainees
                    else f"it is a sheet{of}, from another class or another paper"
                )
                self.refuse(each, f"variant {variant} is not in the record: {why}")
        self.by_variant.clear()


def _wanted(issued: Issued) -> list[int]:
    """What there is to answer on a sheet."""
    topics = len(issued.whole_gigs) < len(issued.problems)
    return [*([SHEET] if topics else []), *issued.whole_gigs]


def _folder(file: str) -> str:
    return file.rpartition("/")[0]


def _said(each: Returned) -> object:
    if isinstance(each.answers, Answers):
        return dict(each.answers.given), dict(each.answers.unread)
    assert each.answers is not None
    return each.answers.print
