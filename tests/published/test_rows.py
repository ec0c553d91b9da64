"""A row without its source, or with a tolerance that lets everything pass, is not a check."""

from __future__ import annotations

from typing import Any

import pytest

from tests.published.rows import Row, hold

GOOD: dict[str, Any] = {
    "check": "double",
    "inputs": {"x": 1.0},
    "expect": 2.0,
    "status": "COMPUTED",
    "source": "plain sum",
    "place": "1 + 1",
    "tolerance": 1e-9,
}


@pytest.mark.parametrize(
    "wrong",
    [
        {"status": "seen somewhere"},
        {"source": " "},
        {"place": ""},
        {"tolerance": 0.0},
        {"relative": 1e-9},
    ],
)
def test_an_incomplete_row_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="double = 2"):
        Row(**GOOD | wrong)


def test_a_row_fails_where_the_value_differs_by_more_than_its_tolerance() -> None:
    row = Row(**GOOD)
    hold(row, {"double": lambda x: 2.0 * x})
    with pytest.raises(AssertionError, match="the code gives"):
        hold(row, {"double": lambda x: 2.0 * x + 1e-8})
