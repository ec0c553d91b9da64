"""Dimension chains: signed pieces that add to a gap, with their doubt or their tolerance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from pitcrew.engineering.uncertainty import Doubt, Reading, combined
from pitcrew.engineering.working import (
    MILLIMETRES,
    Shown,
    Working,
    decimals_of,
    finite,
    with_unit,
    written,
)
from pitcrew.errors import FigureError

TIE_M = 1e-12
"""Chains this close are the same length, and a sum this small is 0: far below anything measured."""

_MEASURED_RANGE = "rigid pieces along one line"
_TOLERANCE_RANGE = "linear chain of independent pieces"


class Piece(NamedTuple):
    """One length of a chain: sign +1 opens the gap, -1 closes it; no reading yet is None."""

    name: str
    sign: int
    reading: Reading | None


class Sum(NamedTuple):
    """What a chain adds to, in metres; value and doubt are None while a reading is missing."""

    value: float | None
    doubt: Doubt | None
    working: Working
    missing: tuple[str, ...] = ()


class Dimension(NamedTuple):
    """A toleranced length in metres: nominal + upper is the most it may be, nominal + lower the least.

    0.250 +0.002/-0 mm is `upper` 0.000002, `lower` 0.0.
    """

    name: str
    sign: int
    nominal: float
    upper: float
    lower: float


class Tolerance(NamedTuple):
    """A gap by its drawing, in metres: its middle, plus or minus how much, and so from low to high."""

    middle: float
    plus_minus: float
    low: float
    high: float
    working: Working


class Contribution(NamedTuple):
    """How much of the gap's tolerance one dimension owns, 0 to 1, by either rule."""

    name: str
    worst_case: float
    root_sum_square: float


class Contributions(NamedTuple):
    """The contributions of all dimensions, in the order given."""

    parts: tuple[Contribution, ...]
    working: Working


def chain(pieces: Sequence[Piece], shown: Shown = MILLIMETRES) -> Sum:
    """Value of a chain of measured or nominal pieces, and its doubt.

    Formula: gap = sum of sign x length; doubt as `combined`, one instrument's error being common.

    Args:
        pieces: the pieces, lengths in metres, signs +1 or -1.
        shown: the unit the working is written in.

    Returns:
        The sum; with value None and the names of what is missing if a piece has no reading.

    Raises:
        FigureError: no pieces, or a reading that cannot be summed.

    Range: rigid pieces along one line. Source: plain addition; doubt after JCGM 100:2008.

    >>> plate = Piece("plate", -1, Reading(0.006, "CAL", 0.00001, 0.00003))
    >>> pocket = Piece("pocket", 1, Reading(0.0065, "CAL", 0.00001, 0.00003))
    >>> chain([pocket, plate]).working.numbers
    '6.50 - 6.00 = 0.50 mm'
    """
    if not pieces:
        raise FigureError("This chain has no pieces.", "Add its pieces.", "stack")
    missing = tuple(dict.fromkeys(piece.name for piece in pieces if piece.reading is None))
    if missing:
        return Sum(None, None, _unknown(pieces, missing, shown), missing)
    readings = [(piece.sign, piece.reading) for piece in pieces if piece.reading is not None]
    doubt = combined(readings, shown, [piece.name for piece in pieces])
    value = math.fsum(sign * reading.value for sign, reading in readings)
    # Lengths in metres have no exact binary form: an exactly closed gap comes out at 1e-17.
    value = 0.0 if abs(value) < TIE_M else value
    result = with_unit(written(value, shown, _finest(readings, shown)), shown)
    working = Working(
        inputs=tuple(_input_text(piece, shown) for piece in pieces),
        formula="gap = sum of signed pieces",
        numbers=f"{_signed(pieces, shown)} = {result}",
        result=result,
        source="plain addition; U after JCGM 100:2008",
        range=_MEASURED_RANGE,
    )
    return Sum(value, doubt, working)


def smallest(chains: Sequence[Sequence[Piece]], shown: Shown = MILLIMETRES) -> Sum:
    """The smallest of several chains: an overlap, a gap with several ways to close.

    Formula: min of the chains. The overlap of two faces is the smaller end less the larger start,
    and never more than either face: the least of end A - start B, end B - start A, face A, face B.
    The doubt is that of the smallest chain; of chains within 1e-12 m of it, the largest doubt.

    Args:
        chains: the chains, each a sequence of pieces with lengths in metres.
        shown: the unit the working is written in.

    Returns:
        The smallest sum; with value None and the names missing if any chain lacks a reading.

    Raises:
        FigureError: no chains, an empty one, or a reading that cannot be summed.

    Range: as for a chain; the runner-up further off than its own doubt, or tied.
    Source: geometry of two faces along one line.

    >>> face = [Piece("gear face", 1, Reading(0.018, "CAL", 0.00001, 0.00003))]
    >>> engaged = [Piece("pinion tip less gear start", 1, Reading(0.016, "CAL", 0.00001, 0.00003))]
    >>> smallest([face, engaged]).value
    0.016
    """
    if not chains:
        raise FigureError("There are no chains to take the smallest of.", "Add its chains.", "stack")
    sums = [chain(pieces, shown) for pieces in chains]
    missing = tuple(dict.fromkeys(name for each in sums for name in each.missing))
    inputs = tuple(each.working.numbers for each in sums)
    if missing:
        unknown = f"unknown: no reading of {', '.join(missing)}"
        return Sum(None, None, _smallest_working(inputs, unknown, unknown), missing)
    known = [(each.value, each.doubt, each) for each in sums if each.value is not None and each.doubt]
    value = min(length for length, _, _ in known)
    tied = [(doubt.expanded, each) for length, doubt, each in known if length - value <= TIE_M]
    winner = max(tied, key=lambda pair: pair[0])[1]
    numbers = f"min({', '.join(each.working.result for each in sums)}) = {winner.working.result}"
    return Sum(value, winner.doubt, _smallest_working(inputs, numbers, winner.working.result))


def worst_case(dimensions: Sequence[Dimension], shown: Shown = MILLIMETRES) -> Tolerance:
    """Limits of a gap when every dimension may be at its worst end at once.

    Formula: T = sum of t, t being half of upper - lower after each nominal is moved to the middle.

    Args:
        dimensions: the toleranced pieces, in metres, signs +1 or -1.
        shown: the unit the working is written in.

    Raises:
        FigureError: no dimensions, a sign that is neither, upper below lower.

    Range: linear chains, every part within its tolerance. Source: Budynas & Nisbett, Shigley's
    Mechanical Engineering Design, 9th ed., Example 1-3.

    >>> round(worst_case([Dimension("a", 1, 0.010, 0.0001, -0.0001)] * 3).plus_minus, 9)
    0.0003
    """
    halves = _halves(dimensions)
    numbers = " + ".join(written(half, shown) for half in halves)
    return _tolerance(dimensions, math.fsum(halves), "T = sum of t", numbers, shown)


def root_sum_square(dimensions: Sequence[Dimension], shown: Shown = MILLIMETRES) -> Tolerance:
    """Limits of a gap that nearly all assemblies keep, when pieces vary independently.

    Formula: T = sqrt( sum of t^2 ), t being half of upper - lower after each nominal is moved to the
    middle.

    Args:
        dimensions: the toleranced pieces, in metres, signs +1 or -1.
        shown: the unit the working is written in.

    Raises:
        FigureError: no dimensions, a sign that is neither, upper below lower.

    Range: independent pieces, centred, each tolerance the same number of standard deviations; it
    understates a single robot's worst case. Source: Budynas & Nisbett, Shigley's Mechanical
    Engineering Design, 9th ed., ch. 1.

    >>> round(root_sum_square([Dimension("a", 1, 0.010, 0.0001, -0.0001)] * 4).plus_minus, 9)
    0.0002
    """
    halves = _halves(dimensions)
    numbers = "sqrt(" + " + ".join(f"{written(half, shown)}^2" for half in halves) + ")"
    return _tolerance(dimensions, math.hypot(*halves), "T = sqrt( sum of t^2 )", numbers, shown)


def contributions(dimensions: Sequence[Dimension], shown: Shown = MILLIMETRES) -> Contributions:
    """Which dimension owns how much of the gap's tolerance: what to tighten first.

    Formula: worst case t / sum of t; root-sum-square t^2 / sum of t^2.

    Args:
        dimensions: the toleranced pieces, in metres, signs +1 or -1.
        shown: the unit the working is written in.

    Returns:
        The parts of 1 in the order given; all 0 where nothing has a tolerance.

    Raises:
        FigureError: no dimensions, a sign that is neither, upper below lower.

    Range: as for the two rules. Source: the two rules, divided by their sum.

    >>> pair = [Dimension("a", 1, 0.01, 0.0003, -0.0003), Dimension("b", -1, 0.01, 0.0001, -0.0001)]
    >>> [round(part.root_sum_square, 3) for part in contributions(pair).parts]
    [0.9, 0.1]
    """
    halves = _halves(dimensions)
    total = math.fsum(halves)
    # Scaled before squaring: the square of a length in metres may underflow.
    scaled = [half / total if total else 0.0 for half in halves]
    squares = math.fsum(share * share for share in scaled)
    parts = tuple(
        Contribution(dimension.name, share, share * share / squares if squares else 0.0)
        for dimension, share in zip(dimensions, scaled, strict=True)
    )
    working = Working(
        inputs=tuple(_dimension_text(dimension, shown) for dimension in dimensions),
        formula="t / sum of t; t^2 / sum of t^2",
        numbers="; ".join(f"{p.name} {p.worst_case:.0%}, {p.root_sum_square:.0%}" for p in parts),
        result=f"{max(parts, key=lambda part: part.worst_case).name} owns most",
        source="the worst-case and root-sum-square rules",
        range=_TOLERANCE_RANGE,
    )
    return Contributions(parts, working)


def _unknown(pieces: Sequence[Piece], missing: tuple[str, ...], shown: Shown) -> Working:
    return Working(
        inputs=tuple(_input_text(piece, shown) for piece in pieces),
        formula="gap = sum of signed pieces",
        numbers=_signed(pieces, shown),
        result=f"unknown: no reading of {', '.join(missing)}",
        source="plain addition; U after JCGM 100:2008",
        range=_MEASURED_RANGE,
    )


def _smallest_working(inputs: tuple[str, ...], numbers: str, result: str) -> Working:
    return Working(
        inputs=inputs,
        formula="gap = smallest of the chains",
        numbers=numbers,
        result=result,
        source="two faces share the smaller end less the larger start",
        range=_MEASURED_RANGE,
    )


def _finest(readings: Sequence[tuple[int, Reading]], shown: Shown) -> float:
    """The finest step among the readings: a sum written to it cuts no digit anyone read."""
    steps = {reading.resolution for _, reading in readings}
    return min((step for step in steps if decimals_of(step * shown.per_si) is not None), default=0.0)


def _signed(pieces: Sequence[Piece], shown: Shown) -> str:
    text = " ".join(f"{'+' if piece.sign > 0 else '-'} {_length(piece, shown)}" for piece in pieces)
    return text.removeprefix("+ ")


def _length(piece: Piece, shown: Shown) -> str:
    return "?" if piece.reading is None else written(piece.reading.value, shown, piece.reading.resolution)


def _input_text(piece: Piece, shown: Shown) -> str:
    mark = "+" if piece.sign > 0 else "-"
    text = f"{mark} {piece.name} {with_unit(_length(piece, shown), shown)}"
    if piece.reading is None:
        return f"{text} not read"
    if piece.reading.instrument is None:
        return f"{text} nominal +-{written(piece.reading.tolerance, shown)}"
    return f"{text} {piece.reading.instrument}"


def _halves(dimensions: Sequence[Dimension]) -> list[float]:
    if not dimensions:
        raise FigureError("This chain has no dimensions.", "Add its dimensions.", "stack")
    for dimension in dimensions:
        if dimension.sign not in (1, -1):
            raise FigureError("A sign is +1 or -1.", "Count a piece once for each use.", dimension.name)
        finite(dimension.nominal, dimension.name)
        if finite(dimension.upper, dimension.name) < finite(dimension.lower, dimension.name):
            raise FigureError("The upper deviation is below the lower.", "Swap them.", dimension.name)
    return [(dimension.upper - dimension.lower) / 2.0 for dimension in dimensions]


def _tolerance(
    dimensions: Sequence[Dimension], plus_minus: float, formula: str, numbers: str, shown: Shown
) -> Tolerance:
    middle = math.fsum(d.sign * (d.nominal + (d.upper + d.lower) / 2.0) for d in dimensions)
    middle = 0.0 if abs(middle) < TIE_M else middle
    result = with_unit(f"{written(middle, shown)} +-{written(plus_minus, shown)}", shown)
    working = Working(
        inputs=tuple(_dimension_text(dimension, shown) for dimension in dimensions),
        formula=f"{formula}, about the sum of signed middles",
        numbers=f"T = {numbers} = {with_unit(written(plus_minus, shown), shown)}",
        result=result,
        source="Shigley's Mechanical Engineering Design, 9th ed., ch. 1",
        range=_TOLERANCE_RANGE,
    )
    return Tolerance(middle, plus_minus, middle - plus_minus, middle + plus_minus, working)


def _dimension_text(dimension: Dimension, shown: Shown) -> str:
    mark = "+" if dimension.sign > 0 else "-"
    upper, lower = written(dimension.upper, shown), written(dimension.lower, shown)
    return f"{mark} {dimension.name} {with_unit(written(dimension.nominal, shown), shown)} ({upper}, {lower})"
