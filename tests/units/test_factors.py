"""The table against the published factors and against pint, in its own definitions and in ours."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import pint
import pytest

from pitcrew.errors import NotationError
from pitcrew.units import PINT_UNITS, UNITS, convert, read, registry
from pitcrew.units.table import EXAMPLES, FORMS, NAMES

# Factors as printed in NIST SP 811, Appendix B.8, "Factors for units listed alphabetically"; seven
# digits, so they hold to 5e-7. FOUND: read there. MEMORY: recalled, not read again.
NIST_PRINTED = [
    ("oz", 2.834952e-02, "FOUND"),
    ("in-lb", 1.129848e-01, "FOUND"),
    ("ft-lb", 1.355818e00, "FOUND"),
    ("kgf m", 9.80665e00, "FOUND"),
    ("psi", 6.894757e03, "FOUND"),
    ("in", 2.54e-02, "MEMORY"),
    ("ft", 3.048e-01, "MEMORY"),
    ("thou", 2.54e-05, "MEMORY"),
    ("lb", 4.535924e-01, "MEMORY"),
    ("lbf", 4.448222e00, "MEMORY"),
    ("ozf", 2.780139e-01, "MEMORY"),
    ("kgf", 9.80665e00, "MEMORY"),
    ("oz-in", 7.061552e-03, "MEMORY"),
    ("ksi", 6.894757e06, "MEMORY"),
    ("bar", 1.0e05, "MEMORY"),
    ("hp", 7.456999e02, "MEMORY"),
    ("mph", 4.4704e-01, "MEMORY"),
    ("km/h", 2.777778e-01, "MEMORY"),
    ("ft/s", 3.048e-01, "MEMORY"),
    ("ft/min", 5.08e-03, "MEMORY"),
    ("rpm", 1.047198e-01, "MEMORY"),
    ("deg", 1.745329e-02, "MEMORY"),
    ("turn", 6.283185e00, "MEMORY"),
    ("Ah", 3.6e03, "MEMORY"),
    ("Wh", 3.6e03, "MEMORY"),
]

# Exact by definition: pound 0.45359237 kg and inch 0.0254 m with g_n 9.80665 m/s2, multiplied out in
# decimals. COMPUTED, save pound and inch themselves, which are from memory.
EXACT = [
    ("in", 0.0254),
    ("lb", 0.45359237),
    ("oz", 0.028349523125),
    ("lbf", 4.4482216152605),
    ("ozf", 0.27801385095378125),
    ("in-lb", 0.1129848290276167),
    ("ft-lb", 1.3558179483314004),
    ("oz-in", 0.00706155181422604375),
    ("kgf cm", 0.0980665),
    ("psi", 6894.757293168361),
    ("hp", 745.69987158227022),
    ("rpm", 0.10471975511965977),
    ("mph", 0.44704),
]

SI_OF = {
    "length": "meter",
    "mass": "kilogram",
    "torque": "newton * meter",
    "voltage": "volt",
    "resistance": "ohm",
    "current": "ampere",
    "charge": "coulomb",
    "temperature": "kelvin",
    "duration": "second",
    "angle": "radian",
    "force": "newton",
    "speed": "meter / second",
    "power": "watt",
    "energy": "joule",
    "pressure": "pascal",
    "rotation": "radian / second",
}

STOCK: pint.UnitRegistry[Any] = pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "printed", "status"), NIST_PRINTED)
def test_factor_against_nist_sp_811_appendix_b8(unit: str, printed: float, status: str) -> None:
    assert status in {"FOUND", "MEMORY"}
    assert NAMES[unit].factor == pytest.approx(printed, rel=5e-7)


@pytest.mark.parametrize(("unit", "exact"), EXACT)
def test_factor_is_exact(unit: str, exact: float) -> None:
    assert NAMES[unit].factor == pytest.approx(exact, rel=1e-15)


@pytest.mark.parametrize("unit", sorted(NAMES))
@pytest.mark.parametrize("authority", ["ours", "stock"])
def test_factor_against_pint(authority: str, unit: str) -> None:
    source: pint.UnitRegistry[Any] = registry() if authority == "ours" else STOCK
    mine = NAMES[unit]
    for value in (1.0, 37.5):
        theirs = source.Quantity(value, PINT_UNITS[unit]).to(SI_OF[mine.dimension]).magnitude
        assert (value + mine.offset) * mine.factor == pytest.approx(theirs, rel=1e-12)
        assert read(f"{value} {unit}").si == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("authority", ["ours", "stock"])
def test_every_conversion_against_pint(authority: str) -> None:
    source: pint.UnitRegistry[Any] = registry() if authority == "ours" else STOCK
    for start in NAMES.values():
        for end in (unit for unit in NAMES.values() if unit.dimension == start.dimension):
            theirs = source.Quantity(12.34, PINT_UNITS[start.name]).to(PINT_UNITS[end.name]).magnitude
            assert convert(12.34, start.name, end.name) == pytest.approx(theirs, rel=1e-12)


def test_pi_has_the_digits_it_claims() -> None:
    assert NAMES["turn"].factor == 2 * math.pi


def test_twelve_inch_pounds_are_one_foot_pound() -> None:
    assert convert(12, "in-lb", "ft-lb") == 1.0
    assert convert(16, "ozf", "lbf") == 1.0
    assert convert(16, "oz", "lb") == 1.0
    assert convert(1, "in", "mm") == 25.4
    assert read("12 in-lb").si == read("1 ft-lb").si


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0, 32), (100, 212), (-40, -40), (37, 98.6), (20, 68)])
def test_temperatures_at_known_points(celsius: float, fahrenheit: float) -> None:
    """Ice and steam points and the crossing at -40: common knowledge."""
    assert convert(celsius, "deg C", "deg F") == fahrenheit
    assert convert(fahrenheit, "deg F", "deg C") == celsius


def test_inch_fractions_count_as_inches() -> None:
    assert convert(1.5, "in/64", "mm") == pytest.approx(38.1, rel=1e-15)


@pytest.mark.parametrize(
    ("value", "start", "end"),
    [
        (1.0, "in-lb", "in"),
        (1.0, "lb oz", "kg"),
        (1.0, "kg", "lb oz"),
        (1.0, "furlong", "m"),
        (math.nan, "m", "in"),
        (math.inf, "m", "in"),
        (1e308, "m", "um"),
    ],
)
def test_conversion_refused(value: float, start: str, end: str) -> None:
    with pytest.raises(NotationError):
        convert(value, start, end)


def test_table_is_whole() -> None:
    assert set(PINT_UNITS) == set(NAMES)
    assert {unit.dimension for unit in NAMES.values()} == set(EXAMPLES) == set(SI_OF)
    assert set(UNITS.values()) == set(NAMES.values())
    assert set(FORMS.values()) <= set(NAMES)
    for dimension, example in EXAMPLES.items():
        for text in example.split(" or "):
            assert read(text).dimension == dimension
    assert all(name.isascii() for name in NAMES)


def test_one_registry_that_multiplies_units() -> None:
    assert registry() is registry()
    torque = registry().Quantity(4, "inch") * registry().Quantity(10, "pound_force")
    assert torque.to("newton * meter").magnitude == pytest.approx(convert(40, "in-lb", "N m"), rel=1e-12)


def test_reading_and_showing_do_not_load_pint() -> None:
    program = (
        "import sys; from pitcrew import units; units.show(units.read('5 mm').si, 'length', 'in');"
        "units.convert(1, 'in', 'mm');"
        "print(sorted({'pint', 'decimal', 'fractions', 'pydantic', 'sqlite_utils'} & set(sys.modules)))"
    )
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
