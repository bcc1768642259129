"""The workbook as files: where its notebooks and exercises lie, and a copy to work in that is kept up to date."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from urllib.parse import quote

FOLDERS = ("notebooks", "exercises")
RECORD = ".gigsums/handed-out.json"
PROMPT = "gigsums.prompt.PromptConnection"


class WorkbookError(Exception):
    """The workbook cannot be found, or not be copied; the text says which folder, why, and what to do."""


@dataclass(frozen=True)
class CopiedFile:
    """What was done with one file of the working folder: `added`, `replaced`, `kept`, `removed` or `left`."""

    what: str
    file: str
    beside: str = ""

    def __str__(self) -> str:
        more = {
            "kept": f", for you have edited it; the new one is beside it: {self.beside}",
            "left": ", for you have changed it; it is no longer part of the workbook",
            "removed": ", no longer part of the workbook",
        }
        return f"{self.what:8} {self.file}{more.get(self.what, '')}"


@dataclass(frozen=True)
class _Print:
    """A file's fingerprints: of all its bytes, and of what a person writes in it (a notebook less its outputs)."""

    whole: str
    written: str


def workbook_path() -> Path:
    """Folder that holds `notebooks` and `exercises`.

    It is the checkout where gigsums runs from one, and the copy inside the installed package otherwise.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    WorkbookError
        If the installation has lost its notebooks or exercises."""
    package = Path(__file__).resolve().parent
    checkout = package.parent.parent
    # An editable installation also leaves a copy in site-packages, from the day it was made. It is never right.
    if package.parent.name == "toolkit" and (checkout / "pyproject.toml").is_file():
        found = checkout
    else:
        found = package / "_workbook"
    for name in FOLDERS:
        if not (found / name).is_dir():
            raise WorkbookError(
                f"{found / name} is missing from this installation of gigsums; install it again"
            )
    return found


def copy_workbook(at: Path, source: Path | None = None, version: str = "") -> list[CopiedFile]:
    """Copy the workbook to a working folder, or bring a copy made earlier up to date.

    Nothing that a person wrote is overwritten or removed. A notebook that was only run counts as not edited.

    Parameters
    ----------
    at : Path
        The working folder; it is made if need be.
    source : Path, optional
        Folder that holds `notebooks` and `exercises`; that of this installation if left out.
    version : str, optional
        Version of the source, for the names of files put beside edited ones; that of this installation if
        left out.

    Returns
    -------
    list of CopiedFile
        One entry for each file that was added, replaced, kept with the new one beside it, removed, or left.
        Files that needed nothing are not in it.

    Raises
    ------
    WorkbookError
        If the folder cannot be written to or is the workbook itself."""
    source = (source or workbook_path()).resolve()
    if not version:
        from importlib.metadata import version as installed  # a tenth of what "gigsums size" takes to start

        version = installed("gigsums")
    at = at.expanduser().absolute()
    if at.resolve() == source or any(at.resolve().is_relative_to(source / name) for name in FOLDERS):
        raise WorkbookError(
            f"{at} holds the workbook itself; choose another folder to work in, with --at FOLDER"
        )
    try:
        return _bring_up_to_date(at, source, version)
    except OSError as error:
        raise WorkbookError(
            f"{error.filename or at}: {error.strerror or error}; the workbook needs a folder that you can write to, "
            "with some room in it: choose one with --at FOLDER"
        ) from None


def _bring_up_to_date(at: Path, source: Path, version: str) -> list[CopiedFile]:
    record = _read_record(at / RECORD)
    shipped = {name: (source / name).read_bytes() for name in _names(source)}
    changes = []
    for name, content in shipped.items():
        mine, new, old = at / name, _prints(name, content), record.get(name)
        if not mine.exists():
            _write(mine, content)
            changes.append(CopiedFile("added", name))
            continue
        decision = _decide(_prints(name, mine.read_bytes()), new, old)
        if decision == "replaced":
            _write(mine, content)
            changes.append(CopiedFile("replaced", name))
        elif decision == "kept":
            beside = _free(mine, version, content)
            _write(beside, content)
            changes.append(CopiedFile("kept", name, beside.name))
    for name, old in record.items():
        mine = at / name
        if name not in shipped and mine.is_file():
            untouched = _prints(name, mine.read_bytes()).whole == old.whole
            if untouched:
                mine.unlink()
            changes.append(CopiedFile("removed" if untouched else "left", name))
    handed_out = {name: vars(_prints(name, content)) for name, content in shipped.items()}
    _write(at / RECORD, json.dumps({"format": 1, "files": handed_out}, indent=1).encode())
    return changes


def _decide(mine: _Print, new: _Print, old: _Print | None) -> str:
    """What becomes of a file that is there already: `same`, `replaced` or `kept` with the new one beside it."""
    if mine.whole == new.whole:
        return "same"
    if old is None:  # no record of what was handed out: take it as edited
        return "same" if mine.written == new.written else "kept"
    if mine.written == old.written:  # at most run
        return "same" if new.whole == old.whole else "replaced"
    return "same" if new.written in (old.written, mine.written) else "kept"


def _names(source: Path) -> Iterator[str]:
    for folder in FOLDERS:
        for path in sorted((source / folder).rglob("*")):
            name = path.relative_to(source)
            if path.is_file() and not any(part.startswith((".", "__")) for part in name.parts):
                yield name.as_posix()


def _prints(name: str, content: bytes) -> _Print:
    whole = written = hashlib.sha256(content).hexdigest()
    if name.endswith(".ipynb"):
        try:
            cells = [
                [cell["cell_type"], "".join(cell["source"]), cell.get("attachments")]
                for cell in json.loads(content)["cells"]
            ]
            written = hashlib.sha256(json.dumps(cells, sort_keys=True).encode()).hexdigest()
        except (ValueError, KeyError, TypeError, RecursionError):
            pass  # not a notebook any more; its bytes will do
    return _Print(whole, written)


def _read_record(path: Path) -> dict[str, _Print]:
    """What was handed out before; nothing if the record is lost or damaged, so that all counts as edited."""
    try:
        record = json.loads(path.read_bytes())
        files = {name: _Print(**prints) for name, prints in record["files"].items()}
        inside = all(PurePosixPath(name).parts[0] in FOLDERS and ".." not in name for name in files)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError):
        return {}
    return files if inside and record.get("format") == 1 else {}


def _write(path: Path, content: bytes) -> None:
    """Write to a temporary name beside the path, then move into place."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(content)
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def _free(mine: Path, version: str, content: bytes) -> Path:
    """A name beside an edited file that nobody's work has taken."""
    number = 1
    while True:
        again = f", {number}" if number > 1 else ""
        beside = mine.with_name(f"{mine.stem} (new {version}{again}){mine.suffix}")
        if not beside.exists() or beside.read_bytes() == content:
            return beside
        number += 1


def open_workbook(at: Path | None = None) -> int:
    """Copy the workbook to a working folder, and open it in JupyterLab until that is closed.

    JupyterLab listens on this computer alone, asks for its token, and neither reads nor changes the user's
    own Jupyter configuration. What is done is printed.

    Parameters
    ----------
    at : Path, optional
        The working folder; `gigsums-workbook` in the user's home if left out.

    Returns
    -------
    int
        Exit status: 2 if the folder could not be used, that of JupyterLab otherwise."""
    try:
        at = (at or Path("~/gigsums-workbook")).expanduser().absolute()
        changes = copy_workbook(at)
        with tempfile.TemporaryDirectory(prefix="gigsums-", ignore_cleanup_errors=True) as private:
            _tell(at, changes)
            return _run_jupyterlab(at, Path(private))
    except (WorkbookError, OSError, RuntimeError) as error:
        print(f"gigsums open: {error}", file=sys.stderr)
        return 2


def _tell(at: Path, changes: list[CopiedFile]) -> None:
    if changes and all(change.what == "added" for change in changes):
        print(f"The workbook is in {at}: {len(changes)} files added.")
    else:
        print(f"The workbook is in {at}{':' if changes else ', and up to date.'}")
        for change in changes:
            print(f"  {change}")


def _run_jupyterlab(at: Path, private: Path) -> int:
    lessons = sorted((at / "notebooks").glob("*.ipynb"))
    page = "/lab/tree/" + quote(lessons[0].relative_to(at).as_posix()) if lessons else "/lab"
    _configure(private, secrets.token_hex(24))
    ours = {
        "JUPYTER_CONFIG_PATH": str(private),
        "JUPYTER_CONFIG_DIR": str(at / ".gigsums" / "jupyter"),
        "JUPYTER_RUNTIME_DIR": str(private / "runtime"),
    }
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--ServerApp.ip=127.0.0.1",
        "--Application.log_level=ERROR",
    ]
    command += [f"--ServerApp.root_dir={at}", f"--LabApp.default_url={page}"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    with subprocess.Popen(command, env={**os.environ, **ours}) as process:
        told = False
        try:
            while True:
                try:
                    told = told or _say_where(private / "runtime", page, process)
                    return process.wait()
                except KeyboardInterrupt:
                    continue  # JupyterLab has had it too, and asks whether it is meant
        finally:
            process.terminate()


def _configure(private: Path, token: str) -> None:
    """Settings that go before any other configuration on this computer, in a folder that only the user can read."""
    server = {
        "ServerApp": {"kernel_websocket_connection_class": PROMPT},
        "PasswordIdentityProvider": {"token": token, "hashed_password": ""},
        "LanguageServerManager": {"autodetect": False},  # nothing is looked for besides the workbook
        "KernelManager": {"transport_encryption": "auto"},  # where it is known; otherwise the kernel warns
    }
    (private / "jupyter_server_config.json").write_text(json.dumps(server), encoding="utf-8")
    (private / "labconfig").mkdir()
    page = {"disabledExtensions": {"@jupyterlab/apputils-extension:announcements": True}}
    (private / "labconfig" / "page_config.json").write_text(json.dumps(page), encoding="utf-8")
    # on a tablet a long line is read without scrolling; what the user has set goes before this
    wrapped = {"codeCellConfig": {"lineNumbers": False, "lineWrap": True}}
    settings = json.dumps({"@jupyterlab/notebook-extension:tracker": wrapped})
    (private / "labconfig" / "default_setting_overrides.json").write_text(settings, encoding="utf-8")


def _say_where(runtime: Path, page: str, process: subprocess.Popen[bytes]) -> bool:
    """Print where JupyterLab listens, token included, as soon as it does; whether it came that far."""
    while process.poll() is None:
        for file in runtime.glob("jpserver-*.json"):
            try:
                server = json.loads(file.read_bytes())
                address = f"{server['url'].rstrip('/')}{page}?token={server['token']}"
                socket.create_connection(("127.0.0.1", server["port"]), timeout=1).close()
            except (OSError, ValueError, KeyError):
                continue  # not written to its end yet, or not listening yet
            print(f"It opens in your browser. If it does not, go to\n\n  {address}\n")
            print("Leave this window open while you work; press Ctrl-C twice in it to close.", flush=True)
            return True
        time.sleep(0.05)
    return False
