"""Fights and what was felt in them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from pitcrew.bench import fighting, fitting
from pitcrew.bench.desk import Desk
from pitcrew.logbook.writing import Draft
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import MINUTE

HOUR = 60 * MINUTE


def test_a_fight_is_entered_with_its_times(shop: Shop) -> None:
    now = shop.clock.now_ms()
    entries = shop.do(
        fighting.enter,
        "H1",
        "H1",
        "A",
        opponent="a drum",
        call_at=now + 1,
        staging_at=now + 2,
        start_at=now + 3,
        note="ring 2",
    )
    detail = {
        "name": "H1",
        "configuration": "A",
        "opponent": "a drum",
        "call_at": now + 1,
        "staging_at": now + 2,
        "start_at": now + 3,
        "note": "ring 2",
    }
    assert said(entries) == [Said("entered", "H1", detail, "R")]
    standing = shop.standing()
    assert standing.fight is not None
    assert (standing.fight.subject, standing.configuration, standing.call_at) == ("H1", "A", now + 1)


def test_a_fight_is_entered_without_times(shop: Shop) -> None:
    assert said(shop.do(fighting.enter, "H1", "H1", "A")) == [
        Said("entered", "H1", {"name": "H1", "configuration": "A"}, "R")
    ]


def test_a_fight_has_a_name_and_a_configuration(shop: Shop) -> None:
    shop.refused("^entered: name: takes text", fighting.enter, "H1", "", "A")
    shop.refused("no such configuration", fighting.enter, "H1", "H1", "Z")


def test_a_fight_from_start_to_leaving(shop: Shop) -> None:
    shop.ready()
    assert said(shop.do(fighting.started, "F1")) == [Said("fight_started", "F1", {})]
    assert said(shop.do(fighting.ended, "F1", "win", "quick")) == [
        Said("fight_ended", "F1", {"result": "win", "note": "quick"})
    ]
    assert said(shop.do(fighting.left, "F1")) == [Said("fight_left", "F1", {})]
    standing = shop.standing()
    assert standing.fight is None
    assert not standing.fit


def test_one_fight_uses_the_check_up(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    shop.do(fighting.enter, "F2", "F2", "A")
    assert shop.blocks()["check:test box"] == "due"


def test_a_blow_takes_the_end_of_its_fight_as_its_time(shop: Shop) -> None:
    shop.ready()
    (end,) = shop.do(fighting.ended, "F1")
    entries = shop.do(fighting.hit, ["W", "U"], 3, "given", note="shell")
    detail = {"source": "given", "fight": "F1", "note": "shell"}
    assert said(entries) == [Said("hit", "W", detail, None, 3), Said("hit", "U", detail, None, 3)]
    assert {e.happened for e in entries} == {end.happened}
    assert len({e.act for e in entries}) == 1


def test_a_blow_after_the_next_fight_was_entered_is_still_of_the_last(shop: Shop) -> None:
    shop.ready()
    (end,) = shop.do(fighting.ended, "F1")
    shop.do(fighting.enter, "F2", "F2", "A")
    (hit,) = shop.do(fighting.hit, ["W"], 2)
    assert (hit.detail["fight"], hit.happened) == ("F1", end.happened)


def test_a_blow_while_a_fight_is_on_is_of_that_fight_and_now(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    shop.do(fighting.enter, "F2", "F2", "A")
    shop.do(fighting.started, "F2")
    (hit,) = shop.do(fighting.hit, ["W"], 2)
    assert (hit.detail["fight"], hit.happened) == ("F2", shop.clock.now_ms())


def test_a_blow_of_the_last_fight_does_not_ask_again_for_what_was_renewed_since(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    shop.do(fitting.part_in, "mot2", "motor")
    shop.do(fighting.hit, ["D"], 3)
    verdicts = shop.verdicts()
    assert verdicts["look:mot2"] == "pass"
    assert verdicts["look:wh1"] == "due"


def test_a_knock_in_the_pit_is_of_no_fight(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    (hit,) = shop.do(fighting.hit, ["W"], 1, in_fight=False)
    assert (dict(hit.detail), hit.happened) == ({"source": "taken"}, shop.clock.now_ms())


def test_a_blow_with_no_fight_behind_it_has_its_own_time(shop: Shop) -> None:
    (hit,) = shop.do(fighting.hit, ["W"], 1)
    assert (dict(hit.detail), hit.happened) == ({"source": "taken"}, shop.clock.now_ms())


@pytest.mark.parametrize(("hours", "fight"), [(5, "F1"), (7, None)])
def test_a_fight_of_another_day_is_not_meant(shop: Shop, hours: int, fight: str | None) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    shop.clock.set(shop.clock.now_ms() + hours * HOUR)
    (hit,) = shop.do(fighting.hit, ["W"], 1)
    assert hit.detail.get("fight") == fight


def test_not_sure_is_solid_and_wants_a_hand_check(shop: Shop) -> None:
    shop.ready()
    entries = shop.do(fighting.hit, ["W", "U"], 3, not_sure=True, in_fight=False)
    assert said(entries) == [
        Said("hit", "W", {"source": "taken"}, "W", 2),
        Said("hit", "U", {"source": "taken"}, "U", 2),
    ]
    assert shop.blocks()[f"hand:{entries[0].act}"] == "due"


@pytest.mark.parametrize("grade", [1, 2, 3])
def test_a_hit_passes_on_a_grade_lower_a_step(shop: Shop, grade: int) -> None:
    shop.ready()
    shop.do(fighting.hit, ["W"], grade, in_fight=False)
    # W passes to U; both kinds want a look from a solid hit on.
    felt = [key for key in ("look:rotor1", "look:up1") if key in shop.blocks()]
    assert felt == [[], ["look:rotor1"], ["look:rotor1", "look:up1"]][grade - 1]


def test_a_zone_the_robot_has_not_is_refused_whole(shop: Shop) -> None:
    shop.refused("no such zone", fighting.hit, ["W", "Z"], 2)


@pytest.mark.parametrize("grade", [0, 4])
def test_a_grade_there_is_not_is_refused(shop: Shop, grade: int) -> None:
    shop.refused("grade: 1 light, 2 solid or 3 hard", fighting.hit, ["W"], grade)


def test_a_source_there_is_not_is_refused(shop: Shop) -> None:
    shop.refused("source: takes one of", fighting.hit, ["W"], 2, "thrown")


def test_a_typed_time_of_a_knock_in_the_pit_is_kept(shop: Shop) -> None:
    shop.ready()
    earlier = shop.clock.now_ms() - 3 * MINUTE
    (hit,) = shop.at({"happened": earlier}, fighting.hit, ["W"], 2, in_fight=False)
    assert hit.happened == earlier


def test_a_typed_time_of_a_blow_is_kept(shop: Shop) -> None:
    shop.ready()
    shop.do(fighting.ended, "F1")
    earlier = shop.clock.now_ms() - 2 * MINUTE
    (hit,) = shop.at({"happened": earlier}, fighting.hit, ["W"], 2)
    assert hit.happened == earlier


@pytest.mark.parametrize("use", [fighting.ended, fighting.started, fighting.left])
def test_a_fight_nobody_entered_is_refused(shop: Shop, use: Callable[[Desk, str], list[Draft]]) -> None:
    shop.refused("fight", use, "nothing")
