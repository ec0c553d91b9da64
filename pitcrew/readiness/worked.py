"""Parts straightened, welded, ground or drilled where they sit: lengths, mass and balance are not what was read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from pitcrew.engineering.uncertainty import Reading
from pitcrew.readiness import table
from pitcrew.readiness.case import Case
from pitcrew.readiness.figures import Figure
from pitcrew.readiness.stream import Stream, merged
from pitcrew.robot.kinds import IN_PLACE
from pitcrew.robot.records import Fact

# How far the mass of a part may have changed by working on it, of what it weighed: common practice, no source.
CHANGED_BY = 0.05


class Change(NamedTuple):
    """What was done to a part, and what it may have changed its mass by, kg."""

    work: Fact
    doubt: Reading


def works(case: Case, part: str) -> Stream:
    """Everything done to a part where it sits that may have changed its lengths, its mass or its balance."""

    def runs() -> Iterator[Fact]:
        mends = (mend for found in case.facts("finding", part) for mend in case.facts("mended", found.root))
        by_order = sorted((mend for mend in mends if mend.detail["how"] in IN_PLACE), key=_order, reverse=True)
        return merged(case.facts("worked", part), by_order)

    return case.stream("works", part, of=runs)


def _order(fact: Fact) -> tuple[int, int, str, str]:
    return fact.order


def worked_since(case: Case, part: str, weighings: Iterable[Fact]) -> Fact | None:
    """The newest work on a part that none of these weighings holds; None where the table has it unsettle no weight."""
    found = works(case, part)
    if found.first() is None or not table.disturbs(table.WORKED, "weight"):
        return None
    return case.uncleared(found, weighings)


def mass_changes(
    case: Case, parts: Iterable[tuple[str, Iterable[Fact]]], mass_of: Callable[[Case, str], Figure | None]
) -> list[Change]:
    """For each part worked on since it was last weighed, what its mass may have changed by: nothing, and a doubt.

    Args:
        case: the robot.
        parts: a part, and the weighings that hold what was done before them.
        mass_of: a part's mass, None if nobody knows it.
    """
    found = []
    for part, weighings in parts:
        work = worked_since(case, part, weighings)
        mass = mass_of(case, part) if work is not None else None
        if work is not None and mass is not None:
            found.append(Change(work, Reading(0.0, None, 0.0, 0.0, CHANGED_BY * mass.reading.value)))
    return found
