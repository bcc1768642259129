"""Time and distance."""

from __future__ import annotations

from gigsums.formulas import timing
from gigsums.quantities import DELAY, PATH, TEMPERATURE

from .declaration import Calculator, Input, Note, Result, Slip

_AIR = Input("temperature_c", "Air", TEMPERATURE, 20)

CALCULATORS = (
    Calculator(
        key="delay for a distance",
        question="What delay for this distance?",
        moment="load-in",
        inputs=(
            Input("distance_m", "Distance", PATH, 25),
            _AIR,
            Input("offset_ms", "Stage heard first by", DELAY.within(0, 100), 10),
        ),
        results=(
            Result(
                "set_ms",
                "Delay to set",
                DELAY,
                timing.fill_delay_ms,
                takes={"main_distance_m": "distance_m"},
                fixed={"own_distance_m": 0},
            ),
            Result("travel_ms", "Sound is on its way for", DELAY, timing.delay_ms),
        ),
        line="{distance_m} at {temperature_c} + {offset_ms} = {set_ms}",
        slips=(
            Slip(
                "one millisecond a metre",
                lambda distance_m, offset_ms: distance_m + offset_ms,
                "A metre takes nearly 3 ms; it is a foot that takes about one.",
            ),
            Slip(
                "metres taken as feet",
                lambda travel_ms, offset_ms: 0.3048 * travel_ms + offset_ms,
                "The speed was in metres a second and the distance in feet: bring both to one unit.",
            ),
            Slip(
                "seconds read as milliseconds",
                lambda set_ms: set_ms / 1000,
                "Distance over speed gives seconds; a thousand of them make the milliseconds a desk wants.",
            ),
            Slip(
                "offset forgotten",
                lambda travel_ms: travel_ms,
                "Time of flight alone brings both sounds at once; a little more keeps the ear on the stage.",
            ),
        ),
        notes=(
            Note(
                "Undelayed, this loudspeaker would be heard as an echo. Check the longest delay of the desk.",
                lambda travel_ms: travel_ms > 50,
            ),
        ),
        caution="A starting value: finish by measurement and by ear where people stand, and again when the air "
        "has cooled.",
        picture="two arrivals",
        words="time align fill tower ring speaker loudspeaker metres feet ms",
    ),
)
