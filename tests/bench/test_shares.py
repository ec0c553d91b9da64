"""Where the weight sits, and the scale beside the ledger."""

from __future__ import annotations

from math import fsum

import pytest

from pitcrew.bench import measuring
from pitcrew.bench.shares import scale_against_ledger, shares
from pitcrew.readiness.weights import mass_of, parts_of
from tests.bench.shop import Shop
from tests.tui.driver import Driver, bench_at


@pytest.fixture
def bench(tmp_path_factory: pytest.TempPathFactory) -> Driver:
    return bench_at(tmp_path_factory.mktemp("shares"))


def test_the_zones_add_up_to_every_part_once(bench: Driver) -> None:
    case = bench.session.case()
    assert case is not None
    for configuration in case.defs.configurations.values():
        found = shares(case, configuration.id)
        masses = [mass_of(case, part) for part in parts_of(case, configuration)]
        assert fsum(share.kg for share in found) == pytest.approx(fsum(m.reading.value for m in masses if m))
        assert fsum(share.part for share in found) == pytest.approx(1)
        assert [share.kg for share in found] == sorted((share.kg for share in found), reverse=True)


def test_a_zone_of_the_demo_worked_out_by_hand(bench: Driver) -> None:
    """The left upright put in at 13:05 weighs 0.27 kg more than the right one; packs P5, P6, P8 and P9."""
    case = bench.session.case()
    assert case is not None
    by_name = {item.name: item.id for item in case.defs.configurations.values()}
    found = {share.zone: share for share in shares(case, by_name["B"])}
    assert found["UL"].kg == pytest.approx(4.42)
    assert found["UR"].kg == pytest.approx(4.15)
    assert found["packs"].kg == pytest.approx(3 * 1.15 + 1.17)


def test_scale_and_ledger_of_the_demo_agree(bench: Driver) -> None:
    case = bench.session.case()
    assert case is not None
    by_name = {item.name: item.id for item in case.defs.configurations.values()}
    said = list(scale_against_ledger(case, by_name["B"]))
    # 113.04 shown, and the scale reads 0.06 low.
    assert said[0].endswith("on the scale 113.10 kg")
    assert "inside its doubt" in said[1]


def test_a_wrong_mass_in_the_ledger_is_asked_about(bench: Driver) -> None:
    case = bench.session.case()
    assert case is not None
    by_name = {item.name: item.id for item in case.defs.configurations.values()}
    part = next(fact.subject for fact in case.evidence.definitions("part", case.robot) if fact.detail["name"] == "bar")
    bench.session.write(measuring.weigh_part(bench.session.desk(), part, 24.9))
    again = bench.session.case()
    assert again is not None
    said = list(scale_against_ledger(again, by_name["B"]))
    assert said[1].startswith("1.99 kg less on the scale 14:20")
    assert "a mass is wrong" in said[1]


def test_a_robot_that_was_never_weighed_has_nothing_to_compare(shop: Shop) -> None:
    case = shop.case()
    assert list(scale_against_ledger(case, next(iter(case.defs.configurations)))) == []
