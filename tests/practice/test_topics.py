"""Every topic, by properties that need no knowledge of it."""

from collections import Counter
from dataclasses import replace

import pytest

from gigsums.practice import TOPICS, problem
from gigsums.practice.marking import wanted
from gigsums.practice.problems import RightAnswer
from gigsums.practice.topic import LEVELS
from practice import proofs

FEW = range(40)
MANY = range(1000)


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_holds_for_a_few_seeds(topic):
    for seed in FEW:
        proofs.prove(topic, seed)


@pytest.mark.thorough
@pytest.mark.parametrize("topic", TOPICS)
def test_topic_holds_for_a_thousand_seeds(topic):
    for seed in MANY:
        proofs.prove(topic, seed)


@pytest.mark.parametrize("topic", TOPICS)
def test_slips_are_named_once_with_hints_that_are_sentences(topic):
    for seed in FEW:
        for slip in proofs.drawn(topic, seed).slips:
            assert slip.name
            assert slip.hint[0].isupper() or slip.hint[0].isdigit() or slip.hint.startswith("dB")
            assert slip.hint.rstrip()[-1] in ".?"


@pytest.mark.parametrize("topic", TOPICS)
def test_hints_cannot_give_an_answer_away(topic):
    """They are the same words whatever the answer is."""
    hints, nudges = {}, set()
    for seed in FEW:
        asked = proofs.drawn(topic, seed)
        nudges.add(asked.nudge)
        for slip in asked.slips:
            hints.setdefault(slip.name, set()).add(slip.hint)
    assert all(len(texts) == 1 for texts in hints.values())
    assert len(nudges) == 1
    assert len({values for seed in FEW for values in [proofs.drawn(topic, seed).answer.values]}) > 3


@pytest.mark.parametrize("topic", TOPICS)
def test_what_to_type_says_nothing_about_the_answer(topic):
    """The same words, the example included, for any other answer of that shape."""
    for seed in FEW:
        asked = proofs.drawn(topic, seed)
        for slip in asked.slips:
            other = zip(asked.answer.parts, slip.values, strict=True)
            assert (
                wanted(RightAnswer(tuple(replace(part, value=value) for part, value in other)))
                == asked.wanted
            )


@pytest.mark.parametrize("topic", TOPICS)
def test_seeds_and_levels_give_different_problems(topic):
    assert len({proofs.drawn(topic, seed).text() for seed in FEW}) > len(FEW) / 2
    assert len({problem(topic, 1, level).text() for level in LEVELS}) == len(LEVELS)


@pytest.mark.parametrize("topic", [name for name in TOPICS if TOPICS[name].skill == "gig sizing"])
@pytest.mark.thorough
def test_sizing_topics_have_many_answers(topic):
    answers = Counter(proofs.drawn(topic, seed).answer.values for seed in MANY)
    assert len(answers) >= 50
    verdicts = Counter(value for values in answers.elements() for value in values if isinstance(value, str))
    assert all(times >= len(MANY) / 10 for times in verdicts.values())


@pytest.mark.parametrize("topic", TOPICS)
def test_the_same_seed_gives_the_same_problem(topic):
    assert problem(topic, 3) == problem(topic, "3") == proofs.drawn(topic, 3)


def test_every_level_is_drawn():
    levels = Counter(problem("monitor mixes", seed).level for seed in range(90))
    assert set(levels) == set(LEVELS)
    assert min(levels.values()) > 15


@pytest.mark.parametrize(
    ("topic", "seed", "level", "said"),
    [
        ("monitor mixs", 1, None, "did you mean monitor mixes?"),
        ("", 1, None, "these are:"),
        (None, 1, None, "these are:"),
        ("x" * 10_000, 1, None, "these are:"),
        ("monitor mixes", 1.5, None, "seed is 1.5"),
        ("monitor mixes", 1, 4, "level is 4; it may be 1, 2 or 3"),
        ("monitor mixes", 1, True, "level is True"),
        ("monitor mixes", 1, "2", "level is '2'"),
    ],
    ids=str,
)
def test_what_cannot_be_drawn_is_refused(topic, seed, level, said):
    with pytest.raises(ValueError) as refused:  # noqa: PT011
        problem(topic, seed, level)
    assert said in str(refused.value)
    assert len(str(refused.value)) < 2000
