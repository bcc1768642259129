"""How long after a key press the answer and the picture have changed, in a real browser.

The calculator in JupyterLab and as a served page, beside the same sum and the same picture drawn in two other ways
in the same JupyterLab: the whole figure each time (`interactive_output`), and matplotlib's own interactive backend
(ipympl). Every time ends at the first frame after both answer and picture have changed.

    python tests/benchmarks/bench_latency.py [KEY PRESSES]
"""

import json
import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from gigsums.workbook import PROMPT

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browsing import QUIET
from views.conftest import Quick, running_lab

KEY = "delay for a distance"

OURS = f"from gigsums.views import show\nshow({KEY!r})"
OTHERS = f"""
import ipywidgets as widgets
from IPython.display import display
from gigsums.views import Form
from gigsums.figures import PICTURES
form = Form({KEY!r})
slider = widgets.FloatSlider(value=25, min=1, max=300, step=1, continuous_update=True)
answer = widgets.HTML(form.line)
answer.add_class("bench-line")
def work(metres):
    form.type("distance_m", str(round(metres)))
    answer.value = form.line
"""
WHOLE = (
    OTHERS
    + """
def whole(metres):
    work(metres)
    picture = PICTURES[form.calculator.picture]()
    picture.update(form.values)
    display(picture)
display(slider, answer, widgets.interactive_output(whole, {"metres": slider}))
"""
)
IPYMPL = (
    OTHERS
    + """
from ipympl.backend_nbagg import Canvas, FigureManager
picture = PICTURES[form.calculator.picture]()
for artist in [*picture.moving, *picture.scaled]:
    artist.set_animated(False)
picture.place(form.values)
canvas = Canvas(picture.figure)
manager = FigureManager(canvas, 1)
def moved(change):
    work(change["new"])
    picture.place(form.values)
    canvas.draw_idle()
slider.observe(moved, "value")
display(slider, answer, canvas)
"""
)

# the clock starts at the key and stops at the frame after both have changed
CLOCK = """([line, kind]) => {
  window.bench = null;
  const said = () => document.querySelector(line)?.textContent;
  let start = 0, before = "", words = 0, drawn = 0;
  const stop = () => {
    if (!start || !words || !drawn) return;
    const from = start;
    start = 0;
    requestAnimationFrame(() => setTimeout(() => { window.bench = performance.now() - from; }));
  };
  addEventListener("keydown", event => {
    if (!event.key.startsWith("Arrow")) return;
    start = event.timeStamp; before = said(); words = drawn = 0; window.bench = null;
  }, true);
  const draw = () => { if (start) { drawn = 1; stop(); } };
  if (kind == "canvas") {
    const real = CanvasRenderingContext2D.prototype.drawImage;
    CanvasRenderingContext2D.prototype.drawImage = function (...all) { real.apply(this, all); draw(); };
  }
  new MutationObserver(changes => {
    if (!start) return;
    if (said() !== undefined && said() !== before) words = 1;
    for (const change of changes) {
      if (kind == "svg" && change.target.closest?.(".gs-picture")) drawn = 1;
      if (kind == "img") for (const node of [change.target, ...change.addedNodes]) {
        const image = node.tagName == "IMG" || node === change.target ? node : node.querySelector?.("img");
        if (image?.tagName == "IMG") image.decode().then(draw, draw);
      }
    }
    stop();
  }).observe(document.body, { childList: true, subtree: true, characterData: true, attributes: true });
}"""

WAIT = """() => new Promise(done => {
  const began = performance.now();
  const look = () => window.bench !== null || performance.now() - began > 20000
    ? done(window.bench) : setTimeout(look, 4);
  look();
})"""


def pressed(page, line, kind, field, key, presses):
    """Milliseconds from each press to its frame."""
    page.evaluate(CLOCK, [line, kind])
    page.focus(field)
    times = []
    for number in range(presses + 5):
        page.keyboard.press(key)
        took = page.evaluate(WAIT)
        if took is None:
            raise SystemExit(f"no answer and picture within 20 s of press {number + 1}")
        if number >= 5:
            times.append(took)
        page.wait_for_timeout(40)
    return times


def burst(page, line):
    """Thirty keys at once: how long until the last answer stands, and whether anything comes after it."""
    start = int(page.input_value(".gs-fields input"))
    began = time.perf_counter()
    for _ in range(30):
        page.keyboard.press("ArrowUp")
    sent = time.perf_counter()
    page.locator(line, has_text=f"{start + 30} m at").wait_for()
    done = time.perf_counter()
    then = page.inner_html("#calculator" if page.query_selector("#calculator") else ".jp-Notebook .gs")
    page.wait_for_timeout(500)
    still = page.inner_html("#calculator" if page.query_selector("#calculator") else ".jp-Notebook .gs")
    after = (
        "nothing came after it" if _less_speech(then) == _less_speech(still) else "SOMETHING CAME AFTER IT"
    )
    print(
        f"    30 keys in {1e3 * (sent - began):.0f} ms: last answer {1e3 * (done - sent):.0f} ms later; {after}"
    )


def _less_speech(page):
    """What is said aloud follows after a rest on purpose."""
    return page.split('class="gs-aloud"')[0]


def told(way, times):
    ordered = sorted(times)
    high = ordered[round(0.95 * (len(ordered) - 1))]
    print(f"{way:46}{statistics.median(ordered):7.1f}{high:9.1f}{os.getloadavg()[0]:8.1f}", flush=True)


def main():
    presses = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as made:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
        view = {"width": 1280, "height": 800}
        print(f"{'key press to answer and picture, ms':46}{'median':>7}{'95th pc':>9}{'load':>8}")
        folder, private = Path(made) / "lab", Path(made) / "private"
        folder.mkdir()
        private.mkdir()
        # as `gigsums open` starts it
        settings = {"ServerApp": {"kernel_websocket_connection_class": PROMPT}}
        (private / "jupyter_server_config.json").write_text(json.dumps(settings))
        with running_lab(folder, private) as lab:
            for name, way, code, line, kind, field, key in (
                ("ours", "calculator in JupyterLab", OURS, ".gs-line", "svg", ".gs-fields input", "ArrowUp"),
                (
                    "whole",
                    "whole figure each time",
                    WHOLE,
                    ".bench-line",
                    "img",
                    ".noUi-handle",
                    "ArrowRight",
                ),
                ("ipympl", "ipympl", IPYMPL, ".bench-line", "canvas", ".noUi-handle", "ArrowRight"),
            ):
                lab.notebook(f"{name}.ipynb", code)
                context = browser.new_context(viewport=view)
                page = context.new_page()
                lab.open(page, f"{name}.ipynb", line)
                page.wait_for_timeout(1500)
                told(way, pressed(page, line, kind, field, key, presses))
                if name == "ours":
                    burst(page, line)
                context.close()
        served = Quick()
        usable = []
        for _ in range(10):
            context = browser.new_context(viewport={"width": 390, "height": 844})
            page = context.new_page()
            began = time.perf_counter()
            page.goto(served.url)
            page.wait_for_selector(".gs-line")
            usable.append(1e3 * (time.perf_counter() - began))
            if len(usable) < 10:
                context.close()
        page.locator(".gs-choose").click()
        page.keyboard.type("del dis")
        page.keyboard.press("Enter")
        page.wait_for_selector(".gs-picture svg")
        page.wait_for_timeout(500)
        told(
            "served page, 390 x 844", pressed(page, ".gs-line", "svg", ".gs-fields input", "ArrowUp", presses)
        )
        burst(page, ".gs-line")
        told("served page usable after the request", usable)
        browser.close()
        served.end()


if __name__ == "__main__":
    main()
