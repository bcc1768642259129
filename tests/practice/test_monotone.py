"""Marks are monotone: what passes is one interval round the answer, whatever way it is typed, with every slip outside."""

import math
import re

import pytest

from gigsums.catalogue import CATALOGUE
from gigsums.practice import TOPICS, mark
from gigsums.practice.sums import slips_of, values_of
from gigsums.quantities import convert
from practice.proofs import drawn
from practice.test_fair import AIR, WITH_OFFSET, as_at
from practice.test_sums import SUMS

LEVELS = (1, 2, 3)
SIZES = (
    "three to one",
    "open microphones",
    "phase of a delay",
)  # asked for without a sign: a minus says the same
NUMERIC = [
    name
    for name in TOPICS
    for parts in [drawn(name, 1).answer.parts]
    if any(part.kind for part in parts) or (len(parts) == 1 and not parts[0].choices)
]


def quantity(asked):
    """The part that is a number, and what is typed before it where a word is asked for too."""
    *words, part = asked.answer.parts
    return part, "".join(f"{each.value}; " for each in words)


def in_typed_unit(part, value):
    return convert(value, part.kind, to=part.given_in or None) if part.kind else value


def spellings(value, whole):
    """A number to many figures and to few: each a text."""
    if whole:
        return {str(round(value))} if value >= 0 else set()
    places = 2 - math.floor(math.log10(abs(value) or 1))
    return {f"{value:.{max(0, n)}f}" for n in (places + 3, places + 1, places, places - 1)} | {
        f"{value:.0f}",
        f"{value:.1f}",
    }


def typed_round(asked, steps):
    """Numbers as people would type them, dense round the answer and round every slip, each with whether it passes."""
    part, before = quantity(asked)
    key = in_typed_unit(part, part.value)
    reach = max(abs(in_typed_unit(part, part.value + part.tolerance) - key), 1e-3 * abs(key))
    slips = [
        in_typed_unit(part, slip.values[-1])
        for slip in asked.slips
        if slip.values[:-1] == asked.answer.values[:-1]
    ]
    notes = [in_typed_unit(part, note.values[0]) for note in asked.notes]
    near = [key + 12 * reach * n / steps for n in range(-steps, steps + 1)]
    near += [each + n * reach for each in (*slips, *notes) for n in (-1, -0.4, 0, 0.4, 1)]
    if part.kind is None:
        near = [*range(max(0, key - 5), key + 6), *slips]
    texts = {text for value in near for text in spellings(value, part.kind is None)}
    texts |= {f"{text}0" for text in texts if "." in text} | (
        {f"{text}.0" for text in texts if "." not in text} if part.kind else set()
    )
    return [(float(text), mark(asked, f"{before}{text}").good, text) for text in texts]


def told_as_asked(asked, value):
    """A number in full, and rounded to what the problem asks for."""
    step = re.search(r", to (three figures|[0-9.]+)", asked.wanted)[1]
    rounded = (
        f"{float(f'{value:.3g}'):.9f}"
        if step == "three figures"
        else f"{value:.{max(0, -math.floor(math.log10(float(step))))}f}"
    )
    return f"{value:.9f}", rounded


def sweep(topic, seed, level, steps=36):
    asked = drawn(topic, seed, level)
    part, _ = quantity(asked)
    key = in_typed_unit(part, part.value)
    told = sorted(typed_round(asked, steps))
    if topic in SIZES:
        assert all(
            mark(asked, f"{-value:.4f}").good == mark(asked, f"{value:.4f}").good for value, _, _ in told
        )
        told = [each for each in told if each[0] >= 0]
    passing = [value for value, good, _ in told if good]
    assert passing[0] <= key * (1 + 1e-4 * math.copysign(1, key)), asked.text()
    assert passing[-1] >= key * (1 - 1e-4 * math.copysign(1, key)), asked.text()
    inside = [each for each in told if passing[0] <= each[0] <= passing[-1]]
    assert all(good for _, good, _ in inside), (asked.text(), key, [each for each in inside if not each[1]])
    slips = [slip.values for slip in asked.slips]
    if topic in SUMS:
        calculator = CATALOGUE[SUMS[topic].calculator]
        known = calculator.work(values_of(calculator, asked.shown))
        known["value"] = known[calculator.main.name]
        slips += [slip.values for slip in slips_of(calculator, known, SUMS[topic].slips)]
    for values in slips:
        *words, value = values
        value = in_typed_unit(part, value)
        for number in told_as_asked(asked, value) if part.kind else (str(round(value)),):
            text = "; ".join((*words, number))
            assert not mark(asked, text).good, (asked.text(), key, text)
    if topic in AIR:
        for speed in (331.3, 340, 343.2, 344, 1000 / 3 if topic in WITH_OFFSET else 344.4):
            assert not mark(asked, f"{as_at(asked, speed):.6f}").good, (asked.text(), key, speed)


@pytest.mark.parametrize("topic", NUMERIC)
def test_what_passes_is_one_interval_without_a_slip_in_it(topic):
    sweep(topic, 1, 1 + len(topic) % 3, steps=12)


@pytest.mark.thorough
@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("topic", NUMERIC)
def test_what_passes_is_one_interval_for_many_seeds(topic, level):
    for seed in range(12):
        sweep(topic, seed, level)


@pytest.mark.parametrize("seed", range(5))
def test_units_and_spellings_of_one_value_are_marked_alike(seed):
    asked = drawn("delay for a distance", seed, 3)
    for n in range(-30, 31):
        value = asked.answer.value * (1 + n / 2000)
        texts = (
            f"{value:.2f}",
            f"{value:.2f} ms",
            f"{value:.2f}00",
            f"{value / 1000:.5f} s",
            f"{value:.2f}".replace(".", ","),
        )
        assert len({mark(asked, text).outcome for text in texts}) == 1, texts
