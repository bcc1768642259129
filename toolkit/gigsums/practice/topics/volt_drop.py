"""What is lost along a mains cable."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "volt drop",
        "{current_a} flow through {length_m} of mains cable with conductors of {area_mm2} at {place}. The supply is "
        "{voltage_v}, single phase, and the copper is at {temperature_c}, "
        "where a metre of 1 mm² has 0.0175 Ω.",
        "How many volts are lost on the way?",
        {
            "current_a": Range(4, 13, 1, 0.5),
            "length_m": Range(10, 60, 10, 1, other=("ft", 30, 200, 10)),
            "area_mm2": Options((1.5, 2.5, 4)),
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
    version=2,
)
