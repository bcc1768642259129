"""How people misread a gig: what they take it for, what the slip is called, and what to look at again.

A misreading is a gig in the place of the gig. Whatever is counted, by a topic or by a whole gig, is counted on both by the
same sum, so that a slip is what somebody who sees the gig so really comes to.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from gigsums.gig import Gig, Mix, Source

from .problems import Values

Miscount = tuple[str, Values, str]


@dataclass(frozen=True)
class Misreading:
    """One way to misread a gig.

    Attributes
    ----------
    name : str
        What the slip is called.
    hint : str
        What is asked of whoever made it.
    truth : str
        How it is in truth, as whole gigs say it; empty where they do not look for it.
    seen : callable
        The gig as they see it.
    """

    name: str
    hint: str
    truth: str
    seen: Callable[[Gig], Gig]

    def slip(self, gig: Gig, count: Callable[[Gig], Any], hint: str = "", name: str = "") -> Miscount:
        """Name, what it comes to by `count`, and hint; a question that counts something else has its own words."""
        return name or self.name, count(self.seen(gig)), hint or self.hint


def with_each_source(gig: Gig, **change: Callable[[Source], Any]) -> Gig:
    """The gig as somebody else would see it: in every source the fields named are worked out anew."""

    def changed(source: Source) -> dict[str, Any]:
        return {field: work(source) for field, work in change.items()}

    players = tuple(
        replace(p, sources=tuple(replace(s, **changed(s)) for s in p.sources)) for p in gig.performers
    )
    return replace(gig, performers=players, lines=tuple(replace(s, **changed(s)) for s in gig.lines))


def _in_mono(*through: str) -> Callable[[Gig], Gig]:
    def seen(gig: Gig) -> Gig:
        return replace(
            gig,
            mixes=tuple(replace(m, stereo=False) if m.through in through else m for m in gig.mixes),
        )

    return seen


def _each(split: Callable[[Mix], list[Mix]]) -> Callable[[Gig], Gig]:
    return lambda gig: replace(gig, mixes=tuple(one for mix in gig.mixes for one in split(mix)))


def _by_box(mix: Mix) -> list[Mix]:
    """Each box a mono mix of its own."""
    single = replace(mix, stereo=False, sub_send=False, boxes=1)
    boxes = range(1, mix.boxes + 1)
    return [replace(single, name=f"{mix.name}, box {n}") for n in boxes] if mix.boxes > 1 else [mix]


def _by_head(mix: Mix) -> list[Mix]:
    """A mix of their own for everyone who shares one."""
    heads = [replace(mix, name=name, listeners=(name,), boxes=1) for name in mix.listeners]
    return heads if len(heads) > 1 else [mix]


BOXES = Misreading(
    "Boxes counted, not mixes",
    "Boxes that play the same thing are linked: look again at who has more than one box.",
    "boxes that play the same thing are one mix",
    _each(_by_box),
)
PEOPLE = Misreading(
    "People counted, not mixes",
    "Some of them share. What one mix plays, any number of people may hear.",
    "people who share a mix take one between them",
    _each(_by_head),
)
SHARED = Misreading(
    "Shared wedges counted as a mix each",
    "Those who share wedges are content with one balance. How many mixes is that, whatever the number of wedges?",
    "",
    _each(lambda mix: _by_head(mix) if mix.through == "wedge" else [mix]),
)
IN_EARS = Misreading(
    "In-ears counted as one bus each",
    "Left and right are two signals. How many buses carry them?",
    "left and right in the ears are two signals",
    _in_mono("in-ears"),
)
SIDE_FILLS = Misreading(
    "Stereo side fills counted as one bus",
    "The two side fills do not play the same here. How do they get different signals?",
    "",
    _in_mono("side fill"),
)
MONO = Misreading(
    "Every mix counted as mono",
    "Which of them play left and right apart?",
    "a stereo mix takes two",
    _in_mono("in-ears", "wedge", "side fill", "drum fill", "shaker", "cue"),
)
STEREO = Misreading(
    "Stereo sources counted as one",
    "Two cables, two channels: go through the stereo sources again.",
    "left and right are two channels",
    lambda gig: with_each_source(gig, stereo=lambda s: False),
)
DI_BOXES = Misreading(
    "DI boxes taken for lines",
    "A DI box takes a line in. What level does it give out?",
    "what comes out of a DI box is at microphone level",
    lambda gig: with_each_source(gig, level=lambda s: "line" if s.by == "DI" else s.level),
)
SETS = Misreading(
    "A set of microphones counted as one",
    "Toms, hand drums, two on an amplifier: each microphone has a cable of its own.",
    "some of these stand there more than once",
    lambda gig: with_each_source(gig, count=lambda s: 1),
)
TALKBACK = Misreading(
    "Talkback forgotten",
    "One voice in the list never sings: where is it plugged in?",
    "somebody has to speak to the stage",
    lambda gig: replace(gig, talkback=False),
)
EFFECTS = Misreading(
    "Effects sends forgotten",
    "What feeds the effects?",
    "effects have to be fed, and some come back on channels",
    lambda gig: replace(gig, effects=()),
)
ZONES = Misreading(
    "Zones taken to be linked",
    "Which of them follow the mains just as these are?",
    "zones have ways of their own",
    lambda gig: replace(gig, zones=tuple(replace(z, fed_from="mains") for z in gig.zones)),
)
FEEDS = Misreading(
    "Feeds forgotten",
    "What else leaves the desk?",
    "feeds leave by outputs too",
    lambda gig: replace(gig, feeds=()),
)
IN_A_WHOLE_GIG = BOXES, PEOPLE, IN_EARS, MONO, STEREO, DI_BOXES, SETS, TALKBACK, EFFECTS, ZONES, FEEDS
"""What a whole gig is held against, in the order in which it is looked for."""

EITHER = (
    "Boxes or people counted, not mixes",
    "What one mix plays, any number of boxes may play and any number of people may hear.",
)


def miscounts(
    gig: Gig,
    count: Callable[[Gig], Values | None],
    boxes: tuple[str, str] = (BOXES.name, BOXES.hint),
    people: tuple[str, str] = (PEOPLE.name, PEOPLE.hint),
) -> tuple[Miscount, ...]:
    """The ways of counting boxes or people for mixes: name, what it comes to by `count`, hint.

    Where two of them come to the same it is one slip, under the name that fits what is on this stage: one slip
    for shared wedges, where these are all that could be miscounted.
    """
    by_box, by_head = count(BOXES.seen(gig)), count(PEOPLE.seen(gig))
    by_wedge = count(SHARED.seen(gig)) if SHARED.seen(gig) != gig else None
    found: list[tuple[tuple[str, str], Values | None]] = [((SHARED.name, SHARED.hint), by_wedge)]
    if by_box == by_head != by_wedge:
        found.append((EITHER, by_box))
    else:
        found += [(each, came) for each, came in ((boxes, by_box), (people, by_head)) if came != by_wedge]
    return tuple((name, came, hint) for (name, hint), came in found if came is not None)
