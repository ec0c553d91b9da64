"""Packs as they stand: when each set can be ready and whether that makes the call, what was read of each pack."""

from __future__ import annotations

import json

import pytest

from pitcrew.bench import fighting, fitting, looking, packing
from pitcrew.bench.packing import Charged, PackRead
from pitcrew.bench.packs_now import (
    SetNow,
    all_packs,
    loose_packs,
    pack_now,
    packs_data,
    packs_lines,
    ready_words,
    sets_of,
    why_ready,
)
from pitcrew.bench.standing import View, view
from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import ready_at
from pitcrew.robot.moments import typed
from tests.bench.demo_day import HEAVY, ZONE, DemoDay
from tests.bench.shop import Shop
from tests.readiness.small import MINUTE

AH = 3600.0
CHARGING = {"cells": 4, "current_a": 2.0, "full_v": 4.15, "cool_k": 303.15, "cool_min": 15, "tail_min": 10}
USED = PackRead(temperature_k=319.15, used_coulomb=1 * AH)


@pytest.fixture
def shop(shop: Shop) -> Shop:
    """The shop's packs with figures to be charged by; P1 and P2 have fought."""
    kind = {"name": "pack", "look_from": 2, "look": "own", "pack": True, "charging": CHARGING}
    shop.define("part_kind", "pack", None, kind)
    new = {"name": "P2", "part_kind": "pack", "mass_kg": 0.1, "mass_instrument": "OWN"}
    shop.define("part", "P2", "R", {**new, "cycles": 31, "ohm_per_cell": 0.0024, "ohm_new": 0.002})
    return shop


def fought(shop: Shop, call_in_min: int = 120) -> Shop:
    """Set 1 has fought and is out, read; another fight is entered."""
    shop.do(fitting.choose_packs, "S1")
    shop.do(fitting.packs_in, "S1")
    shop.put("entered", "F1", {"name": "F1", "configuration": "A"}, place="R")
    shop.put("fight_ended", "F1")
    shop.do(packing.packs_out, USED)
    call = shop.clock.now_ms() + (call_in_min + 1) * MINUTE
    shop.put("entered", "F2", {"name": "F2", "configuration": "A", "call_at": call}, place="R")
    return shop


def case_of(shop: Shop) -> Case:
    return shop.desk().case()


def of(case: Case, name: str) -> SetNow:
    return next(item for item in sets_of(case) if item.name == name)


def test_a_set_never_read_is_ready_nobody_knows_when(shop: Shop) -> None:
    case = case_of(shop)
    item = of(case, "set 2")
    assert (item.state, item.ready_at, item.too_late, item.full) == ("never read", None, False, False)
    assert ready_words(case, item) == "not known: read the packs"
    assert why_ready(case, item) == ""


def test_a_full_set_is_ready_now(shop: Shop) -> None:
    shop.do(packing.read_packs, ["P3", "P4"], PackRead(lowest_v=4.18))
    case = case_of(shop)
    item = of(case, "set 2")
    assert item.full
    assert item.ready_at == case.now
    assert ready_words(case, item) == "ready now"


def test_a_warm_set_cools_and_then_charges(shop: Shop) -> None:
    case = case_of(fought(shop))
    item = of(case, "set 1")
    read = case.newest("pack_read", "P1")
    assert read is not None
    # 15 minutes to cool, then 1 Ah at 2 A and a tail of ten.
    assert item.ready_at == read.happened + (15 + 40) * MINUTE
    assert item.state.startswith("cooling till ")
    assert not item.too_late
    assert "min to spare" in ready_words(case, item)
    assert why_ready(case, item).endswith(", then 40 min of charging")
    assert why_ready(case, item).startswith("cool at ")


def test_a_full_set_is_in_time_even_after_its_call(shop: Shop) -> None:
    fought(shop, 1)
    shop.do(packing.read_packs, ["P3", "P4"], PackRead(lowest_v=4.18))
    shop.do(packing.read_packs, ["P3", "P4"], PackRead(lowest_v=4.18))
    case = case_of(shop)
    item = of(case, "set 2")
    assert item.call_at is not None
    assert item.call_at < case.now
    assert (item.full, item.too_late) == (True, False)
    assert of(case, "set 1").too_late


@pytest.mark.parametrize("spare", [-1, 0, 1])
def test_late_is_later_than_the_call_to_the_minute(shop: Shop, spare: int) -> None:
    # Read at minute 0, full at minute 55; the fight is entered a minute after the reading.
    case = case_of(fought(shop, 54 + spare))
    item = of(case, "set 1")
    assert item.call_at is not None
    assert item.ready_at is not None
    assert item.call_at - item.ready_at == spare * MINUTE
    assert item.too_late == (spare < 0)
    assert ready_words(case, item).endswith("too late" if spare < 0 else f"{spare} min to spare")


def test_a_set_on_charge_says_since_when(shop: Shop) -> None:
    fought(shop)
    shop.do(packing.on_charge, ["P1", "P2"], Charged(2.0, 2 * AH, 295.0, "EW"))
    case = case_of(shop)
    item = of(case, "set 1")
    begun = case.newest("charge_started", "P2")
    assert begun is not None
    assert item.ready_at == begun.happened + 70 * MINUTE
    assert item.state.startswith("on charge till ")
    assert why_ready(case, item).startswith("on charge since ")
    assert why_ready(case, item).endswith("takes 70 min")


def test_the_last_pack_decides_for_the_set(shop: Shop) -> None:
    fought(shop)
    shop.do(packing.on_charge, ["P1"], Charged(2.0, 2 * AH))
    shop.do(packing.on_charge, ["P2"], Charged(2.0, 4 * AH))
    case = case_of(shop)
    assert of(case, "set 1").ready_at == ready_at(case, ["P2"])
    shop.do(packing.off_charge, ["P2"], "full", 4.19)
    case = case_of(shop)
    assert of(case, "set 1").ready_at == ready_at(case, ["P1"])
    assert of(case, "set 1").state == pack_now(case, "P1").state


def test_a_set_with_a_pack_put_away_is_no_set_and_stands_last(shop: Shop) -> None:
    shop.do(packing.quarantined, ["P3"])
    case = case_of(shop)
    item = of(case, "set 2")
    assert (item.away, item.ready_at, item.state) == (("P3",), None, "P3 quarantined")
    assert ready_words(case, item) == "P3 put away: no set to fight with"
    assert [bool(item.away) for item in sets_of(case)] == sorted(bool(item.away) for item in sets_of(case))


def test_the_set_chosen_stands_first_until_its_fight_is_over(shop: Shop) -> None:
    shop.do(fitting.choose_packs, "S2")
    assert [item.id for item in sets_of(case_of(shop)) if item.chosen] == ["S2"]
    assert sets_of(case_of(shop))[0].id == "S2"
    shop.put("entered", "F1", {"name": "F1", "configuration": "A"}, place="R")
    shop.put("fight_ended", "F1")
    assert not any(item.chosen for item in sets_of(case_of(shop)))


def test_without_a_fight_entered_nothing_is_too_late(shop: Shop) -> None:
    fought(shop, 5)
    shop.put("fight_ended", "F2")
    case = case_of(shop)
    item = of(case, "set 1")
    assert item.call_at is not None
    assert item.ready_at is not None
    assert item.ready_at > item.call_at
    assert not item.too_late
    assert "earliest call" in ready_words(case, item)


def test_a_pack_by_its_figures(shop: Shop) -> None:
    read = PackRead(cells_v=(4.18, 4.15, 4.20, 4.19), cells_ohm=(0.0025, 0.0026, 0.0024, 0.0025))
    shop.do(packing.read_packs, ["P2"], read)
    pack = pack_now(case_of(shop), "P2")
    assert (pack.state, pack.volts, pack.ohm, pack.cycles, pack.where) == ("full", 4.15, 0.0026, 31, "box")
    assert pack.spread_v == pytest.approx(0.05)
    assert pack.ratio == pytest.approx(1.3)
    assert pack.trend == (0.0024, 0.0026)


def test_volts_are_those_since_the_last_fight(shop: Shop) -> None:
    shop.do(packing.read_packs, ["P1"], PackRead(cells_v=(4.18, 4.17, 4.20, 4.19)))
    fought(shop)
    pack = pack_now(case_of(shop), "P1")
    assert (pack.volts, pack.heat_k) == (None, 319.15)
    shop.do(packing.read_packs, ["P1"], PackRead(lowest_v=3.6))
    assert pack_now(case_of(shop), "P1").volts == 3.6


def test_every_charge_is_a_cycle_but_one_to_storage(shop: Shop) -> None:
    for to, cycles in (("full", 32), ("storage", 32), ("stopped", 33)):
        shop.do(packing.off_charge, ["P2"], to)
        assert pack_now(case_of(shop), "P2").cycles == cycles
    assert pack_now(case_of(shop), "P1").cycles is None
    (ended,) = shop.do(packing.off_charge, ["P2"], "full")
    shop.put("withdrawn", "P2", {}, replaces=ended.id)
    assert pack_now(case_of(shop), "P2").cycles == 33


def test_a_pack_is_where_it_was_put_last(shop: Shop) -> None:
    assert pack_now(case_of(shop), "P1").where == "box"
    shop.do(fitting.packs_in, "S1")
    assert pack_now(case_of(shop), "P1").where == "pack 1"
    shop.do(packing.packs_out)
    assert pack_now(case_of(shop), "P1").where == "box"
    shop.do(packing.quarantined, ["P1"])
    assert (pack_now(case_of(shop), "P1").where, pack_now(case_of(shop), "P1").state) == ("quarantine", "quarantined")


def test_a_pack_is_to_be_looked_at_after_a_hit_on_its_zone(shop: Shop) -> None:
    shop.do(fitting.packs_in, "S1")
    shop.do(fighting.hit, ["D"], 3, in_fight=False)
    shop.do(packing.packs_out)
    assert {pack.name for pack in all_packs(case_of(shop)) if pack.look} == {"P1", "P2"}
    shop.do(looking.look_at, ["P1", "P2"])
    assert not any(pack.look for pack in all_packs(case_of(shop)))


def test_packs_of_no_set_are_not_forgotten(shop: Shop) -> None:
    shop.define("part", "P7", "R", {"name": "P7", "part_kind": "pack", "mass_kg": 0.1, "mass_instrument": "OWN"})
    case = case_of(shop)
    assert [pack.name for pack in loose_packs(case)] == ["P7"]
    assert sorted(pack.name for pack in all_packs(case)) == ["P1", "P2", "P3", "P4", "P7"]


def test_at_15_35_set_1_cannot_make_the_call(demo: DemoDay) -> None:
    now = typed("2026-06-13 15:35", ZONE, 0)[0]
    case = view(demo.book.evidence(now + MINUTE), demo.robots[HEAVY], now, demo.checklists).case
    item = of(case, "set 1")
    assert item.too_late
    assert ready_words(case, item) == "ready 16:24, call 16:07: too late"
    assert why_ready(case, item) == "cool at 15:44, then 40 min of charging"


def test_the_table_is_ascii_and_as_wide_as_a_terminal(views: list[View]) -> None:
    for item in views[::7]:
        rows = list(packs_lines(item))
        assert all(row.isascii() and len(row) <= 80 for row in rows), rows
        assert sum(row.split()[:1] == ["chosen"] for row in rows) <= 1


def test_words_and_data_say_the_same_all_day(views: list[View]) -> None:
    for item in views[::7]:
        (told,) = packs_data([item], "book")["robots"]
        assert json.loads(json.dumps(told)) == told
        for each, plain in zip(sets_of(item.case), told["sets"], strict=True):
            assert plain["too_late"] == each.too_late == ("too late" in ready_words(item.case, each))
            assert plain["ready_ms"] == each.ready_at
            assert (each.ready_at is not None and each.ready_at <= item.case.now) == each.full
            packs = [pack.id for pack in each.packs]
            assert each.ready_at == (None if each.away else ready_at(item.case, packs))
