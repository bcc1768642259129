"""A real browser for tests, and a page that is watched: what it complains of and whom it asks is kept."""

from __future__ import annotations

import os
import shutil

import pytest

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
# JupyterLab has opened a notebook, and its kernel has nothing to do
IDLE = (
    "window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status == 'idle'"
    " && jupyterapp.shell.currentWidget.context.isReady"
)


def without(what: str) -> None:
    """A machine without a browser skips these tests; where everything must run, that is a failure."""
    line = f"no browser test was run: {what}"
    if os.environ.get("CI"):
        pytest.fail(line, pytrace=False)
    pytest.skip(line)


@pytest.fixture(scope="module")  # while it is open its event loop runs in this thread, and no other can
def browser():
    try:
        from playwright.sync_api import Error, sync_playwright
    except ImportError:
        without("playwright is not installed (pip install playwright)")
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    with sync_playwright() as playwright:
        try:
            started = playwright.chromium.launch(executable_path=found, args=QUIET)
        except Error as refused:
            without(f"no Chromium could be started ({str(refused).splitlines()[0]})")
        yield started
        started.close()


class Watched:
    """A page whose console errors and outside requests are kept."""

    def __init__(self, page):
        self.page, self.errors, self.outside = page, [], []
        page.on("console", lambda said: self.errors.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", self._request)

    def _request(self, request):
        inside = ("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:")
        if not request.url.startswith(inside):
            self.outside.append(request.url)

    def went_well(self):
        assert self.outside == []
        assert self.errors == []
