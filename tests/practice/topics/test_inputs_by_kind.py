"""Inputs by kind: the slips are what reading the lines wrongly comes to."""

import pytest

from gigsums.practice import mark
from practice import reading
from practice.proofs import drawn


def misread(asked, name):
    """The answer of somebody who reads the lines in that wrong way."""
    mics, lines, stereo = asked.answer.values
    found = reading.pickups(asked.facts)
    di = [p for p in found if "DI" in next(f for f in asked.facts if p.thing in f) and _through_di(asked, p)]
    return {
        "DI boxes taken for lines": (
            mics - sum(p.channels for p in di),
            lines + sum(not p.stereo for p in di),
            stereo + sum(p.stereo for p in di),
        ),
        "A set of microphones counted as one": (
            mics - sum(p.channels - 1 for p in found if not p.stereo),
            lines,
            stereo,
        ),
        "Stereo microphones and DI boxes counted as one": (
            mics - sum(p.stereo and not p.line_level for p in found),
            lines,
            stereo,
        ),
        "Talkback forgotten": (mics - 1, lines, stereo),
        "Stereo lines counted as two inputs each": (mics, lines, 2 * stereo),
        "Stereo lines put into microphone inputs": (mics + 2 * stereo, lines, 0),
    }[name]


def _through_di(asked, source):
    pieces = [piece for fact in asked.facts for piece in fact.partition(": ")[2].split("; ")]
    alone = [f"{source.thing}, {how}" for how in ("mono through a DI box", "stereo through DI boxes")]
    return (
        any(piece in alone for piece in pieces) or f"{source.thing}: stereo through DI boxes" in asked.facts
    )


@pytest.mark.parametrize(
    "name",
    [
        "DI boxes taken for lines",
        "A set of microphones counted as one",
        "Stereo microphones and DI boxes counted as one",
        "Talkback forgotten",
        "Stereo lines counted as two inputs each",
        "Stereo lines put into microphone inputs",
    ],
)
def test_reading_it_wrong_gives_that_slip(name):
    met = 0
    for seed in range(120):
        asked = drawn("inputs by kind", seed)
        named = {slip.name: slip.values for slip in asked.slips}
        if name in named:
            met += 1
            wrong = misread(asked, name)
            assert named[name] == wrong, asked.text()
            assert mark(asked, ", ".join(map(str, wrong))).slip == name
    assert met > 15
