"""Edits of a gig's TOML text: what is not edited stays byte for byte, comments and all.

The text is cut at its table headers. Only the piece that holds the edited table goes through tomlkit; the
others are put back as they were, in their order.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.items import InlineTable

from gigsums.gig.files import guarded

Place = tuple[str | int, ...]
ORDER = ("gig", "venue", "crew", "mains", "kit", "split", "policy")
LISTS = ("performer", "line", "mix", "effect", "zone", "feed")
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")|\'\'\'.*?\'{3,5}(?!\')|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}\n]',
    re.DOTALL,
)
_HEADER = re.compile(r"[ \t]*\[")
_TRIVIA = re.compile(r"[ \t\r]*(#[^\n]*)?\n?\Z")


@dataclass
class _Piece:
    """A run of text from one table header to the next: its table, and where its last line of content ends."""

    name: tuple[str, ...]
    listed: bool
    start: int
    content: int
    end: int


def value_at(text: str, path: Place) -> Any:
    """What stands at a path.

    Parameters
    ----------
    text : str
        The file.
    path : tuple of str or int
        Keys, and places in lists counted from 0.

    Returns
    -------
    object
        A plain value; None where nothing stands.

    Raises
    ------
    ValueError
        If the text is not TOML.
    """
    here: Any = guarded(text, "")
    for part in path:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return None
    return here


def with_value(text: str, path: Place, value: Any) -> str:
    """The text with a value put at a path; None takes the key away.

    Parameters
    ----------
    text : str
        The file.
    path : tuple of str or int
        Keys, and places in lists counted from 0.
    value : object
        What is to stand there.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If the text is not TOML, or there is no such table.
    """
    if value is None and value_at(text, path) is None:
        return text
    if len(path) > 2 and isinstance(
        path[-2], str
    ):  # a table inside an entry, which comes and goes with its keys
        holder = value_at(text, path[:-1])
        if not isinstance(holder, dict):
            return with_value(text, path[:-1], {str(path[-1]): value})
        if value is None and len(holder) == 1:
            return with_value(text, path[:-1], None)
    if len(path) > 1 and isinstance(path[0], str) and path[0] not in guarded(text, ""):
        return _with_piece(text, path[0], f"[{path[0]}]", {str(path[1]): value})
    return _edited(text, path, lambda held, key: _put(held, key, value))


def with_entry(text: str, path: Place, values: Mapping[str, Any]) -> str:
    """The text with one more entry at the end of a list.

    Parameters
    ----------
    text : str
        The file.
    path : tuple of str or int
        Where the list is: ``("mix",)`` or ``("performer", 0, "sources")``.
    values : mapping of str
        Its keys.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If the text is not TOML, or there is no such table.
    """
    known = guarded(text, "")
    pieces = _pieces(text)
    top = str(path[0])
    if len(path) == 1 and (top not in known or any(p.name == (top,) and p.listed for p in pieces)):
        return _with_piece(text, top, f"[[{top}]]", values)
    if len(path) == 2 and top not in known:
        return _with_piece(text, top, f"[{top}]", {str(path[1]): [values]})

    def append(held: Any, key: Any) -> None:
        if key in held:
            if not isinstance(held[key], list):
                raise ValueError(f"{'.'.join(map(str, path))} is no list as it stands; mend the text first")
            many = hasattr(held[key], "body")  # a list of [[tables]]
            if many or len(held[key]):
                held[key].append(dict(values) if many else _item(values))
                return
        held[key] = tomlkit.value(f"[\n  {toml_of(values)},\n]")

    return _edited(text, path, append)


def without(text: str, path: Place) -> str:
    """The text without the entry at a path.

    Parameters
    ----------
    text : str
        The file.
    path : tuple of str or int
        An entry of a list: ``("mix", 2)`` or ``("performer", 0, "sources", 1)``.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If the text is not TOML, or there is no such entry.
    """
    run = _run(_pieces(text), path) if len(path) == 2 else None
    if run and run[0].listed and run[0].name == (path[0],):
        start, end = run[0].start, _owned(text, run[-1])
        rest = text[end:]
        blank = re.match(r"(?:[ \t\r]*\n)+", rest)
        return text[:start] + (rest[blank.end() :] if blank else rest)

    def drop(held: Any, key: Any) -> None:
        del held[key]

    return _edited(text, path, drop)


def toml_of(value: Any) -> str:
    """A value as it is written in a file."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {toml_of(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_of(each) for each in value) + "]"
    return tomlkit.item(value).as_string()


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else tomlkit.item(name).as_string()


def _item(value: Any) -> Any:
    return tomlkit.value(toml_of(value))


def _put(held: Any, key: Any, value: Any) -> None:
    """Set or remove one key of a table; an inline table keeps its spaces as far as that can be."""
    if value is not None and key in held:
        held[key] = _item(value)
    elif not isinstance(held, InlineTable):
        if value is None:
            del held[key]
        else:
            held[key] = _item(value)
    elif value is None:
        del held[key]
    else:
        held.append(key, _item(value))


def _edited(text: str, path: Place, edit: Any) -> str:
    """The text after an edit of the table that holds the last part of a path."""
    run = _run(_pieces(text), path)
    start, end = (run[0].start, run[-1].content) if run else (0, len(text))
    inner = path if run is None or not run[0].listed else (path[0], 0, *path[2:])
    piece = text[start:end]
    document = tomlkit.parse(piece if piece.endswith("\n") or not piece else piece + "\n")
    held: Any = document
    holders = []
    for part in inner[:-1]:
        try:
            holders.append((held, part))
            held = held[part]
        except (KeyError, IndexError, TypeError, tomlkit.exceptions.NonExistentKey):
            raise ValueError(f"there is no {'.'.join(map(str, path[:-1]))} in this gig") from None
    before = held.as_string() if isinstance(held, InlineTable) else ""
    try:
        edit(held, inner[-1])
    except (KeyError, IndexError, TypeError, tomlkit.exceptions.NonExistentKey):
        raise ValueError(f"there is no {'.'.join(map(str, path))} in this gig") from None
    if before:
        owner, place = holders[-1]
        _tidy(owner, place, held, before)
    done = document.as_string()
    if not piece.endswith("\n") and end == len(text):
        done = done.removesuffix("\n").removesuffix("\r")
    return _same_ends(text, text[:start] + done + text[end:])


def _tidy(owner: Any, place: Any, held: InlineTable, before: str) -> None:
    """An inline table after an edit, with spaces inside its braces where it had them."""
    now = held.as_string()
    said = tomllib.loads(f"x = {before}")["x"]
    if len(said) == len(held):
        return
    parts = [f"{key.as_string().strip()} = {item.as_string()}" for key, item in held.value.body if key]
    space = " " if re.match(r"\{\s", before) or not said else ""
    written = "{" + space + ", ".join(parts) + space + "}" if parts else "{}"
    if now != written:
        owner[place] = tomlkit.value(written)


def _with_piece(text: str, name: str, header: str, values: Mapping[str, Any]) -> str:
    """The text with one more table, after the last of its kind or of those that come before it."""
    lines = [
        header,
        *(f"{_key(key)} = {toml_of(value)}" for key, value in values.items() if value is not None),
    ]
    pieces = _pieces(text)
    order = (*ORDER, *LISTS)
    before = order[: order.index(name) + 1] if name in order else order
    last = pieces[0]
    for piece in pieces:
        if not piece.name or piece.name[0] in before or piece.name[0] not in order:
            last = piece
    at = _owned(text, last)
    head, tail = text[:at], text[at:]
    if head and not head.endswith("\n"):
        head += "\n"
    gap = "\n" if head.strip() and not head.endswith("\n\n") else ""
    after = "" if not tail.strip() or tail.lstrip(" \t\r").startswith("\n") else "\n"
    return _same_ends(text, head + gap + "\n".join(lines) + "\n" + after + tail)


def _same_ends(before: str, after: str) -> str:
    """Line ends as the file has them throughout; a file with both kinds keeps what it has."""
    if "\r\n" in before and not re.search(r"(?<!\r)\n", before):
        return re.sub(r"(?<!\r)\n", "\r\n", after)
    return after


def _owned(text: str, piece: _Piece) -> int:
    """Where a table ends with the notes right under it, unless they stand right above what comes next."""
    at = piece.content
    while at < piece.end:
        line = text[at : _line_end(text, at)]
        if not line.lstrip().startswith("#"):
            return at
        at += len(line)
    return piece.content if piece.end < len(text) else at


def _run(pieces: list[_Piece], path: Place) -> list[_Piece] | None:
    """The pieces that hold a path, in one run; None where only the whole text will do."""
    top = path[0]
    own = [n for n, piece in enumerate(pieces) if piece.name[:1] == (top,)]
    if not own:
        return pieces[:1]
    if any(piece.listed and len(piece.name) == 1 for piece in (pieces[n] for n in own)):
        heads = [n for n in own if pieces[n].name == (top,)]
        if len(path) < 2 or not isinstance(path[1], int):
            return None
        if path[1] >= len(heads):
            raise ValueError(f"there is no {top} number {path[1] + 1} in this gig")
        nth = heads[path[1]]
        following = heads[path[1] + 1] if path[1] + 1 < len(heads) else len(pieces)
        mine = [n for n in own if nth <= n < following]
    else:
        mine = own
    if mine != list(range(mine[0], mine[-1] + 1)):
        return None
    return [pieces[n] for n in mine]


def _pieces(text: str) -> list[_Piece]:
    pieces = [_Piece((), False, 0, 0, 0)]
    for start, end in _statements(text):
        line = text[start:end]
        if _HEADER.match(line):
            pieces.append(_Piece(*_name(line), start, end, end))
        elif not _TRIVIA.match(line):
            pieces[-1].content = end
        pieces[-1].end = end
    return pieces


def _name(header: str) -> tuple[tuple[str, ...], bool]:
    here: Any = tomllib.loads(header)
    listed = False
    names = []
    while here:
        names.append(next(iter(here)))
        here = here[names[-1]]
        listed = isinstance(here, list)
        here = here[0] if listed else here
    return tuple(names), listed


def _statements(text: str) -> Iterator[tuple[int, int]]:
    """Each line of a file, lists and texts of several lines whole."""
    at = 0
    while at < len(text):
        end = _line_end(text, at) if _HEADER.match(text, at) else _statement_end(text, at)
        yield at, end
        at = end


def _line_end(text: str, at: int) -> int:
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1


def _statement_end(text: str, at: int) -> int:
    depth = 0
    while found := _TOKEN.search(text, at):
        at = found.end()
        token = found[0]
        if token == "\n" and depth <= 0:
            return at
        depth += (token in "[{") - (token in "]}")
    return len(text)
