"""The watts that a level at a distance wants."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "power for a level",
        "{act} want {level_db} of direct sound in the last row at {place}, {distance_m} away, and {headroom_db} above that for peaks. "
        "The loudspeaker gives {sensitivity_db} with 1 W at 1 m.",
        "How many watts must the amplifier deliver?",
        {
            "level_db": Range(90, 98, 2, 1),
            "headroom_db": Range(3, 9, 3, 1),
            "distance_m": Range(8, 24, 4, 1, other=("ft", 25, 80, 5)),
            "sensitivity_db": Range(96, 104, 2, 1),
        },
        "How many decibels are missing to the level, the distance and the peaks counted? Ten decibels are ten times the "
        "power.",
        slips=(
            Slip(
                "distance left out",
                lambda power_w, distance_m: power_w / distance_m**2,
                "The sensitivity is for one metre.",
            ),
            Slip(
                "distance counted once",
                lambda power_w, distance_m: power_w / distance_m,
                "Twice as far wants four times the power.",
            ),
        ),
    ),
    "level",
    version=2,
)
