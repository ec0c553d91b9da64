"""The closed table of units: every spelling that is understood, and what it is worth.

Factors are kept as ratios of whole numbers, so that a figure is rounded once, when it becomes a
float, and 12 in-lb is exactly 1 ft-lb.

Sources of the factors: inch, foot, pound and standard gravity as defined in NIST SP 811,
Appendix B; the horsepower is 550 ft lbf/s; everything else follows from those and the SI.
"""

from __future__ import annotations

from itertools import product
from typing import NamedTuple


class Unit(NamedTuple):
    """One unit, and how it is shown.

    Args:
        name: canonical spelling, ASCII, as shown on the screen.
        dimension: what it measures ("length", "torque", ...).
        numerator, denominator: SI units in one of these, as an exact ratio.
        decimals: the most decimals worth showing unless asked otherwise.
        zero: added to a reading before the factor, as an exact ratio; only temperatures have one.
        fractions: whether a shop writes halves and quarters of it.
    """

    name: str
    dimension: str
    numerator: int
    denominator: int
    decimals: int
    zero: tuple[int, int] = (0, 1)
    fractions: bool = False

    @property
    def factor(self) -> float:
        """SI units in one of these."""
        return self.numerator / self.denominator

    @property
    def offset(self) -> float:
        """Added to a reading in this unit before multiplying by `factor`; 0.0 save for temperatures."""
        return self.zero[0] / self.zero[1]


class Pair(NamedTuple):
    """Two units written one after the other, such as pounds and ounces."""

    name: str
    big: str
    small: str
    ratio: int


# Ratios to SI. Each is exact but for pi, which carries 35 digits.
_INCH = (254, 10**4)
_FOOT = (3048, 10**4)
_POUND = (45_359_237, 10**8)
_GRAVITY = (980_665, 10**5)
_PI = (314_159_265_358_979_323_846_264_338_327_950_288, 10**35)


def _times(*ratios: tuple[int, int]) -> tuple[int, int]:
    """Product of exact ratios."""
    top, bottom = 1, 1
    for numerator, denominator in ratios:
        top, bottom = top * numerator, bottom * denominator
    return top, bottom


_OUNCE = _times(_POUND, (1, 16))
_LBF = _times(_POUND, _GRAVITY)
_OZF = _times(_OUNCE, _GRAVITY)
_PSI = (_LBF[0] * _INCH[1] ** 2, _LBF[1] * _INCH[0] ** 2)


def _both_ways(first: str, second: str) -> str:
    """Spellings of a product: either order, spaced or run together."""
    pairs = [*product(first.split("|"), second.split("|")), *product(second.split("|"), first.split("|"))]
    return "|".join(f"{one}{gap}{other}" for one, other in pairs for gap in (" ", ""))


_LB_FORCE = "lb|lbs|lbf|pound|pounds"
_INCH_LB = _both_ways("in|inch|inches", _LB_FORCE)
_FOOT_LB = _both_ways("ft|foot|feet", _LB_FORCE)
_OUNCE_IN = _both_ways("oz|ozf|ounce|ounces", "in|inch|inches")
_KGF_CM = _both_ways("kgf|kg", "cm")
_KGF_M = _both_ways("kgf|kg", "m")

UNITS: dict[str, Unit] = {}
"""Every spelling, separators made single spaces, to its unit; small letters unless case counts."""

NAMES: dict[str, Unit] = {}
"""Canonical spelling to its unit."""

CASE_COUNTS: set[str] = set()
"""Spellings taken only as written, because another case could mean another unit."""


def _add(unit: Unit, any_case: str = "", exact: str = "") -> None:
    NAMES[unit.name] = unit
    CASE_COUNTS.update(exact.split("|") if exact else ())
    for spelling in filter(None, f"{any_case}|{exact}".split("|")):
        if UNITS.setdefault(spelling, unit) is not unit:
            raise ValueError(f"{spelling} stands for two units")


def _si(name: str, dimension: str, ratio: tuple[int, int], decimals: int, any_case: str, exact: str = "") -> None:
    _add(Unit(name, dimension, *ratio, decimals), any_case, exact)


def _shop(name: str, dimension: str, ratio: tuple[int, int], decimals: int, any_case: str) -> None:
    _add(Unit(name, dimension, *ratio, decimals, fractions=True), any_case)


_si("m", "length", (1, 1), 6, "metre|metres|meter|meters", "m")
_si("mm", "length", (1, 10**3), 3, "millimetre|millimetres|millimeter|millimeters", "mm")
_si("cm", "length", (1, 10**2), 4, "cm|centimetre|centimetres|centimeter|centimeters")
_si("um", "length", (1, 10**6), 1, "um|micron|microns", "\u03bcm")
_shop("in", "length", _INCH, 4, 'in|inch|inches|"')
_shop("ft", "length", _FOOT, 5, "ft|foot|feet|'")
_si("thou", "length", _times(_INCH, (1, 10**3)), 1, "thou|thous|thousandth|thousandths")

_si("kg", "mass", (1, 1), 4, "kg|kgs|kilo|kilos|kilogram|kilograms")
_si("g", "mass", (1, 10**3), 2, "gram|grams|gramme|grammes", "g")
_shop("lb", "mass", _POUND, 4, "lb|lbs|pound|pounds")
_shop("oz", "mass", _OUNCE, 2, "oz|ozs|ounce|ounces")

_NEWTON_METRE = "n m|newton metre|newton metres|newton meter|newton meters"
_si("N m", "torque", (1, 1), 3, _NEWTON_METRE, "Nm")
_si("mN m", "torque", (1, 10**3), 1, "", "mN m|mNm")
_si("N cm", "torque", (1, 10**2), 2, "n cm|ncm")
_si("kgf cm", "torque", _times(_GRAVITY, (1, 10**2)), 2, _KGF_CM)
_si("kgf m", "torque", _GRAVITY, 4, _KGF_M)
_shop("in-lb", "torque", _times(_LBF, _INCH), 2, _INCH_LB)
_shop("ft-lb", "torque", _times(_LBF, _FOOT), 3, _FOOT_LB)
_shop("oz-in", "torque", _times(_OZF, _INCH), 1, _OUNCE_IN)

_si("V", "voltage", (1, 1), 3, "v|volt|volts")
_si("mV", "voltage", (1, 10**3), 1, "millivolt|millivolts", "mV|mv")

_si("Ohm", "resistance", (1, 1), 4, "ohm|ohms", "\u03a9")
_si("mOhm", "resistance", (1, 10**3), 2, "milliohm|milliohms", "m\u03a9|mOhm|mohm|mOhms|mohms")
_si("kOhm", "resistance", (10**3, 1), 3, "kohm|kohms|kilohm|kilohms", "k\u03a9|K\u03a9")
_si("MOhm", "resistance", (10**6, 1), 3, "megohm|megohms", "M\u03a9|MOhm|Mohm|MOhms|Mohms")

_si("A", "current", (1, 1), 3, "a|amp|amps|ampere|amperes")
_si("mA", "current", (1, 10**3), 1, "milliamp|milliamps", "mA|ma")

_si("coulomb", "charge", (1, 1), 1, "coulomb|coulombs")
_si("Ah", "charge", (3600, 1), 3, "ah|a h|amp hour|amp hours")
_si("mAh", "charge", (36, 10), 0, "", "mAh|mah")

_CELSIUS, _FAHRENHEIT = (27_315, 10**2), (45_967, 10**2)
_add(Unit("deg C", "temperature", 1, 1, 1, _CELSIUS), "deg c|degc|\u00b0c|\u00b0 c|celsius")
_add(Unit("deg F", "temperature", 5, 9, 1, _FAHRENHEIT), "deg f|degf|\u00b0f|\u00b0 f|fahrenheit")
_si("K", "temperature", (1, 1), 2, "kelvin|kelvins", "K")

_shop("s", "duration", (1, 1), 3, "s|sec|secs|second|seconds")
_si("ms", "duration", (1, 10**3), 1, "millisecond|milliseconds", "ms")
_shop("min", "duration", (60, 1), 2, "min|mins|minute|minutes")
_shop("h", "duration", (3600, 1), 3, "h|hr|hrs|hour|hours")

_shop("deg", "angle", _times(_PI, (1, 180)), 3, "deg|degs|degree|degrees|\u00b0")
_si("rad", "angle", (1, 1), 5, "rad|rads|radian|radians")
_shop("turn", "angle", _times(_PI, (2, 1)), 4, "turn|turns|rev|revs")

_si("N", "force", (1, 1), 2, "newton|newtons", "N")
_si("kN", "force", (10**3, 1), 4, "", "kN")
_shop("lbf", "force", _LBF, 3, "lbf")
_shop("ozf", "force", _OZF, 2, "ozf")
_si("kgf", "force", _GRAVITY, 4, "kgf")

_si("m/s", "speed", (1, 1), 3, "", "m/s")
_si("km/h", "speed", (10, 36), 2, "km/h|kmh|kph")
_si("mph", "speed", (44_704, 10**5), 2, "mph|mi/h")
_si("ft/s", "speed", _FOOT, 2, "ft/s|fps|ft/sec")
_si("ft/min", "speed", _times(_FOOT, (1, 60)), 1, "ft/min|fpm")

_si("W", "power", (1, 1), 2, "w|watt|watts")
_si("kW", "power", (10**3, 1), 4, "kw|kilowatt|kilowatts")
_shop("hp", "power", _times((550, 1), _FOOT, _LBF), 3, "hp|horsepower")

_si("J", "energy", (1, 1), 2, "j|joule|joules")
_si("kJ", "energy", (10**3, 1), 4, "kj|kilojoule|kilojoules")
_si("Wh", "energy", (3600, 1), 3, "wh|w h|watt hour|watt hours")

_si("Pa", "pressure", (1, 1), 0, "pascal|pascals", "Pa")
_si("kPa", "pressure", (10**3, 1), 3, "kpa")
_si("MPa", "pressure", (10**6, 1), 3, "megapascal|megapascals|n/mm2|n/mm\u00b2", "MPa|Mpa")
_si("GPa", "pressure", (10**9, 1), 4, "gpa")
_si("bar", "pressure", (10**5, 1), 3, "bar|bars")
_si("psi", "pressure", _PSI, 1, "psi|lbf/in2|lb/in2")
_si("ksi", "pressure", _times(_PSI, (10**3, 1)), 3, "ksi")

_si("rpm", "rotation", _times(_PI, (1, 30)), 1, "rpm|rev/min|r/min")
_si("rad/s", "rotation", (1, 1), 3, "rad/s|rad/sec")
_si("rev/s", "rotation", _times(_PI, (2, 1)), 3, "rev/s|rps")

for _name, _unit in NAMES.items():
    UNITS.setdefault(_name, _unit)

IN_CONTEXT: dict[tuple[str, str], Unit] = {
    ("temperature", "c"): NAMES["deg C"],
    ("temperature", "f"): NAMES["deg F"],
    ("torque", "nm"): NAMES["N m"],
    ("charge", "c"): NAMES["coulomb"],
}
"""Spellings that are plain only where the dimension is known: (dimension, small letters) to unit."""

PAIRS: dict[tuple[str, str], Pair] = {
    ("ft", "in"): Pair("ft in", "ft", "in", 12),
    ("lb", "oz"): Pair("lb oz", "lb", "oz", 16),
    ("min", "s"): Pair("min:s", "min", "s", 60),
    ("h", "min"): Pair("h:min:s", "h", "min", 60),
}
"""The units that may be written one after the other."""

INCH_FRACTIONS: dict[str, int] = {f"in/{2**power}": 2**power for power in range(1, 8)}
"""Inches shown as binary fractions: the name and the finest denominator."""

FORMS: dict[str, str] = {
    **dict.fromkeys(INCH_FRACTIONS, "in"),
    "ft in": "in",
    "lb oz": "oz",
    "min:s": "s",
    "h:min:s": "s",
}
"""Ways of writing that are more than one unit and a number, and the unit they are counted in."""

EXAMPLES: dict[str, str] = {
    "length": "0.712 in or 14 mm",
    "mass": "2 lb 6.5 oz or 1.36 kg",
    "torque": "95 in-lb or 10.7 N m",
    "voltage": "16.8 V",
    "resistance": "2.4 mOhm",
    "current": "8 A",
    "charge": "5.2 Ah",
    "temperature": "46 deg C or 115 deg F",
    "duration": "2:15 or 90 s",
    "angle": "15 deg",
    "force": "22 lbf or 98 N",
    "speed": "250 mph or 110 m/s",
    "power": "400 W",
    "energy": "1.3 kJ",
    "pressure": "35 psi or 2.4 bar",
    "rotation": "9000 rpm",
}
"""One line a dimension: how such a figure is written."""
