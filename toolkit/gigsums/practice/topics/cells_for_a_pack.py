"""Sets of cells for a radio pack, the spare ones included."""

from gigsums.catalogue import Slip
from gigsums.formulas.kit import battery_sets

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "cells for a pack",
        "At {place} a radio pack is on for {hours_h}. Its cells are said to last {life_h}; the house plans on "
        "{usable_part} of that, and keeps {spare_sets} spare.",
        "How many sets of cells go in the bag for it?",
        {
            "hours_h": Range(2, 14, 1, 0.5),
            "life_h": Options((4, 5, 6, 8, 10)),
            "usable_part": Options((0.7, 0.8)),
            "spare_sets": Options((1, 2)),
        },
        "Divide the hours by the part of the life that is planned on, take the next whole set, add the spare ones.",
        slips=(
            Slip(
                "spare left out",
                lambda hours_h, life_h, usable_part: battery_sets(hours_h, life_h, usable_part, 0),
                "What if a set is flat when it comes out of the case?",
            ),
            Slip(
                "all of the stated life",
                lambda hours_h, life_h, spare_sets: battery_sets(hours_h, life_h, 1, spare_sets),
                "Do cells last as long as it says on them?",
            ),
        ),
    ),
    "power and cables",
    version=3,
)
