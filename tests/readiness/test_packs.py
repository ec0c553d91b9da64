"""Packs chosen for a fight: matched, charged, cool and equal, and when they can be."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.readiness.jobs import Job, jobs
from pitcrew.readiness.packs import charge_of, ready_at
from pitcrew.readiness.verdict import Requirement
from tests.readiness.small import MINUTE, Small

AH = 3600.0
FIGURES = {"current_a": 8.0, "full_v": 4.15, "cool_k": 303.15, "cool_min": 15, "tail_min": 10}


def ready(**charging: Any) -> Small:
    return Small().packs(**charging).ready()


def read(small: Small, pack: str, **figures: Any) -> None:
    small.put("pack_read", pack, figures)


def full(small: Small) -> Small:
    read(small, "P1", lowest_v=4.18)
    read(small, "P2", cells_v=[4.19, 4.16, 4.18])
    return small


def packs(small: Small) -> Requirement:
    return small.requirement("packs:R")


def codes(small: Small) -> list[str]:
    return [because.code for because in packs(small).because]


def of_packs(small: Small) -> list[Job]:
    standing = small.standing()
    return [job for job in jobs(small.case(), standing) if "packs" in job.action]


def between_fights(small: Small, call_in_min: int, **figures: Any) -> Small:
    """A fight run on both packs, their figures read as they came out, and the next call so many minutes away."""
    small.put("fight_ended", "F1")
    for pack in ("P1", "P2"):
        read(small, pack, **figures)
    call = small.clock.now_ms() + (call_in_min + 2) * MINUTE
    small.put("entered", "F2", {"name": "F2", "configuration": "A", "call_at": call}, place="R")
    small.put("chosen", "R", {"pack_set": "S"})
    return small


def test_a_kind_that_says_nothing_of_charging_asks_nothing() -> None:
    assert ready().blocks() == {}


def test_packs_never_read_are_unchecked_until_both_are_full() -> None:
    small = ready(**FIGURES)
    assert (packs(small).verdict, codes(small)) == ("unchecked", ["never read"])
    read(small, "P1", lowest_v=4.18)
    assert [name for name in packs(small).because[0].figures if name[0] == "pack"] == [("pack", "P2")]
    read(small, "P2", cells_v=[4.19, 4.15, 4.18])
    assert small.blocks() == {}


@pytest.mark.parametrize("figures", [{"lowest_v": 4.14}, {"cells_v": [4.2, 4.2, 4.149]}])
def test_the_lowest_cell_decides(figures: dict[str, Any]) -> None:
    small = full(ready(**FIGURES))
    read(small, "P1", **figures)
    assert (packs(small).verdict, codes(small)) == ("due", ["not charged"])


def test_heat_alone_is_no_reading_of_charge() -> None:
    small = full(ready(**FIGURES))
    read(small, "P1", temperature_k=295.0)
    assert small.blocks() == {}


def test_a_fight_empties_the_packs_that_were_in_it_and_no_others() -> None:
    small = full(ready(**FIGURES))
    small.put("removed", "P2", {"to": "spares"}, place="bay 2")
    between_fights(small, 300, used_coulomb=3.9 * AH)
    small.put("fitted", "P2", {"new": False}, place="bay 2")
    assert codes(small) == ["not charged"]
    assert [value for name, value in packs(small).because[0].figures if name == "pack"] == ["P1"]


def test_on_the_charger_full_and_read() -> None:
    small = between_fights(full(ready(**FIGURES)), 300, used_coulomb=5.2 * AH)
    begun = small.put("charge_started", "P1")
    charge = charge_of(small.case(), "P1")
    # 5.2 Ah at 8 A is 39 minutes, and 10 for the tail: our own scenario's rule, computed by hand.
    assert (charge.state, charge.minutes, charge.full_at) == ("on charge", 49, begun.happened + 49 * MINUTE)
    small.put("charge_ended", "P1", {"to": "full"})
    assert charge_of(small.case(), "P1").state == "full"
    small.put("charge_ended", "P1", {"to": "full", "lowest_v": 4.12})
    assert charge_of(small.case(), "P1").state == "not full"


@pytest.mark.parametrize(
    ("kind", "detail", "state"),
    [
        ("charge_ended", {"to": "stopped"}, "not full"),
        ("charge_ended", {"to": "storage"}, "not full"),
        ("charge_ended", {"to": "storage", "lowest_v": 3.8}, "not full"),
    ],
)
def test_taken_off_the_charger_early(kind: str, detail: dict[str, Any], state: str) -> None:
    small = full(ready(**FIGURES))
    small.put("charge_started", "P1")
    small.put(kind, "P1", detail)
    assert charge_of(small.case(), "P1").state == state
    assert packs(small).verdict == "due"


def test_a_pack_put_in_is_off_the_charger() -> None:
    small = full(ready(**FIGURES))
    small.put("charge_started", "P1")
    assert codes(small) == ["on charge"]
    small.put("removed", "P1", {"to": "spares"}, place="bay 1")
    small.put("fitted", "P1", {"new": False}, place="bay 1")
    assert small.blocks() == {}


def test_what_the_charger_is_set_to_counts_before_what_the_kind_says() -> None:
    small = between_fights(full(ready(**FIGURES)), 300, used_coulomb=4.0 * AH)
    small.put("charge_started", "P1", {"current_a": 4.0, "to_put_back_coulomb": 1.0 * AH})
    assert charge_of(small.case(), "P1").minutes == 25


def test_what_cannot_be_full_by_the_call_fails_and_says_so_the_moment_it_comes_true() -> None:
    small = between_fights(full(ready(**FIGURES)), 43, used_coulomb=3.9 * AH)
    standing = small.standing()
    found = next(item for item in standing.requirements if item.key == "packs:R")
    assert (found.verdict, [because.code for because in found.because]) == ("due", ["not charged"])
    assert standing.call_at is not None
    start_by = standing.call_at - 40 * MINUTE
    assert standing.changes_at == start_by + 1
    small.clock.set(start_by)
    assert charge_of(small.case(), "P1").full_at == standing.call_at
    small.clock.set(start_by + 1 - MINUTE)
    assert (packs(small).verdict, codes(small)) == ("fail", ["too late"])


def test_a_warm_pack_cools_before_it_is_charged() -> None:
    small = between_fights(full(ready(**FIGURES)), 300, used_coulomb=3.9 * AH, temperature_k=318.15)
    heat = small.book.evidence().facts("pack_read", "P1").__next__().happened
    charge = charge_of(small.case(), "P1")
    assert (charge.cool_at, charge.full_at) == (heat + 15 * MINUTE, heat + 55 * MINUTE)
    assert set(codes(small)) == {"not charged", "warm"}
    read(small, "P1", temperature_k=300.0)
    assert charge_of(small.case(), "P1").cool_at is None


def test_a_warm_pack_is_cool_by_itself_after_its_minutes() -> None:
    small = full(ready(**FIGURES))
    read(small, "P1", temperature_k=318.15)
    standing = small.standing()
    assert standing.changes_at == standing.at + 14 * MINUTE
    assert codes(small) == ["warm"]
    small.clock.set(standing.changes_at - MINUTE)
    assert small.blocks() == {}


@pytest.mark.parametrize(("other", "verdict"), [(0.0024, "pass"), (0.00240001, "fail")])
def test_packs_of_a_set_are_matched(other: float, verdict: str) -> None:
    small = ready(spread_ohm=0.0005)
    assert (packs(small).verdict, codes(small)) == ("unchecked", ["resistance unknown"])
    read(small, "P1", ohm_per_cell=0.0019)
    read(small, "P2", cells_ohm=[0.0019, other])
    assert packs(small).verdict == verdict


@pytest.mark.parametrize(("other", "verdict"), [(4.13, "pass"), (4.12, "fail")])
def test_packs_are_equal_before_they_are_paralleled(other: float, verdict: str) -> None:
    small = ready(equal_v=0.05)
    assert packs(small).verdict == "pass"
    read(small, "P1", lowest_v=4.18)
    read(small, "P2", lowest_v=other)
    assert packs(small).verdict == verdict


def test_charging_is_a_job_of_its_own_and_packs_go_in_when_they_are_full() -> None:
    small = between_fights(full(ready(**FIGURES)), 300, used_coulomb=4.4 * AH)
    small.put("removed", "P1", {"to": "spares"}, place="bay 1")
    small.put("removed", "P2", {"to": "spares"}, place="bay 2")
    charge, into = of_packs(small)
    assert (charge.action, charge.clears, charge.after) == ("charge packs", (), None)
    assert (into.action, into.after) == ("packs in", small.clock.now_ms() + 43 * MINUTE)
    assert ready_at(small.case(), ["P1", "P2"]) == into.after


def test_a_set_put_away_is_not_judged_further() -> None:
    small = full(ready(**FIGURES))
    read(small, "P1", lowest_v=3.0)
    small.put("removed", "P1", {"to": "quarantine"}, place="bay 1")
    assert (packs(small).verdict, codes(small)) == ("fail", ["pack put away"])


@given(used=st.floats(0.1, 8.0), amps=st.floats(1.0, 20.0), tail=st.integers(0, 20))
def test_minutes_are_what_is_put_back_and_the_tail_never_less(used: float, amps: float, tail: int) -> None:
    small = Small().packs(current_a=amps, full_v=4.15, tail_min=tail)
    read(small, "P1", used_coulomb=used * AH, lowest_v=3.8)
    minutes = charge_of(small.case(), "P1").minutes
    exact = used / amps * 60 + tail
    assert minutes is not None
    assert exact - 1e-6 <= minutes < exact + 1
