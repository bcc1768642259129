"""Every declaration is whole: it can be worked, said, moved and marked from its data alone."""

import string

import pytest

from gigsums.catalogue import CATALOGUE, MOMENTS, Choice, find
from gigsums.catalogue.declaration import arguments
from gigsums.quantities import read, show

ALL = pytest.mark.parametrize("calculator", CATALOGUE.values(), ids=list(CATALOGUE))


@ALL
def test_at_most_three_inputs_are_in_sight_and_those_come_first(calculator):
    behind = [each.behind for each in calculator.inputs]
    assert 1 <= behind.count(False) <= 3
    assert behind == sorted(behind)


@ALL
def test_it_belongs_to_a_moment_and_says_what_to_take_care_of(calculator):
    assert calculator.moment in MOMENTS
    assert calculator.question.endswith("?")
    assert calculator.caution.endswith(".")
    assert calculator.sources


@ALL
def test_names_are_told_apart(calculator):
    names = [each.name for each in calculator.named] + list(calculator.lists)
    labels = [each.label for each in calculator.named]
    assert len(names) == len(set(names))
    assert len(labels) == len(set(labels))
    assert len({slip.name for slip in calculator.slips}) == len(calculator.slips)


@ALL
def test_what_stands_there_at_first_may_also_be_typed(calculator):
    for each in calculator.inputs:
        if isinstance(each.kind, Choice):
            assert each.default in each.kind.options
        elif each.default is not None:
            text = show(each.default, each.kind, each.unit or None)
            assert read(text, each.kind) == pytest.approx(each.default, rel=2e-3)


@ALL
def test_every_argument_of_every_formula_comes_from_somewhere(calculator):
    known = {each.name for each in calculator.inputs} | set(calculator.lists)
    for result in calculator.results:
        given = (
            set(result.fixed) | {result.takes.get(name, name) for name in arguments(result.formula)} & known
        )
        needed = {name for name, must in arguments(result.formula).items() if must}
        assert {result.takes.get(name, name) for name in needed} <= given | set(result.fixed), result.name
        assert set(result.takes) | set(result.fixed) <= set(arguments(result.formula)), result.name
        known.add(result.name)
    used = {
        result.takes.get(name, name) for result in calculator.results for name in arguments(result.formula)
    }
    used |= {name for note in calculator.notes for name in arguments(note.when)}
    for name in used & set(calculator.lists):
        used |= {part for member in calculator.lists[name] for part in member.split("*")}
    assert {each.name for each in calculator.inputs} <= used


@ALL
def test_the_line_carries_the_answer_and_every_input_in_sight(calculator):
    carried = {name for _, name, _, _ in string.Formatter().parse(calculator.line) if name}
    lists = [calculator.lists[name] for name in carried & set(calculator.lists)]
    carried |= {part for members in lists for member in members for part in member.split("*")}
    assert calculator.main.name in carried
    assert {each.name for each in calculator.inputs if not each.behind} <= carried
    said = calculator.say(calculator.work(calculator.defaults))
    assert "\n" not in said
    assert "nan" not in said


@ALL
def test_no_slip_comes_to_the_answer_at_the_values_that_stand_there_at_first(calculator):
    known = calculator.work(calculator.defaults)
    answer = known[calculator.main.name]
    unit = calculator.main.kind.base.name
    apart = 0.4 if unit.startswith("dB") else 0.6 if unit == "m/s" else 0.04 * abs(answer)
    for name, value in calculator.slip_values(known).items():
        assert abs(value - answer) > apart, name


@ALL
def test_what_else_is_said_depends_on_the_values_only(calculator):
    known = calculator.work(calculator.defaults)
    assert calculator.said_now(known) == calculator.said_now(dict(reversed(known.items())))


@pytest.mark.parametrize(
    "typed",
    ["add lev", "ADDING", "delay dist", "mic gain", "sens", "load-in", "lex", "3:1", "70 v", "GB", ""],
)
def test_a_few_letters_find_it(typed):
    assert find(typed)


def test_letters_find_nothing_that_does_not_begin_so():
    assert not find("zzz")
    assert not find("adding zzz")
    assert [each.key for each in find("adding lev")] == ["adding levels"]


def test_a_formula_that_refuses_is_quoted_in_the_words_of_the_screen():
    calculator = CATALOGUE["gain for a microphone"]
    with pytest.raises(
        ValueError, match=r"^sound at the microphone, on average is 300 dB; it may be from -50 to 200 dB"
    ):
        calculator.work(calculator.defaults | {"spl_db": 300})


def test_a_second_kind_of_loudspeaker_is_in_the_line_and_half_of_it_is_refused():
    """12 at 10 W and 4 at 20 W are 200 W, a quarter more 250 W."""
    line = CATALOGUE["constant-voltage line"]
    both = line.work(line.defaults | {"count_2": 4, "tap_2_w": 20})
    assert line.say(both) == "12 × 10 W + 4 × 20 W, × 1.25 = 250 W"
    with pytest.raises(ValueError, match="nothing is given for: Each of these tapped at"):
        line.work(line.defaults | {"count_2": 4})
    with pytest.raises(ValueError, match=r"nothing is given for: Loudspeakers$"):
        line.work({name: value for name, value in line.defaults.items() if name != "count"})


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("rf", "radio intermodulation"),
        ("howl", "gain before feedback"),
        ("throw", "level over distance"),
        ("limiter", "compressor"),
        ("genset", "generator"),
    ],
)
def test_what_people_say_finds_it(said, key):
    """Common practice, no source: the words of the trade beside the names that stand here."""
    assert said in CATALOGUE[key].words.split()


def test_a_part_of_the_day_without_its_level_is_asked_for():
    """Else the one level that is left would stand for every part."""
    given = {
        each.name: each.default for each in CATALOGUE["a day's exposure"].inputs if each.default is not None
    }
    del given["level_2_dba"]
    with pytest.raises(ValueError, match="nothing is given for: Level, second part"):
        CATALOGUE["a day's exposure"].work(given)
