"""Dimension chains: what they add to, their doubt, their tolerance."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.engineering.stacks import (
    Dimension,
    Piece,
    Sum,
    chain,
    contributions,
    root_sum_square,
    smallest,
    worst_case,
)
from pitcrew.engineering.uncertainty import Doubt, Reading, decide, nominal
from pitcrew.engineering.working import INCHES, MILLIMETRES
from pitcrew.errors import FigureError
from tests.engineering.bench import MM, STACK_ROWS, StackRow, length, made_to, pinion_overlap, weapon_float

INCH = 0.0254


def known(total: Sum) -> tuple[float, Doubt]:
    assert total.value is not None
    assert total.doubt is not None
    return total.value, total.doubt


@pytest.mark.parametrize("row", STACK_ROWS, ids=lambda row: row.name)
def test_the_invented_book_comes_out_as_it_says(row: StackRow) -> None:
    value, doubt = known(smallest(row.chains))
    assert value / MM == pytest.approx(row.value, abs=1e-9)
    assert doubt.expanded / MM == pytest.approx(row.u, abs=0.0005)
    high = None if row.high is None else row.high * MM
    assert decide(value, doubt.expanded, row.low * MM, high).word == row.verdict


def test_the_book_has_every_reading() -> None:
    assert len(STACK_ROWS) == 30


def test_a_gear_in_a_pocket_leaves_its_running_clearance() -> None:
    """Common practice, no source: the rest of a pocket once plate and gear are taken from it."""
    pieces = [
        Piece("pocket from the outer face", 1, nominal(0.631 * INCH, 0.0)),
        Piece("plate", -1, nominal(0.130 * INCH, 0.0)),
        Piece("gear standing", -1, nominal(0.482 * INCH, 0.0)),
    ]
    value, doubt = known(chain(pieces, INCHES))
    assert value / INCH == pytest.approx(0.019, abs=1e-12)
    assert doubt.expanded == 0.0
    assert decide(value, doubt.expanded, 0.015 * INCH, None).word == "pass"
    assert decide(value, doubt.expanded, 0.019 * INCH, None).word == "pass"
    assert decide(value, doubt.expanded, 0.0191 * INCH, None).word == "fail"
    assert chain(pieces, INCHES).working.result == "0.019 in"


def test_a_closed_gap_is_exactly_closed() -> None:
    pieces = [Piece("pocket", 1, nominal(0.0003, 0.0))]
    pieces += [Piece("shim", -1, nominal(0.0001, 0.0))] * 3
    assert known(chain(pieces))[0] == 0.0


def test_one_caliper_for_all_pieces_doubts_more_than_three_instruments() -> None:
    with_caliper = known(chain(weapon_float(262.05, 245.20, 0.20, caliper=True)))[1]
    with_three = known(chain(weapon_float(262.05, 245.20, 0.20)))[1]
    assert with_caliper.expanded > 3.0 * with_three.expanded
    assert with_caliper.shares == (("CAL", 1.0),)
    assert with_three.shares[0][0] == "CAL"


def test_a_missing_reading_makes_the_chain_unknown_and_is_named() -> None:
    pieces = [
        Piece("screw", 1, None),
        Piece("plate", -1, length(8.0, "CAL")),
        Piece("washer", -1, None),
        Piece("washer", -1, None),
    ]
    total = chain(pieces)
    assert (total.value, total.doubt, total.missing) == (None, None, ("screw", "washer"))
    assert total.working.result == "unknown: no reading of screw, washer"
    assert total.working.numbers == "? - 8.00 - ? - ?"


def test_an_overlap_with_a_piece_missing_anywhere_is_unknown() -> None:
    chains = pinion_overlap(8.0)
    chains[2] = [Piece("pinion face", 1, None)]
    total = smallest(chains)
    assert (total.value, total.doubt, total.missing) == (None, None, ("pinion face",))


@given(
    pinion=st.tuples(st.integers(0, 4000), st.integers(1, 4000)),
    gear=st.tuples(st.integers(0, 4000), st.integers(1, 4000)),
)
def test_an_overlap_is_what_the_two_faces_share(pinion: tuple[int, int], gear: tuple[int, int]) -> None:
    """Against the interval rule worked in whole hundredths of a millimetre."""

    def piece(sign: int, hundredths: int) -> Piece:
        return Piece("edge", sign, nominal(hundredths * 1e-5, 0.0))

    (start_a, face_a), (start_b, face_b) = pinion, gear
    chains = [
        [piece(1, face_a)],
        [piece(1, face_b)],
        [piece(1, start_a), piece(1, face_a), piece(-1, start_b)],
        [piece(1, start_b), piece(1, face_b), piece(-1, start_a)],
    ]
    shared = min(start_a + face_a, start_b + face_b) - max(start_a, start_b)
    assert known(smallest(chains))[0] == pytest.approx(shared * 1e-5, abs=1e-12)


def test_the_doubt_of_an_overlap_is_that_of_its_smallest_chain() -> None:
    sure = [Piece("face", 1, made_to(16.0, 0.01))]
    doubtful = [Piece("face", 1, made_to(18.0, 0.50))]
    assert known(smallest([doubtful, sure])) == known(chain(sure))


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_tied_chains_give_the_larger_doubt(order: tuple[int, int]) -> None:
    tied = [[Piece("a", 1, made_to(18.0, 0.01))], [Piece("b", 1, made_to(18.0, 0.50))]]
    _, doubt = known(smallest([tied[place] for place in order]))
    assert doubt.expanded == known(chain(tied[1]))[1].expanded


def test_chains_that_differ_only_in_binary_fractions_are_tied() -> None:
    """0.1 + 0.2 and 0.3 are one length to any caliper, and not one number in binary."""
    sure = [Piece("a", 1, nominal(0.3, 1e-5))]
    doubtful = [Piece("b", 1, nominal(0.1, 1e-3)), Piece("c", 1, nominal(0.2, 1e-3))]
    assert known(chain(sure))[0] < known(chain(doubtful))[0]
    assert known(smallest([sure, doubtful]))[1].expanded == known(chain(doubtful))[1].expanded


def test_permuting_the_pieces_changes_nothing() -> None:
    pieces = weapon_float(262.05, 245.20, 0.20)
    value, doubt = known(chain(pieces))
    for seed in range(20):
        mixed = random.Random(seed).sample(pieces, len(pieces))
        other, other_doubt = known(chain(mixed))
        assert (other, other_doubt.expanded, other_doubt.shares) == (value, doubt.expanded, doubt.shares)


def test_the_working_can_be_followed() -> None:
    total = chain(weapon_float(262.05, 245.50, 0.20))
    assert total.working.numbers == "262.05 - 2.000 - 6.000 - 245.50 - 6.000 - 2.000 - 0.200 = 0.350 mm"
    assert total.working.inputs[0] == "+ gap between uprights 262.05 mm ROD"
    assert known(total)[1].working.numbers == (
        "U = 2 sqrt( (ROD 0.015)^2/3 + (MIC 0.02)^2/3 + (CAL 0.03)^2/3 + 2 x 0.01^2/12 + 5 x 0.001^2/12 ) = 0.046 mm"
    )
    assert all(text.isascii() for text in (*total.working.inputs, *total.working[1:]) if isinstance(text, str))


def test_the_working_of_an_overlap_shows_every_chain() -> None:
    total = smallest(pinion_overlap(8.0))
    assert total.working.numbers == "min(16.00 mm, 22.00 mm, 20.00 mm, 18.00 mm) = 16.00 mm"
    assert total.working.inputs[0] == "29.00 - 8.00 - 5.00 = 16.00 mm"


def test_an_empty_stack_is_refused() -> None:
    with pytest.raises(FigureError):
        chain([])
    with pytest.raises(FigureError):
        smallest([])
    with pytest.raises(FigureError):
        smallest([[]])
    for rule in (worst_case, root_sum_square, contributions):
        with pytest.raises(FigureError):
            rule([])


def test_an_asymmetric_tolerance_is_moved_to_its_middle() -> None:
    """0.250 +0.002/-0 is 0.251 +-0.001: the definition of limits of size."""
    skew = [Dimension("hole", 1, 0.250, 0.002, 0.0), Dimension("pin", -1, 0.250, -0.001, -0.003)]
    even = [Dimension("hole", 1, 0.251, 0.001, -0.001), Dimension("pin", -1, 0.248, 0.001, -0.001)]
    for rule in (worst_case, root_sum_square):
        assert rule(skew)[:4] == pytest.approx(rule(even)[:4], abs=1e-12)
    gap = worst_case(skew)
    assert (gap.low, gap.high) == pytest.approx((0.250 - 0.249, 0.252 - 0.247), abs=1e-12)


dimensions = st.lists(
    st.builds(
        lambda sign, nominal_um, upper_um, width_um: Dimension(
            "piece", sign, nominal_um * 1e-6, upper_um * 1e-6, (upper_um - width_um) * 1e-6
        ),
        st.sampled_from([1, -1]),
        st.integers(0, 300_000),
        st.integers(-500, 500),
        st.integers(0, 500),
    ),
    min_size=1,
    max_size=8,
)


@given(dimensions)
def test_the_worst_case_is_the_extreme_of_all_corners(pieces: list[Dimension]) -> None:
    """Against the largest and smallest gap any mix of limits can make."""
    ends = [sorted((d.sign * (d.nominal + d.upper), d.sign * (d.nominal + d.lower))) for d in pieces]
    gap = worst_case(pieces)
    assert gap.low == pytest.approx(sum(low for low, _ in ends), abs=1e-11)
    assert gap.high == pytest.approx(sum(high for _, high in ends), abs=1e-11)


@given(dimensions)
def test_root_sum_square_lies_between_the_largest_piece_and_the_worst_case(pieces: list[Dimension]) -> None:
    half = root_sum_square(pieces).plus_minus
    assert max((d.upper - d.lower) / 2 for d in pieces) <= half * (1 + 1e-12)
    assert half <= worst_case(pieces).plus_minus * (1 + 1e-12)


def test_root_sum_square_is_the_spread_of_independent_pieces() -> None:
    """Monte Carlo with seeded normal pieces, tolerance taken as three standard deviations."""
    pieces = [Dimension("a", 1, 0.0, 3e-4, -3e-4), Dimension("b", -1, 0.0, 1e-4, -1e-4)]
    pieces.append(Dimension("c", -1, 0.0, 5e-4, -5e-4))
    draw = random.Random(20)
    gaps = [math.fsum(d.sign * draw.gauss(0.0, d.upper / 3.0) for d in pieces) for _ in range(20_000)]
    sigma = math.sqrt(math.fsum(gap * gap for gap in gaps) / len(gaps))
    assert 3.0 * sigma == pytest.approx(root_sum_square(pieces).plus_minus, rel=0.02)


@given(dimensions)
def test_contributions_add_up_to_the_whole(pieces: list[Dimension]) -> None:
    parts = contributions(pieces).parts
    whole = 1.0 if any(d.upper > d.lower for d in pieces) else 0.0
    assert math.fsum(part.worst_case for part in parts) == pytest.approx(whole)
    assert math.fsum(part.root_sum_square for part in parts) == pytest.approx(whole)


def test_contributions_by_either_rule() -> None:
    """Worked by hand for +-3, +-1, +-5, +-1: of 10 in the worst case, of 36 by squares."""
    parts = contributions([Dimension("piece", 1, 1.0, t, -t) for t in (3e-3, 1e-3, 5e-3, 1e-3)]).parts
    assert [part.worst_case for part in parts] == pytest.approx([0.3, 0.1, 0.5, 0.1])
    assert [part.root_sum_square for part in parts] == pytest.approx([9 / 36, 1 / 36, 25 / 36, 1 / 36])


def test_the_largest_tolerance_is_said_to_own_most() -> None:
    pieces = [Dimension("plate", 1, 0.008, 1e-5, -1e-5), Dimension("screw", -1, 0.016, 0.0, -7e-4)]
    assert contributions(pieces).working.result == "screw owns most"
    assert worst_case(pieces, MILLIMETRES).working.result == "-7.65 +-0.36 mm"


@pytest.mark.parametrize(
    "wrong",
    [
        Dimension("plate", 0, 0.008, 1e-5, -1e-5),
        Dimension("plate", 1, 0.008, -1e-5, 1e-5),
        Dimension("plate", 1, math.nan, 1e-5, -1e-5),
        Dimension("plate", 1, 0.008, math.inf, -1e-5),
    ],
)
def test_a_dimension_that_makes_no_sense_is_refused(wrong: Dimension) -> None:
    for rule in (worst_case, root_sum_square, contributions):
        with pytest.raises(FigureError):
            rule([wrong])


def test_a_length_that_is_no_number_is_refused() -> None:
    with pytest.raises(FigureError):
        chain([Piece("plate", 1, Reading(math.nan, "CAL", 1e-5, 3e-5))])
