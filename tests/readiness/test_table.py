"""One hand-written expected row for each line of the disturbance table, and each line missed when it is taken out."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import pytest

from pitcrew.readiness import table
from tests.readiness.small import DEFINED, Small


class Row(NamedTuple):
    """What a line of the table does to a robot that was fit: the event, and what of its group then blocks."""

    event: str
    group: str
    happens: Callable[[Small], object]
    blocks: dict[str, str]


def _fight_then_answer(small: Small) -> None:
    small.fight()
    small.answer()


def _new_bearing(small: Small) -> None:
    small.put("removed", "brg1", {"to": "scrapped"}, place="bearing")
    small.put("fitted", "brg2", {"new": True}, place="bearing")
    _fight_then_answer(small)


def _new_bolts(small: Small) -> None:
    small.put("torqued", "cap", _torque(new_fasteners=True))
    _fight_then_answer(small)


def _torque(**more: object) -> dict[str, object]:
    return {"fasteners": "all", "torque_nm": 25.0, "instrument": "TW", "locker": True, **more}


def _turned(small: Small) -> None:
    finding = small.put(
        "finding",
        "rotor1",
        {"what": "marks turned", "position": "rotor", "joint": "cap", "fasteners": [2]},
        place="cap",
    )
    small.put("mended", finding.id, {"how": "looked again"})


def _nut_again(small: Small) -> None:
    small.put("opened", "nuts", {"fasteners": "all"})
    small.put("torqued", "nuts", _torque())


def _nut_after_a_move(small: Small) -> None:
    small.put("removed", "mot1", {"to": "spares"}, place="motor")
    small.put("fitted", "mot1", {"new": False}, place="motor")
    small.put("torqued", "nuts", _torque())
    small.answer()


def _nut_turned(small: Small) -> None:
    finding = small.put("finding", "mot1", {"what": "marks turned", "position": "motor", "joint": "nuts"}, place="nuts")
    small.put("mended", finding.id, {"how": "tightened"})
    small.put("torqued", "nuts", _torque())


def _upright_swap(small: Small) -> None:
    small.put("removed", "up1", {"to": "spares"}, place="upright")
    small.put("fitted", "up1", {"new": False}, place="upright")


def _run_as_is(small: Small) -> None:
    finding = small.put("finding", "wh1", {"what": "gouged", "position": "wheel"}, place="wheel")
    small.put("deferred", finding.id, {"limit_m": 0.01, "accepted_by": "PB"})
    _fight_then_answer(small)


def _open_the_cap(small: Small) -> None:
    small.put("opened", "cap", {"fasteners": [1]})


def _open_and_close(small: Small) -> None:
    small.put("opened", "cap", {"fasteners": "all"})
    small.put("torqued", "cap", _torque())


def _motor_swap(small: Small) -> None:
    small.put("removed", "mot1", {"to": "spares"}, place="motor")
    small.put("fitted", "mot2", {"new": False}, place="motor")
    small.put("torqued", "nuts", _torque(new_fasteners=True))


def _moved_rotor(small: Small) -> None:
    small.put("removed", "rotor1", {"to": "spares"}, place="rotor")
    small.put("fitted", "rotor1", {"new": False}, place="rotor")


def _again(small: Small, kind: str, subject: str, **more: object) -> None:
    """Define something of the small robot once more, with more said of it."""
    robot, detail = next((robot, detail) for k, s, robot, detail in DEFINED if (k, s) == (kind, subject))
    small.define(kind, subject, robot, {**detail, **more})


def _welded(part: str) -> Callable[[Small], object]:
    return lambda small: small.put("worked", part, {"how": "welded"})


def _welded_rotor_that_spins(small: Small) -> None:
    _again(small, "part_kind", "rotor", spins=True)
    small.put("worked", "rotor1", {"how": "ground"})


def _welded_near_the_limit(small: Small) -> None:
    small.put("weighed", "A", {"value_kg": 9.99, "instrument": "OFF"})
    small.put("worked", "rotor1", {"how": "welded"})


def _nuts_reached_through_the_cap(small: Small) -> None:
    _again(small, "joint", "nuts", through=["cap"])
    small.put("opened", "nuts", {"fasteners": "all"})


def _cap_reached_through_the_nuts(small: Small) -> None:
    _again(small, "joint", "cap", through=["nuts"])
    small.put("opened", "cap", {"fasteners": "all"})
    small.put("torqued", "nuts", _torque())
    small.put("torqued", "cap", _torque())


def _nuts_reached_and_closed(small: Small) -> None:
    _nuts_reached_through_the_cap(small)
    small.put("torqued", "nuts", _torque(new_fasteners=True))
    small.put("torqued", "cap", _torque())


def _faster_motor(small: Small) -> None:
    _again(small, "event", "ev", tip_speed_cap_m_s=90.0)
    _again(small, "part_kind", "motor", sets_speed=True)
    small.put("tip_speed", "A", {"value_m_s": 84.2})
    _motor_swap(small)


def _fight_on_packs(small: Small) -> None:
    small.packs(full_v=4.15)
    for pack in ("P1", "P2"):
        small.put("pack_read", pack, {"lowest_v": 4.18})
    _fight_then_answer(small)
    small.put("chosen", "R", {"pack_set": "S"})


def _bearings_last(small: Small, **life: int) -> None:
    kind = {"name": "bearing", "look_from": 3, "look": "own", "first_look": True, **life}
    small.define("part_kind", "bearing", None, kind)


def _last_of_its_fights(small: Small) -> None:
    _bearings_last(small, life_fights=1)
    _fight_then_answer(small)


def _last_of_its_hard_hits(small: Small) -> None:
    _bearings_last(small, life_hard_hits=1)
    small.hit("W", 3)


ROWS = (
    Row("hit", "look", lambda s: s.hit("W", 3), {"look:rotor1": "due", "look:brg1": "due", "look:up1": "due"}),
    Row("symptom", "look", lambda s: s.put("symptom", "mot1"), {"look:mot1": "due"}),
    Row("first fight", "look", _new_bearing, {"look:brg2": "due"}),
    Row("joint opened", "joint", _open_the_cap, {"joint:cap": "recheck"}),
    Row("part moved", "joint", _moved_rotor, {"joint:cap": "recheck"}),
    Row(
        "another joint reached",
        "joint",
        _nuts_reached_through_the_cap,
        {"joint:cap": "recheck", "joint:nuts": "recheck"},
    ),
    Row("marks turned", "joint", _turned, {"joint:cap": "recheck"}),
    Row("hit", "marks", lambda s: s.hit("W", 2), {"joint:cap": "recheck"}),
    Row("first fight", "marks", _new_bolts, {"joint:cap": "due"}),
    Row("joint opened", "locking", _nut_again, {"locking:nuts": "fail"}),
    Row("part moved", "locking", _nut_after_a_move, {"locking:nuts": "fail"}),
    Row("another joint reached", "locking", _cap_reached_through_the_nuts, {"locking:nuts": "fail"}),
    Row("marks turned", "locking", _nut_turned, {"locking:nuts": "fail"}),
    Row("part moved", "stack", _upright_swap, {"stack:float": "recheck"}),
    Row("another joint reached", "stack", _nuts_reached_and_closed, {"stack:float": "recheck"}),
    Row("joint opened", "stack", _open_and_close, {"stack:float": "recheck"}),
    Row("worked in place", "stack", _welded("rotor1"), {"stack:float": "recheck"}),
    Row("hit", "stack", lambda s: s.hit("W", 2), {"stack:float": "recheck"}),
    Row("worked in place", "limit", _welded("wh1"), {"limit:wh1/tread": "recheck"}),
    Row("worked in place", "look", _welded_rotor_that_spins, {"look:rotor1": "due"}),
    Row("worked in place", "weight", _welded_near_the_limit, {"weight:A": "marginal"}),
    Row("hit", "limit", lambda s: s.hit("D", 2), {"limit:wh1/tread": "recheck"}),
    Row("fight ended", "life", _last_of_its_fights, {"life:brg1": "due"}),
    Row("hit", "life", _last_of_its_hard_hits, {"life:brg1": "due"}),
    Row("fight ended", "finding", _run_as_is, {"finding": "due"}),
    Row("part moved", "tip", _faster_motor, {"tip:A": "recheck"}),
    Row("hit", "hand", lambda s: s.hit("W", 2, place="W"), {"hand": "due"}),
    Row("fight ended", "packs", _fight_on_packs, {"packs:R": "due"}),
    Row("fight ended", "check", lambda s: s.fight(), {"check:test box": "due"}),
    Row("function part moved", "check", _motor_swap, {"check:test box": "due"}),
    Row("wiring touched", "check", lambda s: s.put("rewired", "rotor1", place="rotor"), {"check:test box": "due"}),
    Row("memory changed", "check", lambda s: s.put("reprogrammed", "R"), {"check:test box": "due"}),
)

GROUP_KEYS = {"marks": "joint", "locking": "locking"}


def _of_group(blocks: dict[str, str], row: Row) -> dict[str, str]:
    group = GROUP_KEYS.get(row.group, row.group)
    found = {key: verdict for key, verdict in blocks.items() if key.split(":")[0] == group}
    # A finding's and a blow's key hold an id that only the book knows.
    return {key.split(":")[0] if group in ("finding", "hand") else key: verdict for key, verdict in found.items()}


def test_the_small_robot_is_fit_before_anything_happens() -> None:
    small = Small().ready()
    assert small.blocks() == {}
    assert small.standing().fit


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.event} > {row.group}")
def test_the_event_unsettles_just_what_its_row_says(row: Row) -> None:
    small = Small().ready()
    row.happens(small)
    assert _of_group(small.blocks(), row) == row.blocks
    assert not small.standing().fit


def test_every_line_of_the_table_has_its_row() -> None:
    assert [(row.event, row.group) for row in ROWS] == [(line.event, line.group) for line in table.TABLE]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.event} > {row.group}")
def test_a_line_taken_out_of_the_table_is_a_disturbance_missed(row: Row, monkeypatch: pytest.MonkeyPatch) -> None:
    left = tuple(line for line in table.TABLE if (line.event, line.group) != (row.event, row.group))
    monkeypatch.setattr(table, "TABLE", left)
    small = Small().ready()
    row.happens(small)
    assert _of_group(small.blocks(), row) != row.blocks
