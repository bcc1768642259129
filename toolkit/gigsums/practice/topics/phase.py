"""How far a delay turns a frequency."""

from gigsums.catalogue import Slip

from ..sums import Approximation, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
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
)
