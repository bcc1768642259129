"""What stands on the sheet of a whole-gig problem and on its key: plain blocks of lines and tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gigsums.gig import Desk, Gig
from gigsums.practice.marking import VERDICTS
from gigsums.practice.wording import listed

from .cells import ON
from .changes import KINDS
from .key import Key, Row
from .names import labels_of
from .rules import Marks
from .story import desk_facts, gig_facts

CAUTION = (
    "Levels, minutes and loads here are for planning. Mains, lifting and anything hung overhead belong to competent "
    "people and local rules."
)


SAID = {
    "short": "Short as asked",
    "no_spare": "Met without the spare wanted",
    "bring": "To bring besides",
    "ask": "Not settled, and must be asked",
}
INPUT_HEADS: tuple[str, ...] = ("Channel", "Source", "By", "Phantom", "At")
INPUT_WIDTHS: tuple[int, ...] = (2, 4, 2, 2, 2)
Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Block:
    """A piece of a sheet: a heading, lines to read, and a table; an empty cell is one to write in.

    Attributes
    ----------
    title : str
        The heading.
    text : str
        What is said under it.
    lines : tuple of str
        Facts one by one.
    columns : tuple of str
        The heads of a table; none where there is no table.
    rows : tuple of tuple of str
        Its cells.
    widths : tuple of int
        How wide each column is beside the others.
    choices : tuple of str
        What may be chosen.
    asks : bool
        Whether there is something to answer.
    answer : str
        In a key, what is right.
    """

    title: str
    text: str = ""
    lines: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    widths: tuple[int, ...] = ()
    choices: tuple[str, ...] = ()
    asks: bool = False
    answer: str = ""


MEANINGS = {
    "monitor mixes": "different balances",
    "monitor buses": "buses that these take",
    "talkback": "1 if the stage must be spoken to",
    "preamps": "inputs with a preamp that are taken",
    "line inputs": "mono, without a preamp",
    "stereo inputs": "returns included",
    "strips": "channels to mix on; returns and talkback included",
    "buses": "with those of sends, zones and feeds",
    "bus pairs": "the fewest, odd with the next even, that carry them",
    "matrices": "channels of zones and feeds",
    "groups": "channels of zones and feeds",
    "outputs": "channels that leave",
    "equalisers": "channels",
    "compressors": "channels",
    "gates": "channels",
    "inserts": "channels with something outboard in them",
    "delays": "outputs with a delay of their own",
    "effects": "units",
    "tracks": "of a recorder inside the desk",
    "direct outs": "one for each channel that leaves by itself",
}


@dataclass(frozen=True)
class Asks:
    """All that a sheet knows of the key: which counts are asked for, and what is told about the clock.

    Attributes
    ----------
    counts : tuple of tuple of str
        The label of each count, and what it means.
    clock : tuple of str
        What setting up takes, which nobody is asked for.
    """

    counts: tuple[tuple[str, str], ...]
    clock: tuple[str, ...]


def asks_of(key: Key) -> Asks:
    """What is asked about, without anything of what is right.

    Parameters
    ----------
    key : Key
        The key.

    Returns
    -------
    Asks
    """
    clock = tuple(
        f"Setting up comes to {row.need:g} minutes of {row.have:g}, and the house keeps back {row.spare_wanted:g}"
        for row in key.fit.ledgers
        if row.key == "minutes"
    )
    return Asks(tuple((row.label, meaning_of(row)) for row in key.rows), clock)


@dataclass(frozen=True)
class Choice:
    """A question about safe working as it is asked: its key, its words, and what may be chosen."""

    key: str
    asks: str
    choices: tuple[str, ...]


@dataclass(frozen=True)
class OpenGig:
    """A whole gig as whoever answers may have it: all that is read and filled in, and nothing of what is right.

    Attributes
    ----------
    name, title, about : str
        As the problem has them.
    minutes : int or None
        How long it takes.
    gig, desk : Gig, Desk
        What is to be sized, and on what.
    at_hand : tuple of Desk
        Other desks that could be taken instead.
    marks : Marks
        What each section is worth.
    safety : tuple of Choice
        What is asked about safe working.
    asks : Asks
        Which counts are asked for.
    """

    name: str
    title: str
    about: str
    minutes: int | None
    gig: Gig
    desk: Desk
    at_hand: tuple[Desk, ...]
    marks: Marks
    safety: tuple[Choice, ...]
    asks: Asks

    def blocks(self) -> tuple[Block, ...]:
        """What is read and filled in, as plain blocks.

        Returns
        -------
        tuple of Block
        """
        return tuple(_asked(self))


def meaning_of(row: Row) -> str:
    """What a count means, in a few words.

    Parameters
    ----------
    row : Row
        The count.

    Returns
    -------
    str
    """
    if row.unit:
        return f"in {row.unit}"
    return MEANINGS.get(row.ledger.key if row.ledger else row.label, "")


def unsettled(gig: Gig) -> bool:
    """Whether any count of a gig is still a range.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    bool
    """
    return any(not isinstance(source.count, int) for _, source in gig.sources)


def _asked(problem: OpenGig) -> Iterator[Block]:
    gig = problem.gig
    takes = f" About {problem.minutes} minutes." if problem.minutes else ""
    where = f"{gig.name}, {gig.venue.name}." if gig.venue.name else f"{gig.name}."
    yield Block("The job", " ".join(filter(None, (problem.about, where))) + takes)
    for heading, lines in gig_facts(gig):
        yield Block(heading, lines=lines)
    yield Block(f"The desk: {problem.desk.name}", lines=desk_facts(problem.desk))
    for other in problem.at_hand:
        yield Block(f"Also at hand: {other.name}", lines=desk_facts(other))
    yield from _given(problem)
    yield from _to_fill(problem)
    for question in problem.safety:
        yield Block(f"Safe working: {question.key}", question.asks, choices=question.choices, asks=True)
    yield Block("With care", CAUTION)


def _to_fill(problem: OpenGig) -> Iterator[Block]:
    gig, marks = problem.gig, problem.marks

    def ask(heading: str, text: str, table: tuple[str, ...], rows: Rows, widths: tuple[int, ...]) -> Block:
        return Block(heading, text, (), table, rows, widths, asks=True)

    text = "What does the gig take of this desk as it is asked for? Plan for the most where something is not settled."
    rows: Rows = tuple((label, meaning, "") for label, meaning in problem.asks.counts)
    yield ask(f"Counts ({marks.counts} marks)", text, ("What", "", "How many"), rows, (4, 5, 2))
    text = (
        f"One of: {', '.join(VERDICTS)}. With care: it fits, but a spare is missing, something has to be brought, a count is "
        "open, or something asks for attention, such as talkback on a channel, a click, or a hand below what the desk needs. "
        "With changes: only with what is at hand, and with what somebody has agreed to."
    )
    yield ask(f"Verdict ({marks.verdict} marks)", text, ("", ""), _verdict_rows(problem), (2, 3))
    text = (
        "What do you change, if anything? As little as you can by the house's prices; only what somebody has agreed to. "
        f"Kinds: {', '.join(KINDS)}."
    )
    yield ask(f"Changes ({marks.remedies} marks)", text, ("Kind", "What", "To"), _empty(4, 3), (2, 3, 2))
    text = (
        "What sits where, once that is changed? One line for each thing and kind of socket; leave out what is not needed. "
        f"On: {', '.join(ON)}. A bus also says pre or post."
    )
    things = tuple(
        (label, "", "", "", "") for path, label in labels_of(gig).items() for _ in range(lines_of(path))
    )
    heads: tuple[str, ...] = ("What", "On", "At", "Number", "Pre or post")
    yield ask(f"Placement ({marks.allocation} marks)", text, heads, (*things, *_empty(4, 5)), (4, 3, 2, 2, 2))
    text = f"Every source with its channels, how it is picked up, phantom, and where it is plugged. {_to_words(problem)}"
    heads, widths = INPUT_HEADS, INPUT_WIDTHS
    if _to_words(problem):
        heads, widths = (*heads, "Goes to"), (*widths, 3)
    yield ask(
        f"Input list ({marks.document} marks, with safe working)",
        text.strip(),
        heads,
        _empty(len(gig.sources), len(heads)),
        widths,
    )


def lines_of(path: str) -> int:
    """How many lines of a placement a thing most often takes: what leaves the desk has a bus and an output.

    Parameters
    ----------
    path : str
        Its key path.

    Returns
    -------
    int
    """
    return 2 if path.split(".")[0] in ("mix", "zone", "feed", "effect") else 1


def _given(problem: OpenGig) -> Iterator[Block]:
    policy = problem.gig.policy
    lines = [
        "Lines are counted on line and stereo inputs first, then on inputs with a preamp",
    ]
    if any(zone.fed_from == "any" and zone.wants_own_path for zone in problem.gig.zones) or problem.gig.feeds:
        lines.append(
            "Zones and feeds that may go any way are counted on a matrix first, then on groups where they follow the "
            "mains, then on buses; feeds go to a recorder or to record outputs before that where they may"
        )
    lines += problem.asks.clock
    if policy is not None:
        spares = policy.spares
        lines.append(
            f"Spare inputs in each place: {spares.small_gig_spare} up to {spares.small_gig_inputs} occupied, above that "
            f"{spares.inputs_percent} percent rounded up and at least {spares.inputs_least}"
        )
        lines.append(f"Spare outputs in each place: one for every {spares.outputs_one_in} begun")
        lines.append(f"Spare buses: {spares.buses} from {spares.buses_from_mixes} monitor mixes")
        if any(zone.distance_m for zone in problem.gig.zones):
            lines.append(f"Delays: {policy.delay.offset_ms:g} ms are added so that the mains arrive first")
        prices = [
            f"{kind} {getattr(policy.changes, kind.replace(' ', '_').replace('-', '_')).points}"
            for kind in KINDS
        ]
        lines.append(f"What a change costs, in points: {', '.join(prices)}")
    yield Block("The house's habits", lines=tuple(lines))


def _verdict_rows(problem: OpenGig) -> Rows:
    rows = ["The word", *(said for name, said in SAID.items() if name != "ask" or unsettled(problem.gig))]
    return tuple((row, "") for row in rows)


def _to_words(problem: OpenGig) -> str:
    kept = [source.name for _, source in problem.gig.sources if not source.to_mains]
    return f"For {listed(kept)} say where it goes to." if kept else ""


def _empty(rows: int, columns: int) -> tuple[tuple[str, ...], ...]:
    return (("",) * columns,) * rows
