"""Phantom switched for a whole bank of inputs: which banks are live, and what may not be plugged into them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from gigsums.gig import Desk, Gig, Performer, Reason, Source
from gigsums.gig.desk import AboutDesk, Inputs, Outputs

from .. import stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip
from ..topic import Topic

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
    FORBIDDEN: (
        "an old ribbon microphone",
        "an unbalanced receiver",
        "a home-made box",
    ),
    INDIFFERENT: ("a dynamic microphone", "a passive DI", "a dynamic microphone on a clip"),
}
WANTS = {NEEDED: "needs phantom", FORBIDDEN: "must not have phantom", INDIFFERENT: "does not mind"}


@dataclass(frozen=True)
class Bank:
    """What is plugged into one bank."""

    number: int
    needs: tuple[str, ...]
    harmed: tuple[str, ...]

    @property
    def live(self) -> bool:
        """Whether its switch has to be on."""
        return bool(self.needs)


def banks(sources: tuple[Source, ...], size: int, there: int) -> tuple[Bank, ...]:
    """The banks of the desk with the sources plugged in order."""
    found = []
    for number in range(there):
        here = sources[number * size : (number + 1) * size]
        found.append(
            Bank(
                number + 1,
                tuple(s.name for s in here if s.phantom == NEEDED),
                tuple(s.name for s in here if s.phantom == FORBIDDEN),
            )
        )
    return tuple(found)


def blockers(sources: tuple[Source, ...], size: int, there: int) -> int:
    """Least phantom blockers when everything may be plugged anywhere: those that need phantom fill banks together."""
    needing = sum(s.phantom == NEEDED for s in sources)
    harmed = sum(s.phantom == FORBIDDEN for s in sources)
    quiet = (there - -(-needing // size)) * size
    return max(0, harmed - quiet)


def count(sources: tuple[Source, ...], size: int, there: int) -> tuple[int, int, int]:
    """Banks switched on and sources in danger as plugged; blockers that are left to find after plugging anew."""
    as_plugged = banks(sources, size, there)
    danger = sum(len(bank.harmed) for bank in as_plugged if bank.live)
    return sum(bank.live for bank in as_plugged), danger, blockers(sources, size, there)


def as_gig(sources: tuple[Source, ...]) -> Gig:
    """The sources as a gig, for whoever counts by the ledgers."""
    return Gig(stages.draw_evening(Draw("phantom"))[0], performers=(Performer("Stage", sources=sources),))


def desk_with(size: int, there: int) -> Desk:
    """A desk whose inputs are switched in banks."""
    sockets = Inputs("stage", mic=size * there, phantom="bank", bank_of=size)
    return Desk(
        AboutDesk("the house desk", "digital", channels=96),
        (sockets, Inputs("desk")),
        (Outputs("stage", line=4),),
    )


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    _, opening = stages.draw_evening(draw)
    size = draw.pick((4, 4, 8) if level < 3 else (4, 8))
    there = draw.whole(2, 3) if size == 8 else draw.whole(2 + level // 2, 3 + level)
    sources = _draw_sources(draw, level, size * there)
    key = count(sources, size, there)
    return Draft(
        shown={"sources": sources, "bank": size, "banks": there},
        scene=f"{opening} The stage box has {size * there} microphone inputs. Phantom is switched for {size} at a time: "
        f"inputs 1 to {size} have one switch, {size + 1} to {2 * size} the next, and so on. It is plugged in this order, "
        "one to an input, from input 1 on:",
        facts=tuple(
            f"{n}: {source.name}, which {WANTS[source.phantom]}" for n, source in enumerate(sources, start=1)
        ),
        question="As it is plugged, how many switches must be on, and how many things would get phantom that must not? "
        "And if everything may be plugged in another order, at the least how many blockers are still needed?",
        answer=Answer(
            (
                Part(key[0], name="switches"),
                Part(key[1], name="in danger"),
                Part(key[2], name="blockers"),
            )
        ),
        workings=_workings(sources, size, there, key),
        slips=_slips(sources, size, there, key),
        nudge="Draw the banks as boxes and write the numbers into them. Then mark what needs it and what must not have it.",
        caution="Mute a channel before its phantom is switched or its cable is pulled: the thump can hurt ears and "
        "loudspeakers.",
    )


def _draw_sources(draw: Draw, level: int, sockets: int) -> tuple[Source, ...]:
    total = draw.whole(max(5, sockets // 2), sockets)
    harmed = draw.whole(1, min(2 + 2 * level, total - 3))
    needing = draw.whole(2, total - harmed)
    kinds = [FORBIDDEN] * harmed + [NEEDED] * needing
    kinds = (kinds + [INDIFFERENT] * total)[:total]
    order = draw.some(range(total), total)
    found = []
    for n in order:
        kind = kinds[n]
        found.append(Source(draw.pick(KINDS[kind]), "mic", phantom=kind))
    return tuple(found)


def _workings(
    sources: tuple[Source, ...], size: int, there: int, key: tuple[int, int, int]
) -> tuple[str, ...]:
    as_plugged = banks(sources, size, there)
    lines = []
    for bank in as_plugged:
        first = (bank.number - 1) * size + 1
        state = "on" if bank.live else "off"
        lines.append(
            f"Inputs {first} to {first + size - 1} ({len(bank.needs)} need it, {len(bank.harmed)} must not have it), "
            f"switch {state}"
        )
    live = tuple((f"bank {bank.number}", 1) for bank in as_plugged if bank.live)
    caught = tuple(
        (f"bank {bank.number}", len(bank.harmed)) for bank in as_plugged if bank.live and bank.harmed
    )
    needing = sum(s.phantom == NEEDED for s in sources)
    harmed = sum(s.phantom == FORBIDDEN for s in sources)
    full = -(-needing // size)
    return (
        *lines,
        stages.working(
            "switches", key[0], Reason("a bank with one that needs it is on", (), live, len(live))
        ),
        stages.working(
            "in danger", key[1], Reason("what must not have it in a bank that is on", (), caught, key[1])
        ),
        f"Plugged anew: the {needing} that need it fill {full} of {there} banks, {(there - full) * size} inputs stay "
        f"without, and {harmed} must have one of those.",
        f"Blockers: {key[2]}.",
    )


def _by_type(source: Source) -> Phantom:
    """What somebody would say who goes by the type of microphone and not by what it wants."""
    if "condenser" in source.name:
        return NEEDED
    return INDIFFERENT if source.phantom == NEEDED else source.phantom


def _slips(sources: tuple[Source, ...], size: int, there: int, key: tuple[int, int, int]) -> tuple[Slip, ...]:
    on, danger, least = key
    needing = sum(s.phantom == NEEDED for s in sources)
    harmed = sum(s.phantom == FORBIDDEN for s in sources)
    by_type = tuple(replace(source, phantom=_by_type(source)) for source in sources)
    wrong = (
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
            (needing, danger, least),
            "One switch serves all of its bank.",
        ),
        (
            "The banks that would do, not those in use",
            (-(-needing // size), danger, least),
            "The first question is about the order as it stands.",
        ),
        ("Every switch on", (there, harmed, harmed), "Is there a bank in which nobody needs it?"),
        (
            "Judged by the type of microphone",
            count(by_type, size, there),
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
    return tuple(Slip(*each) for each in wrong)


TOPIC = Topic("phantom banks", "gig sizing", 2, build, least_slips=2)
