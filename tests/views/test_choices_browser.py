"""A few choices of a gig in a real browser, and the lesson that uses them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

pytestmark = [pytest.mark.thorough, pytest.mark.browser]

ROOT = Path(__file__).resolve().parents[2]
PHONE, TABLET, LAPTOP = (
    {"width": 390, "height": 844},
    {"width": 820, "height": 1180},
    {"width": 1280, "height": 800},
)
CELLS = (
    "from gigsums import size",
    'panel = size("lantern_night", "desk_b", "desk_d", show="line-up")\npanel',
)


@pytest.fixture
def opened(browser, lab):
    """Opens a notebook with the panel at a size; the page and the panel on it."""
    contexts = []

    def open_(size=LAPTOP):
        lab.notebook("line-up.ipynb", *CELLS)
        contexts.append(browser.new_context(viewport=size, has_touch=size != LAPTOP))
        page = contexts[-1].new_page()
        lab.open(page, "line-up.ipynb")
        return page, page.locator("section.gs")

    yield open_
    for context in contexts:
        context.close()


def choice(panel, name):
    return panel.get_by_label(name, exact=True)


def counted(panel, words):
    """Wait until the verdict says so; how many mixes the panel shows then."""
    panel.locator(".gs-verdict", has_text=words).wait_for(timeout=10_000)
    return int(panel.locator(".gs-number").inner_text())


def test_a_choice_counts_again_and_all_can_be_put_back(opened):
    _, panel = opened()
    assert counted(panel, "Short of bus pairs") == 5
    choice(panel, "Maud").select_option("with Fenwick")
    assert counted(panel, "No spare bus pairs") == 4
    assert "4 of 4" in panel.locator(".gs-ledger", has_text="bus pairs").inner_text()
    panel.get_by_role("button", name="Back to what was asked for").click()
    assert counted(panel, "Short of bus pairs") == 5
    assert choice(panel, "Maud").input_value() == "one wedge"


def test_keys_work_the_panel_and_not_the_notebook(opened):
    page, panel = opened()
    cells = page.locator(".jp-Cell").count()
    ines = choice(panel, "Ines")
    ines.focus()
    page.keyboard.type("mono")
    page.keyboard.press("Tab")
    counted(panel, "No spare bus pairs")
    assert ines.input_value() == "mono in-ears"
    assert choice(panel, "Tobiah").evaluate("each => each == document.activeElement")
    panel.get_by_role("button", name="Back to what was asked for").focus()
    page.keyboard.press("Enter")
    counted(panel, "Short of bus pairs")
    page.keyboard.press("d")
    page.keyboard.press("d")
    assert page.locator(".jp-Cell").count() == cells


@pytest.mark.parametrize("size", [PHONE, TABLET, LAPTOP], ids=["phone", "tablet", "laptop"])
def test_a_thumb_hits_every_target_and_nothing_is_cut_off(opened, size):
    _, panel = opened(size)
    sizes = panel.locator("button, select").evaluate_all(
        "all => all.map(each => each.getBoundingClientRect()).map(box => [box.width, box.height])"
    )
    assert len(sizes) > 11
    assert min(min(each) for each in sizes) >= 44
    assert panel.evaluate("each => each.scrollWidth <= each.clientWidth")
    assert panel.evaluate("each => each.getBoundingClientRect().right") <= size["width"]


def test_a_burst_of_moves_loses_none(opened):
    _, panel = opened()
    for name, to in [
        ("Effects", "4"),
        ("Effects", "0"),
        ("Wren", "one wedge"),
        ("Maud", "nothing"),
        ("Effects", "2"),
    ]:
        choice(panel, name).select_option(to)
    panel.locator(".gs-because", has_text="Reverb 1 + Delay 1 = 2").wait_for(timeout=10_000)
    shown = {name: choice(panel, name).input_value() for name in ("Wren", "Maud", "Effects")}
    assert shown == {"Wren": "one wedge", "Maud": "nothing", "Effects": "2"}


def test_who_shared_is_seen_to_take_the_mix_over(opened):
    _, panel = opened()
    choice(panel, "Ottoline").select_option("with Ines")
    panel.locator(".gs-because", has_text="Ines and Ottoline 2").wait_for(timeout=10_000)
    assert choice(panel, "Perrin").input_value() == "one wedge"


def test_a_kernel_that_is_gone_is_said(opened):
    page, panel = opened()
    page.evaluate("jupyterapp.shell.currentWidget.sessionContext.session.kernel.shutdown()")
    choice(panel, "Maud").select_option("two wedges")
    panel.get_by_text("No answer from the kernel. Run the cell again.").wait_for(timeout=30_000)


@pytest.mark.parametrize("size", [TABLET, LAPTOP], ids=["tablet", "laptop"])
def test_the_lesson_runs_from_top_to_bottom_and_its_panel_follows_its_cells(browser, lab, size):
    shutil.copytree(ROOT / "exercises", lab.folder / "exercises", dirs_exist_ok=True)
    shutil.copytree(ROOT / "notebooks", lab.folder / "notebooks", dirs_exist_ok=True)
    context = browser.new_context(viewport=size)
    page = context.new_page()
    lab.open(page, "notebooks/02_monitor_mixes.ipynb")
    page.wait_for_function(
        "[...document.querySelectorAll('.jp-CodeCell .jp-InputPrompt')].every(each => /\\[\\d+\\]/.test(each.textContent))",
        timeout=60_000,
    )
    assert page.locator('[data-mime-type="application/vnd.jupyter.error"]').count() == 0
    assert page.locator('[data-mime-type="application/vnd.jupyter.stderr"]').count() == 0
    panel = page.locator("section.gs")
    assert counted(panel, "Short of bus pairs") == 5
    wide = page.locator(".jp-OutputArea-output pre").evaluate_all(
        "all => all.filter(each => each.scrollWidth > each.clientWidth).map(each => each.textContent)"
    )
    assert wide == []
    context.close()


SOURCES = (
    "from gigsums import size",
    'panel = size("lantern_night", "desk_d", "desk_c", show="sources")\npanel',
)


@pytest.mark.parametrize("size", [(390, 844), (820, 1180), (1280, 900)], ids=str)
def test_a_choice_counts_again_at_every_size(browser, lab, size):
    lab.notebook("picked-up.ipynb", *SOURCES)
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    trouble = []
    page.on("console", lambda said: trouble.append(said.text) if said.type == "error" else None)
    lab.open(page, "picked-up.ipynb")
    panel = page.locator("section.gs")
    number = panel.locator(".gs-number")
    assert number.inner_text() == "20"
    panel.get_by_label("Keys", exact=True).select_option("one DI box")
    panel.locator(".gs-number", has_text="19").wait_for(timeout=10_000)
    panel.get_by_label("Desk", exact=True).select_option("Desk C")
    panel.locator(".gs-verdict", has_text="Short of preamps").wait_for(timeout=10_000)
    assert "20 of 16" in panel.locator(".gs-ledger", has_text="preamps").inner_text()
    panel.get_by_role("button", name="Back to what was asked for").click()
    panel.locator(".gs-number", has_text="20").wait_for(timeout=10_000)
    assert panel.evaluate("each => each.scrollWidth <= each.clientWidth")
    if size[0] == 1280:
        panel.get_by_label("Desk", exact=True).scroll_into_view_if_needed()
        box = number.bounding_box()
        assert 0 <= box["y"] <= size[1], "the count is out of sight while the lowest choice is made"
    assert trouble == []
    context.close()
