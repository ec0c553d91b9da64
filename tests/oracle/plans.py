"""Small random robots: what is defined before anything happens, with figures near their limits."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any, NamedTuple

from pitcrew.robot.checklist import Checklist, Line
from pitcrew.robot.kinds import KINDS

ROBOT = "r1"
OTHER = "r2"
EVENT = "ev"
BASE_M = 0.010
"""What every dimension is, give or take a few steps, so that sums land on both sides of their limits."""
STEP_M = 5e-5
DIMENSIONS = ("d", "w")
CREW = ("AB", "CD", "EF")
CALIPERS = ("cal", "mic", "tape")
WRENCHES = ("wr", "bar")
SCALES = ("off", "shed", "kit")
PACK_KINDS = ("k-pack", "k-cell")
BOXES = ("bolts", "nuts")
VOLTS = (4.2, 4.2, 4.2, 4.18, 4.15, 4.15, 4.15, 4.149, 3.8)
OHMS = (0.002, 0.002, 0.0022, 0.0025, 0.00251)
KELVINS = (295.15, 303.15, 303.16, 318.15, 318.15)
COULOMBS = (0.0, 4800.0, 4800.0, 4800.0001, 4800.0001, 4800.001, 4810.0, 14400.0)
"""At 8 A ten minutes, a hair more, and half an hour."""
GROUPS = ("look", "joint", "locking", "stack", "limit", "life", "finding", "weight", "configuration", "packs")
INSTRUMENTS: dict[str, dict[str, Any]] = {
    "cal": {"unit": "m", "resolution": 1e-5, "permissible": 3e-5},
    "mic": {"unit": "m", "resolution": 1e-6, "permissible": 2e-6, "offset": 2e-5},
    "tape": {"unit": "m", "resolution": 1e-5, "permissible_percent": 1.0},
    "wr": {"unit": "N m", "resolution": 0.1, "permissible_percent": 4.0},
    "bar": {"unit": "N m", "resolution": 0.5, "permissible": 0.4, "offset": -0.3},
    "off": {"unit": "kg", "resolution": 0.05, "permissible": 0.0, "offset": 0.06},
    "shed": {"unit": "kg", "resolution": 0.02, "permissible": 0.04, "offset": -0.06},
    "kit": {"unit": "kg", "resolution": 0.005, "permissible_percent": 1.0},
}
LOCKERS: dict[str, dict[str, Any]] = {
    "blue-steel": {"name": "blue", "material": "steel", "primer": False, "set_min": 20},
    "blue-steel-p": {"name": "blue", "material": "steel", "primer": True, "set_min": 5},
    "red-alloy-p": {"name": "red", "material": "alloy", "primer": True, "set_min": 10},
}

Detail = dict[str, Any]


class Draft(NamedTuple):
    """What an entry is to say, before it is written."""

    kind: str
    subject: str
    detail: Detail
    place: str | None = None
    grade: int | None = None
    robot: str | None = ROBOT


class Plan(NamedTuple):
    """A robot in outline: ids, which parts belong where, and what its parts weigh."""

    zones: tuple[str, ...]
    roles: dict[str, str]
    parts: dict[str, tuple[str, ...]]
    packs: tuple[str, ...]
    kinds: tuple[str, ...]
    joints: tuple[str, ...]
    stacks: tuple[str, ...]
    configurations: tuple[str, ...]
    pack_sets: tuple[str, ...]
    masses: dict[str, float]
    checklists: tuple[Checklist, ...]

    def all_parts(self) -> list[str]:
        return sorted({part for parts in self.parts.values() for part in parts} | set(self.packs))

    def of_role(self, role: str) -> list[str]:
        return [q for q, has in self.roles.items() if has == role]

    def nominal_kg(self) -> float:
        """About what the robot weighs with the first part of each position in it."""
        return sum(self.masses[parts[0]] for parts in self.parts.values())


def chance(rng: Random, of: float) -> bool:
    return rng.random() < of


def near(rng: Random, least: int = -3, most: int = 3) -> float:
    """A dimension a few steps from its base."""
    return round(BASE_M + rng.randint(least, most) * STEP_M, 7)


def some(rng: Random, things: tuple[str, ...] | list[str], most: int) -> list[str]:
    return rng.sample(list(things), min(len(things), rng.randint(0, most)))


def maybe(rng: Random, of: float, detail: Detail) -> Detail:
    return detail if chance(rng, of) else {}


def limits(rng: Random, middle: float, *, must: bool) -> Detail:
    """Limits a step or two around a middle; with `must`, at least one."""
    low = rng.choice((-2, -1, -1, 0, None))
    high = rng.choice((1, 1, 2, 4, None))
    if must and low is None and high is None:
        high = 1
    bounds = {"low_m": low, "high_m": high}
    return {name: round(middle + k * STEP_M, 7) for name, k in bounds.items() if k is not None}


def event_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    limit = max(0.1, round(plan.nominal_kg() + rng.choice((-0.3, -0.05, 0.0, 0.05, 0.1, 0.3)), 3))
    return {
        "name": subject,
        "weight_rule": rng.choice(("entered", "declared")),
        **maybe(rng, 0.85, {"limit_kg": limit}),
        **maybe(rng, 0.3, {"allowance_kg": 0.1}),
        **maybe(rng, 0.9, {"official_scale": "off"}),
        **maybe(rng, 0.5, {"walk_min": rng.choice((0, 5))}),
        **maybe(rng, 0.4, {"tip_speed_cap_m_s": 90.0}),
        **maybe(rng, 0.6, {"clock_doubt_s": rng.choice((0, 60, 120, 300))}),
        **maybe(rng, 0.7, {"gap_min": rng.choice((0, 10, 30, 45))}),
        **maybe(rng, 0.5, {"gap_counts_from": rng.choice(("fight end", "leaving the arena"))}),
    }


def instrument_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    sheet = {"name": subject, **INSTRUMENTS[subject]}
    if chance(rng, 0.2):
        sheet["offset"] = 0.0
    return sheet


def locker_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    return {**LOCKERS[subject], "set_min": LOCKERS[subject]["set_min"] * rng.choice((1, 1, 2))}


def charging_detail(rng: Random) -> Detail:
    """What packs of a kind are charged and judged by, most times not all of it."""
    return {
        **maybe(rng, 0.3, {"cells": 2, "capacity_coulomb": 28800.0, "storage_v": 3.8}),
        **maybe(rng, 0.85, {"current_a": rng.choice((8.0, 8.0, 8, 0.0))}),
        **maybe(rng, 0.85, {"full_v": rng.choice((4.15, 4.15, 4.2))}),
        **maybe(rng, 0.8, {"spread_ohm": rng.choice((0.0005, 0.0005, 0.0002))}),
        **maybe(rng, 0.8, {"equal_v": rng.choice((0.05, 0.05, 0.03))}),
        **maybe(rng, 0.8, {"cool_k": 303.15}),
        **maybe(rng, 0.8, {"cool_min": rng.choice((0, 15, 15, 30))}),
        **maybe(rng, 0.6, {"tail_min": rng.choice((0, 1, 10))}),
    }


def life_detail(rng: Random) -> Detail:
    """Lives short enough to be used up."""
    return {
        **maybe(rng, 0.2, {"life_fights": rng.choice((1, 2, 3))}),
        **maybe(rng, 0.2, {"life_hard_hits": rng.choice((1, 2, 3))}),
    }


def kind_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    flags = {
        name: True for name in ("load_path", "first_look", "function_check", "spins", "sets_speed") if chance(rng, 0.4)
    }
    bounded = [{"dimension": d, **limits(rng, BASE_M, must=True)} for d in DIMENSIONS if chance(rng, 0.5)]
    return {
        "name": subject,
        "look_from": rng.choice((1, 2, 2, 3, 4)),
        "look": rng.choice(("own", "zone")),
        **flags,
        **({"pack": True} if subject in PACK_KINDS else {}),
        **(maybe(rng, 0.9, {"charging": charging_detail(rng)}) if subject in PACK_KINDS else {}),
        **life_detail(rng),
        **({"limits": bounded} if bounded else {}),
    }


def robot_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    sign = maybe(rng, 0.5, {"sign_off": chance(rng, 0.9)})
    return {"name": subject, **maybe(rng, 0.95, {"event": EVENT}), **sign}


def zone_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    return {"name": subject, **maybe(rng, 0.7, {"passes_to": some(rng, plan.zones, 2)})}


def position_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    role = plan.roles[subject]
    shown = {} if role == "fixed" and chance(rng, 0.5) else {"role": role}
    flag = maybe(rng, 0.4, {"may_be_empty": chance(rng, 0.5)})
    return {"name": subject, "zone": rng.choice(plan.zones), **shown, **flag}


def part_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    is_pack = subject in plan.packs
    kind = rng.choice(("k-pack", "k-pack", "k-cell")) if is_pack else rng.choice(plan.kinds)
    if chance(rng, 0.03):
        kind = "unknown"
    stated: Detail = {}
    for dimension in DIMENSIONS:
        if chance(rng, 0.6):
            doubt = rng.choice(({"instrument": "cal"}, {"instrument": "mic"}, {"tolerance_m": STEP_M}, {}))
            stated[dimension] = {"value_m": near(rng, -2, 2), **doubt}
    mass = rng.choice(({"mass_instrument": "kit"}, {"mass_instrument": "shed"}, {"mass_tolerance_kg": 0.02}, {}))
    return {
        "name": subject,
        "part_kind": kind,
        **maybe(rng, 0.9, {"mass_kg": plan.masses[subject], **mass}),
        **({"dimensions": stated} if stated else {}),
        **maybe(rng, 0.2, {"fights": rng.choice((0, 1, 2))}),
        **maybe(rng, 0.2, {"hard_hits": rng.choice((0, 1, 2))}),
        **(maybe(rng, 0.6, {"ohm_per_cell": rng.choice(OHMS)}) if is_pack else {}),
    }


def joint_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    return {
        "name": subject,
        "zone": rng.choice(plan.zones),
        "count": rng.choice((1, 2, 3)),
        "locking": rng.choice(("threadlocker", "lock nuts", "wedge washers", "none")),
        "recheck_from": rng.choice((1, 2, 2, 3, 4)),
        **maybe(rng, 0.8, {"target_nm": 10, **maybe(rng, 0.75, {"band_percent": rng.choice((0, 5, 10, 10, 10, 20))})}),
        **maybe(rng, 0.5, {"locker_name": rng.choice(("blue", "red"))}),
        **maybe(rng, 0.9, {"material": rng.choice(("steel", "steel", "alloy"))}),
        **maybe(rng, 0.8, {"max_uses": rng.choice((1, 2, 3))}),
        **maybe(rng, 0.5, {"wrench": rng.choice(WRENCHES)}),
        **maybe(rng, 0.3, {"second": chance(rng, 0.8)}),
        **maybe(rng, 0.8, {"holds": some(rng, list(plan.roles), 2)}),
        **maybe(rng, 0.2, {"stock": rng.choice(BOXES)}),
        **maybe(rng, 0.25, {"through": some(rng, [*plan.joints, "unknown"], 2)}),
    }


def chain(plan: Plan, rng: Random, net: int) -> list[Detail]:
    """Signed pieces that come to about `net` times the base."""
    signs = [1, -1] if net == 0 else rng.choice(([1], [1, 1, -1], [1, -1, 1]))
    places = [*plan.of_role("fixed"), *plan.of_role("module"), *plan.of_role("shim")]
    pieces = []
    for place, sign in enumerate(signs):
        if chance(rng, 0.75):
            own = {"dimension": rng.choice(DIMENSIONS), "position": rng.choice(places)}
        else:
            own = {"dimension": rng.choice(("g", "h"))}
        pieces.append({"sign": sign, "name": f"piece {place}", **own})
    return pieces


def stack_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    net = rng.choice((0, 1, 1))
    return {
        "name": subject,
        "zones": some(rng, plan.zones, 2),
        "recheck_from": rng.choice((1, 2, 3, 4)),
        "chains": [chain(plan, rng, net) for _ in range(rng.choice((1, 1, 2, 3)))],
        **limits(rng, net * BASE_M, must=chance(rng, 0.9)),
        **maybe(rng, 0.3, {"positions": some(rng, list(plan.roles), 1)}),
        **maybe(rng, 0.5, {"joints": some(rng, plan.joints, 2)}),
        **maybe(rng, 0.25, {"only_in": some(rng, plan.configurations, 2)}),
    }


def configuration_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    named: dict[str, str | None] = {}
    for q in plan.of_role("module"):
        if chance(rng, 0.85):
            first = subject == plan.configurations[0] and chance(rng, 0.7)
            named[q] = plan.parts[q][0] if first else rng.choice((*plan.parts[q], None))
    for q in plan.of_role("shim"):
        if chance(rng, 0.5):
            named[q] = rng.choice((*plan.parts[q], None))
    return {"name": subject, "parts": named}


def pack_set_detail(plan: Plan, rng: Random, subject: str) -> Detail:
    size = max(1, len(plan.of_role("pack")))
    fitted = [plan.parts[q][0] for q in plan.of_role("pack")]
    first = subject == plan.pack_sets[0] and fitted
    return {"name": subject, "packs": fitted if first else rng.sample(plan.packs, min(size, len(plan.packs)))}


MAKERS: dict[str, Callable[[Plan, Random, str], Detail]] = {
    "event": event_detail,
    "instrument": instrument_detail,
    "locker": locker_detail,
    "part_kind": kind_detail,
    "robot": robot_detail,
    "zone": zone_detail,
    "position": position_detail,
    "part": part_detail,
    "joint": joint_detail,
    "stack": stack_detail,
    "configuration": configuration_detail,
    "pack_set": pack_set_detail,
    "stock": lambda plan, rng, subject: {"name": subject, **maybe(rng, 0.5, {"wanted": rng.choice((0, 4))})},
    "crew": lambda plan, rng, subject: {"role": rng.choice(("driver", "pit boss"))},
}


def subjects(plan: Plan) -> dict[str, list[str]]:
    """Everything a plan defines, by kind."""
    return {
        "event": [EVENT],
        "crew": list(CREW),
        "instrument": list(INSTRUMENTS),
        "locker": list(LOCKERS),
        "part_kind": [*plan.kinds, *PACK_KINDS],
        "stock": list(BOXES),
        "robot": [ROBOT],
        "zone": list(plan.zones),
        "position": list(plan.roles),
        "part": plan.all_parts(),
        "joint": list(plan.joints),
        "stack": list(plan.stacks),
        "configuration": list(plan.configurations),
        "pack_set": list(plan.pack_sets),
    }


def definition(plan: Plan, rng: Random, kind: str, subject: str) -> Draft:
    robot = ROBOT if KINDS[kind].robot else None
    return Draft(kind, subject, MAKERS[kind](plan, rng, subject), robot=robot)


def definitions(plan: Plan, rng: Random) -> list[Draft]:
    return [definition(plan, rng, kind, s) for kind, named in subjects(plan).items() for s in named]


def tiny_line(rng: Random, name: str) -> Line:
    line = Line(name, "Look", "common practice", None, chance(rng, 0.3), chance(rng, 0.3), None, None, None, None)
    # What wants a second person is never answered by the book.
    if line.second or chance(rng, 0.6):
        return line
    return line._replace(evidence=tuple(rng.sample(GROUPS, rng.choice((1, 1, 2)))))


def tiny_checklist(rng: Random, name: str) -> Checklist:
    lines = tuple(tiny_line(rng, f"l{i}") for i in range(rng.choice((1, 1, 2, 3))))
    stale = tuple(word for word in ("fight_ended", "function_part_moved") if chance(rng, 0.6))
    return Checklist(name, name, "before the call", "one fight", 1, 2, 1, False, (), lines, stale)


def random_roles(rng: Random) -> dict[str, str]:
    """What its positions are for."""
    roles = {"q0": "fixed", "q1": "module"}
    for i in range(2, rng.randint(3, 8)):
        roles[f"q{i}"] = rng.choice(("fixed", "fixed", "fixed", "module", "shim", "pack"))
    for i in range(len(roles), len(roles) + (2 if chance(rng, 0.25) else 0)):
        roles[f"q{i}"] = "pack"
    return roles


def named(letter: str, count: int) -> tuple[str, ...]:
    return tuple(f"{letter}{i}" for i in range(count))


def plan_of(rng: Random, roles: dict[str, str], zones: int, joints: int, stacks: int) -> Plan:
    """A robot with these positions and so many zones, joints and stacks."""
    packs = named("pack", 3)
    parts: dict[str, tuple[str, ...]] = {}
    free = list(packs)
    for q, role in roles.items():
        if role == "pack":
            parts[q] = (free.pop(0) if free else packs[-1], *rng.sample(packs, 1))
        else:
            parts[q] = tuple(f"p{q[1:]}{letter}" for letter in "abc"[: rng.choice((1, 2, 2, 3))])
    everything = [part for of_place in parts.values() for part in of_place] + list(packs)
    return Plan(
        zones=named("z", zones),
        roles=roles,
        parts=parts,
        packs=packs,
        kinds=named("k", rng.randint(1, 3)),
        joints=named("j", joints),
        stacks=named("s", stacks),
        configurations=named("c", rng.randint(1, 3)),
        pack_sets=named("ps", rng.randint(1, 2)),
        masses={part: rng.choice((0.3, 0.5, 0.55, 1.0)) for part in everything},
        checklists=tuple(tiny_checklist(rng, f"list{i}") for i in range(rng.randint(1, 2))),
    )


def random_plan(rng: Random) -> Plan:
    return plan_of(rng, random_roles(rng), rng.randint(2, 5), rng.randint(1, 3), rng.randint(1, 2))
