"""How soon a level uses up a day's share of sound."""

from ..sums import Options, Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "time at a level",
        "{who} works at the side of the stage at {place}, where the meter shows {exposure_dba} at the ear all evening. "
        "The sum is made by the scheme called {scheme}.",
        "How soon is a whole day's share used up?",
        {
            "exposure_dba": Range(88, 106, 2, 1),
            "scheme": Options(("EU upper action", "EU lower action", "NIOSH", "OSHA compliance")),
        },
        "Eight hours at the level the scheme starts from, and half the time for each step of its exchange rate above it.",
        nudge="At which level does this scheme allow eight hours, and what halves the time: 3 dB or 5 dB?",
    ),
    "ears",
)
