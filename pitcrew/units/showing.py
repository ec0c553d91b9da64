"""Showing figures: ASCII, carried and rounded so that what is shown can be read back."""

from __future__ import annotations

import math

from pitcrew.errors import NotationError
from pitcrew.units.reading import printable
from pitcrew.units.table import FORMS, INCH_FRACTIONS, NAMES, PAIRS, Unit

MOST_DIGITS = 12
"""Decimals that a double can still mean something in."""

SAME_FRACTION_IN = 5e-6
"""Inches within which a figure is the fraction: under any gauge, over any rounding."""


def show(si: float, dimension: str, unit: str, digits: int | None = None) -> str:
    """A figure as text.

    Args:
        si: the value in the SI unit of its dimension.
        dimension: what it measures.
        unit: canonical unit, or a way of writing: "lb oz", "ft in", "min:s", "h:min:s", or "in/64" for
            inches in fractions down to 64ths. A value that is no such fraction is shown in decimals,
            never moved to the nearest one.
        digits: decimals shown; None shows as many as the figure has, up to what the unit is good for.

    Raises:
        NotationError: no such unit, a unit of another dimension, or a value that is not finite.

    >>> show(1.0914566, "mass", "lb oz")
    '2 lb 6.5 oz'
    >>> show(0.0381, "length", "in/64")
    '1 1/2 in'
    """
    base = NAMES.get(FORMS.get(unit, unit))
    if base is None:
        raise NotationError(f"{printable(unit)} is not a unit I know.")
    if base.dimension != dimension:
        raise NotationError(f"{unit} is a unit of {base.dimension}, not of {printable(dimension)}.")
    if digits is not None and not 0 <= digits <= MOST_DIGITS:
        raise NotationError(f"A figure is shown with 0 to {MOST_DIGITS} decimals.")
    value = from_si(si, base)
    if unit in INCH_FRACTIONS:
        return _inches(value, INCH_FRACTIONS[unit], digits)
    if unit in FORMS:
        return _composed(value, unit, base, digits)
    return f"{_signed(value, _decimals(abs(value), base, digits))} {base.name}"


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """A value in another unit of the same dimension, rounded once.

    Args:
        value: in `from_unit`.
        from_unit, to_unit: canonical units ("in-lb", "N m", "deg C"); "in/64" and its like count as inches.

    Raises:
        NotationError: an unknown unit, units of two dimensions, or a value that is not finite.

    >>> convert(12, "in-lb", "ft-lb")
    1.0
    """
    start, end = _single_unit(from_unit), _single_unit(to_unit)
    if start.dimension != end.dimension:
        raise NotationError(f"{start.name} measures {start.dimension} and {end.name} {end.dimension}.")
    top, bottom = _ratio(value)
    zero_top, zero_bottom = start.zero
    si_top = (top * zero_bottom + zero_top * bottom) * start.numerator
    return _out_of_si(si_top, bottom * zero_bottom * start.denominator, end)


def from_si(si: float, unit: Unit) -> float:
    """An SI value counted in a unit, rounded once."""
    return _out_of_si(*_ratio(si), unit)


def _single_unit(name: str) -> Unit:
    base = NAMES.get("in" if name in INCH_FRACTIONS else name)
    if base is None:
        hint = f"Count it in {FORMS[name]}." if name in FORMS else ""
        raise NotationError(f"{printable(name)} is not one unit that can be converted.", hint)
    return base


def _ratio(value: float) -> tuple[int, int]:
    if not math.isfinite(value):
        raise NotationError("The figure is not a finite number.")
    return float(value).as_integer_ratio()


def _out_of_si(top: int, bottom: int, unit: Unit) -> float:
    zero_top, zero_bottom = unit.zero
    bottom *= unit.numerator
    top = top * unit.denominator * zero_bottom - zero_top * bottom
    try:
        return top / (bottom * zero_bottom)
    except OverflowError as problem:
        raise NotationError(f"The figure is too large to be counted in {unit.name}.") from problem


def _decimals(size: float, unit: Unit, digits: int | None) -> str:
    """A size with the decimals asked for, or with no more than it needs."""
    if digits is not None:
        return f"{size:.{digits}f}"
    return _trimmed(f"{size:.{unit.decimals}f}")


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _signed(value: float, size: str) -> str:
    """The minus sign is for what is still below zero after rounding."""
    return f"-{size}" if value < 0 and any(digit in size for digit in "123456789") else size


def _inches(value: float, finest: int, digits: int | None) -> str:
    size = abs(value)
    if _fraction(size, finest) is None:
        decimals = _decimals(size, NAMES["in"], digits)
        # What rounding made a fraction of is shown as one, so that reading it back shows the same.
        size = float(decimals)
        if _fraction(size, finest) is None:
            return f"{_signed(value, decimals)} in"
    whole, top = divmod(_fraction(size, finest) or 0, finest)
    if top == 0:
        return f"{_signed(value, str(whole))} in"
    common = math.gcd(top, finest)
    fraction = f"{top // common}/{finest // common}"
    return f"{_signed(value, f'{whole} {fraction}' if whole else fraction)} in"


def _fraction(size: float, finest: int) -> int | None:
    """How many of the finest parts of an inch a size is; None when it is no whole number of them."""
    parts = round(size * finest) if size < 1e9 else 0
    return parts if abs(parts / finest - size) <= SAME_FRACTION_IN else None


def _composed(value: float, form: str, base: Unit, digits: int | None) -> str:
    """Two or three figures that make one, carried after rounding so that 16 oz is never shown."""
    rounded = f"{abs(value):.{base.decimals if digits is None else digits}f}"
    whole, _, part = rounded.partition(".")
    tail = f".{part}" if part else ""
    if digits is None:
        tail = _trimmed(tail) if tail.strip(".0") else ""
    return _signed(value, _carried(int(whole), tail, form))


def _carried(whole: int, tail: str, form: str) -> str:
    if form == "h:min:s":
        minutes, seconds = divmod(whole, 60)
        return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}{tail}"
    if form == "min:s":
        return f"{whole // 60}:{whole % 60:02d}{tail}"
    big_name, small_name = form.split(" ")
    big, small = divmod(whole, PAIRS[(big_name, small_name)].ratio)
    return f"{big} {big_name} {small}{tail} {small_name}" if big else f"{small}{tail} {small_name}"
