"""The worklist laid over the people there are: who does what from when, and when the robot is ready.

Jobs are taken in the order of the list, each as soon as its people, its zone and what must come before it allow. That
is what a crew does on its feet; it is a fair plan, not the shortest one that could be thought of.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from pitcrew.readiness.jobs import CHECK, FASTEN, MAKE_SAFE, OPEN, PACKS, WEIGH, Job
from pitcrew.robot.moments import MINUTE_MS

# Hands on the whole robot: nothing else goes on beside them.
ALONE = frozenset((MAKE_SAFE, OPEN, PACKS, WEIGH, CHECK))


# When somebody is not there for this robot: from, and up to, milliseconds UTC.
Spells = Sequence[tuple[int, int]]
NEVER: Mapping[str, Spells] = {}


class Laid(NamedTuple):
    """A job in its place: from and to in milliseconds UTC, and who does it."""

    job: Job
    start: int
    end: int
    people: tuple[str, ...]


class Plan(NamedTuple):
    """All jobs in their places, and when the last one ends (milliseconds UTC). `short` are jobs nobody can do."""

    laid: tuple[Laid, ...]
    ready_at: int
    short: tuple[Job, ...] = ()


def lay(jobs: Sequence[Job], people: Sequence[str], now: int, busy: Mapping[str, Spells] = NEVER) -> Plan:
    """Lay jobs over people from a moment (milliseconds UTC) on.

    Two jobs of one zone never overlap and keep the order of their stages; jobs on the whole robot are done alone; what
    comes before a check of the whole (packs, weighing, lists) is finished first. A job that wants more people than
    there are is done by all of them, and no job begins before its `after`.

    `busy` says when somebody is not there for this robot; nobody begins what they would have to leave.
    """
    free = dict.fromkeys(people, now)
    laid: list[Laid] = []
    short = tuple(jobs) if not people else ()
    for job in jobs if people else ():
        wanted = min(job.people, len(free))
        earliest = max(_after(job, laid, now), job.after or now)
        start = _start(job, earliest, wanted, free, busy)
        # Those free the longest go first, so that one who has just been busy is spared.
        hands = sorted(_there(job, start, free, busy), key=lambda who: (free[who], people.index(who)))[:wanted]
        end = start + job.minutes * MINUTE_MS
        laid.append(Laid(job, start, end, tuple(hands)))
        free.update(dict.fromkeys(hands, end))
    return Plan(tuple(laid), max((item.end for item in laid), default=now), short)


def _start(job: Job, earliest: int, wanted: int, free: Mapping[str, int], busy: Mapping[str, Spells]) -> int:
    """The first moment from the earliest on at which enough people are there for the whole of a job."""
    ends = (end for who in free for _, end in busy.get(who, ()))
    moments = sorted({earliest, *(at for at in (*free.values(), *ends) if at > earliest)})
    return next(at for at in moments if len(_there(job, at, free, busy)) >= wanted)


def _there(job: Job, start: int, free: Mapping[str, int], busy: Mapping[str, Spells]) -> list[str]:
    """Who is there for the whole of a job that begins then."""
    end = start + job.minutes * MINUTE_MS
    return [
        who
        for who, since in free.items()
        if since <= start and not any(first < end and start < last for first, last in busy.get(who, ()))
    ]


def _after(job: Job, laid: Sequence[Laid], now: int) -> int:
    """When everything that must come before a job is done."""
    return max((item.end for item in laid if _before(item.job, job)), default=now)


def _before(first: Job, then: Job) -> bool:
    """Must one job be finished before another, later in the list, begins?"""
    if first.stage in ALONE or then.stage in ALONE:
        return True
    if first.zone is None or then.zone is None:
        # Parts changed all over the robot: measuring and fastening wait for that.
        return then.stage > first.stage or first.stage == then.stage == FASTEN
    return first.zone == then.zone
