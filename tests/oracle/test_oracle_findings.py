"""The oracle held against cases worked out by hand: findings, what is run as it is, hand checks."""

from __future__ import annotations

from typing import Any

import pytest

from .pen import Pen

# 6. Findings.


def deferred(pen: Pen, found: str, at: float = 12, **fields: Any) -> str:
    return pen("deferred", found, at, accepted_by="AB", **fields)


def test_a_finding_fails_until_it_is_mended_or_run_as_it_is() -> None:
    pen = Pen()
    found = pen.find("blade", 10)
    key = f"finding:{found}"
    assert pen.word(key) == "fail"
    deferral = deferred(pen, found)
    assert pen.word(key) == "deferred"
    pen.withdraw(deferral, 13)
    assert pen.word(key) == "fail"
    mend = pen("mended", found, 14, how="welded")
    assert pen.word(key) is None
    pen.withdraw(mend, 15)
    assert pen.word(key) == "fail"


@pytest.mark.parametrize(
    ("load_path", "what", "word"),
    [(True, "bent", "fail"), (True, "stripped", "fail"), (True, "torn", "deferred"), (False, "bent", "deferred")],
)
def test_what_carries_load_is_not_run_bent(load_path: bool, what: str, word: str) -> None:
    pen = Pen()
    pen.kind("weapon", load_path=load_path)
    found = pen.find("blade", 10, what)
    deferred(pen, found)
    assert pen.word(f"finding:{found}") == word


def test_a_deferral_is_looked_at_after_every_fight_and_ends_with_its_fight() -> None:
    pen = Pen()
    found = pen.find("blade", 10)
    key = f"finding:{found}"
    deferred(pen, found, until_fight="two")
    pen("fight_ended", "one", 20)
    assert pen.word(key) == "due"
    pen("looked_at", "blade", 25)
    assert pen.word(key) == "deferred"
    pen("fight_ended", "two", 30)
    pen("looked_at", "blade", 35)
    assert pen.word(key) == "fail"


def test_a_tear_that_has_grown_past_its_limit_fails() -> None:
    pen = Pen()
    found = pen.find("blade", 10, size_m=0.010)
    deferred(pen, found, limit_m=0.020)
    assert pen.word(f"finding:{found}") == "deferred"
    grown = pen.find("blade", 20, size_m=0.020)
    assert pen.word(f"finding:{found}") == "deferred"
    assert pen.word(f"finding:{grown}") == "fail"
    pen.find("blade", 21, "worn", size_m=0.9)
    assert pen.word(f"finding:{found}") == "deferred"
    pen.find("blade", 22, size_m=0.021)
    assert pen.word(f"finding:{found}") == "fail"


def test_a_finding_goes_with_its_part_once_the_place_is_filled_and_bolted() -> None:
    pen = Pen()
    pen.part("second blade", "weapon")
    pen.joint("hub", holds=["nose"])
    pen.torque("hub", 5)
    found = pen.find("blade", 10)
    key = f"finding:{found}"
    pen("removed", "blade", 20, place="nose", to="scrapped")
    assert pen.word(key) == "fail"
    pen("fitted", "second blade", 21, place="nose")
    assert pen.word(key) == "fail"
    pen.torque("hub", 22, fasteners=[1])
    assert pen.word(key) == "fail"
    pen.torque("hub", 23, fasteners=[2])
    assert pen.word(key) is None
    pen("removed", "second blade", 30, place="nose", to="spares")
    pen("fitted", "blade", 31, place="nose")
    assert pen.word(key) == "fail"


@pytest.mark.parametrize(("torqued", "word"), [([1, 2], None), ([1], "fail"), ([2], "fail")])
def test_what_went_off_for_good_is_not_brought_back_by_what_is_opened_later(
    torqued: list[int], word: str | None
) -> None:
    pen = Pen()
    pen.part("second blade", "weapon")
    pen.joint("hub", holds=["nose", "tail"])
    pen.torque("hub", 5)
    found = pen.find("blade", 10)
    pen("fitted", "second blade", 20, place="nose")
    pen.torque("hub", 21, fasteners=torqued)
    pen("opened", "hub", 30, fasteners=[1])
    pen("fitted", "blade", 31, place="tail")
    pen("removed", "blade", 32, place="tail", to="spares")
    assert pen.word(f"finding:{found}") == word


def test_a_fastener_that_was_never_torqued_does_not_hold_a_finding_up() -> None:
    pen = Pen()
    pen.part("second blade", "weapon")
    pen.joint("hub", holds=["nose"])
    found = pen.find("blade", 10)
    pen("fitted", "second blade", 20, place="nose")
    assert pen.word(f"finding:{found}") is None
    pen.torque("hub", 15, fasteners=[2])
    assert pen.word(f"finding:{found}") == "fail"


def test_a_finding_made_at_another_place_does_not_hold_this_one_up() -> None:
    pen = Pen()
    found = pen.find("blade", 10, position="tail")
    pen("removed", "blade", 20, place="nose", to="scrapped")
    assert pen.word(f"finding:{found}") is None


# 7. Hand checks.


def test_a_hit_one_is_not_sure_of_wants_a_hand_check_in_its_zone() -> None:
    pen = Pen()
    pen.hit("front", 10, grade=2, place="front", act="blow")
    assert pen.word("hand:blow") == "due"
    pen("hand_checked", "middle", 11, sign=False)
    assert pen.word("hand:blow") == "due"
    pen("hand_checked", "front", 12, sign=False)
    assert pen.word("hand:blow") is None


def test_one_hand_check_an_act_and_none_once_the_hit_is_raised() -> None:
    pen = Pen()
    for zone in ("front", "middle"):
        pen.hit(zone, 10, grade=2, place=zone, act="blow")
    pen("hand_checked", "front", 12, sign=False)
    assert pen.word("hand:blow") == "due"
    found = pen.find("blade", 13, raises=True)
    raise_of_it = pen.hit("front", 10, grade=3, act="blow", because=found)
    assert pen.word("hand:blow") is None
    pen.withdraw(raise_of_it, 20)
    assert pen.word("hand:blow") == "due"
