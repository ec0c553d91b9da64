"""When the robot is called: as entered, or as early as the event's rules allow."""

from __future__ import annotations

from pitcrew.readiness.case import Case
from pitcrew.robot.moments import MINUTE_MS
from pitcrew.robot.records import Fact


def call_at(case: Case, fight: Fact | None) -> int | None:
    """The call of the fight entered, or the earliest the robot can be called again; None when neither is known."""
    if fight is not None and fight.detail.get("call_at") is not None:
        return int(fight.detail["call_at"])
    return earliest_call(case)


def earliest_call(case: Case) -> int | None:
    """The last fight's end (or leaving the arena, as the event counts) plus the event's gap."""
    event, end = case.defs.event, case.ends().first()
    if event is None or event.gap_min is None or end is None:
        return None
    start: Fact | None = end
    if event.gap_counts_from == "leaving the arena":
        start = case.newest("fight_left", end.subject)
    return start.happened + round(event.gap_min * MINUTE_MS) if start is not None else None
