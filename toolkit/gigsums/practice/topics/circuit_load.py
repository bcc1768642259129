"""What a mains circuit may be planned for."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "load on a circuit",
        "A circuit at {place} is rated at {rating_a} and {voltage_v}. The amplifiers on it have a power factor of "
        "{power_factor}. It is planned to {planning_fraction} of its rating.",
        "How many watts of mains power may be planned for it?",
        {
            "rating_a": Options((10, 13, 15, 16, 20, 30, 32)),
            "voltage_v": Options((120, 230, 240)),
            "power_factor": Range(0.6, 0.95, 0.05, 0.01),
            "planning_fraction": Options((0.8,)),
        },
        "Rating times share times supply gives volt-amperes; the power factor says how much of that is watts.",
        slips=(
            Slip(
                "share left out",
                lambda load_w, planning_fraction: load_w / planning_fraction,
                "How much of the rating is to be used?",
            ),
            Slip(
                "divided by the power factor",
                lambda load_w, power_factor: load_w / power_factor**2,
                "Are watts more than volt-amperes, or fewer?",
            ),
        ),
    ),
    "power and cables",
    version=2,
)
