"""Makes the environment, installs gigsums into it and runs it. Needs Python 3.11 and nothing else.

    python3 toolkit/start.py                size the demo gig and say how to open the workbook
    python3 toolkit/start.py test           run the tests; what follows goes to pytest: test -m thorough
    python3 toolkit/start.py COMMAND ...    any gigsums command: open, size my_gig.toml, new gig

    --wheels FOLDER    install from a folder of wheels, without a network

The environment is the folder .venv at the top of the checkout. It is made once and used again.
"""

# The syntax here is no newer than Python 3.6, so that an old Python gets far enough to say that it is old.

import hashlib
import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
MARK = ENVIRONMENT / "gigsums-start.json"
WINDOWS = os.name == "nt"
PYTHON = ENVIRONMENT / ("Scripts/python.exe" if WINDOWS else "bin/python")
ME = ("py " if WINDOWS else "python3 ") + (f'"{sys.argv[0]}"' if " " in sys.argv[0] else sys.argv[0])
NBVAL = ["--nbval", "--nbval-current-env", "--nbval-sanitize-with", str(Path("tests", "nbval.cfg"))]

# Run inside the environment: is every file that was installed still there?
PROBE = """
import importlib.metadata, sys
for distribution in importlib.metadata.distributions():
    for file in distribution.files or ():
        if file.suffix != ".pyc" and not file.locate().exists():
            sys.exit(f"{file} is missing")
"""

ADVICE = (  # words of pip or of the system; what they mean and what to do
    (("no space left", "not enough space"), "The disk is full. An environment takes about 1.5 GB."),
    (
        ("retrying (", "failed to establish a new connection", "timed out", "name resolution", "ssl"),
        "The package index could not be reached. Look at the network, or install without one:\n"
        f"  {ME} --wheels FOLDER    (DEVELOPERS.md says how to fill the folder)",
    ),
    (
        ("read-only", "permission denied", "access is denied", "being used by another process"),
        "A folder cannot be written to, or something still uses a file in it. Close what uses it, or put\n"
        "the checkout in a folder of your own, and run this again.",
    ),
    (
        ("no matching distribution", "could not find a version"),
        "There is no such package for this Python; with --wheels, the folder lacks it.",
    ),
)


class Stop(Exception):
    """Something that a person has to put right; the text says what, and how."""


def say(text):
    print(text, flush=True)


def explain(words):
    """What to do about a failure, judged by the words that came with it."""
    low = words.lower()
    return next((advice for signs, advice in ADVICE if any(sign in low for sign in signs)), "")


def surroundings():
    """The environment variables for pip and gigsums, without those that lead to some other Python."""
    ours = {key: value for key, value in os.environ.items() if key not in ("PYTHONHOME", "PYTHONPATH")}
    pip = {"PIP_USER": "0", "PIP_NO_INPUT": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    return dict(ours, **pip, PYTHONUTF8="1", GIGSUMS_COMMAND=ME)


def wanted():
    """What an environment has to have been made from to be used again."""
    return {
        "checkout": str(ROOT),
        "python": f"{sys.version_info[0]}.{sys.version_info[1]}",
        "pyproject": hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest(),
    }


def write_mark(**state):
    new = MARK.with_suffix(".new")
    new.write_text(json.dumps(state, indent=1), encoding="utf-8")
    os.replace(new, MARK)


def read_mark():
    try:
        state = json.loads(MARK.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return state if isinstance(state, dict) else {}


def quietly(command):
    """Run a command out of sight; its exit status and its words."""
    try:
        ended = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=surroundings())
    except OSError as error:
        return 1, str(error)
    return ended.returncode, ended.stdout.decode(errors="replace").strip()


def fault(state, want):
    """Why the environment that is there cannot be used; nothing if it can."""
    if not state.get("finished"):
        return "The last installation was not finished"
    for key in ("checkout", "python"):
        if state.get(key) != want[key]:
            return f"The environment was made for another {key} ({state.get(key)})"
    status, words = quietly([PYTHON, "-c", PROBE])
    return f"The environment is damaged ({''.join(words.splitlines()[-1:])})" if status else ""


def make_environment():
    """An environment with nothing but pip in it, marked as unfinished from its first moment."""
    for module in ("venv", "ensurepip"):
        if importlib.util.find_spec(module) is None:
            raise Stop(
                f"This Python ({sys.executable}) lacks its module {module}, which makes environments.\n"
                "On Debian and Ubuntu: sudo apt install python3-venv. Elsewhere: Python from python.org."
            )
    say(f"Making the environment in {ENVIRONMENT} ...")
    if ENVIRONMENT.exists():
        shutil.rmtree(ENVIRONMENT)
    ENVIRONMENT.mkdir()
    write_mark(finished=False)
    status, words = quietly([getattr(sys, "_base_executable", sys.executable), "-m", "venv", ENVIRONMENT])
    if status:
        raise Stop(f"The environment could not be made:\n\n{words}\n\n{explain(words)}")


def install(test, wheels):
    """Install the checkout, editable. pip's own words are shown only if it fails."""
    command = [PYTHON, "-u", "-m", "pip", "install", "--progress-bar", "off"]
    if wheels:
        command += ["--no-index", "--find-links", wheels]
    command += ["--editable", ".[test]" if test else "."]
    say("Installing gigsums and what it needs; the first time this takes a few minutes ...")
    lines, packages, shown = [], 0, time.monotonic()
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    with subprocess.Popen(command, cwd=ROOT, env=surroundings(), **pipes) as process:
        try:
            for raw in process.stdout:
                lines.append(raw.decode(errors="replace").rstrip())
                packages += lines[-1].startswith(("Collecting ", "Processing "))
                if lines[-1].startswith("Installing collected packages"):
                    write_mark(finished=False)  # until here an older installation was still whole
                    say(f"  putting {lines[-1].count(',') + 1} packages in place, which takes longest ...")
                    shown = float("inf")
                elif time.monotonic() > shown + 5:
                    shown = time.monotonic()
                    say(f"  {packages} packages found so far ...")
        except BaseException:
            process.terminate()
            raise
    if process.returncode:
        words = "\n".join(lines[-40:])
        raise Stop(f"{words}\n\npip could not install gigsums.\n{explain(words)}")


def prepare(test, wheels):
    """See that the environment is there and up to date, doing only what is needed."""
    if ENVIRONMENT.exists() and not MARK.exists() and any(ENVIRONMENT.iterdir()):
        raise Stop(
            f"There is already a {ENVIRONMENT}, and start.py did not make it, so it is left alone.\n"
            "Delete it or give it another name, and run this again."
        )
    want, state = wanted(), read_mark()
    reason = fault(state, want) if MARK.exists() else "new"
    if not reason and state.get("pyproject") == want["pyproject"] and (state.get("test") or not test):
        return
    if reason:
        if reason != "new":
            say(f"{reason}: making it anew.")
        make_environment()
    test = bool(test or state.get("test"))
    install(test, wheels)
    write_mark(finished=True, test=test, **want)


def run(*arguments, cwd=None):
    """Run the environment's Python on this terminal; its exit status."""
    with subprocess.Popen([PYTHON, *arguments], cwd=cwd, env=surroundings()) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:  # the program has had it too, and decides what it means
                continue
            except SystemExit:
                process.terminate()
                raise


def split(arguments):
    """Take --wheels FOLDER out of the arguments: the folder or nothing, and the rest."""
    rest, wheels, words = [], None, iter(arguments)
    for word in words:
        if word == "--wheels" or word.startswith("--wheels="):
            folder = word[len("--wheels=") :] or next(words, "")
            wheels = Path(folder).resolve()
            if not folder or not any(wheels.glob("*.whl")):
                raise Stop(f"--wheels {folder}: a folder with wheels (*.whl) in it is wanted.")
        else:
            rest.append(word)
    return wheels, rest


def main(arguments):
    if sys.version_info < (3, 11):  # noqa: UP036
        raise Stop(
            f"gigsums needs Python 3.11 or later; this is {sys.version.split()[0]} ({sys.executable}).\n"
            "Install a newer one from python.org or from your system's packages, and run this with it."
        )
    sys.stdout.reconfigure(errors="replace")
    wheels, rest = split(arguments)
    if rest[:1] in (["-h"], ["--help"]):
        say(__doc__)
        return 0
    test = rest[:1] == ["test"]
    prepare(test, wheels)
    if test:
        return run("-m", "pytest", "-n", "2", "--dist", "loadfile", *NBVAL, *rest[1:], cwd=ROOT)
    status = run("-m", "gigsums", *(rest or ["size"]))
    if not rest and not status:
        say(f"\nOpen the workbook:    {ME} open\nSize a gig of yours:  {ME} new gig")
    return status


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    try:
        sys.exit(main(sys.argv[1:]))
    except Stop as stop:
        sys.exit(str(stop).strip())
    except OSError as error:
        sys.exit(f"{error}\n{explain(str(error))}".strip())
    except KeyboardInterrupt:
        say("\nStopped. The next run puts right what was left unfinished.")
        sys.exit(130)
