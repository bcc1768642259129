"""Simulated classes, honest ones and ones in which somebody copies, to see whom `copies` would name.

An honest trainee who goes wrong makes a named slip, shares a mistake that the class has in common and no slip names,
is off by a little, writes what such answers usually are, or writes the answer to another question. Most of these were
chosen to fall on other sheets' keys as often as honest mistakes could.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache

from gigsums.classes.marking import Keys, copies
from gigsums.practice import mark, problem
from gigsums.practice.marking import SLIP, WRONG

SMALL = (
    "cells for a pack", "cells for a pack", "cable for a run", "inputs by kind", "nearest third-octave", "outputs by place",
    "monitor mixes", "monitor mixes", "sockets and channels", "phantom banks",
)  # fmt: skip
"""Ten questions whose answers are few: two sheets have the same key in one question of six."""
MIXED = (
    "monitor mixes", "inputs by kind", "bus pairs", "will it fit", "outputs by place", "effects on a desk",
    "delay for a distance", "level over distance", "load on a circuit", "first gap of a comb",
)  # fmt: skip
POOL = 300
STRONG, WEAK, LOST = 0.15, 0.6, 0.95
"""How often a trainee goes wrong."""
KINDS = ("slip", "shared", "near", "usual", "elsewhere")
OFTEN = (40, 20, 15, 20, 5)


@cache
def pool(topic: str, level: int):
    """Problems to draw from."""
    return [problem(topic, f"pool {seed}", level) for seed in range(POOL)]


@cache
def marked(topic: str, level: int, at: int, text: str):
    """The values of an answer that is wrong; None if it is anything else."""
    marking = mark(pool(topic, level)[at], text)
    return marking.values if marking.outcome in (SLIP, WRONG) else None


@dataclass
class Class:
    """A class whose sheets are drawn; what each trainee wrote is gathered by `answers`."""

    topics: tuple[str, ...]
    size: int
    level: int
    draw: random.Random

    def __post_init__(self):
        self.sheets = [[self.draw.randrange(POOL) for _ in self.topics] for _ in range(self.size)]
        self.shared = [self._mistake() for _ in self.topics]

    def problem(self, sheet, q):
        return pool(self.topics[q], self.level)[self.sheets[sheet][q]]

    def _mistake(self):
        """A mistake that one of the class taught the others."""
        off, times = self.draw.choice((-2, -1, 1, 2)), self.draw.choice((0.5, 0.7, 0.9, 1.1, 1.4, 2.0))
        return lambda part: moved(part, off, times)

    def answer(self, sheet, q, wrong):
        """One honest answer, as typed."""
        asked, draw = self.problem(sheet, q), self.draw
        right = asked.answer.show()
        if draw.random() >= wrong:
            return right
        kind = draw.choices(KINDS, OFTEN)[0]
        if kind == "slip" and asked.slips:
            return asked.answer.show(draw.choice(asked.slips).values)
        if kind == "usual":
            return draw.choice(pool(self.topics[q], self.level)).answer.show()
        if kind == "elsewhere":
            return self.problem(sheet, draw.randrange(len(self.topics))).answer.show()
        if kind == "shared":
            return asked.answer.show(tuple(map(self.shared[q], asked.answer.parts)))
        off, times = draw.randint(-3, 3), draw.uniform(0.5, 1.5)
        return asked.answer.show(tuple(moved(part, off, times) for part in asked.answer.parts))

    def answers(self, wrong):
        """What everybody wrote; `wrong` says for each trainee how often that is wrong."""
        return [
            [self.answer(sheet, q, wrong[sheet]) for q in range(len(self.topics))]
            for sheet in range(self.size)
        ]

    def named(self, answers):
        """Pairs that give reason to talk."""
        keys = Keys()
        for sheet in range(self.size):
            keys.add(str(sheet), [self.problem(sheet, q).answer for q in range(len(self.topics))])
        wrong = []
        for sheet, given in enumerate(answers):
            read = [
                (q + 1, marked(self.topics[q], self.level, self.sheets[sheet][q], text))
                for q, text in enumerate(given)
            ]
            wrong.append((str(sheet), [(q, values) for q, values in read if values]))
        return {(int(each.trainee), int(each.other)) for each in copies(keys, wrong)}


def moved(part, off, times):
    """A value somewhat off."""
    if part.choices:
        return part.choices[(part.choices.index(part.value) + off) % len(part.choices)]
    return max(0, part.value + off) if part.kind is None else part.value * times


def honest(topics, size, level, lot):
    """How many pairs are named in one honest class: strong, weak, lost, or all together, in turn."""
    draw = random.Random(f"honest {size} {level} {lot}")
    of = ((STRONG,), (WEAK,), (LOST,), (STRONG, WEAK, LOST))[lot % 4]
    each = Class(topics, size, level, draw)
    return len(each.named(each.answers([draw.choice(of) for _ in range(size)])))


def copied(topics, size, level, lot, share, source_wrong=STRONG):
    """Whether a copier and the source are named, and how many others are; `share` of the answers are copied."""
    draw = random.Random(f"copied {size} {level} {lot} {share}")
    each = Class(topics, size, level, draw)
    copier, source = draw.sample(range(size), 2)
    wrong = [draw.choice((STRONG, WEAK)) for _ in range(size)]
    wrong[copier], wrong[source] = WEAK, source_wrong
    answers = each.answers(wrong)
    for q in draw.sample(range(len(topics)), round(share * len(topics))):
        answers[copier][q] = answers[source][q]
    named = each.named(answers)
    return (copier, source) in named, len(named - {(copier, source)})
