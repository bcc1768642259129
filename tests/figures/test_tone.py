"""The picture of responses: its curves are the filters', its lines tell them apart without colour."""

import numpy as np
import pytest

from gigsums.figures import picture
from gigsums.formulas.equalisers import high_pass, notch, peaking

BELL, LOW_CUT = peaking(1000, -6, 1.41), high_pass(100)


def curve(drawn, number):
    line, _, name = drawn._lines[number]
    return np.asarray(line.get_xdata()), np.asarray(line.get_ydata()), name.get_text()


def at(drawn, number, hertz):
    frequencies, gain, _ = curve(drawn, number)
    return np.interp(np.log(hertz), np.log(frequencies), gain)


def test_curves_have_the_values_that_are_known_of_them():
    """A second-order Butterworth is 10 lg(1/2) at its corner and falls by 12 dB an octave well below it; a bell has
    its gain at its centre: definitions."""
    drawn = picture("response", filters={"bell": BELL, "low cut": LOW_CUT})
    assert at(drawn, 0, 1000) == pytest.approx(-6, abs=0.01)
    assert at(drawn, 1, 100) == pytest.approx(-3.01, abs=0.02)
    assert at(drawn, 1, 30) - at(drawn, 1, 60) == pytest.approx(-12, abs=0.6)
    assert [curve(drawn, n)[2] for n in range(4)] == ["bell", "low cut", "", ""]


def test_filters_in_a_row_add():
    drawn = picture("response", filters={"row": [BELL, BELL], "one": BELL})
    assert curve(drawn, 0)[1] == pytest.approx(2 * curve(drawn, 1)[1])


def test_lines_differ_in_kind_and_those_not_used_are_gone():
    drawn = picture("response", filters=dict.fromkeys("abc", BELL))
    lines = [line for line, _, _ in drawn._lines]
    assert len({line.get_linestyle() for line in lines}) == 4
    assert [line.get_visible() for line in lines] == [True, True, True, False]
    assert all(line.get_linestyle() == sample.get_linestyle() for line, sample, _ in drawn._lines)


def test_moved_there_it_is_what_it_would_be_drawn_there():
    first, then = {"a": BELL, "b": LOW_CUT}, {"c": notch(500, 10)}
    drawn = picture("response", filters=first)
    before = drawn.png()
    drawn.update({"filters": then})
    assert drawn.png() == picture("response", filters=then).png() != before


@pytest.mark.parametrize(
    ("gain", "range_"), [(3, (-6, 6)), (-6, (-6, 6)), (9, (-6, 12)), (-15, (-18, 6)), (-40, (-24, 6))]
)
def test_the_range_holds_the_curve_in_steps_of_6_db(gain, range_):
    drawn = picture("response", filters={"bell": peaking(1000, gain, 1)})
    assert drawn._area.get_ylim() == range_


def test_words_say_how_far_and_where():
    words = picture(
        "response", filters={"bell": peaking(1000, 9, 1), "low cut": LOW_CUT, "none": peaking(1000, 0, 1)}
    ).words
    assert words == "Bell: up to 9 dB at 1000 Hz. Low cut: down to −24 dB or less at 20 Hz. None: flat."


@pytest.mark.parametrize("count", [0, 5])
def test_it_shows_one_to_four(count):
    with pytest.raises(ValueError, match=f"filters are {count}; one picture shows 1 to 4"):
        picture("response", filters=dict.fromkeys("abcdef"[:count], BELL))
