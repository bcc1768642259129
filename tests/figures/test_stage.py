"""The stage plan: everybody where the gig says, stage right at the left, and no name on another."""

import io
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from gigsums.figures import PICTURES, picture
from gigsums.figures.picture import LIGHT
from gigsums.gig import Performer, load_gig

LANTERN = load_gig("lantern_night").performers


def pixels(drawn):
    return np.asarray(Image.open(io.BytesIO(drawn.png())))


def spots(drawn):
    """Where each dot is drawn, in fractions of the picture from the left and from the bottom."""
    to = drawn._area.transData + drawn.figure.transFigure.inverted()
    return [tuple(to.transform(at)) for at in zip(*drawn._dots.get_data(), strict=True)]


def test_stage_right_is_at_the_left_and_the_audience_at_the_bottom():
    """A stage is drawn as the audience's engineer sees it; stage right is the players' own right: common practice."""
    drawn = picture("stage plan", performers=LANTERN)
    at = dict(zip([p.name for p in LANTERN], spots(drawn), strict=True))
    assert at["Maud"][0] < at["Ines"][0] < at["Ottoline"][0]
    assert at["Wren"][1] < at["Maud"][1] < at["Tobiah"][1]
    texts = {text.get_text(): text for text in (*drawn._area.texts, *drawn.figure.texts)}
    assert texts["stage right"].get_position()[0] < texts["stage left"].get_position()[0]
    low = min(y for _, y in spots(drawn))
    assert texts["a u d i e n c e"].get_position()[1] < low


def test_a_metre_is_a_metre_across_and_up():
    drawn = picture("stage plan", performers=LANTERN)
    (x0, y0), (x1, y1) = drawn._area.transData.transform([(0, 0), (1, 1)])
    assert x1 - x0 == pytest.approx(y1 - y0, rel=0.01)


def boxes(drawn):
    drawn._canvas.draw()
    return [t.get_window_extent(drawn._canvas.get_renderer()) for t in drawn._names if t.get_text()]


def test_no_name_lies_on_another_or_over_the_edge():
    drawn = picture("stage plan", performers=LANTERN, box_m=(9.5, 4.5))
    assert len(boxes(drawn)) == len(LANTERN) + 1
    assert not any(a.overlaps(b) for a, b in combinations(boxes(drawn), 2))
    paper = [int(LIGHT.paper[i : i + 2], 16) for i in (1, 3, 5)]
    seen = pixels(drawn)
    assert (np.concatenate([seen[0], seen[-1], seen[:, 0], seen[:, -1]]) == paper).all()


def test_words_say_where_everybody_stands_and_who_is_missing():
    drawn = picture("stage plan", performers=(*LANTERN, Performer("Late", "spoons")), box_m=(9.5, 4.5))
    assert "Tobiah at 5 m from stage right, 4.5 m from the edge" in drawn.words
    assert "the stage box at 9.5 m" in drawn.words
    assert drawn.words.endswith("Not said where: Late.")
    assert picture("stage plan", performers=()).words == "The gig says of nobody where they stand."


def test_moved_there_it_is_what_it_would_be_drawn_there():
    few = LANTERN[:3]
    drawn = picture("stage plan", performers=LANTERN, box_m=(9.5, 4.5))
    drawn.update({"performers": few})
    assert (pixels(drawn) == pixels(picture("stage plan", performers=few))).all()
    drawn.update({"performers": LANTERN, "box_m": (9.5, 4.5)})
    assert (pixels(drawn) == pixels(picture("stage plan", performers=LANTERN, box_m=(9.5, 4.5)))).all()


PLACE = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@pytest.mark.thorough
@settings(max_examples=25, deadline=None)
@given(st.lists(st.none() | PLACE, max_size=12))
def test_no_place_breaks_it(places):
    drawn = PICTURES["stage plan"]()
    drawn.update({"performers": [Performer(f"P{n}", "x", at) for n, at in enumerate(places)]})
    (left, right), (low, high) = drawn._area.get_xlim(), drawn._area.get_ylim()
    assert all(left <= at[0] <= right and low <= at[1] <= high for at in places if at)
