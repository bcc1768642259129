"""What every topic must hold for every seed; run on a few seeds at once and on a thousand in the thorough tier."""

from __future__ import annotations

import json
import math
import re
from functools import cache

from gigsums.practice import TOPICS, mark, problem
from gigsums.quantities import convert

NUMBER = re.compile(r"[−-]?\d+(?:\.\d+)?")


@cache
def drawn(topic: str, seed: int, level: int | None = None):
    """The problem, drawn once for all the tests."""
    return problem(topic, seed, level)


def prove(topic: str, seed: int) -> None:
    """Every property that needs no knowledge of the topic; raises AssertionError."""
    asked = drawn(topic, seed)
    answer = asked.answer
    assert all(isinstance(v, str) or math.isfinite(v) for v in answer.values)
    assert all(
        v >= 0
        for part, v in zip(answer.parts, answer.values, strict=True)
        if part.kind is None and isinstance(v, int)
    )
    assert mark(asked, str(answer)).outcome == "right", "the answer as printed is right"
    assert len(asked.slips) >= min(1, TOPICS[topic].least_slips)
    assert len({slip.name for slip in asked.slips}) == len(asked.slips)
    for slip in asked.slips:
        marking = mark(asked, in_full(answer, slip.values))
        assert (marking.outcome, marking.slip) == ("named slip", slip.name), f"{slip} is marked {marking}"
    for note in asked.notes:
        assert mark(asked, in_full(answer, note.values)).good
    assert_workings_end_at(asked)
    assert not mark(asked, "").good
    json.dumps(asked.shown, allow_nan=False)


def in_full(answer, values) -> str:
    """Values as somebody types them who keeps ten figures."""
    if not answer.parts[0].kind:
        return answer.show(values)
    part, value = answer.parts[0], values[0]
    figures = convert(value, part.kind, to=part.given_in or None)
    return f"{figures:.{max(0, 9 - math.floor(math.log10(abs(figures) or 1)))}f} {part.typed_in}"


def assert_workings_end_at(asked) -> None:
    """Each part of the answer is what a line of the workings opens with ("Buses: 6. ...") or what the last ends at."""
    assert asked.workings
    reached = [n for line in asked.workings for n in re.findall(rf"^[^:]+: ({NUMBER.pattern})", line)]
    reached += NUMBER.findall(asked.workings[-1])[-1:]
    for part in asked.answer.parts:
        if isinstance(part.value, str):
            assert part.value in asked.workings[-1]
        else:
            assert NUMBER.findall(part.show(part.value))[0] in reached, f"{part.value} is not among {reached}"
