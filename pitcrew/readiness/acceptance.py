"""A marginal reading taken on by name: for one fight, and only while it rests on the readings it was given for."""

from __future__ import annotations

from collections.abc import Iterable

from pitcrew.readiness.case import Case
from pitcrew.robot.records import Fact


def acceptance(case: Case, key: str, rests_on: Iterable[Fact], inside: bool) -> Fact | None:
    """The acceptance that makes this marginal requirement count as met, or None.

    It must be for the fight entered, the value itself must lie inside its limits, and every entry the verdict
    rests on now must be among those that were accepted.
    """
    fight = case.fight()
    given = case.newest("accepted", key)
    if given is None or fight is None or not inside or given.detail["fight"] != fight.subject:
        return None
    taken = set(given.detail["rests_on"])
    return given if all(fact.id in taken for fact in rests_on) else None
