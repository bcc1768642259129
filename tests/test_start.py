"""toolkit/start.py, run as a person runs it, on a small checkout of its own that needs no network."""

import ast
import json
import os
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

START = Path(__file__).parent.parent / "toolkit" / "start.py"
INSIDE = "Scripts/python.exe" if os.name == "nt" else "bin/python"

PYPROJECT = """
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]
[project]
name = "gigsums"
version = "0.1.0"
"""

# A build backend of a few lines: an editable wheel is a path file and three lines of metadata.
BACKEND = """
import os, pathlib, time, zipfile
def build_editable(folder, config_settings=None, metadata_directory=None):
    here = pathlib.Path(__file__).parent
    if (here / "broken").exists():
        raise SystemExit((here / "broken").read_text())
    time.sleep(60 if (here / "slow").exists() else 0)
    made = here / "made"
    made.write_text(made.read_text() + "x" if made.exists() else "x")
    files = {
        "gigsums.pth": str(here / "toolkit"),
        "gigsums-0.1.0.dist-info/METADATA": "Metadata-Version: 2.1\\nName: gigsums\\nVersion: 0.1.0\\n"
            "Provides-Extra: test\\nRequires-Dist: oracles; extra == 'test'\\n",
        "gigsums-0.1.0.dist-info/WHEEL": "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n",
    }
    record = "gigsums-0.1.0.dist-info/RECORD"
    name = "gigsums-0.1.0-py3-none-any.whl"
    with zipfile.ZipFile(os.path.join(folder, name), "w") as wheel:
        for file, text in files.items():
            wheel.writestr(file, text)
        wheel.writestr(record, "".join(f"{file},,\\n" for file in [*files, record]))
    return name
"""

ECHO = "import os, sys\nprint('{}', sys.argv[1:], os.getcwd())\nsys.exit(3 if 'fail' in sys.argv else 0)\n"


@pytest.fixture
def checkout(tmp_path):
    """A checkout, in a folder with a space in its name, whose gigsums says what it was asked."""
    root = tmp_path / "a checkout"
    for name, text in {
        "pyproject.toml": PYPROJECT,
        "backend.py": BACKEND,
        "toolkit/gigsums/__init__.py": "",
        "toolkit/gigsums/__main__.py": ECHO.format("gigsums"),
    }.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text)
    shutil.copy(START, root / "toolkit")
    return root


@pytest.fixture
def wheels(tmp_path):
    """A folder of wheels with the one package that the test extra of the small checkout wants."""
    (tmp_path / "wheels").mkdir()
    files = {
        "pytest/__main__.py": ECHO.format("pytest"),
        "oracles-1.dist-info/METADATA": "Metadata-Version: 2.1\nName: oracles\nVersion: 1\n",
        "oracles-1.dist-info/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    with zipfile.ZipFile(tmp_path / "wheels" / "oracles-1-py3-none-any.whl", "w") as wheel:
        for file, text in files.items():
            wheel.writestr(file, text)
        wheel.writestr("oracles-1.dist-info/RECORD", "".join(f"{file},,\n" for file in files))
    return tmp_path / "wheels"


def start(checkout, *arguments, cwd=None, pretend="", **environment):
    """Run start.py; `pretend` is a statement to run before it, to make this machine look like another."""
    script = checkout / "toolkit" / "start.py"
    command = [sys.executable, str(script)]
    if pretend:
        command = [sys.executable, "-c", f"import runpy, sys\nsys.argv[0] = {str(script)!r}\n{pretend}\n"]
        command[-1] += f"runpy.run_path({str(script)!r}, run_name='__main__')"
    return subprocess.run(
        [*command, *arguments],
        cwd=cwd or checkout,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=120,
    )


def made(checkout):
    """How many times the small checkout was installed."""
    return len((checkout / "made").read_text()) if (checkout / "made").exists() else 0


def test_the_first_run_installs_and_the_second_reuses(checkout, tmp_path):
    first = start(checkout)
    assert first.returncode == 0, first.stdout + first.stderr
    assert "Making the environment" in first.stdout
    assert f"gigsums ['size'] {checkout}" in first.stdout
    assert 'toolkit/start.py" open' in first.stdout.replace(os.sep, "/")  # quoted, for the space in the path
    assert "Obtaining" not in first.stdout + first.stderr  # pip's own words stay out of sight
    second = start(checkout, "size", "my gig.toml", cwd=tmp_path)
    assert second.stdout == f"gigsums ['size', 'my gig.toml'] {tmp_path}\n"
    assert start(checkout, "fail").returncode == 3
    assert made(checkout) == 1


def test_an_old_python_is_told_so(checkout):
    run = start(checkout, pretend="sys.version_info = (3, 9, 6)")
    assert run.returncode == 1
    assert "needs Python 3.11 or later" in run.stderr
    assert not (checkout / ".venv").exists()


def test_an_old_python_can_read_the_script_at_all():
    ast.parse(START.read_text(encoding="utf-8"), feature_version=(3, 6))


@pytest.mark.parametrize("module", ["venv", "ensurepip"])
def test_a_python_that_cannot_make_environments_is_named(checkout, module):
    run = start(
        checkout,
        pretend=f"import importlib.util as u\nreal = u.find_spec\n"
        f"u.find_spec = lambda name, *a: None if name == {module!r} else real(name, *a)",
    )
    assert run.returncode == 1
    assert f"lacks its module {module}" in run.stderr
    assert "apt install python3-venv" in run.stderr
    assert not (checkout / ".venv").exists()


@pytest.mark.parametrize("arguments", [["--wheels", "nowhere"], ["--wheels"], ["test", "--wheels="]])
def test_a_folder_without_wheels_is_refused(checkout, arguments):
    run = start(checkout, *arguments)
    assert run.returncode == 1
    assert "a folder with wheels" in run.stderr
    assert not (checkout / ".venv").exists()


def test_an_environment_of_somebody_else_is_left_alone(checkout):
    (checkout / ".venv").mkdir()
    (checkout / ".venv" / "theirs").write_text("mine")
    run = start(checkout)
    assert run.returncode == 1
    assert "did not make it" in run.stderr
    assert [path.name for path in (checkout / ".venv").iterdir()] == ["theirs"]


def test_no_room_for_an_environment_is_one_clear_message(checkout):
    run = start(
        checkout,
        pretend="import os\ndef full(*a): raise OSError(28, 'No space left on device')\nos.replace = full",
    )
    assert run.returncode == 1
    assert "The disk is full" in run.stderr
    assert "Traceback" not in run.stderr


@pytest.mark.thorough
def test_the_tests_run_from_a_folder_of_wheels_and_stay_installed(checkout, wheels):
    assert start(checkout).returncode == 0
    run = start(checkout, "test", "-m", "thorough", "--wheels", str(wheels))
    assert run.returncode == 0, run.stdout + run.stderr
    last = run.stdout.splitlines()[-1]
    assert last.startswith("pytest ['-n', '2', '--dist', 'loadfile', '--nbval'")
    assert last.endswith(f"'-m', 'thorough'] {checkout}")
    assert made(checkout) == 2
    assert start(checkout, "test", "fail").returncode == 3
    assert start(checkout).returncode == 0
    assert made(checkout) == 2  # what the tests need does no harm to the rest


@pytest.mark.thorough
def test_with_a_folder_of_wheels_no_index_is_asked(checkout, wheels, tmp_path):
    shelf = tmp_path / "index" / "oracles"
    shelf.mkdir(parents=True)
    (wheel,) = wheels.iterdir()
    (shelf / wheel.name).write_bytes(wheel.read_bytes())
    (shelf / "index.html").write_text(f'<a href="{wheel.name}">{wheel.name}</a>')
    wheel.rename(wheels / "other-1-py3-none-any.whl")
    index = {"PIP_INDEX_URL": shelf.parent.as_uri(), "PIP_EXTRA_INDEX_URL": "", "PIP_CONFIG_FILE": os.devnull}
    run = start(checkout, "test", "--wheels", str(wheels), **index)
    assert run.returncode == 1
    assert "No matching distribution found for oracles" in run.stderr
    assert "the folder lacks it" in run.stderr
    assert start(checkout, "test", **index).returncode == 0  # there it was


@pytest.mark.thorough
@pytest.mark.parametrize("how", ["python", "file", "mark", "moved"])
def test_a_broken_environment_is_made_anew(checkout, wheels, how):
    assert start(checkout, "test", "--wheels", str(wheels)).returncode == 0
    environment = checkout / ".venv"
    if how == "python":
        (environment / INSIDE).unlink()
    elif how == "file":
        next(environment.rglob("pytest/__main__.py")).unlink()
    elif how == "mark":
        (environment / "gigsums-start.json").write_text("{")
    else:
        checkout = checkout.rename(checkout.with_name("another place"))
    run = start(checkout, "test", "--wheels", str(wheels))
    assert run.returncode == 0, run.stdout + run.stderr
    assert "making it anew" in run.stdout
    assert made(checkout) == 2
    assert start(checkout).returncode == 0
    assert made(checkout) == 2


@pytest.mark.thorough
def test_a_changed_pyproject_installs_again_and_a_failure_leaves_what_was_there(checkout):
    assert start(checkout).returncode == 0
    project = checkout / "pyproject.toml"
    project.write_text(PYPROJECT + "# changed\n")
    (checkout / "broken").write_text("the backend fell over")
    run = start(checkout)
    assert run.returncode == 1
    assert "the backend fell over" in run.stderr
    assert "pip could not install" in run.stderr
    project.write_text(PYPROJECT)
    assert start(checkout).returncode == 0
    assert made(checkout) == 1
    project.write_text(PYPROJECT + "# changed\n")
    (checkout / "broken").unlink()
    run = start(checkout)
    assert run.returncode == 0
    assert made(checkout) == 2
    assert "Making the environment" not in run.stdout


@pytest.mark.thorough
def test_an_interrupted_renewal_is_made_anew(checkout):
    assert start(checkout).returncode == 0
    (checkout / "pyproject.toml").write_text(PYPROJECT + "# changed\n")
    interrupt = "import json\nreal = json.dumps\ndef dumps(state, **more):\n    if state['finished']:\n"
    interrupt += "        raise KeyboardInterrupt\n    return real(state, **more)\njson.dumps = dumps"
    assert start(checkout, pretend=interrupt).returncode == 130
    (checkout / "pyproject.toml").write_text(PYPROJECT)
    run = start(checkout)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "was not finished: making it anew" in run.stdout


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="sends Ctrl-C as a signal, which Windows does not have")
@pytest.mark.parametrize(
    ("how", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGKILL, -9)]
)
def test_an_interrupted_installation_is_made_anew(checkout, how, status):
    (checkout / "slow").touch()
    with subprocess.Popen(
        [sys.executable, "toolkit/start.py"],
        cwd=checkout,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # in the background it is ignored
    ) as process:
        for line in process.stdout:
            if line.startswith("Installing"):
                break
        time.sleep(1)
        os.killpg(process.pid, how)
        process.stdout.read()
        assert process.wait(timeout=30) == status
    assert json.loads((checkout / ".venv" / "gigsums-start.json").read_text()) == {"finished": False}
    (checkout / "slow").unlink()
    run = start(checkout)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "was not finished: making it anew" in run.stdout
