"""Loudspeakers against printed sums and geometry, the air against its standard, a floor against other constructions."""

import math

import numpy as np
import pyfar
import pytest
from acoustic_toolbox.standards import iso_9613_1_1993 as toolbox
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from contract import Span, holds_to_its_range
from gigsums.formulas import speakers
from gigsums.formulas.decibels import subtract_level, sum_levels
from gigsums.formulas.rooms import critical_distance_m, reverberation_time_sabine, room_level_db
from gigsums.formulas.speakers import (
    Speaker,
    air_absorption_db_per_m,
    coverage_width_m,
    down_tilt_deg,
    level_at_distance,
    level_from_power,
    level_over_floor,
    power_for_level,
)
from gigsums.formulas.timing import speed_of_sound
from published import reference

FILE = "speakers.csv"
MANUAL = (
    "level of the talker at the listener, system off",
    "level of the loudspeaker at the listener at onset of feedback",
)
DIVERGENCE = "geometrical divergence of a point source in free field"
DISTANCE, LEVEL, HEIGHT = Span(0.01, 100_000), Span(0, 200), Span(0, 1000)
CONTRACTS = {
    level_at_distance: {"level_db": Span(-300, 300), "distance_m": DISTANCE, "reference_m": DISTANCE},
    level_from_power: {"sensitivity_db": LEVEL, "power_w": Span(1e-6, 1e6), "distance_m": DISTANCE},
    power_for_level: {
        "level_db": LEVEL,
        "sensitivity_db": LEVEL,
        "distance_m": DISTANCE,
        "headroom_db": Span(0, 40),
    },
    coverage_width_m: {"distance_m": DISTANCE, "angle_deg": Span(1, 179)},
    down_tilt_deg: {"height_m": HEIGHT, "ear_height_m": HEIGHT, "distance_m": DISTANCE},
}
OCTAVES = 1000 * 10 ** (0.3 * np.arange(-5, 5))
ALL_AROUND = {"horizontal_deg": 360, "vertical_deg": 360}


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, **options), ids=str)


def to_the_last_digit(row):
    """For rows of ten figures whose stated tolerance is finer than what they print."""
    decimals = len(row.expected.partition(".")[2])
    return pytest.approx(row.answer, abs=max(row.within, 0.5 * 10.0**-decimals) if decimals else row.within)


# level_at_distance


@pytest.mark.outside("speakers.level_at_distance")
@rows(*MANUAL)
def test_level_at_a_distance_is_that_of_the_manual(row):
    level, near, far = row.numbers
    assert level_at_distance(level, far, near) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("speakers.level_at_distance")
@rows(DIVERGENCE)
def test_level_at_a_distance_is_that_of_the_outdoor_standard(row):
    far, near = row.numbers
    assert 11 - level_at_distance(0, far, near) == pytest.approx(row.answer, abs=row.within)


@rows("doubling of distance from a point source in free field")
def test_twice_the_distance_costs_6_db(row):
    assert level_at_distance(0, 2) == to_the_last_digit(row)


def test_level_over_distance_of_the_trade_brief():
    assert level_at_distance(100, 32, 2) == pytest.approx(75.9, abs=0.05)


@given(st.floats(-100, 150), st.floats(0.1, 300), st.floats(0.1, 300))
def test_going_there_and_back_changes_nothing(level, there, here):
    assert level_at_distance(level_at_distance(level, there, here), here, there) == pytest.approx(
        level, abs=1e-9
    )
    assert level_at_distance(level, there) == level_at_distance(level, there, 1)


# level_from_power and power_for_level


@pytest.mark.outside("speakers.level_from_power")
@rows(DIVERGENCE)
def test_one_watt_falls_off_as_the_outdoor_standard_says(row):
    far, _ = row.numbers
    assert 100 + 11 - level_from_power(100, 1, far) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.parametrize("watts", [2, 3, 8, 100])
def test_many_watts_are_as_many_boxes_of_one_watt(watts):
    assert level_from_power(96, watts, 1) == pytest.approx(sum_levels([96] * watts))


@rows("free-field level from sensitivity")
def test_level_from_power_is_that_of_a_second_evaluation(row):
    sensitivity, watts, distance = (row.named[name] for name in ("sensitivity", "P", "d"))
    assert level_from_power(sensitivity, watts, distance) == to_the_last_digit(row)


@rows("free-field level from sensitivity")
def test_power_for_a_level_is_that_of_a_second_evaluation(row):
    sensitivity, watts, distance = (row.named[name] for name in ("sensitivity", "P", "d"))
    assert power_for_level(row.answer, sensitivity, distance) == pytest.approx(watts, rel=1e-6)


@given(st.floats(80, 115), st.floats(0.1, 20_000), st.floats(0.1, 300), st.floats(0, 20))
def test_power_brings_back_the_level_and_its_headroom(sensitivity, watts, distance, headroom):
    level = level_from_power(sensitivity, watts, distance) - headroom
    if 0 <= level <= 200:
        assert power_for_level(level, sensitivity, distance, headroom) == pytest.approx(watts)


def test_boxes_and_watts_of_the_trade_brief():
    assert level_from_power(98, 400, 16) == pytest.approx(99.9, abs=0.05)
    assert power_for_level(100, 97, 20, headroom_db=6) == pytest.approx(3177, abs=0.5)
    assert power_for_level(100, 97, 20) == pytest.approx(798, abs=0.5)


# coverage_width_m and down_tilt_deg


@given(st.floats(0.1, 300), st.floats(1, 170))
def test_the_edges_of_the_coverage_meet_the_width(distance, angle):
    """Turn the axis half the angle to either side and follow both rays until they are `distance` ahead."""
    left, right = (
        Rotation.from_euler("z", turn, degrees=True).apply([1, 0, 0]) for turn in (angle / 2, -angle / 2)
    )
    gap = np.linalg.norm(left * distance / left[0] - right * distance / right[0])
    assert coverage_width_m(distance, angle) == pytest.approx(gap)


@given(st.floats(0, 30), st.floats(0, 30), st.floats(0.5, 100))
def test_a_box_tilted_down_so_far_looks_at_the_ear(height, ear, distance):
    tilt = down_tilt_deg(height, ear, distance)
    axis = Rotation.from_euler("y", tilt, degrees=True).apply([1, 0, 0])
    assert height + axis[2] * distance / axis[0] == pytest.approx(ear, abs=1e-9)


def test_width_and_tilt_of_the_trade_brief():
    assert coverage_width_m(10, 60) == pytest.approx(11.5, abs=0.05)
    assert down_tilt_deg(3.2, 1.2, 12) == pytest.approx(9.5, abs=0.05)
    assert down_tilt_deg(1.2, 3.2, 12) == pytest.approx(-9.5, abs=0.05)


# level_over_floor: direct sound of one loudspeaker


def test_on_its_axis_a_loudspeaker_falls_with_distance_and_air():
    box, ear = (1.0, -2.0, 6.0), np.array([7.0, 18.0, 1.2])
    distance = math.dist(box, ear)
    levels = level_over_floor(
        [Speaker(box, ear, level_db=np.arange(110, 120))],
        *ear,
        temperature_c=31,
        humidity_percent=24,
        pressure_kpa=92,
    )
    loss = np.array([air_absorption_db_per_m(band, 31, 24, 92) for band in OCTAVES])
    assert levels == pytest.approx(level_at_distance(np.arange(110, 120), distance) - loss * distance)


def around(turn, tilt, distance=4.0):
    """A point off the axis of a box that stands at the origin and looks along y, far from the ends of pi."""
    direction = Rotation.from_euler("xz", [tilt, turn], degrees=True).apply([0, distance, 0])
    return dict(zip(("x_m", "y_m", "ear_height_m"), direction, strict=True))


def relative(box, **point):
    """Level against that on the axis at the same distance."""
    return level_over_floor([box], **point) - level_over_floor([box], **around(0, 0))


@pytest.mark.parametrize("side", [-1, 1])
def test_at_the_edge_of_its_coverage_a_loudspeaker_is_6_db_down(side):
    wide, tall = np.linspace(300, 40, 10), np.linspace(200, 10, 10)
    box = Speaker((0, 0, 0), (0, 9, 0), 100, wide, tall)
    for band in range(10):
        assert relative(box, **around(side * wide[band] / 2, 0))[band] == pytest.approx(-6, abs=1e-9)
        assert relative(box, **around(0, side * tall[band] / 2))[band] == pytest.approx(-6, abs=1e-9)


def test_behind_a_loudspeaker_it_is_25_db_down():
    box = Speaker((0, 0, 0), (0, 9, 0), 100, 90, 60)
    assert relative(box, **around(180, 0)) == pytest.approx(-25, abs=1e-6)


def test_a_loudspeaker_that_covers_all_around_is_even():
    box = Speaker((0, 0, 0), (0, 9, 0), 100, **ALL_AROUND)
    for turn, tilt in ((30, 0), (90, 0), (180, 0), (0, 90), (0, -90), (120, 45)):
        assert relative(box, **around(turn, tilt)) == pytest.approx(0, abs=1e-9)


@given(st.floats(1, 179), st.floats(5, 350), st.floats(5, 350))
def test_off_its_axis_a_loudspeaker_falls_steadily(turn, wide, tall):
    box = Speaker((0, 0, 0), (0, 9, 0), 100, wide, tall)
    here, further = (relative(box, **around(0, angle))[0] for angle in (turn - 1, turn))
    assert further <= here + 1e-9
    assert further >= -25 - 1e-9


def test_a_box_is_90_degrees_wide_and_60_tall_unless_said_otherwise():
    said = Speaker((0, 0, 3), (0, 9, 1), 100, horizontal_deg=90, vertical_deg=60, delay_ms=0)
    assert Speaker((0, 0, 3), (0, 9, 1), 100) == said


@pytest.mark.parametrize("aim", [(0, 0, -3), (0, 0, 9), (0, 1e-12, -3)])
def test_a_box_that_looks_straight_down_or_up_has_its_width_along_x(aim):
    box = Speaker((0, 0, 3), aim, 100, horizontal_deg=80, vertical_deg=40)
    height = 0 if aim[2] < 3 else 6
    along_x, along_y = (
        level_over_floor([box], *sides, height, bands_hz=[1000]).item()
        for sides in ((3 * math.tan(math.radians(40)), 0), (0, 3 * math.tan(math.radians(20))))
    )
    below = level_over_floor([box], 0, 0, height, bands_hz=[1000]).item()
    spread_x, spread_y = (20 * math.log10(math.cos(math.radians(edge))) for edge in (40, 20))
    assert along_x - below == pytest.approx(-6 + spread_x, abs=0.01)
    assert along_y - below == pytest.approx(-6 + spread_y, abs=0.01)


# level_over_floor: several loudspeakers


def at_the_ear(levels, distances=None, delays=None, hertz=1000.0):
    """Boxes around the ear at the origin, each of which alone makes the level named there."""
    distances = distances if distances is not None else [8.0] * len(levels)
    air = air_absorption_db_per_m(hertz)
    boxes = []
    for index, (level, distance) in enumerate(zip(levels, distances, strict=True)):
        angle = 2 * math.pi * index / len(levels)
        place = (distance * math.cos(angle), distance * math.sin(angle), 1.2)
        at_1_m = level + 20 * math.log10(distance) + air * distance
        delay = 0 if delays is None else delays[index]
        boxes.append(Speaker(place, (0, 0, 1.2), at_1_m, delay_ms=delay))
    return boxes


def heard(boxes, hertz=1000.0, **options):
    return level_over_floor(boxes, 0, 0, bands_hz=[hertz], **options).item()


@pytest.mark.outside("speakers.level_over_floor")
@rows("incoherent sum")
def test_unrelated_boxes_add_up_to_the_printed_level(row):
    assert heard(at_the_ear(row.numbers)) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("speakers.level_over_floor")
@rows("coherent (in-phase) sum")
def test_boxes_in_step_add_up_to_the_printed_level(row):
    assert heard(at_the_ear(row.numbers), coherent=True) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("speakers.level_over_floor")
@rows("sum of two equal tones of one frequency with a phase difference")
def test_boxes_out_of_step_by_delay_make_the_printed_phase_table(row):
    first, _, second, degrees = row.numbers
    boxes = at_the_ear([first, second], delays=[3, 3 + 1000 * degrees / 360 / 250], hertz=250.0)
    assert heard(boxes, 250.0, coherent=True) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("speakers.level_over_floor")
@rows("sum of two equal tones of one frequency with a phase difference")
def test_boxes_out_of_step_by_distance_make_the_printed_phase_table(row):
    first, _, second, degrees = row.numbers
    wave = speed_of_sound(26) / 250
    near, far = 5.0, 5.0 + wave * degrees / 360
    loss = air_absorption_db_per_m(250, 26) - air_absorption_db_per_m(250)  # set up for the air of 20 °C
    boxes = at_the_ear([first + loss * near, second + loss * far], [near, far], hertz=250.0)
    total = heard(boxes, 250.0, coherent=True, temperature_c=26)
    assert total == pytest.approx(row.answer, abs=row.within)


def test_half_a_wave_of_distance_is_a_null_and_a_delay_of_as_much_mends_it():
    wave = speed_of_sound(20) / 1000
    apart = [10, 10 + wave / 2]
    assert heard(at_the_ear([90, 90], apart), coherent=True) < 90 - 100
    mended = at_the_ear([90, 90], apart, delays=[0.5, 0])
    assert heard(mended, coherent=True) == pytest.approx(96.02, abs=0.005)
    assert heard(at_the_ear([90, 90], apart)) == pytest.approx(93.01, abs=0.005)


def test_nulls_lie_where_two_circles_say():
    """Two boxes at one distance d apart: nulls on the circle of radius r where the paths differ by (n + ½) waves."""
    wave, apart = speed_of_sound(20) / 500, 3.0
    boxes = [Speaker((side * apart / 2, 0, 1.2), (0, 400, 1.2), 100, **ALL_AROUND) for side in (-1, 1)]
    angles = np.radians(np.linspace(0.05, 89.95, 20_000))
    levels = level_over_floor(
        boxes, 400 * np.sin(angles), 400 * np.cos(angles), bands_hz=[500], coherent=True
    )[0]
    dips = (levels[1:-1] < levels[:-2]) & (levels[1:-1] < levels[2:])
    expected = np.arcsin((np.arange(20) + 0.5)[: int(apart / wave + 0.5)] * wave / apart)
    assert angles[1:-1][dips] == pytest.approx(expected, abs=1e-4)


def test_delay_makes_no_difference_to_unrelated_boxes():
    early, late = at_the_ear([90, 84]), at_the_ear([90, 84], delays=[0, 7.3])
    assert heard(early) == heard(late)
    assert heard(early, coherent=False) == heard(early)


@pytest.mark.parametrize("coherent", [False, True])
def test_a_symmetric_layout_makes_a_symmetric_map(coherent):
    boxes = [Speaker((side * 5, 0, 4), (side * 2, 15, 1.2), 115, delay_ms=2) for side in (-1, 1)]
    boxes.append(Speaker((0, 1, 0.4), (0, 12, 1.2), 105))
    x, y = np.linspace(-9, 9, 31), np.linspace(2, 30, 17)[:, None]
    levels = level_over_floor(boxes, x, y, coherent=coherent, volume_m3=9000, reverberation_s=1.5)
    assert levels.shape == (10, 17, 31)
    assert levels == pytest.approx(levels[:, :, ::-1], abs=1e-6)


@pytest.mark.parametrize("coherent", [False, True])
def test_turning_everything_about_the_room_changes_nothing(coherent):
    boxes = [Speaker((2, 1, 4), (5, 15, 1), 115), Speaker((-3, 0, 2), (0, 9, 1), 110, delay_ms=3)]
    turn = Rotation.from_euler("z", 77, degrees=True)
    turned = [
        Speaker(turn.apply(box.at_m), turn.apply(box.aim_m), box.level_db, delay_ms=box.delay_ms)
        for box in boxes
    ]
    points = np.random.default_rng(3).uniform([-9, 3, 0], [9, 20, 3], (40, 3))
    before = level_over_floor(boxes, *points.T, coherent=coherent)
    assert level_over_floor(turned, *turn.apply(points).T, coherent=coherent) == pytest.approx(
        before, abs=1e-6
    )


# level_over_floor: reverberant sound


def power_on_a_sphere(box, bands_hz, radius=0.2, rings=200, steps=400):
    """Power level by adding up the direct sound over a sphere around the box, W = ∮ p² dS at 400 rayl."""
    height, weight = np.polynomial.legendre.leggauss(rings)
    turn = 2 * np.pi * np.arange(steps) / steps
    out = np.sqrt(1 - height**2)[:, None] * radius
    x, y, z = box.at_m
    levels = level_over_floor(
        [box], x + out * np.cos(turn), y + radius * height[:, None], z + out * np.sin(turn), bands_hz=bands_hz
    )
    mean = (10 ** (levels / 10)).mean(axis=2) @ weight / 2
    return 10 * np.log10(mean * 4 * np.pi * radius**2)


@pytest.mark.parametrize(("wide", "tall"), [(360, 360), (90, 60), (60, 90), (170, 20), (30, 30), (300, 120)])
def test_reverberant_sound_is_the_power_that_passes_a_sphere_over_the_absorption(wide, tall):
    volume, times = 4000, [2.2, 0.9]
    bands = 1000 * 10 ** (0.3 * np.array([-5, -4]))  # where the air takes nothing to speak of
    box = Speaker((0, 0, 2), (0, 9, 2), [118, 112], wide, tall)
    power = power_on_a_sphere(box, bands)
    direct = level_over_floor([box], 0, -90, bands_hz=bands)
    both = level_over_floor([box], 0, -90, bands_hz=bands, volume_m3=volume, reverberation_s=times)
    for band in range(2):
        absorption = reverberation_time_sabine(volume, times[band])  # T = k V / A is its own inverse
        reverberant = room_level_db(power[band], 10_000, absorption, 0.01)
        assert both[band] == pytest.approx(sum_levels([direct[band], reverberant]), abs=1e-4)


def test_direct_and_reverberant_sound_of_all_boxes_add_in_power():
    boxes = at_the_ear([92, 88, 95])
    inside = {"volume_m3": 2000, "reverberation_s": 1.1}
    outside = heard(boxes)
    reverberant = [subtract_level(heard([box], **inside), heard([box])) for box in boxes]
    assert heard(boxes, **inside) == pytest.approx(sum_levels([outside, *reverberant]), abs=1e-4)
    in_step = heard(boxes, coherent=True)
    assert heard(boxes, coherent=True, **inside) == pytest.approx(
        sum_levels([in_step, *reverberant]), abs=1e-4
    )


@pytest.mark.outside("speakers.level_over_floor")
@rows("critical distance")
def test_at_a_librarys_critical_distance_direct_and_reverberant_sound_are_equal(row):
    """Its constant has two figures, 0.057: half its last step is 0.08 dB."""
    box = Speaker((0, 0, 1.2), (0, 9, 1.2), 100, **ALL_AROUND)
    room = {"volume_m3": row.named["V"], "reverberation_s": row.named["RT"], "bands_hz": [31.5]}
    direct = level_over_floor([box], 0, row.answer, bands_hz=[31.5]).item()
    both = level_over_floor([box], 0, row.answer, **room).item()
    assert critical_distance_m(row.named["V"], row.named["RT"]) == pytest.approx(row.answer, abs=row.within)
    assert 10 * math.log10(10 ** ((both - direct) / 10) - 1) == pytest.approx(0, abs=0.08)


# level_over_floor: the whole sum in another form


def by_hand(boxes, point, hertz, volume=None, time=None, coherent=False):
    """One band at one point, in plain numbers, angle by angle."""
    power, pressure, room = 0.0, 0j, 0.0
    for at, aim, level, wide, tall, delay in boxes:
        away = [p - a for p, a in zip(point, at, strict=True)]
        axis = [p - a for p, a in zip(aim, at, strict=True)]
        distance, reach = math.hypot(*away), math.hypot(*axis)
        turn = math.degrees(math.atan2(axis[0], axis[1]))
        tilt = math.degrees(math.asin(axis[2] / reach))
        seen = Rotation.from_euler("zx", [turn, -tilt], degrees=True).apply(away)  # the box looks along y
        theta = math.acos(max(-1, min(1, seen[1] / distance)))
        phi = math.atan2(seen[2], seen[0])
        k_h, k_v = (
            math.log((10**-0.6 - 10**-2.5) / (1 - 10**-2.5))
            / math.log((1 + math.cos(math.radians(edge / 2))) / 2)
            for edge in (wide, tall)
        )
        k = k_h * math.cos(phi) ** 2 + k_v * math.sin(phi) ** 2
        shape = 10**-2.5 + (1 - 10**-2.5) * ((1 + math.cos(theta)) / 2) ** k
        here = (
            10 ** ((level - 20 * math.log10(distance) - distance * air_absorption_db_per_m(hertz)) / 10)
            * shape
        )
        power += here
        pressure += math.sqrt(here) * np.exp(
            2j * math.pi * hertz * (distance / speed_of_sound(20) + delay / 1000)
        )
        even = 1 / (10**-2.5 + (1 - 10**-2.5) / math.sqrt((k_h + 1) * (k_v + 1)))
        if volume:
            room += 10 ** (level / 10) * 16 * math.pi / (even * 24 * math.log(10) / 343.2 * volume / time)
    return 10 * math.log10((abs(pressure) ** 2 if coherent else power) + room)


@pytest.mark.parametrize("coherent", [False, True])
@pytest.mark.parametrize("room", [{}, {"volume_m3": 5000, "reverberation_s": 1.3}])
def test_a_floor_is_what_a_plain_loop_finds(coherent, room):
    random = np.random.default_rng(7)
    boxes = [
        (
            random.uniform(-6, 6, 3),
            random.uniform(-20, 20, 3),
            *random.uniform((90, 20, 20, 0), (120, 170, 170, 30)),
        )
        for _ in range(5)
    ]
    floor = [Speaker(*box) for box in boxes]
    points = random.uniform((-15, 8, 0), (15, 30, 3), (25, 3))
    bands = np.array([63.1, 500, 1000, 6300])
    levels = level_over_floor(floor, *points.T, bands_hz=bands, coherent=coherent, **room)
    for row, hertz in zip(levels, bands, strict=True):
        plain = [by_hand(boxes, point, hertz, *room.values(), coherent=coherent) for point in points]
        assert row == pytest.approx(plain, abs=1e-6)


def test_a_large_map_is_the_same_as_its_parts():
    boxes = [Speaker((side * 5, 0, 4), (0, 15, 1.2), 115, delay_ms=side + 1) for side in (-1, 1)]
    x, y = np.linspace(-20, 20, 150), np.linspace(1, 40, 120)[:, None]
    whole = level_over_floor(boxes, x, y, coherent=True)
    assert whole.shape == (10, 120, 150)
    for line in range(0, 120, 7):
        assert whole[:, line] == pytest.approx(level_over_floor(boxes, x, y[line], coherent=True), abs=1e-9)


@pytest.mark.parametrize("bands", [1, 10, 31])
def test_a_large_map_is_worked_out_in_parts_that_fit_a_processor(bands, monkeypatch):
    at_once = []
    powers = speakers._Layout.powers

    def counted(layout, points):
        at_once.append(2 * bands * points.shape[1])
        return powers(layout, points)

    monkeypatch.setattr(speakers._Layout, "powers", counted)
    level_over_floor(PAIR[:1], np.zeros(40_000), 9, bands_hz=np.geomspace(20, 20_000, bands))
    assert 2**16 < max(at_once) <= 2**16 + 2 * bands


def test_points_broadcast_and_bands_come_first():
    boxes = at_the_ear([90, 84])
    assert level_over_floor(boxes, 0, 1).shape == (10,)
    assert level_over_floor(boxes, [0, 1, 2], 1, bands_hz=[500]).shape == (1, 3)
    raked = level_over_floor(boxes, 0, [[1], [2]], [1.2, 1.5, 1.8])
    assert raked.shape == (10, 2, 3)
    assert raked[:, 1, 2] == pytest.approx(level_over_floor(boxes, 0, 2, 1.8), abs=1e-9)


def test_ears_air_and_bands_are_the_usual_ones_unless_said_otherwise():
    boxes = [Speaker((0, 0, 4), (3, 15, 1), 115)]
    said = level_over_floor(
        boxes,
        2,
        9,
        1.2,
        bands_hz=OCTAVES,
        temperature_c=20,
        humidity_percent=50,
        pressure_kpa=101.325,
        coherent=False,
    )
    assert level_over_floor(boxes, 2, 9) == pytest.approx(said, abs=1e-12)


def test_a_band_that_a_box_does_not_play_adds_nothing():
    top = Speaker((0, 0, 2), (0, 9, 1), [-math.inf, 100])
    sub = Speaker((0, 0, 0), (0, 9, 0), [100, -math.inf], **ALL_AROUND)
    low, high = level_over_floor([top, sub], 0, 9, bands_hz=[63, 1000])
    assert low == level_over_floor([sub], 0, 9, bands_hz=[63, 1000])[0]
    assert high == level_over_floor([top], 0, 9, bands_hz=[63, 1000])[1]
    assert level_over_floor([sub], 0, 9, bands_hz=[63, 1000])[1] == -math.inf


# level_over_floor: what is refused
PAIR = [Speaker((-4, 0, 3), (0, 9, 1), 110), Speaker((4, 0, 3), (0, 9, 1), [110] * 10)]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"at_m": (0, 0)}, r"^at_m has shape \(2,\); three numbers are wanted"),
        ({"at_m": (0, 0, 501)}, "^at_m is 501 m; it may be from -500 to 500 m"),
        ({"at_m": (0, 0, -501)}, "^at_m is -501 m; it may be"),
        ({"aim_m": "front"}, "^aim_m is 'front'; a number or an array of numbers is wanted"),
        ({"aim_m": (0, 0, 3.0009)}, "^aim_m is .* where the loudspeaker stands; aim at"),
        ({"level_db": 200.1}, "^level_db is 200.1 dB; it may be from -100 to 200 dB"),
        ({"level_db": -100.1}, "^level_db is -100.1 dB"),
        ({"level_db": math.nan}, "^level_db is nan"),
        ({"level_db": [[100, 100]]}, r"^level_db has shape \(1, 2\); one number or one a band"),
        ({"level_db": []}, "^level_db is empty"),
        ({"horizontal_deg": 4.9}, "^horizontal_deg is 4.9 °; it may be from 5 to 360 °"),
        ({"horizontal_deg": 360.1}, "^horizontal_deg is 360.1 °"),
        ({"vertical_deg": -math.inf}, "^vertical_deg is -inf °; it may be from 5 to 360 °"),
        ({"vertical_deg": 360.1}, "^vertical_deg is 360.1 °"),
        ({"delay_ms": -0.1}, "^delay_ms is -0.1 ms; it may be from 0 to 10000 ms"),
        ({"delay_ms": 10_001}, "^delay_ms is 10001 ms"),
        ({"delay_ms": [1, 2]}, r"^delay_ms has shape \(2,\); one number is wanted"),
    ],
)
def test_a_loudspeaker_that_cannot_be_is_refused(wrong, message):
    with pytest.raises(ValueError, match=message):
        Speaker(**{"at_m": (0, 0, 3), "aim_m": (0, 9, 1), "level_db": 100, **wrong})


def test_a_loudspeaker_may_aim_a_millimetre_away_and_anywhere_in_reach():
    Speaker((0, 0, 0), (0, 0, 0.001), 200, [5, 360], [360, 5], 10_000)
    corner = Speaker((-500,) * 3, (500,) * 3, -100, 5, 5)
    harshest = {"bands_hz": [20, 20_000], "pressure_kpa": 50, "temperature_c": 50, "humidity_percent": 5}
    assert np.isfinite(level_over_floor([corner], [-500, 500], 500, [[-500], [500]], **harshest)).all()
    assert np.isfinite(level_over_floor([corner], 500, [-499, 500], [[-500], [500]], **harshest)).all()


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"speakers": []}, "^speakers is empty; at least one"),
        ({"speakers": PAIR[0]}, "^speakers is Speaker.*; a list of Speaker is wanted, even for one"),
        ({"speakers": None}, "^speakers is None; a list"),
        ({"speakers": [PAIR[0], "box"]}, r"^speakers\[1\] is 'box'; a Speaker is wanted"),
        ({"x_m": math.nan}, "^x_m is nan"),
        ({"x_m": 501}, "^x_m is 501 m; it may be from -500 to 500 m"),
        ({"x_m": -501}, "^x_m is -501 m"),
        ({"y_m": 501}, "^y_m is 501 m"),
        ({"y_m": -501}, "^y_m is -501 m"),
        ({"ear_height_m": 501}, "^ear_height_m is 501 m"),
        ({"ear_height_m": -501}, "^ear_height_m is -501 m"),
        ({"y_m": []}, "^y_m is empty"),
        ({"ear_height_m": "tall"}, "^ear_height_m is 'tall'"),
        ({"x_m": [1, 2], "y_m": [1, 2, 3]}, "^shapes do not go together: x_m"),
        ({"bands_hz": 19.9}, "^bands_hz is 19.9 Hz; it may be from 20 to 20000 Hz"),
        ({"bands_hz": [20_001]}, "^bands_hz is 20001 Hz"),
        ({"bands_hz": 1000}, r"^bands_hz has shape \(\); a row"),
        (
            {"bands_hz": [500, 1000]},
            r"^speakers\[1\].level_db has 10 values; one, or one for each of 2 bands",
        ),
        ({"volume_m3": 1000}, "^volume_m3 is 1000 and reverberation_s is None; give both for a room"),
        ({"reverberation_s": 1}, "^volume_m3 is None and reverberation_s is 1; give both"),
        ({"volume_m3": 0.9, "reverberation_s": 1}, "^volume_m3 is 0.9 m³; it may be from 1 to 1e\\+07 m³"),
        ({"volume_m3": 1.1e7, "reverberation_s": 1}, "^volume_m3 is 11000000 m³"),
        ({"volume_m3": [1000], "reverberation_s": 1}, r"^volume_m3 has shape \(1,\); a single number"),
        (
            {"volume_m3": 1000, "reverberation_s": 0.04},
            "^reverberation_s is 0.04 s; it may be from 0.05 to 30 s",
        ),
        ({"volume_m3": 1000, "reverberation_s": 30.1}, "^reverberation_s is 30.1 s"),
        (
            {"volume_m3": 1000, "reverberation_s": [1, 2]},
            r"^reverberation_s has shape \(2,\); one number or one for",
        ),
        ({"temperature_c": -20.1}, "^temperature_c is -20.1 °C; it may be from -20 to 50 °C"),
        ({"temperature_c": 50.1}, "^temperature_c is 50.1 °C"),
        ({"humidity_percent": -0.1}, "^humidity_percent is -0.1 %; it may be from 0 to 100 %"),
        ({"humidity_percent": 100.1}, "^humidity_percent is 100.1 %"),
        ({"pressure_kpa": 49.9}, "^pressure_kpa is 49.9 kPa; it may be from 50 to 200 kPa"),
        ({"pressure_kpa": 200.1}, "^pressure_kpa is 200.1 kPa"),
        ({"pressure_kpa": [100, 101]}, r"^pressure_kpa has shape \(2,\); a single number is wanted"),
        ({"coherent": "yes"}, "^coherent is 'yes'; it may be True or False"),
        (
            {"x_m": [0, 4], "y_m": 0.05, "ear_height_m": 3},
            r"^x_m, y_m, ear_height_m: the point \(4, 0.05, 3\) is 0.05 m",
        ),
    ],
)
def test_a_floor_that_cannot_be_is_refused(wrong, message):
    with pytest.raises(ValueError, match=message):
        level_over_floor(**{"speakers": PAIR, "x_m": 0, "y_m": 9, **wrong})


def test_a_point_may_come_as_near_as_a_tenth_of_a_metre():
    assert np.isfinite(level_over_floor([Speaker((0, 0, 0), (0, 9, 0), 100)], 0, 0.1, 0)).all()
    with pytest.raises(ValueError, match=r"is 0.0999 m from speakers\[1\]; it may be 0.1 m or more away"):
        level_over_floor(PAIR, 4, 0.0999, 3)


def coordinates(least, most):
    return st.tuples(*[st.floats(least, most)] * 3)


BOXES = st.builds(
    Speaker,
    at_m=coordinates(-100, 100),
    aim_m=coordinates(101, 500),
    level_db=st.floats(-100, 200),
    horizontal_deg=st.floats(5, 360),
    vertical_deg=st.floats(5, 360),
    delay_ms=st.floats(0, 10_000),
)


@settings(deadline=None)
@given(
    st.lists(BOXES, min_size=1, max_size=4),
    coordinates(-500, -101),
    st.floats(-20, 50),
    st.floats(0, 100),
    st.floats(50, 200),
    st.one_of(st.none(), st.tuples(st.floats(1, 1e7), st.floats(0.05, 30))),
)
def test_boxes_in_range_give_finite_levels(boxes, point, celsius, percent, kpa, room):
    volume, time = room or (None, None)
    levels = level_over_floor(
        boxes,
        *point,
        bands_hz=[20, 20_000],
        volume_m3=volume,
        reverberation_s=time,
        temperature_c=celsius,
        humidity_percent=percent,
        pressure_kpa=kpa,
    )
    assert levels.shape == (2,)
    assert np.isfinite(levels).all()


AIR_FILE = "air_absorption.csv"
OFF_ITS_OWN_FORMULA = ("T=15 C", "RH=80 %", "nominal midband=1000 Hz")
AIR = {
    "frequency_hz": Span(10, 100_000),
    "temperature_c": Span(-73, 50),
    "humidity_percent": Span(0, 100),
    "pressure_kpa": Span(10, 200),
}
WEATHER = [(-20, 10), (-15, 90), (0, 35), (12, 60), (20, 50), (33, 85), (50, 20)]


def air_rows(*quantities, keep=lambda row: True):
    return pytest.mark.parametrize("row", [r for r in reference(AIR_FILE, *quantities) if keep(r)], ids=str)


def off_its_own_formula(row):
    return all(part in row.inputs for part in OFF_ITS_OWN_FORMULA)


def db_per_km(row):
    """At the exact midband where the row names a nominal frequency, as the tables are computed."""
    at = row.named
    hertz = at.get("f") or at.get("preferred frequency") or at["nominal midband"]
    if "f" not in at:
        hertz = 1000 * 10 ** (round(10 * math.log10(hertz / 1000)) / 10)
    return 1000 * air_absorption_db_per_m(hertz, at["T"], at["RH"], at["p"])


def half_of_three_figures(value):
    return 10.0 ** (math.floor(math.log10(value)) - 2) / 2


def by_toolbox(hertz, celsius, percent, kpa):
    kelvin = celsius + 273.15
    water = toolbox.molar_concentration_water_vapour(percent, toolbox.saturation_pressure(kelvin), kpa)
    return toolbox.attenuation_coefficient(
        kpa,
        kelvin,
        toolbox.REFERENCE_PRESSURE,
        toolbox.REFERENCE_TEMPERATURE,
        toolbox.relaxation_frequency_nitrogen(kpa, kelvin, water),
        toolbox.relaxation_frequency_oxygen(kpa, water),
        hertz,
    )


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@air_rows("atmospheric attenuation, pure tone")
def test_loss_is_that_of_the_pure_tone_table(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=half_of_three_figures(row.answer))


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@air_rows("atmospheric attenuation, octave band", keep=lambda row: not off_its_own_formula(row))
def test_loss_is_that_of_the_octave_table(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=row.within)


@air_rows("atmospheric attenuation, octave band", keep=off_its_own_formula)
def test_the_formula_is_followed_and_not_the_one_print_off_it(row):
    assert row.answer == 4.1
    assert db_per_km(row) == pytest.approx(4.15, abs=0.005)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@air_rows("atmospheric attenuation, pure tone at exact octave midband")
def test_loss_is_that_of_two_libraries(row):
    assert db_per_km(row) == pytest.approx(row.answer, abs=5e-6)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@pytest.mark.parametrize(("celsius", "percent"), WEATHER)
def test_loss_over_the_whole_range_is_that_of_pyfar(celsius, percent):
    hertz = np.geomspace(50, 100_000, 40)
    library = pyfar.constants.air_attenuation(celsius, hertz, percent / 100)[0]
    assert air_absorption_db_per_m(hertz, celsius, percent) == pytest.approx(library, rel=1e-9)


@pytest.mark.outside("speakers.air_absorption_db_per_m")
@pytest.mark.parametrize("kpa", [10, 54, 80, 101.325, 140, 200])
def test_loss_in_thin_and_thick_air_is_that_of_the_toolbox(kpa):
    hertz = np.geomspace(10, 100_000, 40)
    assert air_absorption_db_per_m(hertz, 18, 65, kpa) == pytest.approx(
        by_toolbox(hertz, 18, 65, kpa), rel=1e-9
    )


@given(st.floats(0.3, 1.5), st.floats(-20, 50), st.floats(1, 60))
def test_air_of_one_make_is_the_same_for_a_frequency_raised_with_its_pressure(factor, celsius, percent):
    """Similar gases: share of water and frequency over pressure kept, the loss goes with the pressure."""
    thin = air_absorption_db_per_m(2000 * factor, celsius, percent * factor, 101.325 * factor)
    assert thin == pytest.approx(factor * air_absorption_db_per_m(2000, celsius, percent), rel=1e-9)


def test_loss_grows_with_frequency_and_shrinks_to_nothing():
    loss = air_absorption_db_per_m(np.geomspace(10, 100_000, 200), 20, 50)
    assert (np.diff(loss) > 0).all()
    assert loss[0] < 1e-5


def test_below_40_hz_a_kilometre_takes_less_than_1_db():
    celsius, percent = np.linspace(-20, 50, 50)[:, None], np.linspace(10, 100, 50)
    assert (1000 * air_absorption_db_per_m(40, celsius, percent) < 1).all()


def test_air_is_at_20_degrees_and_half_damp_unless_said_otherwise():
    assert air_absorption_db_per_m(4000) == air_absorption_db_per_m(4000, 20, 50, 101.325)


# ranges


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


def test_the_air_keeps_to_its_range():
    holds_to_its_range(air_absorption_db_per_m, AIR)


@pytest.mark.parametrize(
    "name", ["x_m", "y_m", "ear_height_m", "bands_hz", "temperature_c", "humidity_percent", "pressure_kpa"]
)
def test_each_argument_of_a_floor_goes_through_the_reader(name):
    with pytest.raises(ValueError, match=f"^{name} is "):
        level_over_floor(**{"speakers": PAIR, "x_m": 0, "y_m": 9, name: "1"})
