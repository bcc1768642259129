"""The same pictures as drawings for screens: what the pixels show, they say."""

import html
import re
import xml.etree.ElementTree as ElementTree

import pytest
from matplotlib.text import Text

from gigsums.catalogue import CATALOGUE
from gigsums.figures import PICTURES
from gigsums.figures.picture import VectorPicture

DRAWN = {key: each for key, each in CATALOGUE.items() if each.picture}
EACH = pytest.mark.parametrize("key", DRAWN)


def vector(key, **other):
    drawn = VectorPicture(PICTURES[DRAWN[key].picture])
    drawn.update(DRAWN[key].work(DRAWN[key].defaults | other))
    return drawn


def parsed(inside):
    return ElementTree.fromstring(f'<svg xmlns:xlink="http://www.w3.org/1999/xlink">{inside}</svg>')


def without_names(inside):
    """A drawing without the names that matplotlib draws by lot."""
    return re.sub(r"[a-z][0-9a-f]{9,}|(line2d|text|patch|axes|figure|matplotlib\.axis)_\d+", "", inside)


@EACH
def test_every_word_of_the_pixels_is_in_it(key):
    drawn = vector(key)
    figure = PICTURES[DRAWN[key].picture]()
    figure.update(DRAWN[key].work(DRAWN[key].defaults))
    said = "".join(parsed(drawn.still + drawn.moved).itertext())
    for text in figure.figure.findobj(Text):
        if text.get_visible() and text in figure.moving:
            assert html.unescape(text.get_text()) in said


@EACH
def test_moved_there_it_is_what_it_would_be_drawn_there(key):
    first = DRAWN[key].inputs[0]
    drawn = vector(key)
    start = without_names(drawn.still), without_names(drawn.moved)
    other = {first.name: first.default * 1.4}
    drawn.update(DRAWN[key].work(DRAWN[key].defaults | other))
    assert without_names(drawn.moved) != start[1]
    anew = vector(key, **other)
    assert without_names(drawn.moved) == without_names(anew.moved)
    assert without_names(drawn.still) == without_names(anew.still)
    assert drawn.words == anew.words
    drawn.update(DRAWN[key].work(DRAWN[key].defaults))
    assert (without_names(drawn.still), without_names(drawn.moved)) == start


@EACH
def test_it_changes_nothing_of_the_page_around_it_and_asks_for_nothing(key):
    drawn = vector(key)
    both = drawn.still + drawn.moved
    assert "<style" not in both
    assert "font-family" not in both
    assert "DejaVu" not in both
    links = re.findall(r'(?:href|src)="([^"]*)"|url\(([^)]*)\)', both)
    assert all((one or other).startswith("#") for one, other in links)


def test_what_stays_is_drawn_again_only_when_a_range_changes():
    delay = DRAWN["delay for a distance"]
    drawn = vector(delay.key)
    still = drawn.still
    drawn.update(delay.work(delay.defaults | {"distance_m": 26}))
    assert drawn.still is still
    drawn.update(delay.work(delay.defaults | {"distance_m": 260}))
    assert drawn.still != still
