"""Acoustic gain against a design manual's worked example, a magazine column, the outdoor standard and geometry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contract import Span, holds_to_its_range
from gigsums.formulas.decibels import sum_two_tones
from gigsums.formulas.feedback import (
    microphone_distance_ratio_db,
    needed_acoustic_gain_db,
    open_microphones_loss_db,
    potential_acoustic_gain_db,
)
from published import reference

FILE = "feedback.csv"
TALKER, ONSET = (
    "level of the talker at the listener, system off",
    "level of the loudspeaker at the listener at onset of feedback",
)
DIVERGENCE = "geometrical divergence of a point source in free field"
DISTANCE = Span(0.01, 10_000)
COUNT = Span(1, 1000, whole=True)
CONTRACTS = {
    open_microphones_loss_db: {"microphones": COUNT},
    potential_acoustic_gain_db: {
        "talker_to_listener_m": DISTANCE,
        "microphone_to_speaker_m": DISTANCE,
        "speaker_to_listener_m": DISTANCE,
        "talker_to_microphone_m": DISTANCE,
        "microphones": COUNT,
        "margin_db": Span(0, 40),
    },
    needed_acoustic_gain_db: {"talker_to_listener_m": DISTANCE, "equivalent_distance_m": DISTANCE},
    microphone_distance_ratio_db: {"far_m": DISTANCE, "near_m": DISTANCE},
}


def rows(*quantities, **options):
    return pytest.mark.parametrize("row", reference(FILE, *quantities, **options), ids=str)


def to_the_last_digit(row):
    """For rows of ten figures whose stated tolerance is finer than what they print."""
    decimals = len(row.expected.partition(".")[2])
    return pytest.approx(row.answer, abs=max(row.within, 0.5 * 10.0**-decimals) if decimals else row.within)


def gain(row):
    """`D0=7; Ds=1; D1=4; D2=6; NOM=1; FSM=0` through the formula."""
    at = row.named
    return potential_acoustic_gain_db(
        at["D0"], at["D1"], at["D2"], at["Ds"], at.get("NOM", 1), at.get("FSM", 0)
    )


# open_microphones_loss_db


@pytest.mark.outside("feedback.open_microphones_loss_db")
@rows("loss of gain from open microphones", known="read")
def test_loss_is_that_of_the_column(row):
    assert open_microphones_loss_db(row.named["NOM"]) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("feedback.open_microphones_loss_db")
@rows("loss of gain from doubling open microphones")
def test_doubling_costs_what_the_column_says(row):
    doubling = open_microphones_loss_db(10) - open_microphones_loss_db(5)
    assert doubling == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("feedback.open_microphones_loss_db")
@rows("incoherent sum")
def test_loss_is_what_as_many_equal_sounds_add_in_a_library(row):
    assert open_microphones_loss_db(len(row.numbers)) == pytest.approx(
        row.answer - row.numbers[0], abs=row.within
    )


@rows("loss of gain from open microphones", known="computed")
def test_loss_is_that_of_a_second_evaluation(row):
    assert open_microphones_loss_db(row.named["NOM"]) == to_the_last_digit(row)


def test_twelve_microphones_of_the_trade_brief():
    assert open_microphones_loss_db(12) == pytest.approx(10.8, abs=0.05)


# potential_acoustic_gain_db


@pytest.mark.outside("feedback.potential_acoustic_gain_db")
@rows("maximum acoustic gain (PAG without margin)")
def test_gain_is_that_of_the_manual_within_its_rounded_steps(row):
    assert gain(row) == pytest.approx(row.answer, abs=row.within)


@pytest.mark.outside("feedback.potential_acoustic_gain_db")
@rows(ONSET)
def test_gain_is_what_the_manual_gets_by_walking_from_talker_to_listener(row):
    talker = reference(FILE, TALKER)[0]
    walked = row.answer - talker.answer
    assert potential_acoustic_gain_db(7, 4, 6, 1, margin_db=0) == pytest.approx(
        walked, abs=row.within + talker.within
    )


@pytest.mark.outside("feedback.potential_acoustic_gain_db")
@rows(DIVERGENCE)
def test_with_all_else_a_metre_apart_the_gain_makes_up_the_divergence_of_the_standard(row):
    far, near = row.numbers
    gained = potential_acoustic_gain_db(far, near, near, near, margin_db=0)
    assert gained + 11 == pytest.approx(row.answer, abs=row.within)


@rows("maximum acoustic gain, unrounded", "PAG with open microphones and stability margin")
def test_exact_gain_is_kept_and_not_the_one_from_rounded_steps(row):
    assert gain(row) == to_the_last_digit(row)


def test_gain_before_feedback_of_the_trade_brief():
    assert potential_acoustic_gain_db(15, 5, 12, 0.3, microphones=4) == pytest.approx(14.4, abs=0.05)


def test_one_microphone_and_6_db_in_hand_unless_said_otherwise():
    at = (20, 8, 18, 0.3)
    assert potential_acoustic_gain_db(*at) == potential_acoustic_gain_db(*at, microphones=1, margin_db=6)


@given(*[st.floats(0.1, 100)] * 4)
def test_the_loop_just_rings_at_the_gain_found(talker, own, away, ahead):
    """With no margin: raise the system until what comes back to the microphone equals what left it."""
    at_microphone = 70 - 20 * math.log10(own)
    speaker_at_1_m = at_microphone + 20 * math.log10(away)
    heard = speaker_at_1_m - 20 * math.log10(ahead)
    unaided = 70 - 20 * math.log10(talker)
    assert potential_acoustic_gain_db(talker, away, ahead, own, margin_db=0) == pytest.approx(heard - unaided)


# needed_acoustic_gain_db


@pytest.mark.outside("feedback.needed_acoustic_gain_db")
@rows(TALKER, ONSET)
def test_needed_gain_makes_up_what_the_manual_loses_over_the_distance(row):
    level, near, far = row.numbers
    assert needed_acoustic_gain_db(far, near) == pytest.approx(level - row.answer, abs=row.within)


@pytest.mark.outside("feedback.needed_acoustic_gain_db")
@rows(DIVERGENCE)
def test_needed_gain_makes_up_the_divergence_of_the_standard(row):
    far, near = row.numbers
    assert needed_acoustic_gain_db(far, near) + 11 == pytest.approx(row.answer, abs=row.within)


@rows("NAG")
def test_needed_gain_is_that_of_a_second_evaluation(row):
    assert needed_acoustic_gain_db(row.named["D0"], row.named["EAD"]) == to_the_last_digit(row)


def test_needed_gain_of_the_trade_brief():
    assert needed_acoustic_gain_db(15, 3) == pytest.approx(14.0, abs=0.05)


# microphone_distance_ratio_db


@pytest.mark.outside("feedback.microphone_distance_ratio_db")
@rows(TALKER, ONSET)
def test_difference_is_what_the_manual_loses_between_two_distances(row):
    level, near, far = row.numbers
    assert microphone_distance_ratio_db(far, near) == pytest.approx(level - row.answer, abs=row.within)


@pytest.mark.outside("feedback.microphone_distance_ratio_db")
@rows("3:1 rule, claim read")
def test_three_times_the_distance_is_at_least_what_the_handbook_says(row):
    at_least, ripple_claimed = row.answers
    assert at_least <= microphone_distance_ratio_db(3, 1) < at_least + 1
    assert at_least == 9
    assert ripple_claimed == 1


@rows("3:1 rule, level of the distant microphone")
def test_three_to_one_is_9_and_a_half_decibels(row):
    assert -microphone_distance_ratio_db(3, 1) == to_the_last_digit(row)


@rows("3:1 rule, resulting ripple")
def test_three_to_one_ripples_by_more_than_the_handbook_claims(row):
    far_db = -microphone_distance_ratio_db(3, 1)
    peak, dip = (sum_two_tones(0, far_db, phase) for phase in (0, 180))
    assert [peak, dip] == pytest.approx(row.answers, abs=row.within)


@given(st.floats(0.01, 10_000), st.floats(0.01, 10_000))
def test_the_nearer_microphone_is_the_louder(far, near):
    assert microphone_distance_ratio_db(far, near) == pytest.approx(
        -microphone_distance_ratio_db(near, far), abs=1e-9
    )
    assert (microphone_distance_ratio_db(far, near) >= 0) == (far >= near)


@pytest.mark.parametrize(("function", "spans"), CONTRACTS.items())
def test_each_formula_keeps_to_its_range(function, spans):
    holds_to_its_range(function, spans)
