"""Answers that are wrong on one's own sheet and right on somebody else's: a reason to talk, never a verdict.

Why an answer is wrong plays no part, for a known slip may fall on another key as any number may. How likely that is by
chance is read from the class itself: the share of the other sheets whose key the answer fits, one at the least. An answer
that fits half of the class says next to nothing. Keys are drawn for each sheet and each question by themselves, so that
of so many wrong answers the number that fit one given sheet has a Poisson binomial distribution, whatever mistakes the
class has in common. A pair is named where at least `LEAST` fit, and where all pairs of the class together that are as
unlikely as this one, or more so, would be expected by chance in fewer than one class of a hundred (`CHANCE`).
`tests/benchmarks/bench_copies.py` tries it out on simulated classes.
"""

from __future__ import annotations

import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from gigsums.practice.problems import Answer, Part, Value, Values

LEAST = 3
CHANCE = 0.01
MOST_NAMED = 3
"""Sheets named for one trainee, those that fit best."""


@dataclass(frozen=True)
class Copy:
    """A trainee whose wrong answers fit another sheet.

    Attributes
    ----------
    trainee, other : str
        Who answered, and whose key it fits.
    questions : tuple of int
        Where it fits.
    wrong : int
        Answers that could have fitted: those that are wrong.
    expected : float
        Pairs as unlikely as this, or more so, that chance alone would show in such a class.
    """

    trainee: str
    other: str
    questions: tuple[int, ...]
    wrong: int
    expected: float


class Keys:
    """The keys of every sheet issued, by question, to look up which of them an answer fits."""

    def __init__(self, questions: int) -> None:
        self.trainees: list[str] = []
        self._questions = [_Question() for _ in range(questions)]

    def add(self, trainee: str, answers: Sequence[Answer | None]) -> None:
        """Take in one sheet; None for a question whose answer cannot be compared."""
        for question, answer in zip(self._questions, answers, strict=True):
            if answer is not None:
                question.add(len(self.trainees), answer)
        self.trainees.append(trainee)

    def fitting(self, question: int, given: Values) -> np.ndarray:
        """Numbers of the sheets whose key to a question, counted from 1, the values fit."""
        return self._questions[question - 1].fitting(given)


class _Question:
    """The keys of one question: each different one once, in order of its first part, with the sheets that have it."""

    def __init__(self) -> None:
        self._sheets: dict[Values, list[int]] = {}
        self._answers: dict[Values, Answer] = {}
        self._reach = 0.0
        self._order: list[Values] = []
        self._found: dict[Values, np.ndarray] = {}

    def add(self, sheet: int, answer: Answer) -> None:
        self._sheets.setdefault(answer.values, []).append(sheet)
        if answer.values not in self._answers:  # value and tolerance are all that is compared
            parts = (Part(part.value, absolute=part.absolute, share=part.share) for part in answer.parts)
            self._answers[answer.values] = Answer(tuple(parts))
        self._reach = max(self._reach, answer.parts[0].tolerance)
        self._order, self._found = [], {}

    def fitting(self, given: Values) -> np.ndarray:
        if given not in self._found:
            fits = [self._sheets[key] for key in self._within_reach(given[0]) if self._fits(key, given)]
            self._found[given] = np.array([sheet for each in fits for sheet in each], dtype=np.int32)
        return self._found[given]

    def _fits(self, key: Values, given: Values) -> bool:
        answer = self._answers[key]
        return len(given) == len(key) and answer.near(given, key)

    def _within_reach(self, first: Value) -> list[Values]:
        """Keys whose first part may be near enough; the rest need not be looked at."""
        if not self._order:
            self._order = sorted(self._sheets, key=_first)
        if isinstance(first, str):
            low, high = _first((first,)), _first((first,))
        else:
            reach = self._reach * (1 + 1e-6)
            low, high = _first((first - reach,)), _first((first + reach,))
        start = bisect.bisect_left(self._order, low, key=_first)
        return self._order[start : bisect.bisect_right(self._order, high, key=_first)]


def _first(key: Values) -> tuple[str, float]:
    return (key[0], 0.0) if isinstance(key[0], str) else ("", key[0])


def copies(keys: Keys, wrong: Sequence[tuple[str, Sequence[tuple[int, Values]]]]) -> list[Copy]:
    """Every pair that gives reason to talk.

    `wrong` has, for each sheet marked, the trainee and each answer that is wrong: question, values.
    """
    number = {trainee: at for at, trainee in enumerate(keys.trainees)}
    others = len(keys.trainees) - 1
    tails: list[list[float]] = []
    pairs: list[tuple[str, int, tuple[int, ...], int, float]] = []
    for trainee, answers in wrong:
        if len(answers) < LEAST or others < 1:
            continue
        fits = [each[each != number[trainee]] for each in (keys.fitting(*answer) for answer in answers)]
        tail = _tail([max(1, len(each)) / others for each in fits])
        tails.append(tail[LEAST:])
        for times, sheet in _best(fits):
            if others * tail[times] < CHANCE:  # this trainee's own share of what is expected
                where = tuple(q for (q, _), each in zip(answers, fits, strict=True) if sheet in each)
                pairs.append((trainee, sheet, where, len(answers), tail[times]))
    if not pairs:
        return []
    expected = _expected(tails, others)
    found = [
        Copy(trainee, keys.trainees[sheet], where, of, expected(p)) for trainee, sheet, where, of, p in pairs
    ]
    return [each for each in found if each.expected < CHANCE]


def _best(fits: Sequence[np.ndarray]) -> list[tuple[int, int]]:
    """How many answers fit a sheet, and its number, of the few that most answers fit."""
    sheets, times = np.unique(np.concatenate(fits), return_counts=True)
    enough = ((int(n), int(sheet)) for sheet, n in zip(sheets, times, strict=True) if n >= LEAST)
    return sorted(enough, reverse=True)[:MOST_NAMED]


def _expected(tails: Sequence[Sequence[float]], others: int) -> Callable[[float], float]:
    """How many pairs as unlikely as p, or more so, chance alone would show in the class.

    A trainee's sheet reaches only the probabilities in its tail: one who has few wrong answers can hardly be named.
    """
    reached = np.concatenate([np.asarray(tail) for tail in tails])
    steps = np.concatenate([-np.diff(tail, append=0.0) for tail in tails])
    order = np.argsort(reached)
    reached, totals = reached[order], others * np.cumsum(steps[order])
    return lambda p: float(totals[np.searchsorted(reached, p, side="right") - 1])


def _tail(chances: Sequence[float]) -> list[float]:
    """Probability of at least n successes, n = 0, 1 ...: independent trials, each with a chance of its own."""
    exactly = np.zeros(len(chances) + 1)
    exactly[0] = 1.0
    for chance in chances:
        exactly[1:] = exactly[1:] * (1 - chance) + exactly[:-1] * chance
        exactly[0] *= 1 - chance
    return [float(exactly[n:].sum()) for n in range(len(exactly))]
