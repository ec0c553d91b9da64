"""The calculation behind a verdict: pieces, formula, numbers and result, and they add up."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.bench import fitting, measuring, mending
from pitcrew.bench.standing import View
from pitcrew.bench.working import joint_working, stack_working, weight_working, working_rows
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.stacks import stack_value
from pitcrew.readiness.weights import weight_of
from tests.bench.demo_day import DemoDay
from tests.bench.shop import Shop


def of(shop: Shop, key: str) -> list[str]:
    return list(working_rows(shop.case(), shop.requirement(key)))


def read(shop: Shop, gap_m: float, width_m: float) -> None:
    shop.do(measuring.dimension, "R", "gap", gap_m, "CAL")
    shop.do(measuring.dimension, "rotor1", "width", width_m, "CAL")


def test_a_gap_is_worked_out_piece_by_piece(shop: Shop) -> None:
    shop.ready()
    assert of(shop, "stack:float") == [
        "+ gap 100.50 mm CAL",
        "- width 100.00 mm CAL",
        "gap = sum of signed pieces",
        "100.50 - 100.00 = 0.50 mm",
        "0.50 mm",
        # One caliper read both: its own error falls out of a difference and leaves two steps of 0.01 mm,
        # 2 sqrt(2 x 0.01^2 / 12) with k = 2: JCGM 100:2008, 5.2.2 and F.2.2.1.
        "pass: limits 0.20 mm to 0.80 mm, doubt 0.0082 mm (k = 2)",
        "after plain addition; U after JCGM 100:2008",
    ]


@settings(max_examples=40)
@given(st.integers(9_900, 10_200), st.integers(9_900, 10_200))
def test_the_numbers_shown_add_up_to_the_result_shown(gap: int, width: int) -> None:
    shop = Shop()
    read(shop, gap / 1e5, width / 1e5)
    rows = list(stack_working(shop.case(), "float"))
    sums = next(row for row in rows if " = " in row and row[0] in "-0123456789")
    numbers, result = sums.split(" = ")
    first, second = numbers.split(" - ")
    assert float(first) - float(second) == pytest.approx(float(result.removesuffix(" mm")), abs=1e-9)
    value = stack_value(shop.case(), shop.case().defs.stacks["float"])
    assert value.value_m == pytest.approx(float(result.removesuffix(" mm")) / 1000)
    assert value.decision is not None
    assert any(row.startswith(f"{value.decision.word}: ") for row in rows)


def test_a_piece_nobody_has_read_leaves_no_result(shop: Shop) -> None:
    rows = list(stack_working(shop.case(), "float"))
    assert not any(row.startswith(("pass", "fail", "marginal")) for row in rows)
    assert not any(re.search(r"= -?[\d.]+ mm", row) for row in rows)


def test_what_outranks_the_sum_is_said_before_it(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.direct, "float", 0.0009, "CAL")
    assert shop.requirement("stack:float").verdict == "fail"
    assert of(shop, "stack:float")[0] == "measured directly, which outranks the sum of its pieces:"
    shop.do(measuring.feeler, "float", 0.0004, 0.0006)
    assert of(shop, "stack:float")[0] == "felt directly, which outranks the sum of its pieces:"
    shop.do(mending.found, "up1", "upright", "bent")
    assert of(shop, "stack:float")[0] == "a bent part is in it, which outranks the sum of its pieces:"


def test_the_smallest_of_several_sums_is_shown_with_its_own_pieces(demo: DemoDay) -> None:
    case = demo.desk().case()
    stacks = [stack for stack in case.defs.stacks.values() if len(stack.chains) > 1]
    assert stacks
    for stack in stacks:
        rows = list(stack_working(case, stack.id))
        assert f"the smallest of {len(stack.chains)} sums" in rows
        names = {piece.name for pieces in stack.chains for piece in pieces}
        shown = [row for row in rows if row[:2] in ("+ ", "- ")]
        assert shown
        assert all(any(name in row for name in names) for row in shown)


# weights


def test_an_anchored_weight_is_its_weighing_and_what_changed_since(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.do(measuring.weigh_robot, "A", 5.0, "OWN")
    shop.do(fitting.part_in, "rotor2", "rotor")
    rows = of(shop, "weight:A")
    assert rows[0].endswith(f"MK 5.00 kg shown on OWN #{entry.n}")
    assert rows[1:3] == ["+2.500 kg rotor 2 in", "-2.000 kg rotor 1 out"]
    assert re.fullmatch(r"= 5\.500 kg \+-0\.\d+ kg \(k = 2\), figured", rows[3])


def test_a_weight_just_weighed_has_no_changes(shop: Shop) -> None:
    shop.ready()
    rows = of(shop, "weight:A")
    assert len(rows) == 2
    assert rows[1].startswith("= 5.000 kg")


def test_a_robot_never_weighed_is_its_parts_added_up(shop: Shop) -> None:
    rows = list(weight_working(shop.case(), "A"))
    assert rows[0] == "never weighed: 5 parts added up"
    assert rows[1].startswith("= 5.000 kg")


def test_a_part_of_unknown_mass_is_named_and_nothing_is_added_up(shop: Shop) -> None:
    shop.ready()
    shop.put("part", "skid", {"name": "skid", "part_kind": "plate"})
    shop.do(fitting.part_in, "skid", "plate")
    rows = list(weight_working(shop.case(), "A"))
    assert rows[-1] == "no mass known of skid"
    assert "? kg skid in" in rows


def test_a_scale_that_reads_off_is_put_right_in_the_open(shop: Shop) -> None:
    off = {"name": "LOW", "unit": "kg", "resolution": 0.01, "permissible": 0.0, "offset": 0.06}
    shop.book.append([Draft("instrument", "LOW", "PB", detail=off)])
    shop.do(measuring.weigh_robot, "A", 5.0, "LOW")
    rows = list(weight_working(shop.case(), "A"))
    assert rows[1] == "+0.060 kg what the scale reads low or high"
    assert rows[2].startswith("= 5.060 kg")


def test_every_weight_of_the_demo_adds_up_to_what_is_judged(demo: DemoDay) -> None:
    case = demo.desk().case()
    for configuration in case.defs.configurations.values():
        rows = list(weight_working(case, configuration.id))
        weight = weight_of(case, configuration)
        assert weight.kg is not None
        assert rows[-1].startswith(f"= {weight.kg:.3f} kg")
        changes = [row for row in rows[:-1] if re.match(r"[+-]\d+\.\d+ kg", row)]
        shown = re.search(r"([\d.]+) kg shown", rows[0])
        if shown is not None:
            total = float(shown[1]) + sum(float(row.split(" ")[0]) for row in changes)
            assert total == pytest.approx(weight.kg, abs=0.0005 * (len(changes) + 1) + 0.005)


# joints, and what has no working


def test_a_joint_shows_its_band_and_its_wrench(shop: Shop) -> None:
    assert list(joint_working(shop.case(), "cap")) == [
        "target 25 N m, band 10 %",
        "limits 22.5 to 27.5 N m",
        "wrench TW, within 4 %",
    ]
    assert list(joint_working(shop.case(), "nuts")) == ["no target torque known: type one"]


def test_what_rests_on_a_look_has_no_working(views: list[View]) -> None:
    groups = {"stack", "weight", "joint"}
    for item in views[:: max(len(views) // 6, 1)]:
        for requirement in item.standing.requirements:
            rows = list(working_rows(item.case, requirement))
            assert bool(rows) == (requirement.group in groups)
            assert all(row.isprintable() and "01K" not in row for row in rows)
