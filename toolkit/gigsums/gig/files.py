"""The file edge: TOML in, validated frozen values out, and one clear message when a file is wrong."""

from __future__ import annotations

import os
import tomllib
from functools import cache, partial
from pathlib import Path
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from ..workbook import workbook_path
from .checks import check_delays, check_desk, check_gig
from .desk import Desk
from .explain import explain, short
from .model import Gig
from .not_toml import said as not_toml
from .policy import Policy

FORMAT = 1
LARGEST_BYTES = 1_000_000
T = TypeVar("T")


class BadFile(ValueError):
    """A file that cannot be used: which one, where in it, what stood there, what is allowed, what to do."""

    def __init__(self, file: str, key: str, problem: str, advice: str = "") -> None:
        self.file, self.key, self.problem, self.advice = file, key, problem, advice
        place = f"{file}: {key}: " if key else f"{file}: "
        super().__init__(place + problem + (f" {advice}" if advice else ""))


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
    return _gig(*read_table(path, "gigs"), policy)


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
    return _gig(file, read_toml(text, file), policy)


def _gig(file: str, table: dict[str, Any], policy: Policy | None) -> Gig:
    if "desk" in table and "gig" not in table:
        raise BadFile(
            file, "desk", "this file describes a desk, and a gig is wanted.", "Give it as the desk."
        )
    own = table.pop("policy", {})
    gig = build(file, table, Gig)
    fault = partial(BadFile, file)
    check_gig(gig, fault)
    laid = _lay_over(_policy_table() if policy is None else _policy_dict(policy), own, file)
    gig = _with_policy(gig, build(file, laid, Policy, under="policy"))
    check_delays(gig, fault)
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
    return _desk(*read_table(path, "desks"))


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
    return _desk(file, read_toml(text, file))


def _desk(file: str, table: dict[str, Any]) -> Desk:
    if "gig" in table and "desk" not in table:
        raise BadFile(file, "gig", "this file describes a gig, and a desk is wanted.", "Give it as the gig.")
    desk = build(file, table, Desk)
    check_desk(desk, partial(BadFile, file))
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
        return build("house.toml", dict(_policy_table()), Policy)
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
    return build(file, _lay_over(_policy_table(), read_toml(text, file), file), Policy)


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


def read_table(path: str | Path, kind: str) -> tuple[str, dict[str, Any]]:
    """The file's short name and its table.

    Parameters
    ----------
    path : str or Path
        The file, or the name of a bundled one.
    kind : str
        The folder under exercises/ where bundled files of this kind lie.

    Returns
    -------
    tuple of (str, dict)

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
            file, f"line {line}", "this is not UTF-8 text.", "Save the file as UTF-8 in your editor."
        ) from None
    return file, text


def read_toml(text: str, file: str) -> dict[str, Any]:
    """The table that a text in TOML makes.

    Parameters
    ----------
    text : str
        What the file says.
    file : str
        What messages call it.

    Returns
    -------
    dict

    Raises
    ------
    BadFile
        If it is not TOML, or of a newer format.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadFile(file, *not_toml(text, error)) from None
    except RecursionError:
        raise BadFile(file, "", "brackets are nested too deeply to read.") from None
    _check_format(file, table)
    return table


def _check_format(file: str, table: dict[str, Any]) -> None:
    stated = table.get("format")
    if stated is None:
        raise BadFile(file, "format", "it is missing.", f'Begin the file with "format = {FORMAT}".')
    if isinstance(stated, bool) or not isinstance(stated, int) or stated < 1:
        raise BadFile(file, "format", f"{short(stated)} stands there; {FORMAT} is allowed.")
    if stated > FORMAT:
        raise BadFile(
            file,
            "format",
            f"{stated} is newer than this workbook reads (up to {FORMAT}).",
            "Update gigsums and try again.",
        )


@cache
def _adapter(kind: type) -> TypeAdapter:
    return TypeAdapter(kind)


def build(file: str, table: dict[str, Any], kind: type[T], under: str = "") -> T:
    """Make a dataclass of a table.

    Parameters
    ----------
    file : str
        The file's name, for messages.
    table : dict
        The table as read.
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
        key, problem = explain(error, table, kind)
        raise BadFile(file, ".".join(filter(None, (under, key))), problem) from None


@cache
def _policy_table() -> dict[str, Any]:
    return read_table(workbook_path() / "exercises" / "policy" / "house.toml", "policy")[1]


def _policy_dict(policy: Policy) -> dict[str, Any]:
    from .plain import as_dict

    return as_dict(policy)


def _lay_over(under: dict[str, Any], over: Any, file: str) -> dict[str, Any]:
    """`over`'s settings on top of `under`'s, table by table."""
    if not isinstance(over, dict):
        raise BadFile(file, "policy", f"{short(over)} stands there; a table of settings is wanted.")
    laid = dict(under)
    for key, value in over.items():
        both = isinstance(value, dict) and isinstance(laid.get(key), dict)
        laid[key] = _lay_over(laid[key], value, file) if both else value
    return laid


def _with_policy(gig: Gig, policy: Policy) -> Gig:
    from dataclasses import replace

    return replace(gig, policy=policy)
