"""The panel of what is picked up, in a real browser: a choice counts again, and its answer stays in sight."""

from __future__ import annotations

import pytest

pytestmark = [pytest.mark.thorough, pytest.mark.browser]

CELLS = (
    "from gigsums.views import picked_up\nfrom gigsums.gig import load_desk, load_gig",
    'panel = picked_up(load_gig("lantern_night"), load_desk("desk_d"), load_desk("desk_c"))\npanel',
)


@pytest.mark.parametrize("size", [(390, 844), (820, 1180), (1280, 900)], ids=str)
def test_a_choice_counts_again_at_every_size(browser, lab, size):
    lab.notebook("picked-up.ipynb", *CELLS)
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
    assert panel.get_by_role("row", name="preamps").inner_text().split()[:3] == ["preamps", "20", "16"]
    panel.get_by_role("button", name="Back to what was asked for").click()
    panel.locator(".gs-number", has_text="20").wait_for(timeout=10_000)
    assert panel.evaluate("each => each.scrollWidth <= each.clientWidth")
    if size[0] == 1280:
        panel.get_by_label("Desk", exact=True).scroll_into_view_if_needed()
        box = number.bounding_box()
        assert 0 <= box["y"] <= size[1], "the count is out of sight while the lowest choice is made"
    assert trouble == []
    context.close()
