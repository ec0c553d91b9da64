"""What each rule promises the crew, on a small robot in a real book."""

from __future__ import annotations

import pytest

from pitcrew.logbook.writing import Draft
from pitcrew.readiness.judge import judge
from tests.readiness.small import CHECK, MINUTE, Small


@pytest.fixture
def small() -> Small:
    return Small().ready()


def _torque(**more: object) -> dict[str, object]:
    return {"fasteners": "all", "torque_nm": 25.0, "instrument": "TW", "locker": True, **more}


def _gap(small: Small, value_m: float) -> str:
    reading = small.put("reading", "R/gap", {"of": "R", "dimension": "gap", "value_m": value_m, "instrument": "CAL"})
    return reading.id


def test_a_robot_with_no_fight_entered_is_not_fit_however_good() -> None:
    small = Small().ready()
    small.put("fight_ended", "F1")
    small.answer()
    standing = small.standing()
    assert not standing.fit
    assert standing.fight is None
    assert standing.blocking == ()


def test_part_of_a_group_torqued_clears_that_part_only(small: Small) -> None:
    small.put("opened", "cap", {"fasteners": "all"})
    small.put("torqued", "cap", _torque(fasteners=[1]))
    assert small.blocks()["joint:cap"] == "recheck"
    small.put("torqued", "cap", _torque(fasteners=[2]))
    assert "joint:cap" not in small.blocks()


def test_marks_clear_a_hit_but_not_an_opened_joint(small: Small) -> None:
    small.hit("W", 2)
    small.put("marks_good", "cap")
    assert "joint:cap" not in small.blocks()
    small.put("opened", "cap", {"fasteners": [2]})
    small.put("looked_over", "W")
    assert small.blocks()["joint:cap"] == "recheck"


def test_a_zone_look_leaves_out_what_it_names(small: Small) -> None:
    small.hit("W", 2)
    small.put("looked_over", "W", {"except": ["cap"]})
    assert small.blocks()["joint:cap"] == "recheck"
    small.put("looked_over", "W")
    assert "joint:cap" not in small.blocks()


def test_a_part_that_wants_its_own_look_is_not_cleared_by_a_zone_look(small: Small) -> None:
    small.hit("W", 3)
    small.put("looked_over", "W")
    small.put("looked_over", "U")
    blocks = small.blocks()
    assert blocks["look:rotor1"] == "due"
    assert "look:up1" not in blocks


def test_a_part_keeps_the_hit_it_felt_when_it_is_moved(small: Small) -> None:
    small.hit("W", 2)
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor2", {"new": False}, place="rotor")
    blocks = small.blocks()
    assert "look:rotor2" not in blocks
    assert "look:rotor1" not in blocks
    small.put("removed", "rotor2", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor1", {"new": False}, place="rotor")
    assert small.blocks()["look:rotor1"] == "due"


@pytest.mark.parametrize(
    ("torque_nm", "verdict"), [(25.0, None), (23.0, "marginal"), (27.0, "marginal"), (21.0, "fail"), (29.0, "fail")]
)
def test_a_torque_is_judged_by_its_wrench(small: Small, torque_nm: float, verdict: str | None) -> None:
    # A class of 4 %: 23 N m is 0.5 inside the band of 22.5 to 27.5, its doubt about 1.1.
    small.put("torqued", "cap", _torque(torque_nm=torque_nm))
    assert small.blocks().get("joint:cap") == verdict


def test_a_joint_that_wants_a_second_person_is_due_without_one() -> None:
    small = Small()
    cap = next(entry for entry in small.book.entries(limit=100) if entry.subject == "cap")
    detail = {**cap.detail, "second": True}
    small.book.append([Draft("joint", "cap", "PB", robot="R", replaces=cap.id, detail=detail, happened=cap.happened)])
    small.ready()
    assert small.blocks()["joint:cap"] == "due"
    small.put("torqued", "cap", _torque(second="MK"))
    assert small.blocks()["joint:cap"] == "due", "who did it cannot be the second person"
    small.put("torqued", "cap", _torque(second="EW"))
    assert "joint:cap" not in small.blocks()


def test_threadlocker_counts_to_staging(small: Small) -> None:
    now = small.clock.now_ms()
    entered = {"name": "F2", "configuration": "A", "staging_at": now + 15 * MINUTE}
    small.put("entered", "F2", entered, place="R")
    small.put("torqued", "cap", _torque())
    requirement = small.requirement("locking:cap")
    assert requirement.verdict == "fail"
    assert requirement.because[0].figure("set_min") == 15
    small.put("entered", "F2", {**entered, "staging_at": now + 30 * MINUTE}, place="R")
    assert small.requirement("locking:cap").verdict == "pass"


def test_a_late_fight_lets_threadlocker_set(small: Small) -> None:
    now = small.clock.now_ms()
    small.put("entered", "F2", {"name": "F2", "configuration": "A", "staging_at": now + 5 * MINUTE}, place="R")
    small.put("torqued", "cap", _torque())
    standing = small.standing()
    assert standing.changes_at is not None
    evidence = small.book.evidence()
    before = judge(evidence, "R", standing.changes_at - 1, [CHECK])
    after = judge(evidence, "R", standing.changes_at, [CHECK])
    assert before is not None
    assert after is not None
    verdicts = [{r.key: r.verdict for r in found.requirements}["locking:cap"] for found in (before, after)]
    assert verdicts == ["fail", "pass"]


def test_a_torque_without_threadlocker_fails_a_joint_that_wants_it(small: Small) -> None:
    small.put("torqued", "cap", _torque(locker=False))
    assert small.blocks()["locking:cap"] == "fail"


@pytest.mark.parametrize(
    ("gap_m", "verdict"),
    [
        (0.1005, None),
        (0.10022, None),
        (0.100205, "marginal"),
        (0.100195, "marginal"),
        (0.10018, "fail"),
        (0.10081, "fail"),
    ],
)
def test_a_stack_is_the_sum_of_its_pieces_with_the_doubt_of_its_tools(
    small: Small, gap_m: float, verdict: str | None
) -> None:
    # One caliper with opposite signs: its common error cancels, two steps of 0.01 mm are left, U = 0.0082 mm.
    _gap(small, gap_m)
    assert small.blocks().get("stack:float") == verdict


def test_a_direct_look_beats_the_sum(small: Small) -> None:
    _gap(small, 0.1020)
    assert small.blocks()["stack:float"] == "fail"
    small.put("direct", "float", {"goes_m": 0.0003, "stops_m": 0.0007})
    assert "stack:float" not in small.blocks()
    small.hit("W", 2)
    assert small.blocks()["stack:float"] == "recheck"


@pytest.mark.parametrize(
    ("goes_m", "stops_m", "verdict"),
    [
        (0.0002, 0.0008, None),
        (0.0003, None, "marginal"),
        (None, 0.0002, "fail"),
        (0.0008, None, "fail"),
        (0.0001, 0.0007, "marginal"),
    ],
)
def test_a_feeler_proves_only_what_it_did(
    small: Small, goes_m: float | None, stops_m: float | None, verdict: str | None
) -> None:
    detail = {name: value for name, value in (("goes_m", goes_m), ("stops_m", stops_m)) if value is not None}
    small.put("direct", "float", detail)
    assert small.blocks().get("stack:float") == verdict


def test_bent_beats_every_figure(small: Small) -> None:
    finding = small.put("finding", "rotor1", {"what": "bent", "position": "rotor"}, place="rotor")
    _gap(small, 0.1005)
    small.put("direct", "float", {"value_m": 0.0005, "instrument": "CAL"})
    requirement = small.requirement("stack:float")
    assert requirement.verdict == "fail"
    assert requirement.because[0].code == "bent part"
    small.put("mended", finding.id, {"how": "found straight"})
    assert "stack:float" not in small.blocks()


def test_a_marginal_counts_as_met_only_for_its_fight_and_its_readings(small: Small) -> None:
    small.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.00401, "instrument": "CAL"})
    key = "limit:wh1/tread"
    assert small.blocks()[key] == "marginal"
    rests_on = [fact.id for fact in small.requirement(key).rests_on]
    small.put("accepted", key, {"fight": "F0", "rests_on": rests_on})
    assert small.blocks()[key] == "marginal", "accepted for another fight"
    small.put("accepted", key, {"fight": "F1", "rests_on": rests_on})
    assert key not in small.blocks()
    assert small.standing().fit
    small.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.00401, "instrument": "CAL"})
    assert small.blocks()[key] == "marginal", "another reading than the one that was accepted"


def test_a_marginal_outside_its_limit_cannot_be_taken_on(small: Small) -> None:
    reading = small.put(
        "reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.00399, "instrument": "CAL"}
    )
    small.put("accepted", "limit:wh1/tread", {"fight": "F1", "rests_on": [reading.id]})
    assert small.blocks()["limit:wh1/tread"] == "marginal"


def test_a_finding_goes_with_its_part_and_comes_back_with_it(small: Small) -> None:
    finding = small.put("finding", "rotor1", {"what": "chipped", "position": "rotor"}, place="rotor")
    key = f"finding:{finding.id}"
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    assert small.blocks()[key] == "fail", "nothing is in its place yet"
    small.put("fitted", "rotor2", {"new": False}, place="rotor")
    assert small.blocks()[key] == "fail", "the joint that holds the place is open"
    small.put("torqued", "cap", _torque())
    assert key not in small.blocks()
    small.put("removed", "rotor2", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor1", {"new": False}, place="rotor")
    assert small.blocks()[key] == "fail"


@pytest.mark.parametrize("what", ["bent", "cracked", "shorted", "stripped"])
def test_the_load_path_is_never_run_as_is(small: Small, what: str) -> None:
    finding = small.put("finding", "rotor1", {"what": what, "position": "rotor"}, place="rotor")
    small.put("deferred", finding.id, {"limit_m": 1.0, "accepted_by": "PB"})
    assert small.blocks()[f"finding:{finding.id}"] == "fail"


def test_run_as_is_ends_at_its_limit_or_with_its_fight(small: Small) -> None:
    detail = {"what": "torn", "position": "wheel", "size_m": 0.01}
    finding = small.put("finding", "wh1", detail, place="wheel")
    small.put("deferred", finding.id, {"limit_m": 0.02, "until_fight": "F1", "accepted_by": "PB"})
    key = f"finding:{finding.id}"
    assert small.requirement(key).verdict == "deferred"
    assert small.standing().fit
    grown = small.put("finding", "wh1", {**detail, "size_m": 0.03}, place="wheel")
    small.put("mended", grown.id, {"how": "entered twice"})
    assert small.blocks()[key] == "fail", "grown past its limit"


def test_a_hand_check_or_a_raise_answers_a_blow_nobody_was_sure_of(small: Small) -> None:
    hit = small.hit("W", 2, place="W")
    assert small.blocks()[f"hand:{hit.act}"] == "due"
    small.put("hand_checked", "W", {"sign": False})
    assert f"hand:{hit.act}" not in small.blocks()
    second = small.hit("W", 2, place="W")
    finding = small.put("finding", "rotor1", {"what": "worn", "position": "rotor", "raises": True}, place="rotor")
    raised = {"source": "taken", "because": finding.id}
    small.put("hit", "W", raised, grade=3, happened=second.happened, act=second.act)
    assert f"hand:{second.act}" not in small.blocks()
    assert small.blocks()["look:up1"] == "due", "hard on the weapon is solid on the upright"


def test_a_look_made_between_a_hit_and_its_raise_stands(small: Small) -> None:
    hit = small.hit("W", 2)
    small.put("looked_at", "rotor1")
    finding = small.put("finding", "up1", {"what": "worn", "position": "upright", "raises": True}, place="upright")
    raised = {"source": "taken", "because": finding.id}
    small.put("hit", "W", raised, grade=3, happened=hit.happened, act=hit.act)
    blocks = small.blocks()
    assert "look:rotor1" not in blocks
    assert blocks["look:brg1"] == "due", "hard reaches what solid did not"


def test_a_withdrawn_finding_takes_back_what_it_raised(small: Small) -> None:
    hit = small.hit("W", 2)
    finding = small.put("finding", "up1", {"what": "worn", "position": "upright", "raises": True}, place="upright")
    small.put("hit", "W", {"source": "taken", "because": finding.id}, grade=3, happened=hit.happened, act=hit.act)
    assert small.blocks()["look:brg1"] == "due"
    small.put("withdrawn", "up1", replaces=finding.id)
    assert "look:brg1" not in small.blocks()


def test_the_official_display_of_exactly_these_parts_decides(small: Small) -> None:
    small.put("weighed", "A", {"value_kg": 10.0, "instrument": "OFF"})
    row = small.standing().weights[0]
    assert (row.how, row.verdict, row.margin_kg) == ("official", "pass", 0.0)
    small.put("removed", "wh1", {"to": "spares"}, place="wheel")
    small.put("fitted", "wh1", {"new": False}, place="wheel")
    assert small.standing().weights[0].how == "official", "the same parts are the same parts"
    small.put("part_weighed", "rotor2", {"value_kg": 2.0, "instrument": "OWN"})
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor2", {"new": False}, place="rotor")
    row = small.standing().weights[0]
    assert (row.how, row.verdict) == ("figured", "marginal"), "like for like: the doubt of both still counts"


def test_a_weight_nobody_can_work_out_is_unchecked(small: Small) -> None:
    small.put("part", "gift", {"name": "gift", "part_kind": "motor"})
    small.put("removed", "mot1", {"to": "spares"}, place="motor")
    small.put("fitted", "gift", {"new": False}, place="motor")
    requirement = small.requirement("weight:A")
    assert requirement.verdict == "unchecked"
    assert requirement.because[0].figure("missing") == "gift"


def test_own_margin_only_warns(small: Small) -> None:
    small.put("weighed", "A", {"value_kg": 9.95, "instrument": "OFF"})
    standing = small.standing()
    assert standing.fit
    assert [caveat.code for caveat in standing.warnings] == ["crew margin"]


def test_an_empty_place_blocks(small: Small) -> None:
    small.put("removed", "wh1", {"to": "lost"}, place="wheel")
    assert small.blocks()["empty:wheel"] == "fail"


def test_a_figure_over_the_events_limit_is_a_no(small: Small) -> None:
    small.put("answered", "R/test box/cut", {"answer": "yes", "figure": 61.0})
    assert small.blocks()["check:test box"] == "fail"
    small.put("answered", "R/test box/cut", {"answer": "yes", "figure": 59.0})
    assert "check:test box" not in small.blocks()


def test_what_may_be_skipped_is_skipped_and_said(small: Small) -> None:
    small.put("answered", "R/test box/cut", {"answer": "no"})
    assert small.blocks()["check:test box"] == "fail"
    small.put("answered", "R/test box/cut", {"answer": "skipped"})
    standing = small.standing()
    assert standing.fit
    assert [caveat.code for caveat in standing.warnings] == ["skipped"]


def test_between_two_writers_only_what_is_later_by_more_than_the_clock_doubt_clears(small: Small) -> None:
    hit = small.hit("W", 2)
    look = hit._replace(
        id="other", act="other", writer="other", kind="looked_at", subject="rotor1", grade=None, detail={}
    )
    near = look._replace(tick=hit.tick + 60_000, happened=hit.happened + 120_000 - 60_000)
    small.book.insert_raw([near._replace(tick=hit.tick + 120_000)])
    assert small.blocks()["look:rotor1"] == "due", "one minute apart by two clocks is not sure"
    later = look._replace(id="later", tick=hit.tick + 121_000, happened=hit.happened + 120_001)
    small.book.insert_raw([later])
    assert "look:rotor1" not in small.blocks()


@pytest.mark.parametrize("how", ["replaced", "taken out of use"])
def test_a_part_that_was_taken_off_with_its_finding_brings_it_back(small: Small, how: str) -> None:
    finding = small.put("finding", "wh1", {"what": "worn", "position": "wheel"}, place="wheel")
    key = f"finding:{finding.id}"
    small.put("removed", "wh1", {"to": "spares"}, place="wheel")
    small.put("mended", finding.id, {"how": how})
    assert key not in small.blocks()
    small.put("fitted", "wh1", {"new": False}, place="wheel")
    assert small.blocks()[key] == "fail", "the same worn part is back"
    small.put("mended", finding.id, {"how": "new tread"})
    assert key not in small.blocks()


def test_a_part_mended_for_good_stays_mended_wherever_it_goes(small: Small) -> None:
    finding = small.put("finding", "wh1", {"what": "worn", "position": "wheel"}, place="wheel")
    small.put("mended", finding.id, {"how": "new tread"})
    small.put("removed", "wh1", {"to": "spares"}, place="wheel")
    small.put("fitted", "wh1", {"new": False}, place="wheel")
    assert f"finding:{finding.id}" not in small.blocks()


def test_packs_of_a_set_the_book_does_not_know_are_not_taken_as_in(small: Small) -> None:
    small.put("position", "box", {"name": "box", "zone": "D", "role": "pack"})
    small.put("chosen", "R", {"pack_set": "never defined"})
    assert small.blocks()["packs:R"] == "due"


def test_a_hit_on_a_zone_the_book_does_not_know_is_still_felt_there(small: Small) -> None:
    small.put("position", "tail", {"name": "tail", "zone": "never defined"})
    small.put("part", "fin", {"name": "fin", "part_kind": "rotor", "mass_kg": 0.1})
    small.put("fitted", "fin", {"new": False}, place="tail")
    small.put("zone", "Z", {"name": "Z", "passes_to": ["never defined"]})
    small.hit("never defined", 2)
    assert small.blocks()["look:fin"] == "due"
