"""Parts: looks that are due, dimensions with limits of their own, and places that stand empty."""

from __future__ import annotations

from collections.abc import Container, Iterator

from pitcrew.readiness import table
from pitcrew.readiness.acceptance import acceptance
from pitcrew.readiness.case import Case, first_end_after
from pitcrew.readiness.felt import felt_by, looks
from pitcrew.readiness.figures import length_against
from pitcrew.readiness.stream import merged
from pitcrew.readiness.verdict import EVERY, PASS, Because, Requirement, Ruling, requirement
from pitcrew.readiness.worked import works
from pitcrew.robot.definitions import Limit, PartKind
from pitcrew.robot.records import Fact


def judge_looks(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """One look for every part that counts: due when something disturbed it and nobody has looked since.

    Of the requirements asked for by key.
    """
    for part in case.scope():
        if f"look:{part}" in asked:
            yield from judge_look(case, part)


def judge_look(case: Case, part: str) -> Iterator[Requirement]:
    """The look at one part that counts; nothing where its kind is not known."""
    kind = case.kind(part)
    if kind is not None:
        yield requirement("look", part, [_look(case, part, kind)], case.zone_of(case.scope()[part]))


def _look(case: Case, part: str, kind: PartKind) -> Ruling:
    seen = looks(case, part, kind)
    disturbance = case.uncleared(look_disturbances(case, part, kind), seen)
    last = seen.first()
    if disturbance is None:
        return Ruling("pass", Because("looked at"), (last,)) if last else PASS
    code = {"fight_ended": "first fight", "hit": "hit since", "symptom": "driver says"}.get(
        disturbance.entry.kind, "worked since"
    )
    return Ruling("due", Because(code, (disturbance,)), (last,) if last else ())


def look_disturbances(case: Case, part: str, kind: PartKind) -> Iterator[Fact]:
    """Everything that asks for a look at a part, newest first."""
    runs: list[Iterator[Fact]] = []
    if table.disturbs(table.HIT, "look"):
        runs.append(felt_by(case, part, kind.look_from))
    if table.disturbs(table.SYMPTOM, "look"):
        runs.append(iter(case.facts("symptom", part)))
    if kind.first_look and table.disturbs(table.FIRST_FIGHT, "look"):
        runs.append(_first_fights(case, part))
    if kind.spins and table.disturbs(table.WORKED, "look"):
        runs.append(iter(works(case, part)))
    return merged(*runs)


def _first_fights(case: Case, part: str) -> Iterator[Fact]:
    """The first fight after each fitting as new, newest first."""
    ends = {}
    for fact in case.facts("fitted", part):
        if fact.detail.get("new"):
            end = first_end_after(case, fact, lambda end: _here(case, part, end))
            if end is not None:
                ends[end.id] = end
    return iter(sorted(ends.values(), key=lambda end: end.order, reverse=True))


def _here(case: Case, part: str, at: Fact) -> bool:
    place = case.sat(part, at)
    return place is not None and place in case.defs.positions


def judge_limits(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """Dimensions with limits of their own (a wheel's tread), wanted from the first reading of them on.

    Of the requirements asked for by key.
    """
    for part in case.scope():
        kind = case.kind(part)
        for limit in kind.limits if kind else ():
            subject = f"{part}/{limit.dimension}"
            if kind is not None and f"limit:{subject}" in asked and case.newest("reading", subject) is not None:
                yield judge_limit(case, part, kind, limit)


def judge_limit(case: Case, part: str, kind: PartKind, limit: Limit) -> Requirement:
    """One dimension, read before, of a part that counts, against the limits of its kind."""
    subject = f"{part}/{limit.dimension}"
    zone = case.zone_of(case.scope()[part])
    readings = case.facts("reading", subject)
    newest = next(iter(readings))
    rulings: list[Ruling] = []
    if table.disturbs(table.HIT, "limit"):
        hit = case.uncleared(felt_by(case, part, kind.look_from), readings)
        if hit is not None:
            rulings.append(Ruling("recheck", Because("hit since", (hit,)), (newest,)))
    worked = case.uncleared(works(case, part), readings) if table.disturbs(table.WORKED, "limit") else None
    if worked is not None:
        rulings.append(Ruling("recheck", Because("worked since", (worked,)), (newest,)))
    decision, figures = length_against(case, newest, limit.low_m, limit.high_m)
    # A hit mends nothing that was found out of limits; working on the part may have.
    if not rulings or (decision.word == "fail" and worked is None):
        rulings.append(Ruling(decision.word, Because("read", (newest,), figures), (newest,), decision.inside))
    taken = None
    if decision.word == "marginal":
        taken = acceptance(case, f"limit:{subject}", [newest], decision.inside)
    return requirement("limit", subject, rulings, zone, taken)


def judge_empty(case: Case, asked: Container[str] = EVERY) -> Iterator[Requirement]:
    """Fixed places that must hold something and hold nothing; of those asked for by key."""
    for position in case.defs.positions.values():
        filled = position.role == "fixed" and not position.may_be_empty
        if filled and f"empty:{position.id}" in asked and case.occupant(position.id) is None:
            last = case.placed(position.id).first()
            because = Because("nothing fitted", (last,) if last else ())
            yield requirement("empty", position.id, [Ruling("fail", because)], position.zone)
