"""Levels as pictures: each rung at its level, a line that falls as the standard says, bars in proportion."""

import io
import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from gigsums.catalogue import CATALOGUE
from gigsums.figures import picture
from gigsums.figures.picture import LIGHT

RUNGS = {"full scale": 18, "desk": 4, "player": -7.8, "alignment": 0, "lead vocal": -35.7, "noise": -130.9}


def pixels(drawn):
    return np.asarray(Image.open(io.BytesIO(drawn.png())))


def ladder(levels, unit="dBu"):
    return picture("ladder of levels", levels=levels, unit=unit)


def shown(drawn):
    """Each name that is shown: to where its rung stands and where its name does."""
    parts = [(name.get_text(), rung, name) for rung, _, name, _ in drawn._rungs if name.get_text()]
    return {text: (float(rung.get_ydata()[0]), float(name.get_position()[1])) for text, rung, name in parts}


def test_each_rung_stands_at_its_level_and_says_it():
    drawn = ladder(RUNGS)
    assert {name: at for name, (at, _) in shown(drawn).items()} == RUNGS
    assert "full scale 18, desk 4, alignment 0, player −7.8, lead vocal −35.7, noise −130.9" in drawn.words
    low, high = drawn._area.get_ylim()
    assert low <= -130.9
    assert high >= 18


@pytest.mark.thorough
@settings(max_examples=80, deadline=None)
@given(st.lists(st.floats(-150, 150), min_size=1, max_size=12))
def test_names_keep_their_order_their_distance_and_inside(levels):
    drawn = ladder({f"rung {number}": level for number, level in enumerate(levels)})
    low, high = drawn._area.get_ylim()
    both = sorted(shown(drawn).values())
    assert len(both) == len(levels)
    for (_, before), (_, after) in itertools.pairwise(both):
        assert after - before > 0.07 * (high - low)
    assert all(low < at < high for _, at in both)


def test_a_name_with_room_stands_at_its_own_level():
    assert all(at == pytest.approx(name) for at, name in shown(ladder({"a": 0, "b": 50, "c": 100})).values())


def test_a_ladder_with_other_rungs_is_what_it_would_be_drawn_with_them():
    moved = ladder({f"rung {number}": 7 * number for number in range(12)})
    moved.update({"levels": RUNGS, "unit": "dBu"})
    assert (pixels(moved) == pixels(ladder(RUNGS))).all()


def test_a_ladder_stands_on_its_paper_and_fits():
    drawn = pixels(ladder({"Snare drum at its microphone": 130, "Hardly to be heard": -130.9}, "dB SPL"))
    paper = [int(LIGHT.paper[i : i + 2], 16) for i in (1, 3, 5)]
    edge = np.concatenate([drawn[0], drawn[-1], drawn[:, 0], drawn[:, -1]])
    assert (edge == paper).all(), "something runs over the edge"


@pytest.mark.parametrize("levels", [{}, {str(number): number for number in range(13)}])
def test_too_few_or_too_many_rungs_are_refused(levels):
    with pytest.raises(ValueError, match=f"levels has {len(levels)} rungs; 1 to 12 can be shown"):
        ladder(levels)


def test_the_line_falls_as_iso_9613_2_has_it():
    """Divergence of a point source, ISO 9613-2:1996 equation 7: 11 dB at 1 m, 51.0 dB at 100 m, so 40 between."""
    known = {"level_db": 100, "reference_m": 1, "distance_m": 100}
    drawn = picture("level over distance", **CATALOGUE["level over distance"].work(known))
    doublings, level = drawn._line.get_data()
    slope = (level[1] - level[0]) / (doublings[1] - doublings[0])
    assert 100 + slope * np.log2(100) == pytest.approx(100 - (51.0 - 11), abs=0.01)
    there = drawn._there.get_xydata()[0]
    assert there == pytest.approx([np.log2(100), 60], abs=0.01)
    assert np.interp(there[0], doublings, level) == pytest.approx(there[1])


def test_the_bars_of_gain_are_in_proportion_and_no_gain_has_no_bar():
    known = CATALOGUE["gain before feedback"].work(CATALOGUE["gain before feedback"].defaults)
    drawn = picture("feedback distances", **known | {"potential_db": 15, "needed_db": 10})
    there, wanted = drawn._there.get_xdata()[1], drawn._wanted.get_xdata()[1]
    assert there == pytest.approx(1.5 * wanted)
    assert 0 < wanted < there < 0.7
    drawn.update(known | {"potential_db": 15, "needed_db": -3})
    assert drawn._wanted.get_xdata()[1] == 0
    assert drawn._wanted_name.get_text() == "−3 dB gain needed"
    drawn.update({name: value for name, value in known.items() if name != "needed_db"})
    assert drawn._wanted_name.get_text() == ""
    assert drawn.words.endswith("there is 14.4 dB of gain.")


def test_a_name_too_long_for_the_picture_is_refused():
    with pytest.raises(ValueError, match="name of 29 letters, 'Snare drum at its microphones'; up to 28 fit"):
        ladder({"Snare drum at its microphones": 130})


@pytest.mark.parametrize("full_scale_dbu", [10, 18, 24])
def test_the_gain_never_stands_in_the_name_of_the_full_converter(full_scale_dbu):
    gain = CATALOGUE["gain for a microphone"]
    known = gain.defaults | {"full_scale_dbu": full_scale_dbu, "sensitivity_mv_per_pa": 15}
    for spl_db in range(80, 141, 5):
        drawn = picture("gain chain", **gain.work(known | {"spl_db": spl_db}))
        names = drawn._gain_name.get_window_extent(), drawn._full_name.get_window_extent()
        assert not names[0].overlaps(names[1]), spl_db
