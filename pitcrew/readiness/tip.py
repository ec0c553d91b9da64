"""Tip speed of the weapon against the event's cap: figured or measured once, and again when what sets it is changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator

from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import EVERY, Because, Requirement, Ruling, requirement
from pitcrew.robot.definitions import Position
from pitcrew.robot.records import Fact

HAIR = 1e-9


def judge_tip(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """The configuration entered, where the event has a cap and some kind of part sets the speed; if asked for."""
    cap = case.defs.event.tip_speed_cap_m_s if case.defs.event else None
    fight = case.fight()
    if cap is None or fight is None or not any(kind.sets_speed for kind in case.defs.kinds.values()):
        return
    name = str(fight.detail["configuration"])
    if f"tip:{name}" in asked and any(_sets(case, part) for part in case.scope()):
        yield requirement("tip", name, [_ruling(case, name, cap)])


def _ruling(case: Case, configuration: str, cap: float) -> Ruling:
    fact = case.newest("tip_speed", configuration)
    limit = (("cap_m_s", cap),)
    if fact is None:
        return Ruling("unchecked", Because("tip speed unknown", (), limit))
    speed = float(fact.detail["value_m_s"])
    figures = (("value_m_s", speed), *limit)
    if table.disturbs(table.MOVED, "tip") and _changed(case, fact):
        return Ruling("recheck", Because("speed changed", (fact,), figures), (fact,))
    if speed > cap + HAIR:
        return Ruling("fail", Because("too fast", (fact,), figures), (fact,))
    return Ruling("pass", Because("tip speed", (fact,), figures), (fact,))


def _sets(case: Case, part: str | None) -> bool:
    kind = case.kind(part) if part is not None else None
    return kind is not None and kind.sets_speed


def _changed(case: Case, then: Fact) -> bool:
    """Does another part set the speed than did then, or do the packs have other cells?

    What a configuration itself names is not asked: the figure is of that configuration.
    """
    return any(_other(case, position, then) for position in case.defs.positions.values()) or (
        _cells(case, case.packs()) != _cells(case, case.packs(then))
    )


def _other(case: Case, position: Position, then: Fact) -> bool:
    if position.role not in ("fixed", "shim"):
        return False
    now, before = case.occupant(position.id), case.occupant(position.id, then)
    return now != before and (_sets(case, now) or _sets(case, before))


def _cells(case: Case, packs: tuple[str, ...]) -> Counter[int]:
    """How many packs of how many cells."""
    kinds = (case.kind(pack) for pack in packs)
    return Counter(kind.charging.cells for kind in kinds if kind and kind.charging and kind.charging.cells)
