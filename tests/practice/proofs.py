"""What every topic must hold for every seed; run on a few seeds at once and on a thousand in the thorough tier."""

from __future__ import annotations

import json
import math
import re

from gigsums.practice import TOPICS, mark, problem

NUMBER = re.compile(r"[−-]?\d+(?:\.\d+)?")


def prove(topic: str, seed: int) -> None:
    """Every property that needs no knowledge of the topic; raises AssertionError."""
    drawn = problem(topic, seed)
    assert drawn == problem(topic, seed), "the same seed gives the same problem"
    answer = drawn.answer
    assert all(isinstance(v, str) or math.isfinite(v) for v in answer.values)
    assert all(
        v >= 0
        for part, v in zip(answer.parts, answer.values, strict=True)
        if part.kind is None and isinstance(v, int)
    )
    assert mark(drawn, str(answer)).outcome == "right", "the answer as printed is right"
    assert len(drawn.slips) >= min(1, TOPICS[topic].least_slips)
    assert len({slip.name for slip in drawn.slips}) == len(drawn.slips)
    for slip in drawn.slips:
        marking = mark(drawn, answer.show(slip.values))
        assert (marking.outcome, marking.slip) == ("named slip", slip.name), f"{slip} is marked {marking}"
    for note in drawn.notes:
        assert mark(drawn, answer.show(note.values)).good
    assert_workings_end_at(drawn)
    assert_hints_keep_the_answer(drawn)
    assert not mark(drawn, "").good
    json.dumps(drawn.shown, allow_nan=False)


def assert_workings_end_at(drawn) -> None:
    """The last numbers in the workings are the answer's."""
    assert drawn.workings
    text = " ".join(drawn.workings)
    for part in drawn.answer.parts:
        if isinstance(part.value, str):
            assert part.value in text
            continue
        found = [float(n.replace("−", "-")) for n in NUMBER.findall(text)]
        assert any(part.near(n, part.value, 1) for n in found), f"{part.value} is not in {text!r}"


def assert_hints_keep_the_answer(drawn) -> None:
    """No hint, nudge or note of what to type gives the answer away."""
    shown = {n for part in drawn.answer.parts for n in NUMBER.findall(part.show(part.value))}
    for text in (*(slip.hint for slip in drawn.slips), drawn.nudge):
        given = set(NUMBER.findall(text))
        assert not given or not shown <= given, f"{text!r} gives {shown} away"
