"""What it costs to feed one source to several inputs."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "loading a source",
        "A source of {source_ohm} at {place} feeds inputs of {impedances_ohm}, side by side.",
        "By how much does that change its level? A loss has a minus sign.",
        {
            "source_ohm": Range(100, 600, 50, 10),
            "impedances_ohm": Options(
                (600, 1000, 1200, 1500, 2000, 2400, 3000), many=((2, 2), (2, 3), (3, 3))
            ),
        },
        "Inputs side by side make one smaller load; source and load divide the voltage.",
        slips=(
            Slip("sign turned round", lambda loss_db: -loss_db, "The source is loaded: its level falls."),
            Slip(
                "taken as power",
                lambda loss_db: loss_db / 2,
                "It is a voltage that is divided: twenty times the logarithm.",
            ),
        ),
        within=0.1,
    ),
    "gain structure",
    version=3,
)
