"""Inputs by kind: the words shown are counted again, by reading them as a person would."""

import pytest

from gigsums.practice.wording import NUMBERS
from practice.proofs import drawn

WORD = {word: number for number, word in enumerate(NUMBERS)}


def recount(facts):
    """Microphone, mono line and stereo line inputs from the lines alone."""
    mics = lines = stereo = 0
    for fact in facts:
        subject, _, rest = fact.partition(": ")
        for piece in rest.split("; "):
            if subject == "Talkback":
                mics += "input of its own" not in piece and "not wanted" not in piece
            elif "set to line level" in piece or piece.endswith("mono, at line level"):
                lines += 1
            elif piece.endswith("stereo, at line level"):
                stereo += 1
            elif "stereo pair" in piece or "in stereo through DI" in piece:
                mics += 2
            elif "through a DI" in piece or "radio microphone" in piece:
                mics += 1
            else:
                words = piece.rpartition(", ")[2].split()
                assert words[1] in ("microphone", "microphones"), piece
                mics += WORD[words[0]]
    return mics, lines, stereo


@pytest.mark.parametrize("level", [1, 2, 3])
def test_the_lines_as_read_give_the_answer(level):
    for seed in range(120):
        asked = drawn("inputs by kind", seed, level)
        assert recount(asked.facts) == asked.answer.values, asked.text()


def swapped(facts, old, new):
    return tuple(fact.replace(old, new) for fact in facts)


MISREAD = {
    "DI boxes taken for lines": lambda f: swapped(
        swapped(f, "in stereo through DI boxes", "stereo, at line level"), "through a DI box", "its receiver set to line level"
    ),
    "A set of microphones counted as one": lambda f: tuple(
        fact if "stereo pair" not in fact and "microphones" not in fact else "; ".join(
            piece if "stereo pair" in piece else piece.replace("microphones", "microphone")
            .replace("two", "one").replace("three", "one").replace("four", "one")
            for piece in fact.split("; ")
        )
        for fact in f
    ),
    "Talkback forgotten": lambda f: f[:-1],
}  # fmt: skip


@pytest.mark.parametrize("name", MISREAD)
def test_reading_it_wrong_gives_that_slip(name):
    met = 0
    for seed in range(120):
        asked = drawn("inputs by kind", seed)
        named = {slip.name: slip.values for slip in asked.slips}
        if name in named:
            met += 1
            assert tuple(recount(MISREAD[name](asked.facts))) == named[name], asked.text()
    assert met > 15
