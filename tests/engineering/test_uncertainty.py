"""The doubt of signed sums: against three other ways of working it out, and its laws."""

from __future__ import annotations

import math
import random
from collections import defaultdict
from collections.abc import Callable, Sequence

import GTC
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.engineering.uncertainty import (
    Reading,
    combined,
    correlation,
    expanded,
    nominal,
    permissible_of,
    propagated,
    type_a,
    type_b,
    welch_satterthwaite,
)
from pitcrew.engineering.working import MILLIMETRES
from pitcrew.errors import FigureError

Signed = Sequence[tuple[int, Reading]]

SQRT3 = math.sqrt(3.0)

hundredths = st.integers(1, 500).map(lambda n: n / 100.0)
measured = st.builds(
    Reading,
    st.integers(0, 30_000).map(lambda n: n / 100.0),
    st.sampled_from(["CAL", "MIC", "ROD"]),
    st.sampled_from([0.001, 0.01, 0.02, 0.05]),
    hundredths,
    st.just(0.0),
)
made = st.builds(nominal, st.integers(0, 3_000).map(lambda n: n / 100.0), hundredths)
sums = st.lists(st.tuples(st.sampled_from([1, -1]), st.one_of(measured, made)), min_size=1, max_size=10)


def by_uncertainties(readings: Signed) -> float:
    """Linear propagation by the uncertainties package, which follows shared variables by itself."""
    total = uncertainties.ufloat(0.0, 1e-300)
    errors = {r.instrument: uncertainties.ufloat(0.0, 1.0 / SQRT3) for _, r in readings if r.instrument}
    for sign, reading in readings:
        if reading.instrument is None:
            total += sign * uncertainties.ufloat(reading.value, reading.tolerance / SQRT3)
        else:
            step = uncertainties.ufloat(reading.value, reading.resolution / math.sqrt(12.0))
            total += sign * (step + reading.permissible * errors[reading.instrument])
    return float(total.std_dev)


@given(sums)
def test_the_doubt_is_what_linear_propagation_of_shared_errors_gives(readings: Signed) -> None:
    assert combined(readings).standard == pytest.approx(by_uncertainties(readings), rel=1e-9)


def by_gtc(readings: Signed) -> float:
    """Independent instruments only: each reading an uncertain number of its own."""
    total = GTC.ureal(0.0, 0.0)
    for sign, reading in readings:
        halves = (reading.permissible, reading.resolution / 2.0, reading.tolerance)
        for half in halves:
            total += sign * GTC.ureal(0.0, GTC.type_b.uniform(half))
    return float(GTC.uncertainty(total))


@pytest.mark.parametrize("step", [0.001, 0.01, 0.1])
@pytest.mark.parametrize("error", [0.0, 0.004, 0.03])
@pytest.mark.parametrize("tolerance", [0.05, 0.35])
@pytest.mark.parametrize("signs", [(1, -1, 1), (1, 1, -1), (-1, -1, -1)])
def test_independent_instruments_agree_with_the_gum_tree_calculator(
    step: float, error: float, tolerance: float, signs: tuple[int, int, int]
) -> None:
    pieces = [
        Reading(7.0, "A", step, error),
        Reading(8.0, "B", 2 * step, 3 * error),
        nominal(16.0, tolerance),
    ]
    readings = list(zip(signs, pieces, strict=True))
    assert combined(readings).standard == pytest.approx(by_gtc(readings), rel=1e-9)


def drawn(readings: Signed, runs: int, seed: int) -> list[float]:
    """Sums with every error drawn flat between its ends; one draw an instrument a run."""
    draw = random.Random(seed)
    totals = []
    for _ in range(runs):
        errors: dict[str | None, float] = defaultdict(lambda: draw.uniform(-1.0, 1.0))
        total = 0.0
        for sign, reading in readings:
            total += sign * draw.uniform(-reading.resolution / 2, reading.resolution / 2)
            if reading.instrument is None:
                total += sign * draw.uniform(-reading.tolerance, reading.tolerance)
            else:
                total += sign * reading.permissible * errors[reading.instrument]
        totals.append(total)
    return totals


def spread(totals: Sequence[float]) -> float:
    return math.sqrt(math.fsum(total * total for total in totals) / len(totals))


CALIPER = Reading(50.0, "CAL", 0.01, 0.03)
METER = [Reading(volts, "DMM", 0.01, permissible_of(volts, None, 1.0)) for volts in (16.8, 12.4, 3.7)]
MIXES: dict[str, Signed] = {
    "one caliper, signs mixed": [(1, CALIPER), *[(-1, CALIPER)] * 6],
    "one caliper, signs cancel": [(1, CALIPER), (-1, CALIPER)],
    "one caliper, same sign": [(1, CALIPER)] * 4,
    "per cent of reading, signs mixed": [(1, METER[0]), (-1, METER[1]), (-1, METER[2])],
    "two instruments and a nominal": [
        (1, CALIPER),
        (-1, Reading(6.0, "MIC", 0.001, 0.004)),
        (-1, Reading(6.0, "MIC", 0.001, 0.004)),
        (-1, nominal(16.0, 0.05)),
    ],
}


@pytest.mark.parametrize("name", MIXES)
def test_monte_carlo_spreads_as_much(name: str) -> None:
    readings = MIXES[name]
    assert spread(drawn(readings, 20_000, seed=7)) == pytest.approx(combined(readings).standard, rel=0.02)


def test_the_draws_themselves_meet_a_published_interval() -> None:
    """JCGM 101 (GUM Supplement 1), clause 9.2: four flat inputs of u = 1 give 95 % within +-3.88.

    FOUND as worked in the GUM Tree Calculator's own examples; 2 sqrt(3) (2 - (3/5)^(1/4)) = 3.8807.
    """
    totals = sorted(drawn([(1, nominal(0.0, SQRT3))] * 4, 40_000, seed=9))
    assert totals[int(0.975 * len(totals))] == pytest.approx(3.88, abs=0.05)
    assert totals[int(0.025 * len(totals))] == pytest.approx(-3.88, abs=0.05)
    assert combined([(1, nominal(0.0, SQRT3))] * 4).standard == pytest.approx(2.0)


@given(sums, st.randoms(use_true_random=False))
def test_the_order_of_the_pieces_does_not_matter(readings: Signed, order: random.Random) -> None:
    mixed = list(readings)
    order.shuffle(mixed)
    doubt, other = combined(readings), combined(mixed)
    assert (other.expanded, other.standard, other.shares) == (doubt.expanded, doubt.standard, doubt.shares)


@given(sums)
def test_millimetres_and_metres_tell_the_same(readings: Signed) -> None:
    metres = [
        (
            sign,
            Reading(r.value / 1e3, r.instrument, r.resolution / 1e3, r.permissible / 1e3, r.tolerance / 1e3),
        )
        for sign, r in readings
    ]
    doubt, other = combined(readings), combined(metres)
    assert other.expanded * 1e3 == pytest.approx(doubt.expanded, rel=1e-9)
    shares, others = sorted(part for _, part in doubt.shares), sorted(part for _, part in other.shares)
    assert others == pytest.approx(shares, rel=1e-9)


@given(sums)
def test_turning_every_sign_changes_no_doubt(readings: Signed) -> None:
    turned = [(-sign, reading) for sign, reading in readings]
    assert combined(turned).expanded == combined(readings).expanded


@given(sums)
def test_shares_add_up_to_the_whole_largest_first(readings: Signed) -> None:
    parts = [part for _, part in combined(readings).shares]
    assert math.fsum(parts) == pytest.approx(1.0)
    assert parts == sorted(parts, reverse=True)


@given(sums, made)
def test_another_nominal_piece_never_takes_doubt_away(readings: Signed, piece: Reading) -> None:
    assert combined([*readings, (1, piece)]).expanded >= combined(readings).expanded


def test_no_doubt_at_all_is_shared_by_nobody() -> None:
    doubt = combined([(1, nominal(0.004, 0.0))])
    assert (doubt.expanded, doubt.shares) == (0.0, (("nominal", 0.0),))


def test_nominal_pieces_go_by_their_names() -> None:
    doubt = combined([(1, nominal(16.0, 0.35)), (-1, nominal(2.0, 0.05))], names=["screw", "washer"])
    assert [name for name, _ in doubt.shares] == ["screw", "washer"]


def test_the_working_names_the_instrument_and_its_net_error() -> None:
    caliper = Reading(0.050, "CAL", 0.00001, 0.00003)
    doubt = combined([(1, caliper), *[(-1, caliper)] * 6], MILLIMETRES)
    assert doubt.working.numbers == "U = 2 sqrt( (CAL 0.15)^2/3 + 7 x 0.01^2/12 ) = 0.17 mm"
    assert doubt.working.inputs[0] == "+ 50.00 mm CAL, step 0.01, error +-0.03"


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [(0, CALIPER)],
        [(2, CALIPER)],
        [(1, Reading(1.0, None, 0.01, 0.0))],
        [(1, Reading(1.0, None, 0.0, 0.03))],
        [(1, Reading(1.0, "CAL", 0.01, 0.03, 0.1))],
        [(1, Reading(math.nan, "CAL", 0.01, 0.03))],
        [(1, Reading(1.0, "CAL", -0.01, 0.03))],
        [(1, Reading(1.0, "CAL", 0.01, math.inf))],
        [(1, nominal(1.0, -0.1))],
    ],
)
def test_what_cannot_be_summed_is_refused(readings: Signed) -> None:
    with pytest.raises(FigureError) as caught:
        combined(readings)
    assert caught.value.hint


def test_a_permissible_error_may_be_fixed_or_per_cent_or_both() -> None:
    """Common practice: makers state a fixed error, a share of the reading, or both together."""
    assert permissible_of(45.0, 0.03, None) == 0.03
    assert permissible_of(-45.0, None, 4.0) == pytest.approx(1.8)
    assert permissible_of(10.0, 0.02, 1.0) == pytest.approx(0.12)
    assert permissible_of(10.0, 0.0, None) == 0.0
    for absolute, percent in ((None, None), (-0.1, None), (None, -1.0)):
        with pytest.raises(FigureError):
            permissible_of(1.0, absolute, percent)


def test_a_ratio_of_readings_that_never_vary_has_no_correlation() -> None:
    for first, second in (([1.0, 1.0], [1.0, 2.0]), ([1.0], [1.0]), ([1.0, 2.0], [1.0])):
        with pytest.raises(FigureError):
            correlation(first, second)


@given(st.floats(0.1, 10.0), st.floats(0.1, 10.0), st.sampled_from([-1.0, 1.0]))
def test_fully_correlated_errors_add_by_their_signs(first: float, second: float, r: float) -> None:
    standard = propagated([(1.0, first), (1.0, second)], {(0, 1): r}).standard
    assert standard == pytest.approx(abs(first + r * second), abs=1e-7 * (first + second))


REFUSED: dict[str, Callable[[], object]] = {
    "an r over 1": lambda: propagated([(1.0, 1.0), (1.0, 1.0)], {(0, 1): 1.1}),
    "a pair of one": lambda: propagated([(1.0, 1.0), (1.0, 1.0)], {(1, 1): 0.5}),
    "a pair outside": lambda: propagated([(1.0, 1.0)], {(0, 1): 0.5}),
    "r values that contradict": lambda: propagated([(1.0, 1.0)] * 3, {(0, 1): -1.0, (0, 2): -1.0, (1, 2): -1.0}),
    "a negative u": lambda: propagated([(1.0, -1.0)]),
    "one reading": lambda: type_a([1.0]),
    "a reading that is no number": lambda: type_a([1.0, math.nan]),
    "an unknown shape": lambda: type_b(1.0, "bell"),  # type: ignore[arg-type]
    "a negative half width": lambda: type_b(-1.0, "rectangular"),
    "no degrees of freedom": lambda: welch_satterthwaite([(1.0, 0.0)]),
    "a negative k": lambda: expanded(1.0, -2.0),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_figure_out_of_range_is_refused(name: str) -> None:
    with pytest.raises(FigureError):
        REFUSED[name]()


def test_effective_freedom_is_that_of_the_only_uncertain_component() -> None:
    assert welch_satterthwaite([(1e-6, 4.0), (0.0, 2.0)]).freedom == pytest.approx(4.0)
    assert math.isinf(welch_satterthwaite([(1e-6, math.inf)]).freedom)
    assert math.isinf(welch_satterthwaite([]).freedom)
