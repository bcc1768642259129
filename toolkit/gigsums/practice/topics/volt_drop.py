"""What is lost along a mains cable."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "volt drop",
        "{current_a} flow through {length_m} of mains cable with conductors of {area_mm2} at {place}. The supply is "
        "{voltage_v}, single phase, and the copper is at {temperature_c}.",
        "How many volts are lost on the way?",
        {
            "current_a": Range(4, 28, 2, 1),
            "length_m": Range(10, 90, 10, 1, other=("ft", 30, 300, 10)),
            "area_mm2": Options((1.5, 2.5, 4, 6)),
            "voltage_v": Options((120, 230)),
            "temperature_c": Options((20,)),
        },
        "Resistance times current, for the copper out and the copper back.",
        slips=(
            Slip(
                "per cent given for volts",
                lambda drop_v, voltage_v: 100 * drop_v / voltage_v,
                "That is the share of the supply, in per cent.",
            ),
        ),
    ),
    "power and cables",
)
