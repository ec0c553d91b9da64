"""What may happen to a small random robot: one maker of drafts for each sort of act."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any, NamedTuple

from pitcrew.robot.kinds import DEFINITION_KINDS, IN_PLACE
from pitcrew.robot.records import Entry

from .desk import MINUTE, Desk
from .plans import (
    BOXES,
    CALIPERS,
    COULOMBS,
    CREW,
    DIMENSIONS,
    KELVINS,
    OHMS,
    OTHER,
    ROBOT,
    SCALES,
    STEP_M,
    VOLTS,
    WRENCHES,
    Draft,
    Plan,
    chance,
    near,
    some,
)

WHATS = ("bent", "cracked", "shorted", "stripped", "worn", "marks turned", "torn")
FIGHTS = ("f1", "f2", "f3")


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


def some_detail(rng: Random, **fields: Any) -> dict[str, Any]:
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
        drafts.append(Draft("fitted", part, some_detail(rng, new=rng.choice((True, False, None))), place))
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
        detail = some_detail(
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
    detail = some_detail(
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


def working(play: Play) -> list[Draft]:
    return [Draft("worked", play.part(), {"how": play.rng.choice(IN_PLACE)}, play.rng.choice((play.place(), None)))]


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
    part = play.plan.parts[place][0] if chance(rng, 0.5) else rng.choice(play.plan.parts[place])
    joint = rng.choice(play.plan.joints) if chance(rng, 0.4) else None
    detail = some_detail(
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
        how = play.rng.choice(("replaced", "taken out of use", "found straight", *IN_PLACE[:2]))
        return [Draft("mended", found.id, {"how": how})]
    detail = some_detail(
        play.rng,
        limit_m=play.rng.choice((0.015, 0.025, None)),
        until_fight=play.rng.choice((*FIGHTS, None)),
        accepted_by="AB",
    )
    return [Draft("deferred", found.id, detail)]


def tip_speed(play: Play) -> list[Draft]:
    detail = {"value_m_s": play.rng.choice((80.0, 89.5, 90.0, 95.0))}
    return [Draft("tip_speed", play.rng.choice(play.plan.configurations), detail)]


def fighting(play: Play) -> list[Draft]:
    rng, fight = play.rng, play.rng.choice(FIGHTS)
    if chance(rng, 0.6):
        call = play.desk.time + rng.choice((1, 10, 30)) * MINUTE
        detail = some_detail(
            rng,
            name=fight,
            configuration=rng.choice(play.plan.configurations) if chance(rng, 0.96) else "unknown",
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
            detail = some_detail(rng, answer=said, second=rng.choice(("AB", "CD", None)))
            drafts.append(Draft("answered", f"{ROBOT}/{checklist.id}/{line.id}", detail))
    return drafts


def touching(play: Play) -> list[Draft]:
    """A plug, the radio or a memory: of our part in place or on the shelf, of another's, of one nobody knows, or the
    memory of a transmitter. Whose book line it stands in does not say whose part it is.
    """
    rng, theirs = play.rng, chance(play.rng, 0.25)
    written_under = rng.choice((ROBOT, ROBOT, ROBOT, OTHER))
    if chance(rng, 0.2):
        return [Draft("reprogrammed", OTHER if theirs else ROBOT, {}, robot=written_under)]
    kind = rng.choice(("rewired", "reprogrammed"))
    if not theirs:
        return [Draft(kind, play.part(), {}, rng.choice((play.place(), None)), robot=written_under)]
    part = rng.choice(("their part", "a part nobody knows"))
    known = [Draft("part", "their part", {"name": "x", "part_kind": play.plan.kinds[0]}, robot=OTHER)]
    return [*known, Draft(kind, part, {}, None, robot=written_under)]


def cells(rng: Random, figures: tuple[float, ...]) -> list[float]:
    """The same figure of two cells, or of one cell a little more."""
    figure = rng.choice(figures)
    return [figure, rng.choice((figure, max(figures)))]


def pack_figures(rng: Random) -> dict[str, Any]:
    """What is read of a pack: at least one figure, seldom all."""
    while True:
        detail = some_detail(
            rng,
            cells_v=rng.choice((cells(rng, VOLTS), None, None)),
            lowest_v=rng.choice((rng.choice(VOLTS), None)),
            cells_ohm=rng.choice((cells(rng, OHMS), None, None)),
            ohm_per_cell=rng.choice((rng.choice(OHMS), None, None)),
            temperature_k=rng.choice((rng.choice(KELVINS), None)),
            used_coulomb=rng.choice((rng.choice(COULOMBS), None)),
        )
        if detail:
            return detail


def pack_reading(play: Play) -> list[Draft]:
    packs = some(play.rng, play.plan.packs, 3) or play.plan.packs
    return [Draft("pack_read", pack, pack_figures(play.rng)) for pack in packs]


def charging(play: Play) -> list[Draft]:
    """Packs on the charger, or off it."""
    rng = play.rng
    packs = some(rng, play.plan.packs, 3) or play.plan.packs
    if chance(rng, 0.5):
        detail = some_detail(
            rng,
            current_a=rng.choice((8.0, 4.0, None)),
            to_put_back_coulomb=rng.choice((*COULOMBS, None, None, None)),
            temperature_k=rng.choice((rng.choice(KELVINS), None)),
            watched_by=rng.choice((*CREW, None)),
        )
        return [Draft("charge_started", pack, dict(detail)) for pack in packs]
    to = rng.choice(("full", "full", "full", "storage", "stopped"))
    lowest_v = rng.choice((rng.choice(VOLTS), None))
    return [Draft("charge_ended", pack, some_detail(rng, to=to, lowest_v=lowest_v)) for pack in packs]


def signing(play: Play) -> list[Draft]:
    """Initials under the robot for a fight, or under a joint's torques or anything else of it."""
    rng = play.rng
    written = [entry.id for entry in play.desk.entries]
    fight = play.newest("entered")
    if chance(rng, 0.5):
        name = fight.subject if fight and chance(rng, 0.8) else rng.choice((*FIGHTS, None))
        rests_on = rng.sample(written, min(len(written), rng.choice((0, 1, 4))))
        return [Draft("signed", ROBOT, some_detail(rng, rests_on=rests_on, fight=name))]
    joint = rng.choice(play.plan.joints)
    torqued = [e.id for e in play.desk.entries if e.kind == "torqued" and e.subject == joint]
    rests_on = torqued if chance(rng, 0.7) else some(rng, torqued or written, 2)
    return [Draft("signed", f"joint:{joint}", {"rests_on": rests_on})]


def stocking(play: Play) -> list[Draft]:
    """What lies in the boxes, and who is on."""
    rng = play.rng
    if chance(rng, 0.3):
        return [Draft("shift", rng.choice(CREW), {"on": chance(rng, 0.6)}, robot=None)]
    detail = {"how": rng.choice(("counted", "used", "bought")), "count": rng.choice((0, 2, 6))}
    return [Draft("stocked", rng.choice(BOXES), detail, robot=rng.choice((ROBOT, None)))]


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
    """What changes nothing: notes, bench tests, and what happens to another robot."""
    rng, fight = play.rng, play.rng.choice(FIGHTS)
    other: tuple[tuple[Draft, ...], ...] = (
        (Draft("note", ROBOT, {"note": "a note"}),),
        (Draft("bench_tested", play.part(), {}),),
        (Draft("looked_at", "their part", {}, None, None, OTHER), Draft("fight_ended", "g1", {}, robot=OTHER)),
        (Draft("zone", "their zone", {"name": "x", "passes_to": list(play.plan.zones)}, robot=OTHER),),
        (Draft("position", "their place", {"name": "x", "zone": "their zone"}, robot=OTHER),),
        (Draft("fitted", "their part", {"new": True}, "their place", robot=OTHER),),
        (Draft("entered", "g1", {"name": "g1", "configuration": "theirs"}, OTHER, robot=OTHER),),
        (Draft("chosen", OTHER, {"pack_set": play.plan.pack_sets[0]}, robot=OTHER),),
        (Draft("fight_ended", fight, {}, robot=OTHER),),
    )
    return list(rng.choice(other))


ACTS: tuple[tuple[Callable[[Play], list[Draft]], int], ...] = (
    (fitting, 7),
    (reading, 6),
    (direct, 3),
    (weighing, 4),
    (tip_speed, 6),
    (torque, 9),
    (opening, 4),
    (looking, 6),
    (symptom, 2),
    (working, 2),
    (hand_check, 2),
    (hit, 7),
    (finding, 4),
    (mending, 4),
    (fighting, 7),
    (choosing, 5),
    (answering, 6),
    (touching, 2),
    (pack_reading, 3),
    (charging, 3),
    (signing, 3),
    (stocking, 1),
    (accepting, 4),
    (noting, 2),
)
