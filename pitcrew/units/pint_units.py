"""The one pint registry: engine for compound units and authority behind the table.

It is built on first use, from definitions of our own, and never sees a person's text: pint's parser
guesses at what it does not know and can be kept busy for ever.
"""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

# Pound and ounce are masses and never forces; no prefixes, so that no unit arises unasked.
_DEFINITIONS = """
meter = [length] = m
kilogram = [mass] = kg
second = [time] = s
ampere = [current] = A
kelvin = [temperature]; offset: 0 = K
radian = []

millimeter = 0.001 meter = mm
centimeter = 0.01 meter = cm
micrometer = 1e-6 meter = um
inch = 25.4 millimeter = in
foot = 12 inch = ft
thou = 0.001 inch
gram = 0.001 kilogram = g
pound = 0.45359237 kilogram = lb
ounce = pound / 16 = oz
standard_gravity = 9.80665 meter / second ** 2 = g_n
millisecond = 0.001 second = ms
minute = 60 second = min
hour = 60 minute = h
mile = 5280 foot = mi
kilometer = 1000 meter = km

newton = kilogram * meter / second ** 2 = N
kilonewton = 1000 newton = kN
millinewton = 0.001 newton = mN
pound_force = pound * standard_gravity = lbf
ounce_force = ounce * standard_gravity = ozf
kilogram_force = kilogram * standard_gravity = kgf

joule = newton * meter = J
kilojoule = 1000 joule = kJ
watt = joule / second = W
kilowatt = 1000 watt = kW
watt_hour = watt * hour = Wh
horsepower = 550 foot * pound_force / second = hp

pascal = newton / meter ** 2 = Pa
kilopascal = 1000 pascal = kPa
megapascal = 1e6 pascal = MPa
gigapascal = 1e9 pascal = GPa
bar = 1e5 pascal
pound_force_per_square_inch = pound_force / inch ** 2 = psi
kip_per_square_inch = 1000 pound_force_per_square_inch = ksi

volt = watt / ampere = V
millivolt = 0.001 volt = mV
ohm = volt / ampere
milliohm = 0.001 ohm
kiloohm = 1000 ohm
megaohm = 1e6 ohm
milliampere = 0.001 ampere = mA
coulomb = ampere * second
ampere_hour = ampere * hour = Ah
milliampere_hour = 0.001 ampere_hour = mAh

degree = 3.14159265358979323846 / 180 * radian = deg
turn = 360 degree
revolutions_per_minute = turn / minute = rpm

degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
"""

PINT_UNITS: dict[str, str] = {
    "m": "meter",
    "mm": "millimeter",
    "cm": "centimeter",
    "um": "micrometer",
    "in": "inch",
    "ft": "foot",
    "thou": "thou",
    "kg": "kilogram",
    "g": "gram",
    "lb": "pound",
    "oz": "ounce",
    "N m": "newton * meter",
    "mN m": "millinewton * meter",
    "N cm": "newton * centimeter",
    "kgf cm": "kilogram_force * centimeter",
    "kgf m": "kilogram_force * meter",
    "in-lb": "inch * pound_force",
    "ft-lb": "foot * pound_force",
    "oz-in": "ounce_force * inch",
    "V": "volt",
    "mV": "millivolt",
    "Ohm": "ohm",
    "mOhm": "milliohm",
    "kOhm": "kiloohm",
    "MOhm": "megaohm",
    "A": "ampere",
    "mA": "milliampere",
    "coulomb": "coulomb",
    "Ah": "ampere_hour",
    "mAh": "milliampere_hour",
    "deg C": "degree_Celsius",
    "deg F": "degree_Fahrenheit",
    "K": "kelvin",
    "s": "second",
    "ms": "millisecond",
    "min": "minute",
    "h": "hour",
    "deg": "degree",
    "rad": "radian",
    "turn": "turn",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "pound_force",
    "ozf": "ounce_force",
    "kgf": "kilogram_force",
    "m/s": "meter / second",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "ft/s": "foot / second",
    "ft/min": "foot / minute",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "J": "joule",
    "kJ": "kilojoule",
    "Wh": "watt_hour",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "bar": "bar",
    "psi": "pound_force_per_square_inch",
    "ksi": "kip_per_square_inch",
    "rpm": "revolutions_per_minute",
    "rad/s": "radian / second",
    "rev/s": "turn / second",
}
"""Canonical unit to the expression pint knows it by."""


_built: list[pint.UnitRegistry[float]] = []
_building = Lock()


def registry() -> pint.UnitRegistry[float]:
    """The one registry, built when first asked for. Never hand it text that a person typed."""
    # Quantities of two registries cannot be mixed, so two workers must not build one each.
    with _building:
        if not _built:
            import pint

            ours: pint.UnitRegistry[float] = pint.UnitRegistry(None)
            ours.load_definitions(_DEFINITIONS.splitlines())
            _built.append(ours)
        return _built[0]
