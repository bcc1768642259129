"""The load that boxes make side by side."""

from gigsums.catalogue import Slip

from ..sums import Options, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "loudspeakers side by side",
        "Boxes of {impedances_ohm} are to hang side by side on one amplifier channel at {place}. It takes no less than "
        "{least_ohm}.",
        "What load do they make?",
        {
            "impedances_ohm": Options((4, 8, 8, 16), many=((2, 2), (2, 3), (3, 4))),
            "least_ohm": Options((2, 4)),
        },
        "Each box lets its own current through: add the inverses, and turn the sum over.",
        slips=(
            Slip(
                "lowest taken",
                lambda impedances_ohm: min(impedances_ohm),
                "The others take current too.",
            ),
            Slip(
                "sum of the inverses left as it is",
                lambda load_ohm: 1 / load_ohm,
                "One step is missing at the end.",
            ),
        ),
    ),
    "power and cables",
    version=3,
)
