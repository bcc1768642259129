"""What a fair tutor would hold against a problem: a mistake that goes unnamed or unseen, a scene that cannot be."""

import math
import re
import tomllib
from itertools import pairwise

import pytest

from gigsums.practice import TOPICS, mark
from gigsums.practice.drawing import ACTS, GROUNDS, PEOPLE, PLACES
from gigsums.practice.marking import NOTED, RIGHT, SLIP
from gigsums.quantities import DISTANCE, TEMPERATURE, read
from gigsums.workbook import workbook_path
from practice import reading
from practice.proofs import drawn
from practice.test_sums import SUMS, in_kelvin, in_metres

LEVELS = (1, 2, 3)
SEEDS = range(60)


def every(topic, seeds=SEEDS):
    return [drawn(topic, seed, level) for level in LEVELS for seed in seeds]


# a temperature that is given has to be used

WITH_OFFSET = ("delay for a distance", "setting a delay loudspeaker")
AIR = ("first gap of a comb", "wavelength", "room mode", "speed of sound", *WITH_OFFSET)


def as_at(asked, speed_m_s):
    """The answer of somebody whose sound has this speed, whatever the air: by the share of the right speed."""
    right = 331.3 * math.sqrt(in_kelvin(asked.shown["temperature_c"]) / 273.15)
    share = speed_m_s / right
    value = asked.answer.value
    if asked.topic in WITH_OFFSET:
        offset = float(asked.shown["offset_ms"].split(" ")[0])
        return (value - offset) / share + offset
    return value * share


def test_every_topic_with_a_temperature_of_the_air_is_looked_at():
    found = {name for name in SUMS if "temperature_c" in drawn(name, 1).shown}
    assert found == {*AIR, "delay drift", "loss in a loudspeaker cable", "volt drop"}
    for name in ("loss in a loudspeaker cable", "volt drop"):  # of the copper, and always the same
        assert {asked.shown["temperature_c"] for asked in every(name)} == {"20 °C"}


@pytest.mark.parametrize("topic", AIR)
def test_air_taken_at_20_degrees_is_named(topic):
    """Where another slip comes to nearly the same it is merely wrong."""
    markings = [mark(asked, f"{as_at(asked, 343.2):.6f}") for asked in every(topic)]
    assert not any(marking.good for marking in markings)
    assert sum("20 °C" in marking.slip for marking in markings) > 0.95 * len(markings)


@pytest.mark.parametrize("metres_a_second", [331.0, 331.3, 331.4])
def test_six_tenths_a_degree_is_never_refused(metres_a_second):
    for asked in every("speed of sound"):
        celsius = read(asked.shown["temperature_c"], TEMPERATURE)
        assert mark(asked, f"{metres_a_second + 0.6 * celsius:.1f} m/s").good, asked.shown


def test_a_speed_worked_by_the_straight_line_is_near_enough_elsewhere():
    """331.4 + 0.6 T is what most tables for the trade give; it is within 0.1 per cent of the curve indoors."""
    for topic in ("first gap of a comb", "wavelength", "room mode", *WITH_OFFSET):
        for asked in every(topic):
            celsius = read(asked.shown["temperature_c"], TEMPERATURE)
            assert mark(asked, f"{as_at(asked, 331.4 + 0.6 * celsius):.6f}").outcome == RIGHT, asked.shown


# numbers in another unit


@pytest.mark.parametrize("topic", ["delay for a distance", "level over distance", "down-tilt", "room mode"])
def test_feet_taken_as_metres_are_named(topic):
    met = 0
    for seed in range(90):
        asked = drawn(topic, seed, 3)
        for slip in asked.slips:
            if slip.name == "Feet taken as metres":
                met += 1
                assert any(text.endswith(" ft") for text in asked.shown.values())
    assert met > 20
    asked = next(
        a for a in (drawn("delay for a distance", n, 3) for n in range(90)) if "ft" in a.shown["distance_m"]
    )
    feet, offset = (float(asked.shown[key].split(" ")[0]) for key in ("distance_m", "offset_ms"))
    right = (asked.answer.value - offset) / in_metres(asked.shown["distance_m"])  # milliseconds a metre
    assert mark(asked, f"{right * feet + offset:.3f} ms").slip == "Feet taken as metres"


def test_degrees_fahrenheit_are_a_slip_only_where_they_are_shown():
    for topic in (*AIR[:2], "speed of sound", *WITH_OFFSET):
        for asked in every(topic):
            named = "Degrees Fahrenheit taken as Celsius" in {slip.name for slip in asked.slips}
            assert not named or "°F" in asked.shown["temperature_c"]
    assert (
        sum("Degrees Fahrenheit taken as Celsius" in {s.name for s in a.slips} for a in every("wavelength"))
        > 15
    )


# signs


@pytest.mark.parametrize("topic", ["three to one", "open microphones"])
def test_less_by_so_much_may_be_said_with_a_minus(topic):
    for asked in every(topic, range(20)):
        for typed in (f"{-asked.answer.value:.2f} dB", f"{asked.answer.value:.2f} dB less"):
            marking = mark(asked, typed)
            assert (marking.outcome, marking.slip) == (NOTED, "said as a change")
        assert mark(asked, f"{asked.answer.value:.2f} dB").outcome == RIGHT


@pytest.mark.parametrize(
    "topic",
    ["compressor", "dBu from dBV", "dBu from volts", "line-up of a converter", "loading a source",
     "loss of a passive DI", "loss in a loudspeaker cable", "gain for a microphone", "delay drift"],
)  # fmt: skip
def test_a_sign_turned_round_is_named_unless_it_is_another_slip_as_well(topic):
    """Now and then it comes to what another mistake comes to, as with a compressor of 2:1."""
    told = [
        asked for asked in every(topic, range(40)) if abs(asked.answer.value) > 3 * asked.answer.tolerance
    ]
    named = [asked for asked in told if mark(asked, f"{-asked.answer.value:.6f}").outcome == SLIP]
    assert len(named) > 0.85 * len(told) > 80


# exposure: other schemes, by the rule as each prints it (hours, criterion, exchange rate)

SCHEMES = {  # Directive 2003/10/EC, article 3; NIOSH 98-126, 1.1; 29 CFR 1910.95, Table G-16
    "EU upper action": (85, 3), "EU lower action": (80, 3), "NIOSH": (85, 3), "OSHA compliance": (90, 5),
}  # fmt: skip


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_sum_of_another_scheme_is_named(scheme):
    criterion, exchange = SCHEMES[scheme]
    asked_of_it = [asked for asked in every("time at a level") if asked.shown["scheme"] == scheme]
    assert len(asked_of_it) > 10
    for asked in asked_of_it:
        level = float(asked.shown["exposure_dba"].split(" ")[0])
        assert asked.answer.value == pytest.approx(8 / 2 ** ((level - criterion) / exchange))
        for start, step in {(start, step) for start in (80, 85, 90) for step in (3, 5)}:
            hours = 8 / 2 ** ((level - start) / step)
            if (start == criterion) + (step == exchange) != 1 or abs(hours / asked.answer.value - 1) < 0.05:
                continue  # not one figure of another scheme, or no other time
            others = [slip for slip in asked.slips if abs(slip.values[0] / hours - 1) < 0.05]
            if others:
                assert mark(asked, f"{60 * hours:.4f} min").outcome == SLIP
    slips = {slip.name for asked in asked_of_it for slip in asked.slips}
    assert "The other exchange rate" in slips
    assert len([name for name in slips if name.startswith("Counted from")]) == 2


# one fader beside the nearest

NOMINAL_HZ = (  # ISO 266, the preferred frequencies of third-octaves
    40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000,
    6300, 8000, 10_000,
)  # fmt: skip


def test_a_fader_beside_the_nearest_is_named():
    met = set()
    for asked in every("nearest third-octave"):
        at = min(range(len(NOMINAL_HZ)), key=lambda n: abs(NOMINAL_HZ[n] - asked.answer.value))
        for other, name in ((at + 1, "One fader too high"), (at - 1, "One fader too low")):
            marking = mark(asked, f"{NOMINAL_HZ[other]} Hz")
            assert (marking.outcome, marking.slip) == (SLIP, name)
            met.add(name)
    assert len(met) == 2


# shared mixes


def shared_wedges_split(asked):
    """Widths of the mixes of somebody who gives each of those who share wedges one of their own."""
    widths = []
    for fact in asked.facts:
        if reading.is_monitor(fact):
            found = reading.monitor(fact)
            widths += [found.width] * (found.listeners if "between them" in fact else 1)
    return widths


def test_shared_wedges_counted_one_by_one_are_named():
    met = 0
    for asked in every("monitor mixes", range(150)):
        widths = shared_wedges_split(asked)
        typed = f"{len(widths)}, {sum(widths) + reading.effects(asked.facts)}"
        if any("wedges between them" in fact for fact in asked.facts):
            met += 1
            right = len(reading.monitors(asked.facts))
            assert len(widths) > right
            marking = mark(asked, typed)
            # one effect beside one shared wedge comes to the same count by another mistake as well
            assert marking.outcome == SLIP or typed_otherwise(asked, typed), asked.text()
    assert met > 100


def typed_otherwise(asked, typed):
    """Whether counting effects or group faders as mixes comes to these numbers too, so that neither can be named."""
    mixes, buses = asked.answer.values
    sends, groups = reading.effects(asked.facts), asked.shown["group faders"]
    others = {(mixes + sends, buses), (mixes + groups, buses + groups)}
    return tuple(int(n) for n in typed.split(", ")) in others


@pytest.mark.parametrize(
    "topic",
    [
        "monitor mixes",
        "bus pairs",
        "outputs by place",
        "equaliser channels",
        "will it fit",
        "what is short",
        "spares",
    ],
)
def test_boxes_and_people_are_told_apart_or_named_together(topic):
    names = {slip.name for asked in every(topic) for slip in asked.slips}
    assert "Shared wedges counted as a mix each" in names
    assert names & {"Boxes counted, not mixes", "An output for each box", "An equaliser for each box"}
    assert names & {
        "People counted, not mixes",
        "An output for each listener",
        "An equaliser for each listener",
    }


# people, places, things


def people_of_the_course():
    found = set()
    for file in sorted((workbook_path() / "exercises" / "gigs").glob("*.toml")):
        gig = tomllib.loads(file.read_text(encoding="utf-8"))
        found |= {each["name"] for each in gig.get("crew", {}).get("people", [])}
        found |= {each["name"] for each in gig.get("performer", [])}
    return found


def test_nobody_of_the_course_turns_up_in_a_problem():
    assert len(people_of_the_course()) > 40
    assert not people_of_the_course() & set(PEOPLE)
    assert len(set(PEOPLE)) == len(PEOPLE) > 25


@pytest.mark.thorough
@pytest.mark.parametrize("topic", [name for name in TOPICS if TOPICS[name].skill == "gig sizing"])
def test_a_name_is_of_one_person(topic):
    elsewhere = " ".join((*ACTS, *PLACES, *GROUNDS))
    assert not [name for name in PEOPLE if re.search(rf"\b{name}\b", elsewhere)]
    for asked in every(topic):
        players = [p["name"] for p in (asked.shown.get("gig") or {}).get("performers", ())]
        assert len(set(players)) == len(players)


def test_rooms_have_a_roof_and_open_air_has_none():
    assert not set(PLACES) & set(GROUNDS)
    outside = (
        *WITH_OFFSET,
        "level over distance",
        "level from a box",
        "speed of sound",
        "delay drift",
        "generator",
    )
    for name in SUMS:
        for asked in every(name, range(12)):
            under_the_sky = [ground for ground in GROUNDS if ground in asked.scene]
            if name in outside:
                assert under_the_sky, asked.scene
                assert (
                    not [place for place in PLACES if place in asked.scene.replace(*under_the_sky, "")]
                    or name
                )
            else:
                assert not under_the_sky, asked.scene


def test_the_four_distances_make_a_room():
    """Talker, loudspeaker and listener: no side of a triangle is longer than the other two together."""
    for asked in every("gain before feedback"):
        speaker, listener, between = (
            read(asked.shown[key], DISTANCE)
            for key in ("microphone_to_speaker_m", "talker_to_listener_m", "speaker_to_listener_m")
        )
        mouth = read(asked.shown["talker_to_microphone_m"], DISTANCE)
        assert listener <= speaker + between + mouth
        assert between <= speaker + listener + mouth
        assert speaker <= between + listener + mouth


def test_nobody_is_asked_to_load_a_cable_past_what_it_may_carry():
    """13 A through 1.5 mm² of flexible cable is the usual ceiling of a plug top: common practice, no source."""
    for asked in every("volt drop"):
        assert float(asked.shown["current_a"].split(" ")[0]) <= 13


@pytest.mark.parametrize(
    ("topic", "least", "most"),
    [
        ("power for a level", 5, 10_000), ("current of a load", 1, 45), ("reverberation time", 0.3, 3.5),
        ("critical distance", 1, 20), ("volt drop", 0.1, 25), ("open microphones", 3, 14),
        ("setting a delay loudspeaker", 20, 330), ("gain for a microphone", 0, 70), ("latency of a chain", 0.5, 30),
    ],
)  # fmt: skip
def test_values_are_such_as_one_meets(topic, least, most):
    for asked in every(topic):
        assert least <= asked.answer.value <= most, asked.shown


# what a slip is called


def test_a_return_is_said_to_have_a_place_of_its_own_only_where_it_has():
    for asked in every("sockets and channels"):
        named = {slip.name for slip in asked.slips}
        if "comes back on one channel" in asked.scene:
            assert "Effects returns counted though they have a place of their own" not in named
        else:
            assert "Two channels counted for a return that takes one" not in named


def test_a_dotted_eighth_is_spoken_of_where_one_is_asked_for():
    for asked in every("echo in time with the music"):
        named = {slip.name for slip in asked.slips}
        assert "1 beats" not in asked.text()
        assert ("Dotted eighth taken for a dotted quarter" in named) <= (asked.shown["beats"] == "0.75 beats")


def test_products_of_three_carriers_are_not_those_of_two():
    named = 0
    for asked in every("radio intermodulation"):
        carriers = [float(text.split(" ")[0]) for text in asked.shown.values()]
        two = [2 * a - b for a in carriers for b in carriers if a != b]
        three = [a + b - c for a in carriers for b in carriers for c in carriers if len({a, b, c}) == 3]
        near = min(abs(product - carrier) for product in two + three for carrier in carriers)
        assert asked.answer.value == pytest.approx(near, abs=1e-6)
        spacing = min(b - a for a, b in pairwise(sorted(carriers)))
        marking = mark(asked, f"{spacing:.3f} MHz")
        assert not marking.good or near == pytest.approx(spacing, abs=0.051)
        named += marking.slip == "Distance between two carriers"
    assert named > 60


# what is asked for


@pytest.mark.parametrize("topic", TOPICS)
def test_what_to_type_is_the_same_for_every_seed_of_a_level(topic):
    for level in LEVELS:
        assert len({drawn(topic, seed, level).wanted for seed in range(30)}) == 1


@pytest.mark.parametrize("topic", SUMS)
def test_no_hint_holds_the_answer(topic):
    """A number in a hint is one that always holds; it must never be what is asked for."""
    for asked in every(topic):
        part = asked.answer.parts[0]
        answer = re.escape(part.show(part.value).split(" ")[0])
        told = re.compile(rf"(?<![\w.]){answer} ?{re.escape(part.typed_in[:2])}")
        for hint in (asked.nudge, *(slip.hint for slip in asked.slips)):
            assert not told.search(hint) or not part.value, (asked.shown, hint)
