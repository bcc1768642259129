"""The desk as plain frozen values: what it has, where it has it, and how its buses may be used."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, ClassVar, Literal

from pydantic import ConfigDict, Field

from .model import FORBID, AtLeastOne, NotNegative, Skill, Text, Where, Whole, Words, YesNo

Tap = Literal["each", "pair", "all", "always pre", "always post"]


@dataclass(frozen=True)
class Inputs:
    """One set of input sockets in one place: on the desk itself or on a stage box."""

    at: Where = "desk"
    mic: Whole = 0
    line: Whole = 0
    stereo: Whole = 0
    two_track: Whole = 0
    two_track_to: tuple[Text, ...] = ("mains",)
    phantom: Literal["each", "bank", "all", "none"] = "each"
    bank_of: AtLeastOne = 8
    inserts: Whole = 0

    @property
    def bank_sizes(self) -> list[int]:
        """Inputs behind each common phantom switch, in order; none where each has its own or there is none."""
        if self.phantom not in ("bank", "all") or not self.mic:
            return []
        size = self.mic if self.phantom == "all" else self.bank_of
        full, rest = divmod(self.mic, size)
        return [size] * full + ([rest] if rest else [])


@dataclass(frozen=True)
class Outputs:
    """One set of output sockets in one place. `record` sockets always carry a copy of the mains."""

    at: Where = "desk"
    line: Whole = 0
    record: Whole = 0
    equaliser: YesNo = False
    delay_up_to_ms: NotNegative = 0.0


@dataclass(frozen=True)
class MixBuses:
    """A run of buses that behave alike. Buses are numbered through the file, from 1."""

    count: Whole
    tap: Tap = "each"
    stereo: Literal["odd with next even", "none"] = "odd with next even"
    kind: Literal["aux", "group"] = "aux"
    feeds_effects: YesNo = False


@dataclass(frozen=True)
class Matrices:
    """Matrix outputs: mixes of the mains and groups, after the faders."""

    count: Whole = 0


@dataclass(frozen=True)
class DeskEffects:
    """Effects units inside the desk."""

    count: Whole = 0
    send: Literal["own", "takes a bus"] = "takes a bus"
    returns: Annotated[
        Literal["dedicated", "takes two channels", "takes a channel"], Field(alias="return")
    ] = "dedicated"
    return_to: Literal["everything", "mains"] = "everything"


@dataclass(frozen=True)
class Recording:
    """A recorder inside the desk."""

    tracks: Whole = 0
    source: Annotated[Literal["mains", "channels"], Field(alias="from")] = "mains"


@dataclass(frozen=True)
class Option:
    """A box that can be added in a place where the desk has sockets already."""

    name: Text
    at: Where = "stage"
    mic: Whole = 0
    line_out: Whole = 0


@dataclass(frozen=True)
class AboutDesk:
    """What the desk is."""

    name: Text
    kind: Literal["analogue", "digital"]
    channels: Whole | None = None
    stereo: Literal["takes one channel", "takes two channels"] | None = None
    talkback: Literal["own input", "takes a channel", "none"] = "none"
    direct_outs: Whole = 0
    channel_compressors: YesNo = False
    channel_gates: YesNo = False
    least_skill: Skill = "novice"
    weight_kg: NotNegative | None = None
    notes: Words = ""


@dataclass(frozen=True)
class Bus:
    """One bus by its number, with what it can be."""

    number: int
    run: int
    tap: Tap
    links_up: bool
    kind: Literal["aux", "group"]
    feeds_effects: bool


@dataclass(frozen=True)
class Desk:
    """A mixing desk with its stage boxes, as its file describes it."""

    __pydantic_config__: ClassVar[ConfigDict] = FORBID
    about: Annotated[AboutDesk, Field(alias="desk")]
    inputs: tuple[Inputs, ...] = ()
    outputs: tuple[Outputs, ...] = ()
    mix_buses: tuple[MixBuses, ...] = ()
    matrices: Matrices = field(default_factory=Matrices)
    effects: DeskEffects = field(default_factory=DeskEffects)
    recording: Recording = field(default_factory=Recording)
    options: Annotated[tuple[Option, ...], Field(alias="option")] = ()
    format: Annotated[int, Field(strict=True)] = 1

    @property
    def name(self) -> str:
        """The desk's name."""
        return self.about.name

    @property
    def digital(self) -> bool:
        """Whether any bus may be patched to any output socket."""
        return self.about.kind == "digital"

    @property
    def stereo_takes(self) -> int:
        """Channels that a stereo source takes: two on a digital desk unless it says one [channels]."""
        return 1 if self.about.stereo == "takes one channel" else 2

    @property
    def channels(self) -> int:
        """Most that can be mixed at once; a strip for each input where the file does not say [channels]."""
        if self.about.channels is not None:
            return self.about.channels
        return sum(i.mic + i.line + i.stereo for i in self.inputs)

    def return_channels(self, width: int, *, outboard: bool = False) -> int:
        """Channels that an effects return of that width takes where it needs any [channels].

        Parameters
        ----------
        width : int
            2 in stereo, else 1 [channels].
        outboard : bool
            Whether a unit beside the desk makes it, so that it comes in as any source does.

        Returns
        -------
        int
        """
        said = {"takes two channels": 2, "takes a channel": 1}.get(self.effects.returns, self.stereo_takes)
        return min(width, self.stereo_takes if outboard else said)

    def returns_alone(self, heard_in: tuple[str, ...]) -> bool:
        """Whether the dedicated return of an effect inside serves everywhere it is heard, so that it takes no channel.

        Parameters
        ----------
        heard_in : tuple of str
            Where the effect is heard.

        Returns
        -------
        bool
        """
        reaches = self.effects.return_to == "everything" or set(heard_in) <= {"mains"}
        return self.effects.returns == "dedicated" and reaches

    def buses(self) -> tuple[Bus, ...]:
        """Every bus in number order."""
        numbered: list[Bus] = []
        for run, entry in enumerate(self.mix_buses):
            for _ in range(entry.count):
                number = len(numbered) + 1
                links = entry.stereo == "odd with next even"
                numbered.append(Bus(number, run, entry.tap, links, entry.kind, entry.feeds_effects))
        return tuple(numbered)

    def input_place(self, wanted: str) -> str:
        """Where a source that stands at `wanted` is plugged: there if the desk has inputs there, else at the desk.

        Parameters
        ----------
        wanted : str
            ``"stage"``, ``"desk"`` or ``"remote"``.

        Returns
        -------
        str
        """
        return _place(wanted, [i.at for i in self.inputs])

    def output_place(self, wanted: str) -> str:
        """Where an output for `wanted` is taken: there if the desk has outputs there, else at the desk.

        Parameters
        ----------
        wanted : str
            ``"stage"``, ``"desk"`` or ``"remote"``.

        Returns
        -------
        str
        """
        return _place(wanted, [o.at for o in self.outputs])


def _place(wanted: str, places: list[str]) -> str:
    for place in (wanted, "desk", "stage", *places):
        if place in places:
            return place
    return "desk"
