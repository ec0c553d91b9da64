"""The oracle held against cases worked out by hand: joints, locking, stacks and limits.

Every expectation is reasoned from the rules of readiness, none was read off the oracle; the sums of doubt stand
beside the cases, U = 2 sqrt( (signed errors of each instrument)^2/3 + steps^2/12 + tolerances^2/3 ).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from .pen import MINUTE, NOON, Pen, bolted, gapped, measured

# 2. Joints. Target 10 N m within 10 %: 9 to 11. Wrench +-0.4, no step: U = 0.8 / sqrt 3 = 0.462.


@pytest.mark.parametrize(
    ("newton_metres", "word"),
    [(10.0, "pass"), (9.5, "pass"), (9.4, "marginal"), (8.6, "marginal"), (8.5, "fail"), (11.5, "fail")],
)
def test_a_torque_is_sure_of_its_band_or_not(newton_metres: float, word: str) -> None:
    pen = bolted()
    assert pen.word("joint:hub") == "unchecked"
    pen.torque("hub", 10, newton_metres, instrument="wrench")
    assert pen.word("joint:hub") == word


def test_the_offset_of_a_wrench_is_added_and_its_error_may_be_a_share_of_the_reading() -> None:
    pen = bolted()
    # 4 % of 9.8 is 0.392: U = 0.453; 9.8 - 0.4 lies 0.4 inside.
    pen.instrument("wrench", permissible_percent=4, offset=-0.4)
    pen.torque("hub", 10, 9.8, instrument="wrench")
    assert pen.word("joint:hub") == "marginal"
    pen.instrument("wrench", permissible_percent=4, offset=0.0)
    assert pen.word("joint:hub") == "pass"


def test_every_fastener_counts_and_the_worst_speaks() -> None:
    pen = bolted()
    pen.torque("hub", 10, fasteners=[1])
    assert pen.word("joint:hub") == "unchecked"
    pen.torque("hub", 11, 8.0, fasteners=[2])
    assert pen.word("joint:hub") == "fail"
    pen.torque("hub", 12, fasteners=[2])
    assert pen.word("joint:hub") == "pass"
    pen("opened", "hub", 13, fasteners=[1])
    pen.torque("hub", 14, fasteners=[2])
    assert pen.word("joint:hub") == "recheck"


def test_only_the_fasteners_named_are_torqued_and_opened() -> None:
    pen = bolted(count=3)
    pen.torque("hub", 10, fasteners=[1, 2])
    assert pen.word("joint:hub") == "unchecked"
    pen.torque("hub", 11, fasteners=[3])
    assert pen.word("joint:hub") == "pass"
    pen("opened", "hub", 12, fasteners=[3])
    pen.torque("hub", 13, fasteners=[1, 2])
    assert pen.word("joint:hub") == "recheck"
    pen.torque("hub", 14, fasteners=[3])
    assert pen.word("joint:hub") == "pass"


def test_a_joint_that_states_no_band_or_wrench_of_the_reading_has_ten_per_cent_and_its_own_wrench() -> None:
    pen = bolted()
    pen.joint("hub", target_nm=10)
    pen.torque("hub", 10, 11.0)
    assert pen.word("joint:hub") == "pass"
    pen.torque("hub", 11, 11.1)
    assert pen.word("joint:hub") == "fail"
    pen.joint("hub", target_nm=10, wrench="wrench")
    assert pen.word("joint:hub") == "marginal"


def test_what_a_joint_holds_opens_it_when_it_moves() -> None:
    pen = bolted(holds=["nose"])
    pen.torque("hub", 10)
    pen("fitted", "blade", 20, place="nose")
    assert pen.word("joint:hub") == "pass"
    pen("removed", "blade", 21, place="nose", to="spares")
    assert pen.word("joint:hub") == "recheck"


def test_a_turned_mark_opens_its_fasteners_even_when_mended() -> None:
    pen = bolted()
    pen.torque("hub", 10)
    found = pen.find("blade", 20, "marks turned", joint="hub", fasteners=[2])
    pen("mended", found, 21, how="cleaned")
    assert pen.word("joint:hub") == "recheck"
    pen.torque("hub", 22, fasteners=[2])
    assert pen.word("joint:hub") == "pass"


def test_a_hit_asks_for_the_marks_and_not_for_the_wrench() -> None:
    pen = bolted()
    pen.torque("hub", 10)
    pen.hit("front", 20, grade=1)
    assert pen.word("joint:hub") == "pass"
    pen.hit("front", 21, grade=2)
    assert pen.word("joint:hub") == "recheck"
    pen.look_over("front", 22, ["hub"])
    assert pen.word("joint:hub") == "recheck"
    pen("marks_good", "hub", 23)
    assert pen.word("joint:hub") == "pass"
    pen.hit("front", 24)
    pen("looked_over", "front", 25)
    assert pen.word("joint:hub") == "pass"


def test_marks_close_no_joint_that_was_opened() -> None:
    pen = bolted()
    pen.torque("hub", 10)
    pen("opened", "hub", 20, fasteners="all")
    pen("marks_good", "hub", 21)
    assert pen.word("joint:hub") == "recheck"


@pytest.mark.parametrize(("second", "word"), [(None, "due"), ("AB", "due"), ("CD", "pass")])
def test_a_second_person_is_another_person(second: str | None, word: str) -> None:
    pen = bolted(second=True)
    pen.torque("hub", 10, by="AB", second=second)
    assert pen.word("joint:hub") == word


def test_new_fasteners_are_looked_at_after_their_first_fight_only() -> None:
    pen = bolted()
    pen.torque("hub", 10, new_fasteners=True)
    pen("fight_ended", "one", 20)
    assert pen.word("joint:hub") == "due"
    pen("marks_good", "hub", 21)
    pen("fight_ended", "two", 30)
    assert pen.word("joint:hub") == "pass"


# 3. Locking.


def locked(**fields: Any) -> Pen:
    pen = bolted(**{"locking": "threadlocker", "material": "steel", **fields})
    for name, primer, minutes in (("blue", False, 20), ("blue fast", True, 5)):
        pen("locker", name, name="blue", material="steel", primer=primer, set_min=minutes)
    return pen


@pytest.mark.parametrize(
    ("fields", "torqued", "at", "word"),
    [
        ({}, {}, 100, "fail"),
        ({}, {"locker": False}, 100, "fail"),
        ({}, {"locker": True}, 29, "fail"),
        ({}, {"locker": True}, 30, "pass"),
        ({}, {"locker": True, "primer": True}, 15, "pass"),
        ({"locker_name": "blue"}, {"locker": True}, 30, "pass"),
        ({"locker_name": "red"}, {"locker": True}, 100, "unchecked"),
        ({"material": "alloy"}, {"locker": True}, 100, "unchecked"),
    ],
)
def test_threadlocker_must_be_there_known_and_set(
    fields: dict[str, Any], torqued: dict[str, Any], at: int, word: str
) -> None:
    pen = locked(**fields)
    pen.fight("one", 1)
    pen.torque("hub", 10, **torqued)
    assert pen.word("locking:hub", at) == word


@pytest.mark.parametrize(
    ("rows", "primer", "at", "word"),
    [((False,), True, 30, "pass"), ((False,), True, 29, "fail"), ((True,), False, 600, "unchecked")],
)
def test_without_a_row_for_primer_the_plain_one_counts_and_not_the_other_way(
    rows: tuple[bool, ...], primer: bool, at: int, word: str
) -> None:
    pen = bolted(locking="threadlocker", material="steel")
    for row in rows:
        pen("locker", f"blue {row}", name="blue", material="steel", primer=row, set_min=20)
    pen.fight("one", 1)
    pen.torque("hub", 10, locker=True, primer=primer)
    assert pen.word("locking:hub", at) == word


@pytest.mark.parametrize(("call", "word"), [(30, "pass"), (29.5, "fail")])
def test_an_event_that_states_no_walk_stages_at_the_call(call: float, word: str) -> None:
    pen = locked()
    pen.fight("one", 2, call_at=NOON + round(call * MINUTE))
    pen.torque("hub", 10, locker=True)
    assert pen.word("locking:hub", 11) == word


def test_threadlocker_may_be_wet_when_no_fight_is_entered() -> None:
    pen = locked()
    pen.torque("hub", 10, locker=True)
    assert pen.word("locking:hub", 11) == "pass"


@pytest.mark.parametrize(
    ("times", "word"),
    [({"staging_at": 30}, "pass"), ({"staging_at": 29}, "fail"), ({"call_at": 25}, "pass"), ({"call_at": 24}, "fail")],
)
def test_threadlocker_has_until_staging(times: dict[str, int], word: str) -> None:
    pen = locked()
    pen("event", "E", 1, name="event", walk_min=5)
    moments: dict[str, Any] = {name: NOON + minute * MINUTE for name, minute in times.items()}
    pen.fight("one", 2, **moments)
    pen.torque("hub", 10, locker=True)
    assert pen.word("locking:hub", 11) == word


def test_locking_is_asked_of_closed_fasteners_only() -> None:
    pen = locked()
    assert pen.word("locking:hub") is None
    pen.torque("hub", 10, fasteners=[1])
    assert pen.word("locking:hub") == "fail"
    pen("opened", "hub", 11, fasteners=[1])
    assert pen.word("locking:hub") is None


def test_a_lock_nut_is_used_again_each_time_it_was_opened() -> None:
    pen = bolted(locking="lock nuts", max_uses=2)
    pen.torque("hub", 10)
    pen.torque("hub", 11)
    pen("opened", "hub", 12, fasteners=[1])
    pen.torque("hub", 13)
    assert pen.word("locking:hub") == "pass"
    pen("opened", "hub", 14, fasteners=[1])
    pen.torque("hub", 15)
    assert pen.word("locking:hub") == "fail"
    pen("opened", "hub", 16, fasteners="all")
    pen.torque("hub", 17, new_fasteners=True)
    assert pen.word("locking:hub") == "pass"


# 4. Stacks. Gap = slot of the robot less width of the blade, 0.10 to 0.30 mm.
# One caliper (+-0.03, step 0.01) for both: its error cancels, U = 2 sqrt(2 x 0.01^2/12) = 0.0082 mm.


@pytest.mark.parametrize(
    ("slot_mm", "word"),
    [(10.20, "pass"), (10.11, "pass"), (10.105, "marginal"), (10.095, "marginal"), (10.09, "fail"), (10.31, "fail")],
)
def test_one_caliper_for_both_pieces_cancels_its_error(slot_mm: float, word: str) -> None:
    pen = gapped()
    assert pen.word("stack:gap") == "unchecked"
    measured(pen, slot_mm)
    assert pen.word("stack:gap") == word


def test_two_calipers_do_not_cancel() -> None:
    pen = gapped()
    pen.instrument("other caliper", resolution=1e-5, permissible=3e-5)
    measured(pen, 10.14)
    assert pen.word("stack:gap") == "pass"
    # 2 sqrt(2 x 0.03^2/3 + 2 x 0.01^2/12) = 0.0497 mm against a margin of 0.04.
    pen.read("R", "slot", 11, 0.01014, instrument="other caliper")
    assert pen.word("stack:gap") == "marginal"


def test_a_nominal_width_and_a_tolerance() -> None:
    pen = gapped()
    pen.part("blade", "weapon", dimensions={"width": {"value_m": 0.010, "tolerance_m": 5e-5}})
    # 2 sqrt(0.05^2/3) = 0.0577 mm.
    pen.read("R", "slot", 10, 0.01016)
    assert pen.word("stack:gap") == "pass"
    pen.read("R", "slot", 11, 0.01015)
    assert pen.word("stack:gap") == "marginal"


def test_a_missing_piece_leaves_it_unchecked_and_an_empty_shim_counts_nothing() -> None:
    pen = gapped()
    pen.read("R", "slot", 10, 0.0002)
    assert pen.word("stack:gap") == "unchecked"
    pen("removed", "blade", 11, place="nose", to="spares")
    pen.read("R", "slot", 12, 0.0002)
    assert pen.word("stack:gap") == "unchecked"
    pen("position", "nose", 13, name="nose", zone="front", role="shim")
    assert pen.word("stack:gap") == "pass"


def test_what_disturbs_a_stack() -> None:
    pen = gapped(joints=["hub"], positions=["tail"])
    pen.joint("hub", holds=["belly"])
    pen.part("spacer", "weapon")
    minute = 10
    disturbances: list[Callable[[float], str]] = [
        lambda at: pen("opened", "hub", at, fasteners=[1]),
        lambda at: pen("fitted", "spacer", at, place="tail"),
        lambda at: pen("fitted", "spacer", at, place="belly"),
        lambda at: pen.hit("front", at, grade=3),
    ]
    for disturb in disturbances:
        measured(pen, 10.20, minute)
        assert pen.word("stack:gap") == "pass"
        disturb(minute + 1)
        assert pen.word("stack:gap") == "recheck"
        minute += 10
    measured(pen, 10.20, minute)
    pen.hit("front", minute + 1, grade=2)
    pen("fitted", "blade", minute + 2, place="nose")
    assert pen.word("stack:gap") == "pass"


def test_a_hit_mends_no_gap_that_failed_but_a_changed_part_may_have() -> None:
    pen = gapped(joints=["hub"])
    pen.joint("hub", holds=["belly"])
    measured(pen, 10.0)
    pen.hit("front", 20)
    assert pen.word("stack:gap") == "fail"
    pen.part("second blade", "weapon")
    pen("fitted", "second blade", 30, place="belly")
    assert pen.word("stack:gap") == "recheck"


@pytest.mark.parametrize(
    ("direct", "word"),
    [
        ({"value_m": 2e-4, "instrument": "caliper"}, "pass"),
        ({"value_m": 1.2e-4, "instrument": "caliper"}, "marginal"),
        ({"value_m": 5e-5, "instrument": "caliper"}, "fail"),
        ({"goes_m": 1e-4, "stops_m": 3e-4}, "pass"),
        ({"goes_m": 1e-4}, "marginal"),
        ({"goes_m": 5e-5, "stops_m": 2e-4}, "marginal"),
        ({"goes_m": 5e-5, "stops_m": 1e-4}, "fail"),
        ({"goes_m": 3e-4}, "fail"),
    ],
)
def test_a_direct_look_outranks_the_sum(direct: dict[str, Any], word: str) -> None:
    pen = gapped()
    measured(pen, 10.20 if word == "fail" else 10.0)
    pen("direct", "gap", 20, **direct)
    assert pen.word("stack:gap") == word


def test_a_disturbed_direct_look_gives_way_to_the_pieces() -> None:
    pen = gapped()
    pen("direct", "gap", 10, value_m=0.0)
    pen.hit("front", 20)
    assert pen.word("stack:gap") == "fail"
    measured(pen, 10.20, 30)
    assert pen.word("stack:gap") == "pass"


def test_a_bent_part_of_the_load_path_fails_its_stack_whatever_it_measures() -> None:
    pen = gapped()
    measured(pen, 10.20)
    cracked = pen.find("blade", 20, "cracked")
    bent = pen.find("blade", 20, "bent")
    assert pen.word("stack:gap") == "pass"
    pen.kind("weapon", load_path=True)
    assert pen.word("stack:gap") == "fail"
    pen("mended", bent, 30, how="found straight")
    assert pen.word("stack:gap") == "pass"
    assert pen.word(f"finding:{cracked}") == "fail"


def test_the_smallest_of_the_chains_is_the_gap_and_on_a_tie_the_larger_doubt() -> None:
    slot = {"sign": 1, "name": "slot", "dimension": "slot"}
    groove = {"sign": 1, "name": "groove", "dimension": "groove"}
    pen = gapped(chains=[[slot], [groove]])
    pen.read("R", "slot", 10, 0.0002)
    pen.read("R", "groove", 10, 0.00005)
    assert pen.word("stack:gap") == "fail"
    pen.read("R", "groove", 11, 0.0004)
    assert pen.word("stack:gap") == "pass"
    # 2 sqrt(0.1^2/3) = 0.115 mm against a margin of 0.1.
    pen.read("R", "groove", 12, 0.0002, tolerance_m=1e-4)
    assert pen.word("stack:gap") == "marginal"


def test_a_stack_of_one_configuration_only() -> None:
    pen = gapped(only_in=["spinner"])
    assert pen.word("stack:gap") is None
    pen.fight("one", 10)
    assert pen.word("stack:gap") is None
    pen.fight("two", 20, "spinner")
    assert pen.word("stack:gap") == "unchecked"


# 5. Limits. At least 8 mm; caliper U = 2 sqrt(0.03^2/3 + 0.01^2/12) = 0.0351 mm.


@pytest.mark.parametrize(
    ("value_mm", "word", "after_a_hit"),
    [(8.04, "pass", "recheck"), (8.03, "marginal", "recheck"), (7.97, "marginal", "recheck"), (7.96, "fail", "fail")],
)
def test_a_limit_of_a_part(value_mm: float, word: str, after_a_hit: str) -> None:
    pen = Pen()
    pen.instrument("caliper", resolution=1e-5, permissible=3e-5)
    pen.kind("weapon", limits=[{"dimension": "tooth", "low_m": 0.008}])
    assert pen.word("limit:blade/tooth") is None
    pen.read("blade", "tooth", 10, value_mm / 1000, instrument="caliper")
    assert pen.word("limit:blade/tooth") == word
    pen.hit("front", 20)
    assert pen.word("limit:blade/tooth") == after_a_hit
