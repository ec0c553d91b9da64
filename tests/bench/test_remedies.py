"""What would bring a gap in: held to what really stands when it is done."""

from __future__ import annotations

from pathlib import Path

import pytest

from pitcrew.bench import fitting, measuring
from pitcrew.bench.measuring import Read
from pitcrew.bench.remedies import WhatIf, settling, what_ifs
from pitcrew.bench.runs import gap_now
from pitcrew.readiness.stacks import stack_value
from tests.bench.shop import Shop
from tests.bench.test_runs import MM, float_of, of_demo
from tests.tui.driver import Driver, bench_at


def ifs_at(driver: Driver, name: str, wide: bool = True) -> dict[str, WhatIf]:
    return {item.name: item for item in what_ifs(*of_demo(driver, name), wide)}


def test_which_screw_is_answered_with_what_it_would_spoil(tmp_path: Path) -> None:
    # 7 - 14 + 2 + 6 = 1 and 7 - 12 + 2 + 6 = 3 clear; but 12 - 2 - 6 = 4 of engagement is less than 5.
    found = ifs_at(bench_at(tmp_path, "15:40"), "screw clear R")
    assert found["M5x14 screws"].value_m == pytest.approx(1.0 * MM)
    assert (found["M5x14 screws"].word, found["M5x14 screws"].spoils) == ("pass", ())
    assert found["M5x12 screws"].value_m == pytest.approx(3.0 * MM)
    assert (found["M5x12 screws"].word, found["M5x12 screws"].spoils) == ("pass", ("screw engagement R",))
    assert next(iter(found)) == "M5x14 screws"
    assert list(found)[-1] == "M5x12 screws"


def test_which_shim_and_the_configuration_entered(tmp_path: Path) -> None:
    # At 15:24 the bar sits there with its 0.20 shim; A wants the drum, 0.30 wider, and no shim.
    found = ifs_at(bench_at(tmp_path), "weapon float", wide=False)
    values = {name: (round(item.value_m / MM, 2), item.word, item.entered) for name, item in found.items()}
    assert values == {
        "A": (0.55, "pass", True),
        "shim out": (0.85, "fail", False),
        "1.00 shim": (-0.15, "fail", False),
    }


def test_a_gap_of_another_configuration_is_not_told_to_change_over(tmp_path: Path) -> None:
    driver = bench_at(tmp_path)
    driver.session.write(
        measuring.pieces(driver.session.desk(), [Read(of_demo(driver, "bar to fork")[1].pieces()[0], 0.012)])
    )
    driver.settle()
    assert not ifs_at(driver, "bar to fork")


@pytest.mark.parametrize("name", ["M5x14 screws", "M5x12 screws", "8.0 plate R", "1.0 washers L"])
def test_what_would_stand_is_what_stands_when_it_is_done(tmp_path: Path, name: str) -> None:
    driver = bench_at(tmp_path, "15:40")
    told = ifs_at(driver, "screw clear R")[name]
    case, stack = of_demo(driver, "screw clear R")
    part = case.part(told.part or "")
    assert part is not None
    place = next(
        place for place in stack.places() if (sat := case.occupant(place)) and case.kind(sat) == case.kind(part.id)
    )
    driver.session.write(fitting.part_in(driver.session.desk(), part.id, place))
    driver.settle()
    case, stack = of_demo(driver, "screw clear R")
    done = stack_value(case, stack)
    assert done.decision is not None
    assert (done.value_m, done.u_m, done.decision.word) == (told.value_m, told.u_m, told.word)


def test_only_loose_parts_with_known_lengths_are_offered(shop: Shop) -> None:
    shop.ready()
    assert what_ifs(*float_of(shop), wide=True) == ()  # rotor 2 was never measured
    shop.do(measuring.dimension, "rotor2", "width", 0.1002, "CAL")
    assert what_ifs(*float_of(shop), wide=False) == ()
    (item,) = what_ifs(*float_of(shop), wide=True)
    assert (item.part, item.word) == ("rotor2", "pass")
    assert item.value_m == pytest.approx(0.3 * MM)
    shop.do(fitting.put_away, "rotor2", "scrapped")
    assert what_ifs(*float_of(shop), wide=True) == ()


def test_better_instruments_settle_a_marginal_when_they_are_used(tmp_path: Path) -> None:
    driver = bench_at(tmp_path, "13:46")
    case, stack = of_demo(driver, "weapon float")
    told = settling(case, stack, gap_now(case, stack))
    assert told is not None
    assert [(piece.name, tool.name) for piece, tool in told.changes] == [
        ("washer L", "MIC"),
        ("spacer L", "MIC"),
        ("spacer R", "MIC"),
    ]
    lengths = {"washer L": 0.002, "spacer L": 0.006, "spacer R": 0.006}
    reads = [Read(piece, lengths[piece.name], tool.id) for piece, tool in told.changes]
    driver.session.write(measuring.pieces(driver.session.desk(), reads))
    driver.settle()
    gap = gap_now(*of_demo(driver, "weapon float"))
    assert gap.requirement.verdict == "pass"
    assert gap.u_m == pytest.approx(told.u_m)


@pytest.mark.parametrize("at", ["15:24", "15:40"])
def test_what_is_not_marginal_has_nothing_to_settle(tmp_path: Path, at: str) -> None:
    driver = bench_at(tmp_path, at)
    for name in ("weapon float", "screw clear R", "bar to fork"):
        case, stack = of_demo(driver, name)
        assert settling(case, stack, gap_now(case, stack)) is None


def test_a_marginal_that_nothing_known_settles(shop: Shop) -> None:
    shop.ready()
    shop.do(measuring.dimension, "R", "gap", 0.100205, "CAL")
    case, stack = float_of(shop)
    assert gap_now(case, stack).requirement.verdict == "marginal"
    assert settling(case, stack, gap_now(case, stack)) is None
