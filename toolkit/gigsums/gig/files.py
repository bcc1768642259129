"""The file edge: TOML in, validated frozen values out, and one clear message when a file is wrong.

Every room reads TOML through `guarded`, which holds what comes from outside to its limits: brackets within brackets, keys
within keys, digits of a number, letters of a text. `read_text` holds the file itself to its size."""

from __future__ import annotations

import os
import re
import tempfile
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from gigsums.workbook import workbook_path

from .checks import check_delays, check_desk, check_gig
from .desk import Desk
from .explain import Path as KeyPath
from .explain import explain, found, line_at, meant, named, not_toml, short
from .model import Gig
from .policy import Policy
from .reason import as_dict

FORMAT = 1
LARGEST_BYTES = 1_000_000
DEEPEST = 50
"""Brackets within brackets."""
MOST_PARTS = 100
"""Parts of a key, such as the two of ``gig.name``; many take the reader of TOML minutes."""
MOST_DIGITS = 300
LONGEST = 20_000
"""Letters of one text."""
KINDS = {
    "gig": "a gig",
    "desk": "a desk",
    "class": "a class",
    "problem": "a whole gig to size",
    "answers": "answers",
    "counts": "answers",
}
"""What a file is, by the table that only such files have."""
_TEXTS = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*+"{0,5}|"(?:[^"\\\n]|\\[^\n])*+"?|#[^\n]*+'
    r"|'''(?:[^']|'{1,2}(?!'))*+'{0,5}|'[^'\n]*+'?",
    re.DOTALL,
)
T = TypeVar("T")


class BadFile(ValueError):
    """A file that cannot be used: which one, where in it, what stood there, what is allowed, what to do.

    `line` is counted from 1; 0 where it is not known.
    """

    def __init__(self, file: str, key: str, problem: str, advice: str = "", line: int = 0) -> None:
        self.file, self.key, self.problem, self.advice, self.line = file, key, problem, advice, line
        where = short(key, quoted=False) if len(key) > 3 * 60 else key
        said = ": ".join(filter(None, (file, f"line {line}" if line else "", where, problem)))
        super().__init__(
            "".join(each if each.isprintable() else " " for each in said) + (f" {advice}" if advice else "")
        )


class Table(dict[str, Any]):
    """What a file says, with the name and the text of the file, so that whatever is wrong in it names its line."""

    def __init__(self, values: Mapping[str, Any], file: str, text: str) -> None:
        super().__init__(values)
        self.file, self.text = file, text

    def fault(self, key: str | KeyPath, problem: str, advice: str = "", under: str = "") -> BadFile:
        """The exception for something wrong at a key: a path, or one with names as messages have it."""
        try:
            path = found(self, key) if isinstance(key, str) else key
        except ValueError:
            path = ()
        at = line_at(self.text, (*filter(None, (under,)), *path))
        key = key if isinstance(key, str) else named(self, key)
        return BadFile(self.file, ".".join(filter(None, (under, key))), problem, advice, at)

    def kind(self) -> str:
        """Which of `KINDS` it is, however the head of its table is written; empty if none."""
        small = {key.casefold() for key in self}
        return next((kind for kind in KINDS if kind in small), "")

    def wanted(self, kind: str) -> None:
        """Refuse a file that is of another kind."""
        here = self.kind()
        if here and kind not in {key.casefold() for key in self}:
            raise self.fault(
                next(key for key in self if key.casefold() == here),
                f"this file describes {KINDS[here]}, and {KINDS[kind]} is wanted.",
                f"Give it as the {here}." if here in ("gig", "desk") else "Give another file.",
            )


def load_gig(path: str | Path, policy: Policy | None = None) -> Gig:
    """Read a gig from its TOML file.

    Parameters
    ----------
    path : str or Path
        The file, or the name of a gig that comes with the workbook.
    policy : Policy, optional
        House policy under the gig's own ``[policy]``; the bundled one if left out.

    Returns
    -------
    Gig

    Raises
    ------
    BadFile
        If the file is missing, too large, not UTF-8, not TOML, of a newer format, or says
        something that is not allowed.
    """
    return _gig(read_table(path, "gigs")[1], policy)


def read_gig(text: str, file: str = "gig", policy: Policy | None = None) -> Gig:
    """Read a gig from TOML text.

    Parameters
    ----------
    text : str
        What a gig file says.
    file : str
        What messages call it.
    policy : Policy, optional
        House policy under the gig's own ``[policy]``; the bundled one if left out.

    Returns
    -------
    Gig

    Raises
    ------
    BadFile
        If it is not TOML, of a newer format, or says something that is not allowed.
    """
    return _gig(read_toml(text, file), policy)


def _gig(table: Table, policy: Policy | None) -> Gig:
    table.wanted("gig")
    own = table.get("policy", {})
    gig = build(table.file, Table({**table, "policy": None}, table.file, table.text), Gig)
    check_gig(gig, table.fault)
    under = _policy_table() if policy is None else as_dict(policy)
    laid = Table(_lay_over(under, own, table), table.file, table.text)
    gig = replace(gig, policy=build(table.file, laid, Policy, under="policy"))
    check_delays(gig, table.fault)
    return gig


def load_desk(path: str | Path) -> Desk:
    """Read a desk from its TOML file.

    Parameters
    ----------
    path : str or Path
        The file, or the name of a desk that comes with the workbook, such as ``"desk_a"``.

    Returns
    -------
    Desk

    Raises
    ------
    BadFile
        As for `load_gig`.
    """
    return _desk(read_table(path, "desks")[1])


def read_desk(text: str, file: str = "desk") -> Desk:
    """Read a desk from TOML text.

    Parameters
    ----------
    text : str
        What a desk file says.
    file : str
        What messages call it.

    Returns
    -------
    Desk

    Raises
    ------
    BadFile
        As for `read_gig`.
    """
    return _desk(read_toml(text, file))


def _desk(table: Table) -> Desk:
    table.wanted("desk")
    desk = build(table.file, table, Desk)
    check_desk(desk, table.fault)
    return desk


def load_policy(path: str | Path | None = None) -> Policy:
    """Read a house policy; what its file leaves out stays as in the bundled one.

    Parameters
    ----------
    path : str or Path, optional
        The file; the bundled policy if left out.

    Returns
    -------
    Policy

    Raises
    ------
    BadFile
        As for `load_gig`.
    """
    if path is None:
        return build("house.toml", _policy_table(), Policy)
    file, text = read_text(path, "policy")
    return read_policy(text, file)


def read_policy(text: str, file: str = "policy") -> Policy:
    """Read a house policy from TOML text; what it leaves out stays as in the bundled one.

    Parameters
    ----------
    text : str
        What a policy file says.
    file : str
        What messages call it.

    Returns
    -------
    Policy

    Raises
    ------
    BadFile
        As for `read_gig`.
    """
    own = read_toml(text, file)
    return build(file, Table(_lay_over(_policy_table(), own, own), file, text), Policy)


def bundled(kind: str) -> dict[str, Path]:
    """Files that come with the workbook, by name: ``bundled("gigs")`` or ``bundled("desks")``.

    Parameters
    ----------
    kind : str
        ``"gigs"``, ``"desks"`` or ``"policy"``.

    Returns
    -------
    dict of str to Path
    """
    folder = workbook_path() / "exercises" / kind
    return {path.stem: path for path in sorted(folder.glob("*.toml"))}


def read_table(path: str | Path, kind: str) -> tuple[str, Table]:
    """The file's short name and its table.

    Parameters
    ----------
    path : str or Path
        The file, or the name of a bundled one.
    kind : str
        The folder under exercises/ where bundled files of this kind lie.

    Returns
    -------
    tuple of (str, Table)

    Raises
    ------
    BadFile
        If it is missing, too large, not UTF-8, not TOML or of a newer format.
    """
    file, text = read_text(path, kind)
    return file, read_toml(text, file)


def read_text(path: str | Path, kind: str) -> tuple[str, str]:
    """The file's short name and its text.

    Parameters
    ----------
    path : str or Path
        The file, or the name of a bundled one.
    kind : str
        The folder under exercises/ where bundled files of this kind lie.

    Returns
    -------
    tuple of (str, str)

    Raises
    ------
    BadFile
        If it is missing, too large or not UTF-8.
    """
    given = Path(path)
    if not os.path.exists(given) and given.suffix == "" and len(given.parts) == 1:
        given = bundled(kind).get(str(path), given)
    file = given.name
    try:
        size = given.stat().st_size
        if size > LARGEST_BYTES:
            raise BadFile(
                file,
                "",
                f"the file holds {size / 1e6:.1f} MB; at most {LARGEST_BYTES / 1e6:.0f} MB is read.",
                "Check that it is the right file.",
            )
        raw = given.read_bytes()
    except FileNotFoundError:
        known = ", ".join(bundled(kind)) or "none"
        raise BadFile(
            str(path), "", "there is no such file.", f"Check the name; bundled {kind}: {known}."
        ) from None
    except OSError as error:
        advice = "Name the file in it." if os.path.isdir(given) else ""
        raise BadFile(str(path), "", f"it cannot be read ({error.strerror or error}).", advice) from None
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in raw:
        raise BadFile(
            file,
            "",
            "this is not UTF-8 text, but UTF-16 or no text at all.",
            "Save it as plain text in UTF-8.",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BadFile(
            file, "", "this is not UTF-8 text.", "Save the file as UTF-8 in your editor.", line
        ) from None
    return file, text


def read_toml(text: str, file: str) -> Table:
    """The table that a text in TOML makes, if its format is one that is read.

    Parameters
    ----------
    text : str
        What the file says.
    file : str
        What messages call it.

    Returns
    -------
    Table

    Raises
    ------
    BadFile
        If it is not TOML, goes beyond the limits, or is of a newer format.
    """
    table = guarded(text, file)
    stated = table.get("format")
    if stated is None:
        near = next((key for key in table if meant(key, ("format",))), None)
        said = 'this key is not known here. Did you mean "format"?' if near else "it is missing."
        raise table.fault((near or "format",), said, f'Begin the file with "format = {FORMAT}".')
    if isinstance(stated, bool) or not isinstance(stated, int) or stated < 1:
        raise table.fault("format", f"{short(stated)} stands there; {FORMAT} is allowed.")
    if stated > FORMAT:
        raise table.fault(
            "format",
            f"{short(stated)} is newer than this workbook reads (up to {FORMAT}).",
            "Update gigsums and try again.",
        )
    return table


def guarded(text: str, file: str, parse_float: Callable[[str], Any] = float) -> Table:
    """The table that a text in TOML makes, within limits: no text, whatever it says, ends in another error than this.

    Parameters
    ----------
    text : str
        What the file says.
    file : str
        What messages call it.
    parse_float : callable, optional
        What becomes of a number with a point.

    Returns
    -------
    Table

    Raises
    ------
    BadFile
        If it is not TOML, or goes beyond the limits.
    """
    bare = _bare(text)
    if depth(bare) > DEEPEST:
        raise BadFile(
            file, "", f"brackets are nested more than {DEEPEST} deep.",
            "Check that it is the right file.",
        )  # fmt: skip
    for n, line in enumerate(bare.split("\n"), start=1):
        if line.count(".") > MOST_PARTS:
            raise BadFile(
                file, "", f"a key of more than {MOST_PARTS} parts stands there.", "Check that it is the right file.", n
            )  # fmt: skip
    try:
        table = Table(tomllib.loads(text, parse_float=parse_float), file, text)
    except tomllib.TOMLDecodeError as error:
        at, problem, advice = not_toml(text, error)
        raise BadFile(file, "", problem, advice, at) from None
    except (ValueError, RecursionError):  # what Python itself makes no number of
        runs = sorted(re.finditer("[0-9_]+", bare), key=lambda run: len(run[0]))
        raise BadFile(
            file, "", *_TOO_LONG, bare.count("\n", 0, runs[-1].start()) + 1 if runs else 0
        ) from None
    _check_values(table, table, ())
    return table


_TOO_LONG = (f"a number of more than {MOST_DIGITS} digits stands there.", "Write it in a few figures.")


def kind_of(text: str) -> str:
    """Which of `KINDS` a file is, by its tables, or by the heads of its tables where it cannot be read; empty if none."""
    try:
        return guarded(text, "").kind()
    except BadFile:
        heads = re.findall(r"^[ \t]*\[{1,2}[ \t]*([A-Za-z]+)[ \t]*[].]", _bare(text), re.MULTILINE)
        return Table(dict.fromkeys(heads), "", "").kind()


def _bare(text: str) -> str:
    """A text in TOML with its own texts and notes taken out, on the lines where it was."""
    return _TEXTS.sub(lambda found: '""' * (found[0][0] != "#") + "\n" * found[0].count("\n"), text)


def depth(text: str) -> int:
    """How deep brackets are nested at most, those inside texts and notes not counted; of TOML and of JSON."""
    here = deepest = 0
    for piece in re.findall(r"[\[{]+|[\]}]+", _TEXTS.sub("", text)):
        here = here + len(piece) if piece[0] in "[{" else max(0, here - len(piece))
        deepest = max(deepest, here)
    return deepest


def _check_values(table: Table, here: Any, path: KeyPath) -> None:
    for part, value in here.items() if isinstance(here, dict) else enumerate(here):
        if isinstance(value, dict | list):
            _check_values(table, value, (*path, part))
        elif isinstance(value, int) and abs(value) >= 10**MOST_DIGITS:
            raise table.fault((*path, part), *_TOO_LONG)
        elif isinstance(value, str) and len(value) > LONGEST:
            raise table.fault(
                (*path, part),
                f"a text of {len(value)} letters stands there; at most {LONGEST} are read.",
                "Shorten it.",
            )


@cache
def _adapter(kind: type) -> TypeAdapter:
    return TypeAdapter(kind)


def build(file: str, table: Mapping[str, Any], kind: type[T], under: str = "") -> T:
    """Make a dataclass of a table.

    Parameters
    ----------
    file : str
        The file's name, for messages.
    table : mapping
        The table as read; a `Table` names the line of what is wrong.
    kind : type
        The dataclass.
    under : str
        Where in the file the table stands, for messages.

    Returns
    -------
    object of `kind`

    Raises
    ------
    BadFile
        If the table says something that is not allowed.
    """
    try:
        hashable: Any = kind
        return _adapter(hashable).validate_python(table)
    except ValidationError as error:
        path, problem, advice = explain(error, table, kind)
        here = table if isinstance(table, Table) else Table(table, file, "")
        raise here.fault(path, problem, advice, under) from None


@cache
def _policy_table() -> Table:
    return read_table(workbook_path() / "exercises" / "policy" / "house.toml", "policy")[1]


def _lay_over(under: Mapping[str, Any], over: Any, table: Table) -> dict[str, Any]:
    """`over`'s settings on top of `under`'s, table by table."""
    if not isinstance(over, dict):
        raise table.fault(("policy",), f"{short(over)} stands there; a table of settings is wanted.")
    laid = dict(under)
    for key, value in over.items():
        both = isinstance(value, dict) and isinstance(laid.get(key), dict)
        laid[key] = _lay_over(laid[key], value, table) if both else value
    return laid


TEMPLATES = Path(__file__).parent / "templates"


def write_template(what: str, path: Path, *, replace: bool = False) -> None:
    """Write a commented template.

    Parameters
    ----------
    what : str
        ``"gig"`` or ``"desk"``.
    path : Path
        Where to.
    replace : bool
        Whether a file that stands there may be replaced.

    Raises
    ------
    BadFile
        If a file stands there and may not be replaced, or it cannot be written.
    """
    write_whole(path, (TEMPLATES / f"{what}.toml").read_text(encoding="utf-8"), replace=replace)


def write_whole(
    path: Path,
    content: str | bytes,
    *,
    replace: bool = False,
    check: Callable[[Path], None] | None = None,
) -> None:
    """Write a file whole or not at all: it is read back before it replaces anything.

    Parameters
    ----------
    path : Path
        Where to; its folder must exist.
    content : str or bytes
        What to write; text as UTF-8.
    replace : bool
        Whether a file that stands there may be replaced.
    check : callable, optional
        Given what was written, under its temporary name; what it raises leaves everything as it was.

    Raises
    ------
    BadFile
        If a file stands there and may not be replaced, it cannot be written, or does not read back as written.
    """
    try:
        content = content.encode() if isinstance(content, str) else content
    except UnicodeEncodeError:
        raise BadFile(
            str(path), "", "half a character stands in the text, which no file can hold.", "Type it anew."
        ) from None
    if path.exists() and not replace:
        raise BadFile(
            str(path), "", "the file is there already, and was left as it is.",
            "Choose another name, or add --replace.",
        )  # fmt: skip
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise BadFile(
            str(path),
            "",
            f"it cannot be written ({error.strerror}).",
            "Choose a folder that you may write to.",
        ) from None
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
        if Path(temporary).read_bytes() != content:
            raise BadFile(
                str(path), "", "what was written does not read back the same.", "Nothing was changed."
            )
        if check is not None:
            check(Path(temporary))
        if os.name == "posix":
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(temporary, 0o666 & ~mask)
        os.replace(temporary, path)
    except OSError as error:
        raise BadFile(
            str(path), "", f"it cannot be written ({error.strerror}).", "Nothing was changed."
        ) from None
    finally:
        Path(temporary).unlink(missing_ok=True)
