"""How far a delay is off once the air has cooled or warmed."""

from gigsums.formulas.timing import speed_of_sound
from gigsums.quantities import SPEED

from ..sums import Range, Sum, SumStep, sum_topic

TOPIC = sum_topic(
    Sum(
        "delay drift",
        "At {ground} a delay was set in the afternoon at {temperature_c} for a difference of {distance_m} between two "
        "speakers. Late in the evening it is {later_temperature_c}.",
        "By how much must the delay be changed? Give it a minus sign if it must be shorter.",
        {
            "distance_m": Range(20, 80, 10, 1),
            "temperature_c": Range(20, 32, 2, 1),
            "later_temperature_c": Range(6, 16, 2, 1),
        },
        "Work out the time for the distance at both temperatures, and take the first from the second.",
        steps=(
            SumStep("In the afternoon", lambda temperature_c: speed_of_sound(temperature_c), SPEED),
            SumStep("In the evening", lambda later_temperature_c: speed_of_sound(later_temperature_c), SPEED),
        ),
        nudge="In colder air sound is slower. Does it take longer or shorter, and by how much over this distance?",
        within=0.1,
    ),
    "time and distance",
    version=2,
)
