"""Marking: every outcome, and text of every kind from people who are tired, hostile or both."""

import random
import time

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gigsums.practice.marking import MALFORMED, NOTED, OUTCOMES, RIGHT, SLIP, WRONG, mark, wanted
from gigsums.practice.problems import Accepted, Draft, NamedSlip, Part, Problem, RightAnswer, clear_slips
from gigsums.quantities import DELAY, GAIN


def made(*parts, slips=(), notes=()):
    answer = RightAnswer(parts)
    draft = {
        "shown": {}, "scene": "A hall.", "question": "How much?", "answer": answer, "workings": ("so much",),
        "slips": tuple(slips), "notes": tuple(notes), "nudge": "Look again.",
    }  # fmt: skip
    return Problem(**draft, topic="made", version=1, seed="1", level=1, wanted=wanted(answer))


TWO = made(
    Part(4, name="mixes"),
    Part(6, name="buses"),
    slips=[NamedSlip("Boxes counted", (5, 7), "Look at who has two.")],
)
ONE = made(Part(7, name="inputs"), slips=[NamedSlip("DI as line", (5,), "What leaves a DI?")])
DELAY_MS = made(
    Part(72.8, DELAY, share=0.02),
    slips=[
        NamedSlip("one millisecond a metre", (25.0,), "A metre takes longer."),
        NamedSlip("seconds", (0.0728,), "What unit is that?"),
    ],
    notes=[Accepted("three a metre", (75.0,), "Near enough on paper.")],
)
GAIN_DB = made(Part(35.8, GAIN, absolute=0.2), slips=[NamedSlip("sign", (-35.8,), "Which way?")])
BELOW = made(Part(-72.8, DELAY, share=0.02))
VERDICT = made(Part("fits with changes", choices=("fits", "fits with changes", "does not fit")))
SHORT = made(Part("bus pairs", choices=("nothing", "bus pairs", "outputs")), Part(6, name="taken"))
MIXED = made(
    Part("fits", choices=("fits", "does not fit")), Part(12.5, DELAY, share=0.02), Part(3, name="buses")
)
ALL = [TWO, ONE, DELAY_MS, GAIN_DB, VERDICT, SHORT, MIXED]


@pytest.mark.parametrize(
    ("asked", "typed", "outcome"),
    [
        (TWO, "4, 6", RIGHT),
        (TWO, "4 6", RIGHT),
        (TWO, "4,6", RIGHT),
        (TWO, " 4 mixes and 6 buses. ", RIGHT),
        (TWO, "Buses: 6; mixes: 4", RIGHT),
        (TWO, "mixes 4 buses 6", RIGHT),
        (TWO, "5, 7", SLIP),
        (TWO, "7 buses, 5 mixes", SLIP),
        (TWO, "6, 4", WRONG),
        (TWO, "4, 7", WRONG),
        (TWO, "4", MALFORMED),
        (TWO, "4, 6, 1", MALFORMED),
        (TWO, "4 mixes, 6 mixes", MALFORMED),
        (TWO, "4 mixes, 6", MALFORMED),
        (TWO, "4.0, 6.0", MALFORMED),
        (TWO, "-4, 6", MALFORMED),
        (TWO, "four and six", RIGHT),
        (TWO, "four or six", MALFORMED),
        (TWO, "4 boxes, 6 buses", MALFORMED),
        (ONE, "7", RIGHT),
        (ONE, "7 inputs", RIGHT),
        (ONE, "007", RIGHT),
        (ONE, 7, RIGHT),
        (ONE, 7.0, RIGHT),
        (ONE, np.int64(7), RIGHT),
        (ONE, 7.5, MALFORMED),
        (ONE, True, MALFORMED),
        (ONE, None, MALFORMED),
        (ONE, [7], MALFORMED),
        (ONE, "5", SLIP),
        (ONE, "6", WRONG),
        (ONE, "seven", RIGHT),
        (ONE, "several", MALFORMED),
        (ONE, "999999", WRONG),
        (ONE, "1000000", MALFORMED),
        (ONE, "0000007", MALFORMED),
        (BELOW, "−71.5 ms", RIGHT),
        (BELOW, "-75", WRONG),
        (ONE, "7 dB", MALFORMED),
        (DELAY_MS, "72.8", RIGHT),
        (DELAY_MS, "72,8 ms", RIGHT),
        (DELAY_MS, "0.0728 s", RIGHT),
        (DELAY_MS, 72.8, RIGHT),
        (DELAY_MS, "72.8 x 1", MALFORMED),
        (DELAY_MS, "74.2", RIGHT),
        (DELAY_MS, "71.4", RIGHT),
        (DELAY_MS, "75", NOTED),
        (DELAY_MS, "74.6", NOTED),
        (DELAY_MS, "76.4", NOTED),
        (DELAY_MS, "77", WRONG),
        (DELAY_MS, "25", SLIP),
        (DELAY_MS, "0.0728", SLIP),
        (DELAY_MS, "72.8 m", MALFORMED),
        (DELAY_MS, "72.8 dB", MALFORMED),
        (DELAY_MS, "-72.8", WRONG),
        (DELAY_MS, float("nan"), MALFORMED),
        (DELAY_MS, float("inf"), MALFORMED),
        (GAIN_DB, "36.0 dB", RIGHT),
        (GAIN_DB, "35.6", RIGHT),
        (GAIN_DB, "36.1", WRONG),
        (GAIN_DB, "\u221235.8", SLIP),
        (VERDICT, "Fits  with changes.", RIGHT),
        (VERDICT, "fits", WRONG),
        (VERDICT, "perhaps", MALFORMED),
        (SHORT, "bus pairs; 6", RIGHT),
        (SHORT, "Bus pairs, 6 taken", RIGHT),
        (SHORT, "bus pairs 6", RIGHT),
        (SHORT, "bus pairs\n6", RIGHT),
        (SHORT, "outputs; 6", WRONG),
        (SHORT, "6; bus pairs", RIGHT),
        (SHORT, "bus pairs", MALFORMED),
        (SHORT, "bus 6", MALFORMED),
        (MIXED, "fits; 12.5 ms; 3 buses", RIGHT),
        (MIXED, "fits; 0,0125 s; 3", RIGHT),
        (MIXED, "fits; 12.5", MALFORMED),
        (MIXED, "fits, 12.5, 3", RIGHT),
        (MIXED, "fits,12,5,3", MALFORMED),
    ],
)  # fmt: skip
def test_outcomes(asked, typed, outcome):
    assert mark(asked, typed).outcome == outcome


def test_each_outcome_says_what_to_do():
    assert (
        mark(TWO, "").message
        == "Nothing is typed yet. Type two whole numbers in figures: mixes, then buses; for example 90, 91."
    )
    assert mark(ONE, "5").message == "DI as line. What leaves a DI?"
    assert mark(ONE, "5").slip == "DI as line"
    assert mark(DELAY_MS, "75").message == "Near enough on paper."
    assert mark(TWO, "4, 9").message == "Right so far: mixes. The rest is not. Look again."
    assert mark(TWO, "8, 9").message == "Look again."
    assert "72.8 m" in mark(DELAY_MS, "72.8 m").message
    assert "one of the words fits, fits with changes, does not fit" in mark(VERDICT, "x").message


def test_workings_come_with_what_is_right_only():
    assert mark(ONE, "7").workings == ("so much",)
    assert mark(DELAY_MS, "75").workings == ("so much",)
    assert all(not mark(ONE, typed).workings for typed in ("5", "6", ""))


@pytest.mark.parametrize("asked", ALL, ids=str)
def test_what_is_wanted_is_never_the_answer(asked):
    assert not mark(asked, asked.wanted.rpartition("example ")[2]).good


@pytest.mark.parametrize("asked", ALL, ids=str)
def test_an_answer_as_shown_is_right(asked):
    assert mark(asked, str(asked.answer)).outcome == RIGHT


HOSTILE = [
    "9" * 10_000, "-" + "9" * 10_000, "1e999999999", "0x7", "7" + "0" * 4000 + "e-4000", "\u0667", "\uff17", "\u2166",
    "<script>alert(7)</script>", "7<!--", "=SUM(7)", "7\x00", "\x00", "\u202e7", "7\u200b", "__import__('os')",
    "7;7;7;7", "7\t8\v9", "'; DROP TABLE inputs; --", "{7}", "%d", "${7}", "\ud800", "7 \ud800", "nan", "inf", "-inf", "1_000",
    "((((((((((((7))))))))))))", "7j", "a" * 199, " " * 10_000, "7" + " " * 10_000, ",".join("7" * 100), "1" * 60 + " s",
]  # fmt: skip


@pytest.mark.parametrize("asked", ALL, ids=str)
@pytest.mark.parametrize("typed", HOSTILE, ids=ascii)
def test_hostile_text_is_malformed_and_soon_done_with(asked, typed):
    start = time.process_time()
    marking = mark(asked, typed)
    assert marking.outcome == MALFORMED
    assert len(marking.typed) <= 40
    assert len(marking.message) < 500
    assert marking.typed.isprintable()
    assert time.process_time() - start < 1  # not a measure of speed: it catches what would hang


def test_huge_numbers_are_malformed_or_wrong():
    for huge in (10**5000, -(10**5000), 10**100, 1e308, np.float64(-1e300)):
        assert all(mark(asked, huge).outcome in (MALFORMED, WRONG) for asked in ALL)


PIECES = st.sampled_from(
    [
        "4",
        "6",
        "7",
        "72.8",
        "ms",
        "s",
        " ",
        ",",
        ";",
        "mixes",
        "buses",
        "and",
        "-",
        "e",
        ".",
        "fits",
        "\n",
        "\u0664",
    ]
)


@pytest.mark.parametrize("asked", ALL, ids=str)
@settings(max_examples=60, deadline=None)
@given(
    typed=st.one_of(
        st.text(max_size=300), st.lists(PIECES, max_size=12).map("".join), st.floats(), st.integers()
    )
)
@example(typed="4,")
def test_any_text_has_one_of_the_outcomes(asked, typed):
    marking = mark(asked, typed)
    assert marking.outcome in OUTCOMES
    assert (marking.values is None) == (marking.outcome == MALFORMED)
    assert bool(marking.message)
    assert mark(asked, typed) == marking
    if marking.outcome == RIGHT:
        assert asked.answer.near(marking.values, asked.answer.values)


@settings(deadline=None)
@given(st.text(alphabet="<>&*_`[]()#|$~\\abc \n", max_size=60))
def test_markup_typed_by_a_stranger_stays_text(typed):
    shown = mark(VERDICT, typed)._repr_markdown_()
    assert "<" not in shown.replace("&lt;", "")
    bare = shown.replace("\\\\", "")
    assert all(bare[at - 1] == "\\" for at, c in enumerate(bare) if c in "`[]$|" and at)


def draft(*slips, notes=(), part=None):
    part = part or Part(100.0, DELAY, share=0.02)
    given = [NamedSlip(f"slip {n}", (value,), "hint") for n, value in enumerate(slips)]
    return Draft(
        shown={},
        scene="",
        question="",
        answer=RightAnswer((part,)),
        workings=(),
        slips=tuple(given),
        notes=tuple(notes),
    )


@pytest.mark.parametrize(
    ("slips", "kept"),
    [
        (
            (103.9, 104.1),
            [],
        ),  # the first lies within twice the tolerance of the answer, the second too, by its own
        ((105,), ["slip 0"]),
        ((95.9,), ["slip 0"]),
        ((96.1,), []),
        ((200, 205, 300), ["slip 2"]),
        ((200, 209, 300), ["slip 0", "slip 1", "slip 2"]),
        ((-100, 0.1, 100_000), ["slip 0", "slip 1", "slip 2"]),
    ],
)
def test_slips_that_cannot_be_told_apart_are_dropped(slips, kept):
    assert [slip.name for slip in clear_slips(draft(*slips))] == kept


def test_slips_near_a_note_are_dropped():
    assert clear_slips(draft(121.0, notes=[Accepted("rough", (120.0,), "")])) == ()


def test_counts_are_told_apart_by_one():
    part = Part(7, name="inputs")
    assert len(clear_slips(draft(6, 8, part=part))) == 2
    assert clear_slips(draft(7, 5, 5, part=part)) == ()


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.floats(-1e4, 1e4), max_size=8),
    st.floats(0.01, 1e4),
    st.sampled_from([0.0, 0.2]),
    st.sampled_from([0.0, 0.02]),
)
def test_slips_that_are_kept_are_each_marked_as_themselves(values, key, absolute, share):
    part = Part(key, DELAY, absolute=absolute, share=share)
    asked = draft(*values, part=part)
    kept = clear_slips(asked)
    for slip in kept:
        near = [other for other in kept if asked.answer.near(slip.values, other.values)]
        assert near == [slip]
        assert not asked.answer.near(slip.values, asked.answer.values)


@pytest.mark.thorough
@pytest.mark.parametrize("asked", ALL, ids=str)
def test_a_hundred_thousand_scrambled_answers(asked):
    chance = random.Random(asked.wanted)
    seeds = [
        *HOSTILE,
        str(asked.answer),
        *(asked.answer.show(slip.values) for slip in asked.slips),
        asked.wanted,
    ]
    for _ in range(15_000):
        text = list(chance.choice(seeds)[:400])
        for _ in range(chance.randrange(6)):
            at = chance.randrange(len(text) + 1)
            text[at : at + chance.randrange(3)] = [
                chr(chance.choice((chance.randrange(128), chance.randrange(0x11000))))
            ]
        typed = "".join(text)
        marking = mark(asked, typed)
        assert marking.outcome in OUTCOMES
        assert (marking.values is None) == (marking.outcome == MALFORMED)
        if marking.good:
            assert asked.answer.near(marking.values, asked.answer.values) or marking.slip


@pytest.mark.parametrize(
    ("asked", "typed"),
    [
        (DELAY_MS, "72.8 ms."),
        (DELAY_MS, "72,8."),
        (DELAY_MS, "73."),
        (TWO, "4\u00a0mixes,\u00a06\u00a0buses."),
        (ONE, "7 inputs."),
    ],
)
def test_a_full_stop_and_hard_spaces_cost_nothing(asked, typed):
    assert mark(asked, typed).outcome == RIGHT


@pytest.mark.parametrize("typed", ["72.8 ms..", "72.8..", "10² ms", "72.8 ms. or 3 ms", "7\u00b2"])
def test_what_may_mean_something_else_is_not_guessed(typed):
    assert mark(DELAY_MS, typed).outcome == MALFORMED
