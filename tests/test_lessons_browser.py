"""Every notebook as `gigsums open` shows it, in a real browser: run from the top, and its panels worked by keyboard.

One JupyterLab serves all of them, each is run once in a page of its own. What is drawn is looked at on a laptop and
on a tablet held upright. GIGSUMS_SCREENS names a folder for pictures to look at.
"""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from browsing import IDLE, Watched

pytestmark = [
    pytest.mark.thorough,
    pytest.mark.browser,
    pytest.mark.skipif(os.name == "nt", reason="ends the server with a signal, which Windows does not have"),
]

ROOT = Path(__file__).resolve().parent.parent
NOTEBOOKS = sorted(path.name for path in (ROOT / "notebooks").glob("*.ipynb"))
SIZES = {"laptop": {"width": 1280, "height": 900}, "tablet": {"width": 820, "height": 1180}}
NOTEBOOK = "jupyterapp.shell.currentWidget"

# every output of every cell, as JupyterLab holds it after the run
OUTPUTS = f"""() => {NOTEBOOK}.content.widgets.flatMap((cell, at) =>
  (cell.model.outputs?.toJSON() ?? []).map(each => ({{ cell: at + 1, ...each }})))"""

# what is shown and does not fit: wider than the column it stands in, or with something inside that is cut off
TOO_WIDE = """() => {
  const column = document.querySelector(".jp-Notebook").getBoundingClientRect().right;
  const told = [];
  const shown = ":is(.jp-OutputArea-output, .jp-MarkdownOutput)";
  for (const each of document.querySelectorAll(`${shown}, ${shown} *, .jp-InputArea .cm-scroller`)) {
    if (each.closest(".gs-aloud, .gs-heard, .MathJax, mjx-container, [hidden]")) continue;
    const box = each.getBoundingClientRect();
    if (!box.width) continue;
    const drawing = each.ownerSVGElement?.getBoundingClientRect();
    const cut = drawing
      ? each.tagName == "text" && (box.right > drawing.right + 1 || box.left < drawing.left - 1)
      : each.clientWidth && each.scrollWidth > each.clientWidth + 1;
    if (cut || box.right > column + 1)
      told.push(`${each.tagName} ${each.className.baseVal ?? each.className}: ${each.textContent.slice(0, 60)}`);
  }
  return told;
}"""

# marks of emphasis that the reader sees, because they did not come out as emphasis
MARKS = """() => [...document.querySelectorAll(".jp-MarkdownOutput :is(p, li, td, th)")]
  .filter(each => [...each.childNodes].some(part => part.nodeType == Node.TEXT_NODE && part.data.includes("*")))
  .map(each => each.textContent)"""

# the words in which a panel answers, and none of those that are chosen or typed
ANSWER = """panel => [...panel.querySelectorAll(".gs-line, .gs-number, .gs-verdict, .gs-ledgers, .gs-l-count")]
  .map(each => each.textContent).join(" | ")"""


def settings(at: Path, private: Path) -> dict[str, str]:
    """What lets a test see in: the application by name, and every cell in the page however long the notebook."""
    own = at / ".gigsums" / "jupyter"
    own.mkdir(parents=True)
    (own / "jupyter_lab_config.json").write_text(json.dumps({"LabApp": {"expose_app_in_browser": True}}))
    tracker = private / "@jupyterlab" / "notebook-extension" / "tracker.jupyterlab-settings"
    tracker.parent.mkdir(parents=True)
    tracker.write_text(json.dumps({"windowingMode": "none"}))
    unseen = {name: value for name, value in os.environ.items() if "DISPLAY" not in name}
    return {
        **unseen,
        "BROWSER": "true",
        "JUPYTERLAB_SETTINGS_DIR": str(private),
        "JUPYTERLAB_WORKSPACES_DIR": str(private / "workspaces"),
    }


class Workbook:
    """`gigsums open`, running."""

    def __init__(self, address: str):
        self.base, self.token = re.fullmatch(r"(.*)/lab/.*\?token=(\w+)", address).groups()

    def ask(self, what: str, method: str = "GET") -> list[dict]:
        request = urllib.request.Request(f"{self.base}/api/{what}?token={self.token}", method=method)
        with urllib.request.urlopen(request, timeout=20) as reply:
            return json.loads(reply.read() or b"null")


class Lesson:
    """One notebook, open in a page of its own."""

    def __init__(self, name: str, watched: Watched):
        self.name, self.watched, self.page = name, watched, watched.page

    def run_all(self) -> None:
        """Returns when the last cell has been run, or the first has failed."""
        self.page.wait_for_function(IDLE, timeout=60_000)
        self.page.evaluate("jupyterapp.shell.collapseLeft(), jupyterapp.shell.mode = 'single-document'")
        self.page.evaluate("jupyterapp.commands.execute('notebook:run-all-cells')")
        self.page.wait_for_function(IDLE, timeout=60_000)

    def outputs(self) -> list[dict]:
        return self.page.evaluate(OUTPUTS)


@pytest.fixture(scope="module")
def workbook(tmp_path_factory):
    at, private = tmp_path_factory.mktemp("workbook"), tmp_path_factory.mktemp("private")
    command = [sys.executable, "-m", "gigsums", "open", "--at", str(at)]
    with subprocess.Popen(command, env=settings(at, private), stdout=subprocess.PIPE, text=True) as process:
        try:
            yield Workbook(next(line.strip() for line in process.stdout if "token=" in line))
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=60)


@pytest.fixture(scope="module", params=NOTEBOOKS)
def lesson(request, browser, workbook):
    """One notebook, run to its end; its kernel ends with it."""
    context = browser.new_context(viewport=SIZES["laptop"])
    opened = Lesson(request.param, Watched(context.new_page()))
    opened.page.goto(f"{workbook.base}/lab/tree/notebooks/{request.param}?reset&token={workbook.token}")
    opened.run_all()
    yield opened
    context.close()
    for session in workbook.ask("sessions"):
        workbook.ask(f"sessions/{session['id']}", "DELETE")
    assert workbook.ask("kernels") == []


def keep(page, name: str) -> None:
    """A screenshot of all of a notebook, where GIGSUMS_SCREENS names a folder."""
    folder = os.environ.get("GIGSUMS_SCREENS")
    if not folder:
        return
    Path(folder).mkdir(parents=True, exist_ok=True)
    size = page.viewport_size
    whole = page.evaluate("document.querySelector('.jp-WindowedPanel-viewport').scrollHeight")
    page.set_viewport_size({**size, "height": min(whole + 200, 16_000)})
    page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTop = 0")
    page.wait_for_timeout(300)
    page.screenshot(path=f"{folder}/{name}.png")
    page.set_viewport_size(size)


def test_it_runs_from_the_top_to_the_end(lesson):
    outputs = lesson.outputs()
    assert [each for each in outputs if each["output_type"] == "error"] == []
    assert [each for each in outputs if each.get("name") == "stderr"] == []
    counts = lesson.page.evaluate(
        f"{NOTEBOOK}.content.widgets.filter(each => each.model.type == 'code').map(each => each.model.executionCount)"
    )
    assert counts == list(range(1, len(counts) + 1))


@pytest.mark.parametrize("size", SIZES)
def test_nothing_is_cut_off_and_nothing_sticks_out(lesson, size):
    lesson.page.set_viewport_size(SIZES[size])
    lesson.page.wait_for_timeout(200)
    keep(lesson.page, f"{lesson.name.partition('.')[0]} {size}")
    assert lesson.page.evaluate(TOO_WIDE) == []


def test_prose_shows_none_of_its_marks(lesson):
    assert lesson.page.evaluate(MARKS) == []


def test_every_panel_answers_to_the_keyboard(lesson):
    made = [
        each
        for each in lesson.outputs()
        if "application/vnd.jupyter.widget-view+json" in each.get("data", {})
    ]
    assert bool(made) == (lesson.name != "00_start.ipynb")
    panels = lesson.page.locator("section.gs")
    assert panels.count() == len(made)
    for panel in panels.all():
        before = panel.evaluate(ANSWER)
        wrong, desk = panel.locator(".gs-is-wrong input"), panel.locator(".gs-answer select")
        if wrong.count():  # left so by the lesson: the answer stands as old until a number is typed
            wrong.first.focus()
            lesson.page.keyboard.press("ControlOrMeta+a")
            lesson.page.keyboard.type("60")
        else:
            (desk if desk.count() else panel.locator("input:visible, select:visible")).first.focus()
            lesson.page.keyboard.press("ArrowDown")
        lesson.page.wait_for_function(
            f"([panel, before]) => ({ANSWER})(panel) != before",
            arg=[panel.element_handle(), before],
            timeout=10_000,
        )


def test_it_complains_of_nothing_and_asks_no_other_machine(lesson):
    lesson.watched.went_well()
