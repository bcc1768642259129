"""What comes to a desk: inputs by kind, sockets and channels, inserts, phantom banks, tracks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, Literal

from gigsums.gig import Desk, Feed, Gig, Inputs, Outputs, Performer, Reason, Source
from gigsums.gig.desk import AboutDesk, DeskEffects, Recording
from gigsums.gig.model import Evening
from gigsums.sizing import Ledger
from gigsums.sizing.ledgers import input_ledgers, processing_ledgers

from .. import drawing, misread
from ..drawing import Draw
from ..problems import Part
from ..topic import Counting, Wrong, count_topic, draw_stage, ledgers, units, working
from ..wording import input_facts

Count = Callable[[Gig], Any]
Talkback = Literal["own input", "takes a channel", "none"]
PLUGGED: dict[Talkback, str] = {
    "own input": "Talkback: wanted, and the desk has an input of its own for it",
    "takes a channel": "Talkback: wanted, and on this desk it takes a microphone input",
    "none": "Talkback: wanted, and as the desk has none, by a microphone with a switch",
}


def _draw_kinds(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    gig = replace(draw_stage(draw, level, gig), talkback=level > 1 or draw.yes(1, 2))
    how = draw.pick(tuple(PLUGGED)) if gig.talkback else "own input"
    about = AboutDesk("the house desk", "analogue", talkback=how)
    return gig, Desk(about, (Inputs(mic=96, line=12, stereo=12),))


def _kinds_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    mics, lines, stereo = count(gig)
    talkback = int(bool(gig.talkback) and desk.about.talkback != "own input")
    receivers = sum(s.radio and not s.at_mic_level for _, s in gig.sources)
    return (
        misread.DI_BOXES.slip(gig, count),
        (
            "Stereo microphones and DI boxes counted as one",
            misread.with_each_source(gig, stereo=lambda s: s.stereo and not s.at_mic_level),
            "Left and right come down two cables. How many microphone inputs do they end in?",
        ),
        misread.SETS.slip(gig, count),
        (
            "Talkback forgotten",
            (mics - talkback, lines, stereo),
            "One voice in the list never sings: where is it plugged in?",
        ),
        (
            "Talkback given a microphone input it does not take",
            (mics + 1 - talkback, lines, stereo),
            "Read the last line of the list again: what does talkback take here, if anything?",
        ),
        (
            "Receivers at line level counted as microphones",
            (mics + receivers, lines - receivers, stereo),
            "A radio receiver can give microphone or line level: which is it set to?",
        ),
        (
            "Stereo lines counted as two inputs each",
            (mics, lines, 2 * stereo),
            "A stereo input of this desk takes left and right together.",
        ),
        (
            "Stereo lines put into microphone inputs",
            (mics + 2 * stereo, lines, 0),
            "They would work there, but the desk has inputs made for them.",
        ),
        (
            "Players counted, not what they bring",
            (len(gig.performers), lines, stereo),
            "Count cables, not people.",
        ),
    )


INPUTS_BY_KIND = Counting(
    drawn=_draw_kinds,
    shown=lambda gig, desk: {"gig": gig, "talkback": desk.about.talkback},
    scene=lambda gig, desk: (
        "The desk has three kinds of input: for microphones, for mono lines and for stereo lines. This comes to it:"
    ),
    facts=lambda gig, desk: (
        *input_facts(gig),
        PLUGGED[desk.about.talkback] if gig.talkback else "Talkback: not wanted tonight",
    ),
    question="How many inputs of each kind are taken?",
    parts=("microphone inputs", "mono line inputs", "stereo line inputs"),
    counted=(input_ledgers,),
    ledgers={
        "microphone inputs": "preamps",
        "mono line inputs": "line inputs",
        "stereo line inputs": "stereo inputs",
    },
    slips=_kinds_misread,
    nudge="Take one line at a time and ask twice: how many signals are these, and at what level do they arrive?",
)

SPOKEN: dict[Talkback, str] = {
    "own input": "talkback has an input of its own beside them",
    "takes a channel": "talkback takes a socket and a channel",
    "none": "there is no talkback, so a microphone with a switch takes a socket and a channel",
}
RETURNS: dict[Literal["dedicated", "takes two channels", "takes a channel"], str] = {
    "dedicated": "each effect comes back on a return of its own",
    "takes two channels": "each effect comes back on two channels",
    "takes a channel": "each effect comes back on one channel",
}
STEREO: dict[Literal["takes two channels", "takes one channel"], str] = {
    "takes two channels": "a stereo source takes two channels",
    "takes one channel": "a stereo source takes one channel that carries both sides",
}


def _draw_sockets(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    gig = replace(draw_stage(draw, level, gig, effects=3), talkback=True)
    stereo = draw.pick(tuple(STEREO)) if level > 2 else "takes two channels"
    ways = [way for way in RETURNS if way == "dedicated" or (way == "takes two channels") == (stereo == way)]
    returns = draw.pick(ways) if level > 1 else "takes two channels"
    about = AboutDesk("the house desk", "digital", talkback=draw.pick(tuple(SPOKEN)), stereo=stereo)
    return gig, Desk(about, (Inputs(mic=96),), effects=DeskEffects(8, send="own", returns=returns))


def _sockets_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    sockets, channels = count(gig)
    bare = count(replace(gig, effects=()))
    # no slip where leaving the returns out is the same as taking one count for the other
    alike = (sockets, sockets) if sockets != bare[1] else None

    def on(**change: Any) -> Desk:
        return replace(desk, about=replace(desk.about, **change))

    width = "takes one channel" if desk.about.stereo == "takes two channels" else "takes two channels"
    return (
        (
            "Effects returns forgotten",
            bare,
            "Reverb that nobody hears is of no use: where does each effect come back into the mix?",
        ),
        (
            "Effects returns counted though they have a place of their own"
            if desk.effects.returns == "dedicated"
            else "Two channels counted for a return that takes one",
            replace(desk, effects=replace(desk.effects, returns="takes two channels")),
            "Read again where the effects come back on this desk.",
        ),
        (
            "Effects returns counted as sockets",
            (sockets + channels - bare[1], channels),
            "These effects are inside the desk: is there a cable to plug in?",
        ),
        (
            "Channels taken to be as many as sockets",
            alike,
            "A socket is where a cable ends, a channel is what is mixed. What is mixed that has no socket, or takes "
            "fewer channels than sockets?",
        ),
        misread.STEREO.slip(
            gig,
            count,
            "Left and right come down two cables. Where do they end?",
            name="Stereo counted as one",
        ),
        (
            "Stereo channels counted the wrong way",
            on(stereo=width),
            "The sockets are right. What does a stereo source take of the channels of this desk?",
        ),
        misread.SETS.slip(gig, count),
        (
            "Talkback forgotten",
            on(talkback="own input"),
            "One voice in the list never sings: where is it plugged in?",
        ),
        (
            "Talkback counted though it has an input of its own",
            on(talkback="takes a channel"),
            "Read again what talkback takes on this desk.",
        ),
        (
            "Lines left out of the sockets",
            (sockets - sum(s.channels for _, s in gig.sources if not s.at_mic_level), channels),
            "A line needs a socket as well. Does this desk have other sockets for it?",
        ),
    )


SOCKETS_AND_CHANNELS = Counting(
    drawn=_draw_sockets,
    scene=lambda gig, desk: (
        "It is mixed on a digital desk. Its input sockets take microphones and lines alike, one signal each; "
        f"{SPOKEN[desk.about.talkback]}; {STEREO[desk.about.stereo]}. Effects are made inside: "
        f"{RETURNS[desk.effects.returns]}. This comes to it:"
    ),
    facts=lambda gig, desk: (*input_facts(gig), f"Effects, in stereo: {units(gig)}", "Talkback: wanted"),
    question="How many input sockets are taken, and how many channels?",
    parts=("sockets", "channels"),
    counted=(input_ledgers,),
    ledgers={"sockets": "preamps", "channels": "strips"},
    slips=_sockets_misread,
    nudge="Count cables for the sockets. Then go through the list again for the channels: what is heard, and does "
    "it take one or two?",
)

BESIDE = Desk(AboutDesk("the house desk", "analogue"), (Inputs(mic=64, inserts=64),))


def _draw_inserts(draw: Draw, level: int, gig: Gig) -> tuple[Gig, Desk]:
    def fitted(source: Source) -> Source:
        struck = source.name in ("kick", "snare", "toms")
        loud = source.by == "mic" and source.name.endswith(("hat", "amplifier", "hand drums"))
        return replace(
            source,
            compressor=draw.yes(1, 3) if "vocal" not in source.name else draw.yes(3, 4),
            gate=draw.yes(2, 3) if struck else level > 2 and loud and draw.yes(1, 3),
        )

    players = drawing.with_sources(draw, level, drawing.draw_players(draw, level))
    players = tuple(replace(player, sources=tuple(map(fitted, player.sources))) for player in players)
    return replace(gig, performers=players), BESIDE


def _inserts_misread(gig: Gig, desk: Desk, count: Count) -> tuple[Wrong, ...]:
    compressors, gates, inserts = count(gig)
    sources = [source for _, source in gig.sources]
    sung = [s for s in sources if "vocal" in s.name and s.compressor]
    return (
        (
            "An insert for each unit",
            (compressors, gates, compressors + gates),
            "A channel has one insert. Can two units follow one another in it?",
        ),
        misread.STEREO.slip(
            gig,
            count,
            "Left and right are two channels, and these units serve one channel each.",
            name="Stereo given one unit",
        ),
        misread.SETS.slip(
            gig,
            count,
            "Each of the microphones in a set comes down a channel of its own.",
            name="A set of microphones given one unit",
        ),
        (
            "One unit for both jobs",
            (compressors, gates - (compressors + gates - inserts), inserts),
            "A gate and a compressor on one channel share the insert. Do they share the box?",
        ),
        (
            "Vocals left out",
            (
                compressors - sum(s.channels for s in sung),
                gates,
                inserts - sum(s.channels for s in sung if not s.gate),
            ),
            "Go through the singers again.",
        ),
        (
            "Everything inserted",
            (compressors, gates, sum(s.channels for s in sources)),
            "An insert with nothing in it is not in use.",
        ),
    )


INSERTS_AND_UNITS = Counting(
    drawn=_draw_inserts,
    shown=lambda gig, desk: {"gig": gig},
    scene=lambda gig, desk: (
        "The desk is analogue, with an insert on every channel and no dynamics of its own: compressors and gates stand "
        "beside it, one unit for each channel. This is what is picked up, and what is wanted on it:"
    ),
    facts=lambda gig, desk: input_facts(gig),
    question="How many compressors, how many gates, and how many inserts are in use?",
    parts=("compressors", "gates", "inserts"),
    counted=(processing_ledgers,),
    ledgers={"compressors": "compressors", "gates": "gates", "inserts": "inserts"},
    slips=_inserts_misread,
    nudge="Count the compressors alone, then the gates alone. Then ask of each channel: is anything inserted there?",
)

Phantom = Literal["needed", "forbidden", "indifferent"]
NEEDED: Phantom = "needed"
FORBIDDEN: Phantom = "forbidden"
INDIFFERENT: Phantom = "indifferent"
KINDS: dict[Phantom, tuple[str, ...]] = {
    NEEDED: (
        "a condenser microphone",
        "an active DI",
        "an active ribbon microphone",
        "a small condenser on a clip",
    ),
    FORBIDDEN: ("an old ribbon microphone", "an unbalanced receiver", "a home-made box"),
    INDIFFERENT: ("a dynamic microphone", "a passive DI", "a dynamic microphone on a clip"),
}
WANTS = {NEEDED: "needs phantom", FORBIDDEN: "must not have phantom", INDIFFERENT: "does not mind"}
Sources = tuple[Source, ...]


@dataclass(frozen=True)
class Banked:
    """So many banks of inputs, each switched as one, and so many inputs in each."""

    size: int
    there: int

    def plugged(self, sources: Sources) -> list[tuple[int, int]]:
        """Bank by bank, how many need phantom and how many must not have it, with the sources plugged in order."""
        banks = (sources[n * self.size : (n + 1) * self.size] for n in range(self.there))
        return [(_of(NEEDED, here), _of(FORBIDDEN, here)) for here in banks]

    def full(self, sources: Sources) -> int:
        """How many banks are full of those that need phantom when they fill them together."""
        return -(-_of(NEEDED, sources) // self.size)

    def blockers(self, sources: Sources) -> int:
        """Least phantom blockers when everything may be plugged anywhere."""
        quiet = (self.there - self.full(sources)) * self.size
        return max(0, _of(FORBIDDEN, sources) - quiet)

    @property
    def desk(self) -> Desk:
        """A desk with these inputs."""
        sockets = Inputs("stage", mic=self.size * self.there, phantom="bank", bank_of=self.size)
        about = AboutDesk("the house desk", "digital", channels=96)
        return Desk(about, (sockets, Inputs("desk")), (Outputs("stage", line=4),))


def _of(phantom: Phantom, sources: Sources) -> int:
    return sum(source.phantom == phantom for source in sources)


def phantom_count(sources: Sources, banks: Banked) -> tuple[int, int, int]:
    """Banks switched on and sources in danger as plugged; blockers that are left to find after plugging anew."""
    live = [harmed for needing, harmed in banks.plugged(sources) if needing]
    return len(live), sum(live), banks.blockers(sources)


def on_one_player(sources: Sources) -> Gig:
    """The sources as a gig, for whoever counts by the ledgers."""
    return Gig(Evening("Phantom"), performers=(Performer("Stage", sources=sources),))


def draw_phantom(draw: Draw, level: int, gig: Gig | None = None) -> tuple[Sources, Banked]:
    """Sources in an order of chance, and the banks they are plugged into."""
    size = draw.pick((4, 4, 8) if level < 3 else (4, 8))
    banks = Banked(size, draw.whole(2, 3) if size == 8 else draw.whole(2 + level // 2, 3 + level))
    sockets = size * banks.there
    total = draw.whole(max(5, sockets // 2), sockets)
    harmed = draw.whole(1, min(2 + 2 * level, total - 3))
    needing = draw.whole(2, total - harmed)
    kinds = ([FORBIDDEN] * harmed + [NEEDED] * needing + [INDIFFERENT] * total)[:total]
    order = [kinds[n] for n in draw.some(range(total), total)]
    return tuple(Source(draw.pick(KINDS[kind]), "mic", phantom=kind) for kind in order), banks


def _phantom_workings(sources: Sources, banks: Banked) -> Iterable[str]:
    on, danger, least = phantom_count(sources, banks)
    size, there, full = banks.size, banks.there, banks.full(sources)
    plugged = list(enumerate(banks.plugged(sources)))
    for n, (needing, harmed) in plugged:
        yield (
            f"Inputs {n * size + 1} to {(n + 1) * size} ({needing} need it, {harmed} must not have it), "
            f"switch {'on' if needing else 'off'}"
        )
    live = tuple((f"bank {n + 1}", 1) for n, (needing, _) in plugged if needing)
    caught = tuple((f"bank {n + 1}", harmed) for n, (needing, harmed) in plugged if needing and harmed)
    yield working("switches", on, Reason("a bank with one that needs it is on", (), live, on))
    why = Reason("what must not have it in a bank that is on", (), caught, danger)
    yield working("in danger", danger, why)
    yield (
        f"Plugged anew: the {_of(NEEDED, sources)} that need it fill {full} of {there} banks, {(there - full) * size} "
        f"inputs stay without, and {_of(FORBIDDEN, sources)} must have one of those."
    )
    yield f"Blockers: {least}."


def _by_type(source: Source) -> Source:
    """As somebody sees it who goes by the type of microphone and not by what it wants."""
    if "condenser" in source.name:
        return replace(source, phantom=NEEDED)
    return replace(source, phantom=INDIFFERENT) if source.phantom == NEEDED else source


def _phantom_misread(sources: Sources, banks: Banked, count: Any) -> tuple[Wrong, ...]:
    on, danger, least = phantom_count(sources, banks)
    harmed = _of(FORBIDDEN, sources)
    return (
        (
            "A blocker for everything that is in danger now",
            (on, danger, danger),
            "You may plug it in another order first. Which bank could stay off?",
        ),
        (
            "Everything that must not have phantom counted as in danger",
            (on, harmed, least),
            "Only what sits in a bank that is on is in danger.",
        ),
        (
            "A switch for each that needs phantom",
            (_of(NEEDED, sources), danger, least),
            "One switch serves all of its bank.",
        ),
        (
            "The banks that would do, not those in use",
            (banks.full(sources), danger, least),
            "The first question is about the order as it stands.",
        ),
        ("Every switch on", (banks.there, harmed, harmed), "Is there a bank in which nobody needs it?"),
        (
            "Judged by the type of microphone",
            count(tuple(map(_by_type, sources))),
            "There are ribbons that need phantom, and boxes that do. The list says what each one wants.",
        ),
        (
            "Nothing saved by plugging anew",
            (on, danger, harmed),
            "Put everything that needs phantom together. What is left for the others?",
        ),
        (
            "No blocker after plugging anew",
            (on, danger, 0),
            "Count the inputs that stay without phantom: are there enough?",
        ),
    )


PHANTOM_BANKS = Counting(
    drawn=draw_phantom,
    shown=lambda sources, banks: {"sources": sources, "bank": banks.size, "banks": banks.there},
    scene=lambda sources, banks: (
        f"The stage box has {banks.size * banks.there} microphone inputs. Phantom is switched for {banks.size} at a time: "
        f"inputs 1 to {banks.size} have one switch, {banks.size + 1} to {2 * banks.size} the next, and so on. It is "
        "plugged in this order, one to an input, from input 1 on:"
    ),
    facts=lambda sources, banks: (
        f"{n}: {source.name}, which {WANTS[source.phantom]}" for n, source in enumerate(sources, start=1)
    ),
    question="As it is plugged, how many switches must be on, and how many things would get phantom that must not? "
    "And if everything may be plugged in another order, at the least how many blockers are still needed?",
    parts=("switches", "in danger", "blockers"),
    count=phantom_count,
    workings=_phantom_workings,
    slips=_phantom_misread,
    nudge="Draw the banks as boxes and write the numbers into them. Then mark what needs it and what must not have it.",
    caution="Mute a channel before its phantom is switched or its cable is pulled: the thump can hurt ears and "
    "loudspeakers.",
)

ENOUGH = ("enough", "too few")
SIZES = (2, 8, 12, 16, 18, 20, 24, 28, 32, 40, 48)


def _tracks(gig: Gig, have: int) -> Ledger:
    """The ledger of tracks on a desk whose recorder has so many."""
    about = AboutDesk("the house desk", "digital", talkback="own input")
    desk = Desk(about, (Inputs("desk", mic=96),), recording=Recording(have, source="channels"))
    return ledgers(gig, desk, processing_ledgers)["tracks"]


def _of_tracks(wanted: int, have: int) -> tuple[int, str, int]:
    """Tracks wanted, whether the recorder has them, and how many are left over or missing."""
    return wanted, ENOUGH[wanted > have], abs(have - wanted)


def _draw_tracks(draw: Draw, level: int, gig: Gig) -> tuple[Gig, int]:
    mains = (Feed("Mains", stereo=True, recorded=True),) if level > 1 and draw.yes(2, 3) else ()
    gig = draw_stage(draw, level, gig, effects=2)
    gig = replace(gig, feeds=(Feed("Every source", carries="each source", recorded=True), *mains))
    wanted = int(_tracks(gig, 2).need)
    return gig, draw.pick([size for size in SIZES if abs(size - wanted) <= 12] or [SIZES[-1]])


def _tracks_misread(gig: Gig, have: int, count: Count) -> tuple[Wrong, ...]:
    wanted, said, left = _of_tracks(int(_tracks(gig, have).need), have)
    again = "Read again what is not kept."
    mains = len(gig.feeds) > 1
    lines = sum(s.channels for _, s in gig.sources if not s.at_mic_level)
    return (
        misread.STEREO.slip(
            gig,
            count,
            "Left and right are kept apart, or there is no stereo at home.",
            name="Stereo counted as one",
        ),
        misread.SETS.slip(
            gig, count, "Toms, hand drums, two on an amplifier: each microphone is a source of its own."
        ),
        ("Effects returns kept as well", _of_tracks(wanted + 2 * len(gig.effects), have), again),
        ("Talkback kept as well", _of_tracks(wanted + 1, have), again),
        (
            "Lines left out",
            _of_tracks(wanted - lines, have),
            "What plays by itself is a source like any other.",
        ),
        (
            "Over taken for missing",
            (wanted, ENOUGH[said == ENOUGH[0]], left),
            "The numbers are right. Which of the two is the larger?",
        ),
        (
            "The mains kept as well",
            None if mains else _of_tracks(wanted + 2, have),
            "Read again what is kept and what is not.",
        ),
        (
            "The mains forgotten",
            replace(gig, feeds=gig.feeds[:1]) if mains else None,
            "What else is to be kept, beside every source?",
        ),
        (
            "The mains kept in mono",
            _of_tracks(wanted - 1, have) if mains else None,
            "Left and right: how many tracks is that?",
        ),
    )


def _tracks_workings(gig: Gig, have: int) -> tuple[str, ...]:
    row = _tracks(gig, have)
    wanted, said, left = _of_tracks(int(row.need), have)
    return (
        working("tracks", wanted, *row.reasons),
        f"Over or missing: {left}. {have} on the recorder, {wanted} wanted: {said}.",
    )


RECORDING_TRACKS = Counting(
    drawn=_draw_tracks,
    shown=lambda gig, have: {"gig": gig, "tracks": have},
    scene=lambda gig, have: (
        "They want to mix it again at home, so every source of this list is kept on a track of its own"
        f"{', and the mains beside them, left and right' if len(gig.feeds) > 1 else '; the mains are not kept'}. "
        "A stereo source takes two tracks; what the effects give back is not kept, nor is talkback. The recorder in the "
        f"desk has {have} tracks. This comes to it:"
    ),
    facts=lambda gig, have: (*input_facts(gig), f"Effects: {units(gig)}"),
    question="How many tracks are wanted, has the recorder enough or too few, and how many are left over or missing?",
    parts=("tracks", Part("", choices=ENOUGH, name="the recorder"), "over or missing"),
    count=lambda gig, have: _of_tracks(int(_tracks(gig, have).need), have),
    workings=_tracks_workings,
    slips=_tracks_misread,
    nudge="Go through the list once more, one track for each signal. Then see what else is kept.",
    caution="Everybody on the stage should know that it is recorded, and agree.",
)

TOPICS = (
    count_topic("inputs by kind", INPUTS_BY_KIND, least_slips=5),
    count_topic("sockets and channels", SOCKETS_AND_CHANNELS, least_slips=5),
    count_topic("inserts and units", INSERTS_AND_UNITS, least_slips=3),
    count_topic("phantom banks", PHANTOM_BANKS, least_slips=2),
    count_topic("recording tracks", RECORDING_TRACKS, least_slips=4),
)
