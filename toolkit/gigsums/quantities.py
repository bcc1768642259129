"""How a quantity is typed, converted and shown, with its units and range. The only place that parses units."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

__all__ = ["Kind", "NotUnderstood", "Unit", "convert", "nudge", "read", "show", "span"]


ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f\t", " "),
        **dict.fromkeys("\u2212\u2010\u2011\u2013\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2032\u2019\u2018", "'"),
        **dict.fromkeys("\u2033\u201d\u201c", '"'),
        "\u2126": "\u03a9",
        "\u00b5": "\u03bc",
        "\u00ba": "\u00b0",
    }
)


@dataclass(frozen=True)
class Unit:
    """A unit of a kind: `base = typed * factor + offset`."""

    name: str
    factor: float = 1.0
    offset: float = 0.0
    also: tuple[str, ...] = ()
    decimals: int | None = None
    glued: bool = False


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its units (the first is the base), its range and how it is shown.

    Parameters
    ----------
    name : str
        The trade's word for it, used in messages.
    units : tuple of Unit
        Base unit first; every range and every value that is passed on is in the base unit.
    least, most : float
        The range of what may be typed, ends included [base unit].
    decimals : int
        Decimals shown.
    figures : int
        Small values get further decimals until they show this many figures; 0 is never.
    whole : bool
        Only whole numbers are taken.
    parts : bool
        "6 ft 3 in" and "1 h 30 min" are taken.
    fractions : bool
        "1/3" is taken.
    other : str
        The unit to offer beside the base unit; empty for none.
    ceiling : float
        Above this only "over" it is shown [base unit].
    step : float
        How far one nudge goes, in the unit in use; 0 goes along the preferred numbers of ISO 3 (R10).
    """

    name: str
    units: tuple[Unit, ...]
    least: float = -math.inf
    most: float = math.inf
    decimals: int = 1
    figures: int = 0
    whole: bool = False
    parts: bool = False
    fractions: bool = False
    other: str = ""
    ceiling: float = math.inf
    step: float = 1.0

    @property
    def base(self) -> Unit:
        """The base unit."""
        return self.units[0]

    def within(self, least: float | None = None, most: float | None = None) -> Kind:
        """The same kind with another range.

        Parameters
        ----------
        least, most : float, optional
            Ends of the range, as before where left out [base unit].

        Returns
        -------
        Kind
            The narrower or wider kind.
        """
        return replace(
            self, least=self.least if least is None else least, most=self.most if most is None else most
        )

    def shown_to(self, decimals: int, figures: int = 0) -> Kind:
        """The same kind shown to other decimals, in every unit.

        Parameters
        ----------
        decimals : int
            Decimals shown [-].
        figures : int, optional
            Figures that small values are shown to [-].

        Returns
        -------
        Kind
            The kind, shown so.
        """
        units = tuple(replace(unit, decimals=None) for unit in self.units)
        return replace(self, units=units, decimals=decimals, figures=figures)

    def unit(self, name: str | None = None) -> Unit:
        """The unit of that name or spelling.

        Parameters
        ----------
        name : str, optional
            Name or other spelling; the base unit if left out.

        Returns
        -------
        Unit
            The unit.

        Raises
        ------
        ValueError
            If the kind has no such unit.
        """
        if name is None:
            return self.base
        found = spelt(name.translate(ALIKE).strip(), self)
        if found is None:
            raise ValueError(f"{name!r} is not a unit of {self.name}; these are: {names(self)}")
        return found


def spelt(text: str, kind: Kind) -> Unit | None:
    """The unit of a kind that a spelling stands for; None if there is none."""
    for fold in (False, True):
        for unit in kind.units:
            for spelling in (unit.name.translate(ALIKE), *unit.also):
                if text == spelling:
                    return unit
                # m and M are milli and mega, so their case is never overlooked
                alike = text.casefold() == spelling.casefold()
                if fold and alike and (text[:1] not in "mM" or text[:1] == spelling[:1]):
                    return unit
    return None


def names(kind: Kind) -> str:
    """The units of a kind, in words."""
    listed = [unit.name for unit in kind.units if unit.name]
    return " or ".join([", ".join(listed[:-1]), listed[-1]]) if len(listed) > 1 else "".join(listed)


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


LONGEST = 60
_NUMBER = re.compile(r"([+-]?) ?((?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]*)(?:[.,][0-9]*)?)")
_PART = re.compile(r" ?([0-9]+(?:[.,][0-9]+)?) ?([^0-9.,+-]+)")


class NotUnderstood(ValueError):
    """What was typed is not the quantity wanted; the message is one line.

    Attributes
    ----------
    stood : str
        What was typed, shortened.
    why : str
        What is wrong with it.
    wanted : str
        What may be typed, with the range.
    """

    def __init__(self, stood: str, why: str, wanted: str) -> None:
        super().__init__(f"{stood!r}: {why}; {wanted}" if stood else f"{why}; {wanted}")
        self.stood, self.why, self.wanted = stood, why, wanted


def _wanted(kind: Kind, unit: Unit) -> str:
    what = "a whole number" if kind.whole else f"a number in {names(kind)}" if names(kind) else "a number"
    between = ", " if len(kind.units) > 1 else " "  # "in m, ft or in, from 1 to 9 m"
    return f"{kind.name} wants {what}{between}{span(kind, unit.name)}".rstrip(", ")


def read(text: str, kind: Kind, unit: str | None = None, check: bool = True) -> float:
    """Read what a person typed.

    Parameters
    ----------
    text : str
        A number, with or without a unit: "12 ft", "74,8 ms", "−10", "1.5k".
    kind : Kind
        What kind of quantity is wanted.
    unit : str, optional
        Unit of a bare number; the base unit if left out.
    check : bool, optional
        Whether the range of the kind applies.

    Returns
    -------
    float
        The quantity [base unit of the kind].

    Raises
    ------
    NotUnderstood
        If that is not one such quantity within the range.

    Examples
    --------
    >>> from gigsums.quantities import DELAY, DISTANCE
    >>> round(read("12 ft", DISTANCE), 4)
    3.6576
    >>> read("74,8 ms", DELAY)
    74.8
    """
    bare = kind.unit(unit)
    clean = text.translate(ALIKE).strip()
    stood = clean if len(clean) <= 24 else clean[:23] + "…"

    def refuse(why: str) -> NotUnderstood:
        return NotUnderstood(stood, why, _wanted(kind, bare))

    if not clean:
        raise refuse("nothing was typed")
    if len(clean) > LONGEST:
        raise refuse(f"{len(clean)} characters are too many for one number")
    value, readings = _quantity(clean, kind, bare, refuse)
    if len(readings) > 1 and (not check or all(_inside(each, kind) for each in readings)):
        raise refuse(
            "the comma could be a decimal mark or stand between thousands, so type a point or no comma"
        )
    if not math.isfinite(value):
        raise refuse("that is not a finite number")
    if kind.whole and value != round(value):
        raise refuse("that is not a whole number")
    if check and not _inside(value, kind):
        raise refuse("that is out of range")
    # 122 °F is 50.00000000000001 °C: an end of the range, not beyond it
    return min(max(value, kind.least), kind.most) if check else value


def _inside(value: float, kind: Kind) -> bool:
    slack = 1e-12 * abs(value)
    return kind.least - slack <= value <= kind.most + slack


def _quantity(
    text: str, kind: Kind, bare: Unit, refuse: Callable[[str], NotUnderstood]
) -> tuple[float, list[float]]:
    found = _NUMBER.match(text)
    sign, digits = found.groups() if found else ("", "")
    rest = text[found.end() :].strip() if found else text
    if not re.search("[0-9]", digits):
        raise refuse("that is not a number")
    if rest[:1] in (".", ",") and re.match(r"[.,][0-9]", rest):
        raise refuse("a number has one decimal mark, so leave the other out")
    used = bare if not rest else spelt(rest, kind)
    if used is None and kind.fractions and re.fullmatch(r"/ ?[1-9][0-9]{0,3}", rest):
        value = to_base(_plain(sign, digits) / int(rest[1:]), bare)
        return value, [value]
    if used is None and kind.parts:
        total = _sum_of_parts(text, kind)
        if total is not None:
            return total, [total]
    if used is None:
        if re.match("[0-9]", rest):
            raise refuse("one number is wanted")
        shown = rest if len(rest) <= 24 else rest[:23] + "…"
        raise refuse(
            f"{shown!r} is not a unit of {kind.name}" if kind.base.name else f"{shown!r} is too much"
        )
    value = to_base(_plain(sign, digits), used)
    readings = [value]
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        readings.append(to_base(_plain(sign, digits.replace(",", "")), used))
    return value, readings


def _plain(sign: str, digits: str) -> float:
    return float(sign + digits.replace(" ", "").replace(",", "."))


def _sum_of_parts(text: str, kind: Kind) -> float | None:
    total, at, coarser = 0.0, 0, math.inf
    while at < len(text):
        part = _PART.match(text, at)
        used = spelt(part.group(2).strip(), kind) if part else None
        if part is None or used is None or used.offset or used.factor >= coarser:
            return None
        size = _plain("", part.group(1)) * used.factor
        if size >= coarser:  # "6 ft 14 in"
            return None
        total, at, coarser = total + size, part.end(), used.factor
    return total


def to_base(value: float, unit: Unit) -> float:
    """From a unit to the base unit of its kind."""
    return value * unit.factor + unit.offset


def from_base(value: float, unit: Unit) -> float:
    """From the base unit of a kind to a unit."""
    return (value - unit.offset) / unit.factor


def convert(value: float, kind: Kind, to: str | None = None, given: str | None = None) -> float:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float
        The quantity [unit `given`].
    kind : Kind
        What kind of quantity it is.
    to : str, optional
        Unit wanted; the base unit if left out.
    given : str, optional
        Unit of `value`; the base unit if left out.

    Returns
    -------
    float
        The quantity [unit `to`].

    Raises
    ------
    ValueError
        If the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import TEMPERATURE
    >>> convert(68, TEMPERATURE, given="°F")
    20.0
    """
    return from_base(to_base(value, kind.unit(given)), kind.unit(to))


def span(kind: Kind, unit: str | None = None) -> str:
    """The range of a kind in words, each end rounded inwards so that it may be typed as it stands.

    Parameters
    ----------
    kind : Kind
        What kind of quantity it is.
    unit : str, optional
        Unit to say it in; the base unit if left out.

    Returns
    -------
    str
        For example "from 0.1 to 300 m"; empty where there is no range.
    """
    used = kind.unit(unit)
    least, most = (
        _inward(from_base(kind.least, used), kind, used, 1),
        _inward(from_base(kind.most, used), kind, used, -1),
    )
    if math.isinf(kind.least) and math.isinf(kind.most):
        return ""
    if math.isinf(kind.most):
        return f"{show(to_base(least, used), kind, unit)} or more"
    if math.isinf(kind.least):
        return f"{show(to_base(most, used), kind, unit)} or less"
    return f"from {_digits(least, kind, used)} to {show(to_base(most, used), kind, unit)}"


def _inward(value: float, kind: Kind, unit: Unit, way: int) -> float:
    if math.isinf(value):
        return value
    step = 10.0 ** _places(value, kind, unit)
    nearest = round(value * step)
    if abs(nearest - value * step) > 1e-6 and (nearest - value * step) * way < 0:
        nearest += way
    return nearest / step


def _places(value: float, kind: Kind, unit: Unit) -> int:
    places = kind.decimals if unit.decimals is None else unit.decimals
    if kind.figures and value and math.isfinite(value):
        places = max(places, kind.figures - 1 - math.floor(math.log10(abs(value))))
    return min(places, 12)


def _digits(value: float, kind: Kind, unit: Unit) -> str:
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    text = f"{value:.{_places(value, kind, unit)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def show(value: float, kind: Kind, unit: str | None = None, comma: bool = False, bare: bool = False) -> str:
    """Write a quantity as a person would, rounded and with its unit.

    Parameters
    ----------
    value : float
        The quantity [base unit of the kind]; it is not checked against the range.
    kind : Kind
        What kind of quantity it is.
    unit : str, optional
        Unit to show it in; the base unit if left out.
    comma : bool, optional
        Whether the decimal mark is a comma.
    bare : bool, optional
        Whether the unit is left out.

    Returns
    -------
    str
        Number and unit.

    Raises
    ------
    ValueError
        If the value is not a number, or the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import DELAY, DISTANCE
    >>> show(74.81, DELAY)
    '74.8 ms'
    >>> show(3.6576, DISTANCE, "ft", comma=True)
    '12 ft'
    """
    if math.isnan(value):
        raise ValueError(f"{kind.name} is nan; a number is wanted")
    used = kind.unit(unit)
    over = value > kind.ceiling
    turned = from_base(kind.ceiling if over else value, used)
    digits = _digits(turned, kind, used)
    if comma:
        digits = digits.replace(".", ",")
    if over:
        digits = f"over {digits}"
    if bare:
        return digits
    return f"{digits}{'' if used.glued or not used.name else ' '}{used.name}"


_PREFERRED = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)  # ISO 3, series R10


def nudge(value: float, kind: Kind, unit: str | None = None, by: int = 1) -> float:
    """The next round value up or down.

    Parameters
    ----------
    value : float
        Where the quantity stands [base unit of the kind].
    kind : Kind
        What kind of quantity it is; its `step` says how far to go.
    unit : str, optional
        Unit in which the values are round; the base unit if left out.
    by : int, optional
        How many steps, down if below 0.

    Returns
    -------
    float
        The new value; as far as the range goes where a step would leave it [base unit of the kind].

    Raises
    ------
    ValueError
        If the kind has no such unit.

    Examples
    --------
    >>> from gigsums.quantities import DISTANCE, FREQUENCY
    >>> nudge(25.4, DISTANCE), nudge(1000, FREQUENCY, by=-1)
    (26.0, 800.0)
    """
    shown = convert(value, kind, unit)
    for _ in range(abs(by)):
        shown = _preferred(shown, by > 0) if kind.step == 0 else _multiple(shown, kind.step, by > 0)
    moved = convert(shown, kind, given=unit)
    return min(max(moved, kind.least), kind.most)


def _multiple(value: float, step: float, up: bool) -> float:
    at = round(value / step, 6)
    to = math.floor(at) + 1 if up else math.ceil(at) - 1
    return round(to * step, 9)


def _preferred(value: float, up: bool) -> float:
    if value <= 0:
        return value
    decade = math.floor(math.log10(value))
    near = sorted(float(f"{n * 10.0**d:.12g}") for n in _PREFERRED for d in (decade - 1, decade, decade + 1))
    if up:
        return next(each for each in near if each > value * (1 + 1e-9))
    return next(each for each in reversed(near) if each < value * (1 - 1e-9))
