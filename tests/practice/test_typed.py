"""Answers as thirty different people write them: what is right is never refused, and what is open is asked for again."""

import time

import pytest

from gigsums.practice.marking import MALFORMED, NOTED, RIGHT, SLIP, WRONG, mark
from gigsums.practice.problems import Accepted, NamedSlip, Part
from gigsums.practice.wording import singular
from gigsums.quantities import BYTES, DECIBELS, DELAY, DURATION, FREQUENCY, POWER, VOLTAGE, Q
from practice.test_marking import made

DELAY_MS = made(Part(74.8, DELAY, share=0.02))
HERTZ = made(Part(1234.0, FREQUENCY, share=0.02))
SMALL_HERTZ = made(Part(1.2, FREQUENCY, share=0.02))
WATTS = made(Part(24_882.0, POWER, share=0.02))
LOSS = made(
    Part(-22.3, DECIBELS, absolute=0.2), slips=[NamedSlip("Sign turned round", (22.3,), "Less or more?")]
)
LESS = made(Part(11.5, DECIBELS, absolute=0.2), notes=[Accepted("said as a change", (-11.5,), "The same.")])
VOLTS = made(Part(16.7, VOLTAGE, share=0.02))
BARE = made(Part(2 / 3, Q, share=0.02))
SETS = made(Part(5, name="sets"))
KINDS = made(
    Part(7, name="microphone inputs"), Part(0, name="mono line inputs"), Part(1, name="stereo line inputs")
)
PLACES = made(Part(11, name="stage outputs"), Part(2, name="desk outputs"))
TALK = made(Part("wanted", choices=("wanted", "not wanted")), Part(15, name="inputs"), Part(5, name="buses"))
CLOCK = made(
    Part("fits with care", choices=("fits", "fits with care", "does not fit")),
    Part(143 / 60, DURATION, given_in="min", absolute=0.01),
)
REFUSED = made(
    Part("does not fit", choices=("fits", "fits with care", "does not fit")), Part(9, name="buses")
)
DESK = made(Part("second", choices=("first", "second", "none")), Part(5, name="channels"))
SHORT = made(Part("sockets", choices=("nothing", "sockets", "channels")), Part(22, name="taken"))


@pytest.mark.parametrize(
    ("asked", "typed"),
    [
        (DELAY_MS, "74,8 ms"),
        (DELAY_MS, "0.0748 s"),
        (DELAY_MS, "about 74.8"),
        (DELAY_MS, "approx. 74.8 ms"),
        (DELAY_MS, "~75 ms"),
        (DELAY_MS, "It is 74.8 ms."),
        (DELAY_MS, "t = 74.8 ms"),
        (DELAY_MS, "25 / 343 + 2 = 74.8 ms"),
        (DELAY_MS, "74.8 milliseconds"),
        (DELAY_MS, "74.8 ms (at 21 °C)"),
        (DELAY_MS, "74.8 ms later"),
        (DELAY_MS, "the delay is about 74.8 ms"),
        (DELAY_MS, "I get 74,8 ms."),
        (LOSS, "minus 22.3 dB"),
        (VOLTS, "plus 16.7 Vrms"),
        (CLOCK, "fits with care; 142 mins 59 secs"),
        (PLACES, "stage outputs - 11. Desk outputs - 2."),
        (PLACES, "there are 11 stage outputs and 2 desk outputs"),
        (SETS, "I count five."),
        (HERTZ, "1.234 kHz"),
        (HERTZ, "1.234k"),
        (HERTZ, "1,234 Hz"),
        (HERTZ, "1 234"),
        (HERTZ, "1,234.5 Hz"),
        (HERTZ, "1.234,5 Hz"),
        (HERTZ, "1234 hertz"),
        (SMALL_HERTZ, "1,200"),
        (WATTS, "24,882 W"),
        (WATTS, "24,882.0"),
        (WATTS, "24.9 kW"),
        (LOSS, "−22.3 dB"),
        (LOSS, "22.3 dB down"),
        (LOSS, "22.3 dB less"),
        (LOSS, "a loss of 22.3 dB"),
        (LOSS, "-22.3 decibels"),
        (LESS, "11.5 dB"),
        (VOLTS, "16.7 V lost"),
        (VOLTS, "16.7 volts"),
        (BARE, "2/3"),
        (BARE, "0,667"),
        (SETS, "five"),
        (SETS, "Five."),
        (SETS, "3 + 2 = 5"),
        (SETS, "5 sets"),
        (SETS, "5 (3 and 2 spare)"),
        (SETS, "about 5"),
        (KINDS, "7, 0, 1"),
        (KINDS, "7 mic, 0 mono, 1 stereo"),
        (KINDS, "1 stereo line, 7 mics, 0 mono line"),
        (KINDS, "seven, none and one"),
        (KINDS, "microphone inputs: 4 + 3 = 7, mono line inputs: 0, stereo line inputs: 1"),
        (PLACES, "11 stage, 2 desk"),
        (PLACES, "2 at the desk, 11 on the stage"),
        (PLACES, "9 + 2 = 11, 2"),
        (TALK, "yes; 15; 5"),
        (TALK, "YES, 15, 5."),
        (TALK, "15; 5; wanted"),
        (TALK, "it is wanted; 15 inputs; 5 buses"),
        (TALK, "wanted; 5 buses; 15 inputs"),
        (CLOCK, "fits with care, 143 min"),
        (CLOCK, "fits with care 143 min"),
        (CLOCK, "143; fits with care"),
        (CLOCK, "It fits with care; 2 h 23 min"),
        (CLOCK, "fits with care; 2,383 h"),
        (REFUSED, "doesn't fit; 9"),
        (REFUSED, "It does not fit, 9 buses"),
        (REFUSED, "does not fit, because there are 8; 9"),
        (DESK, "the second desk; 5"),
        (DESK, "5 channels; second"),
        (SHORT, "sockets; 22 sockets"),
        (SHORT, "Socket, 22"),
    ],
)
def test_right_in_other_words_is_right(asked, typed):
    assert mark(asked, typed).outcome == RIGHT


@pytest.mark.parametrize(
    ("asked", "typed", "said"),
    [
        (SETS, "4 or 5", "one is wanted"),
        (SETS, "4-5", "one is wanted"),
        (SETS, "5 to 6", "one is wanted"),
        (KINDS, "7 or 8, 0, 1", "one is wanted"),
        (DELAY_MS, "74.8 or 75", "one is wanted"),
        (DELAY_MS, "70–80 ms", "one is wanted"),
        (DELAY_MS, "70 ms to 80 ms", "one is wanted"),
        (KINDS, "7 mic, 0 line, 1 stereo", "may be mono line inputs or stereo line inputs"),
        (DELAY_MS, "not 74.8 ms", "that is not a number"),
        (DELAY_MS, "more than 74.8 ms", "that is not a number"),
        (SETS, "more than 5", "is not a whole number in figures"),
        (TALK, "maybe; 15; 5", "none of the choices"),
        (TALK, "wanted", "There is one thing, and 3 are wanted"),
        (SHORT, "not sockets; 22", "none of the choices"),
        (CLOCK, "fits with care", "There is one thing, and 2 are wanted"),
        (HERTZ, "5,678", "comma could be a decimal mark or stand between thousands"),
    ],
)
def test_what_is_open_is_asked_for_again(asked, typed, said):
    marking = mark(asked, typed)
    assert marking.outcome == MALFORMED
    assert said in marking.message
    assert asked.wanted in marking.message


@pytest.mark.parametrize(
    ("asked", "typed", "outcome"),
    [
        (TALK, "no; 15; 5", WRONG),
        (KINDS, "1, 7, 0", WRONG),
        (PLACES, "11 desk, 2 stage", WRONG),
        (LOSS, "22.3 dB", SLIP),
        (LOSS, "22.3 dB up", SLIP),
        (VOLTS, "-16.7 V", WRONG),
        (LESS, "11.5 dB less", NOTED),
        (LESS, "-11.5 dB", NOTED),
        (BARE, "3/2", WRONG),
        (SETS, "six", WRONG),
        (SETS, "2 + 3 = 6", WRONG),
        (SETS, "5 + 1 = 6", WRONG),
        (DELAY_MS, "60 + 14.8 = 78 ms", WRONG),
    ],
)
def test_wrong_in_other_words_is_wrong(asked, typed, outcome):
    assert mark(asked, typed).outcome == outcome


RATIO = made(
    Part(1.17, Q, share=0.02),
    slips=[
        NamedSlip("Added", (7.6,), "Add what?"),
        NamedSlip("Last step missing", (0.855,), "Turn it over."),
    ],
)
NARROW = made(
    Part(24.6, FREQUENCY, share=0.0035), slips=[NamedSlip("air taken at 20 °C", (24.9,), "How warm is it?")]
)
LEVEL = made(
    Part(97.4, DECIBELS, absolute=0.2), slips=[NamedSlip("Mean taken", (93.3,), "Less than one of them?")]
)


@pytest.mark.parametrize(
    ("asked", "typed", "outcome", "slip"),
    [
        (RATIO, "1.2", WRONG, ""),
        (RATIO, "1.19", RIGHT, ""),
        (RATIO, "1", WRONG, ""),
        (RATIO, "1.3", WRONG, ""),
        (RATIO, "1.17000", RIGHT, ""),
        (RATIO, "0.86", SLIP, "Last step missing"),
        (RATIO, "8", WRONG, ""),
        (NARROW, "24.6", RIGHT, ""),
        (NARROW, "24.9", SLIP, "air taken at 20 °C"),
        (NARROW, "24.90", SLIP, "air taken at 20 °C"),
        (NARROW, "25", WRONG, ""),
        (NARROW, "25.0", WRONG, ""),
        (LEVEL, "97", WRONG, ""),
        (LEVEL, "97.0", WRONG, ""),
        (LEVEL, "98", WRONG, ""),
        (LEVEL, "93.1", SLIP, "Mean taken"),
        (LEVEL, "93", WRONG, ""),
        (LEVEL, "100", WRONG, ""),
        (WATTS, "25000", RIGHT, ""),
        (HERTZ, "1200", WRONG, ""),
        (HERTZ, "1210", RIGHT, ""),
        (HERTZ, "1300", WRONG, ""),
        (HERTZ, "1.2k", WRONG, ""),
        (HERTZ, "1000", WRONG, ""),
    ],
)
def test_an_answer_is_what_it_says_however_many_figures_it_has(asked, typed, outcome, slip):
    """How near to come is said; 25 and 25.0 are the same answer, and near enough or not."""
    marking = mark(asked, typed)
    assert (marking.outcome, marking.slip) == (outcome, slip)


def test_an_answer_that_was_rounded_on_the_way_is_told_that_it_is_near():
    assert mark(DELAY_MS, "78.1").message.startswith("Near, but not near enough")
    assert mark(DELAY_MS, "80").message == "Look again."
    assert mark(KINDS, "7, 0, 2").message.startswith("Right so far")


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (Part(74.8, DELAY, share=0.02), "a number in ms, to three figures, or with another unit"),
        (Part(3.1, DELAY, absolute=0.1), "a number in ms, to 0.1 ms, or with another unit"),
        (Part(97.4, DECIBELS, absolute=0.2), "a number in dB, to 0.1 dB;"),
        (Part(-0.87, DECIBELS, absolute=0.03), "a number in dB, to 0.01 dB;"),
        (Part(2.0, DURATION, given_in="min", absolute=0.01), "a number in min, to 1 min, or"),
        (Part(5e10, BYTES, given_in="GB", share=0.02), "a number in GB, to three figures, or"),
        (Part(0.67, Q, share=0.02), "a number, to three figures;"),
    ],
)
def test_it_is_said_how_near_to_come(part, said):
    assert made(part).wanted.startswith(said)


@pytest.mark.parametrize("digits", range(1, 1000, 7))
def test_what_is_rounded_to_the_step_asked_is_right(digits):
    """The step that is named lies within the tolerance, wherever the value lies between two steps."""
    for part, typed in (
        (Part(10 + digits / 999, DECIBELS, absolute=0.2), "{:.1f}"),
        (Part(10 + digits / 999, DELAY, absolute=0.1), "{:.1f}"),
        (Part(-digits / 999, DECIBELS, absolute=0.03), "{:.2f}"),
        (Part(1 + digits / 111, Q, share=0.0035), "{:#.3g}"),
        (Part(1 + digits / 111, Q, share=0.02), "{:#.3g}"),
    ):
        value = part.value
        assert mark(made(part), typed.format(value)).good, f"{value} {part.absolute} {part.share}"


@pytest.mark.parametrize(
    ("plural", "one"),
    [
        ("mixes", "mix"), ("buses", "bus"), ("matrices", "matrix"), ("switches", "switch"), ("inputs", "input"),
        ("mixes to go mono", "mix to go mono"), ("to find", "to find"), ("stereo line inputs", "stereo line input"),
    ],
)  # fmt: skip
def test_one_of_what_is_counted(plural, one):
    assert singular(plural) == one
    assert Part(1, name=plural).show(1) == f"1 {one}"


TIRING = [
    "is " * 66, "about " * 33, "about is " * 22 + "x", "~" * 199, "the answer is " * 14, "approx. " * 25 + "1",
    "(" * 99 + ")" * 99, "(a" * 99, "1/" * 99, "12,345," * 28, "1.234," * 28, "1,234 " * 33, "one " * 49, "1 = " * 49,
    "twenty one " * 18, "a b " * 49, "a-" * 99, "1 or " * 39, "1 a" * 66, "5 dB " + "down " * 38, "and 1 " * 33,
]  # fmt: skip


@pytest.mark.parametrize("asked", [DELAY_MS, LOSS, SETS, KINDS, TALK, CLOCK], ids=str)
@pytest.mark.parametrize("typed", TIRING)
def test_what_repeats_itself_is_soon_done_with(asked, typed):
    start = time.process_time()
    assert mark(asked, typed).outcome == MALFORMED
    assert time.process_time() - start < 1  # not a measure of speed: it catches what would hang
