"""Exact factors, and the reading of quantities as people type them.

A number without a unit is never guessed at: the same digits in grams and in
grains differ fifteen times. Metric is accepted everywhere; what comes back is
always the trade unit asked for.

Source of the factors: the international yard and pound agreement of 1959
(1 yd = 0.9144 m, 1 lb = 0.45359237 kg, 7,000 grains to the pound) and the
standard acceleration of free fall, 9.80665 m/s² (General Conference on
Weights and Measures, 1901). All are exact by definition.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from loosewell.errors import UnitRefusal

INCH = 0.0254
FOOT = 0.3048
YARD = 0.9144
POUND = 0.45359237
OUNCE = POUND / 16.0
GRAIN = 6.479891e-5
GRAVITY = 9.80665
POUND_FORCE = 4.4482216152605
FPS = FOOT
SLUG = POUND_FORCE / FOOT
FOOT_POUND = POUND_FORCE * FOOT
DEGREE = math.pi / 180.0


@dataclass(frozen=True)
class _Unit:
    """A unit people type: what it measures, its SI factor, its shift for temperatures."""

    kind: str
    factor: float
    shift: float = 0.0


_TYPED: dict[str, _Unit] = {}


def _know(kind: str, factor: float, *names: str, shift: float = 0.0) -> None:
    for name in names:
        _TYPED[name] = _Unit(kind, factor, shift)


_know("length", INCH, "in", "inch", "inches", '"', "''")
_know("length", FOOT, "ft", "foot", "feet", "'")
_know("length", YARD, "yd", "yds", "yard", "yards")
_know("length", 0.001, "mm", "millimetre", "millimetres", "millimeter", "millimeters")
_know("length", 0.01, "cm", "centimetre", "centimetres", "centimeter", "centimeters")
_know("length", 1.0, "m", "metre", "metres", "meter", "meters")
_know("mass", GRAIN, "gr", "grain", "grains")
_know("mass", 0.001, "g", "gram", "grams", "gramme", "grammes")
_know("mass", 1e-6, "mg")
_know("mass", 1.0, "kg", "kilo", "kilos", "kilogram", "kilograms")
_know("mass", POUND, "lb", "lbs", "pound", "pounds")
_know("mass", OUNCE, "oz", "ounce", "ounces")
_know("force", POUND_FORCE, "#", "lbf")
_know("force", 1.0, "n", "newton", "newtons")
_know("force", GRAVITY, "kgf", "kp")
_know("speed", FPS, "fps", "ft/s", "feet per second")
_know("speed", 1.0, "m/s", "mps", "metres per second", "meters per second")
_know("speed", 1.0 / 3.6, "km/h", "kmh", "kph")
_know("speed", 5280.0 * FOOT / 3600.0, "mph")
_know("angle", DEGREE, "deg", "degree", "degrees", "°")
_know("angle", 1.0, "rad", "radian", "radians")
_know("temperature", 1.0, "degc", "°c", "c", "celsius", shift=273.15)
_know("temperature", 5.0 / 9.0, "degf", "°f", "f", "fahrenheit", shift=459.67)
_know("temperature", 1.0, "k", "kelvin")
_know("share", 0.01, "%", "percent", "per cent")
_know("volume", 0.001, "l", "litre", "litres", "liter", "liters")
_know("volume", 1e-5, "cl")
_know("volume", 1e-6, "ml", "cc", "cm3", "cm³", "millilitre", "millilitres", "milliliter")
_know("time", 1.0, "s", "sec", "second", "seconds")
_know("time", 0.001, "ms", "millisecond", "milliseconds")
_know("frequency", 1.0, "hz", "hertz", "cycles per second")
_know("frequency", 1000.0, "khz")
# How far a joint bends under a moment, beyond what the shaft itself would bend.
_know("give", DEGREE / FOOT_POUND, "deg/ftlb", "deg/ft lb", "deg per ftlb", "deg per ft lb")
_know("give", DEGREE / FOOT_POUND, "deg per foot pound", "degrees per foot pound", "°/ftlb")
_know("give", DEGREE, "deg/nm", "deg/n m", "deg/n·m", "deg per nm", "deg per n m", "°/nm")

# The trade units a record or an option may ask for. A pound here is a pull on a
# scale or a weight hung from a shaft: both are typed as lb, kg or N.
_WANTED: dict[str, _Unit] = {
    "in": _Unit("length", INCH),
    "ft": _Unit("length", FOOT),
    "yd": _Unit("length", YARD),
    "gr": _Unit("mass", GRAIN),
    "lb": _Unit("pull", POUND_FORCE),
    "fps": _Unit("speed", FPS),
    "deg": _Unit("angle", DEGREE),
    "degF": _Unit("temperature", 5.0 / 9.0, 459.67),
    "percent": _Unit("share", 0.01),
    "hz": _Unit("frequency", 1.0),
    "litre": _Unit("volume", 0.001),
    "s": _Unit("time", 1.0),
    "deg_per_ftlb": _Unit("give", DEGREE / FOOT_POUND),
}

_EXAMPLES = {
    "in": "a length with its unit, such as 7 in or 178 mm",
    "ft": "a length with its unit, such as 5 ft or 1.5 m",
    "yd": "a distance with its unit, such as 20 yd or 18 m",
    "gr": "a mass with its unit, such as 125 gr (grains) or 8.1 g (grams)",
    "lb": "a weight with its unit, such as 45 lb, 20.4 kg or 200 N",
    "fps": "a speed with its unit, such as 150 fps or 46 m/s",
    "deg": "an angle with its unit, such as 3 deg",
    "degF": "a temperature with its unit, such as 68 degF or 20 degC",
    "percent": "a share with its unit, such as 2 %",
    "hz": "a frequency with its unit, such as 62 Hz",
    "litre": "a volume with its unit, such as 0.907 L or 907 mL (pints, cups and fluid ounces "
    "differ by country)",
    "s": "a time with its unit, such as 0.45 s or 450 ms",
    "deg_per_ftlb": "a give with its unit, such as 2 deg/ftlb or 1.5 deg/Nm",
}

_METRIC = {
    "in": ("mm", 0.001),
    "ft": ("m", 1.0),
    "yd": ("m", 1.0),
    "gr": ("g", 0.001),
    "lb": ("N", 1.0),
    "fps": ("m/s", 1.0),
    "deg_per_ftlb": ("deg/Nm", DEGREE),
}

_SPOKEN_UNIT = {"percent": "%", "hz": "Hz", "deg_per_ftlb": "deg/ftlb"}

_SPOKEN_KIND = {
    "length": "a length",
    "mass": "a mass",
    "force": "a force",
    "speed": "a speed",
    "angle": "an angle",
    "temperature": "a temperature",
    "share": "a share",
    "frequency": "a frequency",
    "volume": "a volume",
    "give": "a give (bend angle per moment)",
}

_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅕": "1/5",
}

_NUMBER = re.compile(
    r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<plain>(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?)"
)
_UNIT = re.compile(r"[^\s0-9.,+\-][^0-9.,+\-]*\.?")


def quantity(text: str, unit: str, *, what: str) -> float:
    """The number in the trade unit asked for, from a quantity as typed.

    Parameters
    ----------
    text : str
        What was typed: "26 in", "66 cm", "26 1/2 in", "5'6\\"", "3,7 g", "50#". [with its own unit]
    unit : str
        Trade unit of the result: in, ft, yd, gr, lb, fps, deg, degF, percent, hz,
        litre or deg_per_ftlb. [name]
    what : str
        What the number stands for, to begin the sentence of a refusal. [words]

    Returns
    -------
    value : float
        The number in ``unit``. [as asked]

    Holds
    -----
    "gr" is grains and "g" is grams. A pound, kilogram or newton all serve for
    a pull or a hung weight, at standard gravity. A comma is a decimal comma;
    "1,250", which can be read two ways, is refused. A part in a smaller unit
    may follow: 5 ft 6 in.

    Source
    ------
    The definitions at the top of this file.
    """
    wanted = _WANTED[unit]
    given = " ".join(text.split())
    rest = _plain_letters(given)
    if not rest:
        raise UnitRefusal(f"{what} was left empty. Type {_EXAMPLES[unit]}.", code="unit-empty")
    sign = 1.0
    if rest[0] in "+-":
        sign = -1.0 if rest[0] == "-" else 1.0
        rest = rest[1:].lstrip()
    total = 0.0
    converted = False
    last: _Unit | None = None
    while rest:
        number = _NUMBER.match(rest)
        if number is None:
            raise UnitRefusal(
                f"{what} was given as {_quoted(given)}, which could not be read as a number with "
                f"its unit. Type {_EXAMPLES[unit]}.",
                code="unit-unreadable",
            )
        value = _number(number, given, unit, what)
        rest = rest[number.end() :].lstrip()
        named = _UNIT.match(rest)
        if named is None:
            raise UnitRefusal(
                f"{what} was given as {_quoted(given)} without a unit. Type {_EXAMPLES[unit]}.",
                code="unit-missing",
            )
        name = named.group().strip().rstrip(".").lower()
        rest = rest[named.end() :].lstrip()
        typed = _known(name, given, unit, what)
        factor = _fitting_factor(typed, wanted)
        if factor is None:
            raise UnitRefusal(
                f"{what} was given as {_quoted(given)}, which is {_SPOKEN_KIND[typed.kind]}. "
                f"Type {_EXAMPLES[unit]}.",
                code="unit-wrong-kind",
            )
        if last is not None and (typed.kind != last.kind or typed.factor >= last.factor):
            raise UnitRefusal(
                f"{what} was given as {_quoted(given)}, which holds two quantities that do not "
                f"follow one another as 5 ft 6 in does. Type {_EXAMPLES[unit]}.",
                code="unit-unreadable",
            )
        last = typed
        ratio = factor / wanted.factor
        converted = converted or ratio != 1.0
        total += value * ratio
        if typed.kind == "temperature":
            # Both scales have their own zero, so the shift enters once, in the typed scale.
            total = (sign * value + typed.shift) * typed.factor / wanted.factor - wanted.shift
            sign = 1.0
            if rest:
                raise UnitRefusal(
                    f"{what} was given as {_quoted(given)}, which is more than one temperature. "
                    f"Type {_EXAMPLES[unit]}.",
                    code="unit-unreadable",
                )
    if last is None:
        raise UnitRefusal(
            f"{what} was given as {_quoted(given)}, which holds no number. Type {_EXAMPLES[unit]}.",
            code="unit-unreadable",
        )
    if not math.isfinite(total):
        raise UnitRefusal(
            f"{what} was given as a number too large to read. Type {_EXAMPLES[unit]}.",
            code="unit-unreadable",
        )
    # What was typed in the unit wanted comes back bit for bit.
    return _tidy(sign * total) if converted else sign * total + 0.0


def metric(value: float, unit: str) -> tuple[float, str]:
    """The metric twin of a value in a trade unit, for a screen or a sheet.

    Parameters
    ----------
    value : float
        The number. [unit]
    unit : str
        Trade unit: in, ft, yd, gr, lb (a pull or a hung weight), fps or deg_per_ftlb. [name]

    Returns
    -------
    value : float
        The same quantity in the metric unit. [second result]
    unit : str
        Name of the metric unit. [name]

    Source
    ------
    The definitions at the top of this file.
    """
    name, factor = _METRIC[unit]
    return value * _WANTED[unit].factor / factor, name


def spoken(value: float, unit: str) -> str:
    """A number with its unit, short, as a sentence wants it: "26.5 in"."""
    return f"{value:.6g} {_SPOKEN_UNIT.get(unit, unit)}"


def _plain_letters(text: str) -> str:
    for sign, plain in (("−", "-"), ("–", "-"), ("″", '"'), ("”", '"'), ("′", "'"), ("’", "'")):
        text = text.replace(sign, plain)
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    # The hyphen of "ft-lb" joins two words of one unit.
    text = re.sub(r"(?<=[A-Za-z])-(?=[A-Za-z])", " ", text)
    return " ".join(text.split())


def _quoted(given: str) -> str:
    short = given if len(given) <= 40 else given[:37] + "..."
    return f"'{short}'"


def _number(found: re.Match[str], given: str, unit: str, what: str) -> float:
    if found["plain"] is not None:
        digits = found["plain"]
        if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
            raise UnitRefusal(
                f"{what} was given as {_quoted(given)}, which can be read as "
                f"{digits.replace(',', '.')} or as {digits.replace(',', '')}. "
                f"Type {_EXAMPLES[unit]}, without a comma.",
                code="unit-comma",
            )
        return float(digits.replace(",", "."))
    # float() of the digits, not int(): an absurd number of digits must end in a sentence.
    bottom = float(found["bottom"])
    if bottom == 0.0:
        raise UnitRefusal(
            f"{what} was given as {_quoted(given)}, which divides by zero. Type {_EXAMPLES[unit]}.",
            code="unit-unreadable",
        )
    return float(found["whole"] or 0) + float(found["top"]) / bottom


def _known(name: str, given: str, unit: str, what: str) -> _Unit:
    for candidate in (name, name.removesuffix(" of draw")):
        if candidate in _TYPED:
            return _TYPED[candidate]
    raise UnitRefusal(
        f"{what} was given as {_quoted(given)}, and '{name[:20]}' is not a unit known here. "
        f"Type {_EXAMPLES[unit]}.",
        code="unit-unknown",
    )


def _fitting_factor(typed: _Unit, wanted: _Unit) -> float | None:
    """SI factor of the typed unit seen as the wanted kind, or None when it does not fit."""
    if typed.kind == wanted.kind:
        return typed.factor
    if wanted.kind == "pull":
        if typed.kind == "force":
            return typed.factor
        if typed.kind == "mass":
            return typed.factor * GRAVITY
    return None


def _tidy(value: float) -> float:
    """The value without the last bits a conversion there and back leaves behind."""
    return float(f"{value:.12g}") + 0.0
