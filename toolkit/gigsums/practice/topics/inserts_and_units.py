"""Compressors, gates and the inserts they take on an analogue desk."""

from __future__ import annotations

from dataclasses import replace

from gigsums.gig import Desk, Gig, Performer, Source
from gigsums.gig.desk import AboutDesk, Inputs
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import processing_ledgers, routes

from .. import misread, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..story import input_facts
from ..topic import Topic

KEYS = ("compressors", "gates", "inserts")
DESK = Desk(AboutDesk("the house desk", "analogue"), (Inputs(mic=64, inserts=64),))


def ledgers(gig: Gig) -> dict[str, Ledger]:
    """The ledgers of compressors, gates and inserts, those that are needed."""
    rows = processing_ledgers(gig, DESK, routes(gig, DESK), stages.house())
    return {row.key: row for row in rows if row.key in KEYS}


def count(gig: Gig) -> tuple[int, ...]:
    """Compressors, gates, inserts."""
    found = ledgers(gig)
    return tuple(int(found[key].need) if key in found else 0 for key in KEYS)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, level))
    gig = Gig(evening, performers=_with_units(draw, level, players))
    counts = count(gig)
    found = ledgers(gig)
    return Draft(
        shown={"gig": gig},
        scene=f"{opening} The desk is analogue, with an insert on every channel and no dynamics of its own: compressors "
        "and gates stand beside it, one unit for each channel. This is what is picked up, and what is wanted on it:",
        facts=input_facts(gig),
        question="How many compressors, how many gates, and how many inserts are in use?",
        answer=Answer(tuple(Part(value, name=name) for value, name in zip(counts, KEYS, strict=True))),
        workings=tuple(
            stages.working(key, found[key].need, *found[key].reasons) if key in found else f"{key.capitalize()}: 0."
            for key in KEYS
        ),
        slips=_slips(gig),
        nudge="Count the compressors alone, then the gates alone. Then ask of each channel: is anything inserted there?",
    )  # fmt: skip


def _with_units(draw: Draw, level: int, players: tuple[Performer, ...]) -> tuple[Performer, ...]:
    def fitted(source: Source) -> Source:
        struck = source.name in ("kick", "snare", "toms")
        loud = source.by == "mic" and source.name.endswith(("hat", "amplifier", "hand drums"))
        return replace(
            source,
            compressor=draw.yes(1, 3) if "vocal" not in source.name else draw.yes(3, 4),
            gate=draw.yes(2, 3) if struck else level > 2 and loud and draw.yes(1, 3),
        )

    return tuple(replace(player, sources=tuple(map(fitted, player.sources))) for player in players)


def _slips(gig: Gig) -> tuple[Slip, ...]:
    compressors, gates, inserts = count(gig)
    sources = [source for _, source in gig.sources]

    sung = sum(s.channels for s in sources if "vocal" in s.name and s.compressor)
    wrong = (
        (
            "An insert for each unit",
            (compressors, gates, compressors + gates),
            "A channel has one insert. Can two units follow one another in it?",
        ),
        misread.STEREO.slip(gig, count, "Left and right are two channels, and these units serve one channel each.", name="Stereo given one unit"),
        misread.SETS.slip(gig, count, "Each of the microphones in a set comes down a channel of its own.", name="A set of microphones given one unit"),
        (
            "One unit for both jobs",
            (compressors, gates - (compressors + gates - inserts), inserts),
            "A gate and a compressor on one channel share the insert. Do they share the box?",
        ),
        (
            "Vocals left out",
            (compressors - sung, gates, inserts - sum(s.channels for s in sources if "vocal" in s.name and s.compressor and not s.gate)),
            "Go through the singers again.",
        ),
        (
            "Everything inserted",
            (compressors, gates, sum(s.channels for s in sources)),
            "An insert with nothing in it is not in use.",
        ),
    )  # fmt: skip
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("inserts and units", "gig sizing", 2, build, least_slips=3)
