"""Ledgers as bars: lengths in proportion, numbers in words, nothing by colour alone."""

import io

import numpy as np
import pytest
from PIL import Image

from gigsums.figures import PICTURES, picture
from gigsums.figures.gig import END
from gigsums.figures.picture import LIGHT
from gigsums.gig import load_desk, load_gig
from gigsums.sizing import Ledger, demand

ROWS = (
    Ledger("preamps", "desk", 16, 24, 2),
    Ledger("buses", "all", 8, 8, 1),
    Ledger("bus pairs", "all", 5, 4),
    Ledger("equalisers", "all", 10, 8, blocks=False),
    Ledger("delays", "all", 1, 0),
    Ledger("outputs", "stage", 0, 8),
)


def pixels(drawn):
    return np.asarray(Image.open(io.BytesIO(drawn.png())))


def ends(lines):
    return [segment[-1][0] for segment in lines.get_segments()]


def test_bars_are_as_long_as_need_is_to_have():
    drawn = picture("ledgers", ledgers=ROWS)
    assert ends(drawn._needed) == pytest.approx([16 / 24, 1, 1, 1, 0, 0])
    assert ends(drawn._beyond) == pytest.approx([1, 1, 5 / 4, 10 / 8, END, 1])
    assert ends(drawn._there) == pytest.approx([1, 1, 1, 1, 0, 1])


def test_numbers_stand_beside_the_bars_in_words():
    drawn = picture("ledgers", ledgers=ROWS)
    shown = [(name.get_text(), numbers.get_text()) for name, numbers in drawn._texts]
    assert shown == [
        ("preamps (desk)", "16 of 24, 8 left"),
        ("buses", "8 of 8, none left (1 wanted)"),
        ("bus pairs", "5 of 4, 1 short"),
        ("equalisers", "10 of 8, 2 to bring"),
        ("delays", "1 of 0, 1 short"),
        ("outputs (stage)", "0 of 8, 8 left"),
    ]
    assert "bus pairs: 5 of 4, 1 short." in drawn.words
    weights = [name.get_weight() for name, _ in drawn._texts]
    assert weights == ["normal", "normal", "bold", "bold", "bold", "normal"]


def test_it_is_as_high_as_its_rows_and_fits():
    for name in ("desk_a", "desk_b", "desk_d"):
        rows = demand(load_gig("lantern_night"), load_desk(name)).ledgers
        drawn = picture("ledgers", ledgers=rows)
        stored, size = drawn._repr_png_()
        assert Image.open(io.BytesIO(stored)).size == (size["width"] * 2, size["height"] * 2)
        seen, paper = pixels(drawn), [int(LIGHT.paper[i : i + 2], 16) for i in (1, 3, 5)]
        assert (np.concatenate([seen[0], seen[-1], seen[:, 0], seen[:, -1]]) == paper).all()
        texts = [text for pair in drawn._texts for text in pair]
        inside = [text.get_window_extent(drawn._canvas.get_renderer()) for text in texts]
        assert all(box.x0 >= 0 and box.x1 <= 2 * drawn.wide for box in inside)


def test_moved_there_it_is_what_it_would_be_drawn_there():
    drawn = picture("ledgers", ledgers=ROWS)
    start = pixels(drawn)
    for rows in (ROWS[:2], tuple(reversed(ROWS)), (), ROWS * 3):
        drawn.update({"ledgers": rows})
        assert (pixels(drawn) == pixels(picture("ledgers", ledgers=rows))).all()
    drawn.update({"ledgers": ROWS})
    assert (pixels(drawn) == start).all()


def test_as_many_rows_in_another_order_are_not_drawn_whole(monkeypatch):
    drawn = PICTURES["ledgers"]()
    drawn.update({"ledgers": ROWS})
    whole = []
    monkeypatch.setattr(drawn.figure, "draw", lambda *_: whole.append(1))
    drawn.update({"ledgers": tuple(reversed(ROWS))})
    assert whole == []
