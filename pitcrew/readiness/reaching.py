"""Reaching one joint opens others: declared once with the joint, and followed as far as it goes."""

from __future__ import annotations

from pitcrew.readiness.case import Case
from pitcrew.robot.definitions import Joint


def reaching(case: Case, joint: Joint) -> tuple[Joint, ...]:
    """The other joints that are reached through this one, straight or through others in between."""
    return case.once("reaching", joint.id, of=lambda: _reaching(case, joint.id))


def _reaching(case: Case, joint: str) -> tuple[Joint, ...]:
    if not any(other.through for other in case.defs.joints.values()):
        return ()
    found = {joint}
    edge = {joint}
    while edge:
        edge = {other.id for other in case.defs.joints.values() if edge & set(other.through)} - found
        found |= edge
    return tuple(other for other in case.defs.joints.values() if other.id in found - {joint})
