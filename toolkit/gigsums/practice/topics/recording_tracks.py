"""Tracks: every source on its own, or the mains, or both; and whether the recorder has that many."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Feed, Gig
from gigsums.gig.desk import AboutDesk, Inputs, Recording
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import processing_ledgers, routes

from .. import misread, monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..story import input_facts
from ..topic import Topic
from ..wording import listed

VERDICTS = ("enough", "too few")
SIZES = (2, 8, 12, 16, 18, 20, 24, 28, 32, 40, 48)


def tracks(gig: Gig, have: int) -> Ledger:
    """The ledger of tracks on a desk whose recorder has so many."""
    desk = Desk(
        AboutDesk("the house desk", "digital", talkback="own input"),
        (Inputs("desk", mic=96),),
        recording=Recording(have, source="channels"),
    )
    rows = processing_ledgers(gig, desk, routes(gig, desk), stages.house())
    return next(row for row in rows if row.key == "tracks")


def count(gig: Gig, have: int) -> tuple[int, str, int]:
    """Tracks wanted, whether the recorder has them, and how many are left over or missing."""
    row = tracks(gig, have)
    return int(row.need), VERDICTS[row.margin < 0], int(abs(row.margin))


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    both = level > 1 and draw.yes(2, 3)
    mains = (Feed("Mains", stereo=True, recorded=True),) if both else ()
    gig = Gig(
        evening,
        performers=stages.with_sources(draw, level, stages.draw_players(draw, level)),
        lines=stages.draw_lines(draw, level),
        effects=monitors.draw_effects(draw, min(level, 2)),
        feeds=(Feed("Every source", carries="each source", recorded=True), *mains),
    )
    wanted = int(tracks(gig, 2).need)
    near = [size for size in SIZES if abs(size - wanted) <= 12] or [SIZES[-1]]
    have = draw.pick(near)
    key = count(gig, have)
    units = [effect.name.casefold() for effect in gig.effects]
    what = "every source of this list is kept on a track of its own" + (
        ", and the mains beside them, left and right" if both else "; the mains are not kept"
    )
    return Draft(
        shown={"gig": gig, "tracks": have},
        scene=f"{opening} They want to mix it again at home, so {what}. A stereo source takes two tracks; what the "
        f"effects give back is not kept, nor is talkback. The recorder in the desk has {have} tracks. This comes to it:",
        facts=(*input_facts(gig), f"Effects: {listed(units)}"),
        question="How many tracks are wanted, has the recorder enough or too few, and how many are left over or missing?",
        answer=Answer(
            (
                Part(key[0], name="tracks"),
                Part(key[1], choices=VERDICTS, name="the recorder"),
                Part(key[2], name="over or missing"),
            )
        ),
        workings=(
            stages.working("tracks", key[0], *tracks(gig, have).reasons),
            f"Over or missing: {key[2]}. {have} on the recorder, {key[0]} wanted: {key[1]}.",
        ),
        slips=_slips(gig, have, both),
        nudge="Go through the list once more, one track for each signal. Then see what else is kept.",
        caution="Everybody on the stage should know that it is recorded, and agree.",
    )


def _slips(gig: Gig, have: int, both: bool) -> tuple[Slip, ...]:
    def told(other: Gig) -> Values:
        return count(other, have)

    def with_tracks(other: int) -> tuple[int, str, int]:
        return other, VERDICTS[other > have], abs(have - other)

    wanted, said, left = count(gig, have)
    returns = 2 * len(gig.effects)
    lines = sum(s.channels for _, s in gig.sources if not s.at_mic_level)
    wrong = [
        misread.STEREO.slip(
            gig,
            told,
            "Left and right are kept apart, or there is no stereo at home.",
            name="Stereo counted as one",
        ),
        misread.SETS.slip(
            gig, told, "Toms, hand drums, two on an amplifier: each microphone is a source of its own."
        ),
        ("Effects returns kept as well", with_tracks(wanted + returns), "Read again what is not kept."),
        ("Talkback kept as well", with_tracks(wanted + 1), "Read again what is not kept."),
        ("Lines left out", with_tracks(wanted - lines), "What plays by itself is a source like any other."),
        (
            "Over taken for missing",
            (wanted, VERDICTS[said == VERDICTS[0]], left),
            "The numbers are right. Which of the two is the larger?",
        ),
    ]
    if both:
        feeds = tuple(f for f in gig.feeds if f.carries == "each source")
        wrong += [
            (
                "The mains forgotten",
                count(replace(gig, feeds=feeds), have),
                "What else is to be kept, beside every source?",
            ),
            ("The mains kept in mono", with_tracks(wanted - 1), "Left and right: how many tracks is that?"),
        ]
    else:
        wrong.append(
            ("The mains kept as well", with_tracks(wanted + 2), "Read again what is kept and what is not.")
        )
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("recording tracks", "gig sizing", 2, build, least_slips=4)
