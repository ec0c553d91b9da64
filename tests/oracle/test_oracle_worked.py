"""The oracle held against cases worked out by hand: parts worked in place, joints reached through others."""

from __future__ import annotations

import pytest

from .pen import Pen, bolted, gapped, measured, on_the_scale

WORKS = pytest.mark.parametrize("how", ["straightened", "welded", "ground", "drilled"])


def mended(pen: Pen, at: float, how: str) -> str:
    """A finding on the blade, mended so."""
    return pen("mended", pen.find("blade", at - 1), at, how=how)


# Worked in place.


@WORKS
@pytest.mark.parametrize("as_mend", [True, False])
def test_a_part_worked_where_it_sits_unsettles_its_gap_until_it_is_measured(how: str, as_mend: bool) -> None:
    pen = gapped()
    measured(pen, 10.2)
    work = mended(pen, 20, how) if as_mend else pen("worked", "blade", 20, how=how)
    assert pen.word("stack:gap") == "recheck"
    pen("direct", "gap", 21, value_m=2e-4)
    assert pen.word("stack:gap") == "pass"
    pen.withdraw(work, 22)
    assert pen.word("stack:gap") == "pass"


@pytest.mark.parametrize("how", ["replaced", "taken out of use", "found straight"])
def test_what_is_mended_otherwise_is_not_worked(how: str) -> None:
    pen = gapped()
    measured(pen, 10.2)
    mended(pen, 20, how)
    assert pen.word("stack:gap") == "pass"


def test_the_work_of_a_part_elsewhere_or_on_a_finding_that_was_taken_back_says_nothing_of_a_gap() -> None:
    pen = gapped()
    pen.part("drum", "weapon")
    measured(pen, 10.2)
    pen("worked", "drum", 20, how="ground")
    found = pen.find("blade", 21)
    pen("mended", found, 22, how="ground")
    assert pen.word("stack:gap") == "recheck"
    pen.withdraw(found, 23)
    assert pen.word("stack:gap") == "pass"
    pen("fitted", "drum", 24, place="nose")
    measured(pen, 10.2, 25)
    pen.read("drum", "width", 25, 0.010, instrument="caliper")
    assert pen.word("stack:gap") == "pass"


def test_a_gap_that_failed_is_to_be_measured_again_after_work_and_still_fails_after_a_hit() -> None:
    pen = gapped()
    measured(pen, 10.0)
    pen.hit("front", 20)
    assert pen.word("stack:gap") == "fail"
    pen("worked", "blade", 21, how="ground")
    assert pen.word("stack:gap") == "recheck"


def test_a_limit_is_read_again_after_work_even_one_that_failed() -> None:
    pen = Pen()
    pen.kind("weapon", limits=[{"dimension": "tooth", "low_m": 0.008}])
    pen.read("blade", "tooth", 10, 0.007)
    pen.hit("front", 20)
    assert pen.word("limit:blade/tooth") == "fail"
    pen("worked", "blade", 21, how="welded")
    assert pen.word("limit:blade/tooth") == "recheck"
    pen.read("blade", "tooth", 22, 0.009)
    assert pen.word("limit:blade/tooth") == "pass"
    mended(pen, 31, "ground")
    assert pen.word("limit:blade/tooth") == "recheck"


@pytest.mark.parametrize(("spins", "word"), [(True, "due"), (False, "pass")])
def test_what_spins_is_looked_at_after_work(spins: bool, word: str) -> None:
    pen = Pen()
    pen.kind("weapon", spins=spins)
    pen("worked", "blade", 10, how="drilled")
    assert pen.word("look:blade") == word
    pen("looked_at", "blade", 11)
    assert pen.word("look:blade") == "pass"


# Weights. Two times the root of (0.05^2/12 + 0.05^2/12) is 0.0408, with 5 % of 1 kg more: (0.05^2/3 + ...) 0.0707.


def test_an_official_display_decides_no_more_once_a_part_was_worked() -> None:
    pen = on_the_scale()
    pen("weighed", "bare", 10, value_kg=9.84, instrument="official")
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0))
    pen("worked", "blade", 20, how="ground")
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0707107), abs=1e-6)
    assert pen.word("weight:bare") == "pass"
    pen("weighed", "bare", 30, value_kg=9.93, instrument="official")
    assert pen.judged().weights["bare"] == pytest.approx((9.99, 0.0))
    pen("worked", "blade", 40, how="ground")
    assert pen.word("weight:bare") == "marginal"


def test_a_part_worked_without_a_mass_takes_the_display_its_last_word_and_adds_no_doubt() -> None:
    pen = on_the_scale()
    pen.part("blade", "weapon")
    pen("weighed", "bare", 10, value_kg=9.84, instrument="official")
    pen("worked", "blade", 20, how="ground")
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0408248), abs=1e-6)


def test_a_part_weighed_after_work_is_known_again_where_it_counts_by_itself_only() -> None:
    pen = on_the_scale()
    # Never weighed as a whole: 0.05/sqrt(12) twice over, and 0.05/sqrt(3) of the work.
    pen("worked", "blade", 20, how="ground")
    assert pen.judged().weights["bare"] == pytest.approx((1.0, 0.0645497), abs=1e-6)
    pen("part_weighed", "blade", 21, value_kg=0.98)
    assert pen.judged().weights["bare"] == pytest.approx((0.98, 0.0288675), abs=1e-6)
    pen("weighed", "bare", 30, value_kg=9.84, instrument="official")
    pen("worked", "blade", 31, how="ground")
    pen("part_weighed", "blade", 32, value_kg=1.0)
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0707107), abs=1e-6)


def test_a_part_that_was_worked_and_then_came_or_went_adds_its_doubt_unless_it_was_weighed() -> None:
    pen = on_the_scale()
    pen.part("drum", "weapon", mass_kg=1.0)
    pen("weighed", "bare", 10, value_kg=9.84, instrument="official")
    pen("worked", "drum", 11, how="welded")
    pen("fitted", "drum", 12, place="nose")
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0707107), abs=1e-6)
    pen("part_weighed", "drum", 13, value_kg=1.0)
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0408248), abs=1e-6)
    pen("worked", "blade", 14, how="welded")
    assert pen.judged().weights["bare"] == pytest.approx((9.9, 0.0707107), abs=1e-6)


def test_an_acceptance_does_not_hold_for_work_done_after_it() -> None:
    pen = on_the_scale()
    anchor = pen("weighed", "bare", 10, value_kg=9.96, instrument="shed")
    pen("accepted", "weight:bare", 11, fight="one", rests_on=[anchor])
    assert pen.judged().accepted == {"weight:bare"}
    work = pen("worked", "blade", 12, how="ground")
    assert (pen.word("weight:bare"), pen.judged().accepted) == ("marginal", frozenset())
    pen("accepted", "weight:bare", 13, fight="one", rests_on=[anchor, work])
    assert pen.judged().accepted == {"weight:bare"}


# Reached through.


def reached(**through: list[str]) -> Pen:
    """Three torqued joints of two lock nuts each, and what each is reached through."""
    pen = bolted()
    for name in ("a", "b", "c"):
        pen.joint(name, locking="lock nuts", max_uses=1, through=through.get(name, []), holds=[f"place {name}"])
        pen("position", f"place {name}", name=name, zone="front", may_be_empty=True)
    for name in ("a", "b", "c"):
        pen.torque(name, 5)
    return pen


def words(pen: Pen) -> tuple[str | None, ...]:
    return tuple(pen.word(f"joint:{name}") for name in ("a", "b", "c"))


def test_opening_a_joint_opens_whole_what_it_is_reached_through_and_so_on() -> None:
    pen = reached(a=["b", "nothing anybody knows"], b=["c"])
    assert words(pen) == ("pass", "pass", "pass")
    pen("opened", "a", 10, fasteners=[1])
    assert words(pen) == ("recheck", "recheck", "recheck")
    for name in ("a", "b", "c"):
        pen.torque(name, 11)
    pen("opened", "b", 20, fasteners=[1])
    assert words(pen) == ("pass", "recheck", "recheck")
    assert pen.word("locking:a") == "fail"


def test_a_part_moved_behind_a_joint_opens_it_and_a_turned_mark_does_not() -> None:
    pen = reached(a=["b"])
    pen.find("blade", 10, "marks turned", joint="a")
    assert words(pen) == ("recheck", "pass", "pass")
    pen("fitted", "blade", 11, place="place a")
    assert words(pen) == ("recheck", "recheck", "pass")


def test_joints_reached_through_each_other_never_reach_themselves() -> None:
    pen = reached(a=["b"], b=["a"])
    pen("opened", "a", 10, fasteners=[1])
    pen.torque("a", 11, fasteners=[1])
    assert words(pen) == ("pass", "recheck", "pass")


def test_running_a_nut_on_after_the_joint_behind_was_opened_uses_it() -> None:
    pen = reached(a=["b"])
    assert pen.word("locking:b") == "pass"
    pen("opened", "a", 10, fasteners=[1])
    assert pen.word("locking:b") is None
    pen.torque("b", 11)
    assert pen.word("locking:b") == "fail"


def test_a_gap_is_unsettled_with_the_joint_that_clamps_it_and_one_that_failed_fails_still() -> None:
    for slot_mm, word in ((10.2, "recheck"), (10.0, "fail")):
        pen = gapped(joints=["outer"])
        pen.joint("outer")
        pen.joint("inner", through=["outer"], holds=["tail"])
        measured(pen, slot_mm)
        assert pen.word("stack:gap") == ("pass" if word == "recheck" else "fail")
        pen("opened", "inner", 20, fasteners=[1])
        assert pen.word("stack:gap") == word
        measured(pen, slot_mm, 21)
        pen.part("drum", "weapon")
        pen("fitted", "drum", 30, place="tail")
        assert pen.word("stack:gap") == word
