"""The shown calculation behind a figure, how its numbers are written, and the checks on what goes in."""

from __future__ import annotations

import math
from typing import NamedTuple

from pitcrew.errors import FigureError

_MOST_DECIMALS = 6


class Working(NamedTuple):
    """How a figure was reached, in short ASCII text; names given by the crew stand as given.

    Attributes:
        inputs: one text for each thing that went in, with its number and unit.
        formula: the formula in words and symbols.
        numbers: the formula with the numbers put in.
        result: the figure with its unit.
        source: where the formula comes from.
        range: what it is good for.
    """

    inputs: tuple[str, ...]
    formula: str
    numbers: str
    result: str
    source: str
    range: str


class Shown(NamedTuple):
    """The unit a working is written in: its spelling and how many of it make one SI unit."""

    unit: str
    per_si: float


PLAIN = Shown("", 1.0)
MILLIMETRES = Shown("mm", 1000.0)
INCHES = Shown("in", 1.0 / 0.0254)
KILOGRAMS = Shown("kg", 1.0)
POUNDS = Shown("lb", 1.0 / 0.45359237)


def decimals_of(step: float) -> int | None:
    """Decimals an instrument of this step shows.

    Formula: the least d for which step x 10^d is whole.

    Args:
        step: one step of the display, in the unit it shows; 0 where there is no display.

    Returns:
        The decimals, or None where the step is 0 or not a decimal one.

    Range: step >= 0. Source: the definition of a decimal display.

    >>> decimals_of(0.01), decimals_of(0.005), decimals_of(0.0)
    (2, 3, None)
    """
    if not_negative(step, "step") == 0.0:
        return None
    for decimals in range(_MOST_DECIMALS + 1):
        scaled = step * 10.0**decimals
        if scaled > 0.5 and math.isclose(scaled, round(scaled), rel_tol=1e-9):
            return decimals
    return None


def written(si: float, shown: Shown = PLAIN, step: float = 0.0) -> str:
    """A number as the instrument gives it, without its unit, never as a negative zero.

    Formula: si x shown.per_si, with the decimals of the step; six significant figures without one.

    Args:
        si: the value, in SI units.
        shown: the unit to write it in.
        step: one step of the instrument, in SI units; 0 where there is none.

    Range: finite values. Source: the definition of the unit.

    >>> written(0.262, MILLIMETRES, 0.00001)
    '262.00'
    >>> written(-1e-17, MILLIMETRES, 0.00001), written(0.016, MILLIMETRES)
    ('0.00', '16')
    """
    value = finite(si, "value") * shown.per_si
    decimals = decimals_of(step * shown.per_si)
    text = f"{value:.6g}" if decimals is None else f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def two_figures(si: float, shown: Shown = PLAIN) -> str:
    """A doubt to two significant figures, which is all it is worth.

    Formula: si x shown.per_si, rounded to two figures, never with an exponent.

    Args:
        si: the doubt, in SI units, 0 or more.
        shown: the unit to write it in.

    Range: 0 and up. Source: JCGM 100:2008, 7.2.6.

    >>> two_figures(0.0000437, MILLIMETRES), two_figures(0.0), two_figures(112.86)
    ('0.044', '0', '110')
    """
    value = not_negative(si, "uncertainty") * shown.per_si
    if value == 0.0:
        return "0"
    decimals = 1 - math.floor(math.log10(value))
    return f"{round(value, decimals):.{max(decimals, 0)}f}"


def with_unit(text: str, shown: Shown) -> str:
    """A written number with its unit behind it.

    Formula: number, space, unit.

    Args:
        text: the number as written.
        shown: the unit; PLAIN has none.

    Range: any text. Source: the usual way of writing a quantity.

    >>> with_unit("0.35", MILLIMETRES), with_unit("2", PLAIN)
    ('0.35 mm', '2')
    """
    return f"{text} {shown.unit}".rstrip()


def finite(value: float, what: str) -> float:
    """The value, if it is a finite number.

    Formula: none.

    Args:
        value: any float, in any unit.
        what: the name of the thing, for the message.

    Raises:
        FigureError: it is infinite or not a number.

    Range: finite. Source: none needed.

    >>> finite(0.5, "gap")
    0.5
    """
    if not math.isfinite(value):
        raise FigureError(f"The {what} is not a finite number.", "Give a number.", what)
    return value


def not_negative(value: float, what: str) -> float:
    """The value, if it is finite and not below zero.

    Formula: none.

    Args:
        value: any float, in any unit.
        what: the name of the thing, for the message.

    Raises:
        FigureError: it is negative, infinite or not a number.

    Range: 0 and up. Source: none needed.

    >>> not_negative(0.0, "step")
    0.0
    """
    if finite(value, what) < 0.0:
        raise FigureError(f"The {what} is {value:g}, below zero.", "Give it without a sign.", what)
    return value
