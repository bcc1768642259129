"""Time and distance."""

from __future__ import annotations

import math

from gigsums.formulas import timing
from gigsums.quantities import (
    BEATS,
    BPM,
    DELAY,
    DISTANCE,
    FREQUENCY,
    PATH,
    PERCENT,
    PHASE,
    SAMPLE_RATE,
    SAMPLES,
    SPEED,
    TEMPERATURE,
    WAVELENGTH,
)

from .declaration import FIRST_DECIDES_MS, IN_EARS_MS, WEDGES_MS, Calculator, Input, Note, Result, Slip

_AIR = Input("temperature_c", "Air", TEMPERATURE, 20)
_AIR_BEHIND = Input("temperature_c", "Air", TEMPERATURE, 20, behind=True)
_OFFSET = DELAY.within(0, 100)
_BY_EAR = "A starting value: finish by measurement and by ear where people stand, and again when the air has cooled."
_COMB = Note(
    f"Two arrivals less than {FIRST_DECIDES_MS} ms apart are a comb that everybody hears; at 0 they meet in one seat only.",
    lambda offset_ms: offset_ms < FIRST_DECIDES_MS,
)
_BUFFERS = tuple(f"buffer_{number}" for number in range(1, 5))

CALCULATORS = (
    Calculator(
        key="speed of sound",
        question="How fast is sound in this air?",
        moment="load-in",
        inputs=(_AIR, Input("humidity_percent", "Humidity, if known", PERCENT, behind=True)),
        results=(Result("speed_m_s", "Speed of sound", SPEED, timing.speed_of_sound),),
        line="at {temperature_c}: {speed_m_s}",
        slips=(
            Slip(
                "temperature left out",
                lambda: 331.3,
                "331.3 m/s holds at 0 °C; every degree adds about 0.6 m/s.",
            ),
            Slip(
                "degrees Fahrenheit taken as Celsius",
                lambda temperature_c: 331.3 * math.sqrt(1 + (1.8 * temperature_c + 32) / 273.15),
                "Bring the temperature to °C first.",
            ),
        ),
        caution="Dry air unless you give a humidity; damp air is faster by half of one per cent at most.",
        words="c metres per second air temperature humidity",
    ),
    Calculator(
        key="delay for a distance",
        question="What delay for this distance?",
        moment="load-in",
        inputs=(
            Input("distance_m", "Distance", PATH, 25),
            _AIR,
            Input("offset_ms", "Stage heard first by", _OFFSET, 10),
        ),
        results=(
            Result(
                "set_ms",
                "Delay to set",
                DELAY,
                timing.fill_delay_ms,
                takes={"main_distance_m": "distance_m"},
                fixed={"own_distance_m": 0},
            ),
            Result("travel_ms", "Sound is on its way for", DELAY, timing.delay_ms),
        ),
        line="{distance_m} at {temperature_c} + {offset_ms} = {set_ms}",
        slips=(
            Slip(
                "one millisecond a metre",
                lambda distance_m, offset_ms: distance_m + offset_ms,
                "A metre takes nearly 3 ms; it is a foot that takes about one.",
            ),
            Slip(
                "metres taken as feet",
                lambda travel_ms, offset_ms: 0.3048 * travel_ms + offset_ms,
                "The speed was in metres a second and the distance in feet: bring both to one unit.",
            ),
            Slip(
                "seconds read as milliseconds",
                lambda set_ms: set_ms / 1000,
                "Distance over speed gives seconds; a thousand of them make the milliseconds a desk wants.",
            ),
            Slip(
                "offset forgotten",
                lambda travel_ms: travel_ms,
                "Time of flight alone brings both sounds at once; a little more keeps the ear on the stage.",
            ),
        ),
        notes=(
            Note(
                "Undelayed, this loudspeaker would be heard as an echo. Check the longest delay of the desk.",
                lambda travel_ms: travel_ms > 50,
            ),
            _COMB,
        ),
        caution=_BY_EAR,
        picture="two arrivals",
        words="time align fill tower ring speaker loudspeaker metres feet ms",
    ),
    Calculator(
        key="setting a delay loudspeaker",
        question="What delay for a fill or delay loudspeaker?",
        moment="load-in",
        inputs=(
            Input("main_distance_m", "Main to the listener", DISTANCE, 40),
            Input("own_distance_m", "This one to that listener", DISTANCE, 8),
            _AIR,
            Input("offset_ms", "Stage heard first by", _OFFSET, 10, behind=True),
        ),
        results=(
            Result("set_ms", "Delay to set", DELAY, timing.fill_delay_ms),
            Result(
                "main_ms",
                "Main on its way for",
                DELAY,
                timing.delay_ms,
                takes={"distance_m": "main_distance_m"},
            ),
            Result(
                "own_ms",
                "This one on its way for",
                DELAY,
                timing.delay_ms,
                takes={"distance_m": "own_distance_m"},
            ),
        ),
        line="{main_distance_m} less {own_distance_m} at {temperature_c} + {offset_ms} = {set_ms}",
        slips=(
            Slip(
                "main distance only",
                lambda main_ms, offset_ms: main_ms + offset_ms,
                "This loudspeaker's own sound is on its way too: take the difference of the two distances.",
            ),
            Slip(
                "distances added",
                lambda main_ms, own_ms, offset_ms: main_ms + own_ms + offset_ms,
                "What counts is by how much the main comes later: take one distance from the other.",
            ),
            Slip(
                "offset forgotten",
                lambda main_ms, own_ms: main_ms - own_ms,
                "That brings both at once; a little more keeps the ear on the stage.",
            ),
        ),
        notes=(_COMB,),
        caution=_BY_EAR,
        picture="two arrivals",
        words="time align fill tower ring speaker offset haas precedence",
    ),
    Calculator(
        key="delay drift",
        question="How far has the right delay moved with the weather?",
        moment="show",
        inputs=(
            Input("distance_m", "Path difference", PATH, 35),
            Input("temperature_c", "Air when it was set", TEMPERATURE, 18),
            Input("later_temperature_c", "Air now", TEMPERATURE, 8),
        ),
        results=(
            Result("drift_ms", "Change of delay", DELAY, timing.delay_drift_ms),
            Result(
                "now_ms",
                "Travel time now",
                DELAY,
                timing.delay_ms,
                takes={"temperature_c": "later_temperature_c"},
            ),
        ),
        line="{distance_m} from {temperature_c} to {later_temperature_c}: {drift_ms}",
        slips=(
            Slip(
                "sign turned round",
                lambda drift_ms: -drift_ms,
                "Colder air is slower, so the right delay gets longer.",
            ),
            Slip(
                "new delay taken for the change",
                lambda now_ms: now_ms,
                "The change is the new travel time less the old one.",
            ),
        ),
        notes=(
            Note(
                f"Less than a millisecond on top of an offset of {FIRST_DECIDES_MS} ms or more: leave it. Without an "
                "offset it is a comb: set it again.",
                lambda drift_ms: abs(drift_ms) < 1,
            ),
        ),
        caution=_BY_EAR,
        words="temperature weather cold evening retrim",
    ),
    Calculator(
        key="latency of a chain",
        question="How late does this chain make it?",
        moment="line check",
        inputs=(
            Input("buffer_1", "First buffer", SAMPLES, 64),
            Input("buffer_2", "Second buffer", SAMPLES, 64),
            Input("sample_rate_hz", "Sample rate", SAMPLE_RATE, 48_000),
            Input("buffer_3", "Third buffer", SAMPLES, behind=True),
            Input("buffer_4", "Fourth buffer", SAMPLES, behind=True),
            Input("converters_ms", "Converters", DELAY, 0, behind=True),
            Input("network_ms", "Network", DELAY, 0, behind=True),
            Input("radio_ms", "Radio link", DELAY, 0, behind=True),
        ),
        lists={"buffer_samples": _BUFFERS},
        results=(Result("latency_ms", "Latency", DELAY, timing.latency_ms),),
        line="{buffer_samples} at {sample_rate_hz} + {converters_ms} + {network_ms} + {radio_ms} = {latency_ms}",
        slips=(
            Slip(
                "one buffer counted",
                lambda buffer_samples, sample_rate_hz, latency_ms: (
                    latency_ms - 1000 * sum(buffer_samples[1:]) / sample_rate_hz
                ),
                "A signal waits in every buffer on its way, in and out.",
            ),
            Slip(
                "samples taken for milliseconds",
                lambda buffer_samples: sum(buffer_samples),
                "A sample lasts 1/48 ms at 48 kHz: divide by the rate.",
            ),
        ),
        notes=(
            Note(
                f"Too late for in-ears, where {IN_EARS_MS} ms is the usual limit.",
                lambda latency_ms: IN_EARS_MS < latency_ms <= WEDGES_MS,
            ),
            Note(
                f"Too late for wedges as well, where {WEDGES_MS} ms is the usual limit.",
                lambda latency_ms: latency_ms > WEDGES_MS,
            ),
        ),
        caution="The limits are common practice: ask the musician who hears it.",
        picture="parts of a latency",
        words="buffer samples digital radio in-ears network converter",
    ),
    Calculator(
        key="echo in time with the music",
        question="What echo keeps to this tempo?",
        moment="sound check",
        inputs=(Input("tempo_bpm", "Tempo", BPM, 96), Input("beats", "From repeat to repeat", BEATS, 0.75)),
        results=(Result("echo_ms", "Echo", DELAY, timing.tempo_delay_ms),),
        line="{tempo_bpm}, {beats} = {echo_ms}",
        slips=(
            Slip(
                "dotted eighth taken for a dotted quarter",
                lambda echo_ms, beats: 2 * echo_ms if beats == 0.75 else math.nan,
                "A dotted eighth is three quarters of a beat, a dotted quarter one and a half.",
            ),
            Slip(
                "seconds read as milliseconds",
                lambda echo_ms: echo_ms / 1000,
                "A minute is 60 000 ms.",
            ),
        ),
        caution="The beat is a quarter note: 0.75 is a dotted eighth, 1/3 an eighth triplet.",
        picture="echo on the beats",
        words="tempo bpm delay dotted triplet repeat",
    ),
    Calculator(
        key="first gap of a comb",
        question="Which frequencies go missing when one sound comes twice?",
        moment="sound check",
        inputs=(Input("path_difference_m", "One way longer by", PATH, 0.5), _AIR),
        results=(
            Result("first_hz", "First gap", FREQUENCY, timing.comb_nulls_hz, fixed={"count": 1}, pick=0),
            Result("second_hz", "Second gap", FREQUENCY, timing.comb_nulls_hz, fixed={"count": 2}, pick=1),
            Result("late_ms", "Late by", DELAY, timing.delay_ms, takes={"distance_m": "path_difference_m"}),
        ),
        line="{path_difference_m} at {temperature_c}: first gap {first_hz}",
        slips=(
            Slip(
                "whole wavelength",
                lambda first_hz: 2 * first_hz,
                "The copy has to be half a wavelength late to cancel; a whole one adds.",
            ),
            Slip(
                "quarter wavelength",
                lambda first_hz: first_hz / 2,
                "A quarter wavelength leaves the copies a quarter turn apart: nothing cancels.",
            ),
        ),
        caution="Full gaps only where both come equally loud; moving a microphone moves them, no equaliser fills them.",
        picture="comb",
        words="comb filter notch null cancel reflection two microphones",
    ),
    Calculator(
        key="phase of a delay",
        question="How far does this delay turn a frequency?",
        moment="sound check",
        inputs=(Input("time_ms", "Delay", DELAY, 2), Input("frequency_hz", "Frequency", FREQUENCY, 100)),
        results=(Result("phase_deg", "Turned by", PHASE, timing.phase_deg),),
        line="{time_ms} at {frequency_hz} = {phase_deg}",
        slips=(
            Slip(
                "milliseconds taken as seconds",
                lambda phase_deg: 1000 * phase_deg,
                "A period of 100 Hz lasts 10 ms: the delay in seconds times the frequency gives turns.",
            ),
            Slip(
                "turns taken for degrees",
                lambda phase_deg: phase_deg / 360,
                "A whole turn is 360 degrees.",
            ),
        ),
        notes=(Note("More than a whole turn.", lambda phase_deg: phase_deg > 360),),
        caution="Polarity is not delay: reversing it turns every frequency by half a turn.",
        picture="turned wave",
        words="degrees polarity turn",
    ),
    Calculator(
        key="wavelength",
        question="How long is this wave in air?",
        moment="sound check",
        inputs=(Input("frequency_hz", "Frequency", FREQUENCY, 63), _AIR_BEHIND),
        results=(
            Result("wavelength_m", "Wavelength", WAVELENGTH, timing.wavelength_m),
            Result("quarter_m", "Quarter of it", WAVELENGTH, timing.wavelength_m, times=0.25),
            Result("quarter_ms", "Quarter takes", DELAY, timing.delay_ms, takes={"distance_m": "quarter_m"}),
        ),
        line="{frequency_hz} at {temperature_c} = {wavelength_m}",
        slips=(
            Slip(
                "half wavelength",
                lambda wavelength_m: wavelength_m / 2,
                "Speed over frequency is the whole wave; half of it is what fits a room's first mode.",
            ),
            Slip(
                "upside down",
                lambda wavelength_m: 1 / wavelength_m,
                "Divide the speed by the frequency: low notes are long.",
            ),
        ),
        caution="In air; nothing here says how a loudspeaker or a room behaves at it.",
        words="wave length quarter subwoofer spacing",
    ),
)
