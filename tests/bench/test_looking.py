"""Looks: over a zone, at a part, by hand, and what the driver says."""

from __future__ import annotations

import pytest

from pitcrew.bench import fighting, looking
from pitcrew.robot.records import Entry
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import MINUTE


def unsure(shop: Shop, zones: list[str]) -> tuple[Entry, ...]:
    return shop.do(fighting.hit, zones, 2, not_sure=True, in_fight=False)


def test_zones_are_looked_over_in_one_act(shop: Shop) -> None:
    entries = shop.do(looking.look_over, ["W", "U"], ["cap"], "lamp")
    assert said(entries) == [
        Said("looked_over", "W", {"except": ["cap"], "note": "lamp"}),
        Said("looked_over", "U", {"except": ["cap"], "note": "lamp"}),
    ]
    assert len({e.act for e in entries}) == 1
    assert said(shop.do(looking.look_over, ["D"])) == [Said("looked_over", "D", {})]


def test_a_look_over_clears_the_marks_it_does_not_leave_out(shop: Shop) -> None:
    shop.ready()
    shop.hit("W", 2)
    shop.do(looking.look_over, ["W"], ["cap"])
    assert shop.blocks()["joint:cap"] == "recheck"
    shop.do(looking.look_over, ["W"])
    assert "joint:cap" not in shop.blocks()


def test_a_part_is_named_by_its_place_or_by_itself(shop: Shop) -> None:
    assert said(shop.do(looking.look_at, ["rotor", "rotor2"], "true")) == [
        Said("looked_at", "rotor1", {"note": "true"}, "rotor"),
        Said("looked_at", "rotor2", {"note": "true"}),
    ]


def test_a_look_clears_what_the_part_felt(shop: Shop) -> None:
    shop.ready()
    shop.hit("D", 2)
    assert shop.blocks()["look:wh1"] == "due"
    shop.do(looking.look_at, ["wheel"])
    assert "look:wh1" not in shop.blocks()


def test_what_the_driver_says_asks_for_a_look(shop: Shop) -> None:
    shop.ready()
    assert said(shop.do(looking.driver_says, ["motor"], "pulls left")) == [
        Said("symptom", "mot1", {"note": "pulls left"}, "motor")
    ]
    assert shop.blocks() == {"look:mot1": "due"}
    shop.do(looking.look_at, ["motor"])
    assert shop.standing().fit


@pytest.mark.parametrize("place", ["plate", "nowhere", ""])
def test_a_look_at_nothing_is_refused(shop: Shop, place: str) -> None:
    shop.refused("nothing sits there", looking.look_at, ["rotor", place])
    shop.refused("nothing sits there", looking.driver_says, ["rotor", place])


def test_a_hand_on_every_place_of_a_blow_without_a_sign(shop: Shop) -> None:
    shop.ready()
    hits = unsure(shop, ["W", "U"])
    assert shop.blocks()[f"hand:{hits[0].act}"] == "due"
    entries = shop.do(looking.hand_check, hits[0].act, False, "no play")
    assert said(entries) == [
        Said("hand_checked", "W", {"sign": False, "note": "no play"}),
        Said("hand_checked", "U", {"sign": False, "note": "no play"}),
    ]
    assert f"hand:{hits[0].act}" not in shop.verdicts()
    assert [f.entry.grade for f in shop.book.evidence().hits("W", 1)] == [2]


def test_a_sign_raises_in_the_blows_own_act_at_its_own_time(shop: Shop) -> None:
    shop.ready()
    hits = unsure(shop, ["W", "U"])
    checked_w, raised_w, checked_u, raised_u = shop.do(looking.hand_check, hits[0].act, True)
    assert said([raised_w, raised_u]) == [
        Said("hit", "W", {"source": "taken", "because": checked_w.id}, None, 3),
        Said("hit", "U", {"source": "taken", "because": checked_u.id}, None, 3),
    ]
    assert (raised_w.act, raised_u.act) == (hits[0].act, hits[0].act)
    assert (raised_w.happened, raised_u.happened) == (hits[0].happened, hits[0].happened)
    assert checked_w.act == checked_u.act != hits[0].act
    assert f"hand:{hits[0].act}" not in shop.verdicts()
    # A bearing wants a look from a hard hit on.
    assert shop.blocks()["look:brg1"] == "due"


def test_a_raise_keeps_source_and_fight(shop: Shop) -> None:
    shop.ready()
    shop.fight()
    (hit,) = shop.do(fighting.hit, ["W"], 2, "given", not_sure=True)
    raised = shop.do(looking.hand_check, hit.act, True)[1]
    assert (raised.detail["source"], raised.detail["fight"]) == ("given", "F1")
    assert raised.happened == hit.happened == shop.clock.now_ms() - 3 * MINUTE


@pytest.mark.parametrize("act", ["", "nothing"])
def test_a_hand_check_of_no_blow_is_refused(shop: Shop, act: str) -> None:
    shop.refused("no such blow waits", looking.hand_check, act, True)


def test_a_sure_hit_waits_for_no_hand(shop: Shop) -> None:
    (hit,) = shop.do(fighting.hit, ["W"], 2, in_fight=False)
    shop.refused("no such blow waits", looking.hand_check, hit.act, False)


def test_an_unknown_zone_is_refused(shop: Shop) -> None:
    shop.refused("no such zone", looking.look_over, ["W", "Z"])
