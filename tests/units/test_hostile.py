"""No text gets through `read` as anything but a quantity or a refusal, and none takes long."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.errors import NotationError
from pitcrew.units import read
from pitcrew.units.table import EXAMPLES, FORMS, NAMES, UNITS

SURROGATES_TOO = st.text(st.characters(codec=None, exclude_categories=()), max_size=60)
PIECES = st.sampled_from(
    [
        *"0123456789.,-+/:'\" ",
        "1/2",
        "\u00bd",
        "e",
        "E5",
        "\u03a9",
        "\u2212",
        "\uff11",
        "\x00",
        *sorted(UNITS),
    ]
)
NEARLY_FIGURES = st.lists(PIECES, max_size=9).map("".join)
EXPECT = st.none() | st.sampled_from(sorted(EXAMPLES))
BARE = st.none() | st.sampled_from(sorted({*NAMES, *FORMS, "furlong"}))


def check_outcome(text: str, expect: str | None, bare_unit: str | None) -> None:
    try:
        quantity = read(text, expect, bare_unit, "hub length")
    except NotationError as problem:
        assert problem.message
        assert str(problem).isprintable()
        return
    assert math.isfinite(quantity.si)
    assert expect in (None, quantity.dimension)
    assert quantity.unit in NAMES or quantity.unit in FORMS
    assert quantity.typed.isprintable()
    assert len(quantity.typed) <= 40


@given(SURROGATES_TOO, EXPECT, BARE)
@settings(deadline=None, max_examples=400)
def test_any_text_is_read_or_refused(text: str, expect: str | None, bare_unit: str | None) -> None:
    check_outcome(text, expect, bare_unit)


@given(NEARLY_FIGURES, EXPECT, BARE)
@settings(deadline=None, max_examples=1500)
def test_nearly_a_figure_is_read_or_refused(text: str, expect: str | None, bare_unit: str | None) -> None:
    check_outcome(text, expect, bare_unit)


@given(st.integers(-(10**9), 10**9), st.integers(0, 6), st.sampled_from(".,"), st.sampled_from(sorted(NAMES)))
@settings(deadline=None)
def test_a_plain_decimal_is_worth_what_it_says(whole: int, places: int, mark: str, unit: str) -> None:
    """Held against float arithmetic on the same digits; the ambiguous comma is a refusal."""
    sign, digits = ("-" if whole < 0 else ""), str(abs(whole)).rjust(places + 1, "0")
    text = f"{sign}{digits[: len(digits) - places]}{mark if places else ''}{digits[len(digits) - places :]}"
    value = float(text.replace(",", "."))
    mine = NAMES[unit]
    if mine.dimension == "temperature" and value + mine.offset < 0:
        return
    before = digits[: len(digits) - places]
    if mark == "," and places == 3 and before[0] != "0" and len(before) <= 3:
        with pytest.raises(NotationError, match="two ways"):
            read(f"{text} {unit}")
        return
    si = read(f"{text} {unit}").si
    assert si == pytest.approx((value + mine.offset) * mine.factor, rel=1e-14, abs=1e-13)


HOSTILE = [
    "9**9**9",
    "9" * 40,
    "9" * 100_000,
    "9" * 3_000_000,
    "mm" * 20_000,
    "1+" * 2_000,
    "(" * 100_000,
    " " * 1_000_000,
    "1" + " " * 38 + "m",
    "- " * 20,
    "1 " * 20,
    "1/" * 20,
    "1-" * 20,
    "1," * 20,
    "\u00bd" * 40,
    "'" * 40,
    "a" * 40,
    "1:" * 20,
    "0.00000000000000000000000000000000001 mm",
    "99999999999999999999999999999999999 GPa",
]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: f"{text[:8]!r} {len(text)}")
def test_no_text_takes_long(text: str) -> None:
    took = []
    for _ in range(3):
        started = time.process_time()
        check_outcome(text, "length", "mm")
        took.append(time.process_time() - started)
    # A hang takes seconds; a slow machine may take a few times the usual 2 ms of the longest text.
    assert min(took) < 0.5
