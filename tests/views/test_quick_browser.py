"""The served page in a real browser: its key, its silence towards the world, what it leaves behind, and its nerves."""

from __future__ import annotations

import contextlib
import re
import time
from itertools import pairwise

import psutil
import pytest

from gigsums.views import Form
from gigsums.views.page.handlers import WRONG_TOKEN

from .conftest import Quick
from .test_browser import CONTRAST, LAPTOP, PHONE, Watched, field, line_is, picture

pytestmark = [pytest.mark.thorough, pytest.mark.browser]
KEY = "delay for a distance"


@pytest.fixture
def visited(browser, quick):
    """Opens the served page; afterwards nothing may have gone wrong unseen."""
    contexts, watched = [], []

    def visit(size=PHONE, context=None, url=quick.url, **more):
        if context is None:
            context = browser.new_context(viewport=size, **more)
            contexts.append(context)
        watched.append(Watched(context.new_page()))
        watched[-1].page.goto(url)
        watched[-1].page.wait_for_selector(".gs-line")
        return watched[-1].page

    yield visit
    for each in watched:
        each.went_well()
    for context in contexts:
        context.close()


def choose(page, letters, key):
    page.locator(".gs-choose").click()
    page.keyboard.type(letters)
    page.keyboard.press("Enter")
    page.locator(f'section[aria-label="{key}"]').wait_for()


def test_the_check_of_requests_and_errors_can_fail(browser, quick):
    """Without this, no other test here would prove that nothing leaves the machine."""
    with contextlib.closing(browser.new_context(bypass_csp=True)) as context:
        context.route("http://elsewhere.invalid/**", lambda route: route.abort())
        watched = Watched(context.new_page())
        watched.page.goto(quick.url)
        watched.page.wait_for_selector(".gs-line")
        watched.went_well()
        watched.page.evaluate("fetch('http://elsewhere.invalid/icons.css').catch(() => 0)")
        assert watched.outside == ["http://elsewhere.invalid/icons.css"]
        assert watched.errors
        with pytest.raises(AssertionError):
            watched.went_well()


def test_even_a_page_that_asked_for_more_would_be_held_back(browser, quick):
    with contextlib.closing(browser.new_context()) as context:
        page = context.new_page()
        page.goto(quick.url)
        assert (
            page.evaluate("fetch('http://elsewhere.invalid/icons.css').then(() => 'sent', () => 'held')")
            == "held"
        )
        assert "Content Security Policy" in " ".join(
            said.text for said in page.console_messages() if said.type == "error"
        )


def test_it_is_dark_before_its_style_has_come(browser, quick):
    with contextlib.closing(browser.new_context(viewport=PHONE)) as context:
        context.route(re.compile(r"\.(css|js)$"), lambda route: route.abort())
        page = context.new_page()
        page.goto(quick.url)
        assert (
            page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(27, 29, 32)"
        )


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_from_the_keyboard_alone(visited, size):
    page = visited(size)
    for there in ("quick-other", "gs-choose"):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == there
    page.keyboard.press("Enter")
    page.keyboard.type("del dis")
    page.keyboard.press("Enter")
    page.locator(f'section[aria-label="{KEY}"]').wait_for()
    reached = []
    for _ in range(20):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                "(e => e.labels?.[0]?.textContent || e.ariaLabel || e.textContent)(document.activeElement)"
            )
        )
        if reached[-1] == "Distance":
            break
    assert reached == ["Change to light", "Answer as one line", "Copy", "Distance"]
    page.keyboard.type("18,5")
    line_is(page, "18,5 m at 20 °C + 10 ms = 63,9 ms")


def test_a_screen_reader_hears_what_it_is_and_what_it_says(visited):
    from playwright.sync_api import expect

    page = visited()
    choose(page, "del dis", KEY)
    tree = page.locator("body").aria_snapshot()
    for said in (
        'heading "Quick calculators" [level=1]',
        'heading "What delay for this distance?" [level=2]',
        'main "Calculator"',
        "The stage is heard after",
    ):
        assert said in tree
    field(page, KEY, "distance_m").fill("18")
    expect(page.locator(".gs-aloud")).to_contain_text("62.4 ms")


@pytest.mark.parametrize("light", [False, True], ids=["dark", "light"])
def test_everything_written_stands_out_and_nothing_moves_by_itself(visited, light):
    page = visited(reduced_motion="reduce")
    choose(page, "del dis", KEY)
    if light:
        page.get_by_role("button", name="Change to light").click()
    assert page.evaluate(CONTRAST) == []
    page.locator(".gs-choose").click()
    assert page.evaluate(CONTRAST) == []
    picture(page, f"choosing {'light' if light else 'dark'}")
    moving = """[...document.querySelectorAll('*')].filter(e => (s => s.animationName != 'none' ||
        s.transitionDuration != '0s' || s.scrollBehavior != 'auto')(getComputedStyle(e))).length"""
    assert page.evaluate(moving) == 0
    assert page.evaluate("document.getAnimations().length") == 0


def test_at_twice_the_size_there_is_room_to_type_and_nothing_to_scroll_sideways(visited):
    page = visited({"width": PHONE["width"] // 2, "height": PHONE["height"] // 2}, device_scale_factor=2)
    choose(page, "gain before", "gain before feedback")
    boxes = "[...document.querySelectorAll('.gs input:not([type=search])')].filter(b => b.offsetParent)"
    assert page.evaluate(f"{boxes}.map(b => b.offsetWidth).filter(w => w < 60)") == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("link", name="Size a gig").click()
    page.wait_for_selector("section.gs-size")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_headings_follow_in_order(visited):
    page = visited()
    levels = "[...document.querySelectorAll('h1, h2, h3, h4, h5, h6')].map(h => Number(h.tagName[1]))"
    assert page.evaluate(levels) == [1, 2]
    page.get_by_role("link", name="Size a gig").click()
    page.wait_for_selector("section.gs-size")
    found = page.evaluate(levels)
    assert found[:2] == [1, 2]
    assert all(after <= before + 1 for before, after in pairwise(found))


def test_what_is_seen_on_a_unit_is_in_what_is_heard(visited):
    page = visited()
    choose(page, "del dis", KEY)
    for said in ("Distance: in m change to ft", "Distance: change to m in ft"):
        button = page.get_by_role("button", name=said, exact=True)
        assert "m" in button.inner_text()
        button.click()
    page.get_by_role("button", name="Distance: in m change to ft", exact=True).wait_for()


def test_the_last_values_are_kept_in_the_browser(visited):
    page = visited()
    choose(page, "del dis", KEY)
    field(page, KEY, "distance_m").fill("18,5")
    line_is(page, "18,5 m at 20 °C + 10 ms = 63,9 ms")
    again = visited(context=page.context)
    line_is(again, "18,5 m at 20 °C + 10 ms = 63,9 ms")


def test_a_wrong_key_is_refused_in_one_sentence(browser):
    running = Quick("--network", "127.0.0.1")
    try:
        with contextlib.closing(browser.new_context()) as context:
            page = context.new_page()
            key = running.url.rpartition("/")[2]
            for wrong in ("", key[:-1], key[:-1] + "0", f"{key}x"):
                answer = page.goto(running.url.replace(key, wrong))
                assert answer.status == 403
                assert page.locator("body").inner_text().strip() == WRONG_TOKEN
            assert page.goto(running.url).status == 200
            page.wait_for_selector(".gs-line")
    finally:
        running.end()


def test_a_line_that_was_cut_is_told_and_taken_up_where_it_was(browser):
    from playwright.sync_api import expect

    running = Quick()
    port = running.url.split(":")[2].strip("/")
    with contextlib.closing(browser.new_context(viewport=PHONE)) as context:
        page = context.new_page()
        page.goto(running.url)
        page.wait_for_selector(".gs-line")
        choose(page, "del dis", KEY)
        field(page, KEY, "distance_m").fill("30")
        line_is(page, "30 m at 20 °C + 10 ms = 97.4 ms")
        running.end()
        expect(page.locator("#connection")).to_contain_text("Trying again")
        field(page, KEY, "distance_m").fill("31")
        expect(page.locator(".gs-trouble")).to_contain_text("No answer from the computer", timeout=10_000)
        assert page.locator(".gs-old").is_visible()
        picture(page, "cut off")
        running = Quick("--port", port)
        try:
            expect(page.locator("#connection")).to_be_empty(timeout=15_000)
            line_is(page, "31 m at 20 °C + 10 ms = 100.3 ms")
            expect(page.locator(".gs-old")).to_be_hidden()
        finally:
            running.end()


def test_fifty_openings_and_closings_leave_no_process_and_no_line(browser, quick):
    server = psutil.Process(quick.process.pid)
    context = browser.new_context(viewport=PHONE)
    threads = server.num_threads()
    for _ in range(50):
        page = context.new_page()
        page.goto(quick.url)
        line_is(page, Form("speed of sound").line)
        page.close()
    context.close()
    assert server.children(recursive=True) == []
    for _ in range(100):
        left = [each for each in server.net_connections() if each.status == psutil.CONN_ESTABLISHED]
        if len(left) <= 6:
            break
        time.sleep(0.1)
    assert len(left) <= 6, "a browser itself keeps up to six lines to a host, for what it may ask next"
    assert server.num_threads() <= threads + 1
