"""The pocket card: ten sums that need no computer, each with its rule, a few worked values and what to mind.

Every value is worked out by the formulas when the card is made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from typing import Any

from gigsums.formulas.cables import parallel_impedance
from gigsums.formulas.decibels import amplitude_to_db, power_to_db, sum_levels
from gigsums.formulas.exposure import SCHEMES, allowed_hours
from gigsums.formulas.feedback import microphone_distance_ratio_db, open_microphones_loss_db
from gigsums.formulas.mains import PLANNING_FRACTION, circuit_load
from gigsums.formulas.speakers import level_at_distance
from gigsums.formulas.timing import comb_nulls_hz, delay_ms, fill_delay_ms

from .press import Printed, printed

FOOT_M = 0.3048
OFFSET_MS = 10
SCHEME = SCHEMES["NIOSH"]


@dataclass(frozen=True)
class Sum:
    """One sum of the card: a rule, a table whose first column says what its rows are, and what to mind."""

    name: str
    rule: str
    rows: tuple[tuple[str, ...], ...]
    mind: str


def print_card(paper: str = "a4") -> Printed:
    """Print the pocket card: one page in four quarters, to cut or to fold twice.

    Parameters
    ----------
    paper : str, optional
        "a4" or "us-letter".

    Returns
    -------
    Printed

    Raises
    ------
    ValueError
        If the paper is another.
    """
    return printed("card", {"sums": [asdict(each) for each in card_sums()]}, paper)


def card_sums() -> tuple[Sum, ...]:
    """The ten sums, with their values worked out."""
    return (
        _delay(), _distance(), _ratios(), _adding(), _open_microphones(), _three_to_one(), _comb(), _load(),
        _circuit(), _exposure(),
    )  # fmt: skip


def _row(name: str, values: Iterable[Any], show: Callable[[Any], str]) -> tuple[str, ...]:
    return (name, *(show(value) for value in values))


def _plain(value: Any) -> str:
    return f"{value:g}".replace("-", "−")


def _whole(value: Any) -> str:
    return f"{value:.0f}".replace("-", "−")


def _tenths(value: Any) -> str:
    return f"{value:.1f}".removesuffix(".0").replace("-", "−")


def _delay() -> Sum:
    metres = (5, 10, 15, 20, 30, 40, 60)
    colder = 100 * (delay_ms(1, 10) / delay_ms(1, 20) - 1)
    return Sum(
        "Delay",
        f"About {_whole(delay_ms(1))} ms a metre, {_tenths(delay_ms(FOOT_M))} ms a foot. For a fill or delay "
        "loudspeaker take both distances to one seat: the mains' less its own gives the delay, and "
        f"{OFFSET_MS} ms more let the mains be heard first.",
        (
            _row("Metres", metres, _plain),
            _row("Delay, ms", map(delay_ms, metres), _whole),
            _row(f"and {OFFSET_MS} ms", (fill_delay_ms(1 + m, 1, 20, OFFSET_MS) for m in metres), _whole),
        ),
        f"Air at 20 °C; 10 °C colder adds {_tenths(colder)} %. A starting value: finish by measurement and by "
        "ear, and again when the air has cooled.",
    )


def _distance() -> Sum:
    times = (2, 3, 4, 5, 8, 10, 16)
    return Sum(
        "Level over distance",
        f"Twice as far is {_whole(-level_at_distance(0, 2, 1))} dB less.",
        (
            _row("Times as far", times, _plain),
            _row("dB", (level_at_distance(0, far, 1) for far in times), _tenths),
        ),
        "A small source in the open. A tall array loses less nearby; a room adds its own.",
    )


def _ratios() -> Sum:
    times = (2, 3, 4, 5, 8, 10, 100)
    return Sum(
        "Watts and volts",
        f"Twice the power is {_whole(power_to_db(2))} dB, twice the voltage {_whole(amplitude_to_db(2))} dB.",
        (
            _row("Times", times, _plain),
            _row("Watts, dB", map(power_to_db, times), _tenths),
            _row("Volts, dB", map(amplitude_to_db, times), _tenths),
        ),
        "Of like things only: watts to watts, volts to volts. Never above the rating of the box.",
    )


def _adding() -> Sum:
    apart = (0, 1, 2, 3, 4, 6, 10)
    return Sum(
        "Adding levels",
        f"Two equal ones come to {_whole(sum_levels([0, 0]))} dB more than one; from 10 dB apart the lesser "
        "hardly counts.",
        (
            _row("dB apart", apart, _plain),
            _row("dB to add", (sum_levels([0, -each]) for each in apart), _tenths),
        ),
        "Added to the louder one. Different sounds, at one place and of one weighting; two feeds of one signal "
        f"in step come to {_whole(amplitude_to_db(2))} dB more.",
    )


def _open_microphones() -> Sum:
    count = (2, 3, 4, 6, 8, 12, 16)
    return Sum(
        "Open microphones",
        f"Each doubling takes {_whole(open_microphones_loss_db(2))} dB of gain before feedback.",
        (_row("Open", count, _plain), _row("dB less", map(open_microphones_loss_db, count), _tenths)),
        "All at equal gain. Mute what nobody uses, never the announcement microphone.",
    )


def _three_to_one() -> Sum:
    times = (2, 3, 4, 5, 6, 8)
    return Sum(
        "Three to one",
        "The next microphone stands at least three times as far from a voice as its own.",
        (
            _row("Times as far", times, _plain),
            _row("Leaks, dB", (-microphone_distance_ratio_db(far, 1) for far in times), _tenths),
        ),
        "Equal voices at equal gains; a stereo pair is exempt.",
    )


def _comb() -> Sum:
    metres = (0.1, 0.2, 0.3, 0.5, 1, 2)
    return Sum(
        "One sound twice",
        f"{_whole(comb_nulls_hz(1)[0])} divided by the metres that one way is longer: the first gap, in Hz. "
        "The others are 3, 5, 7 times that.",
        (
            _row("Metres longer", metres, _plain),
            _row("First gap, Hz", (comb_nulls_hz(each)[0] for each in metres), _whole),
        ),
        "Full gaps only where both are equally loud. Moving the microphone moves them; no equaliser fills them.",
    )


def _load() -> Sum:
    count = (1, 2, 3, 4)
    return Sum(
        "Boxes on one channel",
        "Of equal boxes side by side: the impedance of one, divided by how many.",
        (
            _row("Boxes", count, _plain),
            *(
                _row(f"of {ohms} Ω, Ω", (parallel_impedance([ohms] * each) for each in count), _tenths)
                for ohms in (4, 8, 16)
            ),
        ),
        "Nominal. Never below the least that the amplifier's maker allows.",
    )


def _circuit() -> Sum:
    amps = (10, 13, 15, 16, 20, 32)
    return Sum(
        "Load on a circuit",
        f"Amperes × volts × {PLANNING_FRACTION:g}: so many VA to plan for.",
        (
            _row("Amperes", amps, _plain),
            *(
                _row(f"{volts} V, VA", (circuit_load(each, volts) for each in amps), _whole)
                for volts in (230, 120)
            ),
        ),
        "What the amplifiers draw, not what they give. Planning only: a competent person decides, by local "
        "rules.",
    )


def _exposure() -> Sum:
    levels = (85, 88, 91, 94, 97, 100, 103)
    return Sum(
        "Ears",
        f"{SCHEME.criterion_dba:g} dBA for {SCHEME.hours:g} h fills a day's share; each "
        f"{SCHEME.exchange_db:g} dB more halves the time.",
        (
            _row("dBA", levels, _plain),
            _row("Minutes", (60 * allowed_hours(each, SCHEME.name) for each in levels), _plain),
        ),
        f"{SCHEME.name}, for people at work: a reference, not a permission. Other rules count otherwise, and "
        "limits for an audience are local.",
    )
