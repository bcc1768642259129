"""What is given of a whole gig: its sheet and its key as blocks, as text, as Markdown, as an answer file, on paper."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from string import Template
from typing import Any

from gigsums.gig import Desk, Gig
from gigsums.practice.marking import VERDICTS
from gigsums.practice.safety import SafetyQuestion
from gigsums.practice.wording import as_markdown, bullets, desk_facts, gig_facts, listed, sentence
from gigsums.practice.worksheets import as_notebook, code, prose
from gigsums.sheets import Grid, Printed, Section, print_sections
from gigsums.sizing import Ledger, together

from .answers import AT, ON, TAPS, labels_of
from .changes import KINDS
from .files import Marks
from .key import Key, as_answers

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
PLACE_HEADS = ("What", "On", "At", "Number", "Pre or post")
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
class OpenQuestion:
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
    safety : tuple of OpenQuestion
        What is asked about safe working.
    counts : tuple of tuple of str
        The label of each count that is asked for, and what it means.
    clock : tuple of str
        What setting up takes, which nobody is asked for.
    """

    name: str
    title: str
    about: str
    minutes: int | None
    gig: Gig
    desk: Desk
    at_hand: tuple[Desk, ...]
    marks: Marks
    safety: tuple[OpenQuestion, ...]
    counts: tuple[tuple[str, str], ...]
    clock: tuple[str, ...]

    def blocks(self) -> tuple[Block, ...]:
        """What is read and filled in, as plain blocks.

        Returns
        -------
        tuple of Block
        """
        return tuple(_asked(self))


def asked_of(key: Key) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    """All that a sheet knows of the key: which counts are asked for and what each means, and what is told of the clock.

    Parameters
    ----------
    key : Key
        The key.

    Returns
    -------
    tuple of (tuple of tuple of str, tuple of str)
    """
    clock = tuple(
        f"Setting up comes to {row.need:g} minutes of {row.have:g}, and the house keeps back {row.spare_wanted:g}"
        for row in key.fit.ledgers
        if row.key == "minutes"
    )
    meanings = {row.label: MEANINGS.get(row.ledger.key if row.ledger else row.label, "") for row in key.rows}
    return tuple(
        (row.label, f"in {row.unit}" if row.unit else meanings[row.label]) for row in key.rows
    ), clock


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
    yield Block("The house's habits", lines=tuple(_habits(problem)))
    yield from _to_fill(problem)
    for question in problem.safety:
        yield Block(f"Safe working: {question.key}", question.asks, choices=question.choices)
    yield Block("With care", CAUTION)


def _to_fill(problem: OpenGig) -> Iterator[Block]:
    gig, marks = problem.gig, problem.marks
    counts = tuple((label, meaning, "") for label, meaning in problem.counts)
    words = ["The word", *(said for name, said in SAID.items() if name != "ask" or unsettled(gig))]
    things = [(label, *[""] * 4) for path, label in labels_of(gig).items() for _ in range(lines_of(path))]
    kept = [source.name for _, source in gig.sources if not source.to_mains]
    to_words = f" For {listed(kept)} say where it goes to." if kept else ""
    goes, wide = (("Goes to",), (3,)) if kept else ((), ())
    tables: tuple[tuple[str, str, tuple[str, ...], Rows, tuple[int, ...]], ...] = (
        (
            f"Counts ({marks.counts} marks)",
            "What does the gig take of this desk as it is asked for? Plan for the most where something is not settled.",
            ("What", "", "How many"), counts, (4, 5, 2),
        ),
        (
            f"Verdict ({marks.verdict} marks)",
            f"One of: {', '.join(VERDICTS)}. With care: it fits, but a spare is missing, something has to be brought, a count "
            "is open, or something asks for attention, such as talkback on a channel, a click, or a hand below what the desk "
            "needs. With changes: only with what is at hand, and with what somebody has agreed to.",
            ("", ""), tuple((word, "") for word in words), (2, 3),
        ),
        (
            f"Changes ({marks.remedies} marks)",
            "What do you change, if anything? As little as you can by the house's prices; only what somebody has agreed to. "
            f"Kinds: {', '.join(KINDS)}.",
            ("Kind", "What", "To"), _empty(4, 3), (2, 3, 2),
        ),
        (
            f"Placement ({marks.allocation} marks)",
            "What sits where, once that is changed? One line for each thing and kind of socket; leave out what is not needed. "
            f"On: {', '.join(ON)}. A bus also says pre or post.",
            PLACE_HEADS, (*things, *_empty(4, 5)), (4, 3, 2, 2, 2),
        ),
        (
            f"Input list ({marks.document} marks, with safe working)",
            f"Every source with its channels, how it is picked up, phantom, and where it is plugged.{to_words}",
            (*INPUT_HEADS, *goes), _empty(len(gig.sources), len(INPUT_HEADS) + len(goes)), (*INPUT_WIDTHS, *wide),
        ),
    )  # fmt: skip
    yield from (
        Block(heading, text, (), heads, rows, widths) for heading, text, heads, rows, widths in tables
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


def _habits(problem: OpenGig) -> Iterator[str]:
    gig, policy = problem.gig, problem.gig.policy
    yield "Lines are counted on line and stereo inputs first, then on inputs with a preamp"
    if any(zone.fed_from == "any" and zone.wants_own_path for zone in gig.zones) or gig.feeds:
        yield (
            "Zones and feeds that may go any way are counted on a matrix first, then on groups where they follow the "
            "mains, then on buses; feeds go to a recorder or to record outputs before that where they may"
        )
    yield from problem.clock
    if policy is None:
        return
    spares = policy.spares
    yield (
        f"Spare inputs in each place: {spares.small_gig_spare} up to {spares.small_gig_inputs} occupied, above that "
        f"{spares.inputs_percent} percent rounded up and at least {spares.inputs_least}"
    )
    yield f"Spare outputs in each place: one for every {spares.outputs_one_in} begun"
    yield f"Spare buses: {spares.buses} from {spares.buses_from_mixes} monitor mixes"
    if any(zone.distance_m for zone in gig.zones):
        yield f"Delays: {policy.delay.offset_ms:g} ms are added so that the mains arrive first"
    prices = [f"{kind} {policy.changes.price(kind).points}" for kind in KINDS]
    yield f"What a change costs, in points: {', '.join(prices)}"


def _empty(rows: int, columns: int) -> tuple[tuple[str, ...], ...]:
    return (("",) * columns,) * rows


WIDTH = 100


def as_text(title: str, blocks: Sequence[Block]) -> str:
    """Blocks as plain text.

    Parameters
    ----------
    title : str
        The heading of all.
    blocks : sequence of Block
        The blocks.

    Returns
    -------
    str
    """
    parts = [title]
    for block in blocks:
        lines = [block.title.upper()]
        lines += [
            textwrap.fill(text, WIDTH) for text in (block.text, block.answer and f"{block.answer}.") if text
        ]
        lines += [
            textwrap.fill(line, WIDTH, initial_indent="- ", subsequent_indent="  ") for line in block.lines
        ]
        parts.append("\n".join([*lines, *_table(block)]))
    return "\n\n".join(parts) + "\n"


def _table(block: Block) -> list[str]:
    if not block.columns:
        return []
    wide = [
        max(4, *(len(cell) for cell in column)) for column in zip(block.columns, *block.rows, strict=True)
    ]
    rows = [block.columns, *block.rows] if any(block.columns) else block.rows
    return [
        "  " + " | ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip() for row in rows
    ]


def as_markdown_text(title: str, blocks: Sequence[Block]) -> str:
    """Blocks as Markdown in which no name is markup; tables to fill in are left out, since the answer has them.

    Parameters
    ----------
    title : str
        The heading of all; none where it is empty.
    blocks : sequence of Block
        The blocks.

    Returns
    -------
    str
    """
    parts = [f"### {as_markdown(title)}"] if title else []
    for block in blocks:
        parts.append(f"**{as_markdown(block.title)}**")
        parts += [as_markdown(block.text)] if block.text else []
        parts += [bullets((*block.lines, *lettered(block.choices)))] if block.lines or block.choices else []
        rows = [", ".join(filter(None, row)) for row in block.rows if any(row[1:])]
        parts += [bullets(tuple(rows))] if rows else []
    return "\n\n".join(parts)


def lettered(choices: Sequence[str]) -> tuple[str, ...]:
    """Choices with a letter before each.

    Parameters
    ----------
    choices : sequence of str
        The choices.

    Returns
    -------
    tuple of str
    """
    return tuple(f"{chr(ord('a') + n)}) {choice}" for n, choice in enumerate(choices))


def blank(problem: OpenGig, whose: Mapping[str, str | int] | None = None) -> str:
    """An answer file to fill in.

    Parameters
    ----------
    problem : OpenGig
        The problem.
    whose : mapping, optional
        Whose sheet it answers, in a class: keys and values that stand at its head.

    Returns
    -------
    str
        TOML with notes.
    """
    labels, sources = labels_of(problem.gig), problem.gig.sources
    first = {"problem": problem.name, "name": ""} if whose is None else whose
    counts = [(f'{_quoted(label)} = ""', meaning) for label, meaning in problem.counts]
    wide = max(len(line) for line, _ in counts)
    kept = any(not source.to_mains for _, source in sources)
    on = list(ON)
    text = _BLANK.substitute(
        title=" ".join(problem.title.split()),
        which="" if whose is None else "# Which sheet this is. Leave these lines as they are.\n",
        whose="\n".join(f"{key} = {_quoted(each)}" for key, each in first.items()),
        counts="\n".join(f"{line:{wide}}    # {said}" if said else line for line, said in counts),
        words=", ".join(VERDICTS),
        ask="ask = []         # what is not settled and changes the verdict, by its name\n" * unsettled(problem.gig),
        kinds="\n".join(f"#   {line}" for line in textwrap.wrap(", ".join(KINDS), WIDTH - 4, break_on_hyphens=False)),
        on=f"{', '.join(on[:6])},\n# {', '.join(on[6:])}",
        at=", ".join(AT),
        taps=" or ".join(TAPS),
        placement="\n".join(
            f'  {{ item = {_quoted(label)}, on = "", at = "", number = ""{tap} }},'
            for path, label in labels.items() for tap in (', tap = ""', "")[-lines_of(path) :]
        ),
        kept="# to: where it goes, for what the audience must never hear.\n" * kept,
        inputs="\n".join(
            f'  {{ channel = "", source = {_quoted(labels[path])}, by = "", phantom = "", at = ""'
            f"{'' if source.to_mains else ', to = []'} }},"
            for path, source in sources
        ),
    )  # fmt: skip
    asked = "".join(
        "".join(f"# {line}\n" for line in textwrap.wrap(each.asks, WIDTH - 2))
        + "".join(f"#   {line}\n" for line in lettered(each.choices))
        + f'{_quoted(each.key)} = ""\n'
        for each in problem.safety
    )
    return text + (f"\n# Working safely: the letter of your choice.\n[safety]\n{asked}" if asked else "")


_BLANK = Template("""\
# Answers to: $title
# Fill in between the quotes. What you leave empty is not answered; what follows a # is a note.
format = 1
$which$whose
notes = ""    # anything you want to say to whoever marks this

# Whole numbers, 0 where nothing is taken; delays in ms, or with another unit.
[counts]
$counts

# word: $words. Then the counts that decide it, by their names above.
[verdict]
word = ""
short = []       # more is asked than there is
no_spare = []    # enough, but without the spare that the house wants
bring = []       # what is to be brought besides: equalisers, compressors, gates, inserts
$ask
# What you change; no line where nothing is needed. Kinds:
$kinds
# to: the place, the way, the mix or the desk that it leads to, where there is one.
[changes]
rows = [
  # { kind = "", item = "", to = "" },
]

# What sits where, once that is changed. A line for each kind of socket that a thing takes: write more, and
# leave out what is not needed. on: $on.
# at: $at. number: 3, "3, 4" or "3-6". tap, for a bus: $taps.
[placement]
rows = [
$placement
]

# The input list. by: mic, DI or line. phantom: true or false. at: stage, desk or remote.
$kept[inputs]
rows = [
$inputs
]
""")


def _quoted(text: str | int) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def notebook(problem: OpenGig) -> dict[str, Any]:
    """The problem as a notebook: read it, write the answer file, have it marked.

    Parameters
    ----------
    problem : OpenGig
        The problem.

    Returns
    -------
    dict
        A notebook in format 4.5; its cells have not been run.
    """
    file = f"{problem.name}_answers.toml"
    how = (
        "Read the job first. The next cell writes an answer file beside this notebook, and leaves one that is there "
        f"already as it is. Open `{file}` with a double click, fill it in and save it. Then run the last cell, as often "
        "as you like."
    )
    return as_notebook(
        prose("opening", f"# {as_markdown(problem.title)}"),
        code("start", "from gigsums import whole_gig, write_blank"),
        code("problem", f"job = whole_gig({_quoted(problem.name)})\njob"),
        prose("how", how),
        code("blank", f"write_blank(job, {_quoted(file)})"),
        code("marks", f"job.check({_quoted(file)})"),
    )


def print_blocks(
    title: str,
    blocks: Sequence[Block],
    *,
    key: bool = False,
    variant: str = "",
    who: str = "",
    paper: str = "a4",
) -> Printed:
    """Print blocks, to read and to fill in, or as a key.

    Parameters
    ----------
    title : str
        The heading of all.
    blocks : sequence of Block
        The blocks.
    key : bool, optional
        Whether this is the key.
    variant : str, optional
        Which of several sheets this is; it stands on every page.
    who : str, optional
        Who it is for, best a pseudonym; a line to write on if left out.
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If the paper is another, or `variant` or `who` is too long for a line.
    """
    sections = [
        Section(each.title, each.text, each.lines, grids, lettered(each.choices), each.answer)
        for each in blocks
        for grids in [(Grid(each.columns, each.rows, widths=each.widths),) if each.rows else ()]
    ]
    return print_sections(title, sections, key=key, variant=variant, who=who, paper=paper)


def solved(key: Key, safety: Sequence[SafetyQuestion]) -> Iterator[Block]:
    """The key with its workings.

    Parameters
    ----------
    key : Key
        What is right.
    safety : sequence of SafetyQuestion
        What is asked about safe working.

    Yields
    ------
    Block
    """
    best = key.answers[0] if key.answers else None
    table = as_answers(key, {})
    told = [
        (row, "; ".join(each.text() for each in row.reasons if each.terms or each.result)) for row in key.rows
    ]
    why = tuple(f"{row.label}: {said}" for row, said in told if said)
    heads = ("What", "Need", "Have", "Spare wanted", "State")
    counts = tuple((row.label, row.shown(), *_held(row.ledger)) for row in key.rows)
    yield Block("Counts", "", why, heads, counts, (4, 1, 1, 2, 3), answer="As in the table")
    lines = [
        f"{said}: {listed(key.lists[name]) or 'nothing'}"
        for name, said in SAID.items()
        if name != "ask" or unsettled(key.fit.gig)
    ]
    lines += [f"Take care: {care.text()}" for care in key.fit.cares]
    yield Block("Verdict", "", tuple(lines), answer=sentence(key.word))
    ways = [
        f"{each.points} points: {'; '.join(words for _, words in together(each.changes))}"
        for each in key.answers if each.changes
    ]  # fmt: skip
    none = "None" if best else "Nothing that is allowed makes it fit"
    text = "Any others that make it fit are right as well." if ways else ""
    others = tuple(f"Otherwise {way}" for way in ways[1:])
    yield Block("Changes", text, others, answer=ways[0] if ways else none)
    places = tuple(
        (row["item"], row["on"], row["at"], ", ".join(map(str, row["number"])), row.get("tap", ""))
        for row in table["placement"]["rows"]
    )
    legal = "Any that is legal; this is one" if places else "Nothing to place"
    yield Block("Placement", "", (), PLACE_HEADS, places, (6, 3, 2, 3, 2), answer=legal)
    rows = table["inputs"]["rows"]
    inputs = tuple(
        (
            ", ".join(map(str, row["channel"])),
            row["source"],
            row["by"],
            "yes" if row["phantom"] else "no",
            row["at"],
        )
        for row in rows
    )
    kept = tuple(
        f"{row['source']} goes to {listed(row['to'])} and nowhere else" for row in rows if "to" in row
    )
    all_ = "Every source, each channel once"
    yield Block("Input list", "", kept, INPUT_HEADS, inputs, INPUT_WIDTHS, answer=all_)
    for one in safety:
        hurts = tuple(f"Dangerous, and a person has to look: {choice}" for choice in one.dangerous)
        yield Block(f"Safe working: {one.key}", one.asks, hurts, answer=" or ".join(one.right))


def _held(ledger: Ledger | None) -> tuple[str, str, str]:
    """What a desk has, the spare wanted and the state, as they stand in the key."""
    if ledger is None:
        return "", "", ""
    return f"{ledger.have:g}", f"{ledger.spare_wanted:g}" if ledger.spare_wanted else "", ledger.state
