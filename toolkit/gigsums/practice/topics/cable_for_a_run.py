"""The cable from stock for a run along the edges of a stage."""

from gigsums.catalogue import Slip
from gigsums.formulas.cables import stock_length_m

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "cable for a run",
        "At {place} a cable runs along the edges of the stage, {dx_m} across and {dy_m} up, and {slack_m} are kept for "
        "the ends. In stock are cables of 3, 5, 10, 15 and 20 m; what is longer is joined from as few as can be, and those no longer than need be.",
        "How much cable is taken from stock for it?",
        {
            "dx_m": Range(1, 18, 1, 0.5),
            "dy_m": Range(1, 10, 1, 0.5),
            "slack_m": Options((2, 3)),
        },
        "Add the two ways and the slack, and take the next length from stock that reaches.",
        slips=(
            Slip(
                "slack left out",
                lambda dx_m, dy_m: stock_length_m(dx_m, dy_m, slack_m=0),
                "Both ends need something to spare.",
            ),
            Slip(
                "length measured, not taken from stock",
                lambda dx_m, dy_m, slack_m: abs(dx_m) + abs(dy_m) + slack_m,
                "Is there a cable of that length on the shelf?",
            ),
        ),
    ),
    "power and cables",
    version=3,
)
