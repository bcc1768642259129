"""What a loudspeaker cable takes."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "loss in a loudspeaker cable",
        "{length_m} of two-core copper of {area_mm2} lead to a load of {impedance_ohm} at {place}. The copper is at "
        "{temperature_c}, where a metre of 1 mm² has 0.0175 Ω.",
        "By how much does the cable change the level? A loss has a minus sign.",
        {
            "length_m": Range(20, 60, 10, 1, other=("ft", 60, 200, 5)),
            "area_mm2": Options((1.5, 2.5, 4)),
            "impedance_ohm": Options((4, 8)),
            "temperature_c": Options((20,)),
        },
        "The copper of both conductors stands in front of the load and shares the voltage with it.",
        slips=(
            Slip(
                "taken as power",
                lambda loss_db: loss_db / 2 if loss_db < -1 else float("nan"),
                "It is a voltage that is divided: twenty times the logarithm.",
            ),
        ),
        within=0.03,
    ),
    "power and cables",
    version=2,
)
