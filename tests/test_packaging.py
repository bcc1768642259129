"""What is installed is whole: the wheel somewhere else, the checkout in place, and the workbook opened from each."""

import importlib.metadata
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import urllib.error
import urllib.request
import venv
import zipfile
from pathlib import Path

import pytest

import gigsums

ROOT = Path(__file__).resolve().parent.parent
INSIDE = "Scripts" if os.name == "nt" else "bin"
WHERE = "import gigsums.workbook as w; print(w.workbook_path())"


def run(*command, cwd, **more):
    ended = subprocess.run([str(word) for word in command], cwd=cwd, capture_output=True, text=True, **more)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout.strip()


def workbook_files(root):
    """The files of the workbook that stand in a folder, less what an editor or a run has left there."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for folder in ("notebooks", "exercises")
        for path in (root / folder).rglob("*")
        if path.is_file() and not any(part.startswith((".", "__")) for part in path.relative_to(root).parts)
    }


def test_the_version_is_said_once_and_the_same_everywhere():
    assert importlib.metadata.version("gigsums") == gigsums.__version__


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory):
    """A folder with a wheel of this checkout and an environment, `env`, that it is installed in."""
    folder = tmp_path_factory.mktemp("elsewhere")
    run(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", folder, ROOT, cwd=folder)
    venv.create(folder / "env", with_pip=True)
    (wheel,) = folder.glob("gigsums-*.whl")
    run(folder / "env" / INSIDE / "python", "-m", "pip", "install", "--quiet", wheel, cwd=folder)
    return folder


@pytest.fixture
def checkout(tmp_path):
    """A checkout of its own, installed in place into an environment without what gigsums needs to size."""
    copy = tmp_path / "a checkout"
    skip = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis", "tests")
    shutil.copytree(ROOT, copy, ignore=skip)
    venv.create(tmp_path / "env", with_pip=True)
    python = tmp_path / "env" / INSIDE / "python"
    run(python, "-m", "pip", "install", "--quiet", "--no-deps", "--editable", copy, cwd=tmp_path)
    return copy


@pytest.mark.thorough
def test_the_wheel_carries_the_workbook_the_licence_and_no_tests(elsewhere):
    (wheel,) = elsewhere.glob("gigsums-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        inside = "gigsums/_workbook/"
        carried = {
            name.removeprefix(inside): archive.read(name)
            for name in names
            if name.startswith(inside) and not re.search(r"/[._]", name.removeprefix(inside))
        }
    assert carried == workbook_files(ROOT)
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert not [name for name in names if "test" in name or "start.py" in name]


@pytest.mark.thorough
def test_from_the_wheel_the_workbook_is_the_packaged_one(elsewhere):
    python = elsewhere / "env" / INSIDE / "python"
    found = Path(run(python, "-c", WHERE, cwd=elsewhere))
    assert found.is_relative_to(elsewhere / "env")
    assert workbook_files(found) == workbook_files(ROOT)


@pytest.mark.thorough
def test_from_the_wheel_the_demo_gig_is_sized(elsewhere):
    command = elsewhere / "env" / INSIDE / "gigsums"
    assert run(command, "--version", cwd=elsewhere) == f"gigsums {gigsums.__version__}"
    fits = json.loads(run(command, "size", "--json", cwd=elsewhere))["fits"]
    assert len(fits) == len(list((ROOT / "exercises" / "desks").glob("*.toml")))


@pytest.mark.thorough
def test_in_a_checkout_the_workbook_is_the_checkouts_own_and_not_the_copy_left_by_installing(
    checkout, tmp_path
):
    python = tmp_path / "env" / INSIDE / "python"
    (stale,) = (tmp_path / "env").rglob("_workbook")  # the trap is there
    assert workbook_files(stale) == workbook_files(checkout)
    (checkout / "notebooks" / "new lesson.ipynb").write_text("{}")
    assert Path(run(python, "-c", WHERE, cwd=tmp_path)) == checkout


def answer(url):
    try:
        with urllib.request.urlopen(url, timeout=20) as reply:
            assert reply.headers.get("Access-Control-Allow-Origin") != "*"
            return reply.status, reply.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, ""


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="ends the server with a signal, which Windows does not have")
@pytest.mark.parametrize("installed", ["wheel", "here"])
def test_the_workbook_opens_on_this_computer_alone_and_asks_for_its_token(request, tmp_path, installed):
    psutil = pytest.importorskip("psutil")  # comes with ipykernel
    python = sys.executable
    if installed == "wheel":
        python = request.getfixturevalue("elsewhere") / "env" / INSIDE / "python"
    careless = tmp_path / "home" / ".jupyter" / "jupyter_server_config.py"
    careless.parent.mkdir(parents=True)
    careless.write_text(
        "c.IdentityProvider.token = ''\nc.ServerApp.ip = '0.0.0.0'\nc.ServerApp.allow_origin = '*'\n"
    )
    environment = {
        **os.environ,
        "HOME": str(tmp_path / "home"),
        "BROWSER": "true",
        "JUPYTER_TOKEN": "guessed",
    }
    command = [python, "-m", "gigsums", "open", "--at", tmp_path / "my work"]
    with subprocess.Popen(
        command, env=environment, cwd=tmp_path, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            url, token = next(
                m.groups() for line in process.stdout if (m := re.search(r"(http.*)\?token=(\w+)", line))
            )
            base = url.partition("/lab/")[0]
            server = psutil.Process(process.pid).children()[0]
            assert {c.laddr.ip for c in server.net_connections() if c.status == "LISTEN"} == {"127.0.0.1"}
            assert answer(f"{base}/api/contents")[0] == 403
            assert answer(f"{base}/api/contents?token=guessed")[0] == 403
            status, page = answer(f"{url}?token={token}")
            assert status == 200
            assert '"disabledExtensions": ["@jupyterlab/apputils-extension:announcements"]' in page
            first = json.loads(answer(f"{url.replace('/lab/tree/', '/api/contents/')}?token={token}")[1])
            assert first["name"] == sorted(p.name for p in (ROOT / "notebooks").glob("*.ipynb"))[0]
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=60)
    assert not server.is_running()
    assert workbook_files(tmp_path / "my work") == workbook_files(ROOT)
    assert [path.name for path in careless.parent.iterdir()] == [careless.name]  # the user's own is untouched


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="presses Ctrl-C as a signal, which Windows does not have")
def test_ctrl_c_closes_the_workbook(tmp_path):
    command = [sys.executable, "-m", "gigsums", "open", "--at", tmp_path / "work"]
    with subprocess.Popen(
        command,
        env={**os.environ, "BROWSER": "true"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # in the background it is ignored
    ) as process:
        try:
            next(line for line in process.stdout if "token=" in line)
            os.killpg(process.pid, signal.SIGINT)  # once is enough where there is no terminal to ask at
            assert process.wait(timeout=60) == 0
            assert "Traceback" not in process.stderr.read()
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
