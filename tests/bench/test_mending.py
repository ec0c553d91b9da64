"""What was found, and what was done about it."""

from __future__ import annotations

import pytest

from pitcrew.bench import correcting, fighting, fitting, mending
from pitcrew.robot.records import Entry
from tests.bench.shop import Said, Shop, said

NEVER = ["bent", "cracked", "shorted", "stripped"]


def blow(shop: Shop, *zones: str, sure: bool = True) -> tuple[Entry, ...]:
    return shop.do(fighting.hit, list(zones), 2, "given", not_sure=not sure, in_fight=False)


def found(shop: Shop, what: str = "worn", part: str = "wh1", place: str = "wheel") -> str:
    return next(e.id for e in shop.do(mending.found, part, place, what) if e.kind == "finding")


def test_a_finding_fails_until_it_is_mended(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.do(mending.found, "wh1", "wheel", "worn", size_m=0.002, typed="2 mm", note="gouge")
    detail = {"what": "worn", "position": "wheel", "size_m": 0.002, "typed": "2 mm", "note": "gouge"}
    assert said([entry]) == [Said("finding", "wh1", detail, "wheel")]
    assert shop.blocks() == {f"finding:{entry.id}": "fail"}
    assert said(shop.do(mending.mended, entry.id, "replaced", "new tread")) == [
        Said("mended", entry.id, {"how": "replaced", "note": "new tread"})
    ]
    assert shop.standing().fit


def test_turned_marks_are_placed_at_their_joint_and_want_torque(shop: Shop) -> None:
    shop.ready()
    (entry,) = shop.do(mending.found, "rotor1", "rotor", "marks turned", joint="cap", fasteners=[2])
    assert entry.place == "cap"
    assert (entry.detail["joint"], entry.detail["fasteners"]) == ("cap", [2])
    shop.do(mending.mended, entry.id, "tightened")
    assert shop.blocks()["joint:cap"] == "recheck"


def test_a_finding_raises_every_zone_of_its_blow(shop: Shop) -> None:
    shop.ready()
    hits = blow(shop, "W", "U")
    finding, *raised = shop.do(mending.found, "brg1", "bearing", "notchy", hit=hits[0].act, raises=True)
    assert finding.kind == "finding"
    assert (finding.detail["hit"], finding.detail["raises"]) == (hits[0].act, True)
    detail = {"source": "given", "because": finding.id}
    assert said(raised) == [Said("hit", "W", detail, None, 3), Said("hit", "U", detail, None, 3)]
    assert {(e.act, e.happened) for e in raised} == {(hits[0].act, hits[0].happened)}
    assert finding.act != hits[0].act


def test_a_blow_that_is_raised_wants_no_hand_check_any_more(shop: Shop) -> None:
    shop.ready()
    hits = blow(shop, "W", "U", sure=False)
    shop.do(mending.found, "brg1", "bearing", "notchy", hit=hits[0].act, raises=True)
    assert f"hand:{hits[0].act}" not in shop.verdicts()


def test_a_raise_stands_as_long_as_its_finding(shop: Shop) -> None:
    shop.ready()
    hits = blow(shop, "W")
    finding = shop.do(mending.found, "rotor1", "rotor", "notchy", hit=hits[0].act, raises=True)[0]
    assert shop.blocks()["look:brg1"] == "due"
    shop.do(correcting.withdraw, finding.id)
    assert "look:brg1" not in shop.blocks()


def test_a_finding_of_a_blow_need_not_raise_it(shop: Shop) -> None:
    hits = blow(shop, "W")
    (finding,) = shop.do(mending.found, "rotor1", "rotor", "bent", hit=hits[0].act)
    assert finding.detail == {"what": "bent", "position": "rotor", "hit": hits[0].act}


def test_a_raise_of_no_blow_is_refused(shop: Shop) -> None:
    shop.refused("no such blow", mending.found, "rotor1", "rotor", "bent", hit="nothing", raises=True)


@pytest.mark.parametrize("what", ["bent", "cracked"])
def test_bent_or_cracked_with_no_hit_seen_is_one_solid_blow_that_does_not_spread(shop: Shop, what: str) -> None:
    shop.ready()
    hit, finding = shop.do(mending.found, "rotor1", "rotor", what)
    detail = {"source": "no hit seen", "spreads": False, "because": finding.id}
    assert said([hit]) == [Said("hit", "W", detail, None, 2)]
    assert said([finding]) == [Said("finding", "rotor1", {"what": what, "position": "rotor"}, "rotor")]
    facts = shop.book.evidence()
    (blow_fact,) = facts.hits("W", 1)
    (finding_fact,) = facts.facts("finding", "rotor1")
    assert blow_fact.order < finding_fact.order
    blocks = shop.blocks()
    # The finding is itself the look; the joint of the zone is rechecked; the zone next door felt nothing.
    assert "look:rotor1" not in blocks
    assert "look:up1" not in blocks
    assert blocks["joint:cap"] == "recheck"


@pytest.mark.parametrize("what", ["worn", "notchy", "shorted", "stripped", "marks turned", "touches"])
def test_what_shows_no_hit_writes_none(shop: Shop, what: str) -> None:
    assert [e.kind for e in shop.do(mending.found, "rotor1", "rotor", what)] == ["finding"]


@pytest.mark.parametrize("what", NEVER)
def test_in_the_load_path_it_is_never_run_as_is(shop: Shop, what: str) -> None:
    finding = found(shop, what, "rotor1", "rotor")
    shop.refused(
        f"{what} in the load path cannot be run as is", mending.deferred, finding, "PB", limit_m=0.01, until_fight="F1"
    )


@pytest.mark.parametrize("what", NEVER)
def test_out_of_the_load_path_it_may_be(shop: Shop, what: str) -> None:
    shop.ready()
    finding = found(shop, what)
    assert said(shop.do(mending.deferred, finding, "PB", limit_m=0.025, until_fight="F1", note="look")) == [
        Said("deferred", finding, {"limit_m": 0.025, "until_fight": "F1", "accepted_by": "PB", "note": "look"})
    ]
    assert shop.verdicts()[f"finding:{finding}"] == "deferred"


def test_run_as_is_needs_a_limit(shop: Shop) -> None:
    shop.refused("run as is needs a limit", mending.deferred, found(shop), "PB")


def test_run_as_is_needs_a_name(shop: Shop) -> None:
    shop.refused("accepted_by: takes text", mending.deferred, found(shop), "", limit_m=0.01)


def test_run_as_is_ends_with_its_fight(shop: Shop) -> None:
    shop.ready()
    finding = found(shop)
    shop.do(mending.deferred, finding, "PB", until_fight="F1")
    assert shop.standing().fit
    shop.do(fighting.ended, "F1")
    assert shop.blocks()[f"finding:{finding}"] == "fail"


def test_run_as_is_ends_when_it_has_grown(shop: Shop) -> None:
    shop.ready()
    finding = found(shop)
    shop.do(mending.deferred, finding, "PB", limit_m=0.025)
    shop.do(mending.found, "wh1", "wheel", "worn", size_m=0.030)
    assert shop.blocks()[f"finding:{finding}"] == "fail"


def test_replacing_takes_the_finding_off_and_refitting_brings_it_back(shop: Shop) -> None:
    shop.ready()
    finding = found(shop, "notchy", "mot1", "motor")
    shop.do(fitting.part_in, "mot2", "motor")
    # The nut that holds the motor is open: the finding stands until the replacement is bolted in.
    assert shop.blocks()[f"finding:{finding}"] == "fail"
    shop.put("torqued", "nuts", {"fasteners": "all", "torque_nm": 25.0, "new_fasteners": True})
    assert f"finding:{finding}" not in shop.blocks()
    shop.do(fitting.part_in, "mot1", "motor")
    assert shop.blocks()[f"finding:{finding}"] == "fail"


@pytest.mark.parametrize("ident", ["", "nothing"])
def test_what_nobody_found_is_neither_mended_nor_deferred(shop: Shop, ident: str) -> None:
    shop.refused("no such finding", mending.mended, ident, "welded")
    shop.refused("no such finding", mending.deferred, ident, "PB", limit_m=0.01)


def test_a_finding_withdrawn_is_neither_mended_nor_deferred(shop: Shop) -> None:
    finding = found(shop)
    shop.do(correcting.withdraw, finding)
    shop.refused("no such finding", mending.mended, finding, "welded")
    shop.refused("no such finding", mending.deferred, finding, "PB", limit_m=0.01)


def test_mended_how_is_said(shop: Shop) -> None:
    shop.refused("how: takes text", mending.mended, found(shop), "")


def test_a_line_that_is_no_finding_is_not_mended(shop: Shop) -> None:
    (hit,) = blow(shop, "W")
    shop.refused("no such finding", mending.mended, hit.id, "welded")


def test_a_line_that_is_no_finding_is_not_run_as_is(shop: Shop) -> None:
    (hit,) = blow(shop, "W")
    shop.refused("no such finding", mending.deferred, hit.id, "PB", limit_m=0.01)


def test_a_look_is_no_finding_to_run_as_is(shop: Shop) -> None:
    look = shop.put("looked_at", "rotor1")
    shop.refused("no such finding", mending.deferred, look.id, "PB", limit_m=0.01)


def test_a_corrected_finding_is_mended_by_any_entry_of_its_line(shop: Shop) -> None:
    shop.ready()
    finding = found(shop)
    (corrected,) = shop.do(correcting.correct, finding, {"note": "left side"})
    shop.do(mending.mended, corrected.id, "welded")
    assert f"finding:{finding}" not in shop.blocks()


def test_bent_at_no_place_is_refused(shop: Shop) -> None:
    shop.refused("no such place", mending.found, "rotor1", "nowhere", "bent")


@pytest.mark.parametrize(
    ("part", "place", "joint", "fasteners"),
    [
        ("nothing", "rotor", None, None),
        ("rotor1", "nowhere", None, None),
        ("rotor1", "rotor", "nothing", None),
        ("rotor1", "rotor", "cap", [3]),
    ],
)
def test_a_finding_at_nothing_is_refused(
    shop: Shop, part: str, place: str, joint: str | None, fasteners: list[int] | None
) -> None:
    shop.refused("no such|has fasteners", mending.found, part, place, "worn", joint=joint, fasteners=fasteners)


def test_a_finding_of_a_blow_nobody_wrote_is_refused(shop: Shop) -> None:
    shop.refused("no such blow", mending.found, "rotor1", "rotor", "bent", hit="nothing")
