"""Parts worked on where they sit, and joints reached through others: the entries, the line, the words."""

from __future__ import annotations

import pytest

from pitcrew.bench import in_place, saying, words
from pitcrew.bench.line import drafts
from pitcrew.errors import EntryError
from pitcrew.readiness.verdict import Caveat
from tests.bench.shop import Said, Shop, said
from tests.readiness.small import Small


@pytest.mark.parametrize("how", ["straightened", "welded", "ground", "drilled"])
def test_a_part_worked_on_is_logged_with_the_place_it_sits_at(shop: Shop, how: str) -> None:
    assert said(shop.do(in_place.worked, "motor", how)) == [Said("worked", "mot1", {"how": how}, "motor")]
    assert said(shop.do(in_place.worked, "mot2", how, "on the bench")) == [
        Said("worked", "mot2", {"how": how, "note": "on the bench"})
    ]


def test_working_on_nothing_or_in_no_such_way_is_refused(shop: Shop) -> None:
    shop.refused("not working on a part", in_place.worked, "motor", "painted")
    shop.refused("nothing sits there", in_place.worked, "nowhere", "welded")


@pytest.mark.parametrize("text", ["ground motor", "GROUND motor 1", "ground  motor"])
def test_a_line_says_it(shop: Shop, text: str) -> None:
    assert said(shop.do(drafts, text, lambda number: None)) == [Said("worked", "mot1", {"how": "ground"}, "motor")]


def test_a_joint_is_reached_through_others_from_then_on_and_through_nothing_again(shop: Shop) -> None:
    def reach(text: str) -> list[str]:
        (entry,) = shop.do(drafts, text, lambda number: None)
        assert entry.kind == "joint"
        return list(entry.detail["through"])

    before = dict(next(shop.desk().evidence.facts("joint", "nuts")).detail)
    assert reach("reach nuts through cap") == ["cap"]
    after = dict(next(shop.desk().evidence.facts("joint", "nuts")).detail)
    assert after == {**before, "through": ["cap"]}
    assert reach("reach nuts through nothing") == []


@pytest.mark.parametrize("text", ["reach", "reach nuts", "reach through cap", "welded", "reach nuts through nowhere"])
def test_a_line_that_says_too_little_is_refused(shop: Shop, text: str) -> None:
    with pytest.raises(EntryError):
        drafts(shop.desk(), text, lambda number: None)


def test_a_joint_is_not_reached_through_itself(shop: Shop) -> None:
    shop.refused("through itself", in_place.reached_through, "cap", ["cap"])
    shop.refused("joint", in_place.reached_through, "cap", ["nowhere"])


def reasons(small: Small, key: str) -> str:
    requirement = small.requirement(key)
    return words.reason(small.case(), requirement)


def test_the_reason_says_what_was_done_to_which_part_and_when() -> None:
    small = Small().ready()
    small.put("worked", "rotor1", {"how": "ground"})
    assert "rotor 1 ground" in reasons(small, "stack:float")


def test_a_finding_welded_unsettles_what_its_part_is_in() -> None:
    small = Small().ready()
    found = small.put("finding", "rotor1", {"what": "worn", "position": "rotor"}, place="rotor")
    small.put("mended", found.id, {"how": "found straight"})
    assert small.blocks() == {}
    small.put("mended", found.id, {"how": "welded"})
    assert small.blocks() == {"stack:float": "recheck"}
    assert "rotor 1 welded" in reasons(small, "stack:float")


def test_a_part_worked_on_may_have_come_back_within_its_limits_but_has_to_be_read() -> None:
    small = Small().ready()
    small.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.003, "instrument": "CAL"})
    assert small.blocks() == {"limit:wh1/tread": "fail"}
    small.put("worked", "wh1", {"how": "ground"})
    assert small.blocks() == {"limit:wh1/tread": "recheck"}
    small.put("reading", "wh1/tread", {"of": "wh1", "dimension": "tread", "value_m": 0.006, "instrument": "CAL"})
    assert small.blocks() == {}


def test_working_on_a_part_leaves_its_mass_in_doubt_until_the_robot_is_weighed() -> None:
    small = Small().ready()
    row = small.standing().weights[0]
    assert (row.how, row.u_kg) == ("official", 0.0)
    small.put("worked", "rotor1", {"how": "welded"})
    row = small.standing().weights[0]
    # 5 % of 2 kg as a half-width, rectangular, k = 2 (GUM, JCGM 100:2008, 4.3.7): 2 x 0.1 / root 3 = 0.1155 kg;
    # the display's own steps of 0.01 kg add next to nothing.
    assert (row.how, row.kg) == ("figured", 5.0)
    assert row.u_kg == pytest.approx(0.1155, abs=0.001)
    small.put("weighed", "A", {"value_kg": 5.02, "instrument": "OFF"})
    assert small.standing().weights[0].how == "official"


def test_a_part_worked_on_and_weighed_goes_in_by_its_own_mass() -> None:
    small = Small().ready()
    small.put("worked", "rotor2", {"how": "drilled"})
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor2", {"new": False}, place="rotor")
    doubtful = small.standing().weights[0]
    small.put("part_weighed", "rotor2", {"value_kg": 2.4, "instrument": "OWN"})
    weighed = small.standing().weights[0]
    assert doubtful.kg == pytest.approx(5.5)
    assert weighed.kg == pytest.approx(5.4)
    assert weighed.u_kg < 0.05 < doubtful.u_kg


def test_opening_what_is_reached_follows_as_far_as_it_goes() -> None:
    small = Small().ready()
    case = small.case()
    definition = dict(next(iter(case.facts("joint", "nuts"))).detail)
    small.define("joint", "lid", "R", {**definition, "name": "lid", "locking": "none", "holds": []})
    small.define("joint", "nuts", "R", {**definition, "through": ["lid"]})
    small.put("torqued", "lid", {"fasteners": "all", "torque_nm": 5.0})
    assert small.blocks() == {}
    small.put("removed", "mot1", {"to": "spares"}, place="motor")
    small.put("fitted", "mot1", {"new": False}, place="motor")
    assert {"joint:lid", "joint:nuts"} <= set(small.blocks())


def test_a_motor_fitted_new_is_said_to_be_untested_until_it_ran() -> None:
    small = Small().ready()

    def said_of_it() -> list[str]:
        case = small.case()
        return [saying.caveat_words(case, item) for item in small.standing().warnings if item.code == "not run in"]

    small.put("fitted", "mot2", {"new": True}, place="motor")
    assert said_of_it() == ["motor new, not run in on the bench"]
    tested = small.put("bench_tested", "mot2")
    assert said_of_it() == []
    small.put("withdrawn", "mot2", {}, replaces=tested.id)
    assert said_of_it() != []
    small.fight()
    assert said_of_it() == []


def test_two_findings_run_as_is_in_a_zone_are_said_together() -> None:
    small = Small().ready()
    for part, place in (("mot1", "motor"), ("wh1", "wheel")):
        found = small.put("finding", part, {"what": "worn", "position": place}, place=place)
        small.put("deferred", found.id, {"until_fight": "F1", "accepted_by": "PB"})
    warnings = small.standing().warnings
    assert Caveat("piling up", "D", (("count", 2),)) in warnings
    case = small.case()
    assert "2 findings run as is in D" in [saying.caveat_words(case, item) for item in warnings]
