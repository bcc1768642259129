"""Pictures of the calculators: what they show lies where arithmetic done another way puts it."""

import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import numpy as np
import pytest

from gigsums.catalogue import CATALOGUE
from gigsums.figures import PICTURES, Manner
from gigsums.figures.picture import VectorPicture
from gigsums.quantities import Kind
from gigsums.views import show

DRAWN = [key for key, each in CATALOGUE.items() if each.picture]
LENGTHS = [
    key
    for key in DRAWN
    if any(isinstance(each.kind, Kind) and each.kind.base.name == "m" for each in CATALOGUE[key].inputs)
]


def drawn(key, manner=None, **other):
    calculator = CATALOGUE[key]
    made = PICTURES[calculator.picture]()
    made.update(calculator.work(calculator.defaults | other), manner)
    return made


def written(panel):
    """Every text of a panel's picture."""
    inside = f'<svg xmlns:xlink="http://www.w3.org/1999/xlink">{panel.still}{panel.state["moved"]}</svg>'
    return ["".join(each.itertext()) for each in ElementTree.fromstring(inside).iter("text")]


@pytest.mark.parametrize("key", DRAWN)
def test_numbers_in_it_have_the_decimal_mark_that_is_typed(key):
    panel = show(key)
    given = next(
        each for each in CATALOGUE[key].inputs if isinstance(each.kind, Kind) and not each.kind.whole
    )
    text = panel.form.texts[given.name]
    text = text if "." in text else f"{text}.0"
    panel.type(given.name, text)
    points, words = written(panel), panel.state["words"]
    panel.type(given.name, text.replace(".", ","))
    assert not panel.form.old
    assert written(panel) == [re.sub(r"(?<=\d)\.(?=\d)", ",", each) for each in points]
    assert panel.state["words"] == re.sub(r"(?<=\d)\.(?=\d)", ",", words)


@pytest.mark.parametrize("key", LENGTHS)
def test_lengths_in_it_are_in_the_unit_that_is_chosen(key):
    panel = show(key)
    metres = written(panel)
    for each in CATALOGUE[key].inputs:
        if isinstance(each.kind, Kind) and each.kind.other == "ft":
            panel.use(each.name, "ft")
    feet = written(panel)
    if any(re.search(r"\bm\b", each) for each in metres):
        assert any(re.search(r"\bft\b", each) for each in feet)
    assert not any(re.search(r"(\d |^)m\b", each) for each in feet)
    assert not re.search(r"\d m\b", panel.state["words"])


def test_a_scale_in_feet_has_the_same_place_at_the_same_length():
    """32 m are 105 ft, 5 doublings of 3.28 ft: where the curve reads 75.9 dB in metres, it does in feet."""
    for manner, at in ((Manner(), 32), (Manner(units={"m": "ft"}), 32 / 0.3048)):
        picture = drawn("level over distance", manner)
        x, y = picture._there.get_data()
        assert (2 ** x[0], y[0]) == pytest.approx((at, 75.9), abs=0.05)
    in_metres, in_feet = drawn("coverage width"), drawn("coverage width", Manner(units={"m": "ft"}))
    spot = [each._spot.get_xdata()[0] for each in (in_metres, in_feet)]
    assert spot == pytest.approx([10, 32.81], abs=0.01)
    for picture, (x, far) in (
        (in_metres, (10, 20)),
        (in_feet, (32.81, 100)),
    ):  # the line of no change runs there
        lines = np.concatenate(picture._lines.get_segments())
        assert np.hypot(*(lines - (x, 0)).T).min() < 0.01 * far


def test_a_change_of_the_mark_alone_is_drawn():
    picture = VectorPicture(PICTURES["decay"])
    picture.update({"reverberation_s": 1.6})
    assert ">0.4</text>" in picture.still
    picture.update({"reverberation_s": 1.6}, Manner(comma=True))
    assert ">0,4</text>" in picture.still
    assert ">0.4</text>" not in picture.still


def test_a_delay_loudspeaker_is_heard_ten_milliseconds_after_the_main():
    """40 m at 343.2 m/s are 116.5 ms; from 8 m, 23.3 ms."""
    picture = drawn("setting a delay loudspeaker")
    assert picture._far.get_xdata()[1] == pytest.approx(116.5, abs=0.1)
    waits, here = picture._here.get_xdata()
    assert here - waits == pytest.approx(23.3, abs=0.1)
    assert here - picture._far.get_xdata()[1] == pytest.approx(10)


def test_parts_of_a_latency_follow_one_another_to_its_end():
    picture = drawn("latency of a chain", buffer_3=96, radio_ms=2.5, network_ms=1)
    ends = [bar.get_xdata() for bar, *_ in picture._parts if len(bar.get_xdata())]
    assert ends[0][0] == 0
    assert all(left[1] == right[0] for left, right in pairwise(ends))
    assert ends[-1][1] == pytest.approx((64 + 64 + 96) / 48 + 3.5)
    assert [name.get_text() for _, name, _ in picture._parts][:5] == [
        "buffer 1", "buffer 2", "buffer 3", "network", "radio link",
    ]  # fmt: skip


def test_repeats_fall_at_even_steps():
    picture = drawn("echo in time with the music")
    at = [line.get_xdata()[0] for line in picture._repeats if len(line.get_xdata())]
    assert at == pytest.approx([0.75, 1.5, 2.25, 3.0, 3.75])


def test_a_turned_wave_and_the_sum_of_both():
    """72° at 100 Hz are 2 ms; two equal tones 72° apart have 2 cos 36° of the height of one."""
    picture = drawn("phase of a delay")
    at, copy = picture._copy.get_data()
    assert np.interp(2.0, at, copy) == pytest.approx(0, abs=1e-3)
    assert max(picture._sum.get_ydata()) == pytest.approx(2 * np.cos(np.radians(36)), abs=1e-3)
    assert "they cancel" in drawn("phase of a delay", time_ms=5).words
    assert "6 dB more" in drawn("phase of a delay", time_ms=10).words


def test_sources_and_their_sum_stand_at_their_levels():
    picture = drawn("adding levels")
    at = {name.get_text(): rung.get_ydata()[0] for rung, _, name, _ in picture._rungs if name.get_text()}
    assert at == pytest.approx({"source 1": 90, "source 2": 90, "source 3": 84, "together": 93.5}, abs=0.05)


def test_two_scales_read_the_same_across():
    picture = drawn("line-up of a converter", level_dbfs=-12, full_scale_dbu=24)
    left, right = picture._area.get_ylim(), picture._other.get_ylim()
    assert np.interp(-12, left, right) == pytest.approx(12)
    assert picture._level.get_text() == "12 dBu"


def test_three_times_as_far_is_marked():
    picture = drawn("three to one", near_m=0.4)
    assert picture._three.get_xdata()[0] == pytest.approx(1.2)
    assert picture._far.get_xdata()[1] == 0.9


def test_a_bell_has_half_its_gain_at_the_edges_of_its_band():
    """Bandwidth of a bell is taken between the points of half its gain in decibels (audio EQ cookbook)."""
    curve = drawn("Q from octaves")._lines[0][0]
    hertz, gain = curve.get_data()
    for edge in (-1 / 6, 1 / 6):
        assert np.interp(1000 * 2**edge, hertz, gain) == pytest.approx(3, abs=0.1)
    assert max(gain) == pytest.approx(6, abs=0.05)


@pytest.mark.parametrize("order", [1, 2, 5])
def test_a_standing_wave_is_silent_at_odd_quarters(order):
    picture = drawn("room mode", order=order)
    at, loud = picture._loud.get_data()
    places = [12 * odd / (2 * order) for odd in range(1, 2 * order, 2)]
    assert list(picture._silent.get_xdata()) == pytest.approx(places)
    assert all(np.interp(each, at, loud) < 0.03 for each in places)
    assert loud[0] == loud[-1] == pytest.approx(1)


def test_a_cable_says_how_far_each_limit_lets_it_go():
    """11.7 V over 50 m is 0.233 V a metre; 3 % and 5 % of 230 V are 6.9 and 11.5 V."""
    picture = drawn("volt drop")
    said = [name.get_text() for *_, name in picture._limits]
    assert [each[:3] for each in said] == ["3 %", "5 %"]
    metres = [float(each.split()[3]) for each in said]
    assert metres == pytest.approx([6.9 / 0.2333, 11.5 / 0.2333], abs=0.3)
    assert "neither usual limit is reached" in drawn("volt drop", current_a=1).words


def test_the_time_halves_from_level_to_level():
    picture = drawn("time at a level")
    rows = {level.get_text(): time.get_text() for *_, level, time in picture._rows}
    assert list(rows) == ["92 dBA", "95 dBA", "98 dBA", "101 dBA", "104 dBA"]
    lengths = [bar.get_xdata()[1] for _, _, bar, *_ in picture._rows]
    assert np.divide(lengths[:-1], lengths[1:]) == pytest.approx([2, 2, 2, 2])
    five = drawn("time at a level", scheme="OSHA compliance", exposure_dba=95)
    assert [level.get_text() for *_, level, _ in five._rows] == [
        f"{each} dBA" for each in (85, 90, 95, 100, 105)
    ]


def test_products_of_two_carriers_stand_as_far_outside_them_as_they_are_apart():
    picture = drawn("radio intermodulation")
    low, high = (each[0][0] for each in picture._carriers.get_segments())
    products = sorted(each[0][0] for each in picture._products.get_segments())
    assert [low - products[0], products[-1] - high] == pytest.approx([high - low] * 2)
