"""The current that a load draws."""

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "current of a load",
        "The amplifiers at {place} take {power_w} from a supply of {voltage_v}, with a power factor of {power_factor}.",
        "What current do they draw?",
        {
            "power_w": Range(400, 3000, 200, 50),
            "voltage_v": Options((120, 230, 240)),
            "power_factor": Range(0.6, 0.95, 0.05, 0.01),
        },
        "Watts over volts over the power factor.",
        nudge="Does a bad power factor draw more current or less?",
    ),
    "power and cables",
    version=2,
)
