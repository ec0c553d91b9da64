"""What is left of spares and of stock, and when too little is left."""

from __future__ import annotations

from typing import Any

import pytest

from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case
from pitcrew.readiness.spares import good, left, stock
from pitcrew.robot.definitions import gather
from tests.readiness.small import CHECK, MINUTE, Small

BEARING = {"name": "bearing", "look_from": 3, "look": "own", "first_look": True}
NUTS = {"name": "nuts", "zone": "D", "count": 3, "locking": "none", "recheck_from": 3, "stock": "M10"}


def small(wanted: int | None = None) -> Small:
    found = Small().ready()
    found.define("stock", "M10", None, {"name": "M10x30", **({} if wanted is None else {"wanted": wanted})})
    return found


def case_of(small: Small) -> Case:
    evidence = small.book.evidence()
    definitions = gather(evidence, "R")
    assert definitions is not None
    return Case(evidence, definitions, small.clock.now_ms(), [CHECK])


def stocked(small: Small, how: str, count: int) -> None:
    small.put("stocked", "M10", {"how": how, "count": count})


def m10(small: Small) -> int:
    case = case_of(small)
    return left(case, stock(case)["M10"]).left


def torque(small: Small, **more: Any) -> None:
    detail = {"fasteners": "all", "torque_nm": 25.0, "instrument": "TW", "new_fasteners": True, **more}
    small.put("torqued", "nuts", detail)


def warned(small: Small) -> dict[str, dict[str, Any]]:
    found = {caveat.code: dict(caveat.figures) for caveat in small.standing().warnings}
    return {code: figures for code, figures in found.items() if code.endswith("short")}


def test_the_newest_count_and_what_came_and_went_since() -> None:
    box = small()
    for how, count in (("used", 2), ("bought", 9), ("counted", 5), ("used", 2), ("bought", 20)):
        stocked(box, how, count)
    assert m10(box) == 23
    stocked(box, "counted", 4)
    assert m10(box) == 4


def test_before_any_count_only_what_was_bought_and_used_is_known() -> None:
    box = small()
    box.define("joint", "nuts", "R", NUTS)
    torque(box)
    stocked(box, "bought", 9)
    stocked(box, "used", 2)
    torque(box)
    assert m10(box) == 7
    case = case_of(box)
    assert left(case, stock(case)["M10"]).counted is None


def test_new_fasteners_of_a_joint_that_takes_them_out_of_it_are_used() -> None:
    box = small()
    box.define("joint", "nuts", "R", NUTS)
    torque(box)  # before the count
    stocked(box, "counted", 12)
    torque(box)
    torque(box, fasteners=[1, 3])
    torque(box, new_fasteners=False)
    assert m10(box) == 7


def test_the_joints_of_another_robot_take_out_of_the_same_box() -> None:
    box = small()
    box.define("robot", "Q", None, {"name": "OTHER"})
    box.define("joint", "theirs", "Q", {**NUTS, "count": 2})
    stocked(box, "counted", 12)
    box.clock.set(box.clock.now_ms() + MINUTE)
    detail = {"fasteners": "all", "torque_nm": 5.0, "new_fasteners": True}
    box.book.append([Draft("torqued", "theirs", "MK", robot="Q", detail=detail)])
    assert m10(box) == 10


def test_a_count_taken_back_counts_no_more() -> None:
    box = small()
    stocked(box, "counted", 12)
    wrong = box.put("stocked", "M10", {"how": "counted", "count": 1})
    box.put("withdrawn", "M10", replaces=wrong.id)
    assert m10(box) == 12


@pytest.mark.parametrize(("count", "short"), [(5, True), (6, False)])
def test_stock_below_what_is_wanted_warns_and_does_not_block(count: int, short: bool) -> None:
    box = small(wanted=6)
    stocked(box, "counted", count)
    assert warned(box) == ({"stock short": {"name": "M10x30", "left": count, "wanted": 6}} if short else {})
    assert box.blocks() == {}


def test_nothing_is_short_where_nothing_is_wanted() -> None:
    box = small()
    stocked(box, "used", 3)
    assert warned(box) == {}


def test_fewer_good_spares_than_wanted_warn() -> None:
    box = Small().ready()
    box.define("part_kind", "bearing", None, {**BEARING, "spares_wanted": 1})
    assert [part.id for part in good(case_of(box), "bearing")] == ["brg2"]
    assert warned(box) == {}
    box.define("part_kind", "bearing", None, {**BEARING, "spares_wanted": 2})
    assert warned(box) == {"spares short": {"good": 1, "wanted": 2}}
    box.put("removed", "brg2", {"to": "quarantine"})
    assert warned(box) == {"spares short": {"good": 0, "wanted": 2}}
    box.put("removed", "brg2", {"to": "spares"})
    assert [part.id for part in good(case_of(box), "bearing")] == ["brg2"]
    box.put("finding", "brg2", {"what": "notchy", "position": "bearing"}, place="bearing")
    assert good(case_of(box), "bearing") == ()


def test_a_kind_this_robot_has_no_part_of_is_not_short_here() -> None:
    box = Small().ready()
    box.define("part_kind", "magnet", None, {**BEARING, "name": "magnet", "spares_wanted": 4})
    assert warned(box) == {}
