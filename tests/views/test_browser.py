"""The calculators in a real browser: typed into, switched, broken, copied, and looked at for size and contrast."""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path

import pytest

from browsing import Watched
from gigsums.catalogue import CATALOGUE
from gigsums.quantities import Kind, nudge, show
from gigsums.views import Form

pytestmark = [pytest.mark.thorough, pytest.mark.browser]

PHONE, LAPTOP = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
MAY = ["clipboard-read", "clipboard-write"]


class InJupyterLab(Watched):
    """Every calculator in a notebook."""

    def open(self, lab):
        cells = [f"from gigsums.views import show\nshow({key!r})" for key in CATALOGUE]
        lab.notebook("every.ipynb", *cells)
        lab.open(self.page, "every.ipynb")
        self.page.wait_for_function(
            f"document.querySelectorAll('.gs').length == {len(CATALOGUE)}", timeout=120_000
        )

    def panel(self, key):
        panel = self.page.locator(f'section[aria-label="{key}"]')
        panel.scroll_into_view_if_needed()
        return panel

    def cells(self):
        return self.page.evaluate("jupyterapp.shell.currentWidget.content.widgets.length")

    def spare_height(self, panel):
        """What is left between the notebook's own bars."""
        return panel.evaluate("e => e.closest('.jp-WindowedPanel-outer').clientHeight - e.offsetHeight")


class Served(Watched):
    """The served page, one calculator after the other."""

    def open(self, url):
        self.page.goto(url)
        self.page.wait_for_selector(".gs-line")

    def panel(self, key):
        self.page.locator(".gs-choose").click()
        self.page.keyboard.type(key)
        self.page.locator(f'.gs-list button[data-key="{key}"]').click()
        panel = self.page.locator(f'section[aria-label="{key}"]')
        panel.wait_for()
        return panel

    def cells(self):
        return 0

    def spare_height(self, panel):
        return self.page.evaluate("innerHeight - document.documentElement.scrollHeight")


@pytest.fixture(scope="module", params=[PHONE, LAPTOP], ids=["phone", "laptop"])
def size(request):
    return request.param


@pytest.fixture(scope="module", params=[InJupyterLab, Served], ids=["jupyterlab", "served"])
def every(request, size, browser):
    """Every calculator, in a notebook and as a served page, at a size."""
    context = browser.new_context(viewport=size, permissions=MAY)
    watched = request.param(context.new_page())
    if request.param is Served:
        watched.open(request.getfixturevalue("quick").url)
    else:
        watched.open(request.getfixturevalue("lab"))
    yield watched
    context.close()


@pytest.fixture
def opened(browser, lab):
    """Opens a notebook of one calculator; afterwards nothing may have gone wrong unseen."""
    contexts, watched = [], []

    def open_(key, size=LAPTOP, context=None):
        name = f"{key.replace(' ', '-')}.ipynb"
        lab.notebook(name, f"from gigsums.views import show\nshow({key!r})")
        if context is None:
            context = browser.new_context(viewport=size, permissions=MAY)
            contexts.append(context)
        watched.append(Watched(context.new_page()))
        lab.open(watched[-1].page, name)
        return watched[-1].page

    yield open_
    for each in watched:
        each.went_well()
    for context in contexts:
        context.close()


def field(panel, key, name):
    label = next(each.label for each in CATALOGUE[key].inputs if each.name == name)
    return panel.get_by_label(label, exact=True)


def line_is(panel, expected):
    """Wait for a line; what stands there instead is in the failure."""
    from playwright.sync_api import expect

    expect(panel.locator(".gs-line")).to_have_text(expected, timeout=10_000)


def picture(panel, name):
    """Keep a screenshot where GIGSUMS_SCREENS names a folder, for people to look at."""
    folder = os.environ.get("GIGSUMS_SCREENS")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        panel.screenshot(path=f"{folder}/{name}.png")


def in_sight(calculator):
    return [each for each in calculator.inputs if not each.behind]


@pytest.mark.parametrize("key", CATALOGUE)
def test_each_calculator_is_typed_into_switched_copied_broken_and_mended(every, key):
    panel = every.panel(key)
    wide = f"{type(every).__name__} {every.page.viewport_size['width']}"
    form = Form(key)
    line_is(panel, form.line)
    fits_a_phone_and_a_thumb(panel)
    assert every.spare_height(panel) >= 0
    picture(panel, f"{key} {wide}")
    for given in in_sight(CATALOGUE[key]):
        types_and_turns(panel, form, given)
    copies(every.page, panel, form)
    goes_by_keyboard(every, panel, form)
    given = next(each for each in CATALOGUE[key].inputs if isinstance(each.kind, Kind))
    for typed in ("loud", "1,2.3", "99999999999", "12 furlongs"):
        refuses(panel, form, given, typed)
    picture(panel, f"{key} refused {wide}")
    text = show(form.values[given.name], given.kind, form.units[given.name], bare=True)
    field(panel, key, given.name).fill(text)
    form.type(given.name, text)
    line_is(panel, form.line)
    panel.locator(".gs-is-wrong").wait_for(state="detached")
    assert not panel.locator(".gs-old").is_visible()
    every.went_well()


def types_and_turns(panel, form, given):
    box = field(panel, form.calculator.key, given.name)
    if not isinstance(given.kind, Kind):
        box.select_option(given.kind.options[-1])
        form.type(given.name, given.kind.options[-1])
        line_is(panel, form.line)
        return
    unit = form.units[given.name]
    start = given.default if given.default is not None else 0.5 * (given.kind.least + given.kind.most)
    text = show(nudge(start, given.kind, unit, by=2), given.kind, unit, comma=True, bare=True)
    box.fill(text)
    form.type(given.name, text)
    line_is(panel, form.line)
    if given.kind.other:
        turns(panel, form, given)
        assert box.input_value() == form.texts[given.name]


def turns(panel, form, given):
    """Tap the unit: the other one of the two."""
    unit = form.units[given.name]
    other = next(each for each in (given.kind.base.name, given.kind.other) if each != unit)
    turn = [f"in {unit}", f"change to {other}"]
    said = " ".join(turn if unit == given.kind.base.name else reversed(turn))
    panel.get_by_role("button", name=f"{given.label}: {said}", exact=True).click()
    form.use(given.name, other)
    line_is(panel, form.line)


def copies(page, panel, form):
    panel.get_by_role("button", name="Copy").click()
    panel.get_by_text("Copied").wait_for()
    assert page.evaluate("navigator.clipboard.readText()") == form.line
    assert panel.locator(".gs-number").inner_text() == form.answer.number


def goes_by_keyboard(every, panel, form):
    """From the light switch on: the line, the copy button, the first field, its unit."""
    page = every.page
    first = in_sight(form.calculator)[0]
    panel.locator(".gs-shade").focus()
    for _ in range(4):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.tagName") in ("INPUT", "SELECT"):
            break
    assert page.evaluate("document.activeElement.labels[0].textContent") == first.label
    cells = every.cells()
    if isinstance(first.kind, Kind):
        page.keyboard.press("ArrowUp")
        form.nudge(first.name)
        line_is(panel, form.line)
        if first.kind.other:
            page.keyboard.press("Tab")
            page.keyboard.press("Enter")
            unit, both = form.units[first.name], (first.kind.base.name, first.kind.other)
            form.use(first.name, next(each for each in both if each != unit))
            line_is(panel, form.line)
    for key in "adx":  # in a notebook these add and cut cells
        page.keyboard.press(key)
    assert every.cells() == cells


def refuses(panel, form, given, typed):
    from playwright.sync_api import expect

    before = form.answer.line
    box = field(panel, form.calculator.key, given.name)
    box.fill(typed)
    form.type(given.name, typed)
    expect(panel.locator(".gs-is-wrong .gs-hint")).to_have_text(form.errors[given.name])
    assert box.input_value() == typed
    assert box.get_attribute("aria-invalid") == "true"
    assert panel.locator(".gs-line").text_content() == before
    assert panel.locator(".gs-old").is_visible()
    assert panel.get_by_role("button", name="Copy").is_disabled()


def fits_a_phone_and_a_thumb(panel):
    small = panel.evaluate("""e => [...e.querySelectorAll('button, input, select')].filter(b => b.offsetParent)
        .map(b => [b.textContent, b.offsetWidth, b.offsetHeight]).filter(b => Math.min(b[1], b[2]) < 44)""")
    assert small == []
    assert panel.evaluate("e => parseFloat(getComputedStyle(e.querySelector('.gs-number')).fontSize)") >= 32
    assert panel.evaluate("e => e.scrollWidth <= e.clientWidth")
    assert panel.evaluate(CUT_OFF) == []


# labels that end in dots, and words of a picture that leave it or lie on one another
CUT_OFF = """e => {
  const cut = [...e.querySelectorAll('label')].filter(l => l.offsetParent && l.scrollWidth > l.clientWidth)
    .map(l => l.textContent);
  const svg = e.querySelector('.gs-picture svg')?.getBoundingClientRect();
  const words = [...e.querySelectorAll('.gs-picture text')].filter(t => t.textContent.trim())
    .map(t => [t.textContent, t.getBoundingClientRect()]);
  for (const [text, at] of words) {
    if (at.left < svg.left - 1 || at.right > svg.right + 1 || at.top < svg.top - 1 || at.bottom > svg.bottom + 1) cut.push(text);
  }
  words.forEach(([text, a], n) => words.slice(n + 1).forEach(([other, b]) => {
    const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (across > 2 && down > 5) cut.push(`${text} on ${other}`);
  }));
  return cut;
}"""


def test_a_burst_of_keys_leaves_nothing_queued(opened):
    page = opened("delay for a distance")
    field(page, "delay for a distance", "distance_m").focus()
    for _ in range(30):
        page.keyboard.press("ArrowUp")
    line_is(page, "55 m at 20 °C + 10 ms = 170.2 ms")
    page.keyboard.press("ArrowUp")
    line_is(page, "56 m at 20 °C + 10 ms = 173.2 ms")


def test_a_held_plus_goes_on_and_stops(opened):
    page = opened("adding levels", PHONE)
    plus = page.get_by_role("button", name="Source 1: more")
    plus.click()
    line_is(page, "91 dB + 90 dB + 84 dB = 94 dB")
    plus.hover()
    page.mouse.down()
    page.wait_for_function("Number(document.querySelector('.gs input').value) >= 94")
    page.mouse.up()
    page.wait_for_timeout(400)
    stopped = page.locator(".gs input").first.input_value()
    page.wait_for_timeout(400)
    assert page.locator(".gs input").first.input_value() == stopped


def test_the_last_values_are_kept_in_the_browser(opened):
    key = "delay for a distance"
    page = opened(key)
    field(page, key, "distance_m").fill("18,5")
    page.get_by_role("button", name="Distance: in m change to ft").click()
    line_is(page, "60,7 ft at 20 °C + 10 ms = 63,9 ms")
    field(page, key, "distance_m").fill("nonsense")
    page.wait_for_selector(".gs-is-wrong")
    again = opened(key, context=page.context)
    line_is(again, "60,7 ft at 20 °C + 10 ms = 63,9 ms")


def test_light_and_dark(opened):
    page = opened("gain for a microphone")
    paper = "getComputedStyle(document.querySelector('.gs')).backgroundColor"
    assert page.evaluate(paper) == "rgb(27, 29, 32)"
    drawn = page.locator(".gs-picture").inner_html()
    page.get_by_role("button", name="Change to light").click()
    page.wait_for_function("drawn => document.querySelector('.gs-picture').innerHTML != drawn", arg=drawn)
    assert page.evaluate(paper) == "rgb(251, 250, 248)"
    picture(page, "light")
    again = opened("adding levels", context=page.context)
    assert again.evaluate(paper) == "rgb(251, 250, 248)"


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
  for (const node of document.querySelectorAll('.gs *')) {
    if (!node.offsetParent || ![...node.childNodes].some(n => n.nodeType == 3 && n.data.trim())) continue;
    const pair = [light(getComputedStyle(node).color), light(paper(node))].sort((a, b) => b - a);
    const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
    if (ratio < 4.5) low.push([node.className, node.textContent.slice(0, 30), ratio]);
  }
  return low;
}"""


@pytest.mark.parametrize("light", [False, True], ids=["dark", "light"])
def test_everything_written_stands_out(opened, light):
    """WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1."""
    page = opened("delay for a distance")
    if light:
        page.get_by_role("button", name="Change to light").click()
    page.get_by_role("button", name="Usual slips and sources").click()
    assert page.evaluate(CONTRAST) == []
    field(page, "delay for a distance", "distance_m").fill("x")
    page.wait_for_selector(".gs-is-wrong")
    assert page.evaluate(CONTRAST) == []


def test_everything_has_a_name_for_a_screen_reader(opened):
    page = opened("gain for a microphone")
    tree = page.locator(".gs").aria_snapshot()
    for said in ("Sound at the microphone", "Sensitivity", "Copy", "Change to light", "The microphone gives"):
        assert said in tree
    assert page.locator(".gs input").first.get_attribute("aria-describedby")
    field(page, "gain for a microphone", "spl_db").fill("100")
    page.wait_for_function("document.querySelector('.gs-aloud').textContent.includes('100 dB SPL')")


def test_a_cell_that_moves_the_panel_is_seen_on_the_screen(browser, lab):
    lab.notebook(
        "moved.ipynb",
        'from gigsums.views import show\npanel = show("adding levels")\npanel',
        'panel.type("level_1_db", "100")\nprint(panel.line)',
    )
    context = browser.new_context(viewport=LAPTOP)
    with contextlib.closing(context):
        page = context.new_page()
        lab.open(page, "moved.ipynb")
        line_is(page, "100 dB + 90 dB + 84 dB = 100.5 dB")
        assert json.loads(page.evaluate("JSON.stringify(document.querySelector('.gs input').value)")) == "100"


def test_a_few_letters_find_another_and_the_page_remembers_it(browser, lab):
    from playwright.sync_api import expect

    lab.notebook("all.ipynb", "from gigsums.views import show\nshow()")
    context = browser.new_context(viewport=PHONE)
    with contextlib.closing(context):
        watched = Watched(page := context.new_page())
        lab.open(page, "all.ipynb")
        page.locator(".gs-choose").click()
        picture(page.locator(".gs"), "choosing")
        page.keyboard.type("vol dr")
        expect(page.locator(".gs-list button")).to_have_count(1)
        page.keyboard.press("Enter")
        line_is(page, Form("volt drop").line)
        assert page.evaluate("document.activeElement.className") == "gs-choose"
        field(page, "volt drop", "length_m").fill("20")
        line_is(page, "20 m of 1.5 mm² at 10 A, copper 20 °C: 4.67 V of 230 V")
        page.locator(".gs-choose").click()
        page.keyboard.press("Escape")
        expect(page.locator(".gs-chooser")).to_be_hidden()
        again = context.new_page()
        lab.open(again, "all.ipynb")
        line_is(again, "20 m of 1.5 mm² at 10 A, copper 20 °C: 4.67 V of 230 V")
        watched.went_well()
