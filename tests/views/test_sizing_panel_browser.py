"""The sizing panel in a real browser: filled in by keyboard, undone, saved, opened, broken, and looked at."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from browsing import Watched
from gigsums.views import Sheet

pytestmark = [pytest.mark.thorough, pytest.mark.browser]

PHONE, LAPTOP = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
BOTH = pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
CELL = "from gigsums.views import size\npanel = size({})\npanel"


@pytest.fixture
def opened(browser, lab):
    """Opens a notebook with the panel; afterwards nothing may have gone wrong unseen."""
    contexts, watched = [], []

    def open_(size=LAPTOP, given="", *cells, watch=True):
        lab.notebook("sizing.ipynb", CELL.format(given), *cells)
        contexts.append(browser.new_context(viewport=size, has_touch=size is PHONE, reduced_motion="reduce"))
        page = contexts[-1].new_page()
        if watch:
            watched.append(Watched(page))
        lab.open(page, "sizing.ipynb")
        return page, page.locator("section.gs-size")

    yield open_
    for each in watched:
        each.went_well()
    for context in contexts:
        context.close()


def keep(panel, name):
    """Keep a screenshot where GIGSUMS_SCREENS names a folder, for people to look at."""
    folder = os.environ.get("GIGSUMS_SCREENS")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        size = panel.page.viewport_size
        panel.page.set_viewport_size({"width": size["width"], "height": 3400})
        panel.page.wait_for_timeout(500)
        panel.screenshot(path=f"{folder}/{name}.png")
        panel.page.set_viewport_size(size)


def ledger_is(panel, label, count):
    from playwright.sync_api import expect

    shown = panel.locator(".gs-ledger", has=panel.page.locator(".gs-l-name", has_text=label)).first
    expect(shown.locator(".gs-l-count")).to_have_text(count, timeout=15_000)


def count_of(sheet, label):
    row = next(row for row in sheet.fit.ledgers if row.label == label or row.key == label)
    return f"{row.need:g} of {row.have:g}"


@BOTH
def test_a_player_is_added_by_keyboard_alone_and_the_ledger_fills_as_the_sheet_counts(opened, size):
    from playwright.sync_api import expect

    page, panel = opened(size, "desk='desk_c'")
    cells = page.locator(".jp-Cell").count()
    sheet = Sheet(desk="desk_c")
    panel.locator(".gs-shade").focus()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.labels?.[0]?.textContent") == "New player":
            break
    page.keyboard.type("Ada")
    page.keyboard.press("Enter")
    sheet.add("performer", name="Ada")
    new = panel.get_by_label("New source of Ada", exact=True)
    expect(new).to_be_focused(timeout=15_000)
    for name in ("Kick", "Snare", "Hat"):
        page.keyboard.type(name)
        page.keyboard.press("Enter")
        sheet.add("performer.Ada.sources", name=name)
    assert sheet.fit.ledger("preamps").need == 3
    ledger_is(panel, "preamps", count_of(sheet, "preamps"))
    # back up to the first source, which opens, and to its box for stereo
    for _ in range(20):
        page.keyboard.press("Shift+Tab")
        if page.evaluate("document.activeElement.querySelector?.('b')?.textContent") == "Kick":
            break
    page.keyboard.press("Enter")
    for _ in range(10):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.labels?.[0]?.textContent") == "Stereo":
            break
    page.keyboard.press("Space")
    sheet.change("performer.Ada.sources.Kick.stereo", True)
    ledger_is(panel, "preamps", count_of(sheet, "preamps"))
    expect(panel.locator(".gs-mark")).to_have_text("● not saved")
    keep(panel, f"added {size['width']}")
    for key in "adx":  # in a notebook these add and cut cells
        page.keyboard.press(key)
    assert page.locator(".jp-Cell").count() == cells
    panel.get_by_role("button", name="Undo").focus()
    page.keyboard.press("Enter")
    sheet.undo()
    ledger_is(panel, "preamps", count_of(sheet, "preamps"))
    panel.get_by_role("button", name="Redo").click()
    sheet.redo()
    ledger_is(panel, "preamps", count_of(sheet, "preamps"))
    assert panel.get_by_role("button", name="Redo").is_disabled()


@BOTH
def test_saved_opened_again_and_never_over_another_file(opened, lab, size):
    from playwright.sync_api import expect

    for each in lab.folder.glob("*.toml"):
        each.unlink()
    (lab.folder / "theirs.toml").write_text("# theirs\n", encoding="utf-8")
    _, panel = opened(size, "'lantern_night', 'desk_d'")
    told = panel.locator(".gs-told")
    panel.get_by_role("button", name="File", exact=True).click()
    keep(panel, f"file {size['width']}")
    panel.get_by_label("Save as").fill("theirs")
    panel.get_by_role("button", name="Save", exact=True).click()
    expect(told).to_contain_text("theirs.toml is there already", timeout=15_000)
    assert (lab.folder / "theirs.toml").read_text() == "# theirs\n"
    panel.get_by_label("Save as").fill("mine")
    panel.get_by_role("button", name="Save", exact=True).click()
    expect(panel.locator(".gs-mark")).to_have_text("saved in mine.toml", timeout=15_000)
    sheet = Sheet("lantern_night", "desk_d")
    assert (lab.folder / "mine.toml").read_text(encoding="utf-8") == sheet.text
    panel.locator(".gs-edit").get_by_label("New effect", exact=True).fill("Delay")
    panel.get_by_role("button", name="Add: New effect").click()
    expect(panel.locator(".gs-mark")).to_have_text("● not saved in mine.toml", timeout=15_000)
    sheet.add("effect", name="Delay")
    ledger_is(panel, "buses", count_of(sheet, "buses"))
    # refused under another name, "Replace it" means that one: here it is left alone, and so is the gig's own
    panel.get_by_label("Save as").fill("theirs")
    panel.get_by_role("button", name="Save", exact=True).click()
    expect(told).to_contain_text("theirs.toml is there already", timeout=15_000)
    assert panel.get_by_label("Save as").input_value() == "theirs"
    panel.get_by_label("Save as").fill("mine")
    (lab.folder / "mine.toml").write_text(sheet.text + "# somebody else\n", encoding="utf-8")
    panel.get_by_role("button", name="Save", exact=True).click()
    expect(told).to_contain_text("has been changed on disk since", timeout=15_000)
    panel.get_by_role("button", name="Replace it").click()
    expect(panel.locator(".gs-mark")).to_have_text("saved in mine.toml", timeout=15_000)
    assert (lab.folder / "mine.toml").read_text(encoding="utf-8") == sheet.text
    _, panel2 = opened(size)
    panel2.get_by_role("button", name="File", exact=True).click()
    panel2.get_by_label("Gig", exact=True).select_option("mine.toml")
    panel2.get_by_role("button", name="Open", exact=True).click()
    expect(panel2.locator(".gs-question")).to_have_text("Lantern Night", timeout=15_000)
    panel2.get_by_label("Desk", exact=True).select_option("desk_d")
    ledger_is(panel2, "buses", count_of(sheet, "buses"))
    assert panel2.get_by_label("The gig as text").input_value() == sheet.text


@BOTH
def test_what_is_wrong_is_said_beside_its_field_and_the_answer_is_old(opened, size):
    from playwright.sync_api import expect

    page, panel = opened(size, "'lantern_night', 'desk_b'")
    panel.get_by_role("button", name="The evening").click()
    doors = panel.get_by_label("Doors")
    doors.fill("half past six")
    doors.press("Enter")
    said = '"half past six" stands there; a time such as 18:30:00 is wanted.'
    expect(panel.locator(".gs-field.gs-is-wrong .gs-hint")).to_have_text(said, timeout=15_000)
    expect(panel.locator(".gs-old")).to_be_visible()
    assert doors.input_value() == "half past six"
    assert doors.get_attribute("aria-invalid") == "true"
    assert panel.locator(".gs-verdict").inner_text() == "Fits with changes"
    keep(panel, f"wrong {size['width']}")
    assert page.evaluate(CONTRAST) == []
    doors.fill("18.30")
    doors.press("Tab")
    expect(panel.locator(".gs-old")).to_be_hidden(timeout=15_000)
    assert doors.input_value() == "18:30"


@BOTH
def test_a_full_gig_is_looked_at(opened, size):
    page, panel = opened(size, "'lantern_night', 'desk_b'")
    panel.locator(".gs-ledger", has_text="bus pairs").click()
    panel.locator(".gs-why", has_text="stereo takes an odd-even pair").wait_for()
    assert "Least that makes it fit" in panel.locator(".gs-changes").inner_text()
    assert panel.locator(".gs-picture").get_attribute("aria-label").startswith("Buses of Desk B")
    keep(panel, f"full {size['width']}")
    for name in ("Ines", "Perrin"):
        panel.locator(".gs-edit .gs-entry", has_text=name).first.click()
    panel.get_by_role("button", name="More (1)").first.click()
    small = panel.evaluate("""e => [...e.querySelectorAll('button, input:not([type=checkbox]), select, textarea, .gs-tick')]
        .filter(b => b.offsetParent).map(b => [b.textContent, b.offsetWidth, b.offsetHeight])
        .filter(b => Math.min(b[1], b[2]) < 44)""")
    assert small == []
    wide = """e => [...e.querySelectorAll('*')].filter(n => n.getBoundingClientRect().right > e.getBoundingClientRect().right)
        .map(n => n.className + ' ' + n.textContent.slice(0, 40))"""
    assert panel.evaluate(wide) == []
    assert panel.evaluate("e => parseFloat(getComputedStyle(e.querySelector('.gs-verdict')).fontSize)") >= 32
    unnamed = panel.evaluate("""e => [...e.querySelectorAll('button, input, select, textarea')].filter(b => b.offsetParent)
        .filter(b => !(b.getAttribute('aria-label') || b.textContent.trim() || b.labels?.[0]?.textContent.trim()))
        .map(b => b.outerHTML)""")
    assert unnamed == []
    keep(panel, f"open {size['width']}")
    assert page.evaluate(CONTRAST) == []
    panel.get_by_role("button", name="Change to light").click()
    page.wait_for_timeout(500)
    keep(panel, f"light {size['width']}")
    assert page.evaluate(CONTRAST) == []
    assert panel.evaluate(
        "e => [...e.querySelectorAll('*')].every(n => getComputedStyle(n).animationName == 'none')"
    )


def test_taken_out_and_shared_by_hand(opened):
    from playwright.sync_api import expect

    _, panel = opened(LAPTOP, "'lantern_night', 'desk_b'")
    sheet = Sheet("lantern_night", "desk_b")
    mixes = panel.locator(".gs-list-of", has=panel.page.locator("h4", has_text="Monitor mixes"))
    mixes.locator(".gs-entry", has_text="Fenwick").click()
    mixes.get_by_role("button", name="Take out this mix").click()
    sheet.remove("mix.Fenwick")
    ledger_is(panel, "bus pairs", count_of(sheet, "bus pairs"))
    expect(panel.get_by_label("New mix", exact=True)).to_be_focused()
    mixes.locator(".gs-entry", has_text="Maud").click()
    mixes.get_by_role("group", name="Heard by").get_by_label("Fenwick").check()
    sheet.change("mix.Maud.for", ["Maud", "Fenwick"])
    expect(mixes.locator(".gs-entry", has_text="Maud")).to_contain_text(
        "for Maud and Fenwick", timeout=15_000
    )
    panel.get_by_role("button", name="File", exact=True).click()
    assert panel.get_by_label("The gig as text").input_value() == sheet.text


def test_a_burst_of_additions_loses_none(opened):
    _, panel = opened(PHONE, "desk='desk_d'")
    box = panel.get_by_label("New line", exact=True)
    for number in range(8):
        box.fill(f"Line {number}")
        box.press("Enter")
    panel.locator(".gs-entry", has_text="Line 7").wait_for(timeout=20_000)
    assert [panel.locator(".gs-entry b", has_text=f"Line {n}").count() for n in range(8)] == [1] * 8


def test_a_cell_that_edits_the_sheet_is_seen_and_a_lost_kernel_is_said(opened):
    page, panel = opened(LAPTOP, "desk='desk_d'", "panel.sheet.add('performer', name='Cell')", watch=False)
    panel.locator(".gs-entry", has_text="Cell").wait_for(timeout=20_000)
    page.evaluate("jupyterapp.shell.currentWidget.sessionContext.session.kernel.shutdown()")
    panel.get_by_label("New line", exact=True).fill("Lost")
    panel.get_by_label("New line", exact=True).press("Enter")
    panel.get_by_text("No answer from the kernel. Run the cell again.").wait_for(timeout=30_000)


@BOTH
def test_the_served_page_fills_the_same_ledgers_in_one_screen(browser, quick, size):
    from playwright.sync_api import expect

    context = browser.new_context(viewport=size, has_touch=size is PHONE)
    watched = Watched(page := context.new_page())
    page.goto(quick.url)
    page.get_by_role("link", name="Size a gig").click()
    panel = page.locator("section.gs-size")
    panel.get_by_label("Desk", exact=True).select_option("desk_c")
    panel.get_by_label("New player", exact=True).fill("Ada")
    page.keyboard.press("Enter")
    new = panel.get_by_label("New source of Ada", exact=True)
    expect(new).to_be_focused(timeout=15_000)
    page.keyboard.type("Vocal")
    page.keyboard.press("Enter")
    sheet = Sheet(desk="desk_c")
    sheet.add("performer", name="Ada")
    sheet.add("performer.Ada.sources", name="Vocal")
    ledger_is(panel, "preamps", count_of(sheet, "preamps"))
    expect(panel.locator(".gs-mark")).to_have_text("● not saved")
    if size is PHONE:  # what is typed and what fills are seen together
        seen = "b => b.getBoundingClientRect().top >= 0 && b.getBoundingClientRect().bottom <= innerHeight"
        assert new.evaluate(seen)
        assert panel.locator(".gs-ledger").first.evaluate(seen)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(CONTRAST) == []
    assert (watched.errors, watched.outside) == ([], [])
    context.close()


CONTRAST = """() => {
  const value = text => text.match(/[\\d.]+/g).map(Number);
  const light = text => value(text).slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const paper = node => {
    for (let at = node; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if ((value(colour)[3] ?? 1) > 0) return colour;
    }
  };
  const low = [];
  for (const node of document.querySelectorAll('.gs-size *')) {
    if (!node.offsetParent || node.disabled || node.closest('option')) continue;
    if (![...node.childNodes].some(n => n.nodeType == 3 && n.data.trim())) continue;
    const pair = [light(getComputedStyle(node).color), light(paper(node))].sort((a, b) => b - a);
    const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
    if (ratio < 4.5) low.push([node.className, node.textContent.slice(0, 30), ratio]);
  }
  return low;
}"""
