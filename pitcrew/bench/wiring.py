"""Wiring, plugs, radios and memories: what was touched, so that what the robot does is checked again."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.desk import Desk
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.readiness.case import Case


def wiring_touched(desk: Desk, places: Sequence[str], note: str = "") -> list[Draft]:
    """Wiring, plugs or radios touched, each part named by the place it sits at or by itself; each once.

    Raises:
        EntryError: nothing is named or sits there, or it is no part of this robot.
    """
    if not places:
        raise EntryError("nothing is named.", "Say whose wiring was touched.", "wiring")
    touched = dict.fromkeys(own_part(desk, name) for name in places)
    return [desk.draft("rewired", part, place=place, note=note) for part, place in touched]


def memory_changed(desk: Desk, part_or_robot: str, note: str = "") -> list[Draft]:
    """The memory of a part changed, named by its place or by itself; the robot stands for its transmitter's.

    Raises:
        EntryError: nothing sits there, or it is no part of this robot.
    """
    part, place = (desk.robot, None) if part_or_robot == desk.robot else own_part(desk, part_or_robot)
    return [desk.draft("reprogrammed", part, place=place, note=note)]


def own_part(desk: Desk, name: str) -> tuple[str, str | None]:
    """One of this robot's own parts, named by its place or by itself, with the place it sits at here or none.

    Raises:
        EntryError: nothing sits there, or it is another robot's.
    """
    case = desk.case()
    part = case.occupant(name) if name in case.defs.positions else name
    if part is None or case.part(part) is None:
        raise EntryError("nothing sits there.", "Name a place that holds a part, or the part.", "place")
    # A check looks at the robot's own parts only: what it would pass over must not look logged.
    if all(fact.subject != part for fact in desk.evidence.definitions("part", desk.robot)):
        raise EntryError("that part is another robot's.", "Name the part of this robot it plugs into.", "part")
    return part, _sits_at(case, part)


def _sits_at(case: Case, part: str) -> str | None:
    last = case.whereabouts(part).first()
    place = last.entry.place if last is not None and last.entry.kind == "fitted" else None
    return place if place in case.defs.positions and case.occupant(place or "") == part else None
