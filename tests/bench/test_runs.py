"""A gap as it is measured: its pieces, their share of the doubt, what it was before, and what does not fit together."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import correcting, fitting, measuring
from pitcrew.bench.measuring import Read
from pitcrew.bench.runs import (
    at_odds,
    doubt_shares,
    gap_now,
    past_gaps,
    pieces_now,
    usual_gap_tool,
    usual_tool,
)
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import piece_figure, stack_value
from pitcrew.robot.definitions import Piece, Stack
from tests.bench.shop import Shop
from tests.tui.driver import Driver, bench_at

GAP = Piece("gap", 1, "gap")
WIDTH = Piece("width", -1, "width", "rotor")
MM = 1e-3


def float_of(shop: Shop) -> tuple[Case, Stack]:
    case = shop.case()
    return case, case.defs.stacks["float"]


def of_demo(driver: Driver, name: str) -> tuple[Case, Stack]:
    case = driver.session.case()
    assert case is not None
    return case, next(stack for stack in case.defs.stacks.values() if stack.name == name)


def test_each_piece_with_its_figure_and_where_it_came_from(shop: Shop) -> None:
    shop.ready()
    gap, width = pieces_now(*float_of(shop))
    assert (gap.key, gap.length_m, gap.instrument, gap.part) == ("R/gap", 0.1005, "CAL", None)
    assert (width.key, width.length_m, width.part) == ("rotor1/width", 0.1, "rotor1")
    assert width.fact is not None and width.fact.entry.by == "MK"


def test_a_piece_of_an_empty_place_is_not_known_and_owns_no_doubt(shop: Shop) -> None:
    shop.ready()
    shop.do(fitting.part_out, "rotor")
    gap, width = pieces_now(*float_of(shop))
    assert (width.key, width.length_m, width.share) == (None, None, None)
    assert gap.share is None


@pytest.mark.parametrize("at", ["13:46", "15:24", "15:40", "15:54"])
@pytest.mark.parametrize("robot", ["TALLOW ANVIL", "NETTLE SPROCKET"])
def test_the_shares_of_the_pieces_add_up_to_those_of_their_instruments(tmp_path: Path, at: str, robot: str) -> None:
    driver = bench_at(tmp_path, at, robot)
    case = driver.session.case()
    assert case is not None
    compared = 0
    for stack in case.defs.stacks.values():
        total = stack_value(case, stack).sum
        owned = doubt_shares(case, stack)
        if total.doubt is None:
            assert not owned
            continue
        by_owner: dict[str, float] = {}
        for piece in stack.pieces():
            figure = piece_figure(case, piece)
            assert figure is not None
            owner = figure.reading.instrument or piece.name
            share = owned.get((piece.position, piece.dimension), 0.0)
            by_owner[owner] = by_owner.get(owner, 0.0) + share
        known = {name: share for name, share in total.doubt.shares if share}
        assert {name: share for name, share in by_owner.items() if share} == pytest.approx(known)
        assert sum(owned.values()) == pytest.approx(1.0)
        compared += 1
    assert compared


def test_the_drums_width_moves_its_float_most(tmp_path: Path) -> None:
    # By hand: caliper 0.03^2/3 + 0.01^2/12, rod gauge 0.015^2/3 + 0.01^2/12, micrometer (5 x 0.004)^2/3: 59, 16, 25 %.
    case, stack = of_demo(bench_at(tmp_path), "weapon float")
    shares = {row.piece.name: round(row.share or 0.0, 2) for row in pieces_now(case, stack)}
    assert shares["rotor or hub width"] == 0.59
    assert shares["gap between uprights"] == 0.16
    assert shares["washer L"] == shares["shim"] == 0.05


def test_one_instrument_for_both_sides_takes_its_own_error_out(tmp_path: Path) -> None:
    case, stack = of_demo(bench_at(tmp_path, "13:46"), "weapon float")
    shares = {row.piece.name: row.share or 0.0 for row in pieces_now(case, stack)}
    assert shares["gap between uprights"] < 0 < shares["washer L"]
    assert sum(shares.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("at", ["11:25", "12:25", "13:46", "15:24", "15:40", "15:54", "15:57"])
def test_gaps_stand_as_the_robot_is_judged(tmp_path: Path, at: str) -> None:
    driver = bench_at(tmp_path, at)
    view = driver.session.view
    assert view is not None
    judged = {item.subject: item for item in view.standing.requirements if item.group == "stack"}
    for stack in view.case.defs.stacks.values():
        gap = gap_now(view.case, stack)
        assert gap.counts is (stack.id in judged)
        if gap.counts:
            assert gap.requirement == judged[stack.id]
            assert gap.blocks is judged[stack.id].blocks


def test_a_gap_of_another_configuration_is_judged_and_does_not_block(tmp_path: Path) -> None:
    case, stack = of_demo(bench_at(tmp_path), "bar to fork")
    gap = gap_now(case, stack)
    assert (gap.requirement.verdict, gap.counts, gap.blocks, gap.value_m) == ("unchecked", False, False, None)


def test_the_figure_of_a_disturbed_gap_does_not_count(shop: Shop) -> None:
    shop.ready()
    assert gap_now(*float_of(shop)).solid
    shop.hit("W", 2)
    gap = gap_now(*float_of(shop))
    assert (gap.requirement.verdict, gap.solid) == ("recheck", False)
    assert gap.value_m == pytest.approx(0.5 * MM)


def test_a_feeler_has_no_figure(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.feeler, "float", 0.2 * MM, 0.8 * MM)
    gap = gap_now(*float_of(shop))
    assert (gap.how, gap.value_m, gap.goes_m, gap.stops_m) == ("feeler", None, 0.2 * MM, 0.8 * MM)
    assert gap.added.value == pytest.approx(0.5 * MM)


@pytest.mark.parametrize(("direct_mm", "odd"), [(0.5, False), (0.53, False), (0.7, True), (0.3, True)])
def test_a_direct_reading_far_from_the_sum_is_at_odds_with_it(shop: Shop, direct_mm: float, odd: bool) -> None:
    shop.ready()
    shop.do(measuring.direct, "float", direct_mm * MM, "CAL")
    assert at_odds(gap_now(*float_of(shop))) is odd


@pytest.mark.parametrize(
    ("goes_mm", "stops_mm", "odd"), [(0.2, 0.8, False), (0.6, 0.8, True), (0.2, 0.4, True), (None, 0.4, True)]
)
def test_a_feeler_that_leaves_no_room_for_the_sum_is_at_odds_with_it(
    shop: Shop, goes_mm: float | None, stops_mm: float, odd: bool
) -> None:
    shop.ready()
    shop.do(measuring.feeler, "float", goes_mm * MM if goes_mm else None, stops_mm * MM)
    assert at_odds(gap_now(*float_of(shop))) is odd


def test_a_direct_reading_disturbed_since_is_at_odds_with_nothing(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.direct, "float", 0.7 * MM, "CAL")
    shop.hit("W", 2)
    assert not at_odds(gap_now(*float_of(shop)))


def test_the_days_floats_as_worked_out_by_hand(tmp_path: Path) -> None:
    # 262.00, 262.00, 263.10, 262.05 less 2, 6, 245.50, 6, 2; then 262.05 less 2, 6, 245.20, 6, 2, 0.20, read twice.
    case, stack = of_demo(bench_at(tmp_path), "weapon float")
    past = past_gaps(case, stack)
    assert [round(item.value_m / MM, 2) for item in past] == [0.5, 0.5, 1.6, 0.55, 0.65, 0.65]
    assert [item.word for item in past] == ["pass", "pass", "fail", "pass", "marginal", "pass"]
    assert [round(item.u_m / MM, 3) for item in past[-2:]] == [0.174, 0.046]
    assert past_gaps(case, stack, 2) == past[-2:]


def test_a_correction_puts_an_earlier_gap_right_and_a_withdrawal_takes_it_out(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.do(measuring.pieces, [Read(GAP, 0.1009, "CAL", "100.9")])
    assert past_gaps(*float_of(shop))[-1].value_m == pytest.approx(0.9 * MM)
    shop.do(correcting.correct, entry.id, {"value_m": 0.1006})
    assert past_gaps(*float_of(shop))[-1].value_m == pytest.approx(0.6 * MM)
    shop.do(correcting.withdraw, entry.id)
    assert past_gaps(*float_of(shop))[-1].value_m == pytest.approx(0.5 * MM)


def test_an_earlier_gap_keeps_the_part_that_sat_there(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.dimension, "rotor2", "width", 0.1002, "CAL")
    shop.do(fitting.part_in, "rotor2", "rotor")
    shop.do(measuring.pieces, [Read(GAP, 0.1005, "CAL")])
    assert [round(item.value_m / MM, 2) for item in past_gaps(*float_of(shop))] == [0.5, 0.3]


def test_direct_readings_are_among_the_earlier_gaps(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.direct, "float", 0.9 * MM, "CAL")
    last = past_gaps(*float_of(shop))[-1]
    assert (last.how, last.value_m, last.word) == ("direct", 0.9 * MM, "fail")


def test_what_a_piece_is_usually_read_with(shop: Shop) -> None:
    case, stack = float_of(shop)
    assert usual_tool(case, stack, WIDTH, "rotor1/width") == "CAL"  # the only one that reads lengths
    shop.do(measuring.pieces, [Read(GAP, 0.1005, "CAL"), Read(WIDTH, 0.1, "CAL")])
    shop.do(fitting.part_in, "rotor2", "rotor")
    case, stack = float_of(shop)
    assert usual_tool(case, stack, WIDTH, "rotor2/width") == "CAL"
    assert usual_gap_tool(case, stack) == "CAL"


def test_a_new_part_is_read_with_what_the_one_before_it_was(tmp_path: Path) -> None:
    driver = bench_at(tmp_path, "15:40")
    case, stack = of_demo(driver, "screw clear R")
    tools = {row.piece.name: usual_tool(case, stack, row.piece, row.key or "") for row in pieces_now(case, stack)}
    assert {case.defs.instruments[tool or ""].name for tool in tools.values()} == {"CAL"}
