"""Measurement uncertainty, and whether a value is sure enough of its limits."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple

from pitcrew.engineering import conformity
from pitcrew.engineering.working import (
    PLAIN,
    Shown,
    Working,
    finite,
    not_negative,
    two_figures,
    with_unit,
    written,
)
from pitcrew.errors import FigureError

COVERAGE_FACTOR = 2.0
"""k of an expanded uncertainty: about 95 % for a near-normal sum (JCGM 100:2008, G.6.6)."""

# A doubt and the decision made with it are wanted together.
decide = conformity.decide
conformance_probability = conformity.conformance_probability
acceptance_limits = conformity.acceptance_limits

_GUIDE = "JCGM 100:2008"
_DIVISORS = {"rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0), "arcsine": math.sqrt(2.0)}


class Reading(NamedTuple):
    """One value that went into a sum, in one SI unit throughout.

    Measured: an instrument with its step and its permissible error as an absolute value, no
    tolerance. Nominal: no instrument, step and permissible error 0, and the plus-or-minus tolerance
    it was made to.
    """

    value: float
    instrument: str | None
    resolution: float
    permissible: float
    tolerance: float = 0.0


class Doubt(NamedTuple):
    """The doubt of a sum: U (k = 2), standard uncertainty, and who owns how much of the variance.

    `shares` names instruments and nominal pieces, largest part first; the parts add up to 1, or are
    all 0 where there is no doubt at all.
    """

    expanded: float
    standard: float
    shares: tuple[tuple[str, float], ...]
    working: Working


class Evaluated(NamedTuple):
    """A standard uncertainty with its estimate and degrees of freedom (infinite: taken as known)."""

    standard: float
    freedom: float
    estimate: float
    working: Working


class Expanded(NamedTuple):
    """An expanded uncertainty U and the coverage factor it was made with."""

    value: float
    factor: float
    working: Working


def permissible_of(value: float, absolute: float | None, percent: float | None) -> float:
    """The permissible error of an instrument at one reading, as an absolute value.

    Formula: absolute + |value| x percent / 100; whichever is not stated adds nothing.

    Args:
        value: the reading, in its SI unit.
        absolute: the fixed part, in the same unit, 0 or more; None if not stated.
        percent: the part that grows with the reading, in per cent, 0 or more; None if not stated.

    Raises:
        FigureError: neither is stated, or one is negative.

    Range: any reading. Source: the two ways instrument makers state it; both together for meters.

    >>> permissible_of(45.0, None, 4.0)
    1.8
    """
    if absolute is None and percent is None:
        raise FigureError("This instrument has no permissible error.", "State it, or 0.", "permissible error")
    fixed = not_negative(absolute or 0.0, "permissible error")
    return fixed + abs(finite(value, "reading")) * not_negative(percent or 0.0, "permissible error") / 100.0


def nominal(value: float, tolerance: float) -> Reading:
    """A piece nobody measured: its nominal value and the tolerance it was made to.

    Formula: none; the tolerance is taken as a rectangular half width.

    Args:
        value: the nominal value, in its SI unit.
        tolerance: plus or minus, in the same unit, 0 or more.

    Range: symmetrical tolerances; shift others to their middle first. Source: JCGM 100:2008, 4.3.7.

    >>> nominal(0.016, 0.00035).instrument is None
    True
    """
    return Reading(value, None, 0.0, 0.0, tolerance)


def type_a(values: Sequence[float]) -> Evaluated:
    """Mean of repeated readings and the standard uncertainty of that mean.

    Formula: u = s / sqrt(n), s with n - 1; n - 1 degrees of freedom.

    Args:
        values: the readings, in one SI unit.

    Raises:
        FigureError: fewer than two readings.

    Range: two or more independent readings of one thing. Source: JCGM 100:2008, 4.2.

    >>> round(type_a([10.01, 10.03, 9.99, 10.02, 10.00]).standard, 9)
    0.007071068
    """
    n = len(values)
    if n < 2:
        raise FigureError("The spread of fewer than two readings is unknown.", "Read again.", "readings")
    mean = math.fsum(finite(value, "reading") for value in values) / n
    spread = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (n - 1))
    standard = spread / math.sqrt(n)
    working = Working(
        inputs=tuple(f"reading {written(value)}" for value in values),
        formula="u = s / sqrt(n)",
        numbers=f"u = {written(spread)} / sqrt({n})",
        result=written(standard),
        source=f"{_GUIDE}, 4.2",
        range="two or more independent readings",
    )
    return Evaluated(standard, n - 1.0, mean, working)


def type_b(half_width: float, shape: Literal["rectangular", "triangular", "arcsine"]) -> Evaluated:
    """Standard uncertainty of an error known only to lie within plus or minus a half width.

    Formula: rectangular a / sqrt(3), triangular a / sqrt(6), arcsine a / sqrt(2).

    Args:
        half_width: a, in an SI unit, 0 or more. Of a display step d it is d / 2.
        shape: how the error is spread between the ends.

    Range: symmetrical about 0. Source: JCGM 100:2008, 4.3.7, 4.3.9, H.1.3.4.

    >>> round(type_b(0.005, "rectangular").standard, 9)
    0.002886751
    """
    divisor = _DIVISORS.get(shape)
    if divisor is None:
        raise FigureError(f"No spread is called {shape!r}.", f"Use one of {', '.join(_DIVISORS)}.", "shape")
    standard = not_negative(half_width, "half width") / divisor
    working = Working(
        inputs=(f"half width {written(half_width)}", f"shape {shape}"),
        formula=f"u = a / sqrt({divisor**2:.0f})",
        numbers=f"u = {written(half_width)} / sqrt({divisor**2:.0f})",
        result=written(standard),
        source=f"{_GUIDE}, 4.3",
        range="symmetrical about 0",
    )
    return Evaluated(standard, math.inf, 0.0, working)


def correlation(first: Sequence[float], second: Sequence[float]) -> float:
    """Correlation coefficient of two things read at the same times.

    Formula: r = sum (x - mean x)(y - mean y) / sqrt( sum (x - mean x)^2 sum (y - mean y)^2 ).

    Args:
        first: readings of the one, in any unit.
        second: readings of the other at the same times, in any unit.

    Raises:
        FigureError: lengths differ, fewer than two, or one of them never changes.

    Range: two or more pairs; result -1 to 1. Source: JCGM 100:2008, 5.2.2 and H.2.

    >>> round(correlation([1.0, 2.0, 3.0], [2.0, 4.0, 6.0]), 9)
    1.0
    """
    if len(first) != len(second) or len(first) < 2:
        raise FigureError("A correlation needs two equal runs of readings.", "Pair them.", "readings")
    mean_x = math.fsum(finite(x, "reading") for x in first) / len(first)
    mean_y = math.fsum(finite(y, "reading") for y in second) / len(second)
    spread = math.sqrt(math.fsum((x - mean_x) ** 2 for x in first))
    spread *= math.sqrt(math.fsum((y - mean_y) ** 2 for y in second))
    if spread == 0.0:
        raise FigureError("A reading that never changes has no correlation.", "Leave it out.", "readings")
    together = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(first, second, strict=True))
    return max(-1.0, min(1.0, together / spread))


def propagated(
    terms: Sequence[tuple[float, float]], correlations: Mapping[tuple[int, int], float] | None = None
) -> Evaluated:
    """Standard uncertainty of a result from those of its inputs.

    Formula: u^2 = sum (c u)^2 + 2 sum over pairs c_i c_j u_i u_j r_ij.

    Args:
        terms: (c, u) of each input: result units per input unit, and its standard uncertainty.
        correlations: r of pairs of inputs, by their places in `terms`, each pair once; others are 0.

    Raises:
        FigureError: an r outside -1 to 1, a pair not of two inputs, or r values that contradict.

    Range: nearly linear over plus or minus u. Source: JCGM 100:2008, 5.1.2 and 5.2.2.

    >>> round(propagated([(10.0, 0.02), (25.0, 0.01)]).standard, 10)
    0.3201562119
    """
    parts = [finite(c, "sensitivity") * not_negative(u, "standard uncertainty") for c, u in terms]
    squares = [part * part for part in parts]
    for (i, j), r in (correlations or {}).items():
        if not (0 <= i < len(parts) and 0 <= j < len(parts) and i != j and -1.0 <= r <= 1.0):
            raise FigureError("A correlation is -1 to 1 between two inputs.", "Correct it.", "correlation")
        squares.append(2.0 * parts[i] * parts[j] * r)
    variance = math.fsum(squares)
    if variance < -conformity.NOISE * math.fsum(map(abs, squares)):
        raise FigureError("These correlations contradict each other.", "Measure them together.", "correlation")
    standard = math.sqrt(max(variance, 0.0))
    working = Working(
        inputs=tuple(f"c {written(c)}, u {written(u)}" for c, u in terms),
        formula="u^2 = sum (c u)^2 + 2 sum c_i c_j u_i u_j r_ij",
        numbers="u^2 = " + " + ".join(written(square) for square in squares),
        result=written(standard),
        source=f"{_GUIDE}, 5.1.2 and 5.2.2",
        range="nearly linear over plus or minus u",
    )
    return Evaluated(standard, math.inf, 0.0, working)


def welch_satterthwaite(components: Sequence[tuple[float, float]]) -> Evaluated:
    """Combined standard uncertainty and effective degrees of freedom of independent components.

    Formula: u_c^2 = sum u^2; nu_eff = u_c^4 / sum (u^4 / nu).

    Args:
        components: (u, nu) of each: standard uncertainty in the unit of the result, and its degrees
            of freedom, above 0; infinite where u is taken as known.

    Raises:
        FigureError: degrees of freedom not above 0.

    Range: independent components. Source: JCGM 100:2008, G.4.1.

    >>> round(welch_satterthwaite([(1.0, 10.0)] * 4).freedom, 9)
    40.0
    """
    if not all(freedom > 0.0 for _, freedom in components):
        raise FigureError("Degrees of freedom are above 0.", "One less than the readings.", "freedom")
    standard = math.sqrt(math.fsum(not_negative(u, "standard uncertainty") ** 2 for u, _ in components))
    # Ratios keep the fourth powers away from underflow: lengths in metres have u near 1e-6.
    below = math.fsum((u / standard) ** 4 / freedom for u, freedom in components) if standard else 0.0
    freedom = 1.0 / below if below else math.inf
    working = Working(
        inputs=tuple(f"u {written(u)}, nu {nu:g}" for u, nu in components),
        formula="u_c^2 = sum u^2; nu_eff = u_c^4 / sum (u^4 / nu)",
        numbers=f"u_c = {written(standard)}; nu_eff = {freedom:.6g}",
        result=written(standard),
        source=f"{_GUIDE}, G.4.1",
        range="independent components",
    )
    return Evaluated(standard, freedom, 0.0, working)


def expanded(standard: float, factor: float = COVERAGE_FACTOR) -> Expanded:
    """Expanded uncertainty.

    Formula: U = k u.

    Args:
        standard: u, in an SI unit, 0 or more.
        factor: k, 0 or more.

    Range: k = 2 covers about 95 % of a near-normal result. Source: JCGM 100:2008, 6.2.

    >>> expanded(0.02).value
    0.04
    """
    value = not_negative(factor, "coverage factor") * not_negative(standard, "standard uncertainty")
    working = Working(
        inputs=(f"u {written(standard)}", f"k {factor:g}"),
        formula="U = k u",
        numbers=f"U = {factor:g} x {written(standard)}",
        result=written(value),
        source=f"{_GUIDE}, 6.2",
        range="near-normal result",
    )
    return Expanded(value, factor, working)


def combined(readings: Sequence[tuple[int, Reading]], shown: Shown = PLAIN, names: Sequence[str] = ()) -> Doubt:
    """Doubt of a signed sum in which one instrument's error is the same error every time it is used.

    Formula: U = 2 sqrt( sum over instruments (sum of signs x permissible)^2 / 3
    + sum over readings resolution^2 / 12 + sum over nominal pieces tolerance^2 / 3 ).

    Args:
        readings: (sign, reading), sign +1 or -1, all in one SI unit.
        shown: the unit the working is written in.
        names: a name for each reading, used for nominal pieces; else they are all called nominal.

    Raises:
        FigureError: nothing to sum, a sign that is neither, or a reading half measured, half nominal.

    Range: errors rectangular within their limits; different instruments independent.
    Source: JCGM 100:2008, 4.3.7, 5.2.2 (r = 1 within one instrument), F.2.2.1.

    >>> caliper = Reading(0.0, "CAL", 0.01, 0.03)
    >>> round(combined([(1, caliper)] + [(-1, caliper)] * 6).expanded, 3)
    0.174
    """
    if not readings:
        raise FigureError("There is nothing to sum.", "Give at least one piece.", "readings")
    common: dict[str, list[float]] = {}
    steps: dict[str, list[float]] = {}
    parts: list[tuple[str, float]] = []
    for place, (sign, reading) in enumerate(readings):
        _check(sign, reading)
        if reading.instrument is None:
            name = names[place] if names else "nominal"
            parts.append((name, reading.tolerance**2 / 3.0))
        else:
            common.setdefault(reading.instrument, []).append(sign * reading.permissible)
            steps.setdefault(reading.instrument, []).append(reading.resolution**2 / 12.0)
    net = {name: math.fsum(errors) for name, errors in common.items()}
    parts += [(name, net[name] ** 2 / 3.0 + math.fsum(steps[name])) for name in net]
    variance = math.fsum(part for _, part in parts)
    shares = [(name, part / variance if variance else 0.0) for name, part in parts]
    standard = math.sqrt(variance)
    working = _combined_working(readings, net, COVERAGE_FACTOR * standard, shown)
    ordered = tuple(sorted(shares, key=lambda share: (-share[1], share[0])))
    return Doubt(COVERAGE_FACTOR * standard, standard, ordered, working)


def _check(sign: int, reading: Reading) -> None:
    if sign not in (1, -1):
        raise FigureError(f"A sign is +1 or -1, not {sign!r}.", "Count a piece once for each use.", "sign")
    finite(reading.value, "reading")
    not_negative(reading.resolution, "resolution")
    not_negative(reading.permissible, "permissible error")
    not_negative(reading.tolerance, "tolerance")
    if reading.instrument is None and (reading.resolution or reading.permissible):
        raise FigureError("A reading without its instrument has no known doubt.", "Name it.", "instrument")
    if reading.instrument is not None and reading.tolerance:
        raise FigureError("A measured piece carries no tolerance.", "Leave the tolerance out.", "tolerance")


def _combined_working(
    readings: Sequence[tuple[int, Reading]], net: Mapping[str, float], value: float, shown: Shown
) -> Working:
    erring = {reading.instrument for _, reading in readings if reading.permissible}
    terms = [f"({name} {written(abs(net[name]), shown)})^2/3" for name in net if name in erring]
    terms += [f"{written(r.tolerance, shown)}^2/3" for _, r in readings if r.instrument is None]
    stepped = [r.resolution for _, r in readings if r.resolution]
    terms += [f"{stepped.count(step)} x {written(step, shown)}^2/12" for step in sorted(set(stepped), reverse=True)]
    said = with_unit(two_figures(value, shown), shown)
    return Working(
        inputs=tuple(_input_text(sign, reading, shown) for sign, reading in readings),
        formula="U = 2 sqrt( (signed errors of each instrument)^2/3 + steps^2/12 + tolerances^2/3 )",
        numbers=f"U = 2 sqrt( {' + '.join(terms)} ) = {said}",
        result=said,
        source=f"{_GUIDE}, 4.3.7, 5.2.2, F.2.2.1",
        range="rectangular errors; different instruments independent",
    )


def _input_text(sign: int, reading: Reading, shown: Shown) -> str:
    value = with_unit(written(reading.value, shown, reading.resolution), shown)
    mark = "+" if sign > 0 else "-"
    if reading.instrument is None:
        return f"{mark} {value} nominal +-{written(reading.tolerance, shown)}"
    step, error = written(reading.resolution, shown), written(reading.permissible, shown)
    return f"{mark} {value} {reading.instrument}, step {step}, error +-{error}"
