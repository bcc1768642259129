"""How near carriers come to what they make of each other."""

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "radio intermodulation",
        "Radio microphones at {place} send on {frequencies_mhz}.",
        "How near does a third-order product come to one of these carriers?",
        {
            "carrier_1_mhz": Range(606, 610, 0.2, 0.1),
            "carrier_2_mhz": Range(611, 614, 0.2, 0.1),
            "carrier_3_mhz": Range(615, 622, 0.2, 0.1, since=2),
        },
        "Write down twice each carrier less each other, and with three carriers any two together less the third; then "
        "look how near each lies to a carrier.",
        slips=(
            Slip(
                "distance between the carriers halved",
                lambda gap_mhz: gap_mhz / 2,
                "Measure from the product to the carrier.",
            ),
        ),
    ),
    "recording and radio",
)
