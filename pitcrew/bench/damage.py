"""What may have done the damage that was found: the blows a part felt and nobody looked into, and the joints there."""

from __future__ import annotations

from pitcrew.readiness.case import Case
from pitcrew.readiness.felt import felt_by, looks
from pitcrew.readiness.table import TURNED
from pitcrew.robot.definitions import Joint
from pitcrew.robot.records import Fact

RAISING = frozenset(("bent", "cracked", "shorted", TURNED))
"""What shows that the blow that did it was a hard one."""

MOST = 3


def blows_since(case: Case, part: str, most: int = MOST) -> tuple[Fact, ...]:
    """The blows a part felt since it was last looked at, of any grade, newest first; one hit of each, as it was felt.

    A part is looked at before something is said of it, so the blows of the last fight count too.
    """
    kind = case.kind(part)
    seen = looks(case, part, kind).first() if kind else case.newest("looked_at", part)
    end = case.ends().first()
    found: dict[str, Fact] = {}
    for hit in felt_by(case, part, 1):
        of_last_fight = end is not None and hit.detail.get("fight") == end.subject
        if seen is not None and hit.order < seen.order and not of_last_fight:
            break
        if not hit.detail.get("because"):
            found[hit.entry.act] = hit
        if len(found) == most:
            break
    return tuple(found.values())


def taken_out(case: Case, place: str) -> str | None:
    """The part that came out of an empty place since the last fight ended: what is wrong with it is seen only now."""
    moved, end = case.moves(place).first(), case.ends().first()
    if moved is None or end is None or case.occupant(place) is not None or moved.happened < end.happened:
        return None
    return moved.subject if case.sat(moved.subject, end) == place else None


def out_of(case: Case, part: str) -> str | None:
    """The place that a part sat at when the last fight ended and that is empty now; None where there is none."""
    end = case.ends().first()
    place = case.sat(part, end) if end is not None else None
    return place if place is not None and taken_out(case, place) == part else None


def joints_at(case: Case, place: str) -> tuple[Joint, ...]:
    """The joints whose marks can have turned at a place: those that hold it, else those of its zone."""
    holding = tuple(joint for joint in case.defs.joints.values() if place in joint.holds)
    return holding or tuple(joint for joint in case.defs.joints.values() if joint.zone == case.zone_of(place))
