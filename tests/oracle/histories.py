"""Random histories of small random robots: every kind of entry, corrected, withdrawn, by clocks that differ."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random
from typing import Any, NamedTuple

from pitcrew.robot.checklist import Checklist
from pitcrew.robot.kinds import DEFINITION_KINDS
from pitcrew.robot.records import Entry

from .desk import MINUTE, Desk
from .plans import (
    CALIPERS,
    DIMENSIONS,
    EVENT,
    OTHER,
    ROBOT,
    SCALES,
    STEP_M,
    WRENCHES,
    Draft,
    Plan,
    chance,
    definition,
    definitions,
    near,
    random_plan,
    some,
    subjects,
)

WHATS = ("bent", "cracked", "shorted", "stripped", "worn", "marks turned", "torn")
FIGHTS = ("f1", "f2", "f3")


class Case(NamedTuple):
    """A book to judge: its entries, the robot, the moment (ms UTC), the cut (tick), and the checklists."""

    entries: tuple[Entry, ...]
    robot: str
    now: int
    cut: int
    checklists: Sequence[Checklist]


class Play(NamedTuple):
    """What acts are made with."""

    plan: Plan
    rng: Random
    desk: Desk

    def place(self) -> str:
        """Any position."""
        return self.rng.choice(list(self.plan.roles))

    def part(self) -> str:
        """Any part."""
        return self.rng.choice(self.plan.all_parts())

    def zone(self) -> str:
        """Any zone."""
        return self.rng.choice(self.plan.zones)

    def fasteners(self) -> Any:
        """All fasteners, or some."""
        return "all" if chance(self.rng, 0.6) else sorted(self.rng.sample((1, 2, 3), self.rng.randint(1, 2)))

    def newest(self, kind: str) -> Entry | None:
        """The last entry written of a kind."""
        return next((entry for entry in reversed(self.desk.entries) if entry.kind == kind), None)

    def any_of(self, kind: str) -> Entry | None:
        """Some entry of a kind."""
        found = [entry for entry in self.desk.entries if entry.kind == kind]
        return self.rng.choice(found) if found else None


def _some_detail(rng: Random, **fields: Any) -> dict[str, Any]:
    """The fields that are there: each optional one is left out now and then."""
    return {name: value for name, value in fields.items() if value is not None}


def fitting(play: Play) -> list[Draft]:
    rng, place = play.rng, play.place()
    part = rng.choice(play.plan.parts[place]) if chance(rng, 0.8) else play.part()
    drafts = []
    if chance(rng, 0.7):
        old = rng.choice(play.plan.parts[place])
        drafts.append(Draft("removed", old, {"to": rng.choice(("spares", "spares", "quarantine", "scrapped"))}, place))
    if chance(rng, 0.85):
        drafts.append(Draft("fitted", part, _some_detail(rng, new=rng.choice((True, False, None))), place))
    return drafts or [Draft("removed", part, {"to": "quarantine"}, rng.choice((place, None)))]


def reading(play: Play) -> list[Draft]:
    rng = play.rng
    drafts = []
    for _ in range(rng.choice((1, 2, 4))):
        of, dimension = (ROBOT, rng.choice(("g", "h"))) if chance(rng, 0.3) else (play.part(), rng.choice(DIMENSIONS))
        doubt = rng.choice(({"instrument": rng.choice(CALIPERS)}, {"tolerance_m": STEP_M}, {}))
        detail = {"of": of, "dimension": dimension, "value_m": near(rng), **doubt}
        drafts.append(Draft("reading", f"{of}/{dimension}", detail))
    return drafts


def direct(play: Play) -> list[Draft]:
    rng, stack = play.rng, play.rng.choice(play.plan.stacks)
    if chance(rng, 0.5):
        goes, stops = near(rng, -3, 0), near(rng, 1, 3)
        detail = _some_detail(
            rng, goes_m=goes if chance(rng, 0.8) else None, stops_m=stops if chance(rng, 0.8) else None
        )
        return [Draft("direct", stack, detail or {"goes_m": goes})]
    return [Draft("direct", stack, {"value_m": near(rng), "instrument": rng.choice(CALIPERS)})]


def weighing(play: Play) -> list[Draft]:
    rng = play.rng
    if chance(rng, 0.4):
        value = rng.choice((0.3, 0.5, 0.52, 1.0))
        return [Draft("part_weighed", play.part(), {"value_kg": value, "instrument": rng.choice(SCALES)})]
    shown = round(play.plan.nominal_kg() + rng.choice((-0.2, -0.05, 0.0, 0.05)), 3)
    configuration = rng.choice(play.plan.configurations)
    return [Draft("weighed", configuration, {"value_kg": max(shown, 0.1), "instrument": rng.choice(SCALES)})]


def torque(play: Play) -> list[Draft]:
    rng = play.rng
    detail = _some_detail(
        rng,
        fasteners=play.fasteners(),
        torque_nm=rng.choice((10.0, 10.0, 10.0, 9.2, 10.9, 8.5, 12.0)),
        instrument=rng.choice((*WRENCHES, None)),
        locker=rng.choice((True, True, True, False, None)),
        primer=rng.choice((True, False, None)),
        new_fasteners=rng.choice((True, False, None)),
        second=rng.choice(("AB", "CD", None)),
    )
    return [Draft("torqued", rng.choice(play.plan.joints), detail)]


def opening(play: Play) -> list[Draft]:
    return [Draft("opened", play.rng.choice(play.plan.joints), {"fasteners": play.fasteners()})]


def looking(play: Play) -> list[Draft]:
    rng = play.rng
    if chance(rng, 0.15):
        return [Draft("marks_good", rng.choice(play.plan.joints), {})]
    if chance(rng, 0.5):
        besides = some(rng, [*play.plan.joints, *play.plan.all_parts(), *play.plan.roles], 2)
        detail = {"except": besides} if chance(rng, 0.3) else {}
        return [Draft("looked_over", zone, detail) for zone in some(rng, play.plan.zones, 3) or [play.zone()]]
    return [Draft("looked_at", play.part(), {}, rng.choice((play.place(), None)))]


def symptom(play: Play) -> list[Draft]:
    return [Draft("symptom", play.part(), {}, play.place())]


def hand_check(play: Play) -> list[Draft]:
    return [Draft("hand_checked", play.zone(), {"sign": chance(play.rng, 0.3)})]


def hit(play: Play) -> list[Draft]:
    rng = play.rng
    unsure = chance(rng, 0.3)
    detail = {"source": rng.choice(("taken", "given", "slam", "landing"))}
    if chance(rng, 0.1):
        detail["spreads"] = False  # type: ignore[assignment]
    zones = some(rng, play.plan.zones, 2) or [play.zone()]
    grade = 2 if unsure else rng.randint(1, 3)
    return [Draft("hit", zone, dict(detail), zone if unsure else None, grade) for zone in zones]


def finding(play: Play) -> list[Draft]:
    rng, place = play.rng, play.place()
    part = rng.choice(play.plan.parts[place])
    joint = rng.choice(play.plan.joints) if chance(rng, 0.4) else None
    detail = _some_detail(
        rng,
        what="marks turned" if joint and chance(rng, 0.7) else rng.choice(WHATS),
        position=place,
        joint=joint,
        fasteners=play.fasteners() if joint else None,
        raises=rng.choice((True, None)),
        size_m=rng.choice((0.01, 0.02, 0.03, None)),
    )
    return [Draft("finding", part, detail, joint or place)]


def mending(play: Play) -> list[Draft]:
    found = play.any_of("finding")
    if found is None:
        return finding(play)
    if chance(play.rng, 0.5):
        return [Draft("mended", found.id, {"how": "replaced"})]
    detail = _some_detail(
        play.rng,
        limit_m=play.rng.choice((0.015, 0.025, None)),
        until_fight=play.rng.choice((*FIGHTS, None)),
        accepted_by="AB",
    )
    return [Draft("deferred", found.id, detail)]


def fighting(play: Play) -> list[Draft]:
    rng, fight = play.rng, play.rng.choice(FIGHTS)
    if chance(rng, 0.6):
        call = play.desk.time + rng.choice((1, 10, 30)) * MINUTE
        detail = _some_detail(
            rng,
            name=fight,
            configuration=rng.choice(play.plan.configurations),
            call_at=rng.choice((call, None)),
            staging_at=rng.choice((call + MINUTE, None)),
        )
        return [Draft("entered", fight, detail, ROBOT)]
    return [Draft(rng.choice(("fight_ended", "fight_ended", "fight_started", "fight_left")), fight, {})]


def choosing(play: Play) -> list[Draft]:
    rng = play.rng
    if chance(rng, 0.5):
        return [Draft("chosen", ROBOT, {"pack_set": rng.choice(play.plan.pack_sets)})]
    return [Draft("declared", rng.choice(play.plan.configurations), {"declared": chance(rng, 0.8)})]


def answering(play: Play) -> list[Draft]:
    rng, checklist = play.rng, play.rng.choice(play.plan.checklists)
    drafts = []
    for line in checklist.lines:
        if chance(rng, 0.9):
            said = rng.choice(("yes", "yes", "yes", "yes", "no", "skipped"))
            detail = _some_detail(rng, answer=said, second=rng.choice(("AB", "CD", None)))
            drafts.append(Draft("answered", f"{ROBOT}/{checklist.id}/{line.id}", detail))
    return drafts


def accepting(play: Play) -> list[Draft]:
    rng = play.rng
    ids = [entry.id for entry in play.desk.entries if entry.kind not in DEFINITION_KINDS]
    rests_on = ids if chance(rng, 0.7) else some(rng, ids, 3)
    keys = [f"stack:{s}" for s in play.plan.stacks] + [f"weight:{c}" for c in play.plan.configurations]
    keys += [f"joint:{j}" for j in play.plan.joints]
    keys += [f"limit:{part}/{d}" for part in play.plan.all_parts() for d in DIMENSIONS]
    fight = play.newest("entered")
    name = fight.subject if fight and chance(rng, 0.8) else rng.choice(FIGHTS)
    return [
        Draft("accepted", key, {"fight": name, "rests_on": rests_on}) for key in rng.sample(keys, min(8, len(keys)))
    ]


def noting(play: Play) -> list[Draft]:
    if chance(play.rng, 0.5):
        return [Draft("note", ROBOT, {"note": "a note"})]
    return [Draft("looked_at", play.part(), {}, None, None, OTHER), Draft("fight_ended", "g1", {}, robot=OTHER)]


ACTS: tuple[tuple[Callable[[Play], list[Draft]], int], ...] = (
    (fitting, 7),
    (reading, 6),
    (direct, 3),
    (weighing, 4),
    (torque, 9),
    (opening, 4),
    (looking, 6),
    (symptom, 2),
    (hand_check, 2),
    (hit, 7),
    (finding, 4),
    (mending, 4),
    (fighting, 7),
    (choosing, 3),
    (answering, 4),
    (accepting, 4),
    (noting, 2),
)


def raise_something(play: Play) -> None:
    """A finding or a sign makes an earlier blow a hard one; or a bend nobody saw happen counts as a blow."""
    ground = play.any_of(play.rng.choice(("finding", "hand_checked")))
    blow = play.any_of("hit")
    if ground is None:
        return
    because = ground.id if chance(play.rng, 0.95) else "unknown"
    if blow is None or chance(play.rng, 0.3):
        detail = {"source": "no hit seen", "spreads": False, "because": because}
        play.desk.write(Draft("hit", play.zone(), detail, None, 2), happened=ground.happened)
        return
    detail = {"source": "taken", "because": because}
    play.desk.write(Draft("hit", blow.subject, detail, None, 3), act=blow.act, happened=blow.happened)


def correct_something(play: Play) -> None:
    """Write an entry again: another figure, subject, place, grade or time; or take its line out."""
    rng = play.rng
    free = [e for e in play.desk.entries if e.kind not in DEFINITION_KINDS and e.kind != "withdrawn"]
    if not free:
        return
    old = rng.choice(free)
    if chance(rng, 0.4):
        play.desk.write(Draft("withdrawn", old.subject, {}, robot=old.robot), replaces=old.id)
        return
    fresh = next((draft for draft in _again(play, old.kind) if draft.kind == old.kind), None)
    keep = chance(rng, 0.5) or fresh is None
    detail = old.detail if keep or fresh is None else fresh.detail
    subject = old.subject if keep or fresh is None else fresh.subject
    place = old.place if keep or fresh is None else fresh.place
    grade = old.grade if keep or fresh is None else fresh.grade
    happened = old.happened if chance(rng, 0.7) else old.happened + rng.choice((-9, -1, 1, 9)) * MINUTE
    draft = Draft(old.kind, subject, dict(detail), place, grade, old.robot)
    play.desk.write(draft, act=old.act if chance(rng, 0.5) else None, happened=happened, replaces=old.id)


def _again(play: Play, kind: str) -> list[Draft]:
    for make, _ in ACTS:
        drafts = make(play)
        if any(draft.kind == kind for draft in drafts):
            return drafts
    return []


def defer_something(play: Play) -> None:
    """Something light is run as is, and a fight goes by."""
    place = play.place()
    part = play.rng.choice(play.plan.parts[place])
    found = play.desk.write(Draft("finding", part, {"what": "torn", "position": place}, place))
    detail = {"limit_m": 0.5, "accepted_by": "AB"}
    play.desk.wait()
    play.desk.write(Draft("deferred", found.id, detail))
    play.desk.wait()
    play.desk.write(Draft("fight_ended", play.rng.choice(FIGHTS), {}))


def put_a_pack_away(play: Play) -> None:
    """A set is chosen for a fight, and one of its packs goes outside."""
    chosen = play.rng.choice(play.plan.pack_sets)
    play.desk.write_all(fighting(play))
    play.desk.write(Draft("chosen", ROBOT, {"pack_set": chosen}))
    play.desk.write(Draft("removed", play.rng.choice(play.plan.packs), {"to": "quarantine"}))


def edit_something(play: Play) -> None:
    """Define something anew, in its line or as a second line of the same subject."""
    named = subjects(play.plan)
    kind = play.rng.choice([kind for kind in named if kind != "crew"])
    subject = play.rng.choice(named[kind])
    old = next((e for e in reversed(play.desk.entries) if e.kind == kind and e.subject == subject), None)
    replaces = old.id if old is not None and chance(play.rng, 0.85) else None
    play.desk.write(definition(play.plan, play.rng, kind, subject), replaces=replaces)


def _begin(play: Play) -> None:
    """What is defined, what sits where, and often much of it proved: else nothing would ever pass."""
    plan, rng, desk = play.plan, play.rng, play.desk
    desk.write_all(definitions(plan, rng))
    for place, parts in plan.parts.items():
        if chance(rng, 0.92):
            desk.write(Draft("fitted", parts[0], _some_detail(rng, new=rng.choice((True, False, None))), place))
    if chance(rng, 0.7):
        prove(play)


def prove(play: Play) -> None:
    """Torque every joint, read every dimension, look over every zone, answer every line."""
    plan, rng, desk = play.plan, play.rng, play.desk
    for joint in plan.joints:
        detail = {"fasteners": "all", "torque_nm": 10.0, "locker": True, "second": "AB", "instrument": "wr"}
        desk.write(Draft("torqued", joint, detail), by="CD")
    for of, dimensions in [(ROBOT, ("g", "h")), *((parts[0], DIMENSIONS) for parts in plan.parts.values())]:
        for dimension in dimensions:
            detail = {"of": of, "dimension": dimension, "value_m": near(rng, -1, 1), "instrument": "mic"}
            desk.write(Draft("reading", f"{of}/{dimension}", detail))
    desk.write_all([Draft("looked_over", zone, {}) for zone in plan.zones])
    if chance(rng, 0.6):
        fight = {"name": "f3", "configuration": plan.configurations[0]}
        desk.write(Draft("entered", "f3", fight, ROBOT))
        desk.write(Draft("chosen", ROBOT, {"pack_set": plan.pack_sets[0]}))
    for parts in plan.parts.values():
        desk.write(Draft("looked_at", parts[0], {}))
    if chance(rng, 0.6):
        for checklist in plan.checklists:
            for line in checklist.lines:
                detail = {"answer": "yes", "second": "AB"}
                desk.write(Draft("answered", f"{ROBOT}/{checklist.id}/{line.id}", detail), by="CD")


def random_book(seed: int, size: int = 40) -> Case:
    """A small random robot and a history of up to `size` acts, the same for the same seed."""
    rng = Random(seed)
    plan = random_plan(rng)
    desk = Desk(rng, rng.choice((1, 1, 2, 3)))
    play = Play(plan, rng, desk)
    _begin(play)
    makers, weights = [make for make, _ in ACTS], [weight for _, weight in ACTS]
    for _ in range(rng.randint(0, size)):
        desk.wait()
        desk.take_over()
        chosen = rng.random()
        if chosen < 0.06:
            raise_something(play)
        elif chosen < 0.16:
            correct_something(play)
        elif chosen < 0.20:
            edit_something(play)
        elif chosen < 0.24:
            prove(play)
        elif chosen < 0.26:
            defer_something(play)
        elif chosen < 0.28:
            put_a_pack_away(play)
        else:
            drafts = rng.choices(makers, weights)[0](play)
            if drafts:
                desk.write_all(drafts)
    ticks = [entry.tick for entry in desk.entries]
    cut = rng.choice((max(ticks) + 1, max(ticks) + 1, rng.choice(ticks)))
    shown = max((tick for tick in ticks if tick < cut), default=cut)
    now = shown + rng.choice((0, MINUTE, 10 * MINUTE, 600 * MINUTE))
    return Case(tuple(desk.entries), ROBOT, now, cut, plan.checklists)


assert EVENT  # the one event the plans enter
