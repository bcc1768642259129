"""A calculator being used, without a screen."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gigsums.catalogue import CATALOGUE, Choice
from gigsums.quantities import Kind
from gigsums.views import Form

DELAY = "delay for a distance"


def test_it_starts_with_an_answer():
    form = Form(DELAY)
    assert form.line == "25 m at 20 °C + 10 ms = 82.8 ms"
    assert (form.answer.label, form.answer.number, form.answer.unit) == ("Delay to set", "82.8", "ms")
    assert not form.old
    assert form.errors == {}


def test_a_key_that_nobody_declared_names_those_there_are():
    with pytest.raises(
        ValueError, match=r"no calculator is called 'delay'; these are: .*delay for a distance"
    ):
        Form("delay")


@pytest.mark.parametrize(
    "what", [{"texts": {"height": "2"}}, {"units": {"height": "m"}}, {"nudges": {"height": 1}}]
)
def test_a_field_that_is_not_there_is_refused_and_nothing_changes(what):
    form = Form(DELAY)
    with pytest.raises(
        ValueError, match="has no input 'height'; these are: distance_m, temperature_c, offset_ms"
    ):
        form.fill(**({"texts": {"distance_m": "99"}} | what))
    assert form.texts["distance_m"] == "25"


def test_a_unit_that_is_not_there_is_refused_and_nothing_changes():
    form = Form(DELAY)
    with pytest.raises(ValueError, match="'kg' is not a unit of distance"):
        form.fill(texts={"temperature_c": "30"}, units={"distance_m": "kg"})
    assert form.texts["temperature_c"] == "20"


def test_changing_the_unit_converts_what_is_there_and_leaves_the_answer():
    form = Form(DELAY)
    form.use("distance_m", "ft")
    assert form.texts["distance_m"] == "82.02"
    assert form.answer.number == "82.8"
    assert form.line == "82.02 ft at 20 °C + 10 ms = 82.8 ms"
    form.use("temperature_c", "°F")
    assert form.texts["temperature_c"] == "68"


def test_changing_it_back_brings_back_exactly_what_was_typed():
    form = Form(DELAY)
    form.type("distance_m", "33,333")
    before = form.values["set_ms"]
    for _ in range(20):
        form.use("distance_m", "ft")
        form.use("distance_m", "m")
    assert form.texts["distance_m"] == "33,333"
    assert form.values["set_ms"] == before


def test_a_number_is_in_the_unit_chosen_and_a_unit_that_is_typed_wins():
    form = Form(DELAY)
    form.use("distance_m", "ft")
    form.type("distance_m", "59")
    assert form.values["distance_m"] == pytest.approx(59 * 0.3048)
    form.type("distance_m", "18 m")
    assert form.values["distance_m"] == 18
    assert form.texts["distance_m"] == "18 m"


def test_a_decimal_comma_that_is_typed_comes_back_in_the_answer():
    form = Form(DELAY)
    form.type("distance_m", "18,5")
    assert form.line == "18,5 m at 20 °C + 10 ms = 63,9 ms"
    form.type("distance_m", "18.5")
    assert form.line == "18.5 m at 20 °C + 10 ms = 63.9 ms"


@pytest.mark.parametrize("typed", ["", "far", "-3", "9999", "12 ms", "1.2.3", "1,2.3", "nan", "9" * 10_000])
def test_what_cannot_be_read_stays_and_the_last_good_answer_is_old(typed):
    form = Form(DELAY)
    good = form.answer
    form.type("distance_m", typed)
    assert form.texts["distance_m"] == typed
    assert form.old
    assert form.answer is good
    assert form.line.startswith("old answer: 25 m at 20 °C + 10 ms = 82.8 ms (Distance: ")
    assert "from 0.01 to 300 m" in form.errors["distance_m"]
    form.type("temperature_c", "30")
    assert form.answer is good
    form.type("distance_m", "25")
    assert not form.old
    assert form.line == "25 m at 30 °C + 10 ms = 81.6 ms"


def test_a_range_is_said_in_the_unit_chosen():
    form = Form(DELAY)
    form.use("temperature_c", "°F")
    form.type("temperature_c", "200")
    assert form.errors["temperature_c"].endswith("from −4 to 122 °F")
    form.use("temperature_c", "°C")
    assert form.errors["temperature_c"].endswith("from −20 to 50 °C")
    assert form.texts["temperature_c"] == "200"


def test_a_change_of_unit_can_make_sense_of_what_is_there():
    form = Form(DELAY)
    form.type("distance_m", "800")
    assert form.old
    form.use("distance_m", "ft")
    assert not form.old
    assert form.values["distance_m"] == pytest.approx(243.84)


def test_nudges_go_to_round_values_in_the_unit_chosen():
    form = Form(DELAY)
    form.nudge("distance_m", 3)
    assert form.texts["distance_m"] == "28"
    form.use("distance_m", "ft")
    form.nudge("distance_m", -1)
    assert form.texts["distance_m"] == "91"
    form.type("distance_m", "nowhere")
    form.nudge("distance_m")
    assert form.texts["distance_m"] == "nowhere"


def test_an_empty_field_that_may_stay_empty_starts_where_the_one_before_it_stands():
    form = Form("adding levels")
    form.type("level_3_db", "")
    assert not form.old
    assert form.line == "90 dB + 90 dB = 93 dB"
    form.nudge("level_4_db")
    assert form.texts["level_4_db"] == "90"
    assert form.line == "90 dB + 90 dB + 90 dB = 94.8 dB"


def test_a_field_that_may_stay_empty_is_not_taken_for_empty_when_it_cannot_be_read():
    form = Form("adding levels")
    good = form.answer
    form.type("level_3_db", "loud")
    assert form.old
    assert form.answer is good


def test_what_a_formula_refuses_is_said_in_the_words_of_the_screen():
    form = Form("setting a delay loudspeaker")
    good = form.answer
    form.type("own_distance_m", "60")
    assert form.old
    assert form.errors == {}
    assert form.answer is good
    assert form.trouble.startswith("this one to that listener is 60 m; it may be up to")


def test_all_of_them_empty_is_no_sum():
    form = Form("adding levels")
    good = form.answer
    form.fill(texts=dict.fromkeys(form.texts, ""))
    assert form.old
    assert form.trouble
    assert form.answer is good
    assert form.trouble in form.line


def test_slips_that_come_to_the_answer_or_to_each_other_are_left_out():
    form = Form("adding levels")
    form.fill(texts={"level_2_db": "", "level_3_db": ""})
    assert form.line == "90 dB = 90 dB"
    assert form.answer.slips == ()
    assert form.answer.notes == ("One source is no sum.",)


def test_a_slip_that_nobody_makes_with_these_values_is_left_out():
    """0.75 of a beat is a dotted eighth, which may be taken for a dotted quarter; 1.5 is one."""
    form = Form("echo in time with the music")
    quarter = "dotted eighth taken for a dotted quarter"
    assert quarter in [name for name, _, _ in form.answer.slips]
    form.type("beats", "1.5")
    assert form.line == "96 BPM, 1.5 beats = 937.5 ms"
    assert quarter not in [name for name, _, _ in form.answer.slips]


def test_the_other_results_are_said_too():
    assert Form("gain for a microphone").answer.rest == (
        ("At the socket", "−35.7 dBu"),
        ("Room for peaks", "18 dB"),
        ("Its own noise", "−130.9 dBu"),
    )


@given(st.data())
def test_whatever_is_done_there_is_an_answer_and_it_is_new_only_if_all_can_be_read(data):
    calculator = data.draw(st.sampled_from(list(CATALOGUE.values())))
    form = Form(calculator)
    typed = st.one_of(
        st.text(max_size=12), st.sampled_from(["0", "1", "1,5", "12 ft", "-40", "1e9", "", "300"])
    )
    for _ in range(data.draw(st.integers(1, 6))):
        given = data.draw(st.sampled_from(calculator.inputs))
        doing = data.draw(st.sampled_from(["type", "use", "nudge"]))
        if doing == "type":
            form.type(given.name, data.draw(typed))
        elif doing == "use" and isinstance(given.kind, Kind):
            form.use(given.name, data.draw(st.sampled_from([unit.name for unit in given.kind.units])))
        elif doing == "nudge" and not isinstance(given.kind, Choice):
            form.nudge(given.name, data.draw(st.integers(-12, 12)))
        assert form.answer.line
        assert "nan" not in form.answer.line
        assert form.line.startswith("old answer: ") == form.old
        if not form.old:
            given_now = {name: form.values[name] for name in form.texts if name in form.values}
            assert calculator.work(given_now)[calculator.main.name] == form.values[calculator.main.name]
