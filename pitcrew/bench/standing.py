"""The one place where readiness and the logbook meet: a robot's standing, with its words, ready to be shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from pitcrew.bench import names, words
from pitcrew.bench.away import Away, away, busy
from pitcrew.bench.remembering import Remembered
from pitcrew.bench.saying import caveat_words, job_words
from pitcrew.bench.shifts import people
from pitcrew.errors import BookError
from pitcrew.readiness.case import Case
from pitcrew.readiness.jobs import Job, jobs
from pitcrew.readiness.judge import steps
from pitcrew.readiness.schedule import Plan, lay
from pitcrew.readiness.steps import Steps, finished
from pitcrew.readiness.verdict import Requirement, Standing, WeightRow
from pitcrew.robot.checklist import Checklist
from pitcrew.robot.definitions import gather
from pitcrew.robot.moments import MINUTE_MS, local
from pitcrew.robot.records import Evidence

# A book without a crew list: two people, as in most pits.
ANYBODY = ("1", "2")


class View(NamedTuple):
    """A robot at a moment: the case, its standing, the jobs that clear what blocks, and when they can be done.

    `people` are those the jobs are laid over, `away` says which of them are not there, and when.
    """

    case: Case
    standing: Standing
    jobs: tuple[Job, ...]
    plan: Plan
    people: tuple[str, ...] = ()
    away: tuple[Away, ...] = ()

    @property
    def robot(self) -> str:
        """The robot's name."""
        return self.case.defs.robot.name

    def job_of(self, requirement: Requirement) -> Job | None:
        """The job that clears a requirement."""
        return next((job for job in self.jobs if any(r.key == requirement.key for r in job.clears)), None)

    def warnings(self) -> list[str]:
        """What does not block and must not be forgotten, in sentences."""
        by_key = {item.key: item for item in self.standing.requirements}
        said = []
        for caveat in self.standing.warnings:
            item = by_key.get(caveat.subject)
            if item is None:
                said.append(caveat_words(self.case, caveat))
            else:
                said.append(f"{caveat.code}: {names.label(self.case, item)}, {words.reason(self.case, item)}")
        return said

    def ready_at(self, now: int) -> int:
        """When the work on the list can be done if it begins now, milliseconds UTC."""
        if not self.people or now // MINUTE_MS == self.standing.at // MINUTE_MS:
            return now + self.plan.ready_at - self.standing.at
        # Who is away and when packs are full does not move with the clock.
        return self.case.once("ready", str(now // MINUTE_MS), of=lambda: self._laid_at(now)) + now % MINUTE_MS

    def _laid_at(self, now: int) -> int:
        """When the work can be done if it begins at a whole minute."""
        minute = now // MINUTE_MS * MINUTE_MS
        return lay(self.jobs, self.people, minute, busy(self.away)).ready_at

    def spare_min(self, now: int) -> int | None:
        """Minutes between being ready and the call if work begins now, below zero when late; None without a call."""
        call = self.standing.call_at
        return None if call is None else call // MINUTE_MS - self.ready_at(now) // MINUTE_MS

    def minutes_to_call(self) -> int | None:
        """Whole minutes to the call, or None when the robot has none: no fight entered, earliest call gone by."""
        call = self.standing.call_at
        gone = call is None or (self.standing.fight is None and call < self.standing.at)
        return None if call is None or gone else call // MINUTE_MS - self.standing.at // MINUTE_MS


def view(evidence: Evidence, robot: str, now: int, checklists: Sequence[Checklist]) -> View:
    """Judge a robot by its id at a moment, ms UTC."""
    return finished(viewing(evidence, robot, now, checklists))


def viewing(evidence: Evidence, robot: str, now: int, checklists: Sequence[Checklist]) -> Steps[View]:
    """The same as `view` in small steps, for whoever must be back at the keys soon.

    On a book that is remembered, what it says the robot is is read once.

    Raises:
        BookError: with the first step, when the book does not know the robot.
    """
    definitions = evidence.gathered(robot) if isinstance(evidence, Remembered) else gather(evidence, robot)
    if definitions is None:
        raise BookError("the book does not know this robot.", "Name one that it has.", "robot")
    yield
    case = Case(evidence, definitions, now, checklists)
    standing = yield from steps(case)
    yield
    listed = jobs(case, case.once("standing", of=lambda: standing))
    there = tuple(people(evidence, now, _zone(case))) or ANYBODY
    gone = yield from away(case, there)
    return View(case, standing, listed, lay(listed, there, now, busy(gone)), there, gone)


def as_data(views: Sequence[View], book: str, at: int) -> dict[str, Any]:
    """Standings as plain data for a script."""
    zone = _zone(views[0].case) if views else "UTC"
    return {"book": book, "at": local(at, zone).isoformat(), "robots": [_robot(item) for item in views]}


def _zone(case: Case) -> str:
    return case.defs.event.time_zone if case.defs.event else "UTC"


def _robot(item: View) -> dict[str, Any]:
    standing, case = item.standing, item.case
    changes = standing.changes_at
    return {
        "robot": item.robot,
        "fight": str(standing.fight.detail["name"]) if standing.fight else None,
        "configuration": names.configuration_name(case, standing.configuration) if standing.configuration else None,
        "fit": standing.fit,
        "blocks": [_block(item, requirement) for requirement in standing.blocking],
        "met": [_met(item, requirement) for requirement in standing.requirements if not requirement.blocks],
        "warns": item.warnings(),
        "weights": [weight_data(case, row) for row in standing.weights],
        "minutes_to_call": item.minutes_to_call(),
        "changes_at": local(changes, _zone(case)).isoformat() if changes is not None else None,
    }


def _block(item: View, requirement: Requirement) -> dict[str, Any]:
    job = item.job_of(requirement)
    return {
        "requirement": names.label(item.case, requirement),
        "verdict": requirement.verdict,
        "reason": words.reason(item.case, requirement),
        "clears": job_words(item.case, job) if job else "",
        "minutes": job.minutes if job else 0,
        "evidence": list(requirement.evidence),
        "key": requirement.key,
    }


def _met(item: View, requirement: Requirement) -> dict[str, Any]:
    return {
        "requirement": names.label(item.case, requirement),
        "verdict": requirement.verdict,
        "reason": words.reason(item.case, requirement),
        "accepted": requirement.accepted.id if requirement.accepted else None,
        "evidence": list(requirement.evidence),
        "key": requirement.key,
    }


def weight_data(case: Case, row: WeightRow) -> dict[str, Any]:
    """One configuration's weight as plain data."""
    return {
        "configuration": names.configuration_name(case, row.configuration),
        "kg": row.kg,
        "u_kg": row.u_kg,
        "how": row.how,
        "limit_kg": row.limit_kg,
        "margin_kg": row.margin_kg,
        "verdict": row.verdict,
        "declared": row.declared,
        "entered": row.entered,
        "fitted": row.fitted,
    }
