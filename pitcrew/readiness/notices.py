"""What blocks nothing and must not be forgotten before a fight: parts not run in, findings piling up in one zone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from pitcrew.readiness.case import Case, first_end_after
from pitcrew.readiness.verdict import Caveat, Requirement
from pitcrew.robot.records import Fact

PILED_UP = 2  # findings run as is in one zone: common practice, no source


def not_run_in(case: Case) -> Iterator[Caveat]:
    """Motors, ESCs and the like fitted new, with neither a bench test nor a fight since, when a fight is entered."""
    for position in case.defs.positions.values() if case.fight() is not None else ():
        part = case.occupant(position.id)
        kind = case.kind(part) if part is not None else None
        if part is None or kind is None or not kind.function_check:
            continue
        fitted = case.whereabouts(part).first()
        if fitted is not None and fitted.detail.get("new") and not _run(case, part, fitted):
            yield Caveat("not run in", part, (("position", position.id),))


def _run(case: Case, part: str, fitted: Fact) -> bool:
    """Was the part tested on the bench, by itself or with its robot, or in a fight, after it was fitted?"""
    tests = (case.newest("bench_tested", subject) for subject in (part, case.robot))
    return any(test is not None and test.order > fitted.order for test in tests) or (
        first_end_after(case, fitted) is not None
    )


def piling_up(requirements: Iterable[Requirement]) -> Iterator[Caveat]:
    """Zones in which several findings are run as is."""
    zones = Counter(item.zone for item in requirements if item.verdict == "deferred" and item.zone is not None)
    for zone, count in zones.items():
        if count >= PILED_UP:
            yield Caveat("piling up", zone, (("count", count),))
