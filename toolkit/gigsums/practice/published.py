"""Worked values that others have printed, as fixed problems: their numbers, their answer, their citation."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from gigsums.catalogue import CATALOGUE, Choice
from gigsums.quantities import Kind, read

from .marking import wanted
from .problems import Answer, Draft, Problem, clear_slips
from .questions import Question
from .sums import part_of, slips_of, values_of

_DAY = "ISO 9612:2009, Annex D, the day of three tasks"
_HANDBOOK = "F. A. Everest, The Master Handbook of Acoustics, page 163, reverberation example 2"
_SUMS = "D. Davis and E. Patronis, Sound System Engineering, section 2.15"
_LECTURE = "A. Farina, University of Parma, lecture Decibel values: sum and difference"


@dataclass(frozen=True)
class Printed:
    """One worked value as its source prints it.

    Attributes
    ----------
    calculator : str
        The sum of the catalogue that it is.
    given : mapping of str to str
        Inputs by name, as they are printed; those the source leaves open stand at what it implies.
    answer : str
        The answer as printed.
    half_step : float
        Half the last printed step, or the rounding that the source is known for [unit of the answer].
    source : str
        Where it is printed.
    remark : str
        Why the last figure differs from the toolkit's, where it does.
    """

    calculator: str
    given: Mapping[str, str]
    answer: str
    half_step: float
    source: str
    remark: str = field(default="")


PUBLISHED: Mapping[str, Printed] = MappingProxyType(
    {
        "two equal sources": Printed(
            "adding levels", {"level_1_db": "90 dB", "level_2_db": "90 dB"}, "93 dB", 0.05, _SUMS
        ),
        "two unequal sources": Printed(
            "adding levels", {"level_1_db": "90 dB", "level_2_db": "96 dB"}, "96.97 dB", 0.005, _SUMS
        ),
        "five decibels apart": Printed(
            "adding levels", {"level_1_db": "80 dB", "level_2_db": "85 dB"}, "86.2 dB", 0.05, _LECTURE
        ),
        "a room in feet, 1 kHz": Printed(
            "reverberation time",
            {"volume_m3": "3728 ft³", "absorption_m2": "339.5 ft²"},
            "0.54 s",
            0.005,
            _HANDBOOK,
            "The handbook works in feet with 0.049 for the constant; the units are turned into metres here.",
        ),
        "a room in feet, 125 Hz": Printed(
            "reverberation time",
            {"volume_m3": "3728 ft³", "absorption_m2": "370.4 ft²"},
            "0.49 s",
            0.005,
            _HANDBOOK,
            "The handbook works in feet with 0.049 for the constant; the units are turned into metres here.",
        ),
        "four distances": Printed(
            "gain before feedback",
            {
                "talker_to_microphone_m": "1 m",
                "microphone_to_speaker_m": "4 m",
                "talker_to_listener_m": "7 m",
                "speaker_to_listener_m": "6 m",
                "microphones": "1",
                "margin_db": "0 dB",
            },
            "13.5 dB",
            0.15,
            "The concept of acoustical gain, chapter 4 of a sound-system design manual, page 4-2, after Boner and Boner",
            "The manual rounds each level before it adds; unrounded, the sum is 13.4 dB.",
        ),
        "twenty microphones": Printed(
            "open microphones",
            {"microphones": "20"},
            "13 dB",
            0.05,
            "A magazine column on potential and needed acoustic gain; the issue could not be made out",
        ),
        "three tasks in a day": Printed(
            "a day's exposure",
            {
                "scheme": "EU upper action",
                "level_1_dba": "70.0 dBA",
                "time_1_h": "1.5 h",
                "level_2_dba": "80.8 dBA",
                "time_2_h": "5 h",
                "level_3_dba": "90.1 dBA",
                "time_3_h": "1.5 h",
            },
            "84.3 dBA",
            0.05,
            _DAY,
        ),
        "eighty-eight decibels, NIOSH": Printed(
            "time at a level",
            {"exposure_dba": "88 dBA", "scheme": "NIOSH"},
            "4 h",
            0.004,
            "NIOSH, page of the sound level meter app: 85 dBA for 8 h, halved for each 3 dB",
        ),
        "ninety-five decibels, OSHA": Printed(
            "time at a level",
            {"exposure_dba": "95 dBA", "scheme": "OSHA compliance"},
            "4 h",
            0.004,
            "29 CFR 1910.95(b), Table G-16",
        ),
        "ninety-two decibels, OSHA": Printed(
            "time at a level",
            {"exposure_dba": "92 dBA", "scheme": "OSHA compliance"},
            "6 h",
            0.07,
            "29 CFR 1910.95(b), Table G-16",
            "The table rounds to half hours; by its own rule the time is 6 h 4 min.",
        ),
        "eighty-six decibels, EU lower": Printed(
            "time at a level",
            {"exposure_dba": "86 dBA", "scheme": "EU lower action"},
            "2 h",
            0.004,
            "SCENIHR, Potential health risks of exposure to noise from personal music players, 2008, Table 3",
        ),
        "four octaves wide": Printed(
            "Q from octaves",
            {"octaves": "4"},
            "0.267",
            0.0005,
            "Cookbook formulae for audio EQ biquad filter coefficients, W3C Audio WG Note, the analogue band-pass",
            "The note prints the rule, 1/Q = 2 sinh(ln(2)/2 × octaves); the number is the rule worked out.",
        ),
        "European line-up": Printed(
            "line-up of a converter",
            {"level_dbfs": "−18 dBFS", "full_scale_dbu": "18 dBu"},
            "0 dBu",
            0.01,
            "EBU R68: −18 dBFS is 0.775 V",
        ),
    }
)  # fmt: skip


def published(name: str) -> Question:
    """A worked value of somebody else's, as a question.

    Parameters
    ----------
    name : str
        One of `PUBLISHED`.

    Returns
    -------
    Question

    Raises
    ------
    ValueError
        If there is none of that name; the message says which there are.
    """
    return Question(published_problem(name))


def published_problem(name: str) -> Problem:
    """A worked value of somebody else's, as a problem; its answer is worked here and not copied.

    Parameters
    ----------
    name : str
        One of `PUBLISHED`.

    Returns
    -------
    Problem

    Raises
    ------
    ValueError
        If there is none of that name; the message says which there are.
    """
    if name not in PUBLISHED:
        near = difflib.get_close_matches(str(name), PUBLISHED, n=2)
        these = f"did you mean {' or '.join(near)}?" if near else f"these are: {', '.join(PUBLISHED)}"
        raise ValueError(f"name is {str(name)[:60]!r}, which is not among the published values; {these}")
    draft = _draft(PUBLISHED[name])
    parts = vars(draft) | {"slips": clear_slips(draft)}
    return Problem(
        **parts, topic=f"published: {name}", version=1, seed=name, level=1, wanted=wanted(draft.answer)
    )


def _draft(printed: Printed) -> Draft:
    calculator = CATALOGUE[printed.calculator]
    known = calculator.work(values_of(calculator, printed.given))
    part = part_of(calculator, known)
    answer = Answer((part,))
    labels = {each.name: each.label for each in calculator.inputs}
    remark = (printed.remark,) if printed.remark else ()
    return Draft(
        shown=dict(printed.given),
        scene=f"This one is in print. {printed.source}.",
        facts=tuple(f"{labels[name]}: {text}" for name, text in printed.given.items()),
        question=f"{calculator.question} Wanted: {calculator.main.label[:1].lower()}{calculator.main.label[1:]}.",
        answer=answer,
        workings=(
            calculator.say(known, _units(printed)),
            f"In print: {printed.answer}",
            *remark,
            f"{calculator.main.label}: {answer.show()}",
        ),
        slips=slips_of(calculator, known),
        nudge="Take the numbers as they are printed, units included, and work the sum of that name.",
        caution=calculator.caution,
    )


def _units(printed: Printed) -> dict[str, str]:
    """The units the source prints its numbers in."""
    found = {}
    for each in CATALOGUE[printed.calculator].inputs:
        text = printed.given.get(each.name, "")
        if isinstance(each.kind, Choice) or not text:
            continue
        assert isinstance(each.kind, Kind)
        names = [unit.name for unit in each.kind.units if unit.name and text.endswith(unit.name)]
        if names and read(text, each.kind) is not None:
            found[each.name] = max(names, key=len)
    return found
