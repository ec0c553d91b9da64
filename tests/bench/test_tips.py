"""Tip speed against the event's cap: asked where the event has one, and again when what sets it is changed."""

from __future__ import annotations

import pytest

from pitcrew.bench import words
from pitcrew.bench.line import drafts
from pitcrew.errors import EntryError
from pitcrew.readiness.jobs import jobs
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import DEFINED, Small

EVENT = next(detail for kind, _, _, detail in DEFINED if kind == "event")
MOTOR = next(detail for kind, subject, _, detail in DEFINED if (kind, subject) == ("part_kind", "motor"))


def capped(small: Small, cap: float = 90.0) -> Small:
    small.define("event", "ev", None, {**EVENT, "tip_speed_cap_m_s": cap})
    small.define("part_kind", "motor", None, {**MOTOR, "sets_speed": True})
    return small


def test_without_a_cap_or_a_part_that_sets_the_speed_nothing_is_asked() -> None:
    small = Small().ready()
    assert small.blocks() == {}
    small.define("event", "ev", None, {**EVENT, "tip_speed_cap_m_s": 90.0})
    assert small.blocks() == {}


def test_a_cap_wants_the_speed_of_what_is_entered_and_a_job_says_so() -> None:
    small = capped(Small().ready())
    assert small.blocks() == {"tip:A": "unchecked"}
    (job,) = (job for job in jobs(small.case(), small.standing()) if job.action == "tip speed")
    assert [item.key for item in job.clears] == ["tip:A"]
    assert words.reason(small.case(), small.requirement("tip:A")) == (
        "nobody said how fast the tip is; the cap is 90 m/s"
    )


@pytest.mark.parametrize(("speed", "verdict"), [(89.9, "pass"), (90.0, "pass"), (90.1, "fail")])
def test_at_the_cap_is_within_it(speed: float, verdict: str) -> None:
    small = capped(Small().ready())
    small.put("tip_speed", "A", {"value_m_s": speed})
    assert small.requirement("tip:A").verdict == verdict


def test_another_motor_asks_anew_and_the_old_one_back_speaks_again() -> None:
    small = capped(Small().ready())
    small.put("tip_speed", "A", {"value_m_s": 84.2})
    small.put("removed", "mot1", {"to": "spares"}, place="motor")
    small.put("fitted", "mot2", {"new": False}, place="motor")
    assert small.requirement("tip:A").verdict == "recheck"
    small.put("removed", "mot2", {"to": "spares"}, place="motor")
    small.put("fitted", "mot1", {"new": False}, place="motor")
    assert small.requirement("tip:A").verdict == "pass"


def test_packs_of_other_cells_ask_anew_and_like_ones_do_not() -> None:
    small = capped(Small()).packs(cells=6).ready()
    small.put("tip_speed", "A", {"value_m_s": 84.2})
    for pack, kind in (("P3", "pack"), ("P4", "pack"), ("P5", "small"), ("P6", "small")):
        small.define("part", pack, "R", {"name": pack, "part_kind": kind, "mass_kg": 0.5})
    charging = {"cells": 4}
    small.define("part_kind", "small", None, {"name": "small", "look_from": 3, "look": "own", "charging": charging})
    for pack_set, packs in (("like", ["P3", "P4"]), ("other", ["P5", "P6"])):
        small.define("pack_set", pack_set, "R", {"name": pack_set, "packs": packs})
    small.put("chosen", "R", {"pack_set": "like"})
    assert small.requirement("tip:A").verdict == "pass"
    small.put("chosen", "R", {"pack_set": "other"})
    assert small.requirement("tip:A").verdict == "recheck"


def test_a_line_says_it_in_any_unit_and_of_what_is_entered_if_nothing_else_is_named(shop: Shop) -> None:
    shop.ready()
    (entry,) = said(shop.do(drafts, "tip 84.2 m/s A", lambda number: None))
    assert entry == Said("tip_speed", "A", {"value_m_s": 84.2, "typed": "84.2 m/s"})
    (entry,) = said(shop.do(drafts, "tip 200 mph", lambda number: None))
    # 1 mph is 0.44704 m/s exactly (NIST SP 811, appendix B.8).
    assert entry.detail["value_m_s"] == pytest.approx(89.408)


def test_a_line_says_which_sorts_of_part_decide_it(shop: Shop) -> None:
    (entry,) = shop.do(drafts, "tip by motor", lambda number: None)
    assert (entry.kind, entry.robot, entry.detail["sets_speed"]) == ("part_kind", None, True)


@pytest.mark.parametrize("text", ["tip", "tip A", "tip by", "tip by nothing", "tip 85 m/s nowhere", "tip 85 kg A"])
def test_a_line_that_cannot_be_read_is_refused(shop: Shop, text: str) -> None:
    with pytest.raises(EntryError):
        drafts(shop.desk(), text, lambda number: None)
