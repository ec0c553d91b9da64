"""Uncertainty and decision figures against published and independently computed values."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

import pytest

from pitcrew.engineering.stacks import Piece, chain
from pitcrew.engineering.uncertainty import (
    acceptance_limits,
    conformance_probability,
    correlation,
    expanded,
    nominal,
    propagated,
    type_a,
    type_b,
    welch_satterthwaite,
)
from tests.published.rows import Row, hold, load, unused

ROWS = load("uncertainty")


def caliper_budget(values: list[float], resolution: float, permissible: float) -> list[tuple[float, float]]:
    parts = [
        type_a(values),
        type_b(resolution / 2, "rectangular"),
        type_b(permissible, "rectangular"),
    ]
    return [(part.standard, part.freedom) for part in parts]


def end_gauge_difference(inputs: dict[str, Any]) -> tuple[float, float]:
    difference = welch_satterthwaite([(u, nu) for u, nu in inputs["difference_parts"]])
    return difference.standard, difference.freedom


def end_gauge_theta(inputs: dict[str, Any]) -> float:
    swing = type_b(inputs["theta_arcsine"], "arcsine").standard
    return propagated([(1.0, inputs["theta_u"]), (1.0, swing)]).standard


def end_gauge_components(inputs: dict[str, Any]) -> list[tuple[float, float]]:
    """l = l_s + d - l_s (delta_alpha theta + alpha delta_theta), at delta_alpha = delta_theta = 0."""
    length = inputs["standard_gauge"]
    expansion = type_b(inputs["delta_alpha_half_width"], "rectangular").standard
    warmth = type_b(inputs["delta_theta_half_width"], "rectangular").standard
    return [
        (inputs["standard_gauge_u"], inputs["standard_gauge_nu"]),
        end_gauge_difference(inputs),
        (abs(length * inputs["theta"]) * expansion, inputs["delta_alpha_nu"]),
        (length * inputs["alpha"] * warmth, inputs["delta_theta_nu"]),
    ]


def end_gauge_length(**inputs: Any) -> float:
    lengths = {"standard": inputs["standard_gauge"], "difference": inputs["difference"]}
    value = chain([Piece(name, 1, nominal(length, 0.0)) for name, length in lengths.items()]).value
    assert value is not None
    return value


def end_gauge_expanded(factor: float, **inputs: Any) -> float:
    return expanded(welch_satterthwaite(end_gauge_components(inputs)).standard, factor).value


def impedance_value(quantity: str, volts: list[float], amperes: list[float], radians: list[float]) -> float:
    v, i, phi = (type_a(run).estimate for run in (volts, amperes, radians))
    return v / i * {"R": math.cos(phi), "X": math.sin(phi), "Z": 1.0}[quantity]


def impedance_standard(
    quantity: str,
    volts: list[float],
    amperes: list[float],
    radians: list[float],
    *,
    correlated: bool = True,
) -> float:
    v, i, phi = (type_a(run) for run in (volts, amperes, radians))
    value = impedance_value(quantity, volts, amperes, radians)
    z = v.estimate / i.estimate
    by_phi = {"R": -z * math.sin(phi.estimate), "X": z * math.cos(phi.estimate), "Z": 0.0}[quantity]
    terms = [(value / v.estimate, v.standard), (-value / i.estimate, i.standard), (by_phi, phi.standard)]
    pairs = {
        (0, 1): correlation(volts, amperes),
        (0, 2): correlation(volts, radians),
        (1, 2): correlation(amperes, radians),
    }
    return propagated(terms, pairs if correlated else None).standard


def impedance_input_correlation(pair: str, **runs: list[float]) -> float:
    first, second = pair.split()
    return correlation(runs[first], runs[second])


def conformance(value: float, standard: float, low: float | None = None, high: float | None = None) -> float:
    return conformance_probability(value, standard, low, high).probability


def acceptance(side: Literal["low", "high"]) -> Callable[..., float]:
    def limit(low: float, high: float, standard: float, multiple: float) -> float:
        zone = acceptance_limits(low, high, multiple * standard)
        value = zone.low if side == "low" else zone.high
        assert value is not None
        return value

    return limit


CHECKS: dict[str, Callable[..., float]] = {
    "mean": lambda values: type_a(values).estimate,
    "type_a_standard": lambda values: type_a(values).standard,
    "type_a_freedom": lambda values: type_a(values).freedom,
    "type_b_standard": lambda half_width, shape: type_b(half_width, shape).standard,
    "step_standard": lambda resolution: type_b(resolution / 2, "rectangular").standard,
    "budget_standard": lambda **budget: welch_satterthwaite(caliper_budget(**budget)).standard,
    "budget_expanded": lambda **b: expanded(welch_satterthwaite(caliper_budget(**b)).standard).value,
    "budget_freedom": lambda **budget: welch_satterthwaite(caliper_budget(**budget)).freedom,
    "end_gauge_length": end_gauge_length,
    "end_gauge_difference_u": lambda **inputs: end_gauge_difference(inputs)[0],
    "end_gauge_difference_freedom": lambda **inputs: end_gauge_difference(inputs)[1],
    "end_gauge_theta_u": lambda **inputs: end_gauge_theta(inputs),
    "end_gauge_standard": lambda **inputs: welch_satterthwaite(end_gauge_components(inputs)).standard,
    "end_gauge_variance": lambda **inputs: welch_satterthwaite(end_gauge_components(inputs)).standard ** 2,
    "end_gauge_freedom": lambda **inputs: welch_satterthwaite(end_gauge_components(inputs)).freedom,
    "end_gauge_expanded": end_gauge_expanded,
    "impedance_value": impedance_value,
    "impedance_standard": impedance_standard,
    "impedance_input_correlation": impedance_input_correlation,
    "four_equal_standard": lambda u: propagated([(1.0, u)] * 4).standard,
    "four_equal_interval": lambda u, factor: expanded(propagated([(1.0, u)] * 4).standard, factor).value,
    "four_equal_freedom": lambda u, nu: welch_satterthwaite([(u, nu)] * 4).freedom,
    "propagated_standard": lambda terms: propagated([(c, u) for c, u in terms]).standard,
    "specific_risk": lambda ratio: 1.0 - conformance(0.0, 1.0, high=ratio),
    "conformance": conformance,
    "acceptance_low": acceptance("low"),
    "acceptance_high": acceptance("high"),
}


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_code_gives_the_published_value(row: Row) -> None:
    hold(row, CHECKS)


def test_every_check_has_a_row() -> None:
    assert unused(ROWS, CHECKS) == set()


@pytest.mark.parametrize("quantity", ["R", "X", "Z"])
def test_leaving_the_correlations_out_misses_the_published_impedance(quantity: str) -> None:
    tables = tomllib.loads(Path(__file__).with_name("uncertainty.toml").read_text(encoding="utf-8"))
    naive = impedance_standard(quantity, **tables["data"]["impedance"], correlated=False)
    printed = [row for row in ROWS if row.check == "impedance_standard" and row.inputs["quantity"] == quantity]
    assert printed
    assert not any(row.agrees(naive) for row in printed)
