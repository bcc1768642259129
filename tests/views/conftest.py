"""A JupyterLab and a served page of their own on loopback, and a browser that looks at them."""

from __future__ import annotations

import contextlib
import json
import os
import re
import secrets
import socket
import subprocess
import sys
import time

import nbformat
import pytest

from browsing import IDLE


class Lab:
    """A running JupyterLab over one folder."""

    def __init__(self, folder, url, token):
        self.folder, self.url, self.token = folder, url, token

    def notebook(self, name, *cells):
        kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
        made = nbformat.v4.new_notebook(
            cells=[nbformat.v4.new_code_cell(each) for each in cells], metadata={"kernelspec": kernel}
        )
        nbformat.write(made, self.folder / name)

    def open(self, page, name, shown=".gs"):
        """Open a notebook by itself, with no side bar beside it, and run it from the top."""
        page.goto(f"{self.url}/lab/tree/{name}?reset&token={self.token}")
        page.wait_for_function(IDLE, timeout=60_000)
        page.evaluate("jupyterapp.shell.collapseLeft(), jupyterapp.shell.mode = 'single-document'")
        page.evaluate("jupyterapp.commands.execute('notebook:run-all-cells')")
        page.wait_for_selector(shown, timeout=60_000)


@contextlib.contextmanager
def running_lab(folder, private):
    """A JupyterLab over one folder, with its settings in another."""
    token = secrets.token_hex(8)
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        port = held.getsockname()[1]
    (private / "labconfig").mkdir()
    unwanted = {"disabledExtensions": {"@jupyterlab/apputils-extension:announcements": True}}
    (private / "labconfig" / "page_config.json").write_text(json.dumps(unwanted))
    # every cell stays in the page, however long the notebook
    settings = private / "settings" / "@jupyterlab" / "notebook-extension"
    settings.mkdir(parents=True)
    (settings / "tracker.jupyterlab-settings").write_text(json.dumps({"windowingMode": "none"}))
    where = {
        "JUPYTER_CONFIG_DIR": private,
        "JUPYTER_DATA_DIR": private / "data",
        "JUPYTERLAB_SETTINGS_DIR": private / "settings",
        "JUPYTERLAB_WORKSPACES_DIR": private / "workspaces",
    }
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        "--ip=127.0.0.1",
        f"--port={port}",
        "--allow-root",
    ]
    command += [f"--IdentityProvider.token={token}", "--LabApp.expose_app_in_browser=True"]
    log = private / "log"
    with log.open("w") as out:
        server = subprocess.Popen(
            command,
            cwd=folder,
            env=os.environ | {k: str(v) for k, v in where.items()},
            stdout=out,
            stderr=out,
        )
        try:
            for _ in range(300):
                with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 0.2):
                    break
                assert server.poll() is None, log.read_text()
                time.sleep(0.1)
            yield Lab(folder, f"http://127.0.0.1:{port}", token)
        finally:
            server.terminate()
            server.wait(30)


@pytest.fixture(scope="session")
def lab(tmp_path_factory):
    with running_lab(tmp_path_factory.mktemp("lab"), tmp_path_factory.mktemp("private")) as running:
        yield running


class Quick:
    """`gigsums quick`, running."""

    def __init__(self, *words):
        unseen = {name: value for name, value in os.environ.items() if "DISPLAY" not in name}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gigsums", "quick", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env=unseen,
        )
        told = ""
        while "Press Ctrl-C" not in told:
            line = self.process.stdout.readline()
            assert line, told
            told += line
        self.url = re.search(r"http://\S+", told)[0]

    def end(self):
        self.process.terminate()
        said = self.process.communicate(timeout=30)[0]
        assert said.strip() == "Closed."  # and no complaint of what went wrong while it ran


@pytest.fixture(scope="module")
def quick():
    running = Quick()
    yield running
    running.end()
