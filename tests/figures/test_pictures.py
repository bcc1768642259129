"""Pictures: moving one gives what drawing it anew would give, whatever the values."""

import io

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from PIL import Image

from gigsums.catalogue import CATALOGUE
from gigsums.figures import PICTURES, picture
from gigsums.figures.picture import DARK, LIGHT, round_top
from gigsums.quantities import Kind, show

DRAWN = {key: each for key, each in CATALOGUE.items() if each.picture}
EACH = pytest.mark.parametrize("key", DRAWN)


def values(key, **other):
    return DRAWN[key].work(DRAWN[key].defaults | other)


def pixels(picture):
    return np.asarray(Image.open(io.BytesIO(picture.png())))


def anew(key, known, light=False):
    drawn = PICTURES[DRAWN[key].picture](light)
    drawn.update(known)
    return drawn


def test_every_picture_that_is_declared_is_there():
    assert {each.picture for each in DRAWN.values()} <= set(PICTURES)


def test_a_picture_for_a_page_says_what_it_shows_and_shows_it():
    drawn = picture(
        "compression curve", level_db=-8, threshold_db=-20, ratio=4, knee_db=0, out_db=-17, reduction_db=9
    )
    assert "out at −17 dB" in repr(drawn)
    assert drawn.light
    stored, size = drawn._repr_png_()
    wide, _ = Image.open(io.BytesIO(stored)).size
    assert wide == size["width"] * drawn.sharp
    with pytest.raises(ValueError, match="the pictures are: two arrivals"):
        picture("rainbow")


@EACH
@pytest.mark.parametrize("light", [False, True])
def test_moved_there_it_is_what_it_would_be_drawn_there(key, light):
    first = DRAWN[key].inputs[0]
    picture = anew(key, values(key), light)
    start = pixels(picture)
    other = values(key, **{first.name: first.default * 1.4})
    picture.update(other)
    moved = pixels(picture)
    assert (moved != start).any()
    assert (moved == pixels(anew(key, other, light))).all()
    picture.update(values(key))
    assert (pixels(picture) == start).all()


@EACH
def test_moving_it_does_not_draw_it_whole(key, monkeypatch):
    picture = anew(key, values(key))
    first = DRAWN[key].inputs[0]
    drawn = []
    monkeypatch.setattr(picture.figure, "draw", lambda *_: drawn.append(1))
    picture.update(values(key, **{first.name: first.default * 1.4}))
    assert drawn == []


@EACH
def test_it_stands_on_its_paper_and_fits(key):
    for light, look in ((False, DARK), (True, LIGHT)):
        drawn = pixels(anew(key, values(key), light))
        paper = [int(look.paper[i : i + 2], 16) for i in (1, 3, 5)]
        edge = np.concatenate([drawn[0], drawn[-1], drawn[:, 0], drawn[:, -1]])
        assert (edge == paper).all(), "something runs over the edge"


@EACH
def test_words_say_the_answer(key):
    known = values(key)
    words = anew(key, known).words
    assert any(show(known[each.name], each.kind) in words for each in DRAWN[key].results)
    assert words.endswith(".")


def test_two_arrivals_show_the_gaps_where_the_formula_has_them():
    """Nulls of a comb lie at odd multiples of half the inverse of the delay: 10 ms, 50 and 150 Hz."""
    picture = anew("delay for a distance", values("delay for a distance"))
    hertz, level = picture.comb.curve.get_data()
    deep = hertz[level < -20]
    assert set(np.round(deep / 50) * 50) == {50, 150, 250, 350, 450}
    assert max(level) == pytest.approx(6.02, abs=0.01)
    picture.update(values("delay for a distance", offset_ms=0))
    assert min(picture.comb.curve.get_ydata()) == pytest.approx(6.02, abs=0.01)


PICTURE_OF = {key: PICTURES[each.picture]() for key, each in DRAWN.items()}


@pytest.mark.thorough
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_value_in_the_ranges_breaks_one(data):
    key = data.draw(st.sampled_from(list(DRAWN)))
    known = {each.name: data.draw(_any(each), label=each.name) for each in DRAWN[key].inputs}
    try:
        worked = DRAWN[key].work({name: value for name, value in known.items() if value is not None})
    except ValueError:  # not every pair of values in the ranges makes a sum
        reject()
    picture = PICTURE_OF[key]
    picture.update(worked)
    assert picture.words


def _any(given):
    if not isinstance(given.kind, Kind):
        return st.sampled_from(given.kind.options)
    inside = st.floats(given.kind.least, given.kind.most)
    return st.none() | inside if given.default is None else inside


@pytest.mark.parametrize(("value", "top"), [(1, 1), (1.01, 2), (3, 5), (72.8, 100), (100, 100), (0.03, 0.05)])
def test_round_top(value, top):
    assert round_top(value) == pytest.approx(top)
