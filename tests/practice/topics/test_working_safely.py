"""Working safely: the house's questions give nothing away, and the topic asks them as they stand."""

from collections import Counter

import pytest

from gigsums.practice import mark, problem
from gigsums.practice.safety import house_safety, questions_in

HOUSE = {each.key: each for each in questions_in(*house_safety())}
LEVELS = (1, 2, 3)


def chance(places: list[int], of: int) -> bool:
    """Whether each place comes up about as often as chance has it: never under half its share, nor over half as much again."""
    times = Counter(places)
    return all(0.5 <= times[n] * of / len(places) <= 1.5 for n in range(of))


def test_neither_length_nor_place_tells_which_choice_is_right():
    questions = [(each, sorted(each.choices, key=len)) for each in HOUSE.values()]
    assert len(questions) >= 12
    assert all(len(each.choices) == 3 and len(each.right) == 1 for each, _ in questions)
    assert chance([by_length.index(each.right[0]) for each, by_length in questions], 3)
    assert chance([each.choices.index(each.right[0]) for each, _ in questions], 3)


@pytest.mark.parametrize("kind", ["right", "wrong", "dangerous"])
def test_nor_does_the_tone(kind):
    """A second half, with the reason, stands in some of each kind; words of praise and of warning stand in none."""
    texts = [text for each in HOUSE.values() for text in getattr(each, kind)]
    assert sum(", " in text for text in texts) >= len(texts) / 3
    assert not [
        text for text in texts if any(word in text for word in ("!", "always", "safe", "danger", "careful"))
    ]


def test_what_is_dangerous_has_its_caution():
    assert not [each.key for each in HOUSE.values() if not each.dangerous or not each.caution]


def test_earth_supply_limiters_alarm_and_lifting_are_asked():
    assert {
        "hum",
        "earth pin",
        "supply",
        "test button",
        "packs",
        "alarm",
        "mute",
        "bass box",
        "worst case",
    } <= set(HOUSE)


@pytest.mark.parametrize("level", LEVELS)
def test_each_choice_is_marked_as_the_house_has_it(level):
    for seed in range(20):
        asked = problem("working safely", seed, level)
        keys, choices = asked.shown["questions"], asked.shown["choices"]
        assert len(keys) == level
        right = ["abc"[next(n for n, text in enumerate(three) if text in HOUSE[key].right)] for key, three in zip(keys, choices, strict=True)]  # fmt: skip
        assert mark(asked, "; ".join(right)).good
        for n, (key, three) in enumerate(zip(keys, choices, strict=True)):
            for letter, text in zip("abc", three, strict=True):
                marking = mark(asked, "; ".join([*right[:n], letter, *right[n + 1 :]]))
                assert marking.good == (text in HOUSE[key].right)
                assert (HOUSE[key].caution in marking.message) == (text in HOUSE[key].dangerous)


def test_the_letter_of_the_right_choice_is_left_to_chance():
    assert chance(["abc".index(problem("working safely", seed, 1).answer.value) for seed in range(60)], 3)


@pytest.mark.parametrize("typed", ["b", "B", "b)", "(b)", "answer b", "1b", " b. "])
def test_a_letter_is_read_as_people_type_it(typed):
    asked = next(
        each
        for each in (problem("working safely", seed, 1) for seed in range(30))
        if each.answer.value == "b"
    )
    assert mark(asked, typed).good
