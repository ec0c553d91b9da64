"""Is a value sure enough of its limits: decision rule, probability, guard band."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from pitcrew.engineering.working import PLAIN, Shown, Working, finite, not_negative, with_unit, written
from pitcrew.errors import FigureError

NOISE = 1e-9
"""Relative to the largest of the limits and U: what binary fractions may add to a margin."""


class Decision(NamedTuple):
    """What a value is worth against its limits.

    Attributes:
        word: pass, marginal or fail.
        margin: distance to the nearest limit, negative outside; infinite without any limit.
        limit: that nearest limit; None without any.
        inside: the value itself keeps every limit, its doubt left aside.
        working: the shown calculation.
    """

    word: Literal["pass", "marginal", "fail"]
    margin: float
    limit: float | None
    inside: bool
    working: Working


class Conformance(NamedTuple):
    """The probability, 0 to 1, that the true value keeps its limits."""

    probability: float
    working: Working


class Acceptance(NamedTuple):
    """Limits drawn in by a guard band; None where there is no limit on that side."""

    low: float | None
    high: float | None
    working: Working


def decide(value: float, expanded: float, low: float | None, high: float | None, shown: Shown = PLAIN) -> Decision:
    """Pass or fail where the value is sure enough, marginal between.

    Formula: margin = least of value - low and high - value; pass if margin >= U, fail if margin < -U.
    0.75 - 0.65 in binary is a hair under 0.10, so both borders give way by 1e-9 of the largest of
    |low|, |high| and U. That leeway does not depend on the value: at one U, more margin is never worse.

    Args:
        value: the value, in any one unit.
        expanded: U, in the same unit, 0 or more.
        low: the least allowed, in the same unit; None if there is no such limit.
        high: the most allowed, in the same unit; None if there is no such limit.
        shown: the unit the working is written in.

    Raises:
        FigureError: a number that is not finite, a negative U, or limits the wrong way round.

    Range: U with k = 2; limits that do not already hold a margin for doubt.
    Source: the rule of ISO 14253-1 with guard band U, in the terms of JCGM 106:2012.

    >>> decide(0.65, 0.10, 0.25, 0.75).word, decide(0.65, 0.174, 0.25, 0.75).word
    ('pass', 'marginal')
    >>> decide(1.60, 0.044, 0.25, 0.75).word
    'fail'
    """
    finite(value, "value")
    not_negative(expanded, "uncertainty")
    _check_limits(low, high)
    margins = [(value - low, low)] if low is not None else []
    margins += [(high - value, high)] if high is not None else []
    margin, limit = min(margins, key=lambda pair: pair[0], default=(math.inf, None))
    leeway = NOISE * max(abs(low or 0.0), abs(high or 0.0), expanded)
    word: Literal["pass", "marginal", "fail"] = "marginal"
    if margin >= expanded - leeway:
        word = "pass"
    elif margin < -expanded - leeway:
        word = "fail"
    doubt = f"U {with_unit(written(expanded, shown), shown)}"
    working = Working(
        inputs=(
            f"value {with_unit(written(value, shown), shown)}",
            doubt,
            *_limit_texts(low, high, shown),
        ),
        formula="margin = least of value - low, high - value; pass from U up, fail below -U",
        numbers=f"margin {_margin_text(margin, shown)} against {doubt}",
        result=word,
        source="ISO 14253-1 with guard band U, after JCGM 106:2012",
        range="U with k = 2; limits that hold no margin for doubt",
    )
    return Decision(word, margin, limit, margin >= -leeway, working)


def conformance_probability(
    value: float, standard: float, low: float | None, high: float | None, shown: Shown = PLAIN
) -> Conformance:
    """Probability that the true value keeps its limits.

    Formula: Phi((high - y) / u) - Phi((low - y) / u); for u = 0, 1 inside (the limit included), else 0.

    Args:
        value: y, in any one unit.
        standard: u, the standard uncertainty in the same unit, 0 or more.
        low: the least allowed, in the same unit; None if there is no such limit.
        high: the most allowed, in the same unit; None if there is no such limit.
        shown: the unit the working is written in.

    Raises:
        FigureError: a number that is not finite, a negative u, or limits the wrong way round.

    Range: normal doubt about the value, nothing known beforehand. Source: JCGM 106:2012.

    >>> round(conformance_probability(10.03, 0.012, 9.95, 10.05).probability, 10)
    0.9522096477
    """
    finite(value, "value")
    not_negative(standard, "standard uncertainty")
    _check_limits(low, high)
    below = _deviates(low, value, standard, -math.inf)
    above = _deviates(high, value, standard, math.inf)
    if standard == 0.0:
        probability = 1.0 if below <= 0.0 <= above else 0.0
    elif below > 0.0:
        probability = _beyond(below) - _beyond(above)
    else:
        probability = _beyond(-above) - _beyond(-below)
    working = Working(
        inputs=(
            f"y {with_unit(written(value, shown), shown)}",
            f"u {with_unit(written(standard, shown), shown)}",
            *_limit_texts(low, high, shown),
        ),
        formula="p = Phi((high - y) / u) - Phi((low - y) / u)",
        numbers=f"p = Phi({above:.4g}) - Phi({below:.4g})",
        result=f"{probability:.4g}",
        source="JCGM 106:2012",
        range="normal doubt, nothing known beforehand",
    )
    return Conformance(probability, working)


def acceptance_limits(low: float | None, high: float | None, guard_band: float, shown: Shown = PLAIN) -> Acceptance:
    """Limits to accept within, drawn in from the tolerance limits by a guard band.

    Formula: acceptance low = low + w; acceptance high = high - w.

    Args:
        low: lower tolerance limit, in any one unit; None if there is none.
        high: upper tolerance limit, in the same unit; None if there is none.
        guard_band: w, in the same unit, 0 or more; 0 is simple acceptance, U the rule of `decide`.
        shown: the unit the working is written in.

    Raises:
        FigureError: limits the wrong way round, or a guard band that leaves nothing between them.

    Range: w up to half the tolerance. Source: ILAC-G8:09/2019, 4.1 and 4.2; JCGM 106:2012.

    >>> acceptance_limits(None, 10.0, 0.5).high
    9.5
    """
    not_negative(guard_band, "guard band")
    _check_limits(low, high)
    inner_low = None if low is None else low + guard_band
    inner_high = None if high is None else high - guard_band
    if inner_low is not None and inner_high is not None and inner_low > inner_high:
        hint = "Use a better instrument or wider limits."
        raise FigureError("The guard band leaves nothing between the limits.", hint, "guard band")
    working = Working(
        inputs=(*_limit_texts(low, high, shown), f"w {with_unit(written(guard_band, shown), shown)}"),
        formula="low + w; high - w",
        numbers=" to ".join(_limit_texts(inner_low, inner_high, shown)),
        result=" to ".join(_limit_texts(inner_low, inner_high, shown)),
        source="ILAC-G8:09/2019, 4.1 and 4.2",
        range="w up to half the tolerance",
    )
    return Acceptance(inner_low, inner_high, working)


def _check_limits(low: float | None, high: float | None) -> None:
    for limit in (low, high):
        if limit is not None:
            finite(limit, "limit")
    if low is not None and high is not None and low > high:
        raise FigureError(f"The limits {low:g} to {high:g} are the wrong way round.", "Swap them.", "limits")


def _limit_texts(low: float | None, high: float | None, shown: Shown) -> tuple[str, ...]:
    texts = [f"at least {with_unit(written(low, shown), shown)}"] if low is not None else []
    texts += [f"at most {with_unit(written(high, shown), shown)}"] if high is not None else []
    return tuple(texts)


def _margin_text(margin: float, shown: Shown) -> str:
    return "without limit" if math.isinf(margin) else with_unit(written(margin, shown), shown)


def _deviates(limit: float | None, value: float, standard: float, absent: float) -> float:
    if limit is None:
        return absent
    return (limit - value) / standard if standard else limit - value


def _beyond(z: float) -> float:
    """Normal probability above z; the complement keeps its digits far out in the tail."""
    return 0.5 * math.erfc(z / math.sqrt(2.0))
