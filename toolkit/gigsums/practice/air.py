"""What people make of the temperature of the air when they leave it out, round it off or take it in another unit."""

from __future__ import annotations

import math

from gigsums.catalogue import Slip
from gigsums.formulas.timing import speed_of_sound

from .sums import FAHRENHEIT

USUAL_C = 20
ROUND_M_S = 340
NEAR_ENOUGH = 0.0035
"""Tolerance as a share: less than half of what a speed from memory makes of any temperature that is drawn."""
NEVER = (10.2, 24.8)
"""Temperatures in °C that are not drawn: an answer could not show that they were left out."""
TO_CELSIUS = "Bring the temperature to °C first."
_HINT = "The air has a temperature here. Is sound as fast on every day?"


def slower(temperature_c: float, speed_m_s: float) -> float:
    """How many times as fast as in air of this temperature a speed from memory is."""
    return speed_m_s / float(speed_of_sound(temperature_c))


def as_celsius(temperature_c: float) -> float:
    """The speed of somebody who puts the degrees Fahrenheit into a formula for Celsius [m/s]."""
    return 331.3 * math.sqrt(1 + (1.8 * temperature_c + 32) / 273.15)


def slips(power: int = 1) -> tuple[Slip, ...]:
    """Slips of an answer called `value` that goes with the speed of sound, or with its inverse: `power` -1."""
    usual = float(speed_of_sound(USUAL_C))
    return (
        Slip(
            "air taken at 20 °C",
            lambda value, temperature_c: value * slower(temperature_c, usual) ** power,
            _HINT,
        ),
        Slip(
            "340 m/s whatever the temperature",
            lambda value, temperature_c: value * slower(temperature_c, ROUND_M_S) ** power,
            _HINT,
        ),
        Slip(
            FAHRENHEIT,
            lambda value, temperature_c: value * slower(temperature_c, as_celsius(temperature_c)) ** power,
            TO_CELSIUS,
        ),
    )
