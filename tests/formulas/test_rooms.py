"""Rooms against a handbook's worked room, printed tables of the speech standard, libraries and the wave equation."""

import math
import re

import numpy as np
import pytest
from acoustic_toolbox import room as toolbox
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal

from contract import Span, holds_to_its_range
from gigsums.formulas import rooms
from gigsums.formulas.decibels import sum_levels
from gigsums.formulas.rooms import (
    articulation_loss_percent,
    critical_distance_m,
    reverberation_time_eyring,
    reverberation_time_sabine,
    room_level_db,
    room_mode_hz,
    speech_transmission_index,
)
from gigsums.formulas.timing import speed_of_sound
from published import reference

FILE = "rooms.csv"
FOOT_M = 0.3048
SABINE_S_PER_M = 24 * math.log(10)
HANDBOOK_SPEED = SABINE_S_PER_M * FOOT_M / 0.049

"""The speed at which the exact constant is the handbook's 0.049 s/ft."""

SPEEDS = {
    "python-acoustics": 343,
    "pyroomacoustics": 343,
    "pyrato": 343.4,
    "acoustica": SABINE_S_PER_M / 0.161,
}
BANDS = (125, 250, 500, 1000, 2000, 4000, 8000)
VOLUME, TIME, Q = Span(1, 1e7), Span(0.05, 30), Span(0.01, 1000)
AREA, AIR, SPEED = Span(1e-3, 1e6), Span(0, 10), Span(250, 400)
CONTRACTS = {
    reverberation_time_sabine: {
        "volume_m3": VOLUME,
        "absorption_m2": AREA,
        "air_db_per_m": AIR,
        "speed_m_s": SPEED,
    },
    critical_distance_m: {"volume_m3": VOLUME, "reverberation_s": TIME, "directivity": Q},
    room_level_db: {
        "power_level_db": Span(-300, 300),
        "distance_m": Span(0.01, 10_000),
        "room_constant_m2": Span(1e-3, 1e9),
        "directivity": Q,
    },
    room_mode_hz: {
        "length_m": Span(0.1, 10_000),
        "order": Span(1, 1000, whole=True),
        "temperature_c": Span(-20, 50),
    },
    articulation_loss_percent: {
        "distance_m": Span(0.01, 10_000),
        "reverberation_s": Span(0.05, 10),
        "volume_m3": VOLUME,
        "directivity": Q,
        "loudspeakers": Span(1, 1000, whole=True),
    },
}

"""Spans of arguments that bound each other: what each may be on its own."""


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, **options), ids=str)


def half_step(row):
    """Half the last printed step, or what the row states where that is wider."""
    decimals = len(row.expected.partition(".")[2])
    return pytest.approx(row.answer, abs=max(row.within, 0.5 * 10.0**-decimals) if decimals else row.within)


def three_surfaces(row):
    """Volume, absorption, surface and speed of `surfaces=240,600,500 m2; alpha=...; V=3000 m3`."""
    *both, volume = row.numbers
    areas, alphas = np.array(both[:3]), np.array(both[3:])
    speed = next(speed for source, speed in SPEEDS.items() if row.source.startswith(source))
    return {"volume_m3": volume, "absorption_m2": areas @ alphas, "speed_m_s": speed}, areas.sum()


def both_times(row):
    at = row.named
    room = {"volume_m3": at["V"], "absorption_m2": at["A"], "speed_m_s": at["c"]}
    return reverberation_time_sabine(**room), reverberation_time_eyring(**room, surface_m2=at["S"])


# reverberation_time_sabine


@pytest.mark.outside("rooms.reverberation_time_sabine")
@rows("reverberation time, Sabine", "reverberation time, Sabine, constant 0.161")
def test_sabine_is_that_of_four_libraries(row):
    room, _ = three_surfaces(row)
    assert reverberation_time_sabine(**room) == half_step(row)


@pytest.mark.outside("rooms.reverberation_time_sabine")
@rows("reverberation time, Sabine and Eyring")
def test_sabine_is_that_of_three_rooms_of_a_library(row):
    assert both_times(row)[0] == pytest.approx(row.answers[0], abs=row.within)


@pytest.mark.outside("rooms.reverberation_time_sabine")
@rows("reverberation time with air absorption, Sabine")
def test_sabine_with_air_is_that_of_a_library(row):
    at = row.named
    air_db = at["m"] * 10 * math.log10(math.e)
    absorption = round(at["S"] * at["mean alpha"])  # 600 m², of which the row prints the quotient rounded
    time = reverberation_time_sabine(at["V"], absorption, air_db, at["c"])
    assert time == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("rooms.reverberation_time_sabine")
@rows("reverberation time, Sabine, imperial constant 0.049")
def test_the_handbook_room_rings_as_long_as_printed(row):
    volume, absorption, _ = row.numbers
    time = reverberation_time_sabine(volume * FOOT_M**3, absorption * FOOT_M**2, speed_m_s=HANDBOOK_SPEED)
    assert time == pytest.approx(row.answer, abs=row.within)


def test_the_sixth_band_of_the_handbook_room_is_its_printed_volume_over_its_printed_absorption():
    volume, (absorption,) = (
        reference(FILE, "0.049 V of the room")[0],
        reference(FILE, "total absorption of the room"),
    )
    time = reverberation_time_sabine(
        volume.numbers[0] * FOOT_M**3, absorption.answer * FOOT_M**2, speed_m_s=HANDBOOK_SPEED
    )
    assert time == pytest.approx(volume.answer / absorption.answer, abs=0.0005)


@pytest.mark.outside("rooms.reverberation_time_sabine")
@rows("Sabine constant, imperial")
def test_the_constant_rounds_to_the_one_printed(row):
    assert reverberation_time_sabine(100, 100) * FOOT_M == pytest.approx(row.answer, abs=row.within)


def test_the_constant_is_that_of_343_2_m_s_and_no_air_unless_said_otherwise():
    assert reverberation_time_sabine(100, 100) == reverberation_time_sabine(100, 100, 0, 343.2)
    assert reverberation_time_sabine(100, 100) == pytest.approx(0.16102, abs=5e-6)


def test_reverberation_of_the_trade_brief():
    assert reverberation_time_sabine(2400, 240) == pytest.approx(1.61, abs=0.005)


# reverberation_time_eyring


@pytest.mark.outside("rooms.reverberation_time_eyring")
@rows("reverberation time, Eyring")
def test_eyring_is_that_of_three_libraries(row):
    room, surface = three_surfaces(row)
    assert reverberation_time_eyring(**room, surface_m2=surface) == half_step(row)


@pytest.mark.outside("rooms.reverberation_time_eyring")
@rows("reverberation time, Sabine and Eyring")
def test_eyring_is_that_of_three_rooms_of_a_library(row):
    assert both_times(row)[1] == pytest.approx(row.answers[1], abs=row.within)


@pytest.mark.outside("rooms.reverberation_time_eyring")
@pytest.mark.parametrize("alphas", [(0.02, 0.05, 0.03), (0.3, 0.2, 0.6), (0.95, 0.9, 0.99)])
def test_eyring_at_343_2_m_s_is_that_of_the_toolbox(alphas):
    areas = np.array([120.0, 120.0, 260.0])
    library = toolbox.t60_eyring(areas, np.array(alphas), 700, c=343.2)
    assert reverberation_time_eyring(700, areas @ alphas, areas.sum()) == pytest.approx(library)


def test_air_shortens_eyring_as_it_shortens_sabine():
    """Both decay rates grow by one and the same: the loss that sound meets along its way."""
    for time, arguments in (
        (reverberation_time_sabine, (900, 80)),
        (reverberation_time_eyring, (900, 80, 600)),
    ):
        dry, damp = time(*arguments), time(*arguments, air_db_per_m=0.02)
        assert 60 / damp - 60 / dry == pytest.approx(0.02 * 343.2)


@given(st.floats(10, 1e5), st.floats(1, 1000), st.floats(0.001, 0.999))
def test_eyring_is_the_shorter_and_meets_sabine_where_little_is_absorbed(volume, surface, alpha):
    sabine = reverberation_time_sabine(volume, alpha * surface)
    eyring = reverberation_time_eyring(volume, alpha * surface, surface)
    assert eyring < sabine
    assert sabine / eyring == pytest.approx(1, abs=alpha / (1 - alpha))


@pytest.mark.parametrize("absorption", [600, 601])
def test_a_room_that_absorbs_more_than_its_surface_is_refused(absorption):
    with pytest.raises(
        ValueError, match=f"^absorption_m2 is {absorption} m² of surface_m2 600 m²; it may be"
    ):
        reverberation_time_eyring(900, [80, absorption], 600)


# critical_distance_m


@pytest.mark.outside("rooms.critical_distance_m")
@rows("critical distance")
def test_critical_distance_is_that_of_a_library(row):
    assert critical_distance_m(row.named["V"], row.named["RT"]) == half_step(row)


@rows("critical distance with directivity")
def test_critical_distance_is_that_of_a_second_evaluation(row):
    assert critical_distance_m(row.named["V"], row.named["RT"], row.named["Q"]) == half_step(row)


@rows("critical distance from absorption area")
def test_the_handbooks_constant_is_followed_and_not_the_exact_one(row):
    time = reverberation_time_sabine(1000, row.named["A"])
    assert critical_distance_m(1000, time) == pytest.approx(row.answer, rel=0.008)
    assert abs(critical_distance_m(1000, time) / row.answer - 1) > 0.006


def test_critical_distance_of_the_trade_brief():
    assert critical_distance_m(2400, 1.6, 5) == pytest.approx(4.94, abs=0.005)


@given(st.floats(50, 1e5), st.floats(0.2, 8), st.floats(1, 50))
def test_direct_and_reverberant_sound_are_equal_at_the_critical_distance(volume, time, q):
    absorption = reverberation_time_sabine(volume, time)  # T = k V / A is its own inverse
    distance = critical_distance_m(volume, time, q)
    both = room_level_db(100, distance, absorption, q)
    reverberant = room_level_db(100, 10_000, absorption, 0.01)
    assert both - reverberant == pytest.approx(3.01, abs=0.04)


# room_level_db


@rows("room level (Hopkins-Stryker)")
def test_room_level_is_that_of_a_second_evaluation(row):
    at = row.named
    assert room_level_db(at["Lw"], at["r"], at["R"], at["Q"]) == half_step(row)


@pytest.mark.outside("rooms.room_level_db")
@rows("geometrical divergence of a point source in free field")
def test_without_a_room_a_metre_away_is_the_11_db_of_the_outdoor_standard(row):
    printed = re.search(r"\+(\d+),", row.source).group(1)
    assert f"{100 - room_level_db(100, 1, 1e9):.0f}" == printed == "11"


@pytest.mark.outside("rooms.room_level_db")
@rows("critical distance")
def test_at_a_librarys_critical_distance_the_room_doubles_the_power(row):
    """Its constant has two figures, 0.057: half its last step is 0.08 dB, of which half goes into the sum."""
    absorption = reverberation_time_sabine(row.named["V"], row.named["RT"])  # T = k V / A is its own inverse
    alone, in_room = (room_level_db(100, row.answer, constant) for constant in (1e9, absorption))
    assert in_room - alone == pytest.approx(3.01, abs=0.04)


def test_without_direct_sound_the_power_absorbed_is_the_power_sent():
    """A diffuse field of intensity I falls on a wall as I / 4: p² = 4 W rho c / A, and 0 dB is 1 pW at 400 rayl."""
    assert room_level_db(100, 10_000, 4) == pytest.approx(100, abs=1e-6)
    assert room_level_db(100, 10_000, 400) == pytest.approx(80, abs=1e-5)


@given(st.floats(0.1, 100), st.floats(1, 1e4), st.floats(0.1, 100))
def test_direct_and_reverberant_sound_add_as_unrelated_levels(distance, constant, q):
    direct = room_level_db(100, distance, 1e9, q)
    reverberant = room_level_db(100, 10_000, constant, 0.01)
    assert room_level_db(100, distance, constant, q) == pytest.approx(
        sum_levels([direct, reverberant]), abs=1e-3
    )


def test_a_source_radiates_evenly_unless_said_otherwise():
    assert room_level_db(100, 3, 50) == room_level_db(100, 3, 50, 1)
    assert critical_distance_m(1000, 1) == critical_distance_m(1000, 1, 1)


# room_mode_hz


def test_modes_are_those_of_the_wave_equation_between_rigid_walls():
    """Second differences of pressure on a fine grid, their eigenvalues taken by a library."""
    length, cells = 7.3, 2000
    step = length / cells
    diagonal = np.full(cells, 2.0)
    diagonal[[0, -1]] = 1
    lowest = eigh_tridiagonal(diagonal, np.full(cells - 1, -1.0), select="i", select_range=(1, 4))[0]
    solved = speed_of_sound(12) * np.sqrt(lowest) / step / (2 * np.pi)
    assert room_mode_hz(length, [1, 2, 3, 4], 12) == pytest.approx(solved, rel=1e-5)


def test_a_mode_of_the_trade_brief():
    assert room_mode_hz(12) == pytest.approx(14.3, abs=0.05)
    assert room_mode_hz(12) == room_mode_hz(12, 1, 20)


# articulation_loss_percent


def loss(row, distance=None):
    at = row.named
    return articulation_loss_percent(distance or at["D"], at["RT"], at["V"], at["Q"], at["N"])


@rows("articulation loss of consonants, near form")
def test_loss_near_the_loudspeaker_is_that_of_the_form_remembered(row):
    assert loss(row) == pytest.approx(row.answer, abs=row.within)


@rows("articulation loss of consonants, far form")
@pytest.mark.parametrize("distance", [40, 400])
def test_loss_far_from_the_loudspeaker_is_that_of_the_form_remembered(row, distance):
    time = row.numbers[0]
    assert articulation_loss_percent(distance, time, 3000, 5) == pytest.approx(row.answer, abs=row.within)


@rows("articulation loss of consonants, near form")
def test_the_far_form_takes_over_at_3_16_critical_distances(row):
    critical = float(re.search(r"Dc=([\d.]+) m", row.source).group(1)) / math.sqrt(row.named["N"])
    far = 9 * row.named["RT"]
    assert loss(row, 3.15 * critical) < 0.73 * far
    assert loss(row, 3.17 * critical) == pytest.approx(far)


def test_the_near_form_holds_to_the_very_end_of_its_reach():
    reach = 3.16 * critical_distance_m(3000, 1.5, 5)
    assert articulation_loss_percent(reach, 1.5, 3000, 5) < 0.73 * 9 * 1.5
    assert articulation_loss_percent(math.nextafter(reach, 99), 1.5, 3000, 5) == pytest.approx(9 * 1.5)


@rows("articulation loss of consonants, limit usually quoted as acceptable")
def test_the_limit_quoted_is_the_one_printed(row):
    assert f"{row.answer:g} % is the usual most" in articulation_loss_percent.__doc__


def test_one_loudspeaker_that_radiates_evenly_unless_said_otherwise():
    assert articulation_loss_percent(5, 1, 1000) == articulation_loss_percent(5, 1, 1000, 1, 1)


@given(st.floats(0.1, 50), st.floats(0.2, 5), st.floats(100, 1e5), st.integers(1, 8))
def test_loss_never_falls_with_distance_or_loudspeakers(distance, time, volume, count):
    here = articulation_loss_percent(distance, time, volume, 4, count)
    assert articulation_loss_percent(1.1 * distance, time, volume, 4, count) >= here * (1 - 1e-12)
    assert articulation_loss_percent(distance, time, volume, 4, count + 1) >= here * (1 - 1e-12)
    assert here <= 9 * time


# speech_transmission_index


def matrix(clear_bands):
    """Modulation kept whole in some octaves and lost in the others."""
    kept = np.zeros((7, 14))
    kept[[BANDS.index(band) for band in clear_bands]] = 1
    return kept


def bands_of(row):
    return [int(n) for n in re.findall(r"\d+", row.inputs)]


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI of a uniform modulation transfer matrix")
def test_an_even_matrix_gives_the_index_of_the_standard(row):
    index = speech_transmission_index(np.full((7, 14), row.named["m"]))
    assert index == pytest.approx(row.answer, abs=row.within)
    if row.answer in (0, 0.5, 1):
        assert index == pytest.approx(row.answer, abs=1e-12)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI with two adjacent bands at TI=1 and the rest at TI=0")
def test_two_clear_octaves_give_the_index_of_the_standard(row):
    assert speech_transmission_index(matrix(bands_of(row))) == pytest.approx(row.answer, abs=0.0005)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI octave weighting alpha, male")
def test_one_clear_octave_gives_its_printed_weight(row):
    assert speech_transmission_index(matrix(bands_of(row))) == half_step(row)
    assert speech_transmission_index(matrix(bands_of(row))) == pytest.approx(row.answer, abs=1e-12)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI redundancy factor beta, male")
def test_two_clear_octaves_share_their_printed_redundancy(row):
    low, high = bands_of(row)
    alone = sum(speech_transmission_index(matrix([band])) for band in (low, high))
    assert alone - speech_transmission_index(matrix([low, high])) == pytest.approx(row.answer, abs=1e-12)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI formula artefact, must be truncated")
def test_an_index_above_1_is_reported_as_1(row):
    raw, reported = row.answers[-2:]
    assert raw > 1
    assert speech_transmission_index(matrix(set(BANDS) - {250})) == reported
    faint = matrix(set(BANDS) - {250}) * 0.5  # TI 0.5 instead of 1: half of the raw sum, nothing cut off
    assert 2 * speech_transmission_index(faint) == pytest.approx(raw, abs=0.0005)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI modulation frequency")
def test_the_modulation_frequencies_are_those_of_the_standard(row):
    """Only reverberation tells them apart: the one that is listed decays to the modulation it must."""
    index = int(row.numbers[0]) - 1
    time = 2.0
    left = 1 / math.sqrt(1 + (2 * math.pi * row.answer * time / 13.8) ** 2)
    assert rooms._modulation_left(time, None)[:, index] == pytest.approx([left] * 7, rel=1e-12)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI of pure exponential decay, no noise, no masking")
def test_reverberation_gives_the_index_of_a_library(row):
    assert speech_transmission_index(reverberation_s=row.named["RT"]) == pytest.approx(row.answer, abs=5e-7)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI of stationary noise alone")
def test_noise_gives_the_index_of_a_library(row):
    index = speech_transmission_index(signal_to_noise_db=row.named["SNR"])
    assert index == pytest.approx(row.answer, abs=5e-7)


@pytest.mark.outside("rooms.speech_transmission_index")
@rows("STI of reverberation and noise together")
def test_reverberation_and_noise_give_the_index_of_a_library(row):
    index = speech_transmission_index(reverberation_s=row.named["RT"], signal_to_noise_db=row.named["SNR"])
    assert index == pytest.approx(row.answer, abs=5e-7)


def test_the_octaves_of_a_room_are_kept_apart():
    """Every octave drowned but one, which is clear: its weight."""
    quiet = [-100, -100, -100, 100, -100, -100, -100]
    assert speech_transmission_index(signal_to_noise_db=quiet) == pytest.approx(0.233)
    assert speech_transmission_index(reverberation_s=0, signal_to_noise_db=quiet) == pytest.approx(0.233)


def test_many_rooms_at_once_are_each_alone():
    times = np.linspace(0.3, 3, 21).reshape(3, 7)
    noises = np.linspace(-5, 20, 7)
    at_once = speech_transmission_index(reverberation_s=times, signal_to_noise_db=noises)
    assert at_once.shape == (3,)
    for index, time in zip(at_once, times, strict=True):
        alone = speech_transmission_index(reverberation_s=time, signal_to_noise_db=noises)
        assert index == pytest.approx(alone, rel=1e-12)
    stack = np.random.default_rng(1).random((4, 2, 7, 14))
    assert speech_transmission_index(stack).shape == (4, 2)
    assert speech_transmission_index(stack)[2, 1] == pytest.approx(speech_transmission_index(stack[2, 1]))


@given(st.floats(0.05, 30), st.floats(-30, 30), st.floats(0.01, 5))
def test_speech_never_gains_from_reverberation_or_noise(time, noise, more):
    index = speech_transmission_index(reverberation_s=time, signal_to_noise_db=noise)
    assert 0 <= index <= 1
    longer = min(time + more, 30)
    assert speech_transmission_index(reverberation_s=longer, signal_to_noise_db=noise) <= index + 1e-12
    assert speech_transmission_index(reverberation_s=time, signal_to_noise_db=noise - more) <= index + 1e-12


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({}, "^modulation is not given; give either"),
        ({"modulation": np.ones((7, 14)), "reverberation_s": 1}, "^modulation is given beside"),
        ({"modulation": np.ones((7, 14)), "signal_to_noise_db": 1}, "^modulation is given beside"),
        ({"modulation": np.ones((14, 7))}, r"^modulation has shape \(14, 7\); its last two axes must be 7"),
        ({"modulation": 0.5}, r"^modulation has shape \(\); "),
        ({"modulation": np.full((7, 14), 1.01)}, "^modulation is 1.01; it may be from 0 to 1"),
        ({"modulation": np.full((7, 14), -0.01)}, "^modulation is -0.01; it may be from 0 to 1"),
        ({"reverberation_s": [1, 2, 3]}, r"^reverberation_s has shape \(3,\); one number, or 7"),
        ({"reverberation_s": 30.1}, "^reverberation_s is 30.1 s; it may be from 0 to 30 s"),
        ({"reverberation_s": -0.1}, "^reverberation_s is -0.1 s; it may be from 0 to 30 s"),
        ({"signal_to_noise_db": 100.1}, "^signal_to_noise_db is 100.1 dB; it may be from -100 to 100 dB"),
        ({"signal_to_noise_db": -100.1}, "^signal_to_noise_db is -100.1 dB; it may be from -100 to 100 dB"),
        (
            {"reverberation_s": np.ones((2, 7)), "signal_to_noise_db": np.ones((3, 7))},
            "^shapes do not go together: reverberation_s",
        ),
    ],
)
def test_what_makes_no_index_is_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        speech_transmission_index(**arguments)


@given(st.lists(st.floats(0, 1), min_size=98, max_size=98))
def test_any_matrix_gives_an_index(kept):
    index = speech_transmission_index(np.reshape(kept, (7, 14)))
    assert type(index) is float
    assert 0 <= index <= 1


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)


def test_a_room_keeps_to_its_range_where_its_surface_is_more_than_it_absorbs():
    usual = {"volume_m3": 1, "air_db_per_m": 0, "speed_m_s": 340}
    others = {"volume_m3": VOLUME, "air_db_per_m": AIR, "speed_m_s": SPEED}
    holds_to_its_range(reverberation_time_eyring, others, absorption_m2=0.5, surface_m2=5e6)
    holds_to_its_range(reverberation_time_eyring, {"absorption_m2": AREA}, surface_m2=5e6, **usual)
    holds_to_its_range(
        reverberation_time_eyring, {"surface_m2": Span(1, 1e7)}, None, absorption_m2=0.5, **usual
    )
