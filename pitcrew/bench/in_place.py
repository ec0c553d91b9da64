"""What is done to a part where it sits, and which joints must be undone to reach another."""

from __future__ import annotations

from collections.abc import Sequence

from pitcrew.bench.desk import Desk, known
from pitcrew.bench.wiring import own_part
from pitcrew.errors import EntryError
from pitcrew.logbook.writing import Draft
from pitcrew.robot.kinds import IN_PLACE


def worked(desk: Desk, part_or_place: str, how: str, note: str = "") -> list[Draft]:
    """A part was straightened, welded, ground or drilled where it sits, with no finding behind it.

    Raises:
        EntryError: nothing sits there, it is no part of this robot, or it was done in no such way.
    """
    if how not in IN_PLACE:
        hint = "Say straightened, welded, ground or drilled."
        raise EntryError(f"{how!r:.30} is not working on a part.", hint, "how")
    part, place = own_part(desk, part_or_place)
    return [desk.draft("worked", part, {"how": how}, place=place, note=note)]


def reached_through(desk: Desk, joint: str, others: Sequence[str]) -> list[Draft]:
    """From now on opening a joint opens these others, by id, which must be undone to reach it; none: it is free.

    Raises:
        EntryError: there is no such joint, or it would be reached through itself.
    """
    joints = desk.definitions().joints
    for name in (joint, *others):
        known(joints, name, "joint")
    if joint in others:
        raise EntryError("a joint is not reached through itself.", "Name another joint.", "joint")
    fact = next(desk.evidence.facts("joint", joint))
    return [desk.draft("joint", joint, {**fact.detail, "through": list(dict.fromkeys(others))})]
