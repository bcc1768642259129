"""Sound under way: delays, wavelengths, combs, the speed of sound, and what people make of the temperature of the air."""

import math
from collections.abc import Callable

from gigsums.catalogue import Slip
from gigsums.formulas.timing import speed_of_sound
from gigsums.quantities import DELAY, SPEED

from ..sums import FAHRENHEIT, Approximation, Calculation, Options, Range, SumStep, sum_topic

USUAL_C = 20
ROUND_M_S = 340
NEAR_ENOUGH = 0.0035
"""Tolerance as a share: less than half of what a speed from memory makes of any temperature that is drawn."""
NEVER = (10.2, 27.8)
"""Temperatures in °C that are not drawn: a speed from memory, 340 to 345 m/s, could pass there."""
_HINT = "The air has a temperature here. Is sound as fast on every day?"


def _slower(temperature_c: float, speed_m_s: float) -> float:
    """How many times as fast as in air of this temperature a speed from memory is."""
    return speed_m_s / float(speed_of_sound(temperature_c))


def _as_celsius(temperature_c: float) -> float:
    """The speed of somebody who puts the degrees Fahrenheit into a formula for Celsius [m/s]."""
    return 331.3 * math.sqrt(1 + (1.8 * temperature_c + 32) / 273.15)


def air_slips(offset: bool = False) -> tuple[Slip, ...]:
    """Slips of an answer called `value` that goes with the speed of sound, or is a delay with an offset on top."""
    usual = float(speed_of_sound(USUAL_C))
    speeds: list[tuple[str, Callable[[float], float], str]] = [
        ("air taken at 20 °C", lambda temperature_c: usual, _HINT),
        ("340 m/s whatever the temperature", lambda temperature_c: ROUND_M_S, _HINT),
        (FAHRENHEIT, _as_celsius, "Bring the temperature to °C first."),
    ]
    if offset:
        speeds.append(("three milliseconds a metre", lambda temperature_c: 1000 / 3, _HINT))
    return tuple(Slip(name, (_delay if offset else _in_step)(speed), hint) for name, speed, hint in speeds)


def _in_step(speed: Callable[[float], float]) -> Callable[..., float]:
    return lambda value, temperature_c: value * _slower(temperature_c, speed(temperature_c))


def _delay(speed: Callable[[float], float]) -> Callable[..., float]:
    return lambda value, temperature_c, offset_ms: (
        (value - offset_ms) / _slower(temperature_c, speed(temperature_c)) + offset_ms
    )


def _shortest(
    latency_ms: float, buffer_samples: list[float], sample_rate_hz: float, *others_ms: float
) -> float:
    waits = (*(1000 * each / sample_rate_hz for each in buffer_samples), *others_ms)
    return latency_ms - min(wait for wait in waits if wait)


BUFFERS = (16, 32, 64, 128, 256)


_LINE = (
    "Six tenths of a metre a second for each degree is a straight line laid along the curve: near enough indoors, "
    "and further off the hotter or colder it is."
)


def _without_root(temperature_c: float) -> float:
    """Nothing where it comes to a speed that people have in their heads."""
    speed = 331.3 * (1 + temperature_c / 273.15)
    return math.nan if any(abs(speed - round_one) < 1 for round_one in (343.2, ROUND_M_S)) else speed


TOPICS = (
    # The first gap of a comb
    sum_topic(
        Calculation(
            "first gap of a comb",
            "One voice reaches two open microphones at {place}; to the second it has {path_difference_m} more to go. Both "
            "are mixed at the same level. The air is at {temperature_c}.",
            "At which frequency is the first gap?",
            {
                "path_difference_m": Range(0.1, 2, 0.1, 0.05),
                "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=NEVER),
            },
            "They cancel first where the longer way is half a wavelength longer.",
            slips=(
                Slip(
                    "metres taken as feet",
                    lambda first_hz: first_hz / 0.3048,
                    "Speed and distance have to be in the same unit of length.",
                ),
                *air_slips(),
            ),
            share=NEAR_ENOUGH,
        ),
        "time and distance",
        version=3,
        least_slips=5,
    ),
    # How far a delay is off once the air has cooled or warmed
    sum_topic(
        Calculation(
            "delay drift",
            "At {ground} a delay was set in the afternoon at {temperature_c} for a difference of {distance_m} between two "
            "speakers. Late in the evening it is {later_temperature_c}.",
            "By how much must the delay be changed? Give it a minus sign if it must be shorter.",
            {
                "distance_m": Range(20, 80, 10, 1),
                "temperature_c": Range(20, 32, 2, 1),
                "later_temperature_c": Range(6, 16, 2, 1),
            },
            "Work out the time for the distance at both temperatures, and take the first from the second.",
            steps=(
                SumStep("In the afternoon", lambda temperature_c: speed_of_sound(temperature_c), SPEED),
                SumStep(
                    "In the evening", lambda later_temperature_c: speed_of_sound(later_temperature_c), SPEED
                ),
            ),
            nudge="In colder air sound is slower. Does it take longer or shorter, and by how much over this distance?",
            within=0.1,
        ),
        "time and distance",
        version=2,
    ),
    # The delay of a loudspeaker that stands some way in front of the main pair
    sum_topic(
        Calculation(
            "delay for a distance",
            "At {ground} a second pair of speakers stands further back than the main pair: sound from the mains "
            "has {distance_m} more to go to reach the people in front of it. The air is at {temperature_c}. The stage is "
            "to be heard first by {offset_ms}.",
            "What delay is to be set on the second pair?",
            {
                "distance_m": Range(10, 60, 5, 0.5, other=("ft", 30, 200, 1)),
                "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=NEVER),
                "offset_ms": Range(5, 15, 5, 1),
            },
            "Find how long sound takes over the distance at this temperature, then add what keeps the stage first.",
            steps=(
                SumStep(
                    "Speed of sound at {temperature_c}",
                    lambda temperature_c: speed_of_sound(temperature_c),
                    SPEED,
                ),
                SumStep("Time for {distance_m}", lambda travel_ms: travel_ms, DELAY),
            ),
            slips=(
                Slip(
                    "one millisecond a foot",
                    lambda distance_m, offset_ms: distance_m / 0.3048 + offset_ms,
                    "Sound is a little faster than a foot in a millisecond, and over a hall that adds up.",
                ),
                *air_slips(offset=True),
            ),
            share=NEAR_ENOUGH,
        ),
        "time and distance",
        version=3,
        least_slips=8,
    ),
    # The delay of a fill, from the distances to one listener
    sum_topic(
        Calculation(
            "setting a delay loudspeaker",
            "One place at the back of the crowd at {ground}: the mains are {main_distance_m} away, the delay speaker "
            "{own_distance_m}. The air is at {temperature_c}. The mains are to be heard first by {offset_ms}.",
            "What is to be set on the delay speaker?",
            {
                "main_distance_m": Range(25, 90, 5, 0.5, other=("ft", 80, 300, 1)),
                "own_distance_m": Range(4, 16, 1, 0.5),
                "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=NEVER),
                "offset_ms": Range(5, 15, 5, 1),
            },
            "Both sounds travel to the same seat: only the difference of the ways is to be made up, and a little more.",
            slips=(
                Slip(
                    "one millisecond a metre",
                    lambda main_distance_m, own_distance_m, offset_ms: (
                        main_distance_m - own_distance_m + offset_ms
                    ),
                    "A metre takes nearly 3 ms; it is a foot that takes about one.",
                ),
                Slip(
                    "this one's distance taken instead of the difference",
                    lambda own_ms, offset_ms: own_ms + offset_ms,
                    "How much earlier than the mains would this loudspeaker be heard without a delay?",
                ),
                *air_slips(offset=True),
            ),
            share=NEAR_ENOUGH,
        ),
        "time and distance",
        version=3,
        least_slips=8,
    ),
    # The echo that keeps to a tempo
    sum_topic(
        Calculation(
            "echo in time with the music",
            "{act} play at {tempo_bpm}. The echo on {who}'s voice is to come {beats} after the word.",
            "What is to be set on the delay?",
            {
                "tempo_bpm": Range(60, 180, 5, 1),
                "beats": Options((0.25, 0.5, 0.75, 1.5, 2)),
            },
            "A minute is 60 seconds: divide it by the beats in it, and take as many as are wanted.",
            slips=(
                Slip(
                    "sixty left out",
                    lambda tempo_bpm, beats: 1000 * beats / tempo_bpm,
                    "The tempo counts beats a minute, not beats a second.",
                ),
                Slip(
                    "one beat for whatever was asked",
                    lambda tempo_bpm: 60_000 / tempo_bpm,
                    "That is one beat. How many were asked for?",
                ),
            ),
        ),
        "time and distance",
        version=2,
    ),
    # How late a chain of buffers and converters makes the sound
    sum_topic(
        Calculation(
            "latency of a chain",
            "{who} of {act} sings through a chain with buffers of {buffer_samples}, at a sample rate of {sample_rate_hz}. "
            "The converters take {converters_ms}, the network {network_ms} and the radio link {radio_ms}.",
            "How late does it all make the voice?",
            {
                "buffer_samples": Options(BUFFERS, many=((2, 2), (2, 3), (3, 4))),
                "sample_rate_hz": Options((44_100, 48_000, 96_000)),
                "converters_ms": Range(0.5, 2, 0.5, 0.1),
                "network_ms": Range(0, 3, 1, 0.5),
                "radio_ms": Range(0, 6, 2, 0.5),
            },
            "Turn the samples of every buffer into time, and add whatever else waits.",
            slips=(
                Slip(
                    "buffers alone counted",
                    lambda buffer_samples, sample_rate_hz: 1000 * sum(buffer_samples) / sample_rate_hz,
                    "Not only the buffers take time.",
                ),
                Slip(
                    "the shortest wait left out",
                    lambda latency_ms, buffer_samples, sample_rate_hz, converters_ms, network_ms, radio_ms: (
                        _shortest(
                            latency_ms, buffer_samples, sample_rate_hz, converters_ms, network_ms, radio_ms
                        )
                    ),
                    "Go along the whole chain: how many things make the sound wait?",
                ),
            ),
        ),
        "time and distance",
        version=3,
    ),
    # How far a delay turns a frequency
    sum_topic(
        Calculation(
            "phase of a delay",
            "At {place} two subwoofers play the same, one of them {time_ms} later than the other.",
            "How far apart are they in phase at {frequency_hz}, whole turns counted too?",
            {"time_ms": Range(0.5, 6, 0.5, 0.1), "frequency_hz": Range(30, 120, 10, 1)},
            "The delay is so many periods of the frequency, and a period is a whole turn of 360°.",
            approximations=(
                Approximation(
                    "said as a lag",
                    lambda phase_deg: -phase_deg,
                    "What comes later lags, and a lag is often written with a minus sign. Asked was how far apart they are.",
                ),
            ),
            slips=(
                Slip(
                    "half a turn for a period",
                    lambda phase_deg: phase_deg / 2,
                    "How many degrees are in one whole period?",
                ),
            ),
        ),
        "time and distance",
        version=2,
    ),
    # The speed of sound in air of a temperature
    sum_topic(
        Calculation(
            "speed of sound",
            "{act} play in the open at {ground}. The air is dry, and a thermometer in the shade shows {temperature_c}.",
            "How fast is sound there?",
            {"temperature_c": Range(0, 40, 5, 1, other=("°F", 32, 100, 1), never=(18.8, 22.4))},
            "It is 331.3 m/s at 0 °C and goes with the root of the absolute temperature.",
            approximations=(
                Approximation(
                    "0.6 m/s a degree",
                    lambda temperature_c: 331.3 + 0.606 * temperature_c,
                    _LINE,
                ),
                Approximation(
                    "0.6 m/s a degree, from 331 m/s",
                    lambda temperature_c: 331 + 0.6 * temperature_c,
                    _LINE,
                ),
            ),
            slips=(
                Slip(
                    "root left out",
                    _without_root,
                    "The speed does not go with the absolute temperature itself.",
                ),
                Slip("the speed at 20 °C", lambda: speed_of_sound(USUAL_C), "Is it 20 °C there?"),
                Slip(
                    "340 m/s whatever the temperature",
                    lambda: ROUND_M_S,
                    "Is sound as fast on every day?",
                ),
            ),
            nudge="Warmer air, faster sound. Which temperature goes under the root, and counted from where?",
        ),
        "time and distance",
        version=3,
    ),
    # How long a wave is
    sum_topic(
        Calculation(
            "wavelength",
            "{who} wants to know how long a wave of {frequency_hz} is in the air at {place}, which is at {temperature_c}.",
            "How long is it?",
            {
                "frequency_hz": Range(40, 1000, 20, 1),
                "temperature_c": Range(5, 35, 5, 1, other=("°F", 40, 95, 1), never=NEVER),
            },
            "In one second sound covers its speed in metres, and that holds as many waves as the frequency says.",
            slips=(
                Slip(
                    "a quarter of it",
                    lambda wavelength_m: wavelength_m / 4,
                    "The whole wave was asked for.",
                ),
                *air_slips(),
            ),
            share=NEAR_ENOUGH,
        ),
        "time and distance",
        version=3,
        least_slips=5,
    ),
)
