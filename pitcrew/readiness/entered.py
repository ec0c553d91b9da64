"""What was entered against what is on the robot: the configuration's modules and the packs chosen."""

from __future__ import annotations

from collections.abc import Container, Iterator

from pitcrew.readiness import packs
from pitcrew.readiness.call import call_at
from pitcrew.readiness.case import Case
from pitcrew.readiness.verdict import EVERY, PASS, Because, Requirement, Ruling, requirement
from pitcrew.readiness.weights import is_declared, is_fitted
from pitcrew.robot.records import Fact


def judge_configuration(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """The modules of the configuration entered are on the robot, and it is one that was declared; if asked for."""
    fight = case.fight()
    if fight is None or f"configuration:{case.robot}" not in asked:
        return
    name = str(fight.detail["configuration"])
    yield requirement("configuration", case.robot, [_declared(case, name), _on_the_robot(case, name)])


def _declared(case: Case, name: str) -> Ruling:
    if any(is_declared(case, other) for other in case.defs.configurations) and not is_declared(case, name):
        return Ruling("fail", Because("not declared", tuple(filter(None, (case.fight(),))), (("entered", name),)))
    return PASS


def _on_the_robot(case: Case, name: str) -> Ruling:
    entered = case.defs.configurations.get(name)
    if entered is None:
        return Ruling(
            "due", Because("configuration unknown", tuple(filter(None, (case.fight(),))), (("entered", name),))
        )
    for position in case.defs.positions.values():
        wanted = entered.parts.get(position.id)
        if position.role == "module" and position.id in entered.parts and case.occupant(position.id) != wanted:
            figures = (("entered", name), ("fitted", fitted_configuration(case)))
            return Ruling("due", Because("configuration not on", _caused(case, position.id), figures))
    return PASS


def _caused(case: Case, position: str) -> tuple[Fact, ...]:
    """The entry of the fight, and what last changed the place."""
    last = case.moves(position).first()
    return tuple(fact for fact in (case.fight(), last) if fact is not None)


def fitted_configuration(case: Case) -> str | None:
    """The configuration whose modules are on the robot, or None."""
    found = [item for item in case.defs.configurations.values() if is_fitted(case, item)]
    return min(found, key=lambda item: item.name).id if found else None


def judge_packs(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """The packs chosen for this fight are in the robot; if asked for."""
    places = [p.id for p in case.defs.positions.values() if p.role == "pack"]
    if case.fight() is not None and places and f"packs:{case.robot}" in asked:
        yield requirement("packs", case.robot, list(_packs(case, places)))


def _packs(case: Case, places: list[str]) -> Iterator[Ruling]:
    chosen, last = case.chosen(), case.ends().first()
    if chosen is None or (last is not None and chosen.order < last.order):
        yield Ruling("due", Because("no packs chosen"))
    elif str(chosen.detail["pack_set"]) not in case.defs.pack_sets:
        yield Ruling("due", Because("pack set unknown", (chosen,)), (chosen,))
    else:
        where = _where(case, places, chosen)
        yield where
        if where.because.code != "pack put away":
            yield from packs.rulings(case, case.packs(), call_at(case, case.fight()))


def _where(case: Case, places: list[str], chosen: Fact) -> Ruling:
    """Are the packs of the set in the robot, and is none put away?"""
    wanted = case.packs()
    name = (("pack_set", str(chosen.detail["pack_set"])),)
    for pack in wanted:
        where = case.put_away(pack)
        if where is not None:
            return Ruling("fail", Because("pack put away", (chosen,), (*name, ("pack", pack), ("where", where))))
    held = {part for part in (case.occupant(place) for place in places) if part is not None}
    if held != set(wanted):
        return Ruling("due", Because("packs not in", (chosen,), name), (chosen,))
    return Ruling("pass", Because("packs in", (chosen,), name), (chosen,))
