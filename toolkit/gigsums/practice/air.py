"""What people make of the temperature of the air when they leave it out, round it off or take it in another unit."""

from __future__ import annotations

import math
from collections.abc import Callable

from gigsums.catalogue import Slip
from gigsums.formulas.timing import speed_of_sound

from .sums import FAHRENHEIT

USUAL_C = 20
ROUND_M_S = 340
NEAR_ENOUGH = 0.0035
"""Tolerance as a share: less than half of what a speed from memory makes of any temperature that is drawn."""
NEVER = (10.2, 27.8)
"""Temperatures in °C that are not drawn: a speed from memory, 340 to 345 m/s, could pass there."""
_HINT = "The air has a temperature here. Is sound as fast on every day?"


def slower(temperature_c: float, speed_m_s: float) -> float:
    """How many times as fast as in air of this temperature a speed from memory is."""
    return speed_m_s / float(speed_of_sound(temperature_c))


def as_celsius(temperature_c: float) -> float:
    """The speed of somebody who puts the degrees Fahrenheit into a formula for Celsius [m/s]."""
    return 331.3 * math.sqrt(1 + (1.8 * temperature_c + 32) / 273.15)


def slips(offset: bool = False) -> tuple[Slip, ...]:
    """Slips of an answer called `value` that goes with the speed of sound, or is a delay with an offset on top."""
    usual = float(speed_of_sound(USUAL_C))
    speeds: list[tuple[str, Callable[[float], float], str]] = [
        ("air taken at 20 °C", lambda temperature_c: usual, _HINT),
        ("340 m/s whatever the temperature", lambda temperature_c: ROUND_M_S, _HINT),
        (FAHRENHEIT, as_celsius, "Bring the temperature to °C first."),
    ]
    if offset:
        speeds.append(("three milliseconds a metre", lambda temperature_c: 1000 / 3, _HINT))
    return tuple(Slip(name, (_delay if offset else _in_step)(speed), hint) for name, speed, hint in speeds)


def _in_step(speed: Callable[[float], float]) -> Callable[..., float]:
    return lambda value, temperature_c: value * slower(temperature_c, speed(temperature_c))


def _delay(speed: Callable[[float], float]) -> Callable[..., float]:
    return lambda value, temperature_c, offset_ms: (
        (value - offset_ms) / slower(temperature_c, speed(temperature_c)) + offset_ms
    )
