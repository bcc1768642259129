"""A patch with one line in it that cannot work, or none: every socket, bus and tap of a small show read as a judge does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from gigsums.gig import Desk, Gig, Line, Source
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, MixBuses, Outputs
from gigsums.sizing import Place

from .. import monitors, stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..story import monitor_facts
from ..topic import Topic
from ..wording import listed

NOTHING, TWICE, KIND, PAIR, TAP, ABSENT = FAULTS = (
    "nothing",
    "socket twice",
    "wrong kind of socket",
    "not a pair",
    "wrong tap",
    "no such socket",
)
MIC, LINE, STEREO = "mic input", "line input", "stereo input"
SAID = {MIC: "microphone input", LINE: "line input", STEREO: "stereo input", "bus": "bus", "output": "output"}
PLURAL = {"bus": "buses"}
TAPS = {"pre": "before the fader", "post": "after the fader"}
TOLD = {
    NOTHING: "every line can stay as it is",
    TWICE: "two lines end in one socket; move the later one",
    KIND: "that socket is not made for what is plugged into it",
    PAIR: "left and right take an odd bus with the next even one",
    TAP: "monitors are taken before the fader, effects after it",
    ABSENT: "the desk has no socket of that number",
}


@dataclass(frozen=True)
class Row:
    """One line of the patch: what it is, and everything it sits on."""

    item: str
    label: str
    places: tuple[Place, ...]

    def numbers(self, on: str) -> tuple[int, ...]:
        """The numbers it has of one kind."""
        return tuple(place.number for place in self.places if place.on == on)

    def told(self) -> str:
        """The line as it stands in the patch."""
        pieces = []
        for on in SAID:
            numbers = self.numbers(on)
            if not numbers:
                continue
            word = SAID[on] if len(numbers) == 1 else PLURAL.get(on, SAID[on] + "s")
            tap = next((f" {TAPS[place.tap]}" for place in self.places if place.on == on and place.tap), "")
            pieces.append(f"{word} {listed([str(n) for n in numbers])}{tap}")
        return f"{self.label}: {', '.join(pieces)}"


def patch(gig: Gig) -> tuple[tuple[Row, ...], Desk]:
    """A patch in which everything is right, and a desk with a little to spare."""
    next_of = dict.fromkeys(SAID, 1)

    def take(item: str, on: str, number: int, tap: str = "") -> tuple[Place, ...]:
        first = next_of[on]
        next_of[on] += number
        at = "stage" if on in (MIC, "output") else "desk"
        return tuple(Place(item, on, at, first + n, tap) for n in range(number))

    rows = []
    for item, source in gig.sources:
        on = MIC if source.at_mic_level else STEREO if source.stereo else LINE
        rows.append(Row(item, _label(source), take(item, on, 1 if on == STEREO else source.channels)))
    rows.append(Row("mains", "Mains, left and right", take("mains", "output", 2)))
    for mix, fact in sorted(
        zip(gig.mixes, monitor_facts(gig), strict=True), key=lambda each: not each[0].is_stereo
    ):
        item = f"mix.{mix.name}"
        held = (*take(item, "bus", mix.width, "pre"), *take(item, "output", mix.width))
        rows.append(Row(item, fact.replace(":", ",", 1), held))
    rows += [
        Row(
            f"effect.{effect.name}",
            f"{effect.name}, made inside the desk",
            take(f"effect.{effect.name}", "bus", 1, "post"),
        )
        for effect in gig.effects
    ]
    return tuple(rows), desk_with({on: number - 1 for on, number in next_of.items()})


def desk_with(used: dict[str, int]) -> Desk:
    """A desk with that many in use and a few more of each; the buses end on a pair that is free."""
    buses = used["bus"] + used["bus"] % 2 + 4
    return Desk(
        AboutDesk("the house desk", "digital", channels=96, talkback="own input"),
        (
            Inputs("stage", mic=used[MIC] + 3),
            Inputs("desk", line=used[LINE] + 2, stereo=used[STEREO] + 1),
        ),
        (Outputs("stage", line=used["output"] + 2),),
        (MixBuses(buses),),
        effects=DeskEffects(8, send="takes a bus", returns="dedicated"),
    )


def units(gig: Gig, desk: Desk) -> tuple[Place, ...]:
    """The effects units, which the patch does not list."""
    return tuple(
        Place(f"effect.{e.name}", "effects unit", "desk", n) for n, e in enumerate(gig.effects, start=1)
    )


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    evening, opening = stages.draw_evening(draw)
    players = stages.with_sources(draw, level, stages.draw_players(draw, min(level, 2)))
    mixes = tuple(mix for mix in monitors.draw_monitors(draw, min(level, 2), players) if not mix.sub_send)
    kind = draw.pick(FAULTS)
    if kind == PAIR and not any(mix.is_stereo for mix in mixes):
        mixes = (replace(mixes[0], through="in-ears", stereo=True, boxes=1), *mixes[1:])
    gig = Gig(
        evening,
        performers=tuple(replace(p, sources=tuple(_on_the_stage(s) for s in p.sources)) for p in players),
        lines=tuple(_near(line) for line in stages.draw_lines(draw, level)),
        mixes=mixes,
        effects=monitors.draw_effects(draw, min(level, 2)),
    )
    rows, desk = patch(gig)
    rows, wrong, also = spoil(draw, rows, desk, kind)
    kind = kind if wrong else NOTHING
    stage, here = desk.inputs
    return Draft(
        shown={"gig": gig, "desk": desk, "patch": rows},
        scene=f"{opening} The stage box has {stage.mic} microphone inputs and {desk.outputs[0].line} outputs; at the desk "
        f"are {here.line} line inputs and {here.stereo} stereo inputs. There are {len(desk.buses())} buses, each with a "
        "tap of its own; an odd one and the next even one can be linked for stereo. Each kind of socket is numbered "
        "from 1. Somebody has filled in the patch, and at most one line of it is wrong:",
        facts=tuple(f"{n}: {row.told()}" for n, row in enumerate(rows, start=1)),
        question="Which line cannot stay, and what is wrong with it? If two lines quarrel over a socket, name the later "
        "one. If all is right, type 0 and nothing.",
        answer=Answer((Part(wrong), Part(kind, choices=FAULTS, name="the fault"))),
        workings=_workings(rows, wrong, kind),
        slips=_slips(rows, wrong, kind, also),
        nudge="Go through it kind by kind: all microphone inputs, then the lines, then buses, taps and outputs.",
        caution="Mute before you move a plug: a live input that is pulled can hurt ears and loudspeakers.",
    )


def _on_the_stage(source: Source) -> Source:
    """A receiver stands at the stage box and gives microphone level."""
    return replace(source, level=None) if source.radio else source


def _near(line: Line) -> Line:
    """What comes through a DI box is plugged into the stage box, what comes at line level into the desk."""
    return replace(line, at="stage") if line.at_mic_level else line


def _label(source: Source) -> str:
    count = source.channels // source.width
    how = {"mic": "microphone", "DI": "DI"}.get(source.by, "line level")
    if source.stereo:
        return f"{source.name}, stereo, {how}"
    return f"{source.name}, {how}" if count == 1 else f"{source.name}, {count} {how}s"


def spoil(draw: Draw, rows: tuple[Row, ...], desk: Desk, kind: str) -> tuple[tuple[Row, ...], int, int]:
    """The patch with one line made wrong, that line's number, and the line it quarrels with (0 if none)."""
    if kind == NOTHING:
        return rows, 0, 0
    fits: dict[str, Callable[[Row], bool]] = {
        TWICE: lambda row: len(row.numbers(MIC)) == 1,
        KIND: lambda row: len(row.numbers(MIC)) == 1,
        PAIR: lambda row: len(row.numbers("bus")) == 2,
        TAP: lambda row: bool(row.numbers("bus")),
        ABSENT: lambda row: len(row.numbers(MIC)) == 1 or len(row.numbers("output")) == 1,
    }
    able = [n for n, row in enumerate(rows, start=1) if fits[kind](row)]
    if kind == TWICE:
        able = able[1:]
    if not able:
        return rows, 0, 0
    wrong = draw.pick(able)
    row, also = rows[wrong - 1], 0
    if kind == TWICE:
        also = draw.pick([n for n, other in enumerate(rows, start=1) if n < wrong and other.numbers(MIC)])
        row = _moved(row, MIC, (draw.pick(rows[also - 1].numbers(MIC)),))
    elif kind == KIND:
        free = desk.inputs[1].line
        row = replace(row, places=tuple(replace(p, on=LINE, at="desk", number=free) for p in row.places))
    elif kind == PAIR:
        first = len(desk.buses()) - 2
        row = _moved(row, "bus", (first, first + 1))
    elif kind == TAP:
        turned = {"pre": "post", "post": "pre"}
        row = replace(row, places=tuple(replace(p, tap=turned.get(p.tap, "")) for p in row.places))
    elif row.numbers(MIC):
        row = _moved(row, MIC, (desk.inputs[0].mic + draw.whole(1, 3),))
    else:
        row = _moved(row, "output", (desk.outputs[0].line + draw.whole(1, 3),))
    return (*rows[: wrong - 1], row, *rows[wrong:]), wrong, also


def _moved(row: Row, on: str, numbers: tuple[int, ...]) -> Row:
    left = list(numbers)
    return replace(row, places=tuple(replace(p, number=left.pop(0)) if p.on == on else p for p in row.places))


def _workings(rows: tuple[Row, ...], wrong: int, kind: str) -> tuple[str, ...]:
    seen = []
    for on, word in SAID.items():
        numbers = sorted(n for row in rows for n in row.numbers(on))
        if numbers:
            seen.append(f"{PLURAL.get(on, word + 's').capitalize()} in use - {', '.join(map(str, numbers))}")
    line = (
        f"In line {wrong} stands - {rows[wrong - 1].told()}"
        if wrong
        else "Nothing is used twice, missing or crooked"
    )
    return (*seen, line, f"Line: {wrong}. {kind}: {TOLD[kind]}.")


def _slips(rows: tuple[Row, ...], wrong: int, kind: str, also: int) -> tuple[Slip, ...]:
    def first(fits: Callable[[Row], bool]) -> int:
        return next((n for n, row in enumerate(rows, start=1) if n != wrong and fits(row)), 0)

    found = [
        (
            "A mono mix taken for half a pair",
            (first(lambda row: len(row.numbers("bus")) == 1 and row.numbers("bus")[0] % 2 == 0), PAIR),
            "Only left and right need a pair. Is that line stereo?",
        ),
        (
            "The same number of another kind of socket taken for the same socket",
            (first(lambda row: bool(row.numbers(LINE) or row.numbers(STEREO))), TWICE),
            "Each kind is counted from 1. Are these two the same kind of socket?",
        ),
        (
            "An effect after the fader taken for a mistake",
            (first(lambda row: row.item.startswith("effect")), TAP),
            "Should the reverb go when the voice goes?",
        ),
        (
            "A monitor before the fader taken for a mistake",
            (first(lambda row: row.item.startswith("mix")), TAP),
            "Should the wedge move when the fader moves?",
        ),
        (
            "A stereo line taken for two signals in one socket",
            (first(lambda row: bool(row.numbers(STEREO))), KIND),
            "What is a stereo input made for?",
        ),
        ("The fault not seen", (0, NOTHING) if wrong else (0, ""), "Somewhere a line cannot stay."),
        ("The earlier of the two lines", (also, TWICE), "Read again which of two quarrelling lines to name."),
    ]
    if wrong and kind != ABSENT:
        found.append(
            (
                "The right line for another reason",
                (wrong, ABSENT),
                "The line is right. Is the number too high?",
            )
        )
    return tuple(
        Slip(name, values, hint) for name, values, hint in found if values[0] or values[1] == NOTHING
    )


TOPIC = Topic("find the fault", "gig sizing", 2, build, least_slips=3)
