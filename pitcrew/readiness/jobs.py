"""The worklist: what hands do next, in the order to do it.

A job is the set of requirements that one action clears. Each blocking requirement stands in exactly one job, so
that what the jobs clear adds up to what blocks. Packs out clears nothing and must be done, so it stands there too.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil
from typing import NamedTuple

from pitcrew.readiness.case import Case
from pitcrew.readiness.packs import charge_of, charging_of, ready_at
from pitcrew.readiness.verdict import WORST_FIRST, Requirement, Standing
from pitcrew.robot.definitions import Stack

LAST = 1_000  # among the jobs of a stage; no list is of so high an order
MAKE_SAFE, OPEN, LOOK, REPAIR, MEASURE, FASTEN, PACKS, WEIGH, CHECK = range(9)

Grouping = tuple[int, str, str]


class Job(NamedTuple):
    """One thing to do: its action, what it is about, where, the requirements it clears, minutes and people.

    It cannot begin before `after` (milliseconds UTC), where that is given: packs go in when they are full. The minutes
    are a practised two-person crew's, common practice; the crew's own will differ.
    """

    stage: int
    action: str
    subject: str
    zone: str | None
    clears: tuple[Requirement, ...]
    minutes: int
    people: int = 1
    after: int | None = None

    @property
    def verdict(self) -> str:
        """The worst verdict among what it clears; empty when it clears nothing."""
        words = {item.verdict for item in self.clears}
        return next((word for word in WORST_FIRST if word in words), "")


def jobs(case: Case, standing: Standing) -> tuple[Job, ...]:
    """The jobs that clear everything that blocks, in order."""
    runs = _stack_runs(case, standing.blocking)
    grouped: dict[Grouping, list[Requirement]] = {}
    for item in standing.blocking:
        grouped.setdefault(_grouping(case, item, runs), []).append(item)
    found = [_job(case, grouping, items) for grouping, items in grouped.items()]
    if _packs_still_in(case):
        found.append(Job(OPEN, "packs out", case.robot, None, (), 3))
    if _wants_charging(case, standing.blocking):
        found.append(Job(OPEN, "charge packs", case.robot, None, (), 2))
    zones = {zone: index for index, zone in enumerate(case.defs.zones)}
    return tuple(sorted(found, key=lambda job: (job.stage, _rank(case, job), zones.get(job.zone or "", 99))))


def _rank(case: Case, job: Job) -> int:
    if job.action == "check":
        return next((item.order for item in case.checklists if item.id == job.subject), 0)
    if job.action == "sign":
        return LAST
    return WORST_FIRST.index(job.verdict) if job.stage == REPAIR else 0


def _grouping(case: Case, item: Requirement, runs: dict[str, str]) -> Grouping:
    """Stage, action and subject of the job this requirement belongs to."""
    if item.group == "check":
        order = sorted((each for each in case.checklists if each.each_fight), key=lambda each: each.order)
        first = bool(order) and order[0].id == item.subject
        return (MAKE_SAFE if first else CHECK, "check", item.subject)
    if item.group == "look":
        return _look_grouping(case, item)
    if item.group == "joint":
        marks = all(reason.code.startswith(("hit", "first fight")) for reason in item.because)
        return (LOOK, "look over", item.zone or "") if marks else (FASTEN, "torque", item.subject)
    if item.group == "stack":
        return (MEASURE, "measure", runs[item.subject])
    fixed = {
        "finding": (REPAIR, "mend"),
        "empty": (REPAIR, "fit"),
        "life": (REPAIR, "renew"),
        "configuration": (REPAIR, "change over"),
        "hand": (LOOK, "hand check"),
        "limit": (MEASURE, "measure part"),
        "tip": (MEASURE, "tip speed"),
        "locking": (FASTEN, "torque"),
        "packs": (PACKS, "packs in"),
        "weight": (WEIGH, "weigh"),
        "signed": (CHECK, "sign"),
    }
    return (*fixed[item.group], item.subject)


def _look_grouping(case: Case, item: Requirement) -> Grouping:
    kind = case.kind(item.subject)
    if kind is not None and kind.pack:
        return (LOOK, "look at packs", case.robot)
    if kind is not None and kind.look == "zone" and item.zone:
        return (LOOK, "look over", item.zone)
    return (LOOK, "look at each", item.zone or item.subject)


def _stack_runs(case: Case, items: Iterable[Requirement]) -> dict[str, str]:
    """Stacks that share a piece are measured in one run: each stack's run goes by its first stack."""
    runs: dict[str, str] = {}
    for item in items:
        if item.group == "stack":
            stack = case.defs.stacks[item.subject]
            runs[stack.id] = next((runs[other] for other in runs if _shares(stack, case.defs.stacks[other])), stack.id)
    return runs


def _shares(stack: Stack, other: Stack) -> bool:
    keys = {(piece.position, piece.dimension) for piece in stack.pieces()}
    return any((piece.position, piece.dimension) in keys for piece in other.pieces())


def _job(case: Case, grouping: Grouping, items: list[Requirement]) -> Job:
    stage, action, subject = grouping
    people = 1
    if action == "check":
        checklist = next(item for item in case.checklists if item.id == subject)
        return Job(stage, action, subject, None, tuple(items), checklist.minutes, checklist.people)
    if action == "change over":
        people = 2
    if action == "packs in":
        ready = ready_at(case, case.packs()) if _chosen(items) else None
        after = ready if ready is not None and ready > case.now else None
        return Job(stage, action, subject, None, tuple(items), _minutes(case, action, items), people, after)
    return Job(stage, action, subject, items[0].zone, tuple(items), _minutes(case, action, items), people)


def _minutes(case: Case, action: str, items: list[Requirement]) -> int:
    fixed = {
        "mend": 10,
        "fit": 10,
        "renew": 10,
        "change over": 8,
        "hand check": 1,
        "measure part": 1,
        "tip speed": 3,
        "packs in": 2,
        "weigh": 5,
        "sign": 1,
    }
    if action == "torque":
        joint = case.defs.joints.get(items[0].subject)
        return 1 + ceil((joint.fastener_count if joint else 1) / 4)
    if action == "measure":
        return 2 + len(items)
    return fixed.get(action, ceil(len(items) / 2))


def _chosen(items: Iterable[Requirement]) -> bool:
    """Are the packs chosen, as far as these requirements say?"""
    codes = {because.code for item in items for because in item.because}
    return not codes & {"no packs chosen", "pack set unknown", "pack put away"}


def _wants_charging(case: Case, items: Iterable[Requirement]) -> bool:
    """Must packs that were chosen go on the charger before they go in?"""
    wanted = [item for item in items if item.group == "packs"]
    states = [charge_of(case, pack).state for pack in case.packs() if charging_of(case, pack)] if wanted else []
    return _chosen(wanted) and any(state in ("used", "not full") for state in states)


def _packs_still_in(case: Case) -> bool:
    """Is a pack that was in at the end of the last fight still in?"""
    end = case.ends().first()
    if end is None or (case.fight() is not None and case.newest("fight_started", case.fight_id()) is not None):
        return False
    places = [position for position in case.defs.positions.values() if position.role == "pack"]
    for position in places:
        pack = case.occupant(position.id)
        if pack is not None and case.sat(pack, end) == position.id and _untouched(case, position.id, end.happened):
            return True
    return False


def _untouched(case: Case, position: str, since: int) -> bool:
    last = case.moves(position).first()
    return last is None or last.happened <= since
