"""Whether the crew is ready before doors: work that hands share, work that they cannot, and minutes kept back."""

from __future__ import annotations

from dataclasses import dataclass

from gigsums.gig import Reason
from gigsums.gig.policy import Minutes, Time
from gigsums.quantities import DURATION, show
from gigsums.sizing.ledgers import SKILLS

from .. import stages
from ..drawing import Draw
from ..problems import Answer, Draft, Part, Slip, Values
from ..topic import Topic
from ..wording import in_words

HOUR = 60  # minutes; a duration is kept in hours
VERDICTS = ("fits", "fits with care", "does not fit")
SHARED = {
    "microphone": "microphones with stand and cable",
    "di": "DI boxes",
    "wedge": "wedges",
    "in_ear_pack": "in-ear packs",
    "pa_side": "sides of the mains",
    "patch_socket": "sockets to patch",
}
SERIAL = {
    "line_check": "lines to check",
    "gain_and_tone": "channels to set gain and tone",
    "gate": "gates to set",
    "effect": "effects to set",
    "ring_out": "wedges to ring out",
    "build_mix": "monitor mixes to build",
}
COUNTS = {
    "microphone": (6, 20), "di": (2, 6), "wedge": (2, 6), "in_ear_pack": (2, 4), "pa_side": (2, 2),
    "patch_socket": (12, 32), "line_check": (12, 30), "gain_and_tone": (10, 30), "gate": (2, 5), "effect": (2, 4),
    "ring_out": (2, 5), "build_mix": (2, 6),
}  # fmt: skip
STATES = ("roomy", "tight", "late")


@dataclass(frozen=True)
class Item:
    """So many of one kind of work, and the minutes for one."""

    label: str
    count: int
    each: float

    @property
    def minutes(self) -> float:
        """Minutes for all of them, by one person [min]."""
        return self.count * self.each


@dataclass(frozen=True)
class Work:
    """An evening's setting-up."""

    shared: tuple[Item, ...]
    serial: tuple[Item, ...]
    crew: int
    time: Time

    @property
    def alone(self) -> float:
        """Shared work, as one person would take for it [min]."""
        return sum(item.minutes for item in self.shared)

    @property
    def at_desk(self) -> float:
        """Work that follows one after another at the desk [min]."""
        return sum(item.minutes for item in self.serial)

    @property
    def minutes(self) -> float:
        """From load-in until all is ready [min]."""
        return self.alone / self.time.crew_factor(self.crew) + self.at_desk

    @property
    def kept(self) -> float:
        """Kept back for what goes wrong [min]."""
        return self.time.contingency(self.minutes)


def verdict(work: Work, have: float) -> str:
    """What the clock says."""
    if work.minutes > have:
        return VERDICTS[2]
    return VERDICTS[0] if work.minutes + work.kept <= have else VERDICTS[1]


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw."""
    _, opening = stages.draw_evening(draw)
    policy = stages.house()
    skill = draw.whole(0, 2)
    crew = draw.whole(1, 1 + level)
    work = Work(
        _draw(draw, policy.minutes, SHARED, 1 + level, skill),
        _draw(draw, policy.minutes, SERIAL, 1 + level, skill),
        crew,
        policy.time,
    )
    have = _clock(draw, work)
    key = verdict(work, have), work.minutes / HOUR
    people = (
        "One person sets up and works the desk"
        if crew == 1
        else f"{in_words(crew).capitalize()} people set up, and one of them works the desk"
    )
    return Draft(
        shown={"shared": work.shared, "serial": work.serial, "crew": crew, "minutes": have},
        scene=f"{opening} {people}; their skill: {SKILLS[skill]}. "
        f"{_rule(policy.time)} From load-in to doors there are {have} minutes.",
        facts=(
            *(f"Shared - {_told(item)}" for item in work.shared),
            *(f"At the desk - {_told(item)}" for item in work.serial),
        ),
        question="What does the clock say: fits (ready with the reserve untouched), fits with care (ready, but into the "
        "reserve) or does not fit? And how many minutes until all is ready, the reserve not counted?",
        answer=Answer(
            (
                Part(key[0], choices=VERDICTS, name="the verdict"),
                Part(key[1], kind=DURATION, given_in="min", absolute=0.6 / HOUR, name="minutes"),
            )
        ),
        workings=_workings(work, have, key),
        slips=_slips(work, have),
        nudge="Two heaps: what hands can share, and what waits for the one before it. Only one of them is divided.",
        caution="Never make up time on the power check, the limiters, the line check or the cables across a path.",
    )


def _draw(draw: Draw, table: Minutes, kinds: dict[str, str], count: int, skill: int) -> tuple[Item, ...]:
    chosen = draw.some(list(kinds), count)
    return tuple(
        Item(kinds[kind], draw.whole(*COUNTS[kind]), getattr(table, kind)[skill])
        for kind in kinds
        if kind in chosen
    )


def _clock(draw: Draw, work: Work) -> int:
    """Whole minutes, in fives, that are plenty, into the reserve, or too few; never within two of an edge."""
    ready, all_of_it = work.minutes, work.minutes + work.kept
    wanted = draw.pick(STATES)
    least, most = {
        "roomy": (all_of_it + 2, all_of_it + 60),
        "tight": (ready + 2, all_of_it - 2),
        "late": (max(10.0, ready * 0.7), ready - 2),
    }[wanted]
    fives = [n for n in range(10, 1000, 5) if least <= n <= most]
    return draw.pick(fives) if fives else int(all_of_it) + 5


def _rule(time: Time) -> str:
    factors = ", ".join(
        f"{in_words(n)} {factor:g}" for n, factor in enumerate(time.crew_factors, start=1) if n > 1
    )
    return (
        f"Shared work goes faster with more hands, by the house's factors: {factors} times; more people than that count "
        "as the last. What happens at the desk is done by one person, one thing after another. The house keeps back "
        f"{time.contingency_percent} % of the whole, and never less than {time.contingency_least:g} minutes."
    )


def _told(item: Item) -> str:
    return f"{item.count} {item.label}, {item.each:g} min each"


def _workings(work: Work, have: int, key: Values) -> tuple[str, ...]:
    def heap(name: str, items: tuple[Item, ...]) -> str:
        terms = tuple((f"{item.count} × {item.each:g} min", item.minutes) for item in items)
        total = sum(item.minutes for item in items)
        return stages.working(name, total, Reason("count times minutes", (), terms, total))

    factor = work.time.crew_factor(work.crew)
    return (
        heap("shared", work.shared),
        f"Shared among {in_words(work.crew)}: {work.alone:g} / {factor:g} = {work.alone / factor:.1f} min.",
        heap("at the desk", work.serial),
        f"Kept back: {work.kept:.1f} min. With them {work.minutes + work.kept:.1f}, and there are {have}: it {key[0]}.",
        f"It {key[0]}, ready after {show(work.minutes / HOUR, DURATION, 'min')}.",
    )


def _slips(work: Work, have: int) -> tuple[Slip, ...]:
    def told(minutes: float) -> tuple[str, float]:
        kept = work.time.contingency(minutes)
        if minutes > have:
            return VERDICTS[2], minutes
        return (VERDICTS[0] if minutes + kept <= have else VERDICTS[1]), minutes

    factor = work.time.crew_factor(work.crew)
    said = verdict(work, have)
    bare = VERDICTS[0] if work.minutes <= have else VERDICTS[2]
    with_reserve = work.minutes + work.kept
    wrong = (
        (
            "Everything divided among the crew",
            told((work.alone + work.at_desk) / factor),
            "Two people cannot listen to two channels at one desk.",
        ),
        (
            "Nothing divided",
            told(work.alone + work.at_desk),
            "More hands carry more stands. Which work do they share?",
        ),
        (
            "Divided by heads, not by the factor",
            told(work.alone / work.crew + work.at_desk),
            "Two people are not quite twice as fast. What does the house say?",
        ),
        (
            "The work at the desk forgotten",
            told(work.alone / factor),
            "All is plugged in. Is it checked and set?",
        ),
        (
            "The shared work forgotten",
            told(work.at_desk),
            "Before anything can be set at the desk, somebody has to carry and plug it.",
        ),
        (
            "The reserve counted as work",
            (said, with_reserve),
            "The question leaves the reserve out. It is for the verdict.",
        ),
        (
            "The reserve forgotten in the verdict",
            (bare, work.minutes),
            "The minutes are right. What if one cable is faulty?",
        ),
        (
            "An eaten reserve taken for a refusal",
            (VERDICTS[2] if said == VERDICTS[1] else said, work.minutes),
            "The minutes are right. Would they be ready if nothing went wrong?",
        ),
    )
    return tuple(
        Slip(name, (word, minutes / HOUR), hint)
        for name, (word, minutes), hint in wrong
        if (word, minutes) != (said, work.minutes)  # with one pair of hands nothing is divided
    )


TOPIC = Topic("minutes to doors", "gig sizing", 3, build, least_slips=3)
