"""Figures as shown: ASCII, carried, rounded, and read back as what they were. All common practice."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pitcrew.errors import NotationError
from pitcrew.units import convert, read, show
from pitcrew.units.table import EXAMPLES, FORMS, NAMES


@pytest.mark.parametrize(
    ("text", "unit", "digits", "shown"),
    [
        ("2 lb 6.5 oz", "lb oz", None, "2 lb 6.5 oz"),
        ("2 lb 6.5 oz", "lb oz", 2, "2 lb 6.50 oz"),
        ("1 lb 15.96 oz", "lb oz", 1, "2 lb 0.0 oz"),
        ("15.96 oz", "lb oz", 1, "1 lb 0.0 oz"),
        ("15.999 oz", "lb oz", None, "1 lb 0 oz"),
        ("2 lb", "lb oz", None, "2 lb 0 oz"),
        ("6.5 oz", "lb oz", None, "6.5 oz"),
        ("-2 lb 3.2 oz", "lb oz", None, "-2 lb 3.2 oz"),
        ("-0.004 oz", "lb oz", 1, "0.0 oz"),
        ("-0.004 oz", "oz", 2, "0.00 oz"),
        ("-0.004 in", "in", 2, "0.00 in"),
        ("-0.006 in", "in", 2, "-0.01 in"),
        ('1-1/2"', "in/64", None, "1 1/2 in"),
        ('-1-1/2"', "in/64", None, "-1 1/2 in"),
        ('5/8"', "in/64", None, "5/8 in"),
        ("15.875 mm", "in/8", None, "5/8 in"),
        ('1/64"', "in/64", None, "1/64 in"),
        ('1/64"', "in/8", None, "0.0156 in"),
        (".712 in", "in/64", None, "0.712 in"),
        (".712 in", "in/64", 2, "0.71 in"),
        ("2 in", "in/64", None, "2 in"),
        ("0 in", "in/64", None, "0 in"),
        ("1.9999999 in", "in/64", None, "2 in"),
        ("5' 3.5\"", "ft in", None, "5 ft 3.5 in"),
        ("11.99999 in", "ft in", None, "1 ft 0 in"),
        ("14 mm", "mm", None, "14 mm"),
        ("14 mm", "mm", 2, "14.00 mm"),
        ("10 mm", "in", None, "0.3937 in"),
        ("712 thou", "in", None, "0.712 in"),
        ("10.7 N m", "N m", None, "10.7 N m"),
        ("4 N m", "N m", 1, "4.0 N m"),
        ("4 N m", "in-lb", 0, "35 in-lb"),
        ("2.4 m\u03a9", "mOhm", None, "2.4 mOhm"),
        ("2:15", "min:s", None, "2:15"),
        ("2:05.5", "min:s", None, "2:05.5"),
        ("119.96 s", "min:s", 1, "2:00.0"),
        ("59.9999 s", "min:s", None, "1:00"),
        ("9 s", "min:s", None, "0:09"),
        ("-9 s", "min:s", None, "-0:09"),
        ("1:02:15", "h:min:s", None, "1:02:15"),
        ("59:59.9999", "h:min:s", 0, "1:00:00"),
        ("46 deg C", "deg C", None, "46 deg C"),
        ("20 deg C", "deg F", None, "68 deg F"),
        ("15 deg", "deg", None, "15 deg"),
        ("9000 rpm", "rpm", None, "9000 rpm"),
        ("1000 mm", "mm", None, "1000 mm"),
    ],
)
def test_shown(text: str, unit: str, digits: int | None, shown: str) -> None:
    quantity = read(text)
    assert show(quantity.si, quantity.dimension, unit, digits) == shown


@pytest.mark.parametrize(
    ("text", "digits", "difference"),
    [("10 mm", 4, "0.0187 in"), ("19 thou", 3, "-0.356 in")],
)
def test_difference_to_a_bore_is_shown(text: str, digits: int, difference: str) -> None:
    assert show(read(text).si - read('3/8"').si, "length", "in", digits) == difference


def test_savings_are_shown_in_pounds_and_ounces() -> None:
    assert show(read("3 lb 14.2 oz").si - read("1 lb 11 oz").si, "mass", "lb oz") == "2 lb 3.2 oz"
    assert show(read("9 lb 3.9 oz").si - read("7 lb 8.2 oz").si, "mass", "lb oz") == "1 lb 11.7 oz"


def test_pocket_stack_is_shown() -> None:
    assert show(read(".631 in").si - read(".482 in").si - read(".130 in").si, "length", "in") == "0.019 in"


@pytest.mark.parametrize(
    ("si", "dimension", "unit", "digits"),
    [
        (1.0, "length", "kg", None),
        (1.0, "flavour", "kg", None),
        (1.0, "length", "furlong", None),
        (1.0, "length", "in/3", None),
        (1.0, "length", "in", -1),
        (1.0, "length", "in", 99),
        (math.nan, "length", "in", None),
        (math.inf, "mass", "lb oz", None),
        (1e308, "length", "um", None),
    ],
)
def test_showing_refused(si: float, dimension: str, unit: str, digits: int | None) -> None:
    with pytest.raises(NotationError):
        show(si, dimension, unit, digits)


def resolution(unit: str, digits: int | None) -> float:
    """Half the last place shown, in SI, with room for the rounding of a double."""
    base = NAMES[FORMS.get(unit, unit)]
    half_place = 0.5 * 10.0 ** -(base.decimals if digits is None else digits)
    if unit.startswith("in/"):
        half_place = max(half_place, 5e-6)
    return half_place * base.factor


WAYS = sorted({*NAMES, *FORMS})


@example(0.00390625, "in/128", 1)
@given(st.floats(-1e6, 1e6), st.sampled_from(WAYS), st.none() | st.integers(0, 6))
def test_what_is_shown_can_be_read_back(value: float, unit: str, digits: int | None) -> None:
    base = NAMES[FORMS.get(unit, unit)]
    si = convert(value, base.name, {"temperature": "K"}.get(base.dimension, base.name)) * (
        1.0 if base.dimension == "temperature" else base.factor
    )
    if base.dimension == "temperature" and si < 1:
        return
    shown = show(si, base.dimension, unit, digits)
    assert shown.isascii()
    back = read(shown, base.dimension)
    assert back.si == pytest.approx(si, abs=resolution(unit, digits) * (1 + 1e-6), rel=1e-12)
    assert show(back.si, base.dimension, unit, digits) == shown


@given(st.floats(-1e4, 1e4), st.none() | st.integers(0, 4))
def test_sixteen_ounces_are_never_shown(ounces: float, digits: int | None) -> None:
    shown = show(convert(ounces, "oz", "kg"), "mass", "lb oz", digits)
    words = shown.lstrip("-").split()
    assert float(words[-2]) < 16
    assert not (shown.startswith("-") and not any(digit in shown for digit in "123456789"))


@given(st.integers(-128 * 500, 128 * 500), st.sampled_from([2, 4, 8, 16, 32, 64, 128]))
def test_binary_fractions_are_kept(parts: int, denominator: int) -> None:
    si = convert(parts / denominator, "in", "m")
    shown = show(si, "length", f"in/{denominator}")
    assert "." not in shown
    assert read(shown).si == si


@given(st.floats(-1e300, 1e300), st.sampled_from(WAYS))
def test_any_finite_figure_is_shown_or_refused(si: float, unit: str) -> None:
    dimension = NAMES[FORMS.get(unit, unit)].dimension
    try:
        assert show(si, dimension, unit).isascii()
    except NotationError as problem:
        assert "too large" in problem.message


@given(st.floats(-1e9, 1e9), st.data())
def test_conversion_there_and_back(value: float, data: st.DataObject) -> None:
    dimension = data.draw(st.sampled_from(sorted(set(EXAMPLES) - {"temperature"})))
    names = sorted(unit.name for unit in NAMES.values() if unit.dimension == dimension)
    start, end = data.draw(st.sampled_from(names)), data.draw(st.sampled_from(names))
    assert convert(convert(value, start, end), end, start) == pytest.approx(value, rel=1e-14, abs=1e-290)
