"""Reads the lines of a problem as a person would, so that what is shown is counted without the toolkit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gigsums.practice.wording import NUMBERS

WORD = {word: number for number, word in enumerate(NUMBERS)} | {"a": 1}


@dataclass
class Monitor:
    """A monitor mix as its line tells it."""

    width: int
    boxes: int
    listeners: int


@dataclass
class Pickup:
    """Something picked up, as its piece of a line tells it."""

    thing: str
    channels: int
    cables: int
    stereo: bool
    line_level: bool
    gate: bool
    compressor: bool


def monitors(facts):
    """Every line that is about what somebody hears themselves on."""
    return [monitor(fact) for fact in facts if is_monitor(fact)]


def is_monitor(fact):
    return bool(re.search(r"wedge|in-ears|drum fill|side fill|shaker under", fact, re.IGNORECASE))


def monitor(fact):
    wide = "in stereo" in fact or "each with a send of its own" in fact
    found = re.search(r"(\w+) (?:wedges?|boxes)", fact)
    boxes = 2 if "a top and a sub" in fact else WORD.get(found[1].casefold(), 1) if found else 1
    people = fact.partition(":")[0] if "(" in fact.partition(":")[0] else ""
    return Monitor(2 if wide else 1, boxes, people.count("("))


def effects(facts):
    """How many units the line about effects names."""
    line = next(fact for fact in facts if fact.startswith("Effects"))
    return len(re.findall(r"second reverb|reverb|delay|chorus", line.partition(": ")[2]))


def pickups(facts):
    """Every source in the lines about players and about what plays by itself."""
    found = []
    for fact in facts:
        subject, _, rest = fact.partition(": ")
        if subject.startswith(("Talkback", "Effects")):
            continue
        found += [pickup(piece if "(" in subject else f"{subject}, {piece}") for piece in rest.split("; ")]
    return found


def pickup(piece):
    thing, how = piece.split(", ", 1)
    if "stereo" in how:
        stereo, cables = True, 2
    else:
        words = how.split()
        stereo, cables = False, WORD[words[0]] if words[1].startswith("microphone") else 1
    return Pickup(thing, cables, cables, stereo, "line level" in how, "a gate" in how, "a compressor" in how)
