"""The widget's half in Python: what goes to the screen and what comes back, without a browser."""

import json
import re

import pytest

from gigsums.catalogue import CATALOGUE, MOMENTS
from gigsums.figures.picture import DARK, LIGHT
from gigsums.views import show
from gigsums.views.calculator.panel import Panel

DELAY = "delay for a distance"


def asked(panel, by="v 1", light=False, **did):
    """What the screen sends."""
    panel.asked = {"by": by, "texts": {}, "units": {}, "nudges": {}, "light": light} | did


def test_it_is_shown_as_a_short_line_of_text_where_there_is_no_screen():
    panel = show(DELAY)
    assert repr(panel) == "Calculator('delay for a distance')"
    shown, _ = panel._repr_mimebundle_()
    assert shown["text/plain"] == repr(panel)


@pytest.mark.parametrize("key", CATALOGUE)
def test_what_goes_to_the_screen_is_plain_and_whole(key):
    panel = show(key)
    json.dumps([panel.sum, panel.state])
    assert panel.state["answer"]["line"] == panel.line
    assert set(panel.state["fields"]) == {each["name"] for each in panel.sum["inputs"]}
    assert bool(panel.still) == panel.sum["picture"] == bool(CATALOGUE[key].picture)
    assert bool(panel.state["moved"]) == panel.sum["picture"]
    assert bool(panel.state["words"]) == panel.sum["picture"]


def test_a_declaration_that_is_in_no_catalogue_is_drawn_as_well():
    assert show(CATALOGUE[DELAY]).line == show(DELAY).line


def test_typing_on_the_screen_changes_the_answer_and_says_whose_question_it_answers():
    panel = show(DELAY)
    before = panel.state["moved"]
    asked(panel, "v 7", texts={"distance_m": "18"})
    assert panel.line == "18 m at 20 °C + 10 ms = 62.4 ms"
    assert panel.state["by"] == "v 7"
    assert panel.state["answer"]["number"] == "62.4"
    assert panel.state["moved"] != before


def test_units_and_nudges_from_the_screen():
    panel = show(DELAY)
    asked(panel, units={"distance_m": "ft"})
    assert panel.state["fields"]["distance_m"] == {
        "text": "82.02",
        "unit": "ft",
        "wrong": "",
        "range": "from 0.0329 to 984.25 ft",
    }
    asked(panel, "v 2", nudges={"distance_m": 2})
    assert panel.state["fields"]["distance_m"]["text"] == "84"


def test_what_cannot_be_read_is_old_and_keeps_the_picture():
    panel = show(DELAY)
    before = panel.state["moved"]
    asked(panel, texts={"distance_m": "x"})
    assert panel.state["old"]
    assert panel.state["fields"]["distance_m"]["text"] == "x"
    assert panel.state["fields"]["distance_m"]["wrong"].startswith("that is not a number; type a number in m")
    assert panel.state["answer"]["number"] == "82.8"
    assert panel.state["moved"] == before


def test_a_cell_moves_it_like_a_hand_does():
    panel = show(DELAY)
    assert panel.type("distance_m", "18") == "18 m at 20 °C + 10 ms = 62.4 ms"
    assert panel.use("distance_m", "ft") == "59.06 ft at 20 °C + 10 ms = 62.4 ms"
    assert panel.nudge("temperature_c") == "59.06 ft at 21 °C + 10 ms = 62.4 ms" == panel.line
    assert panel.state["answer"]["line"] == panel.line


def test_light_draws_the_picture_on_light_paper():
    panel = show(DELAY)
    assert DARK.paper in panel.still
    asked(panel, light=True)
    assert panel.state["light"]
    assert LIGHT.paper in panel.still
    assert DARK.paper not in panel.still
    asked(panel, "v 2", light=False)
    assert DARK.paper in panel.still


KEPT = {"texts": {"distance_m": "60"}, "units": {"distance_m": "ft"}}


def test_what_the_browser_kept_comes_back_once():
    panel = show(DELAY)
    asked(panel, restore=KEPT)
    assert panel.line == "60 ft at 20 °C + 10 ms = 63.3 ms"
    asked(panel, "v 2", restore={"texts": {"distance_m": "5"}, "units": {}})
    assert panel.line == "60 ft at 20 °C + 10 ms = 63.3 ms"


def test_a_cell_that_came_first_is_not_overruled_by_what_the_browser_kept():
    panel = show(DELAY)
    panel.type("distance_m", "18")
    asked(panel, restore=KEPT)
    assert panel.line == "18 m at 20 °C + 10 ms = 62.4 ms"


@pytest.mark.parametrize(
    "kept",
    [
        {},
        {"texts": {"width_m": "5"}, "units": {}},
        {"texts": {"distance_m": "x"}, "units": {}},
        {"texts": {}, "units": {"distance_m": "furlong"}},
        {"texts": [], "units": 3},
        "60",
    ],
)
def test_what_is_no_longer_understood_is_left(kept):
    panel = show(DELAY)
    asked(panel, restore=kept)
    assert panel.line == show(DELAY).line


def test_the_view_asks_nothing_of_the_network():
    code = re.sub(r"//.*", "", Panel._esm) + Panel._css
    assert "http" not in code
    assert "import(" not in code
    assert "import " not in code
    assert "fetch" not in code
    assert "url(" not in code


def test_without_a_name_all_of_them_can_be_chosen_by_moment():
    panel = show()
    listed = [each["key"] for _, members in panel.sum["all"] for each in members]
    assert sorted(listed) == sorted(CATALOGUE)
    assert [moment for moment, _ in panel.sum["all"]] == list(MOMENTS)
    assert "all" not in show(DELAY).sum


def test_choosing_another_keeps_what_was_typed_into_this_one():
    panel = show()
    panel.choose(DELAY)
    panel.type("distance_m", "18")
    asked(panel, pick="adding levels")
    assert panel.sum["key"] == panel.state["key"] == "adding levels"
    assert panel.line == "90 dB + 90 dB + 84 dB = 93.5 dB"
    assert panel.state["fresh"]
    panel.choose(DELAY)
    assert panel.line == "18 m at 20 °C + 10 ms = 62.4 ms"


def test_a_name_that_is_no_more_is_not_chosen():
    panel = show()
    before = panel.state["key"]
    asked(panel, pick="sundial")
    assert panel.state["key"] == before
    with pytest.raises(ValueError, match="no calculator is called 'sundial'"):
        panel.choose("sundial")
