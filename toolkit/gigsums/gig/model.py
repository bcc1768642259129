"""The gig as plain frozen values. The file edge (`gig.files`) builds them; everything else only reads them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, ConfigDict, Field

from .policy import Policy

Text = Annotated[str, Field(strict=True, min_length=1, max_length=200)]
Words = Annotated[str, Field(strict=True, max_length=2000)]
YesNo = Annotated[bool, Field(strict=True)]
Whole = Annotated[int, Field(strict=True, ge=0, le=1000)]
AtLeastOne = Annotated[int, Field(strict=True, ge=1, le=1000)]
Real = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, gt=0, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(strict=True, ge=0, allow_inf_nan=False)]
Time = Annotated[dt.time, Field(strict=True)]

By = Annotated[Literal["mic", "DI", "line"], BeforeValidator(lambda word: "DI" if word == "di" else word)]
Where = Literal["stage", "desk", "remote"]
Keep = Literal["must", "want", "nice"]
Skill = Literal["novice", "intermediate", "experienced"]
FORBID = ConfigDict(extra="forbid")  # said of a whole file; the tables in it take it over


@dataclass(frozen=True)
class Span:
    """A count that is not settled yet: at least this many, at most that many."""

    least: Whole
    most: Whole


Count = AtLeastOne | Span


def most(count: int | Span) -> int:
    """The number to plan for: an unsettled count is planned at its most.

    Parameters
    ----------
    count : int or Span
        A count of the file.

    Returns
    -------
    int
    """
    return count.most if isinstance(count, Span) else count


class Wide:
    """Anything that is mono or stereo."""

    stereo: bool

    @property
    def width(self) -> int:
        """Channels of one of them: 2 in stereo, else 1 [channels]."""
        return 2 if self.stereo else 1


@dataclass(frozen=True)
class Source(Wide):
    """One thing to be heard: a microphone, a DI or a line, `count` of them, each mono or stereo."""

    name: Text
    by: By
    stereo: YesNo = False
    count: Count = 1
    level: Literal["mic", "line"] | None = None
    phantom: Literal["needed", "indifferent", "forbidden"] = "indifferent"
    stand: Literal["tall boom", "short boom", "straight", "clip", "none"] | None = None
    at: Where = "stage"
    radio: YesNo = False
    frequency_mhz: Positive | None = None
    keep: Keep = "must"
    high_pass: YesNo = False
    compressor: YesNo = False
    gate: YesNo = False
    to_mains: YesNo = True
    heard_in: tuple[Text, ...] | None = None
    shared: Text | None = None

    @property
    def channels(self) -> int:
        """Input channels in all, an unsettled count taken at its most [channels]."""
        return self.width * most(self.count)

    @property
    def at_mic_level(self) -> bool:
        """Whether it arrives at microphone level: microphones and DI outputs do unless set to line."""
        return (self.level or ("line" if self.by == "line" else "mic")) == "mic"


@dataclass(frozen=True)
class Line(Source):
    """Anything that plays without a player; a line at the desk unless the file says otherwise."""

    by: By = "line"
    at: Where = "desk"


@dataclass(frozen=True)
class Performer:
    """Somebody on the stage, and what is picked up from them."""

    name: Text
    plays: Words = ""
    at_m: tuple[Real, Real] | None = None
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True)
class Mix:
    """One monitor mix, whoever shares it and however many boxes play it."""

    name: Text
    listeners: Annotated[tuple[Text, ...], Field(alias="for")] = ()
    through: Literal["wedge", "in-ears", "drum fill", "side fill", "shaker", "cue"] = "wedge"
    stereo: YesNo | None = None
    boxes: AtLeastOne = 1
    sub_send: YesNo = False
    fed_by: Literal["bus", "personal mixer", "monitor desk"] = "bus"
    personal_feeds: Whole = 0
    may: tuple[Literal["mono", "share"], ...] = ()
    at: Where = "stage"
    equaliser: YesNo = True
    keep: Keep = "must"

    @property
    def is_stereo(self) -> bool:
        """In-ears are stereo unless the file says mono; everything else is mono unless it says stereo."""
        return self.through == "in-ears" if self.stereo is None else self.stereo

    @property
    def width(self) -> int:
        """Bus channels it takes: 2 in stereo, 2 for a drum fill with its own sub send, else 1 [channels]."""
        return 2 if self.is_stereo or self.sub_send else 1


@dataclass(frozen=True)
class Effect(Wide):
    """A reverb, a delay or the like, sent to and brought back."""

    name: Text
    heard_in: tuple[Text, ...] = ("mains",)
    stereo: YesNo = True
    by: Literal["desk", "unit"] = "desk"
    keep: Keep = "must"


@dataclass(frozen=True)
class Distances:
    """How far one listener sits from the main speakers and from the zone's own speaker."""

    main: NotNegative
    own: NotNegative


@dataclass(frozen=True)
class Zone(Wide):
    """Speakers beside the main pair: delay, fill, subs, foyer, hearing loop."""

    name: Text
    distance_m: Distances | None = None
    stereo: YesNo = False
    trim_db: Real = 0.0
    equaliser: YesNo = False
    own_level: YesNo = False
    delay_by: Literal["desk", "unit"] = "desk"
    fed_from: Annotated[Literal["any", "matrix", "group", "bus", "mains"], Field(alias="from")] = "any"
    at: Where = "stage"
    keep: Keep = "must"

    @property
    def wants_own_path(self) -> bool:
        """Whether delay, equalising, level or its own bus set it apart; otherwise it is linked through."""
        if self.fed_from == "mains":
            return False
        apart = self.distance_m is not None or self.equaliser or self.own_level or self.trim_db != 0
        return apart or self.fed_from in ("matrix", "group", "bus")


@dataclass(frozen=True)
class Feed(Wide):
    """Sound that leaves for somebody else: a recording, a stream, the press, a remote caller."""

    name: Text
    carries: Literal["everything", "speech", "each source"] = "everything"
    without: tuple[Text, ...] = ()
    stereo: YesNo = False
    fed_from: Annotated[Literal["mains", "own mix", "matrix"] | None, Field(alias="from")] = None
    recorded: YesNo = False
    at: Where = "desk"
    keep: Keep = "must"

    @property
    def own_mix(self) -> bool:
        """Whether the mains will not do: it leaves somebody out, carries speech only, or asks for its own mix."""
        return bool(self.without) or self.carries == "speech" or self.fed_from == "own mix"


@dataclass(frozen=True)
class Circuit:
    """One mains circuit at the venue."""

    amps: Positive
    volts: Positive


@dataclass(frozen=True)
class Venue:
    """The room, as far as it is known."""

    name: Words = ""
    size_m: tuple[Positive, Positive, Positive] | None = None
    reverberation_s: Positive | None = None
    noise_dba: NotNegative | None = None
    limit_dba: NotNegative | None = None
    temperature_c: tuple[Real, Real] | Real | None = None
    desk_distance_m: NotNegative | None = None
    circuits: tuple[Circuit, ...] = ()

    @property
    def coldest_c(self) -> float | None:
        """The coldest air expected, None where nothing is said [°C]."""
        return min(self.temperature_c) if isinstance(self.temperature_c, tuple) else self.temperature_c


@dataclass(frozen=True)
class Person:
    """One of the crew."""

    name: Text
    skill: Skill
    role: Words = ""


@dataclass(frozen=True)
class Crew:
    """Who sets up and who mixes. The first person named mixes, unless somebody's role is "desk"."""

    people: tuple[Person, ...] = ()
    prepared_file: YesNo = False

    @property
    def at_desk(self) -> Person | None:
        """The person who mixes, or None when nobody is named."""
        return next((p for p in self.people if p.role == "desk"), self.people[0] if self.people else None)


@dataclass(frozen=True)
class Mains:
    """The main speakers' outputs."""

    outputs: Literal["mono", "left and right", "left, centre and right"] = "left and right"
    equaliser: YesNo = True
    at: Where = "stage"

    @property
    def width(self) -> int:
        """Output channels [channels]."""
        return {"mono": 1, "left and right": 2, "left, centre and right": 3}[self.outputs]


@dataclass(frozen=True)
class Split:
    """How a second desk for the monitors gets every input."""

    by: Literal["splitter", "shared preamps", "nothing"] = "nothing"


@dataclass(frozen=True)
class Kit:
    """What the crew owns and can carry besides the desk: channels of equaliser, units of effects and so on."""

    equalisers: Whole = 0
    compressors: Whole = 0
    gates: Whole = 0
    delays: Whole = 0
    effects: Whole = 0
    preamps: Whole = 0
    sub_mixers: Whole = 0
    phantom_blockers: Whole = 0


@dataclass(frozen=True)
class Evening:
    """The gig's name and its clock."""

    name: Text
    date: Annotated[dt.date, Field(strict=True)] | None = None
    load_in: Time | None = None
    doors: Time | None = None
    music: tuple[Time, Time] | None = None
    curfew: Time | None = None
    notes: Words = ""

    @property
    def minutes_to_doors(self) -> int | None:
        """Minutes between load-in and doors, None where either is not known [min]."""
        if self.load_in is None or self.doors is None:
            return None
        start, end = (t.hour * 60 + t.minute for t in (self.load_in, self.doors))
        return end - start


@dataclass(frozen=True)
class Gig:
    """Everything the file says about one gig, with the house policy it is sized by."""

    __pydantic_config__: ClassVar[ConfigDict] = FORBID
    evening: Annotated[Evening, Field(alias="gig")]
    venue: Venue = field(default_factory=Venue)
    crew: Crew = field(default_factory=Crew)
    mains: Mains = field(default_factory=Mains)
    kit: Kit = field(default_factory=Kit)
    split: Split = field(default_factory=Split)
    performers: Annotated[tuple[Performer, ...], Field(alias="performer")] = ()
    lines: Annotated[tuple[Line, ...], Field(alias="line")] = ()
    mixes: Annotated[tuple[Mix, ...], Field(alias="mix")] = ()
    effects: Annotated[tuple[Effect, ...], Field(alias="effect")] = ()
    zones: Annotated[tuple[Zone, ...], Field(alias="zone")] = ()
    feeds: Annotated[tuple[Feed, ...], Field(alias="feed")] = ()
    policy: Annotated[Policy | None, Field(exclude=True)] = None
    format: Annotated[int, Field(strict=True)] = 1
    talkback: YesNo | None = None

    @property
    def name(self) -> str:
        """The gig's name."""
        return self.evening.name

    @property
    def sources(self) -> tuple[tuple[str, Source], ...]:
        """Every source with its key path in the file: players first, then lines."""
        played = ((f"performer.{p.name}.sources.{s.name}", s) for p in self.performers for s in p.sources)
        return (*played, *((f"line.{s.name}", s) for s in self.lines))

    @property
    def things(self) -> tuple[tuple[str, Mix | Effect | Zone | Feed], ...]:
        """Every mix, effect, zone and feed with its key path, in this order."""
        kinds = (("mix", self.mixes), ("effect", self.effects), ("zone", self.zones), ("feed", self.feeds))
        return tuple((f"{kind}.{thing.name}", thing) for kind, things in kinds for thing in things)

    @property
    def own_mixes(self) -> tuple[Mix, ...]:
        """The monitor mixes that this desk makes; the others come from a monitor desk of their own."""
        return tuple(m for m in self.mixes if m.fed_by != "monitor desk")

    @property
    def wants_talkback(self) -> bool:
        """Whoever wears in-ears, or any two mixes or more, must be spoken to through the desk."""
        if self.talkback is not None:
            return self.talkback
        return any(m.through == "in-ears" for m in self.mixes) or len(self.mixes) >= 2
