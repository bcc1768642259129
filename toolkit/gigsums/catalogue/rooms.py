"""Room and coverage."""

from __future__ import annotations

import math

from gigsums.formulas import rooms, speakers
from gigsums.quantities import (
    ANGLE,
    AREA,
    COUNT,
    DISTANCE,
    FREQUENCY,
    POSITION,
    REVERBERATION,
    TEMPERATURE,
    VOLUME,
    Q,
)

from .declaration import OVERHEAD, PLAN, Calculator, Input, Note, Result, Slip

CALCULATORS = (
    Calculator(
        key="reverberation time",
        question="How long does this room ring?",
        moment="advance",
        inputs=(Input("volume_m3", "Volume", VOLUME, 2400), Input("absorption_m2", "Absorption", AREA, 240)),
        results=(
            Result("reverberation_s", "Reverberation time", REVERBERATION, rooms.reverberation_time_sabine),
        ),
        line="{volume_m3} with {absorption_m2} of absorption: {reverberation_s}",
        slips=(
            Slip(
                "constant for feet used with metres",
                lambda reverberation_s: reverberation_s * 0.3048,
                "0.161 goes with metres, 0.049 with feet.",
            ),
            Slip(
                "upside down",
                lambda reverberation_s: 0.161**2 / reverberation_s,
                "More volume rings longer, more absorption shorter.",
            ),
        ),
        caution=f"Without the air, and for evenly spread absorption; an audience adds its own. {PLAN}",
        picture="decay",
        words="rt60 sabine absorption decay",
    ),
    Calculator(
        key="critical distance",
        question="Where does the room take over from the loudspeaker?",
        moment="advance",
        inputs=(
            Input("volume_m3", "Volume", VOLUME, 2400),
            Input("reverberation_s", "Reverberation time", REVERBERATION, 1.6),
            Input("directivity", "Directivity factor", Q.within(1, 100), 5),
        ),
        results=(Result("critical_m", "Critical distance", DISTANCE, rooms.critical_distance_m),),
        line="{volume_m3}, {reverberation_s}, directivity {directivity}: {critical_m}",
        slips=(
            Slip(
                "directivity left out",
                lambda critical_m, directivity: critical_m / math.sqrt(directivity),
                "A loudspeaker that aims carries further before the room takes over.",
            ),
        ),
        caution=f"One loudspeaker; every further one brings the room nearer. {PLAN}",
        picture="direct and room",
        words="direct reverberant field intelligibility speech",
    ),
    Calculator(
        key="room mode",
        question="Which low note does this length favour?",
        moment="sound check",
        inputs=(
            Input("length_m", "Length", DISTANCE, 12),
            Input("order", "Order", COUNT.within(1, 20), 1, behind=True),
            Input("temperature_c", "Air", TEMPERATURE, 20, behind=True),
        ),
        results=(Result("mode_hz", "Mode", FREQUENCY, rooms.room_mode_hz),),
        line="{length_m} at {temperature_c}, order {order}: {mode_hz}",
        slips=(
            Slip(
                "whole wavelength fitted",
                lambda mode_hz: 2 * mode_hz,
                "Half a wave fits between two walls, so it is the speed over twice the length.",
            ),
        ),
        caution="Between two hard parallel walls of a small room; in a hall no single mode stands out. Moving changes more than a filter.",
        picture="standing wave",
        words="standing wave bass boom resonance",
    ),
    Calculator(
        key="coverage width",
        question="How wide does this loudspeaker cover?",
        moment="load-in",
        inputs=(
            Input("distance_m", "Distance", DISTANCE, 10),
            Input("angle_deg", "Coverage angle", ANGLE, 60),
        ),
        results=(Result("width_m", "Width", DISTANCE, speakers.coverage_width_m),),
        line="{angle_deg} at {distance_m}: {width_m} wide",
        slips=(
            Slip(
                "whole angle in the tangent",
                lambda distance_m, angle_deg: distance_m * math.tan(math.radians(angle_deg)),
                "Half the angle lies on each side of the axis: take its tangent twice.",
            ),
            Slip("one side only", lambda width_m: width_m / 2, "The other side counts as well."),
        ),
        caution=f"Where the level is 6 dB down at high frequencies; lows spread wider. {PLAN}",
        picture="level over the floor",
        words="throw dispersion horn angle audience area",
    ),
    Calculator(
        key="down-tilt",
        question="How far down should it look?",
        moment="load-in",
        inputs=(
            Input("height_m", "Loudspeaker height", POSITION.within(most=50), 3.2),
            Input("ear_height_m", "Ear height", POSITION.within(most=50), 1.2),
            Input("distance_m", "Distance along the floor", DISTANCE, 12),
        ),
        results=(Result("tilt_deg", "Down by", ANGLE, speakers.down_tilt_deg),),
        line="{height_m} to {ear_height_m} at {distance_m}: {tilt_deg} down",
        slips=(
            Slip(
                "floor taken for the ear",
                lambda height_m, distance_m: math.degrees(math.atan(height_m / distance_m)),
                "People listen at ear height, not on the floor.",
            ),
            Slip(
                "turned over",
                lambda height_m, ear_height_m, distance_m: math.degrees(
                    math.atan2(distance_m, height_m - ear_height_m)
                ),
                "That is the angle from the vertical: height over distance, not distance over height.",
            ),
        ),
        notes=(Note("It looks up: the ears are above it.", lambda tilt_deg: tilt_deg < 0),),
        caution=OVERHEAD,
        picture="level over the floor",
        words="tilt angle aim height balcony",
    ),
)
