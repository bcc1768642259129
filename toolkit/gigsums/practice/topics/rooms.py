"""Rooms and what is heard where in them."""

import math

from gigsums.catalogue import Slip

from ..sums import Calculation, Options, Range, sum_topic
from .time_and_distance import NEAR_ENOUGH, NEVER, air_slips

TOPICS = (
    # How wide a loudspeaker covers
    sum_topic(
        Calculation(
            "coverage width",
            "A loudspeaker at {place} covers {angle_deg}.",
            "How wide is that {distance_m} in front of it?",
            {
                "angle_deg": Range(40, 100, 10, 5),
                "distance_m": Range(5, 30, 1, 0.5, other=("ft", 15, 100, 1)),
            },
            "Half the width lies to each side: the distance times the tangent of half the angle.",
            slips=(
                Slip(
                    "degrees taken for radians",
                    lambda angle_deg, distance_m: 2 * distance_m * math.tan(angle_deg / 2),
                    "What does your calculator take an angle in?",
                ),
            ),
        ),
        "rooms",
        version=2,
    ),
    # Where the room takes over from a loudspeaker
    sum_topic(
        Calculation(
            "critical distance",
            "Inside {place} there are {volume_m3} of air, and it rings for {reverberation_s}. One loudspeaker with a directivity "
            "factor of {directivity} stands in it.",
            "At what distance is the room as loud as the loudspeaker?",
            {
                "volume_m3": Range(800, 6000, 200, 50, other=("ft³", 30_000, 200_000, 1000)),
                "reverberation_s": Range(0.8, 2.4, 0.2, 0.1),
                "directivity": Range(2, 15, 1, 0.5),
            },
            "0.057 times the root of directivity times volume over reverberation time, in metres.",
            slips=(
                Slip(
                    "root left out",
                    lambda critical_m: 0.057 * (critical_m / 0.057) ** 2,
                    "Area goes with the square of a distance.",
                ),
            ),
        ),
        "rooms",
        version=2,
    ),
    # How far down a loudspeaker looks
    sum_topic(
        Calculation(
            "down-tilt",
            "A loudspeaker stands {height_m} high at {place} and is to look at ears {ear_height_m} high, {distance_m} away along the floor.",
            "How far down must it look?",
            {
                "height_m": Range(3, 5, 0.2, 0.1),
                "ear_height_m": Options((1.1, 1.2, 1.6, 1.7)),
                "distance_m": Range(6, 20, 2, 0.5, other=("ft", 20, 65, 1)),
            },
            "The drop over the distance is the tangent of the angle; the drop ends at the ears.",
            slips=(
                Slip(
                    "radians given for degrees",
                    lambda tilt_deg: math.radians(tilt_deg),
                    "What does your calculator give an angle in?",
                ),
                Slip(
                    "a rise in per cent given",
                    lambda height_m, ear_height_m, distance_m: 100 * (height_m - ear_height_m) / distance_m,
                    "That is a slope in per cent. An angle was asked for.",
                ),
            ),
        ),
        "rooms",
        version=2,
    ),
    # How long a room rings
    sum_topic(
        Calculation(
            "reverberation time",
            "Inside {place} there are {volume_m3} of air and as much absorption as {absorption_m2} of open window.",
            "How long does it ring, by Sabine?",
            {
                "volume_m3": Range(1200, 4000, 200, 20, other=("ft³", 42_000, 140_000, 1000)),
                "absorption_m2": Range(200, 500, 20, 5),
            },
            "0.161 times the volume over the absorption, in metres.",
            nudge="A large room rings longer, a soft one shorter. The constant is for metres.",
        ),
        "rooms",
        version=2,
    ),
    # The low notes that a small room favours; a hall has so many modes that none stands out
    sum_topic(
        Calculation(
            "room mode",
            "In the dressing room at {place} two hard walls stand {length_m} apart. The air is at {temperature_c}.",
            "At what frequency does mode {order} lie, the one with that many half waves between them?",
            {
                "length_m": Range(2.5, 7, 0.5, 0.1, other=("ft", 8, 23, 1)),
                "order": Options((1, 2, 3)),
                "temperature_c": Range(5, 35, 5, 1, never=NEVER),
            },
            "A wave fits where the way there and back is a whole number of wavelengths.",
            slips=(
                Slip(
                    "a quarter wave fitted",
                    lambda mode_hz, order: math.nan if order == 2 else mode_hz / 2,
                    "Both ends are walls: half waves fit.",
                ),
                Slip(
                    "the first mode given for a higher one",
                    lambda mode_hz, order: mode_hz / order if order > 1 else math.nan,
                    "How many half waves are to fit between the walls?",
                ),
                *air_slips(),
            ),
            share=NEAR_ENOUGH,
        ),
        "rooms",
        version=3,
        least_slips=4,
    ),
)
