"""Numbers as a working writes them, and the checks on what goes into a figure."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.engineering.working import (
    INCHES,
    MILLIMETRES,
    POUNDS,
    decimals_of,
    finite,
    not_negative,
    two_figures,
    with_unit,
    written,
)
from pitcrew.errors import FigureError


@pytest.mark.parametrize(
    ("step", "decimals"),
    [(1.0, 0), (5.0, 0), (0.5, 1), (0.1, 1), (0.05, 2), (0.02, 2), (0.005, 3), (0.0005, 4), (1 / 3, None)],
)
def test_the_decimals_of_a_display(step: float, decimals: int | None) -> None:
    """Common practice: a display that steps by 0.005 shows three decimals."""
    assert decimals_of(step) == decimals


@given(st.integers(-10_000_000, 10_000_000))
def test_a_reading_is_written_as_the_caliper_showed_it(hundredths: int) -> None:
    text = written(hundredths / 1e5, MILLIMETRES, 1e-5)
    assert round(float(text) * 100) == hundredths
    assert len(text.partition(".")[2]) == 2


def test_nothing_is_written_as_a_negative_zero() -> None:
    assert written(-1e-9, MILLIMETRES, 1e-5) == "0.00"
    assert written(-0.0, MILLIMETRES) == "0"
    assert written(-1e-5, MILLIMETRES, 1e-5) == "-0.01"


def test_a_length_is_written_in_inches_and_a_mass_in_pounds() -> None:
    """The inch is 25.4 mm and the pound 0.45359237 kg, both exact by definition."""
    assert written(0.0254 * 0.631, INCHES, 0.0254 * 0.001) == "0.631"
    assert written(0.45359237 * 250, POUNDS) == "250"


@given(st.floats(1e-9, 1e6))
def test_a_doubt_is_written_to_two_figures_without_an_exponent(value: float) -> None:
    text = two_figures(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=0.051)


def test_a_unit_stands_behind_its_number() -> None:
    assert with_unit("0.35", MILLIMETRES) == "0.35 mm"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused_by_name(value: float) -> None:
    for check in (finite, not_negative):
        with pytest.raises(FigureError, match="gap") as caught:
            check(value, "gap")
        assert caught.value.place == "gap"


def test_below_zero_is_refused_where_it_cannot_be() -> None:
    assert finite(-1.0, "gap") == -1.0
    with pytest.raises(FigureError, match="below zero"):
        not_negative(-1.0, "step")
