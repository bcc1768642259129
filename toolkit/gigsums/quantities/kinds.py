"""The kinds of quantity that calculators, problems and sheets use, with the ranges of what may be typed.

Another range: `DISTANCE.within(0, 40)`. Other decimals: `DECIBELS.shown_to(2)`.
"""

from __future__ import annotations

from dataclasses import replace

from .kind import Kind, Unit

_M = Unit("m", also=("metre", "metres", "meter", "meters"), decimals=2)
_FT = Unit("ft", 0.3048, also=("'", "foot", "feet"), decimals=2)
_SHORT = (
    Unit("cm", 0.01, decimals=1),
    Unit("mm", 0.001, decimals=0),
    Unit("in", 0.0254, also=('"', "inch", "inches", "''")),
)
_S = ("sec", "secs", "second", "seconds")
_MS = ("msec", "millisecond", "milliseconds")
_V = ("volt", "volts", "Vrms")
_OHMS = ("ohm", "ohms", "R")
_DECIBEL = ("decibel", "decibels")
_DB = Unit("dB", also=_DECIBEL)
_HZ = (Unit("Hz", also=("hertz",), decimals=0), Unit("kHz", 1000, also=("k", "kilohertz"), decimals=2))

DISTANCE = Kind("distance", (_M, _FT, *_SHORT), 0.1, 300, figures=3, parts=True, other="ft")
PATH = DISTANCE.within(0.01)
POSITION = DISTANCE.within(0)
WAVELENGTH = Kind("wavelength", (_M, _FT, *_SHORT), figures=3, other="ft")
AREA = Kind(
    "area",
    (Unit("m²", also=("m2", "sqm")), Unit("ft²", 0.3048**2, also=("ft2", "sqft", "sq ft"))),
    0.1,
    1e5,
    other="ft²",
)
VOLUME = Kind(
    "volume",
    (Unit("m³", also=("m3",)), Unit("ft³", 0.3048**3, also=("ft3", "cu ft"))),
    20,
    100_000,
    decimals=0,
    other="ft³",
    step=0,
)
DELAY = Kind(
    "delay",
    (Unit("ms", also=_MS), Unit("s", 1000, also=_S, decimals=4), Unit("μs", 0.001, also=("us",), decimals=0)),
    0,
    10_000,
    figures=3,
)
REVERBERATION = Kind(
    "reverberation time",
    (Unit("s", also=_S, decimals=2), Unit("ms", 0.001, also=_MS, decimals=0)),
    0.1,
    10,
    step=0.1,
)
_HOUR = Unit("h", also=("hr", "hrs", "hour", "hours"), decimals=2)
_MINUTE = Unit("min", 1 / 60, also=("mins", "minute", "minutes", "m"))
DURATION = Kind(
    "duration",
    (_HOUR, _MINUTE, Unit("s", 1 / 3600, also=_S, decimals=0)),
    0,
    24,
    parts=True,
    other="min",
    ceiling=24,
    step=0.25,
)
RUNNING_TIME = Kind(
    "running time",
    (Unit("s", also=_S, decimals=0), replace(_HOUR, factor=3600), replace(_MINUTE, factor=60)),
    1,
    86_400,
    parts=True,
    other="h",
)
TEMPERATURE = Kind(
    "temperature",
    (Unit("°C", also=("C", "degC", "deg C")), Unit("°F", 5 / 9, -160 / 9, also=("F", "degF", "deg F"))),
    -20,
    50,
    other="°F",
)
SPEED = Kind(
    "speed",
    (
        Unit("m/s", also=("m/sec", "metres per second", "meters per second", "metres a second")),
        Unit("ft/s", 0.3048, also=("ft/sec", "feet per second", "feet a second")),
    ),
    0,
    other="ft/s",
)
GAIN = Kind("gain", (_DB,), -20, 80)
DECIBELS = Kind("difference in level", (_DB,), -200, 200)
LEVEL = Kind(
    "level",
    (
        Unit(
            "dB",
            also=(*_DECIBEL, "dB SPL", "dBSPL", "dBA", "dB(A)", "dB (A)", "dBC", "dB(C)", "dBZ", "dB(Z)"),
        ),
    ),
    0,
    150,
)
SPL = Kind("sound level", (Unit("dB SPL", also=("dB", "dBSPL", *_DECIBEL)),), 0, 150)
DBA = Kind("A-weighted level", (Unit("dBA", also=("dB(A)", "dB (A)", "dB A", "dB", *_DECIBEL)),), 0, 150)
DBU = Kind("level", (Unit("dBu"),), -130, 30)
DBV = Kind("level", (Unit("dBV"),), -132.2, 27.8)
DBFS = Kind("level", (Unit("dBFS", also=("dB FS",)),), -150, 0)
SPEAKER_SENSITIVITY = Kind("sensitivity", (Unit("dB", also=("dB SPL", "dB (1 W, 1 m)")),), 70, 120)
SENSITIVITY = Kind(
    "sensitivity", (Unit("mV/Pa", also=("mV",)), Unit("V/Pa", 1000, decimals=4)), 0.1, 100, figures=3, step=0
)
VOLTAGE = Kind(
    "voltage",
    (Unit("V", also=_V), Unit("mV", 0.001, also=("millivolt", "millivolts"))),
    0,
    1000,
    figures=3,
    step=0,
)
SUPPLY = Kind("supply voltage", (Unit("V", also=_V),), 90, 260)
CURRENT = Kind(
    "current", (Unit("A", also=("amp", "amps", "ampere", "amperes")), Unit("mA", 0.001)), 0.01, 1000
)
POWER = Kind(
    "power",
    (
        Unit("W", also=("watt", "watts"), decimals=0),
        Unit("kW", 1000, also=("kilowatt", "kilowatts"), decimals=2),
    ),
    0.1,
    20_000,
    figures=3,
    step=0,
)
POWER_FACTOR = Kind("power factor", (Unit(""),), 0.3, 1, decimals=2, step=0.05)
IMPEDANCE = Kind(
    "impedance",
    (Unit("Ω", also=_OHMS), Unit("kΩ", 1000, also=("k", "kohm"), decimals=3)),
    1,
    1000,
    figures=3,
    step=0,
)
LINE_IMPEDANCE = Kind(
    "impedance",
    (*IMPEDANCE.units, Unit("MΩ", 1e6, also=("M", "Mohm"), decimals=3)),
    1,
    10e6,
    figures=3,
    step=0,
)
CABLE_AREA = Kind("conductor area", (Unit("mm²", also=("mm2", "sqmm")),), 0.5, 70, decimals=2, step=0.5)
FREQUENCY = Kind("frequency", _HZ, 20, 20_000, figures=3, step=0)
SAMPLE_RATE = Kind("sample rate", _HZ, 8000, 384_000, figures=3)
RADIO = Kind(
    "radio frequency",
    (Unit("MHz", also=("mhz", "M", "megahertz")), Unit("GHz", 1000, decimals=6)),
    30,
    6000,
    decimals=3,
    step=0.1,
)
ANGLE = Kind("angle", (Unit("°", also=("deg", "degree", "degrees"), glued=True),), 1, 170)
BPM = Kind("tempo", (Unit("BPM"),), 20, 300)
BEATS = Kind(
    "length in beats", (Unit("beats", also=("beat",)),), 0.01, 64, decimals=3, fractions=True, step=0.25
)
OCTAVES = Kind(
    "bandwidth",
    (Unit("oct", also=("octave", "octaves")),),
    0.01,
    10,
    decimals=2,
    figures=3,
    fractions=True,
    step=0.5,
)
Q = Kind("Q", (Unit(""),), 0.1, 100, decimals=2, figures=3, step=0)
RATIO = Kind("ratio", (Unit(":1", also=(": 1",), glued=True),), 1, 100)
COUNT = Kind("count", (Unit(""),), 0, 100_000, decimals=0, whole=True)
PERCENT = Kind("percentage", (Unit("%", also=("percent", "per cent")),), 0, 100)
BYTES = Kind(
    "size",
    (
        Unit("B", decimals=0),
        Unit("GB", 1e9, also=("gigabyte", "gigabytes")),
        Unit("GiB", 2**30),
        Unit("MB", 1e6, also=("megabyte", "megabytes")),
        Unit("TB", 1e12, also=("terabyte", "terabytes"), decimals=2),
    ),
    0,
    figures=3,
)
NUMBER = Kind("number", (Unit(""),), 1e-6, 1e6, decimals=2, figures=3, step=0)
PHASE = Kind("phase", (Unit("°", also=("deg", "degree", "degrees"), glued=True),))
SAMPLES = Kind(
    "number of samples", (Unit("samples", also=("sample",)),), 0, 1e6, whole=True, decimals=0, step=0
)
BITS = Kind("sample size", (Unit("bit", also=("bits",)),), 8, 64, whole=True, decimals=0, step=8)
MICROPHONES = Kind("number of microphones", (Unit(""),), 1, 64, whole=True, decimals=0)
KILOWATTS = Kind(
    "power", (Unit("kW", decimals=2), Unit("W", 0.001, decimals=0)), 0.01, 1000, figures=3, step=0
)
KILOVOLTAMPERES = Kind("apparent power", (Unit("kVA"), Unit("VA", 0.001, decimals=0)), 0, figures=3)
FRACTION = Kind("fraction", (Unit(""),), 0.1, 1, decimals=2, step=0.05)
