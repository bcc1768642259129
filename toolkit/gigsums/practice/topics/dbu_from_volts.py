"""A voltage as dBu."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "dBu from volts",
        "{who} measures {voltage_v} RMS at an output at {place}.",
        "What is that in dBu?",
        {"voltage_v": Range(0.1, 9, 0.1, 0.05)},
        "Twenty times the logarithm of the voltage over 0.775 V.",
        slips=(
            Slip(
                "ten times the logarithm",
                lambda voltage_v: 10 * math.log10(voltage_v / math.sqrt(0.6)),
                "Voltages go with twenty times the logarithm.",
            ),
            Slip(
                "sign turned round",
                lambda level_dbu: -level_dbu,
                "Is that more than 0.775 V, or less?",
            ),
        ),
    ),
    "gain structure",
    version=3,
)
