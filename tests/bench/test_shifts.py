"""Shifts: begun with somebody's first line of a day, ended by hand; work is laid over those who are there."""

from __future__ import annotations

from typing import Any

import pytest

from pitcrew.bench import correcting, shifts
from pitcrew.bench.away import away, busy
from pitcrew.bench.line import drafts
from pitcrew.bench.session import Session, Source
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.steps import finished
from tests.bench.shop import Shop
from tests.readiness.small import CHECK, MINUTE

DAY = 24 * 60 * MINUTE


def bench(shop: Shop, by: str = "MK") -> Session:
    session = Session(Source(shop.book, shop.clock, shop.ids, (CHECK,)), "R")
    session.by = by
    return session


def note(session: Session, text: str = "n", by: str | None = None) -> None:
    session.write(correcting.note(session.desk()._replace(by=by or session.by), text))


def on(session: Session) -> list[str]:
    return [fact.subject for fact in shifts.on_shift(session.evidence, session.now(), "UTC")]


def kinds(shop: Shop) -> list[str]:
    return [entry.kind for entry in shop.book.entries(limit=6)]


def test_the_first_line_of_a_day_begins_a_shift_and_no_later_one(shop: Shop) -> None:
    session = bench(shop)
    assert on(session) == []
    note(session)
    assert kinds(shop)[:2] == ["note", "shift"]
    shift = shop.book.entries(limit=2)[1]
    assert (shift.subject, shift.by, shift.robot, shift.detail) == ("MK", "MK", None, {"on": True})
    assert shift.act != shop.book.entries(limit=1)[0].act
    note(session)
    note(session, by="EW")
    assert kinds(shop)[:4] == ["note", "shift", "note", "note"]
    assert on(session) == ["MK", "EW"]
    shop.clock.set(shop.clock.now_ms() + DAY)
    assert on(session) == []
    note(session, by="EW")
    assert on(session) == ["EW"]


def test_taking_the_first_line_back_ends_no_shift(shop: Shop) -> None:
    session = bench(shop)
    note(session)
    (withdrawn,) = session.take_back()
    assert withdrawn.kind == "withdrawn"
    assert on(session) == ["MK"]
    with pytest.raises(EntryError):
        session.take_back()


def test_a_shift_ends_and_begins_again_with_the_next_line(shop: Shop) -> None:
    session = bench(shop)
    note(session)
    session.write(shifts.end(session.desk(), "MK", "UTC"))
    assert on(session) == []
    with pytest.raises(EntryError, match="MK is off shift already"):
        shifts.end(session.desk(), "MK", "UTC")
    session.take_back()
    assert on(session) == ["MK"], "taking the end back is no new shift, and brings the old one back"
    session.write(shifts.end(session.desk(), "MK", "UTC"))
    note(session)
    assert on(session) == ["MK"]


def test_shifts_are_typed_and_the_whole_crew_comes_at_once(shop: Shop) -> None:
    def typed(text: str) -> list[tuple[str, Any]]:
        return [(draft.subject, draft.detail["on"]) for draft in drafts(shop.desk(), text, lambda n: None)]

    assert typed("shift") == typed("shift mk on") == [("MK", True)]
    shop.do(shifts.begin, "EW", "UTC")
    assert typed("shift ew off") == [("EW", False)]
    assert typed("shift EW") == []
    with pytest.raises(EntryError, match="nobody in the crew"):
        typed("shift ZZ")
    assert [draft.subject for draft in shifts.begin_all(shop.desk(), "UTC")] == ["PB", "MK"]


def test_work_is_laid_over_the_crew_but_for_those_who_are_off(shop: Shop) -> None:
    shop.ready()
    shop.fight()
    session = bench(shop)
    assert session.judge().people == ("PB", "MK", "EW")
    note(session)
    assert session.judge().people == ("PB", "MK", "EW"), "one who logs something sends nobody away"
    for gone in ("PB", "EW"):
        session.write(shifts.end(session.desk(), gone, "UTC"))
    view = session.judge()
    assert view.people == ("MK",)
    assert {who for item in view.plan.laid for who in item.people} == {"MK"}
    session.write(shifts.end(session.desk(), "MK", "UTC"))
    assert session.judge().people != ()


def test_what_waits_to_be_written_is_counted_without_the_shift(shop: Shop) -> None:
    session = bench(shop)
    noted = correcting.note(session.desk(), "n")
    (draft,) = shifts.begins(session.evidence, noted, session.now(), "UTC", session.desk().mint)
    assert shifts.came_along(draft)
    assert not shifts.came_along(shifts.begin(session.desk(), "PB", "UTC")[0])


# who is away


def other_robot(shop: Shop, **times: int) -> None:
    """Another robot of the book, entered for a fight, and a driver."""
    event = {"name": "small open", "match_s": 120, "spin_down_s": 30, "power_cut_s": 30, "walk_min": 2}
    for kind, subject, robot, detail in (
        ("crew", "DV", None, {"role": "driver"}),
        ("event", "e2", None, event),
        ("robot", "Q", None, {"name": "OTHER", "event": "e2"}),
        ("configuration", "QA", "Q", {"name": "QA", "parts": {}}),
    ):
        shop.define(kind, subject, robot, detail)
    at = {name: shop.clock.now_ms() + minutes * MINUTE for name, minutes in times.items()}
    entered = Draft("entered", "QF", "PB", robot="Q", place="Q", detail={"name": "QF", "configuration": "QA", **at})
    shop.book.append([entered])


def spells(shop: Shop) -> dict[str, list[tuple[float, float]]]:
    """Who is away, in minutes from now."""
    now = shop.clock.now_ms()
    found = finished(away(shop.case(), ("PB", "MK", "EW", "DV")))
    return {who: [((a - now) / MINUTE, (b - now) / MINUTE) for a, b in each] for who, each in busy(found).items()}


def test_the_drivers_are_away_with_another_robot_from_its_call_until_it_has_left(shop: Shop) -> None:
    other_robot(shop, call_at=10, staging_at=12, start_at=17)
    assert spells(shop) == {"DV": [(10, 17 + 2 + 0.5 + 0.5 + 2)]}
    begun = shop.clock.now_ms()
    shop.clock.set(begun + 20 * MINUTE)
    shop.book.append([Draft("fight_started", "QF", "DV", robot="Q")])
    assert spells(shop) == {"DV": [(-10, 5)]}
    shop.clock.set(begun + 40 * MINUTE)
    assert spells(shop) == {"DV": [(-30, 5)]}, "longer than foreseen: still out"
    shop.book.append([Draft("fight_ended", "QF", "DV", robot="Q")])
    assert spells(shop) == {"DV": [(-30, 3)]}
    shop.book.append([Draft("fight_left", "QF", "DV", robot="Q")])
    assert spells(shop) == {}


def test_nobody_is_away_for_a_fight_without_a_time_or_of_another_day(shop: Shop) -> None:
    other_robot(shop)
    assert spells(shop) == {}
    shop.clock.set(shop.clock.now_ms() + MINUTE)
    shop.book.append([Draft("fight_started", "QF", "DV", robot="Q")])
    assert list(spells(shop)) == ["DV"]
    shop.clock.set(shop.clock.now_ms() + 7 * 60 * MINUTE)
    assert spells(shop) == {}


def test_who_watches_a_charge_is_busy_until_it_is_full(shop: Shop) -> None:
    shop.define("part_kind", "pack", None, {"name": "pack", "look_from": 2, "look": "own", "pack": True,
                "charging": {"current_a": 8.0, "full_v": 4.15, "tail_min": 10.0}})  # fmt: skip
    on_charge = {"to_put_back_coulomb": 8.0 * 60 * 20, "watched_by": "EW"}
    shop.put("charge_started", "P3", on_charge)
    shop.put("charge_started", "P4", {"watched_by": "MK"})
    assert spells(shop) == {"EW": [(-1, 29)], "MK": [(0, 60)]}
    shop.put("charge_ended", "P3", {"to": "full"})
    assert list(spells(shop)) == ["MK"]
    shop.clock.set(shop.clock.now_ms() + 90 * MINUTE)
    assert spells(shop) == {}


def test_the_plan_goes_round_those_who_are_away(shop: Shop) -> None:
    shop.ready()
    shop.fight()
    shop.put("charge_started", "P3", {"watched_by": "EW"})
    session = bench(shop)
    session.write([draft for who in ("MK", "EW") for draft in shifts.begin(session.desk(), who, "UTC")])
    view = session.judge()
    assert [item.by for item in view.away] == ["EW"]
    alone = [item for item in view.plan.laid if item.start < view.away[0].end]
    assert {who for item in alone if item.job.people == 1 for who in item.people} == {"PB", "MK"}
    later = session.now() + 5 * MINUTE
    assert view.ready_at(later) >= view.plan.ready_at
