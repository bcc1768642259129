"""The size of a generator."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "generator",
        "{act} play at {ground}. Everything together takes {load_kw} with a power factor of {power_factor}. "
        "The generator is to run at no more than {loading} of its rating.",
        "How large must it be, in kVA?",
        {
            "load_kw": Range(2, 30, 1, 0.2),
            "power_factor": Range(0.6, 0.95, 0.05, 0.01),
            "loading": Options((0.7, 0.75, 0.8)),
        },
        "Watts over the power factor are volt-amperes; over the share to be used they are the rating.",
        slips=(
            Slip(
                "power factor left out",
                lambda load_kw, loading: load_kw / loading,
                "A generator is rated in kVA. What turns watts into volt-amperes?",
            ),
        ),
        nudge="Two things make it larger than the load in kilowatts.",
    ),
    "power and cables",
    version=2,
)
