"""Pass, marginal, fail; probability; guard band."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pitcrew.engineering import uncertainty
from pitcrew.engineering.conformity import acceptance_limits, conformance_probability, decide
from pitcrew.engineering.working import MILLIMETRES
from pitcrew.errors import FigureError

RANK = {"fail": 0, "marginal": 1, "pass": 2}

values = st.floats(-1e3, 1e3)
limits = st.one_of(st.none(), st.floats(-1e3, 1e3))
doubts = st.floats(0.0, 1e3)


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "word"),
    [
        (0.50, 0.10, 0.25, 0.75, "pass"),
        (0.65, 0.10, 0.25, 0.75, "pass"),  # 0.75 - 0.65 < 0.10 in binary
        (0.35, 0.10, 0.25, 0.75, "pass"),  # 0.35 - 0.25 < 0.10 in binary
        (0.85, 0.10, 0.25, 0.75, "marginal"),  # outside by exactly U is not by more than U
        (0.15, 0.10, 0.25, 0.75, "marginal"),
        (0.651, 0.10, 0.25, 0.75, "marginal"),
        (0.851, 0.10, 0.25, 0.75, "fail"),
        (0.149, 0.10, 0.25, 0.75, "fail"),
        (13.60, 0.0185, None, 13.61, "marginal"),
        (13.61, 0.0, None, 13.61, "pass"),
        (13.62, 0.0, None, 13.61, "fail"),
        (4.2, 0.35, 4.0, None, "marginal"),
        (0.5, 0.30, 0.25, 0.75, "marginal"),  # limits closer together than the doubt can settle
        (0.0, 0.0, 0.0, None, "pass"),
    ],
)
def test_the_decision_at_and_around_its_borders(
    value: float, u: float, low: float | None, high: float | None, word: str
) -> None:
    """Worked by hand in decimals from the rule: pass from U inside, fail beyond U outside."""
    assert decide(value, u, low, high).word == word


@pytest.mark.parametrize("scale", [1e-6, 1e-3, 1.0, 25.4, 1e3])
def test_a_margin_of_exactly_u_passes_in_any_unit(scale: float) -> None:
    assert decide(0.65 * scale, 0.10 * scale, 0.25 * scale, 0.75 * scale).word == "pass"
    assert decide(0.85 * scale, 0.10 * scale, 0.25 * scale, 0.75 * scale).word == "marginal"


@given(st.integers(-3000, 3000), st.integers(0, 500), st.integers(-1000, 1000), st.integers(0, 1000))
def test_the_decision_agrees_with_whole_hundredths(value: int, u: int, low: int, width: int) -> None:
    """Against the rule in exact whole numbers."""
    high = low + width
    margin = min(value - low, high - value)
    expect = "pass" if margin >= u else "fail" if margin < -u else "marginal"
    decision = decide(value / 100, u / 100, low / 100, high / 100)
    assert decision.word == expect
    assert decision.inside == (margin >= 0)
    assert decision.margin == pytest.approx(margin / 100, abs=1e-9)


@given(values, values, doubts, limits, limits)
def test_more_margin_is_never_worse(
    first: float, second: float, u: float, low: float | None, high: float | None
) -> None:
    assume(low is None or high is None or low <= high)
    one, other = decide(first, u, low, high), decide(second, u, low, high)
    if one.margin > other.margin:
        assert RANK[one.word] >= RANK[other.word]
        assert one.inside >= other.inside


@given(values, doubts, doubts, limits, limits)
def test_more_doubt_never_makes_surer(
    value: float, u: float, more: float, low: float | None, high: float | None
) -> None:
    assume(low is None or high is None or low <= high)
    before, after = decide(value, u, low, high).word, decide(value, u + more, low, high).word
    assert after in (before, "marginal")


def test_the_nearest_limit_is_named() -> None:
    assert decide(0.65, 0.1, 0.25, 0.75).limit == 0.75
    assert decide(0.30, 0.1, 0.25, 0.75).limit == 0.25
    assert decide(1.60, 0.1, 0.25, 0.75).margin == pytest.approx(-0.85)


def test_without_a_limit_anything_passes() -> None:
    decision = decide(5.0, 1.0, None, None)
    assert (decision.word, decision.margin, decision.limit, decision.inside) == ("pass", math.inf, None, True)


def test_the_working_is_in_the_unit_asked_for() -> None:
    working = decide(0.00065, 0.000174, 0.00025, 0.00075, MILLIMETRES).working
    assert working.numbers == "margin 0.1 mm against U 0.174 mm"
    assert working.inputs == ("value 0.65 mm", "U 0.174 mm", "at least 0.25 mm", "at most 0.75 mm")


@pytest.mark.parametrize(
    ("value", "u", "low", "high"),
    [
        (math.nan, 0.1, 0.0, 1.0),
        (0.5, -0.1, 0.0, 1.0),
        (0.5, math.inf, 0.0, 1.0),
        (0.5, 0.1, 1.0, 0.0),
        (0.5, 0.1, math.nan, None),
        (0.5, 0.1, None, math.inf),
    ],
)
def test_a_decision_on_nonsense_is_refused(value: float, u: float, low: float | None, high: float | None) -> None:
    with pytest.raises(FigureError):
        decide(value, u, low, high)
    with pytest.raises(FigureError):
        conformance_probability(value, u, low, high)


@given(st.floats(-100, 100), st.floats(0.01, 100), st.floats(-100, 100))
def test_the_two_sides_of_a_limit_share_the_probability(value: float, u: float, limit: float) -> None:
    below = conformance_probability(value, u, None, limit).probability
    above = conformance_probability(value, u, limit, None).probability
    assert below + above == pytest.approx(1.0)


def test_far_out_in_the_tail_the_probability_keeps_its_digits() -> None:
    """Normal tail beyond 10: 7.61985302416e-24 (COMPUTED, scipy 1.17.1 norm.sf)."""
    for low, high in ((10.0, None), (None, -10.0)):
        tail = conformance_probability(0.0, 1.0, low, high).probability
        assert tail == pytest.approx(7.61985302416e-24, rel=1e-9, abs=0.0)


def test_without_doubt_the_probability_is_certain() -> None:
    assert conformance_probability(0.5, 0.0, 0.0, 1.0).probability == 1.0
    assert conformance_probability(1.0, 0.0, 0.0, 1.0).probability == 1.0
    assert conformance_probability(1.1, 0.0, 0.0, 1.0).probability == 0.0


@given(st.floats(0.001, 10.0), st.floats(0.0, 1.0))
def test_a_value_inside_the_acceptance_limits_passes_and_outside_does_not(u: float, place: float) -> None:
    low, high = 0.0, 100.0
    zone = acceptance_limits(low, high, u)
    assert zone.low is not None
    assert zone.high is not None
    assert decide(zone.low + place * (zone.high - zone.low), u, low, high).word == "pass"
    assert decide(zone.high + 0.01 * u, u, low, high).word == "marginal"


def test_a_guard_band_that_leaves_nothing_is_refused() -> None:
    with pytest.raises(FigureError, match="leaves nothing"):
        acceptance_limits(9.95, 10.05, 0.06)


def test_a_doubt_and_the_decision_with_it_come_from_one_place() -> None:
    assert uncertainty.decide is decide
    assert uncertainty.conformance_probability is conformance_probability
    assert uncertainty.acceptance_limits is acceptance_limits
