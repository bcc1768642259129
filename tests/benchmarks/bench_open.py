"""From `gigsums open` to the first lesson ready: its page shown and its first cell run, in a real browser.

Once into a folder that is not there yet, then again into the same one. Each step is told by what has gone since the
command was given.

    python tests/benchmarks/bench_open.py [TIMES]
"""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browsing import QUIET

FIRST = "01_what_the_gig_asks_for.ipynb"


def opened(browser, folder, quiet):
    """Seconds until the address is told, the lesson is shown, and its first cell has run."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "gigsums", "open", "--at", str(folder)]
    with subprocess.Popen(command, env=quiet, stdout=subprocess.PIPE, text=True) as process:
        try:
            address = next(line.strip() for line in process.stdout if "token=" in line)
            told = time.perf_counter() - began
            page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
            page.goto(address.replace("00_start.ipynb", FIRST))
            page.locator(".jp-MarkdownOutput h1", has_text="What the gig asks for").wait_for(timeout=60_000)
            shown = time.perf_counter() - began
            page.locator(".jp-CodeCell .cm-content").first.click()
            page.keyboard.press("Shift+Enter")
            counted = page.locator(".jp-CodeCell .jp-InputPrompt", has_text="[1]:").first
            waiting = page.locator(".jp-CodeCell .jp-InputPrompt", has_text="[*]:")
            page.wait_for_function(
                "window.document.querySelector('.jp-Notebook-ExecutionIndicator')?.dataset.status == 'idle'"
            )
            waiting.wait_for(state="detached", timeout=60_000)
            counted.wait_for(timeout=60_000)
            ran = time.perf_counter() - began
            page.context.close()
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=60)
    return told, shown, ran


def main():
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    quiet = {name: value for name, value in os.environ.items() if "DISPLAY" not in name} | {"BROWSER": "true"}
    with tempfile.TemporaryDirectory() as made, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
        print(f"load {os.getloadavg()[0]:.1f}")
        for number in range(times):
            told, shown, ran = opened(browser, Path(made) / "workbook", quiet)
            first = "copied" if number == 0 else "there already"
            print(
                f"{first:14} address {told:4.1f} s   lesson shown {shown:4.1f} s   first cell run {ran:4.1f} s"
            )


if __name__ == "__main__":
    main()
