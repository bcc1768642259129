"""Files out: written whole under a temporary name, then moved into place; nobody's file is overwritten unasked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from .files import BadFile

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
