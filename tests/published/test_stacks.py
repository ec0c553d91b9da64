"""Tolerances of dimension chains against published worked examples."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from pitcrew.engineering.stacks import Dimension, root_sum_square, worst_case
from pitcrew.engineering.uncertainty import conformance_probability
from tests.published.rows import Row, hold, load, unused

ROWS = load("stacks")


def dimensions(signs: list[int], nominals: list[float], plus_minus: list[float]) -> list[Dimension]:
    rows = zip(signs, nominals, plus_minus, strict=True)
    return [Dimension(f"piece {n}", sign, nominal, t, -t) for n, (sign, nominal, t) in enumerate(rows)]


def probability_below(least: float, signs: list[int], nominals: list[float], plus_minus: list[float]) -> float:
    gap = root_sum_square(dimensions(signs, nominals, plus_minus))
    return 1.0 - conformance_probability(gap.middle, gap.plus_minus / 3.0, least, None).probability


def probability_outside(signs: list[int], nominals: list[float], plus_minus: list[float]) -> float:
    gap = root_sum_square(dimensions(signs, nominals, plus_minus))
    sure = conformance_probability(gap.middle, gap.plus_minus / 3.0, gap.low, gap.high)
    return 1.0 - sure.probability


CHECKS: dict[str, Callable[..., float]] = {
    "middle": lambda **pieces: worst_case(dimensions(**pieces)).middle,
    "worst_case": lambda **pieces: worst_case(dimensions(**pieces)).plus_minus,
    "worst_case_low": lambda **pieces: worst_case(dimensions(**pieces)).low,
    "worst_case_high": lambda **pieces: worst_case(dimensions(**pieces)).high,
    "root_sum_square": lambda **pieces: root_sum_square(dimensions(**pieces)).plus_minus,
    "probability_below": probability_below,
    "probability_outside": probability_outside,
}


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_code_gives_the_published_value(row: Row) -> None:
    hold(row, CHECKS)


def test_every_check_has_a_row() -> None:
    assert unused(ROWS, CHECKS) == set()
