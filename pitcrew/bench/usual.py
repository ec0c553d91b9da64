"""What a thing was last read as, and with what: the first guess for the next reading."""

from __future__ import annotations

from pitcrew.bench.subjects import Figured
from pitcrew.readiness.case import Case
from pitcrew.readiness.stacks import stack_value
from pitcrew.readiness.weights import mass_of
from pitcrew.robot.records import Fact

KINDS = {
    "joint": "torqued",
    "stack": "direct",
    "configuration": "weighed",
    "part": "part_weighed",
    "reading": "reading",
}
FIGURES = {"torqued": "torque_nm", "direct": "value_m", "reading": "value_m"}


def last_reading(case: Case, item: Figured) -> Fact | None:
    """The newest reading of a thing."""
    return case.newest(KINDS[item.group], item.ident)


def last_value(case: Case, item: Figured) -> float | None:
    """The last figure of a thing, SI; a joint's target where it was never torqued, a part's mass as it came."""
    fact = last_reading(case, item)
    name = FIGURES.get(KINDS[item.group], "value_kg")
    if fact is not None and fact.detail.get(name) is not None:
        return float(fact.detail[name])
    return _expected(case, item)


def _expected(case: Case, item: Figured) -> float | None:
    if item.group == "joint":
        return case.defs.joints[item.ident].target_nm
    if item.group == "stack":
        return stack_value(case, case.defs.stacks[item.ident]).value_m
    if item.group == "part":
        known = mass_of(case, item.ident)
        return known.reading.value if known else None
    if item.group == "reading":
        of, dimension = item.ident.rsplit("/", 1)
        part = case.part(of)
        came = part.dimensions.get(dimension) if part else None
        return came.value_m if came else None
    return None


def usual_instrument(case: Case, item: Figured) -> str | None:
    """What a thing is usually read with: what it was last read with, a joint's own wrench, the only one of its unit."""
    fact = last_reading(case, item)
    if fact is not None and fact.detail.get("instrument"):
        return str(fact.detail["instrument"])
    if item.group == "joint":
        return case.defs.joints[item.ident].wrench
    if item.group == "reading":
        of, dimension = item.ident.rsplit("/", 1)
        part = case.part(of)
        came = part.dimensions.get(dimension) if part else None
        if came is not None and came.instrument:
            return came.instrument
    official = case.defs.event.official_scale if case.defs.event else None
    alike = [tool.id for tool in case.defs.instruments.values() if tool.unit == item.unit and tool.id != official]
    return alike[0] if len(alike) == 1 or (alike and item.group == "configuration") else None
