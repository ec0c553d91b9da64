"""What a shop writes is read exactly.

Expected values come from the definitions of the units (NIST SP 811, Appendix B: inch 0.0254 m,
foot 0.3048 m, pound 0.45359237 kg, standard gravity 9.80665 m/s2; from memory), multiplied as exact
fractions here and rounded once. Which notations a shop uses is common practice.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from pitcrew.units import UNITS, convert, read

INCH = Fraction("0.0254")
POUND = Fraction("0.45359237")
LBF = POUND * Fraction("9.80665")
DEGREE = Fraction(math.pi) / 180

# text, expect, bare unit, dimension, SI value, unit
ACCEPTED = [
    (".712", "length", "in", "length", Fraction("0.712") * INCH, "in"),
    ("0.712", "length", "in", "length", Fraction("0.712") * INCH, "in"),
    ('0.712"', None, None, "length", Fraction("0.712") * INCH, "in"),
    ("0.712 in.", None, None, "length", Fraction("0.712") * INCH, "in"),
    ("0,712 in", None, None, "length", Fraction("0.712") * INCH, "in"),
    (",712 in", None, None, "length", Fraction("0.712") * INCH, "in"),
    ("712 thou", None, None, "length", Fraction("0.712") * INCH, "thou"),
    ("5 THOU", None, None, "length", Fraction("0.005") * INCH, "thou"),
    ("5/8", "length", "in", "length", Fraction(5, 8) * INCH, "in"),
    ("5/8", "length", "in/64", "length", Fraction(5, 8) * INCH, "in"),
    ('5/8"', "length", "mm", "length", Fraction(5, 8) * INCH, "in"),
    ("127/128 in", None, None, "length", Fraction(127, 128) * INCH, "in"),
    ('1-1/2"', None, None, "length", Fraction(3, 2) * INCH, "in"),
    ("1 1/2 in", None, None, "length", Fraction(3, 2) * INCH, "in"),
    ("1 1/8 in", None, None, "length", Fraction(9, 8) * INCH, "in"),
    ("3 1/8in", None, None, "length", Fraction(25, 8) * INCH, "in"),
    ("1\u00bd in", None, None, "length", Fraction(3, 2) * INCH, "in"),
    ("\u00be\u2033", None, None, "length", Fraction(3, 4) * INCH, "in"),
    ("5''", None, None, "length", 5 * INCH, "in"),
    ('5"', None, None, "length", 5 * INCH, "in"),
    ("5'", None, None, "length", 60 * INCH, "ft"),
    ("5' 3-1/2\"", None, None, "length", Fraction("63.5") * INCH, "ft in"),
    ("5'-3 1/2\"", None, None, "length", Fraction("63.5") * INCH, "ft in"),
    ("5\u2019 3\u201d", None, None, "length", 63 * INCH, "ft in"),
    ("5 ft 3 in", None, None, "length", 63 * INCH, "ft in"),
    ("5ft3.5in", None, None, "length", Fraction("63.5") * INCH, "ft in"),
    ("-5' 3\"", None, None, "length", -63 * INCH, "ft in"),
    ("14mm", None, None, "length", Fraction("0.014"), "mm"),
    ("14\u00a0mm", None, None, "length", Fraction("0.014"), "mm"),
    ("14", "length", "mm", "length", Fraction("0.014"), "mm"),
    ("12,5 mm", None, None, "length", Fraction("0.0125"), "mm"),
    ("3,5 mm", None, None, "length", Fraction("0.0035"), "mm"),
    ("1234,567 mm", None, None, "length", Fraction("1.234567"), "mm"),
    ("1.234 mm", None, None, "length", Fraction("0.001234"), "mm"),
    ("-0.019 in", None, None, "length", Fraction("-0.019") * INCH, "in"),
    ("\u22120.019 in", None, None, "length", Fraction("-0.019") * INCH, "in"),
    ("+2 mm", None, None, "length", Fraction("0.002"), "mm"),
    ('-1-1/2"', None, None, "length", Fraction(-3, 2) * INCH, "in"),
    ("25 \u00b5m", None, None, "length", Fraction("0.000025"), "um"),
    ("0.3 m", None, None, "length", Fraction("0.3"), "m"),
    ("2.5 CM", None, None, "length", Fraction("0.025"), "cm"),
    ("2 lb 6.5 oz", None, None, "mass", Fraction("38.5") * POUND / 16, "lb oz"),
    ("2 lb .5 oz", None, None, "mass", Fraction("32.5") * POUND / 16, "lb oz"),
    ("2lb. .5oz", None, None, "mass", Fraction("32.5") * POUND / 16, "lb oz"),
    ("2lb6,5oz", None, None, "mass", Fraction("38.5") * POUND / 16, "lb oz"),
    ("2 LBS. 6 1/2 OZ.", None, None, "mass", Fraction("38.5") * POUND / 16, "lb oz"),
    ("113.2 lb", None, None, "mass", Fraction("113.2") * POUND, "lb"),
    ("1.36 KG", None, None, "mass", Fraction("1.36"), "kg"),
    ("12 g", None, None, "mass", Fraction("0.012"), "g"),
    ("95 in-lb", None, None, "torque", 95 * LBF * INCH, "in-lb"),
    ("95 inlbs", None, None, "torque", 95 * LBF * INCH, "in-lb"),
    ("95 lbf\u00b7in", None, None, "torque", 95 * LBF * INCH, "in-lb"),
    ("95 in. lb.", None, None, "torque", 95 * LBF * INCH, "in-lb"),
    ("8 ft-lb", None, None, "torque", 96 * LBF * INCH, "ft-lb"),
    ("22 lbf-ft", None, None, "torque", 264 * LBF * INCH, "ft-lb"),
    ("22 FT LBF", None, None, "torque", 264 * LBF * INCH, "ft-lb"),
    ("7-1/2 ft-lb", None, None, "torque", 90 * LBF * INCH, "ft-lb"),
    ("60 oz-in", None, None, "torque", 60 * LBF * INCH / 16, "oz-in"),
    ("60 in-oz", None, None, "torque", 60 * LBF * INCH / 16, "oz-in"),
    ("10.7 N\u00b7m", None, None, "torque", Fraction("10.7"), "N m"),
    ("10.7 N m", None, None, "torque", Fraction("10.7"), "N m"),
    ("10.7Nm", None, None, "torque", Fraction("10.7"), "N m"),
    ("10.7 N-m", None, None, "torque", Fraction("10.7"), "N m"),
    ("10.7 nm", "torque", None, "torque", Fraction("10.7"), "N m"),
    ("250 mN m", None, None, "torque", Fraction("0.25"), "mN m"),
    ("15 kg-cm", None, None, "torque", 15 * Fraction("0.0980665"), "kgf cm"),
    ("16.8 V", None, None, "voltage", Fraction("16.8"), "V"),
    ("16.8v", None, None, "voltage", Fraction("16.8"), "V"),
    ("4 mV", None, None, "voltage", Fraction("0.004"), "mV"),
    ("2.4 m\u03a9", None, None, "resistance", Fraction("0.0024"), "mOhm"),
    ("2.4 m\u2126", None, None, "resistance", Fraction("0.0024"), "mOhm"),
    ("2.4 mOhm", None, None, "resistance", Fraction("0.0024"), "mOhm"),
    ("2.4 mohm", None, None, "resistance", Fraction("0.0024"), "mOhm"),
    ("2.4 M\u03a9", None, None, "resistance", 2_400_000, "MOhm"),
    ("47 kOhm", None, None, "resistance", 47_000, "kOhm"),
    ("8 A", None, None, "current", 8, "A"),
    ("5.2 Ah", None, None, "charge", 18_720, "Ah"),
    ("650 mAh", None, None, "charge", 2340, "mAh"),
    ("2:15", None, None, "duration", 135, "min:s"),
    ("2:15.5", None, None, "duration", Fraction("135.5"), "min:s"),
    ("1:02:15", None, None, "duration", 3735, "h:min:s"),
    ("2 min 15 s", None, None, "duration", 135, "min:s"),
    ("1 h 20 min", None, None, "duration", 4800, "h:min:s"),
    ("1/2 h", None, None, "duration", 1800, "h"),
    ("46 C", "temperature", None, "temperature", Fraction("319.15"), "deg C"),
    ("46 \u00b0C", None, None, "temperature", Fraction("319.15"), "deg C"),
    ("46\u2103", None, None, "temperature", Fraction("319.15"), "deg C"),
    ("46", "temperature", "deg C", "temperature", Fraction("319.15"), "deg C"),
    ("-40 degF", None, None, "temperature", Fraction("233.15"), "deg F"),
    ("115 F", "temperature", None, "temperature", (115 + Fraction("459.67")) * 5 / 9, "deg F"),
    ("300 K", None, None, "temperature", 300, "K"),
    ("15 deg", None, None, "angle", 15 * DEGREE, "deg"),
    ("15\u00b0", None, None, "angle", 15 * DEGREE, "deg"),
    ("1/4 turn", None, None, "angle", 90 * DEGREE, "turn"),
    ("22 lbf", None, None, "force", 22 * LBF, "lbf"),
    ("98.5 N", None, None, "force", Fraction("98.5"), "N"),
    ("35 psi", None, None, "pressure", 35 * LBF / INCH**2, "psi"),
    ("1000 MPa", None, None, "pressure", 10**9, "MPa"),
    ("1000 N/mm\u00b2", None, None, "pressure", 10**9, "MPa"),
    ("250 mph", None, None, "speed", Fraction("111.76"), "mph"),
    ("8 m/s", None, None, "speed", 8, "m/s"),
    ("9000 rpm", None, None, "rotation", 9000 * 6 * DEGREE, "rpm"),
    ("400 W", None, None, "power", 400, "W"),
    ("3/4 hp", None, None, "power", Fraction(3, 4) * 550 * 12 * INCH * LBF, "hp"),
    ("1316 J", None, None, "energy", 1316, "J"),
    ("72 Wh", None, None, "energy", 259_200, "Wh"),
]


@pytest.mark.parametrize(("text", "expect", "bare_unit", "dimension", "si", "unit"), ACCEPTED)
def test_shop_notation_is_read_exactly(
    text: str, expect: str | None, bare_unit: str | None, dimension: str, si: Fraction, unit: str
) -> None:
    quantity = read(text, expect, bare_unit)
    assert (quantity.dimension, quantity.unit) == (dimension, unit)
    if dimension in {"angle", "rotation"}:
        assert quantity.si == pytest.approx(float(si), rel=3e-16)
    else:
        assert quantity.si == float(si)


def test_text_is_kept_as_typed_with_tidy_spaces() -> None:
    assert read("  2  lb\t6.5\u00a0oz\n").typed == "2 lb 6.5 oz"
    assert read("2.4 m\u03a9").typed == "2.4 m\u03a9"


def test_forty_characters_are_the_most() -> None:
    assert read("0" * 37 + "1 m").si == 1.0
    assert read("  " + "0" * 37 + "1 m  ").si == 1.0


def test_minus_nothing_is_nothing() -> None:
    assert str(read("-0 mm").si) == "0.0"


def saving(before: str, after: str, unit: str) -> float:
    """How much less the second is, counted in a unit."""
    return convert(read(before).si, "kg", unit) - convert(read(after).si, "kg", unit)


def test_lighter_motor_saves_its_pounds_and_ounces() -> None:
    """Common practice: sums a crew does on paper; no published source."""
    assert saving("3 lb 14.2 oz", "1 lb 11 oz", "oz") == pytest.approx(2 * 16 + 3.2, abs=1e-9)
    assert saving("9 lb 3.9 oz", "7 lb 8.2 oz", "oz") == pytest.approx(1 * 16 + 11.7, abs=1e-9)


def test_metric_shaft_does_not_enter_an_inch_bore() -> None:
    """Common practice; 10 mm against 3/8 in is 0.0187 in too large."""
    excess_m = read("10 mm").si - read('3/8"').si
    assert convert(excess_m, "m", "in") == pytest.approx(0.0187, abs=5e-5)


def test_pocket_less_gear_less_plate_leaves_nineteen_thou() -> None:
    """Common practice: 0.631 - 0.482 - 0.130 = 0.019."""
    left_m = read('.631"').si - read('.482"').si - read('.130"').si
    assert convert(left_m, "m", "thou") == pytest.approx(19, abs=1e-9)


def test_every_unit_is_read_under_its_own_name() -> None:
    for unit in set(UNITS.values()):
        assert read(f"300 {unit.name}").unit == unit.name
