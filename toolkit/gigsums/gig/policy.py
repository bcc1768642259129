"""House policy: the habits of the trade, common practice, no source, as named settings in a file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import ConfigDict, Field

Points = Annotated[int, Field(strict=True, ge=1, le=1_000_000)]
Whole = Annotated[int, Field(strict=True, ge=0, le=1_000_000)]
NotNegative = Annotated[float, Field(strict=True, ge=0, allow_inf_nan=False)]
ThreeSkills = tuple[NotNegative, NotNegative, NotNegative]
FORBID = ConfigDict(extra="forbid")


@dataclass(frozen=True)
class Spares:
    """How many inputs, outputs and buses are kept free."""

    small_gig_inputs: Whole
    small_gig_spare: Whole
    inputs_percent: Whole
    inputs_least: Whole
    outputs_one_in: Points
    buses: Whole
    buses_from_mixes: Whole

    def inputs(self, used: int) -> int:
        """Spare inputs wanted beside `used` occupied ones, rounded up in whole numbers [inputs]."""
        if used <= 0:
            return 0
        if used <= self.small_gig_inputs:
            return self.small_gig_spare
        return max(self.inputs_least, -(-self.inputs_percent * used // 100))

    def outputs(self, used: int) -> int:
        """Spare outputs wanted beside `used` occupied ones, rounded up in whole numbers [outputs]."""
        return -(-used // self.outputs_one_in)


@dataclass(frozen=True)
class Delay:
    """How a delayed zone is set when the gig does not say."""

    offset_ms: NotNegative
    coldest_c: Annotated[float, Field(strict=True, ge=-20, le=50, allow_inf_nan=False)]


@dataclass(frozen=True)
class Minutes:
    """Set-up minutes of one item for a novice, an intermediate and an experienced hand."""

    microphone: ThreeSkills
    di: ThreeSkills
    wedge: ThreeSkills
    in_ear_pack: ThreeSkills
    radio_microphone: ThreeSkills
    pa_side: ThreeSkills
    desk_and_power: ThreeSkills
    patch_socket: ThreeSkills
    label: ThreeSkills
    insert_patch: ThreeSkills
    blank_file_channel: ThreeSkills
    line_check: ThreeSkills
    gain_and_tone: ThreeSkills
    compressor: ThreeSkills
    gate: ThreeSkills
    effect: ThreeSkills
    main_tuning: ThreeSkills
    ring_out: ThreeSkills
    build_mix: ThreeSkills
    delay_zone: ThreeSkills
    full_band_song: ThreeSkills


@dataclass(frozen=True)
class Time:
    """How hands share the work and how much of the clock is kept back."""

    crew_factors: tuple[Annotated[float, Field(strict=True, gt=0, allow_inf_nan=False)], ...]
    contingency_percent: Whole
    contingency_least: NotNegative

    def crew_factor(self, people: int) -> float:
        """How much faster that many people are than one; more than the list holds count as its last [-]."""
        return self.crew_factors[min(max(people, 1), len(self.crew_factors)) - 1]

    def contingency(self, minutes: float) -> float:
        """Minutes to keep back on top of the plan [min]."""
        return max(self.contingency_least, minutes * self.contingency_percent / 100)


@dataclass(frozen=True)
class Price:
    """What one change costs: whole points to rank by, and what they stand for."""

    points: Points
    money: NotNegative
    weight_kg: NotNegative
    minutes: NotNegative


@dataclass(frozen=True)
class Changes:
    """The price of one change of each kind."""

    reroute: Price
    relocate: Price
    drop_nice: Price
    mono: Price
    share: Price
    line_level: Price
    phantom_blocker: Price
    outboard_preamp: Price
    outboard_delay: Price
    outboard_effect: Price
    sub_mixer: Price
    stage_box: Price
    drop_want: Price
    another_desk: Price

    def price(self, kind: str) -> Price:
        """The price of one change of that kind, such as ``"drop nice"``."""
        return getattr(self, kind.replace(" ", "_").replace("-", "_"))


@dataclass(frozen=True)
class Always:
    """One thing that is packed whatever the gig."""

    item: Annotated[str, Field(strict=True, min_length=1, max_length=200)]
    count: Points


@dataclass(frozen=True)
class Bag:
    """What goes into the bag beyond what the gig counts."""

    microphones_from: Whole
    microphones_spare: Whole
    vocal_spare: Whole
    di_percent: Whole
    stands_percent: Whole
    cables_percent: Whole
    cables_each: Whole
    cables_least: Whole
    cable_stock_m: tuple[Annotated[float, Field(strict=True, ge=0.5, le=1000, allow_inf_nan=False)], ...]
    cable_slack_m: Annotated[float, Field(strict=True, ge=0, le=100, allow_inf_nan=False)]
    pack_cells: Points
    pack_life_h: Annotated[float, Field(strict=True, ge=0.1, le=1000, allow_inf_nan=False)]
    pack_usable: Annotated[float, Field(strict=True, ge=0.05, le=1, allow_inf_nan=False)]
    pack_spare_sets: Annotated[int, Field(strict=True, ge=0, le=100)]
    always: tuple[Always, ...]

    def microphones(self, used: int) -> int:
        """Spare microphones wanted beside `used` of one kind [microphones]."""
        return self.microphones_spare if used and used >= self.microphones_from else 0


@dataclass(frozen=True)
class Policy:
    """The house policy: defaults come from the bundled file, a gig's own [policy] lies over them."""

    __pydantic_config__: ClassVar[ConfigDict] = FORBID
    spares: Spares
    delay: Delay
    time: Time
    minutes: Minutes
    changes: Changes
    bag: Bag
    format: Annotated[int, Field(strict=True)] = 1
